//! The learner's path beside the one the ideal reader would have taken.

use crate::evidence::belief::Weighed;
use crate::evidence::plan::Path;
use crate::grade::claim::Claim;

/// Both paths, in minutes and bits.
#[derive(Clone, Debug, PartialEq)]
pub struct Efficiency {
    /// Shop time of the session, s.
    pub spent_s: f64,
    /// By how many bits more than before what is in the car was to be believed at the end.
    pub told_bits: f64,
    /// Bits that make it proved.
    pub wanted_bits: f64,
    /// The ideal reader's path.
    pub best: Path,
    /// Share of the marks earned.
    pub share: f64,
}

/// Times the ideal reader's time that cost nothing: hands are slower than a plan (a choice of ours).
const ALLOWANCE: f64 = 2.0;

impl Efficiency {
    /// Sets a session's time and readings beside the best path.
    ///
    /// Time counts for as much of the proof as was got in it: a quick guess is not efficient. The
    /// grade gives nothing for a short way to a wrong answer.
    #[must_use]
    pub fn of(spent_s: f64, weighed: &Weighed, truth: &Claim, sure: f64, best: Path) -> Self {
        let before = truth.probability(&weighed.after(0));
        let after = truth.probability(&weighed.belief());
        let told_bits = libm::log2(after / before);
        let wanted_bits = libm::log2(sure / before).max(0.0);
        let proved = proved_share(told_bits, wanted_bits);
        let pace = if spent_s > 0.0 {
            (ALLOWANCE * best.seconds() / spent_s).min(1.0)
        } else {
            0.0
        };
        Self {
            spent_s,
            told_bits,
            wanted_bits,
            best,
            share: proved * pace,
        }
    }
}

/// Which share of the bits wanted were told.
pub(super) fn proved_share(told_bits: f64, wanted_bits: f64) -> f64 {
    if wanted_bits <= 0.0 {
        1.0
    } else {
        (told_bits / wanted_bits).clamp(0.0, 1.0)
    }
}
