//! What a check would have shown at one moment, swings included.
//!
//! A car whose clutch comes and goes shows a gauge reading that depends on the
//! second it is taken. What such a car predicts is therefore a range, or several
//! findings: everything shown lately with the controls left alone.

use std::collections::VecDeque;

use sim_core::car::Car;
use sim_core::instruments::{Check, Finding, Truth, Watch, truth};
use sim_core::setup::Setup;

use crate::session::Watcher;

/// Everything a check has shown lately.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// Least and greatest value, SI.
    Range(f64, f64),
    /// What was noticed, each once.
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

    /// Takes in what else was shown.
    pub fn join(&mut self, other: &Self) {
        match (self, other) {
            (Self::Range(low, high), Self::Range(other_low, other_high)) => {
                *low = low.min(*other_low);
                *high = high.max(*other_high);
            }
            (Self::Findings(known), Self::Findings(more)) => {
                for finding in more {
                    if !known.contains(finding) {
                        known.push(*finding);
                    }
                }
            }
            (Self::Range(..), Self::Findings(_)) | (Self::Findings(_), Self::Range(..)) => {}
        }
    }

    /// Part way between what two cars show: numbers in a straight line, findings of either.
    #[must_use]
    pub fn between(&self, other: &Self, share: f64) -> Self {
        match (self, other) {
            (Self::Range(low, high), Self::Range(other_low, other_high)) => Self::Range(
                low + share * (other_low - low),
                high + share * (other_high - high),
            ),
            _ => {
                let mut both = self.clone();
                both.join(other);
                both
            }
        }
    }
}

/// Length of a slice of time, s.
const SLICE_S: f64 = 15.0;
/// Slices kept: ninety seconds, longer than a clutch's cycle.
const SLICES: usize = 6;
/// Slices over which a clutch is listened to.
const LISTENED: usize = 4;

/// Follows checks through a session and keeps what each has shown lately.
#[derive(Clone, Debug)]
pub struct SwingWatcher {
    checks: Vec<Check>,
    slices: VecDeque<Slice>,
    setup: Setup,
    settled_s: f64,
}

#[derive(Clone, Debug)]
struct Slice {
    length_s: f64,
    engagements: u32,
    seen: Vec<Option<Seen>>,
}

impl SwingWatcher {
    /// Follows these checks.
    #[must_use]
    pub fn new(checks: Vec<Check>) -> Self {
        Self {
            checks,
            slices: VecDeque::new(),
            setup: Setup::parked(),
            settled_s: 0.0,
        }
    }

    /// How long the controls have been left alone, s.
    #[must_use]
    pub fn settled_s(&self) -> f64 {
        self.settled_s
    }

    /// The checks followed, with what each has shown lately; checks that cannot be made now are left out.
    pub fn seen<'a>(&'a self, car: &'a Car) -> impl Iterator<Item = (Check, Seen)> + 'a {
        let watch = self.watch_of(car);
        self.checks
            .iter()
            .enumerate()
            .filter_map(move |(index, check)| {
                let mut seen = Seen::of(truth(car, *check, watch).ok()?);
                for slice in &self.slices {
                    if let Some(Some(earlier)) = slice.seen.get(index) {
                        seen.join(earlier);
                    }
                }
                Some((*check, seen))
            })
    }

    /// What one check has shown lately.
    #[must_use]
    pub fn lately(&self, car: &Car, check: Check) -> Option<Seen> {
        self.seen(car)
            .find(|(one, _)| *one == check)
            .map(|(_, seen)| seen)
    }

    fn watch_of(&self, car: &Car) -> Watch {
        let now = car.state().clutch_engagements;
        let first = self.slices.len().saturating_sub(LISTENED);
        let before = self
            .slices
            .get(first)
            .map_or(now, |slice| slice.engagements);
        Watch {
            engagements: now - before,
            seconds: SLICE_S * LISTENED as f64,
        }
    }
}

impl Watcher for SwingWatcher {
    fn watch(&mut self, car: &Car, step_s: f64) {
        if *car.setup() != self.setup {
            self.setup = car.setup().clone();
            self.slices.clear();
            self.settled_s = 0.0;
        }
        self.settled_s += step_s;
        if self
            .slices
            .back()
            .is_none_or(|slice| slice.length_s >= SLICE_S)
        {
            if self.slices.len() == SLICES {
                self.slices.pop_front();
            }
            self.slices.push_back(Slice {
                length_s: 0.0,
                engagements: car.state().clutch_engagements,
                seen: vec![None; self.checks.len()],
            });
        }
        let watch = self.watch_of(car);
        let Some(slice) = self.slices.back_mut() else {
            return;
        };
        slice.length_s += step_s;
        for (check, seen) in self.checks.iter().zip(&mut slice.seen) {
            let Ok(now) = truth(car, *check, watch) else {
                continue;
            };
            match (&mut *seen, now) {
                (Some(Seen::Range(low, high)), Truth::Number(value)) => {
                    *low = low.min(value);
                    *high = high.max(value);
                }
                (Some(Seen::Findings(known)), Truth::Finding(finding)) => {
                    if !known.contains(&finding) {
                        known.push(finding);
                    }
                }
                _ => *seen = Some(Seen::of(now)),
            }
        }
    }
}
