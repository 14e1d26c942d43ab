//! What a check shows on a car, swings included.

use sim_core::instruments::{Finding, Truth};

/// Everything a check shows over a moment: a car whose clutch comes and goes shows a range of
/// pressures or several findings, whichever second one looks.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// Least and greatest value, SI.
    Range(f64, f64),
    /// What is noticed, each once.
    Findings(Vec<Finding>),
}

impl Seen {
    /// What one truth shows.
    #[must_use]
    pub fn of(truth: Truth) -> Self {
        match truth {
            Truth::Number(value) => Self::Range(value, value),
            Truth::Finding(finding) => Self::Findings(vec![finding]),
        }
    }

    /// Takes in what else is shown.
    pub fn take_in(&mut self, truth: Truth) {
        match (self, truth) {
            (Self::Range(low, high), Truth::Number(value)) => {
                *low = low.min(value);
                *high = high.max(value);
            }
            (Self::Findings(known), Truth::Finding(finding)) => {
                if !known.contains(&finding) {
                    known.push(finding);
                }
            }
            (Self::Range(..), Truth::Finding(_)) | (Self::Findings(_), Truth::Number(_)) => {}
        }
    }
}

/// The same with findings by key, as tables keep them.
#[derive(Clone, Debug, PartialEq)]
pub enum Shown<'a> {
    /// Least and greatest value, SI.
    Range(f64, f64),
    /// Keys of what is noticed.
    Keys(Vec<&'a str>),
}

impl<'a> From<&'a Seen> for Shown<'a> {
    fn from(seen: &'a Seen) -> Self {
        match seen {
            Seen::Range(low, high) => Self::Range(*low, *high),
            Seen::Findings(findings) => {
                Self::Keys(findings.iter().map(|finding| finding.key).collect())
            }
        }
    }
}
