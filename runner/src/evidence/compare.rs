//! Readings beside what a hypothetical car would have shown.

use sim_core::instruments::{Check, Value};

use crate::bay::Note;
use crate::evidence::replay::Predicted;
use crate::evidence::swing::Seen;

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
pub fn fit(note: &Note, predicted: &Seen) -> Fit {
    match (note.reading.value, predicted) {
        (Value::Number { shown, error, .. }, Seen::Range(low, high)) => {
            Fit::Distance((low - shown).max(shown - high).max(0.0) / error)
        }
        (Value::OutOfRange(above), Seen::Range(low, high)) => {
            out_of_range(note.reading.check, above, *low, *high)
        }
        (Value::Finding { key, .. }, Seen::Findings(findings))
            if findings.iter().any(|finding| finding.key == key) =>
        {
            Fit::Same
        }
        _ => Fit::Different,
    }
}

fn out_of_range(check: Check, above: bool, low: f64, high: f64) -> Fit {
    let Some(spec) = check.tool().map(|tool| tool.spec()) else {
        return Fit::Different;
    };
    let also = if above {
        high >= spec.most
    } else {
        low <= spec.least
    };
    if also { Fit::Same } else { Fit::Different }
}

/// Sum of misfits of a notebook against predictions, and whether the notes relied on rule the car out.
#[must_use]
pub fn misfit(notes: &[Note], relied_on: &[usize], predicted: &[Predicted]) -> (f64, bool) {
    let mut sum = 0.0;
    let mut ruled_out = false;
    for (note, seen) in pairs(notes, predicted) {
        let fit = fit(note, seen);
        sum += fit.misfit();
        ruled_out |= fit.rules_out() && relied_on.contains(&note.number);
    }
    (sum, ruled_out)
}

/// Notes with their predictions, matched by action and check.
pub fn pairs<'a>(
    notes: &'a [Note],
    predicted: &'a [Predicted],
) -> impl Iterator<Item = (&'a Note, &'a Seen)> {
    notes.iter().filter_map(|note| {
        predicted
            .iter()
            .find(|one| one.action == note.action && one.check == note.reading.check)
            .map(|one| (note, &one.seen))
    })
}
