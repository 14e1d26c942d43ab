//! The thermal valve's sensing element during a step: its temperature moves with the outlet it touches.

use crate::dual::Dual;
use crate::loop_model::layout::Role;
use crate::loop_model::state::LoopState;
use crate::loop_model::streams::Drive;
use crate::loop_model::volume::Evaluated;

/// The element at the start of a step, and what it takes to find it at the end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sensing {
    /// Volume it touches.
    pub volume: usize,
    before_k: f64,
    step_over_lag: f64,
    /// Share of the contact lost, and the air that reaches the element instead, K.
    loose: f64,
    air_k: f64,
}

impl Sensing {
    /// The element of a car's valve: it touches the evaporator's outlet.
    pub fn of(drive: &Drive<'_>, state: &LoopState, step_s: f64) -> Self {
        let volumes = &drive.layout.volumes;
        let outlet = volumes
            .iter()
            .rposition(|v| matches!(v.role, Role::Evaporator(_)));
        Self {
            volume: outlet.unwrap_or(volumes.len() - 1),
            before_k: state.sensing_k,
            step_over_lag: drive
                .expansion
                .valve()
                .map_or(0.0, |v| step_s / v.sensing_lag_s),
            loose: drive
                .expansion
                .valve()
                .map_or(0.0, |v| v.sensing_contact_lost),
            air_k: drive.bay_k,
        }
    }

    /// Temperature of the element at the end of the step, K.
    pub fn temperature_k(&self, sensed: &Evaluated) -> Dual<2> {
        let share = self.step_over_lag / (1.0 + self.step_over_lag);
        let felt = sensed
            .temperature_k
            .mix(Dual::constant(self.air_k), Dual::constant(self.loose));
        Dual::constant(self.before_k).mix(felt, Dual::constant(share))
    }

    /// Lift of the needle, over the pressure and enthalpy of the volume it touches; 0 without one.
    pub fn lift(&self, drive: &Drive<'_>, sensed: &Evaluated) -> Dual<2> {
        let Some(valve) = drive.expansion.valve() else {
            return Dual::constant(0.0);
        };
        let temperature = self.temperature_k(sensed);
        let (value, slope) = valve.sensing_pressure_pa(drive.sensing_charge, temperature.value);
        valve.lift(
            temperature.chain(value, slope),
            sensed.at_outlet.pressure_pa,
        )
    }
}
