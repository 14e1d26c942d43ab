//! Hoses, exchangers, bottle and expansion device: what refrigerant flows through.

use super::{RefrigerantSide, part};
use crate::checked::{Build, Positive, Share};
use crate::quantity::{
    AbsolutePressure, Area, Duration, HeatCapacity, Mass, MassFlow, PressureDifference,
    ThermalConductance, Volume,
};
use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::parts::condenser::{Condenser as CondenserSpec, Subcooler as SubcoolerSpec};
use sim_core::parts::evaporator::Evaporator as EvaporatorSpec;
use sim_core::parts::expansion_valve::ExpansionValve as ValveSpec;
use sim_core::parts::orifice_tube::OrificeTube as OrificeSpec;
use sim_core::parts::storage::{Place, Storage};
use sim_core::spec::Hose as HoseSpec;

part! {
    /// A hose or pipe of the loop.
    Hose for HoseSpec {
        /// Inner volume.
        volume: Positive<Volume> => volume_m3,
        /// Flow area times discharge coefficient.
        flow_area: Positive<Area> => flow_area_m2,
        /// Heat capacity of the wall.
        heat_capacity: Positive<HeatCapacity> => heat_capacity_j_per_k,
        /// From refrigerant to wall.
        refrigerant_side: RefrigerantSide => refrigerant_side,
        /// From the wall to the air of the engine bay.
        to_bay: Positive<ThermalConductance> => outside_w_per_k,
    }
    and |_part| { blockage: 0.0, }
}

part! {
    /// The condenser.
    Condenser for CondenserSpec {
        /// Volume of the condensing passes.
        volume: Positive<Volume> => volume_m3,
        /// The pass behind a receiver built into it.
        subcooler: Option<Subcooler> => subcooler,
        /// Heat capacity of the metal.
        heat_capacity: Positive<HeatCapacity> => heat_capacity_j_per_k,
        /// From refrigerant to metal, for the whole core.
        refrigerant_side: RefrigerantSide => refrigerant_side,
        /// From the metal to air at 2 m/s, for the whole core.
        air_side: Positive<ThermalConductance> => air_conductance_w_per_k,
        /// Face area.
        face_area: Positive<Area> => face_area_m2,
        /// Flow area of the condensing passes times discharge coefficient.
        passage_area: Positive<Area> => passage_area_m2,
    }
    and |_part| { air_blockage: 0.0, tube_blockage: 0.0, fins_bent: 0.0, fin_loss: 0.0, }
}

part! {
    /// The pass of a condenser that cools what its receiver hands on.
    Subcooler for SubcoolerSpec {
        /// Volume.
        volume: Positive<Volume> => volume_m3,
        /// Share of the core.
        core_share: Share => core_share,
    }
    and |_part| {}
}

/// The bottle that keeps spare refrigerant and the drier.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Bottle {
    /// Where it is.
    pub place: BottlePlace,
    /// Volume, desiccant taken off.
    pub volume: Positive<Volume>,
    /// Heat capacity of bottle and drier.
    pub heat_capacity: Positive<HeatCapacity>,
    /// From what it holds to its wall.
    pub inside: Positive<ThermalConductance>,
    /// From its wall to the air around.
    pub outside: Positive<ThermalConductance>,
    /// Flow area of its outlet, with the subcooling pass where one follows, times discharge
    /// coefficient.
    pub outlet_area: Positive<Area>,
}

/// Where the bottle is.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum BottlePlace {
    /// A receiver on the side of the condenser.
    InCondenser,
    /// A receiver in the liquid line.
    LiquidLine,
    /// An accumulator behind the evaporator.
    Suction,
}

impl Build for Bottle {
    type Built = Storage;

    fn build(&self) -> Storage {
        Storage {
            place: match self.place {
                BottlePlace::InCondenser => Place::InCondenser,
                BottlePlace::LiquidLine => Place::LiquidLine,
                BottlePlace::Suction => Place::Suction,
            },
            volume_m3: self.volume.build(),
            heat_capacity_j_per_k: self.heat_capacity.build(),
            inside_w_per_k: self.inside.build(),
            outside_w_per_k: self.outside.build(),
            outlet_area_m2: self.outlet_area.build(),
            blockage: 0.0,
        }
    }
}

part! {
    /// The orifice tube.
    OrificeTube for OrificeSpec {
        /// Flow area times discharge coefficient.
        area: Positive<Area> => area_m2,
    }
    and |_part| { blockage: 0.0, bypass_area_m2: 0.0, }
}

part! {
    /// The thermal expansion valve.
    ThermalValve for ValveSpec {
        /// Flow area times discharge coefficient with the needle fully lifted.
        full_area: Positive<Area> => full_area_m2,
        /// Share of that area which stays open with the needle seated.
        bleed_share: Share => bleed_share,
        /// Pressure of the spring with the needle seated.
        spring: Positive<PressureDifference> => spring_pressure_pa,
        /// Pressure beyond the spring that lifts the needle fully.
        full_lift: Positive<PressureDifference> => full_lift_pressure_pa,
        /// Time the sensing element takes to follow.
        sensing_lag: Positive<Duration> => sensing_lag_s,
        /// Pressure at which the sensing charge has boiled dry and stops rising.
        pressure_limit: Positive<AbsolutePressure> => pressure_limit_pa,
    }
    and |_part| {
        least_lift: 0.0,
        greatest_lift: 1.0,
        sensing_charge_lost: 0.0,
        sensing_contact_lost: 0.0,
        screen_blockage: 0.0,
    }
}

part! {
    /// The evaporator.
    Evaporator for EvaporatorSpec {
        /// Volume for refrigerant.
        volume: Positive<Volume> => volume_m3,
        /// Heat capacity of the metal.
        heat_capacity: Positive<HeatCapacity> => heat_capacity_j_per_k,
        /// From refrigerant to metal, for the whole core.
        refrigerant_side: RefrigerantSide => refrigerant_side,
        /// From air to metal at the rated air flow, for the whole core.
        air_side: Positive<ThermalConductance> => air_conductance_w_per_k,
        /// Dry air per time at which that holds.
        rated_air_flow: Positive<MassFlow> => rated_air_flow_kg_s,
        /// Flow area of the passes times discharge coefficient.
        passage_area: Positive<Area> => passage_area_m2,
        /// Frost that closes the whole core.
        frost_to_block: Positive<Mass> => frost_to_block_kg,
        /// Water the fins hold before they drip.
        water_held: Positive<Mass> => water_held_kg,
        /// Water the case below holds before it runs over.
        sump: Positive<Mass> => sump_kg,
    }
    and |_part| { air_blockage: 0.0, tube_blockage: 0.0, drain_blockage: 0.0, }
}
