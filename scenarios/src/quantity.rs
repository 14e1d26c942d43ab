//! Numbers with units: from "34 °C" to SI, with the dimension checked.
//!
//! A quantity is a number, an optional space and a unit of [`UNITS`]. Numbers are written
//! `1.5`, `-3` or `1e3`, with a decimal point. Inside units `²` and `2`, `³` and `3`, `·`
//! and a space, and `Ω` and `ohm` are the same.
//!
//! - Pressure: `psig`, `kPag`, `barg`, `MPag` and `inHg vac` are gauge; every other
//!   pressure, `kPa`, `bar` and `psi` among them, is absolute.
//! - A difference of temperatures is written `5 K`, `5 °C diff` or `9 °F diff`; plain `°C`
//!   and `°F` are always temperatures. `K` is whichever of the two is asked for, and a
//!   temperature where nothing is asked for. In the same way `kPa`, `bar`, `MPa`, `hPa`,
//!   `Pa` and `psi` serve where a pressure difference is asked for.
//! - A year is 365.25 days. `oz` is a mass, `fl oz` (US) a volume.
//!
//! This module knows no range but absolute zero: what a charge or a voltage may be is the
//! business of the type that holds it.

mod dimension;
mod error;
mod schema;
mod table;
mod types;

pub use dimension::Dimension;
pub use error::QuantityError;
pub(crate) use schema::unsigned;
pub use table::{UNITS, Unit};
pub use types::*;

/// A number with its dimension, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// The value in the SI unit that [`Dimension`] names beside each dimension.
    pub si: f64,
    /// What it measures.
    pub dimension: Dimension,
}

impl std::str::FromStr for Quantity {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        parse(text)
    }
}

/// Reads a quantity of any dimension; the unit decides which.
///
/// # Errors
///
/// A [`QuantityError`] where the text is not a finite number followed by a unit of
/// [`UNITS`], or lies below absolute zero or vacuum.
///
/// ```
/// use scenarios::quantity::{Dimension, parse};
/// let pressure = parse("28 psig")?;
/// assert_eq!(pressure.dimension, Dimension::GaugePressure);
/// assert!((pressure.si - 193_053.2).abs() < 0.1);
/// # Ok::<(), scenarios::quantity::QuantityError>(())
/// ```
pub fn parse(text: &str) -> Result<Quantity, QuantityError> {
    let (value, unit) = read(text, None)?;
    let si = to_si(text, value, unit, unit.dimension)?;
    Ok(Quantity {
        si,
        dimension: unit.dimension,
    })
}

/// Reads a quantity of the dimension asked for and gives its SI value.
///
/// # Errors
///
/// As [`parse`]; and a unit of another dimension is an error that names what was expected,
/// with an example.
///
/// ```
/// use scenarios::quantity::{Dimension, parse_as};
/// assert_eq!(parse_as("650 g", Dimension::Mass), Ok(0.65));
/// assert_eq!(parse_as("5 K", Dimension::TemperatureDifference), Ok(5.0));
/// assert_eq!(
///     parse_as("300 kPa", Dimension::GaugePressure).unwrap_err().to_string(),
///     "expected a gauge pressure, for example `28 psig`, but `300 kPa` is an absolute pressure",
/// );
/// ```
pub fn parse_as(text: &str, wanted: Dimension) -> Result<f64, QuantityError> {
    let (value, unit) = read(text, Some(wanted))?;
    if !unit.measures(wanted) {
        return Err(QuantityError::WrongDimension {
            text: text.trim().to_owned(),
            found: unit.dimension,
            wanted,
        });
    }
    to_si(text, value, unit, wanted)
}

/// The value as written and its unit.
fn read(text: &str, wanted: Option<Dimension>) -> Result<(f64, &'static Unit), QuantityError> {
    // The longest honest quantity is a third of this; messages quote the text whole.
    const LONGEST_BYTES: usize = 80;
    if text.chars().any(char::is_control) {
        return Err(QuantityError::ControlCharacter);
    }
    if text.len() > LONGEST_BYTES {
        return Err(QuantityError::TooLong);
    }
    let text = text.trim();
    if text.is_empty() {
        return Err(QuantityError::Empty { wanted });
    }
    let (number, unit_text) = split(text);
    let value: f64 = match number.replace('−', "-").parse() {
        Ok(value) if !number.is_empty() => value,
        _ => {
            return Err(QuantityError::NotANumber {
                text: text.to_owned(),
                wanted,
            });
        }
    };
    if !value.is_finite() {
        return Err(QuantityError::TooLarge {
            text: text.to_owned(),
        });
    }
    if unit_text.is_empty() {
        return Err(QuantityError::MissingUnit {
            number: number.to_owned(),
            wanted,
        });
    }
    if unit_text.starts_with(',') {
        return Err(QuantityError::DecimalComma {
            text: text.to_owned(),
        });
    }
    match find_unit(unit_text, wanted) {
        Some(unit) => Ok((value, unit)),
        None => Err(QuantityError::UnknownUnit {
            unit: unit_text.to_owned(),
            wanted,
        }),
    }
}

fn to_si(text: &str, value: f64, unit: &Unit, wanted: Dimension) -> Result<f64, QuantityError> {
    let si = unit.to_si(value);
    if !si.is_finite() {
        return Err(QuantityError::TooLarge {
            text: text.trim().to_owned(),
        });
    }
    let counts_from_zero = matches!(wanted, Dimension::Temperature | Dimension::AbsolutePressure);
    if counts_from_zero && si < 0.0 {
        return Err(QuantityError::BelowZero {
            text: text.trim().to_owned(),
            wanted,
        });
    }
    Ok(si)
}

/// Splits after the longest start that is spelled like a number: sign, digits, one point,
/// exponent.
fn split(text: &str) -> (&str, &str) {
    let mut end = 0;
    let mut after_e = false;
    let mut seen_point = false;
    let mut characters = text.char_indices().peekable();
    while let Some((at, c)) = characters.next() {
        let belongs = match c {
            '0'..='9' => true,
            '+' | '-' | '−' => at == 0 || after_e,
            '.' => !std::mem::replace(&mut seen_point, true),
            // An `e` belongs to the number only where an exponent follows it.
            'e' | 'E' => {
                end > 0 && matches!(characters.peek(), Some((_, '0'..='9' | '+' | '-' | '−')))
            }
            _ => false,
        };
        if !belongs {
            break;
        }
        after_e = matches!(c, 'e' | 'E');
        end = at + c.len_utf8();
    }
    let (number, rest) = text.split_at(end);
    (number, rest.trim_start())
}

fn find_unit(text: &str, wanted: Option<Dimension>) -> Option<&'static Unit> {
    let plain = plain(text);
    let known = |unit: &&Unit| spellings(unit).any(|name| self::plain(name) == plain);
    // Where one spelling served two dimensions, the one asked for would be meant.
    let fits = |unit: &&Unit| wanted.is_some_and(|wanted| unit.measures(wanted));
    UNITS
        .iter()
        .filter(known)
        .find(fits)
        .or_else(|| UNITS.iter().find(known))
}

fn spellings(unit: &Unit) -> impl Iterator<Item = &'static str> + use<> {
    std::iter::once(unit.name).chain(unit.other_names.iter().copied())
}

/// One spelling for units that differ only in how a keyboard writes them.
fn plain(unit: &str) -> String {
    let mut plain = String::with_capacity(unit.len());
    for word in unit.split(|c: char| c.is_whitespace() || matches!(c, '·' | '⋅')) {
        if word.is_empty() {
            continue;
        }
        if !plain.is_empty() {
            plain.push(' ');
        }
        for c in word.chars() {
            match c {
                '²' => plain.push('2'),
                '³' => plain.push('3'),
                'Ω' | '\u{2126}' => plain.push_str("ohm"),
                'º' => plain.push('°'),
                'μ' => plain.push('µ'),
                '℃' => plain.push_str("°C"),
                '℉' => plain.push_str("°F"),
                other => plain.push(other),
            }
        }
    }
    plain
}

#[cfg(test)]
mod tests;
