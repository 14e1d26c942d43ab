//! One value of a table.

use serde::{Serialize, Serializer};

/// One value of a table.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// A measured or computed number, SI.
    Number(f64),
    /// A count.
    Count(u64),
    /// Yes or no.
    Flag(bool),
    /// A word.
    Word(String),
    /// Nothing to be had.
    Empty,
}

impl Cell {
    /// A number with seven significant digits: a hundred times finer than any instrument here, and
    /// no tail of digits that mean nothing.
    #[must_use]
    pub fn number(value: f64) -> Self {
        Self::Number(digits(format!("{value:.6e}"), value))
    }

    /// A time with twelve significant digits, so that a long run keeps its milliseconds.
    #[must_use]
    pub fn time(seconds: f64) -> Self {
        Self::Number(digits(format!("{seconds:.11e}"), seconds))
    }

    /// The cell as text; empty where there is nothing.
    #[must_use]
    pub fn text(&self) -> String {
        match self {
            Self::Number(value) => value.to_string(),
            Self::Count(count) => count.to_string(),
            Self::Flag(flag) => flag.to_string(),
            Self::Word(word) => word.clone(),
            Self::Empty => String::new(),
        }
    }
}

fn digits(rounded: String, value: f64) -> f64 {
    let rounded = rounded.parse().unwrap_or(value);
    // Nothing has no sign.
    if rounded == 0.0 { 0.0 } else { rounded }
}

impl Serialize for Cell {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Number(value) => serializer.serialize_f64(*value),
            Self::Count(count) => serializer.serialize_u64(*count),
            Self::Flag(flag) => serializer.serialize_bool(*flag),
            Self::Word(word) => serializer.serialize_str(word),
            Self::Empty => serializer.serialize_none(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_keep_seven_digits_and_times_twelve() {
        assert_eq!(Cell::number(325_104.238_192).text(), "325104.2");
        assert_eq!(Cell::number(2804.0 * 0.1).text(), "280.4");
        assert_eq!(Cell::number(-0.0).text(), "0");
        assert_eq!(Cell::time(0.1 * 3.0).text(), "0.3");
        assert_eq!(Cell::time(86_399.995).text(), "86399.995");
    }
}
