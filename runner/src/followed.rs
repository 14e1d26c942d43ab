//! An instrument that lags behind what it reads while an action takes its time.

use sim_core::car::Car;
use sim_core::instruments::{Check, Extreme, Probe, Truth};

/// An instrument's tip, and what it has swung between.
pub(crate) struct Followed {
    probe: Probe,
    least: f64,
    greatest: f64,
}

impl Followed {
    pub(crate) fn from_start(car: &Car, check: Check, now: Truth) -> Option<Self> {
        let probe = Probe::at_start(car, check, now)?;
        Some(Self {
            probe,
            least: probe.value(),
            greatest: probe.value(),
        })
    }

    pub(crate) fn follow(&mut self, truth: f64, step_s: f64) {
        self.probe.follow(truth, step_s);
        self.least = self.least.min(self.probe.value());
        self.greatest = self.greatest.max(self.probe.value());
    }

    pub(crate) fn shown(&self, check: Check) -> f64 {
        match check {
            Check::GaugeExtreme(_, Extreme::Least) => self.least,
            Check::GaugeExtreme(_, Extreme::Greatest) => self.greatest,
            _ => self.probe.value(),
        }
    }
}
