//! Switches and sensors that decide when clutch and fan run.
//!
//! A switch trips at one value and comes back at another ([`Hysteresis`]); the compressor is asked for
//! where none is tripped and it has been off for its least time, which a cycling switch does not wait for.
//! A command to a control valve or to a compressor's own motor is proportional and integral: u = g + K e, dg/dt = K_i e, both held within
//! 0 and 1, with e the evaporator sensor above its target, K; K per kelvin, K_i per kelvin and second.
//! Pressures are in Pa above the air outside, temperatures in K, times in s. Source: common practice, no
//! source; a vehicle's file has its set points. Range: cut-outs of 0.15 to 3.5 MPa gauge, 0 to 8 °C at the
//! evaporator, 95 to 105 °C of coolant; the sensors in front of it clamp what they can tell
//! ([`super::sensors`]).

use crate::parts::condenser::FanStage;
use crate::parts::sensors::Sensors;

/// A quantity that switches off beyond one value and on again at another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hysteresis {
    /// The value at which the contact changes to its tripped side.
    pub trip: f64,
    /// The value at which it comes back.
    pub reset: f64,
}

impl Hysteresis {
    /// Whether the contact is tripped, from what it was and the quantity now.
    ///
    /// Trips upward when `trip` lies above `reset`, else downward.
    #[must_use]
    pub fn tripped(&self, was: bool, value: f64) -> bool {
        if self.trip > self.reset {
            if was {
                value > self.reset
            } else {
                value >= self.trip
            }
        } else if was {
            value < self.reset
        } else {
            value <= self.trip
        }
    }

    /// The value at which the contact would change next.
    #[must_use]
    pub fn next_edge(&self, was: bool) -> f64 {
        if was { self.reset } else { self.trip }
    }
}

/// Set points of the control, pressures gauge in Pa, temperatures in K.
#[derive(Clone, Debug, PartialEq)]
pub struct Controls {
    /// Low-pressure cut-out by the high-side transducer, Pa gauge.
    pub low_cut_out_pa: Option<Hysteresis>,
    /// Switch on the accumulator that lets the clutch go before the core freezes, Pa gauge.
    pub cycling_pa: Option<Hysteresis>,
    /// High-pressure cut-out, Pa gauge.
    pub high_cut_out_pa: Hysteresis,
    /// Evaporator temperature cut-out, K.
    pub frost_cut_out_k: Option<Hysteresis>,
    /// Command to a compressor whose displacement or speed the control sets.
    pub command: Option<EvaporatorTarget>,
    /// Fan to high, Pa gauge.
    pub fan_high_pa: Hysteresis,
    /// Fan to high for the engine's sake, K of coolant.
    pub fan_coolant_k: Hysteresis,
    /// Outside temperature below which the compressor is not let in, K.
    pub ambient_cut_out_k: Hysteresis,
    /// Time constant of the evaporator sensor, s.
    pub evaporator_sensor_lag_s: f64,
    /// Least time the clutch stays off once the control switched it off, s. A cycling switch does so
    /// by itself and lets it in as soon as it closes.
    pub least_off_s: f64,
    /// Error of the evaporator sensor, K.
    pub evaporator_sensor_bias_k: f64,
    /// Error of the pressure transducer, Pa.
    pub transducer_bias_pa: f64,
    /// Error of the cycling switch's set points, Pa.
    pub cycling_bias_pa: f64,
    /// What faults have done to the sensors and their wires.
    pub sensors: Sensors,
}

/// Proportional and integral control of the evaporator's temperature by displacement.
#[derive(Clone, Debug, PartialEq)]
pub struct EvaporatorTarget {
    /// Evaporator sensor aimed at, K.
    pub target_k: f64,
    /// Command for each kelvin above it.
    pub gain_per_k: f64,
    /// Command gathered each second for each kelvin above it.
    pub integral_per_k_s: f64,
}

impl EvaporatorTarget {
    /// Command from 0 to 1 for a sensor's value, and what is gathered of it over a step.
    #[must_use]
    pub fn command(&self, gathered: f64, sensor_k: f64, step_s: f64) -> (f64, f64) {
        let excess = sensor_k - self.target_k;
        let gathered = (gathered + self.integral_per_k_s * excess * step_s).clamp(0.0, 1.0);
        (
            (gathered + self.gain_per_k * excess).clamp(0.0, 1.0),
            gathered,
        )
    }
}

/// What the control carries through time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ControlState {
    /// Low-pressure cut-out open.
    pub low_tripped: bool,
    /// Cycling switch open.
    pub cycling_tripped: bool,
    /// High-pressure cut-out open.
    pub high_tripped: bool,
    /// Evaporator cut-out open.
    pub frost_tripped: bool,
    /// Too cold outside.
    pub ambient_tripped: bool,
    /// Fan asked to high by pressure.
    pub fan_high: bool,
    /// Fan asked to high by coolant.
    pub fan_coolant: bool,
    /// Evaporator sensor, K, before what its wire does to it.
    pub evaporator_sensor_k: f64,
    /// Seconds since the control last switched the clutch off.
    pub off_for_s: f64,
    /// The control draws the clutch relay's coil to ground: it asks for the compressor.
    pub relay_closed: bool,
    /// Command to the control valve or the motor, 0 to 1.
    pub command: f64,
    /// What the control has gathered of it.
    pub gathered: f64,
}

/// What the control looks at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Observed {
    /// Air conditioning asked for, engine running and blower on.
    pub asked: bool,
    /// Engine running.
    pub running: bool,
    /// Pressure at the transducer, Pa gauge, as the control reads it.
    pub high_side_pa: f64,
    /// Pressure at the accumulator or suction side, Pa gauge.
    pub low_side_pa: f64,
    /// Evaporator sensor, K, as the control reads it.
    pub evaporator_k: f64,
    /// Ambient sensor, K, as the control reads it.
    pub ambient_k: f64,
    /// No sensor shows what only a broken wire or a short would.
    pub believed: bool,
    /// Nothing at high voltage leaks to the body beyond what the car allows.
    pub insulated: bool,
    /// Coolant, K.
    pub coolant_k: f64,
}

/// Why a control does not ask for the compressor, as far as its own inputs tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HoldOff {
    /// Engine, switch or blower is off.
    NotAsked,
    /// A sensor shows what cannot be.
    Sensor,
    /// High voltage leaks to the body.
    Insulation,
    /// Low cut-out open.
    LowPressure,
    /// Cycling switch open.
    Cycling,
    /// High cut-out open.
    HighPressure,
    /// Evaporator cut-out open.
    Frost,
    /// Too cold outside.
    Ambient,
    /// Off for less than the least time.
    Resting,
}

impl Controls {
    /// Whether a sensor sits in the evaporator: something needs it, a cut-out or a command.
    #[must_use]
    pub fn has_evaporator_sensor(&self) -> bool {
        self.frost_cut_out_k.is_some() || self.command.is_some()
    }

    /// Why the compressor is not asked for; `None` where it is.
    #[must_use]
    pub fn hold_off(&self, state: &ControlState, observed: &Observed) -> Option<HoldOff> {
        let rested = state.relay_closed || state.off_for_s >= self.least_off_s;
        [
            (!observed.asked, HoldOff::NotAsked),
            (!observed.believed, HoldOff::Sensor),
            (!observed.insulated, HoldOff::Insulation),
            (state.low_tripped, HoldOff::LowPressure),
            (state.cycling_tripped, HoldOff::Cycling),
            (state.high_tripped, HoldOff::HighPressure),
            (state.ambient_tripped, HoldOff::Ambient),
            (state.frost_tripped, HoldOff::Frost),
            (!rested, HoldOff::Resting),
        ]
        .into_iter()
        .find_map(|(holds, why)| holds.then_some(why))
    }

    /// Lets every switch look once, and closes or opens the clutch relay.
    ///
    /// One transducer on the high side serves both pressure cut-outs, as on
    /// most cars: what it reads low is a loop that has lost its charge. A cycling
    /// switch feels the low side itself.
    #[must_use]
    pub fn look(&self, state: ControlState, observed: &Observed) -> ControlState {
        let low_tripped = tripped(
            self.low_cut_out_pa,
            state.low_tripped,
            observed.high_side_pa,
        );
        let cycling_tripped = tripped(
            self.cycling_pa,
            state.cycling_tripped,
            observed.low_side_pa - self.cycling_bias_pa,
        );
        let high_tripped = self
            .high_cut_out_pa
            .tripped(state.high_tripped, observed.high_side_pa);
        let frost_tripped = tripped(
            self.frost_cut_out_k,
            state.frost_tripped,
            observed.evaporator_k,
        );
        let ambient_tripped = self
            .ambient_cut_out_k
            .tripped(state.ambient_tripped, observed.ambient_k);
        let looked = ControlState {
            low_tripped,
            cycling_tripped,
            high_tripped,
            frost_tripped,
            ambient_tripped,
            ..state
        };
        let why_not = self.hold_off(&looked, observed);
        let relay_closed = why_not.is_none();
        ControlState {
            fan_high: self
                .fan_high_pa
                .tripped(state.fan_high, observed.high_side_pa),
            fan_coolant: self
                .fan_coolant_k
                .tripped(state.fan_coolant, observed.coolant_k),
            relay_closed,
            off_for_s: match why_not {
                // The switch sits in the circuit of the relay's coil, and nobody waits for it.
                Some(HoldOff::Cycling) if state.relay_closed => self.least_off_s,
                Some(_) if state.relay_closed => 0.0,
                _ => state.off_for_s,
            },
            ..looked
        }
    }

    /// Stage the fan is asked for.
    #[must_use]
    pub fn fan_stage(&self, state: &ControlState, observed: &Observed) -> FanStage {
        if !observed.running {
            FanStage::Off
        } else if state.fan_high || state.fan_coolant {
            FanStage::High
        } else if observed.asked {
            FanStage::Low
        } else {
            FanStage::Off
        }
    }
}

/// Whether a switch is tripped, where the car has it.
fn tripped(switch: Option<Hysteresis>, was: bool, value: f64) -> bool {
    switch.is_some_and(|switch| switch.tripped(was, value))
}
