//! What can be wrong with a quantity, in sentences.

use std::fmt;

use super::{Dimension, UNITS, spellings};
use crate::nearest;

/// Why a text is not the quantity asked for. Displayed as one sentence without a full stop
/// that says what to write instead.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum QuantityError {
    /// Nothing is written.
    Empty {
        /// The dimension asked for, if one was.
        wanted: Option<Dimension>,
    },
    /// The text holds a tab, a line end or another control character.
    ControlCharacter,
    /// The text is longer than any quantity.
    TooLong,
    /// The text does not begin with a number.
    NotANumber {
        /// The text.
        text: String,
        /// The dimension asked for, if one was.
        wanted: Option<Dimension>,
    },
    /// The number, or its SI value, is too large to be held.
    TooLarge {
        /// The text.
        text: String,
    },
    /// The decimals stand behind a comma.
    DecimalComma {
        /// The text.
        text: String,
    },
    /// A number stands alone.
    MissingUnit {
        /// The number as written.
        number: String,
        /// The dimension asked for, if one was.
        wanted: Option<Dimension>,
    },
    /// The unit is not in [`UNITS`].
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// The dimension asked for, if one was.
        wanted: Option<Dimension>,
    },
    /// The unit is known and measures something else.
    WrongDimension {
        /// The text.
        text: String,
        /// What the text measures.
        found: Dimension,
        /// What was asked for.
        wanted: Dimension,
    },
    /// Colder than absolute zero, or emptier than vacuum.
    BelowZero {
        /// The text.
        text: String,
        /// What was asked for.
        wanted: Dimension,
    },
}

impl std::error::Error for QuantityError {}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty { wanted } => {
                let example = example(*wanted);
                write!(f, "nothing is written here: write for example `{example}`")
            }
            Self::ControlCharacter => {
                f.write_str("a quantity stands on one line, without tabs or control characters")
            }
            Self::TooLong => {
                f.write_str("this is too long for a quantity: write a number and a unit")
            }
            Self::NotANumber { text, wanted } => {
                let example = example(*wanted);
                write!(
                    f,
                    "`{text}` does not begin with a number: write for example `{example}`"
                )
            }
            Self::TooLarge { text } => write!(f, "`{text}` is too large a number"),
            Self::DecimalComma { text } => {
                let with_point = text.replacen(',', ".", 1);
                write!(
                    f,
                    "decimals follow a point, not a comma: write `{with_point}`"
                )
            }
            Self::MissingUnit { number, wanted } => {
                let example = example(*wanted);
                write!(
                    f,
                    "a unit is missing after `{number}`: write for example `{example}`"
                )
            }
            Self::UnknownUnit { unit, wanted } => unknown_unit(f, unit, *wanted),
            Self::WrongDimension {
                text,
                found,
                wanted,
            } => {
                let (wanted_name, example) = (wanted.name(), wanted.example());
                let found = found.name();
                write!(
                    f,
                    "expected {wanted_name}, for example `{example}`, but `{text}` is {found}"
                )
            }
            Self::BelowZero { text, wanted } => {
                let name = wanted.name();
                write!(
                    f,
                    "`{text}` is below zero: {name} counts from absolute zero"
                )?;
                if *wanted == Dimension::AbsolutePressure {
                    f.write_str(" (for a gauge pressure write `psig`, `kPag` or `barg`)")?;
                }
                Ok(())
            }
        }
    }
}

fn example(wanted: Option<Dimension>) -> &'static str {
    wanted.unwrap_or(Dimension::Temperature).example()
}

fn unknown_unit(f: &mut fmt::Formatter<'_>, unit: &str, wanted: Option<Dimension>) -> fmt::Result {
    write!(f, "`{unit}` is not a unit that is read here")?;
    let fitting = || {
        UNITS
            .iter()
            .filter(|unit| wanted.is_none_or(|wanted| unit.measures(wanted)))
    };
    if let Some(name) = nearest(unit, fitting().flat_map(spellings)) {
        return write!(f, ": did you mean `{name}`?");
    }
    match wanted {
        Some(wanted) => write!(f, ": {} is written in ", wanted.name())?,
        None => f.write_str(": the units are ")?,
    }
    for (index, unit) in fitting().enumerate() {
        let comma = if index == 0 { "" } else { ", " };
        write!(f, "{comma}{}", unit.name)?;
    }
    Ok(())
}
