//! Oil part by part while a loop is worked on: what leaves with a part, with flushing medium, or with what
//! is poured out of the compressor, and what stays.
//!
//! Turning mixes it again, to each part its share ([`crate::repair::JobInfo::oil_share`]). Amounts are shares
//! of the label's. Range: any amount; levels: common practice, no source.

use crate::repair::{JOBS, Job};

/// Oil in a part.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Held {
    own: f64,
    foreign: f64,
}

impl Held {
    fn total(self) -> f64 {
        self.own + self.foreign
    }
}

/// Oil in every part of a loop that holds some.
#[derive(Clone, Debug, PartialEq)]
pub struct OilHeld {
    parts: Vec<(Job, Held)>,
}

/// Share of a compressor's oil that runs out when it is poured; the rest clings to it (common practice, no
/// source).
pub const POURS_SHARE: f64 = 0.8;

impl OilHeld {
    /// A loop's oil as turning leaves it.
    #[must_use]
    pub fn mixed(total: f64, foreign_share: f64) -> Self {
        let holders = JOBS.iter().filter(|info| info.oil_share > 0.0);
        let part = |share: f64| Held {
            own: share * total * (1.0 - foreign_share),
            foreign: share * total * foreign_share,
        };
        Self {
            parts: holders
                .map(|info| (info.job, part(info.oil_share)))
                .collect(),
        }
    }

    /// Oil in the whole loop.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.parts.iter().map(|(_, held)| held.total()).sum()
    }

    /// Share of it that is of another kind than the label's.
    #[must_use]
    pub fn foreign_share(&self) -> f64 {
        let foreign: f64 = self.parts.iter().map(|(_, held)| held.foreign).sum();
        foreign / self.total().max(f64::MIN_POSITIVE)
    }

    /// Puts a part with so much of the label's oil in the place of another; returns what left with that.
    pub fn replaced(&mut self, job: Job, own: f64) -> f64 {
        let new = Held { own, foreign: 0.0 };
        self.part_mut(job)
            .map_or(0.0, |held| std::mem::replace(held, new).total())
    }

    /// Puts oil into the compressor.
    pub fn add(&mut self, amount: f64, foreign: bool) {
        if let Some(held) = self.part_mut(Job::Compressor) {
            let kind = if foreign {
                &mut held.foreign
            } else {
                &mut held.own
            };
            *kind += amount;
        }
    }

    /// Pours oil out of the compressor; returns how much ran out.
    pub fn pour(&mut self, amount: f64) -> f64 {
        let Some(held) = self.part_mut(Job::Compressor) else {
            return 0.0;
        };
        let ran = amount.min(POURS_SHARE * held.total());
        let left = 1.0 - ran / held.total().max(f64::MIN_POSITIVE);
        *held = Held {
            own: left * held.own,
            foreign: left * held.foreign,
        };
        ran
    }

    /// Leaves a share of it everywhere, as refrigerant that boils off leaves.
    pub fn scale(&mut self, share: f64) {
        for (_, held) in &mut self.parts {
            held.own *= share;
            held.foreign *= share;
        }
    }

    fn part_mut(&mut self, job: Job) -> Option<&mut Held> {
        let mut parts = self.parts.iter_mut();
        parts
            .find(|(holder, _)| *holder == job)
            .map(|(_, held)| held)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_hold_all_of_it() {
        let held = OilHeld::mixed(1.2, 0.25);
        assert!((held.total() - 1.2).abs() < 1e-12);
        assert!((held.foreign_share() - 0.25).abs() < 1e-12);
    }

    /// What leaves and what stays is the whole, whatever the order.
    #[test]
    fn what_leaves_is_missing() {
        let mut held = OilHeld::mixed(1.0, 0.5);
        let mut left = held.pour(0.3);
        assert!((left - 0.3).abs() < 1e-12);
        left += held.pour(1.0);
        assert!(
            (left - POURS_SHARE * (0.5 - 0.3) - 0.3).abs() < 1e-12,
            "{left}"
        );
        for job in [Job::Condenser, Job::Evaporator, Job::Condenser] {
            left += held.replaced(job, 0.0);
        }
        assert!((held.total() + left - 1.0).abs() < 1e-12);
        assert!((held.foreign_share() - 0.5).abs() < 1e-12);
        held.add(0.5, false);
        assert!(held.foreign_share() < 0.25);
    }
}
