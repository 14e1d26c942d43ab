//! Compressor, clutch with its circuit, and the engine that drives them.

use super::part;
use crate::checked::{Build, Positive, Share, TurnsPerSecond};
use crate::quantity::{
    AbsolutePressure, Area, Current, Duration, HeatCapacity, Length, Power, PressureDifference,
    Resistance, Temperature, TemperatureDifference, ThermalConductance, Torque, Voltage, Volume,
};
use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::parts::circuit::{ClutchCircuit as CircuitSpec, Condition, Feeds};
use sim_core::parts::clutch::Clutch as ClutchSpec;
use sim_core::parts::compressor::Compressor as CompressorSpec;
use sim_core::parts::displacement::{Capacity, ControlValve as ControlValveSpec};
use sim_core::parts::engine_bay::EngineBay as EngineSpec;
use sim_core::parts::motor::{Motor as MotorSpec, Turned};

part! {
    /// A compressor with its efficiencies as straight lines over pressure ratio and speed.
    Compressor for CompressorSpec {
        /// Volume swept in one turn.
        displacement: Positive<Volume> => displacement_m3,
        /// Volumetric efficiency at pressure ratio 1 and 1000 rpm.
        volumetric_base: Share => volumetric_base,
        /// Volumetric efficiency lost for each unit of pressure ratio.
        volumetric_loss_per_ratio: Share => volumetric_loss_per_ratio,
        /// Volumetric efficiency lost for each 1000 rpm.
        volumetric_loss_per_1000_rpm: Share => volumetric_loss_per_1000_rpm,
        /// Isentropic efficiency at pressure ratio 1 and 1000 rpm.
        isentropic_base: Share => isentropic_base,
        /// Isentropic efficiency lost for each unit of pressure ratio.
        isentropic_loss_per_ratio: Share => isentropic_loss_per_ratio,
        /// Isentropic efficiency lost for each 1000 rpm.
        isentropic_loss_per_1000_rpm: Share => isentropic_loss_per_1000_rpm,
        /// Torque of seals and bearings.
        friction_torque: Positive<Torque> => friction_torque_n_m,
        /// Heat capacity of the body.
        body_heat_capacity: Positive<HeatCapacity> => body_heat_capacity_j_per_k,
        /// From the discharge gas to the body.
        gas_to_body: Positive<ThermalConductance> => body_conductance_w_per_k,
        /// From the body to the air of the engine bay.
        body_to_bay: Positive<ThermalConductance> => body_loss_w_per_k,
        /// Leak past the discharge valves of a sound compressor.
        valve_leak: Positive<Area> => valve_leak_area_m2,
    }
    and |_part| {
        drag_torque_n_m: 0.0,
        capacity: Capacity::Fixed,
        // The vehicle says what drives it.
        turned: Turned::Belt { pulley_ratio: 1.0 },
    }
}

/// The belt from the engine.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Belt {
    /// Turns of the compressor's pulley for one turn of the engine.
    pub pulley_ratio: Positive<f64>,
}

impl Build for Belt {
    type Built = Turned;

    fn build(&self) -> Turned {
        Turned::Belt {
            pulley_ratio: self.pulley_ratio.build(),
        }
    }
}

part! {
    /// A motor inside the compressor, with its inverter.
    Motor for MotorSpec {
        /// Speed at the least command.
        least_speed: TurnsPerSecond => least_rev_s,
        /// Speed at full command.
        greatest_speed: TurnsPerSecond => greatest_rev_s,
        /// Greatest torque.
        torque: Positive<Torque> => torque_n_m,
        /// Greatest power at the shaft.
        power: Positive<Power> => power_w,
        /// Share of the electric power that reaches the shaft.
        efficiency: Share => efficiency,
        /// Voltage of the battery that drives the car.
        voltage: Positive<Voltage> => voltage_v,
        /// Time in which the shaft follows.
        lag: Positive<Duration> => lag_s,
    }
    and |_part| { power_lost: 0.0, }
}

/// The valve that tilts the plate of a compressor of variable displacement.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ControlValve {
    /// Suction pressure held without current.
    pub set_pressure: Positive<AbsolutePressure>,
    /// Rise of suction pressure from least to full stroke.
    pub band: Positive<PressureDifference>,
    /// Least stroke, of full.
    pub least_stroke: Share,
    /// Time the plate takes to follow.
    pub lag: Positive<Duration>,
    /// The solenoid that moves it; left out for an internal bellows.
    pub solenoid: Option<Solenoid>,
}

/// The solenoid of a control valve.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Solenoid {
    /// How far full current lowers the pressure held.
    pub span: Positive<PressureDifference>,
    /// Current at which that holds.
    pub rated_current: Positive<Current>,
}

impl Build for ControlValve {
    type Built = ControlValveSpec;

    fn build(&self) -> ControlValveSpec {
        let solenoid = self.solenoid.as_ref();
        ControlValveSpec {
            set_pa: self.set_pressure.build(),
            solenoid_span_pa: solenoid.map_or(0.0, |solenoid| solenoid.span.build()),
            rated_a: solenoid.map_or(1.0, |solenoid| solenoid.rated_current.build()),
            band_pa: self.band.build(),
            least_stroke: self.least_stroke.build(),
            greatest_stroke: 1.0,
            lag_s: self.lag.build(),
            shift_pa: 0.0,
            pull_lost: 0.0,
        }
    }
}

part! {
    /// The magnetic clutch.
    Clutch for ClutchSpec {
        /// Air gap between plate and pulley.
        gap: Positive<Length> => design_gap_m,
        /// Current that pulls the plate across that gap.
        pull_in: Positive<Current> => pull_in_a,
        /// Share of that current which still holds the plate once it touches.
        holding_share: Share => holding_share,
        /// Torque carried without slipping at the rated current.
        torque: Positive<Torque> => torque_n_m,
        /// Current at which that torque holds.
        rated_current: Positive<Current> => rated_a,
        /// Heat capacity of plate and pulley.
        heat_capacity: Positive<HeatCapacity> => heat_capacity_j_per_k,
        /// To the air around it, turning.
        to_bay: Positive<ThermalConductance> => cooling_w_per_k,
    }
    and |part| { gap_m: part.gap.build(), friction_loss: 0.0, charred: 0.0, }
}

part! {
    /// The circuit of the clutch's coil.
    ClutchCircuit for CircuitSpec {
        /// The coil at 20 °C.
        coil: Positive<Resistance> => coil_ohm,
        /// Battery, wires, fuse, relay contacts and ground together.
        wiring: Positive<Resistance> => wiring_ohm,
        /// Current that blows the fuse.
        fuse: Positive<Current> => fuse_a,
        /// The coil's connector.
        connector: Positive<Resistance> => connector_ohm,
        /// The relay's own coil.
        relay_coil: Positive<Resistance> => relay_coil_ohm,
    }
    and |_part| {
        // The vehicle says what it feeds.
        feeds: Feeds::Winding,
        shorted_share: 0.0,
        open_ohm: 0.0,
        condition: Condition::default(),
    }
}

part! {
    /// The engine as far as it drives, heats and surrounds the air conditioning.
    Engine for EngineSpec {
        /// Idle speed with the compressor on.
        idle: TurnsPerSecond => idle_rev_s,
        /// Coolant once warm.
        warm_coolant: Positive<Temperature> => warm_coolant_k,
        /// Rise of the bay above outside air, engine hot and car standing.
        bay_rise: Positive<TemperatureDifference> => standing_rise_k,
        /// Time the bay takes to follow.
        bay_lag: Positive<Duration> => bay_lag_s,
        /// Time the coolant takes to warm up.
        warm_up: Positive<Duration> => warm_up_s,
    }
    and |_part| { belt_slip: 0.0, belt_out_of_line_m: 0.0, }
}
