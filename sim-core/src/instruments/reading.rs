//! A reading: the truth as an instrument shows it.

use crate::instruments::check::Check;
use crate::instruments::tool::{ToolSpec, Unit};
use crate::instruments::truth::Truth;
use crate::random::Draws;

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// What was checked.
    pub check: Check,
    /// What it showed.
    pub value: Value,
}

/// What an instrument or a sense shows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// A number in SI, with the limit of the instrument's error.
    Number {
        /// Value shown, SI.
        shown: f64,
        /// How far it may be off, SI.
        error: f64,
        /// Quantity.
        unit: Unit,
    },
    /// Beyond what the instrument can show: above its range (true) or below it (false).
    OutOfRange(bool),
    /// Something noticed: the key to compare by and the words to read.
    Finding {
        /// Key.
        key: &'static str,
        /// Sentence.
        words: &'static str,
    },
}

/// Reads a truth with the instrument the check uses; the error is drawn from the stream.
///
/// Half the limit of error is taken as one standard deviation, so that nineteen
/// readings in twenty keep within it.
#[must_use]
pub fn read(check: Check, truth: Truth, draws: &mut Draws) -> Reading {
    let deviate = match truth {
        Truth::Number(_) => draws.within_tolerance(),
        Truth::Finding(_) => 0.0,
    };
    read_off(check, truth, deviate)
}

/// The same with an error of so many standard deviations.
pub(super) fn read_off(check: Check, truth: Truth, deviate: f64) -> Reading {
    let value = match (truth, check.tool()) {
        (Truth::Finding(finding), _) => Value::Finding {
            key: finding.key,
            words: finding.words,
        },
        (Truth::Number(value), Some(tool)) => {
            let spec = tool.spec();
            shown(&spec, value, 0.5 * spec.accuracy_at(value) * deviate)
        }
        (Truth::Number(_), None) => Value::OutOfRange(true),
    };
    Reading { check, value }
}

/// A value as an instrument shows it that is off by so much.
fn shown(spec: &ToolSpec, value: f64, off_by: f64) -> Value {
    let raw = value + off_by;
    // Its own error takes no instrument beyond its range.
    let raw = if (spec.least..=spec.most).contains(&value) {
        raw.clamp(spec.least, spec.most)
    } else {
        raw
    };
    if raw > spec.most {
        Value::OutOfRange(true)
    } else if raw < spec.least {
        Value::OutOfRange(false)
    } else {
        // Adding 0 makes of a negative zero a plain one.
        let step = spec.resolution_at(raw);
        let shown = libm::round(raw / step) * step + 0.0;
        Value::Number {
            shown,
            error: spec.limit_of_error(value),
            unit: spec.unit,
        }
    }
}
