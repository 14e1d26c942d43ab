//! Switches and commands.

use super::{Switch, part};
use crate::checked::{Build, Positive};
use crate::quantity::{Duration, GaugePressure, Temperature};
use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::parts::controls::{Controls as ControlsSpec, EvaporatorTarget as TargetSpec};
use sim_core::parts::sensors::Sensors;

part! {
    /// The switches that guard the loop, and the fan's.
    Controls for ControlsSpec {
        /// High-side pressure below which the clutch is not let in: charge lost.
        low_cut_out: Option<Switch<GaugePressure>> => low_cut_out_pa,
        /// Pressure at the accumulator below which the clutch is let go.
        cycling_switch: Option<Switch<GaugePressure>> => cycling_pa,
        /// High-side pressure above which the clutch is let go.
        high_cut_out: Switch<GaugePressure> => high_cut_out_pa,
        /// Evaporator temperature below which the clutch is let go.
        frost_cut_out: Option<Switch<Temperature>> => frost_cut_out_k,
        /// Outside temperature below which the clutch is not let in.
        ambient_cut_out: Switch<Temperature> => ambient_cut_out_k,
        /// Command to a compressor whose displacement the control sets.
        command: Option<Command> => command,
        /// High-side pressure above which the fan goes to its high stage.
        fan_high: Switch<GaugePressure> => fan_high_pa,
        /// Coolant temperature above which it does.
        fan_coolant: Switch<Temperature> => fan_coolant_k,
        /// Time the evaporator sensor takes to follow.
        evaporator_sensor_lag: Positive<Duration> => evaporator_sensor_lag_s,
        /// Least time the clutch stays off.
        least_off: Positive<Duration> => least_off_s,
    }
    and |_part| {
        evaporator_sensor_bias_k: 0.0,
        transducer_bias_pa: 0.0,
        cycling_bias_pa: 0.0,
        sensors: Sensors::default(),
    }
}

part! {
    /// How the control sets the compressor's displacement.
    Command for TargetSpec {
        /// Evaporator temperature aimed at.
        target: Positive<Temperature> => target_k,
        /// Command, of full, for each kelvin above it.
        gain_per_k: Positive<f64> => gain_per_k,
        /// Command, of full, gathered each second for each kelvin above it.
        integral_per_k_s: Positive<f64> => integral_per_k_s,
    }
    and |_part| {}
}
