//! Whether the learner was as sure as the readings allowed.

use crate::grade::trace::{Moment, Statement};

/// How the confidences stated stand to what was so.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// Every confidence stated that says something, in order.
    pub statements: Vec<Statement>,
    /// Mean of the squares of stated less what was so, 1 or 0 (Brier 1950): 0 is best, and 0.25 is
    /// what saying "fifty-fifty" of everything gives. `None` where nothing was stated.
    pub brier: Option<f64>,
    /// The same of an ideal reader asked at the same moments.
    pub ideal_brier: Option<f64>,
    /// Mean of the squares of stated less ideal: what the learner's score is expected to lose against
    /// the ideal reader's, whatever turns out to be so.
    pub regret: f64,
    /// Mean of stated less ideal.
    pub lean: f64,
    /// Share of the marks earned.
    pub share: f64,
}

/// Brier score of who calls everything fifty-fifty.
const INDIFFERENT: f64 = 0.25;
/// To call unlikely what nobody holds likely says nothing: below this on both sides it does not count.
const SAYS_FROM: f64 = 0.1;

impl Calibration {
    /// Scores what was stated along a session.
    #[must_use]
    pub fn of(trace: &[Moment]) -> Self {
        let statements: Vec<Statement> = trace
            .iter()
            .filter_map(|moment| moment.stated.clone())
            .filter(|one| one.stated.max(one.ideal) >= SAYS_FROM)
            .collect();
        let mean = |value: &dyn Fn(&Statement) -> f64| {
            let sum: f64 = statements.iter().map(value).sum();
            (!statements.is_empty()).then(|| sum / statements.len() as f64)
        };
        let brier = mean(&|one| square(one.stated, one.is_so));
        let ideal_brier = mean(&|one| square(one.ideal, one.is_so));
        let lean = mean(&|one| one.stated - one.ideal).unwrap_or_default();
        let regret = mean(&|one| (one.stated - one.ideal) * (one.stated - one.ideal));
        // By what the readings allowed and not by luck: Brier's rule is proper, so that the expected
        // loss against the ideal reader is this square.
        let share = regret.map_or(0.0, |regret| (1.0 - regret / INDIFFERENT).max(0.0));
        Self {
            regret: regret.unwrap_or_default(),
            brier,
            ideal_brier,
            lean,
            share,
            statements,
        }
    }
}

fn square(stated: f64, is_so: bool) -> f64 {
    let off = stated - f64::from(u8::from(is_so));
    off * off
}
