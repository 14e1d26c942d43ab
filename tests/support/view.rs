//! What a laboratory would measure on a running car, from its true state.

use sim_core::car::Car;
use sim_core::loop_model::layout::{EVAPORATOR_CELLS, Role};
use sim_core::parts::condenser::FanStage;
use sim_core::setup::Setup;

/// Part of the condenser whose boiling point is called the condensing temperature.
const MIDDLE_OF_CONDENSER: Role = Role::Condenser(2);

/// Truths of one moment, SI; temperatures in °C, differences in K.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// Pressure at the compressor's suction, Pa absolute.
    pub low_pa: f64,
    /// Pressure in the liquid line, Pa absolute.
    pub high_pa: f64,
    /// Saturation at the evaporator's outlet, °C.
    pub evaporating_c: f64,
    /// Saturation in the middle of the condenser, °C.
    pub condensing_c: f64,
    /// Superheat at the evaporator's outlet, K; 0 when wet.
    pub superheat_k: f64,
    /// Subcooling at the outlet of the subcooling pass, K, against the condensing temperature.
    pub subcooling_k: f64,
    /// Quality in the liquid line, below 0 when subcooled.
    pub liquid_line_quality: f64,
    /// Discharge gas, °C.
    pub discharge_c: f64,
    /// Rise of the air through the condenser, K.
    pub condenser_air_k: f64,
    /// Fall of the air through the evaporator, K.
    pub evaporator_air_k: f64,
    /// Centre vent, °C.
    pub vent_c: f64,
    /// Heat from air into the evaporator, W.
    pub capacity_w: f64,
    /// Power into the refrigerant, W.
    pub power_w: f64,
    /// Stroke of the compressor as a share of full; of one with a motor, its speed as a share of full.
    pub stroke: f64,
    /// Stage the fan runs at.
    pub fan: FanStage,
    /// Compressor driven.
    pub driven: bool,
}

/// What the control lets the compressor do, as a share of the most: by its stroke, or by its speed.
#[must_use]
pub fn let_work(car: &Car) -> f64 {
    match car.spec().compressor.turned.motor() {
        Some(motor) => car.state().compressor_rev_s / motor.greatest_rev_s,
        None => car.state().refrigerant.stroke,
    }
}

impl View {
    /// Looks at a car.
    ///
    /// # Panics
    /// When the car lacks a part every vehicle has.
    #[must_use]
    pub fn of(car: &Car) -> Self {
        let celsius = |role| car.refrigerant_temperature_k(role).unwrap() - 273.15;
        let boiling = |pa: f64| car.fluid().saturation(pa).temperature_k - 273.15;
        let outlet = Role::Evaporator(EVAPORATOR_CELLS - 1);
        let evaporating_c = boiling(car.pressure_pa(outlet));
        let condensing_c = boiling(car.pressure_pa(MIDDLE_OF_CONDENSER));
        let state = car.state();
        let (mut flow, mut on, mut off) = (0.0, 0.0, 0.0);
        for (stream, off_k) in car.evaporator_streams().iter().zip(state.air_off_k) {
            flow += stream.flow_kg_s;
            on += stream.flow_kg_s * stream.temperature_k;
            off += stream.flow_kg_s * off_k;
        }
        Self {
            low_pa: car.pressure_pa(Role::SuctionLine),
            high_pa: car.pressure_pa(Role::LiquidLine),
            evaporating_c,
            condensing_c,
            superheat_k: celsius(outlet) - evaporating_c,
            subcooling_k: condensing_c - celsius(car.layout().condenser_outlet()),
            liquid_line_quality: car.quality(Role::LiquidLine).unwrap(),
            discharge_c: celsius(Role::CompressorHead),
            condenser_air_k: state.condenser_air_off_k - car.condenser_air_on_k(),
            evaporator_air_k: (on - off) / flow,
            vent_c: state.vents_k[1] - 273.15,
            capacity_w: state.air_duty_w,
            power_w: state.refrigerant.compressor_power_w,
            stroke: let_work(car),
            fan: state.fan_stage,
            driven: state.compressor_rev_s > 0.0,
        }
    }

    /// Capacity for the power into the refrigerant.
    #[must_use]
    pub fn cop(&self) -> f64 {
        self.capacity_w / self.power_w
    }
}

/// Truths averaged over a time, SI; temperatures in °C.
#[derive(Clone, Copy, Debug, Default)]
pub struct Mean {
    /// Pressure at the compressor's suction, Pa absolute.
    pub low_pa: f64,
    /// Pressure in the liquid line, Pa absolute.
    pub high_pa: f64,
    /// Heat from air into the evaporator, W.
    pub capacity_w: f64,
    /// Least and greatest pressure at the compressor's suction, Pa absolute.
    pub low_between_pa: (f64, f64),
    /// Times the clutch pulled in.
    pub engagements: u32,
}

impl Mean {
    /// Lets a car run, and averages over that time.
    ///
    /// # Panics
    /// When the car stalls.
    pub fn over(car: &mut Car, setup: &Setup, seconds: f64) -> Self {
        let before = car.state().clutch_engagements;
        let mut mean = Self {
            low_between_pa: (f64::MAX, 0.0),
            ..Self::default()
        };
        let watched = car.advance_watched(setup, seconds, |car, step_s| {
            let share = step_s / seconds;
            let low_pa = car.pressure_pa(Role::SuctionLine);
            mean.low_pa += share * low_pa;
            mean.high_pa += share * car.pressure_pa(Role::LiquidLine);
            mean.capacity_w += share * car.state().air_duty_w;
            let (least, greatest) = mean.low_between_pa;
            mean.low_between_pa = (least.min(low_pa), greatest.max(low_pa));
        });
        assert_eq!(watched, Ok(()));
        mean.engagements = car.state().clutch_engagements - before;
        mean
    }
}
