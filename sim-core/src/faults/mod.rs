//! Faults: a change to parts, with a severity.
//!
//! A fault turns one or more [`Knob`]s, each a property of a part: an area, a
//! resistance, a share that is blocked. It cannot see an instrument, and there
//! is no knob for a pressure or a temperature of the running loop: what a gauge
//! shows comes out of the balances.

mod knob;
mod size;

pub use knob::{KNOBS, Knob, KnobInfo};

use crate::spec::CarSpec;

/// One knob and how far a fault turns it at full severity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effect {
    /// What is changed.
    pub knob: Knob,
    /// Its value at severity 1, in the knob's unit.
    pub full: f64,
}

/// A failure mode: what it does to the car at full severity.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// Changes, applied in order.
    pub effects: Vec<Effect>,
}

impl Fault {
    /// A fault that turns one knob.
    #[must_use]
    pub fn one(knob: Knob, full: f64) -> Self {
        Self {
            effects: vec![Effect { knob, full }],
        }
    }

    /// Applies the fault to a car. Severity 0 changes nothing; each knob moves in
    /// a straight line from its healthy value to its value at severity 1.
    ///
    /// ```
    /// use sim_core::faults::{Fault, Knob};
    /// use sim_core::spec::CarSpec;
    /// let mut spec = CarSpec::example();
    /// Fault::one(Knob::CondenserFaceBlocked, 0.8).apply(&mut spec, 0.5);
    /// assert!((spec.condenser.air_blockage - 0.4).abs() < 1e-12);
    /// ```
    pub fn apply(&self, spec: &mut CarSpec, severity: f64) {
        let severity = severity.clamp(0.0, 1.0);
        for effect in &self.effects {
            let healthy = effect.knob.info().healthy;
            let value = healthy + severity * (effect.full - healthy);
            effect.knob.turn(spec, value);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Some car has what a knob turns; every car stays as it is at its healthy value.
    #[test]
    fn every_knob_is_healthy_at_zero_and_changes_something_at_its_limits() {
        let cars = [
            CarSpec::example(),
            CarSpec::example_with_orifice_tube(),
            CarSpec::example_with_motor(),
        ];
        let turned = |car: &CarSpec, fault: &Fault, severity: f64| {
            let mut turned = car.clone();
            fault.apply(&mut turned, severity);
            turned != *car
        };
        for info in KNOBS {
            for limit in [info.least, info.most] {
                let fault = Fault::one(info.knob, limit);
                for car in &cars {
                    assert!(!turned(car, &fault, 0.0), "{} at severity 0", info.name);
                }
                let somewhere = cars.iter().any(|car| turned(car, &fault, 1.0));
                assert!(
                    somewhere || limit == info.healthy,
                    "{} at {limit}",
                    info.name
                );
            }
        }
    }

    #[test]
    fn two_faults_on_one_part_add_up() {
        let mut spec = CarSpec::example();
        let half = Fault::one(Knob::CondenserFaceBlocked, 0.5);
        half.apply(&mut spec, 1.0);
        half.apply(&mut spec, 1.0);
        assert!((spec.condenser.air_blockage - 0.75).abs() < 1e-12);
    }
}
