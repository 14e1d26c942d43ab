//! A car's air conditioning as data: every part's parameters together.

mod example;
mod leak;

pub use leak::{Leak, LeakPlace};

use crate::loop_model::layout::Role;
use crate::parts::air_box::AirBox;
use crate::parts::cabin::Cabin;
use crate::parts::circuit::ClutchCircuit;
use crate::parts::clutch::Clutch;
use crate::parts::compressor::Compressor;
use crate::parts::condenser::{Condenser, CondenserFan};
use crate::parts::contents::Contents;
use crate::parts::controls::Controls;
use crate::parts::debris::Debris;
use crate::parts::engine_bay::EngineBay;
use crate::parts::evaporator::Evaporator;
use crate::parts::expansion::Expansion;
use crate::parts::heat_transfer::RegimeConductance;
use crate::parts::oil::Oil;
use crate::parts::storage::{Place, Storage};

/// All the parameters of one car, healthy or with faults applied.
#[derive(Clone, Debug, PartialEq)]
pub struct CarSpec {
    /// Refrigerant by its designation, as `Fluid::by_name` knows it.
    pub refrigerant: String,
    /// Charge on the label, kg.
    pub label_charge_kg: f64,
    /// Refrigerant in the loop as a share of the label's charge.
    pub charge_share: f64,
    /// What is in the loop besides.
    pub contents: Contents,
    /// Compressor oil.
    pub oil: Oil,
    /// Compressor.
    pub compressor: Compressor,
    /// What the compressor sheds.
    pub debris: Debris,
    /// Its clutch; a compressor without one always turns with its pulley, or has a motor of its own.
    pub clutch: Option<Clutch>,
    /// The circuit of the coil that switches the compressor: the clutch's, or without a clutch the
    /// control valve's; or the one that feeds a motor's inverter.
    pub circuit: ClutchCircuit,
    /// Hose from compressor to condenser.
    pub discharge_line: Hose,
    /// Condenser.
    pub condenser: Condenser,
    /// Fan in front of it.
    pub fan: CondenserFan,
    /// Line from condenser to expansion valve.
    pub liquid_line: Hose,
    /// The bottle for spare refrigerant.
    pub storage: Storage,
    /// Expansion device.
    pub expansion: Expansion,
    /// Evaporator.
    pub evaporator: Evaporator,
    /// Hose from evaporator to compressor.
    pub suction_line: Hose,
    /// Blower, doors, heater core.
    pub air_box: AirBox,
    /// Cabin.
    pub cabin: Cabin,
    /// Engine and the bay around it.
    pub bay: EngineBay,
    /// Switches and sensors.
    pub controls: Controls,
    /// Places where refrigerant gets out.
    pub leaks: Vec<Leak>,
    /// Pressure at which the relief valve opens, Pa gauge.
    pub relief_pressure_pa: f64,
    /// Where the high-side service port and the transducer are.
    pub high_port: HighPort,
    /// The liquid line has a glass to look through: on the drier bottle, where that is in the line.
    pub sight_glass: bool,
}

/// Where the high side is tapped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HighPort {
    /// On the hose from the compressor to the condenser.
    DischargeHose,
    /// On the line from the condenser to the expansion device.
    LiquidLine,
}

impl HighPort {
    /// The volume it taps.
    #[must_use]
    pub fn role(self) -> Role {
        match self {
            Self::DischargeHose => Role::DischargeLine,
            Self::LiquidLine => Role::LiquidLine,
        }
    }
}

/// A pipe or hose with its wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Hose {
    /// Inner volume, m³.
    pub volume_m3: f64,
    /// Effective flow area (area times discharge coefficient) when clean, m².
    pub flow_area_m2: f64,
    /// Heat capacity of the wall, J/K.
    pub heat_capacity_j_per_k: f64,
    /// Conductance from refrigerant to wall.
    pub refrigerant_side: RegimeConductance,
    /// Conductance from wall to the air of the engine bay, W/K.
    pub outside_w_per_k: f64,
    /// Share of the flow area that is blocked.
    pub blockage: f64,
}

impl Hose {
    /// Flow area left by a blockage, m².
    #[must_use]
    pub fn free_area_m2(&self) -> f64 {
        self.flow_area_m2 * open_share(self.blockage)
    }
}

impl CarSpec {
    /// Flow area into the condenser's passes, m², for all of them in series.
    #[must_use]
    pub fn condenser_inlet_area_m2(&self) -> f64 {
        self.condenser.passage_area_m2 * open_share(self.condenser.tube_blockage)
    }

    /// Whether the liquid passes a receiver's filter before the expansion device.
    #[must_use]
    pub fn filters_liquid(&self) -> bool {
        self.storage.place != Place::Suction
    }

    /// Flow area out of the bottle, and through the subcooling pass where it comes next, m².
    #[must_use]
    pub fn storage_outlet_area_m2(&self) -> f64 {
        self.storage.outlet_area_m2 * open_share(self.storage.blockage)
    }
}

/// What a blockage leaves open; never quite nothing, since debris is not a weld.
fn open_share(blockage: f64) -> f64 {
    (1.0 - blockage).clamp(1e-4, 1.0)
}
