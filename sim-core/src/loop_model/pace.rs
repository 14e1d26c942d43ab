//! How much of each Newton correction to take, and when to stop.

use crate::loop_model::ring::Pair;

/// A correction below this share of what a step may err is the last.
const SETTLED: f64 = 0.1;
/// A share of a correction above this is taken whole.
const NEARLY_WHOLE: f64 = 0.9;
/// Least share of a correction that is taken.
const LEAST_TAKEN: f64 = 0.05;

/// How large a correction is, and how it lies to the one before, in shares of what a step may err.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sizes {
    largest: f64,
    /// Some pressure is still corrected by more than its flows can bear.
    pub unsettled_flow: bool,
    /// Product of the correction before with its change.
    against: f64,
    /// Square of the change.
    change: f64,
}

impl Sizes {
    /// Takes a volume's part: the correction now and the one before, zero before the first.
    pub fn add(&mut self, now: Pair, before: Pair) {
        for (now, before) in now.into_iter().zip(before) {
            self.largest = self.largest.max(now.abs());
            self.against += before * (before - now);
            self.change += (before - now) * (before - now);
        }
    }
}

/// How much of each correction to take, and whether it was the last.
///
/// At the boiling line a volume's compressibility jumps by a thousand times, and where flow turns
/// round slopes jump too: full corrections can step to and fro across it for ever. Aitken's
/// relaxation looks at what was left of the correction before and takes the share that would have
/// left nothing (Irons & Tuck 1969, from memory).
pub(super) struct Pace {
    /// Share of the last correction that was taken.
    pub taken: f64,
    /// The last correction was the last one needed.
    pub settled: bool,
}

impl Pace {
    /// Before the first correction.
    pub fn new() -> Self {
        Self {
            taken: 1.0,
            settled: false,
        }
    }

    /// Share of a correction to take.
    pub fn next(&mut self, sizes: &Sizes) -> f64 {
        self.settled = sizes.largest < SETTLED && !sizes.unsettled_flow;
        let share = self.taken * sizes.against / sizes.change.max(f64::MIN_POSITIVE);
        // The last correction is taken whole: only then do the flows it leads to fill the volumes as
        // it says. Nor is there anything to shorten the first by, or one that grows the same way.
        if self.settled || share <= 0.0 || share > NEARLY_WHOLE {
            1.0
        } else {
            share.max(LEAST_TAKEN)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Shares taken of one unknown's corrections, and whether the last one settled.
    fn shares(corrections: &[f64]) -> (Vec<f64>, bool) {
        let mut pace = Pace::new();
        let mut before = 0.0;
        let taken = corrections.iter().map(|now| {
            let mut sizes = Sizes::default();
            sizes.add([*now, 0.0], [before, 0.0]);
            before = *now;
            pace.taken = pace.next(&sizes);
            pace.taken
        });
        (taken.collect(), pace.settled)
    }

    #[test]
    fn to_and_fro_meets_in_the_middle() {
        assert_eq!(shares(&[4.0, -4.0]), (vec![1.0, 0.5], false));
        assert_eq!(shares(&[4.0, -12.0]), (vec![1.0, 0.25], false));
    }

    #[test]
    fn what_shrinks_is_taken_whole() {
        assert_eq!(shares(&[4.0, 0.4]), (vec![1.0, 1.0], false));
        assert_eq!(shares(&[0.09]), (vec![1.0], true));
    }

    #[test]
    fn the_last_is_taken_whole() {
        assert_eq!(shares(&[0.2, -0.09]), (vec![1.0, 1.0], true));
    }

    #[test]
    fn after_a_half_taken_correction_the_rest_is_taken_whole() {
        assert_eq!(shares(&[4.0, -4.0, -2.0]), (vec![1.0, 0.5, 1.0], false));
    }
}
