//! A car in the bay: parameters, state, and the one way time passes.

mod air_side;
mod contents;
mod electric;
mod evacuation;
mod oil_held;
mod repair;
mod service;
mod skins;
mod state;
mod steady;
mod switching;
mod view;
mod weeks;

pub use contents::GasShares;
pub use evacuation::{Charging, Phase, Port};
pub use oil_held::POURS_SHARE;
pub use repair::{TakenOff, TestGas};
pub use service::{AIR_AROUND_M3, Service};
pub use skins::LOOKED_AT;
pub use state::{CarState, Effort, Stalled};
pub use steady::NotSteady;
pub use weeks::{Driven, Week};

use std::sync::Arc;

use crate::car::evacuation::Counted;
use crate::fluid::{Fluid, FluidError};
use crate::loop_model::layout::{EVAPORATOR_CELLS, Layout, Role};
use crate::loop_model::state::LoopState;
use crate::loop_model::step::{NotConverged, Solver, StepReport};
use crate::loop_model::streams::Drive;
use crate::loop_model::volume::Outside;
use crate::parts::cabin::CabinState;
use crate::parts::circuit::CircuitState;
use crate::parts::clutch::ClutchState;
use crate::parts::condenser::FanStage;
use crate::parts::controls::ControlState;
use crate::parts::drain::Sump;
use crate::parts::engine_bay::EngineBayState;
use crate::parts::evaporator::Wetness;
use crate::parts::moisture::Ice;
use crate::parts::relief_valve::ReliefValve;
use crate::parts::skin::Skin;
use crate::parts::water::Water;
use crate::setup::{Outdoors, Setup, Weather};
use crate::spec::{CarSpec, Leak};

/// A car whose air conditioning is being simulated.
///
/// `Car` is parameters + state; [`Car::advance`] is the only way time passes.
#[derive(Clone, Debug)]
pub struct Car {
    /// What is in the loop.
    fluid: Arc<Fluid>,
    /// What the label says, and the valve's sensing element holds.
    label: Arc<Fluid>,
    spec: CarSpec,
    layout: Layout,
    weather: Weather,
    outdoors: Outdoors,
    setup: Setup,
    state: CarState,
    solver: Solver,
    outside: Vec<Outside>,
    next_step_s: f64,
}

/// Longest step, s.
const LONGEST_STEP_S: f64 = 3.0;
/// Most that a step may be longer than the one before, as a multiple of it.
const STEP_GROWTH: f64 = 3.0;
/// First step after something switched, s.
const STEP_AFTER_SWITCH_S: f64 = 0.2;
/// First step after the fan changed its stage, s: the condenser's metal stands between.
const STEP_AFTER_FAN_S: f64 = 0.5;
/// Shortest step before giving up, s.
const SHORTEST_STEP_S: f64 = 1e-5;

impl Car {
    /// A car that has stood for a long time in the weather given: everything at outside temperature.
    ///
    /// # Errors
    /// [`FluidError`] when the refrigerant is not known.
    pub fn soaked(spec: CarSpec, weather: Weather) -> Result<Self, FluidError> {
        let fluid = Arc::new(Fluid::by_name(&spec.refrigerant)?);
        Ok(Self::soaked_with(fluid, spec, weather))
    }

    /// The same, sharing the refrigerant on the label that was made before. A car whose refrigerant is
    /// mixed has a blend made for it, which takes some milliseconds.
    #[must_use]
    pub fn soaked_with(label: Arc<Fluid>, mut spec: CarSpec, weather: Weather) -> Self {
        let fluid = in_the_loop(Arc::clone(&label), &spec);
        let debris = spec.debris.resting(spec.filters_liquid());
        // What the debris leaves of what was open before.
        if debris.total_kg() > 0.0 {
            let narrow = |blockage: &mut f64, open: f64| *blockage = 1.0 - (1.0 - *blockage) * open;
            narrow(&mut spec.condenser.tube_blockage, debris.condenser_open());
            narrow(&mut spec.storage.blockage, debris.filter_open());
        }
        let layout = Layout::of(&spec);
        let t = weather.temperature_k;
        let humidity = weather.humidity_ratio();
        let charge = spec.label_charge_kg * spec.charge_share;
        let mut refrigerant = LoopState::soaked(&fluid, &layout, charge, t);
        refrigerant.spread_air(&fluid, &layout, spec.contents.air_kg);
        refrigerant.water = Water::of(&spec.contents);
        refrigerant.stroke = spec.compressor.capacity.resting_stroke();
        let state = CarState {
            time_s: 0.0,
            refrigerant,
            wetness: [Wetness::default(); EVAPORATOR_CELLS],
            air_off_k: [t; EVAPORATOR_CELLS],
            air_off_humidity: [humidity; EVAPORATOR_CELLS],
            air_flow_kg_s: 0.0,
            sump: Sump::default(),
            vents_k: [t; 3],
            supply_k: t,
            cabin: CabinState {
                air_k: t,
                humidity_ratio: humidity,
                interior_k: t,
            },
            bay: EngineBayState {
                bay_k: t,
                coolant_k: t,
            },
            condenser_air_off_k: t,
            face_velocity_m_s: 0.0,
            clutch: ClutchState {
                engaged: false,
                temperature_k: t,
                grip: 0.0,
            },
            circuit: CircuitState::default(),
            fuse_whole: true,
            controls: ControlState {
                low_tripped: false,
                cycling_tripped: false,
                high_tripped: false,
                frost_tripped: false,
                ambient_tripped: false,
                fan_high: false,
                fan_coolant: false,
                evaporator_sensor_k: t,
                off_for_s: 1e6,
                relay_closed: false,
                command: 0.0,
                gathered: 0.0,
            },
            fan_stage: FanStage::Off,
            compressor_rev_s: 0.0,
            rubbing_w: 0.0,
            motor_heat_w: 0.0,
            relief_open: false,
            clutch_engagements: 0,
            air_duty_w: 0.0,
            condensate_kg: 0.0,
            ice: Ice::none(t),
            debris,
            skins: [Skin::dry(t); LOOKED_AT.len()],
            service: Service::none(weather.pressure_pa()),
        };
        let solver = Solver::new(&layout);
        let outside = vec![
            Outside::Dry {
                conductance_w_per_k: 0.0,
                air_k: t
            };
            layout.volumes.len()
        ];
        let mut car = Self {
            fluid,
            label,
            spec,
            layout,
            weather,
            outdoors: Outdoors::of(&weather),
            setup: Setup::parked(),
            state,
            solver,
            outside,
            next_step_s: STEP_AFTER_SWITCH_S,
        };
        // The pressure switches know the pressure of a standing car.
        let observed = car.observed();
        car.state.controls = car.spec.controls.look(car.state.controls, &observed);
        car.settle_circuit();
        car
    }

    /// Brings engine and bay to what a drive leaves them at: the customer has just driven in.
    pub fn warm_engine(&mut self) {
        self.state.bay.coolant_k = self.spec.bay.warm_coolant_k;
        self.state.bay.bay_k = self.weather.temperature_k + 0.5 * self.spec.bay.standing_rise_k;
    }

    /// Opens a way out for refrigerant, besides the leaks the car has; one of no area is shut again.
    pub fn set_opening(&mut self, opening: Leak) {
        let Some(index) = self.layout.index_of(opening.role) else {
            return;
        };
        let openings = &mut self.state.service.openings;
        openings.retain(|one| (one.role, one.place) != (opening.role, opening.place));
        if opening.area_m2 > 0.0 {
            openings.push(opening);
        }
        let area_m2 = |ways: &[Leak]| -> f64 {
            let here = ways.iter().filter(|way| way.role == opening.role);
            here.map(|way| way.area_m2).sum()
        };
        self.layout.volumes[index].leak_area_m2 =
            area_m2(&self.spec.leaks) + area_m2(&self.state.service.openings);
        self.next_step_s = self.next_step_s.min(STEP_AFTER_SWITCH_S);
        self.solver.forget();
    }

    /// The relief valve as it stands.
    pub(super) fn relief(&self) -> ReliefValve {
        ReliefValve {
            opens_pa: self.spec.relief_pressure_pa,
            popped: self.state.relief_open,
        }
    }

    /// Pressure in the compressor's head, Pa gauge.
    pub(super) fn head_gauge_pa(&self) -> f64 {
        self.pressure_pa(Role::CompressorHead) - self.outdoors.pressure_pa
    }

    /// Lets time pass with the controls set as given.
    ///
    /// # Errors
    /// [`Stalled`] when no step short enough settles.
    pub fn advance(&mut self, setup: &Setup, seconds: f64) -> Result<(), Stalled> {
        self.advance_watched(setup, seconds, |_, _| {})
    }

    /// The same, showing the car after every step of the integrator with the step's length.
    ///
    /// # Errors
    /// [`Stalled`] when no step short enough settles.
    pub fn advance_watched(
        &mut self,
        setup: &Setup,
        seconds: f64,
        mut watch: impl FnMut(&Self, f64),
    ) -> Result<(), Stalled> {
        if *setup != self.setup {
            self.setup = setup.clone();
            self.next_step_s = self.next_step_s.min(STEP_AFTER_SWITCH_S);
            self.solver.forget();
        }
        let end_s = self.state.time_s + seconds;
        let mut left = seconds;
        while left > 1e-9 {
            let step_s = self.step(left)?;
            left -= step_s;
            if left <= 1e-9 {
                // The clock shows what was asked for, not the last bits of so many steps added up.
                self.state.time_s = end_s;
            }
            watch(self, step_s);
        }
        Ok(())
    }

    /// Tries one step of the loop, with the car's own ring or with one that stands in for it.
    fn try_step(
        &mut self,
        instead: Option<&Layout>,
        step_s: f64,
    ) -> Result<StepReport, NotConverged> {
        self.set_outside(step_s);
        let compressor = &self.spec.compressor;
        let stroke = self.state.refrigerant.stroke;
        let drive = Drive {
            fluid: &self.fluid,
            sensing_charge: &self.label,
            layout: instead.unwrap_or(&self.layout),
            compressor,
            stroke: compressor
                .capacity
                .stroke(stroke, self.solenoid_a(), step_s),
            expansion: &self.spec.expansion,
            expansion_open: self.state.expansion_open(),
            bay_k: self.state.bay.bay_k,
            compressor_rev_s: self.state.compressor_rev_s,
            outside: &self.outside,
            ambient_pa: self.outdoors.pressure_pa,
            relief: instead.is_none().then(|| self.relief()),
            machine_pa: self.state.service.machine_pa,
            machine_vents: self.state.service.pump_on,
            inflow: if instead.is_some() {
                None
            } else {
                self.inflow()
            },
        };
        let tried = self
            .solver
            .step(&drive, &mut self.state.refrigerant, step_s);
        self.solver.refused += u64::from(tried.is_err());
        tried
    }

    /// One accepted step no longer than `most_s`; returns its length.
    fn step(&mut self, most_s: f64) -> Result<f64, Stalled> {
        self.switch();
        let counted = self.counted();
        if self.settle_thin() {
            let step_s = self.thin_step(most_s);
            return Ok(self.accepted(step_s, counted));
        }
        let horizon_s = self.switch_horizon_s().min(self.to_mass_s());
        let mut step_s = self.next_step_s.min(horizon_s).min(most_s);
        // Two even steps rather than a long and a tiny one.
        if most_s > step_s && most_s < 1.5 * step_s {
            step_s = 0.5 * most_s;
        }
        let mut agreed = false;
        loop {
            match self.try_step(None, step_s) {
                Ok(report) if report.error > 0.0 => {
                    let factor = 0.9 / report.error.sqrt();
                    self.next_step_s = step_s * factor.clamp(0.3, STEP_GROWTH);
                    break;
                }
                Ok(_) => {
                    self.next_step_s = step_s * STEP_GROWTH;
                    break;
                }
                Err(_) => {
                    step_s *= 0.35;
                    if step_s < SHORTEST_STEP_S {
                        if agreed {
                            return Err(Stalled {
                                time_s: self.state.time_s,
                            });
                        }
                        // Once more from pressures that agree with the masses: see there.
                        self.state.refrigerant.agree(&self.fluid, &self.layout);
                        self.solver.forget();
                        agreed = true;
                        step_s = STEP_AFTER_SWITCH_S.min(most_s);
                    }
                }
            }
        }
        self.next_step_s = self.next_step_s.min(LONGEST_STEP_S);
        Ok(self.accepted(step_s, counted))
    }

    /// Moves on what follows the loop after a step of it; returns the step's length.
    fn accepted(&mut self, step_s: f64, counted: Counted) -> f64 {
        self.after(step_s);
        self.after_skins(step_s);
        self.after_service(step_s);
        self.after_evacuation(counted, step_s);
        step_s
    }
}

/// What is really in a car's loop: the label's refrigerant, or a blend with the other one.
fn in_the_loop(label: Arc<Fluid>, spec: &CarSpec) -> Arc<Fluid> {
    let share = spec.contents.other_share;
    if share <= 0.0 {
        return label;
    }
    let other = match spec.refrigerant.as_str() {
        "R-134a" => "R-1234yf",
        _ => "R-134a",
    };
    // Both names are known and a share is a share, so a blend there is.
    Fluid::blend(&spec.refrigerant, other, share).map_or(label, Arc::new)
}
