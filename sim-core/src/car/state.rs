//! What a car carries through time.

use crate::car::service::Service;
use crate::car::skins::LOOKED_AT;
use crate::loop_model::layout::EVAPORATOR_CELLS;
use crate::loop_model::state::LoopState;
use crate::parts::cabin::CabinState;
use crate::parts::circuit::CircuitState;
use crate::parts::clutch::ClutchState;
use crate::parts::condenser::FanStage;
use crate::parts::controls::ControlState;
use crate::parts::debris::Resting;
use crate::parts::drain::Sump;
use crate::parts::engine_bay::EngineBayState;
use crate::parts::evaporator::Wetness;
use crate::parts::expansion::Open;
use crate::parts::moisture::Ice;
use crate::parts::skin::Skin;

/// Everything a car carries through time, besides the loop's own state.
#[derive(Clone, Debug, PartialEq)]
pub struct CarState {
    /// Time since the car was handed over, s.
    pub time_s: f64,
    /// The refrigerant loop.
    pub refrigerant: LoopState,
    /// Water and frost on each part of the evaporator.
    pub wetness: [Wetness; EVAPORATOR_CELLS],
    /// Air leaving each part of the evaporator, K.
    pub air_off_k: [f64; EVAPORATOR_CELLS],
    /// Humidity of that air, kg per kg.
    pub air_off_humidity: [f64; EVAPORATOR_CELLS],
    /// Dry air through the box, kg/s.
    pub air_flow_kg_s: f64,
    /// Water below the evaporator, and where it went.
    pub sump: Sump,
    /// Air at the left, centre and right vents, K.
    pub vents_k: [f64; 3],
    /// Air entering the cabin by all the ways out of the box together, K.
    pub supply_k: f64,
    /// Cabin.
    pub cabin: CabinState,
    /// Engine bay and coolant.
    pub bay: EngineBayState,
    /// Air leaving the condenser, K.
    pub condenser_air_off_k: f64,
    /// Face velocity at the condenser, m/s; negative when a fan turning backwards blows air out at
    /// the front.
    pub face_velocity_m_s: f64,
    /// Clutch.
    pub clutch: ClutchState,
    /// Clutch circuit, its relay's contacts included.
    pub circuit: CircuitState,
    /// Fuse of the clutch circuit whole.
    pub fuse_whole: bool,
    /// Switches and sensors.
    pub controls: ControlState,
    /// Stage the condenser fan is asked for.
    pub fan_stage: FanStage,
    /// Compressor speed, turns per second.
    pub compressor_rev_s: f64,
    /// Heat of internals that rub beyond a healthy compressor's friction, W.
    pub rubbing_w: f64,
    /// Heat that the compressor's own motor and its inverter make, W.
    pub motor_heat_w: f64,
    /// Relief valve open.
    pub relief_open: bool,
    /// Times the clutch has pulled in.
    pub clutch_engagements: u32,
    /// Heat taken from the air by the evaporator, W.
    pub air_duty_w: f64,
    /// Water that has dripped from the evaporator, kg.
    pub condensate_kg: f64,
    /// Ice in the expansion device.
    pub ice: Ice,
    /// Where the compressor's debris lies.
    pub debris: Resting,
    /// Metal and frost of the places that are looked at, in the order of [`LOOKED_AT`].
    pub skins: [Skin; LOOKED_AT.len()],
    /// Traces of work on the car.
    pub service: Service,
}

impl CarState {
    /// What ice and debris leave open of the expansion device.
    #[must_use]
    pub fn expansion_open(&self) -> Open {
        Open {
            passage: self.ice.open_share(),
            screen: self.debris.screen_open(),
        }
    }
}

/// The step became too short to go on: the car's data lie outside what the model can follow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stalled {
    /// Time at which it happened, s.
    pub time_s: f64,
}

impl std::fmt::Display for Stalled {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "the simulation could not go on at {:.1} s: no step short enough settles; check the vehicle's data for a volume, area or charge that is out of proportion",
            self.time_s
        )
    }
}

impl std::error::Error for Stalled {}

/// Effort spent so far; the same on every machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Effort {
    /// Evaluations of all the balances.
    pub evaluations: u64,
    /// Steps refused and tried again shorter.
    pub refused: u64,
}
