//! Readings beside what a hypothetical car would have shown.

use sim_core::instruments::{Check, Truth, Value};

use crate::bay::Note;

/// How a reading stands to a prediction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fit {
    /// Distance as a share of the limit of the instrument's error.
    Distance(f64),
    /// The sense noticed the same thing.
    Same,
    /// It noticed something else.
    Different,
}

/// Beyond this many limits of error a prediction is ruled out: half a limit more than
/// the instrument can err, for what the severities tried leave between them.
const RULED_OUT_BEYOND: f64 = 1.5;
/// Misfit that a different finding counts for.
const DIFFERENT_MISFIT: f64 = 9.0;
/// Most that one reading counts for: a gross mismatch should not drown the rest.
const MOST_MISFIT: f64 = 25.0;

impl Fit {
    /// Whether the reading rules the prediction out.
    #[must_use]
    pub fn rules_out(self) -> bool {
        match self {
            Self::Distance(distance) => distance > RULED_OUT_BEYOND,
            Self::Same => false,
            Self::Different => true,
        }
    }

    /// The reading's part in the misfit, a square like chi-squared.
    #[must_use]
    pub fn misfit(self) -> f64 {
        match self {
            Self::Distance(distance) => (distance * distance).min(MOST_MISFIT),
            Self::Same => 0.0,
            Self::Different => DIFFERENT_MISFIT,
        }
    }
}

/// How a note stands to what a hypothetical car would have shown.
#[must_use]
pub fn fit(note: &Note, predicted: &Truth) -> Fit {
    match (note.reading.value, predicted) {
        (Value::Number { shown, error, .. }, Truth::Number(value)) => {
            Fit::Distance((shown - value).abs() / error)
        }
        (Value::OutOfRange(above), Truth::Number(value)) => {
            out_of_range(note.reading.check, above, *value)
        }
        (Value::Finding { key, .. }, Truth::Finding(finding)) if key == finding.key => Fit::Same,
        _ => Fit::Different,
    }
}

fn out_of_range(check: Check, above: bool, predicted: f64) -> Fit {
    let Some(spec) = check.tool().map(|tool| tool.spec()) else { return Fit::Different };
    let also = if above { predicted >= spec.most } else { predicted <= spec.least };
    if also { Fit::Same } else { Fit::Different }
}

/// Sum of misfits of a notebook against predictions in the same order, and whether
/// the notes relied on rule the car out.
#[must_use]
pub fn misfit(
    notes: &[Note],
    relied_on: &[usize],
    predicted: &[(usize, Check, Truth)],
) -> (f64, bool) {
    let mut sum = 0.0;
    let mut ruled_out = false;
    for (note, truth) in pairs(notes, predicted) {
        let fit = fit(note, truth);
        sum += fit.misfit();
        ruled_out |= fit.rules_out() && relied_on.contains(&note.number);
    }
    (sum, ruled_out)
}

/// Notes with their predictions, matched by action and check.
pub fn pairs<'a>(
    notes: &'a [Note],
    predicted: &'a [(usize, Check, Truth)],
) -> impl Iterator<Item = (&'a Note, &'a Truth)> {
    notes.iter().filter_map(|note| {
        predicted
            .iter()
            .find(|(action, check, _)| *action == note.action && *check == note.reading.check)
            .map(|(_, _, truth)| (note, truth))
    })
}
