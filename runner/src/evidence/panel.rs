//! Everything that could have been read at one moment of a session, without noise.

use sim_core::car::Car;
use sim_core::instruments::{Check, Finding, Truth, Watch, every_check, truth};
use sim_core::setup::Setup;

use crate::session::Watcher;

/// A value as it swung over the last part of an action, or what was noticed at its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// Least and greatest value, SI.
    Range(f64, f64),
    /// Finding.
    Finding(Finding),
}

/// All the checks possible at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Index of the action it ends.
    pub action: usize,
    /// Shop clock, s.
    pub at_s: f64,
    /// How the car was set up.
    pub setup: Setup,
    /// How long it had been set up so, s.
    pub settled_s: f64,
    /// What each possible check would have shown.
    pub seen: Vec<(Check, Seen)>,
}

/// Swings over this much time count: a gauge needle is watched, not glanced at, s.
const SWING_S: f64 = 30.0;
/// Clutch clicks over this much time are heard, s.
const LISTEN_S: f64 = 60.0;

/// Collects a panel while an action takes its time.
#[derive(Clone, Debug)]
pub struct PanelWatcher {
    checks: Vec<Check>,
    ranges: Vec<Option<(f64, f64)>>,
    left_s: f64,
    engagements: Option<u32>,
}

impl Default for PanelWatcher {
    fn default() -> Self {
        let checks = every_check();
        let ranges = vec![None; checks.len()];
        Self { checks, ranges, left_s: 0.0, engagements: None }
    }
}

impl Watcher for PanelWatcher {
    fn begin(&mut self, seconds: f64) {
        self.left_s = seconds;
        self.engagements = None;
        self.ranges.fill(None);
    }

    fn watch(&mut self, car: &Car, step_s: f64) {
        self.left_s -= step_s;
        if self.left_s <= LISTEN_S && self.engagements.is_none() {
            self.engagements = Some(car.state().clutch_engagements);
        }
        if self.left_s > SWING_S {
            return;
        }
        for (check, range) in self.checks.iter().zip(&mut self.ranges) {
            if check.tool().is_none() {
                continue;
            }
            if let Ok(Truth::Number(value)) = truth(car, *check, Watch::default()) {
                let (low, high) = range.unwrap_or((value, value));
                *range = Some((low.min(value), high.max(value)));
            }
        }
    }
}

impl PanelWatcher {
    /// The panel at the end of an action.
    #[must_use]
    pub fn panel(&self, car: &Car, action: usize, settled_s: f64) -> Panel {
        let engagements = car.state().clutch_engagements
            - self.engagements.unwrap_or(car.state().clutch_engagements);
        let watch = Watch { engagements, seconds: LISTEN_S };
        let seen = self
            .checks
            .iter()
            .zip(&self.ranges)
            .filter_map(|(check, range)| match (range, truth(car, *check, watch)) {
                (Some((low, high)), Ok(_)) => Some((*check, Seen::Range(*low, *high))),
                (None, Ok(Truth::Finding(finding))) => Some((*check, Seen::Finding(finding))),
                _ => None,
            })
            .collect();
        Panel { action, at_s: car.state().time_s, setup: car.setup().clone(), settled_s, seen }
    }
}
