//! Fan, air box and cabin: what air flows through.

use super::part;
use crate::checked::{Build, Positive, Share};
use crate::quantity::{
    Area, HeatCapacity, MassFlow, PressureDifference, Speed, ThermalConductance, Volume, VolumeFlow,
};
use crate::spanned::Spanned;
use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::parts::air_box::AirBox as AirBoxSpec;
use sim_core::parts::cabin::Cabin as CabinSpec;
use sim_core::parts::condenser::CondenserFan as FanSpec;
use sim_core::parts::outlets::Outlets;

part! {
    /// The fan at the condenser and the air the road brings.
    Fan for FanSpec {
        /// Air speed at the face on the low stage.
        low_speed: Positive<Speed> => low_velocity_m_s,
        /// Air speed at the face on the high stage.
        high_speed: Positive<Speed> => high_velocity_m_s,
        /// Air speed at the face as a share of road speed.
        ram_share: Share => ram_share,
        /// Share of the air leaving the condenser that comes round again with the car standing.
        recirculated_share: Share => recirculated_share,
    }
    and |_part| {
        motor_loss: 0.0,
        low_stage_loss: 0.0,
        high_stage_loss: 0.0,
        reversed: 0.0,
        shroud_missing: 0.0,
        seals_missing: 0.0,
    }
}

part! {
    /// Blower, doors and heater core.
    AirBox for AirBoxSpec {
        /// Air of each blower step from the lowest, filter clean and evaporator dry.
        blower_steps: BlowerSteps => blower_flow_m3_s,
        /// Pressure the blower makes on its top step with no way out for the air.
        blower_shut_off: Positive<PressureDifference> => blower_shut_off_pa,
        /// Pressure the clean, dry box takes at the top step's air.
        clean_drop: Spanned<Positive<PressureDifference>> => clean_drop_pa,
        /// Share of cabin air drawn with the intake door on recirculation.
        recirculation_share: Share => recirculation_share,
        /// Share of the way to the coolant's temperature that air past the heater core goes.
        heater_effectiveness: Share => heater_effectiveness,
        /// A valve shuts the coolant off at full cold.
        heater_valve: bool => heater_valve,
        /// Share of the air that passes the heater core at full cold as the box is made.
        blend_door_gap: Spanned<Share> => blend_door_gap,
        /// Heat capacity of ducts and case.
        duct_heat_capacity: Positive<HeatCapacity> => duct_heat_capacity_j_per_k,
        /// From the cabin into the ducts.
        duct_gain: Positive<ThermalConductance> => duct_gain_w_per_k,
    }
    and |_part| {
        outlets: Outlets::default(),
        filter_blockage: 0.0,
        blower_loss: 0.0,
        lower_steps_loss: 0.0,
        blend_leak: 0.0,
        blend_least: 0.0,
        blend_greatest: 1.0,
        heater_valve_leak: 0.0,
        intake_leak: 0.0,
        intake_stuck_in: 0.0,
    }
}

/// The blower's steps, the lowest first; off is not written.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(transparent)]
pub struct BlowerSteps(
    /// Air of each step.
    pub Spanned<Vec<Positive<VolumeFlow>>>,
);

impl Build for BlowerSteps {
    type Built = Vec<f64>;

    fn build(&self) -> Vec<f64> {
        let steps = self.0.get_ref().iter().map(Build::build);
        std::iter::once(0.0).chain(steps).collect()
    }
}

part! {
    /// The cabin.
    Cabin for CabinSpec {
        /// Air inside.
        volume: Positive<Volume> => volume_m3,
        /// Heat capacity of seats, dash and trim.
        interior_heat_capacity: Positive<HeatCapacity> => interior_heat_capacity_j_per_k,
        /// From trim to air.
        interior_to_air: Positive<ThermalConductance> => interior_conductance_w_per_k,
        /// Through body and glass to outside.
        body: Positive<ThermalConductance> => body_conductance_w_per_k,
        /// Glass the sun shines through, times the share it lets in.
        sun_area: Positive<Area> => sun_area_m2,
        /// Air changed through gaps with the doors shut.
        gaps: Positive<MassFlow> => leak_air_kg_s,
        /// Air changed with the doors open.
        open_doors: Positive<MassFlow> => open_door_air_kg_s,
    }
    and |_part| {}
}
