//! A car in the bay: parameters, state, and the one way time passes.

use std::sync::Arc;

use crate::air;
use crate::fluid::{Fast, Fluid, FluidError};
use crate::loop_model::layout::{
    CONDENSER_CELLS, EVAPORATOR_CELLS, EVAPORATOR_SHARES, Layout, Role,
};
use crate::loop_model::state::LoopState;
use crate::loop_model::step::Solver;
use crate::loop_model::streams::Drive;
use crate::loop_model::volume::Outside;
use crate::parts::cabin::{CabinInflow, CabinState};
use crate::parts::circuit::{CHARGING_VOLTAGE_V, CircuitState, RESTING_VOLTAGE_V};
use crate::parts::clutch::{ClutchDrive, ClutchState};
use crate::parts::condenser::FanStage;
use crate::parts::controls::{ControlState, Observed};
use crate::parts::engine_bay::{EngineBayState, relax};
use crate::parts::evaporator::{MoistStream, Wetness};
use crate::setup::{Setup, Weather};
use crate::spec::CarSpec;

/// A car whose air conditioning is being simulated.
///
/// `Car` is parameters + state; [`Car::advance`] is the only way time passes.
#[derive(Clone, Debug)]
pub struct Car {
    fluid: Arc<Fluid>,
    spec: CarSpec,
    layout: Layout,
    weather: Weather,
    setup: Setup,
    state: CarState,
    solver: Solver,
    outside: Vec<Outside>,
    next_step_s: f64,
}

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
    /// Air at the left, centre and right vents, K.
    pub vents_k: [f64; 3],
    /// Cabin.
    pub cabin: CabinState,
    /// Engine bay and coolant.
    pub bay: EngineBayState,
    /// Air leaving the condenser, K.
    pub condenser_air_off_k: f64,
    /// Face velocity at the condenser, m/s.
    pub face_velocity_m_s: f64,
    /// Clutch.
    pub clutch: ClutchState,
    /// Clutch circuit.
    pub circuit: CircuitState,
    /// Fuse of the clutch circuit whole.
    pub fuse_whole: bool,
    /// Switches and sensors.
    pub controls: ControlState,
    /// Stage the condenser fan is asked for.
    pub fan_stage: FanStage,
    /// Compressor speed, turns per second.
    pub compressor_rev_s: f64,
    /// Relief valve open.
    pub relief_open: bool,
    /// Times the clutch has pulled in.
    pub clutch_engagements: u32,
    /// Heat taken from the air by the evaporator, W.
    pub air_duty_w: f64,
    /// Water that has dripped from the evaporator, kg.
    pub condensate_kg: f64,
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

/// How far the evaporator sensor, stuck between the fins of the first part, follows the metal
/// rather than the air leaving it (from memory).
const FIN_SHARE: f64 = 0.6;
/// Time in which a vent takes the cabin's temperature with the blower off, s (from memory).
const STILL_VENT_LAG_S: f64 = 60.0;
/// Air that moves through the box by its own weight with the blower off, m³/s (from memory): what
/// warms a cold core after a stop, so that both sides of the loop come together.
const STILL_AIR_M3_S: f64 = 0.004;
/// Longest step, s.
const LONGEST_STEP_S: f64 = 10.0;
/// First step after something switched, s.
const STEP_AFTER_SWITCH_S: f64 = 0.05;
/// Shortest step before giving up, s.
const SHORTEST_STEP_S: f64 = 1e-5;
/// Effective area of an open relief valve, m² (from memory).
const RELIEF_AREA_M2: f64 = 2.0e-6;
/// Share below its opening pressure at which a relief valve shuts again (from memory).
const RELIEF_RESET_SHARE: f64 = 0.9;

impl Car {
    /// A car that has stood for a long time in the weather given: everything at outside temperature.
    ///
    /// # Errors
    /// [`FluidError`] when the refrigerant is not known.
    pub fn soaked(spec: CarSpec, weather: Weather) -> Result<Self, FluidError> {
        let fluid = Arc::new(Fluid::by_name(&spec.refrigerant)?);
        Ok(Self::soaked_with(fluid, spec, weather))
    }

    /// The same, sharing a refrigerant that was made before.
    #[must_use]
    pub fn soaked_with(fluid: Arc<Fluid>, spec: CarSpec, weather: Weather) -> Self {
        let layout = Layout::of(&spec);
        let t = weather.temperature_k;
        let humidity = weather.humidity_ratio();
        let charge = spec.label_charge_kg * spec.charge_share;
        let refrigerant = LoopState::soaked(&fluid, &layout, charge, t);
        let state = CarState {
            time_s: 0.0,
            refrigerant,
            wetness: [Wetness::default(); EVAPORATOR_CELLS],
            air_off_k: [t; EVAPORATOR_CELLS],
            air_off_humidity: [humidity; EVAPORATOR_CELLS],
            air_flow_kg_s: 0.0,
            vents_k: [t; 3],
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
            circuit: spec.circuit.solve(false, true, RESTING_VOLTAGE_V, t),
            fuse_whole: true,
            controls: ControlState {
                low_tripped: false,
                high_tripped: false,
                frost_tripped: false,
                fan_high: false,
                fan_coolant: false,
                evaporator_sensor_k: t,
                off_for_s: 1e6,
                relay_closed: false,
            },
            fan_stage: FanStage::Off,
            compressor_rev_s: 0.0,
            relief_open: false,
            clutch_engagements: 0,
            air_duty_w: 0.0,
            condensate_kg: 0.0,
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
            spec,
            layout,
            weather,
            setup: Setup::parked(),
            state,
            solver,
            outside,
            next_step_s: STEP_AFTER_SWITCH_S,
        };
        // The pressure switches know the pressure of a standing car.
        let observed = car.observed();
        car.state.controls = car.spec.controls.look(car.state.controls, &observed);
        car
    }

    /// Brings engine and bay to what a drive leaves them at: the customer has just driven in.
    pub fn warm_engine(&mut self) {
        self.state.bay.coolant_k = self.spec.bay.warm_coolant_k;
        self.state.bay.bay_k = self.weather.temperature_k + 0.5 * self.spec.bay.standing_rise_k;
    }

    /// Opens a way out for refrigerant at a volume, besides the leaks the car has; 0 shuts it again.
    pub fn set_opening(&mut self, role: Role, area_m2: f64) {
        let leaks: f64 = self
            .spec
            .leaks
            .iter()
            .filter(|leak| leak.role == role)
            .map(|leak| leak.area_m2)
            .sum();
        if let Some(volume) = self.layout.volumes.iter_mut().find(|v| v.role == role) {
            volume.leak_area_m2 = leaks + area_m2;
            self.next_step_s = self.next_step_s.min(STEP_AFTER_SWITCH_S);
            self.solver.forget();
        }
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
        let mut left = seconds;
        while left > 1e-9 {
            let step_s = self.step(left)?;
            left -= step_s;
            watch(self, step_s);
        }
        Ok(())
    }

    /// One accepted step no longer than `most_s`; returns its length.
    fn step(&mut self, most_s: f64) -> Result<f64, Stalled> {
        self.switch();
        let mut step_s = self.next_step_s.min(self.switch_horizon_s()).min(most_s);
        // Two even steps rather than a long and a tiny one.
        if most_s > step_s && most_s < 1.5 * step_s {
            step_s = 0.5 * most_s;
        }
        loop {
            self.set_outside(step_s);
            let drive = Drive {
                fluid: &self.fluid,
                layout: &self.layout,
                compressor: &self.spec.compressor,
                valve: &self.spec.valve,
                compressor_rev_s: self.state.compressor_rev_s,
                outside: &self.outside,
                ambient_pa: self.weather.pressure_pa(),
                relief_area_m2: if self.state.relief_open {
                    RELIEF_AREA_M2
                } else {
                    0.0
                },
            };
            match self
                .solver
                .step(&drive, &mut self.state.refrigerant, step_s)
            {
                Ok(report) if report.error > 0.0 => {
                    let factor = 0.9 / report.error.sqrt();
                    self.next_step_s = step_s * factor.clamp(0.3, 2.2);
                    break;
                }
                Ok(_) => {
                    self.next_step_s = step_s * 2.0;
                    break;
                }
                Err(_) => {
                    self.solver.refused += 1;
                    step_s *= 0.35;
                    if step_s < SHORTEST_STEP_S {
                        return Err(Stalled {
                            time_s: self.state.time_s,
                        });
                    }
                }
            }
        }
        self.next_step_s = self.next_step_s.min(LONGEST_STEP_S);
        self.after(step_s);
        Ok(step_s)
    }

    /// What the control sees now.
    fn observed(&self) -> Observed {
        let running = self.setup.engine_rev_s > 0.0;
        Observed {
            asked: running && self.setup.ac_on && self.setup.blower_step > 0,
            running,
            high_side_pa: self.high_side_gauge_pa() + self.spec.controls.transducer_bias_pa,
            coolant_k: self.state.bay.coolant_k,
        }
    }

    /// Pressure at the transducer's place, Pa gauge, without its error.
    fn high_side_gauge_pa(&self) -> f64 {
        self.pressure_pa(Role::LiquidLine) - self.weather.pressure_pa()
    }

    /// Lets switches, fuse, clutch and relief valve take their position for the coming step.
    fn switch(&mut self) {
        let observed = self.observed();
        let before = (
            self.state.controls.relay_closed,
            self.state.fan_stage,
            self.state.clutch.engaged,
            self.state.relief_open,
        );
        let state = &mut self.state;
        state.controls = self.spec.controls.look(state.controls, &observed);
        state.fan_stage = self.spec.controls.fan_stage(&state.controls, &observed);
        let battery = if observed.running {
            CHARGING_VOLTAGE_V
        } else {
            RESTING_VOLTAGE_V
        };
        let coil_k = state.clutch.temperature_k;
        let supplied = state.controls.relay_closed;
        let mut circuit = self
            .spec
            .circuit
            .solve(supplied, state.fuse_whole, battery, coil_k);
        if circuit.current_a > self.spec.circuit.fuse_a {
            state.fuse_whole = false;
            circuit = self.spec.circuit.solve(supplied, false, battery, coil_k);
        }
        state.circuit = circuit;
        let magnetising = circuit.current_a * (1.0 - self.spec.circuit.shorted_share);
        let was_engaged = state.clutch.engaged;
        state.clutch.engaged = self.spec.clutch.holds(was_engaged, magnetising);
        if state.clutch.engaged && !was_engaged {
            state.clutch_engagements += 1;
            state.clutch.grip = 0.0;
        }
        let head = state
            .refrigerant
            .pressure_pa
            .first()
            .map_or(0.0, |p| p - self.weather.pressure_pa());
        let opens_at = self.spec.relief_pressure_pa;
        state.relief_open = if state.relief_open {
            head > RELIEF_RESET_SHARE * opens_at
        } else {
            head > opens_at
        };
        state.face_velocity_m_s = self.spec.fan.face_velocity_m_s(
            state.fan_stage,
            self.setup.road_speed_m_s,
            self.setup.shop_fan,
        );
        let after = (
            state.controls.relay_closed,
            state.fan_stage,
            state.clutch.engaged,
            state.relief_open,
        );
        self.drive_clutch(1e-3);
        if before != after {
            self.next_step_s = self.next_step_s.min(STEP_AFTER_SWITCH_S);
            self.solver.forget();
        }
    }

    /// Moves the clutch on and sets the compressor's speed from its grip.
    fn drive_clutch(&mut self, step_s: f64) {
        let pulley_rev_s = self.setup.engine_rev_s * self.spec.compressor.pulley_ratio;
        let state = &mut self.state;
        let magnetising = state.circuit.current_a * (1.0 - self.spec.circuit.shorted_share);
        let drive = ClutchDrive {
            capacity_n_m: self
                .spec
                .clutch
                .capacity_n_m(magnetising, state.clutch.temperature_k),
            load_n_m: self
                .spec
                .compressor
                .torque_n_m(state.refrigerant.compressor_power_w, state.compressor_rev_s),
            pulley_rev_s,
            bay_k: state.bay.bay_k,
            coil_power_w: state.circuit.current_a
                * state.circuit.current_a
                * state.circuit.coil_ohm,
        };
        state.clutch = self.spec.clutch.advance(state.clutch, &drive, step_s);
        let belt = 1.0 - self.spec.bay.belt_slip * if state.clutch.engaged { 1.0 } else { 0.0 };
        state.compressor_rev_s = if state.clutch.engaged {
            pulley_rev_s * belt * state.clutch.grip
        } else {
            0.0
        };
    }

    /// Longest step that does not run far past the next switch, from how fast each watched value moves.
    fn switch_horizon_s(&self) -> f64 {
        let controls = &self.state.controls;
        let set = &self.spec.controls;
        let mut horizon = LONGEST_STEP_S;
        if !self.observed().asked {
            return horizon;
        }
        if let Some(index) = self.layout.index_of(Role::LiquidLine) {
            let rate = self.solver.pressure_rate(index);
            let now = self.high_side_gauge_pa() + set.transducer_bias_pa;
            for edge in [
                set.low_cut_out_pa.next_edge(controls.low_tripped),
                set.high_cut_out_pa.next_edge(controls.high_tripped),
                set.fan_high_pa.next_edge(controls.fan_high),
            ] {
                horizon = horizon.min(time_to(edge, now, rate));
            }
        }
        let lag = set.evaporator_sensor_lag_s;
        let now = controls.evaporator_sensor_k;
        let rate = (self.evaporator_sensor_goal_k() - now) / lag;
        horizon = horizon.min(time_to(
            set.frost_cut_out_k.next_edge(controls.frost_tripped),
            now,
            rate,
        ));
        if !controls.relay_closed && controls.off_for_s < set.least_off_s {
            horizon = horizon.min((set.least_off_s - controls.off_for_s).max(0.05));
        }
        let slipping = self.state.clutch.engaged && self.state.clutch.grip < 1.0;
        if slipping { horizon.min(0.25) } else { horizon }
    }

    /// Temperature the evaporator sensor settles towards, K.
    fn evaporator_sensor_goal_k(&self) -> f64 {
        let fin_k = self
            .layout
            .index_of(Role::Evaporator(0))
            .and_then(|index| self.state.refrigerant.wall_k.get(index))
            .copied()
            .unwrap_or(self.state.cabin.air_k);
        FIN_SHARE * fin_k
            + (1.0 - FIN_SHARE) * self.state.air_off_k[0]
            + self.spec.controls.evaporator_sensor_bias_k
    }

    /// Sets what every wall meets outside for the coming step.
    fn set_outside(&mut self, step_s: f64) {
        let face_velocity = self.state.face_velocity_m_s;
        let density = self.weather.air_density_kg_per_m3();
        let front_air_k = self.condenser_air_on_k();
        let condenser = &self.spec.condenser;
        let subcooler = condenser.subcooler_share;
        let cell_share = (1.0 - subcooler) / CONDENSER_CELLS as f64;
        let streams = self.evaporator_streams();
        for (volume, outside) in self.layout.volumes.iter().zip(&mut self.outside) {
            let bay = |w_per_k: f64| Outside::Dry {
                conductance_w_per_k: w_per_k,
                air_k: self.state.bay.bay_k,
            };
            let front = |share: f64| Outside::Dry {
                conductance_w_per_k: condenser.air_side_w_per_k(share, face_velocity, density),
                air_k: front_air_k,
            };
            *outside = match volume.role {
                Role::CompressorHead => bay(self.spec.compressor.body_loss_w_per_k),
                Role::DischargeLine => bay(self.spec.discharge_line.outside_w_per_k),
                Role::Condenser(_) => front(cell_share),
                Role::Receiver => front(0.004),
                Role::Subcooler => front(subcooler),
                Role::LiquidLine => bay(self.spec.liquid_line.outside_w_per_k),
                Role::Evaporator(index) => Outside::Wet(self.spec.evaporator.face(
                    streams[index],
                    self.state.wetness[index],
                    EVAPORATOR_SHARES[index],
                    step_s,
                )),
                Role::SuctionLine => bay(self.spec.suction_line.outside_w_per_k),
            };
        }
    }

    /// Air reaching each part of the evaporator: open parts take more of it.
    #[must_use]
    pub fn evaporator_streams(&self) -> [MoistStream; EVAPORATOR_CELLS] {
        let evaporator = &self.spec.evaporator;
        let mut opens = EVAPORATOR_SHARES;
        for (open, wet) in opens.iter_mut().zip(self.state.wetness) {
            let frosted = evaporator.frosted_share(wet, *open);
            *open *= (1.0 - frosted) * (1.0 - evaporator.air_blockage);
        }
        let open_share: f64 = opens.iter().sum();
        let volume_flow = self
            .spec
            .air_box
            .flow_m3_s(self.setup.blower_step, open_share)
            .max(STILL_AIR_M3_S);
        let cabin_share = self.spec.air_box.cabin_share(self.setup.recirculate);
        let cabin = self.state.cabin;
        let pressure_pa = self.weather.pressure_pa();
        let temperature_k = cabin_share * cabin.air_k + (1.0 - cabin_share) * self.intake_air_k();
        let humidity_ratio = cabin_share * cabin.humidity_ratio
            + (1.0 - cabin_share) * self.weather.humidity_ratio();
        let flow = volume_flow
            / air::specific_volume_m3_per_kg_da(temperature_k, humidity_ratio, pressure_pa);
        opens.map(|open| MoistStream {
            flow_kg_s: flow * open / open_share.max(1e-6),
            temperature_k,
            humidity_ratio,
            pressure_pa,
        })
    }

    /// Outside air at the intake below the windscreen, K: warmed a little by the bay of a standing car.
    fn intake_air_k(&self) -> f64 {
        let outside = self.weather.temperature_k;
        let from_bay = 0.05 / (1.0 + self.setup.road_speed_m_s / 3.0);
        outside + from_bay * (self.state.bay.bay_k - outside)
    }

    /// Everything outside the refrigerant, moved on after an accepted step.
    fn after(&mut self, step_s: f64) {
        let front_k = self.condenser_air_on_k();
        self.after_evaporator();
        self.after_vents_and_cabin(step_s);
        self.drive_clutch(step_s);
        let sensor_goal_k = self.evaporator_sensor_goal_k();
        let state = &mut self.state;
        let face = state.face_velocity_m_s;
        let density = self.weather.air_density_kg_per_m3();
        let flow = self.spec.condenser.air_flow_kg_s(face, density);
        let heat: f64 = self
            .layout
            .volumes
            .iter()
            .zip(&self.outside)
            .zip(&state.refrigerant.wall_k)
            .filter(|((volume, _), _)| matches!(volume.role, Role::Condenser(_) | Role::Subcooler))
            .map(|((_, outside), wall_k)| match outside {
                Outside::Dry {
                    conductance_w_per_k,
                    air_k,
                } => conductance_w_per_k * (wall_k - air_k),
                Outside::Wet(_) => 0.0,
            })
            .sum();
        let rise = heat / (flow * 1006.0).max(1.0);
        state.condenser_air_off_k = relax(
            state.condenser_air_off_k,
            front_k + rise.clamp(-20.0, 60.0),
            step_s / 4.0,
        );
        state.bay = self.spec.bay.advance(
            state.bay,
            self.setup.engine_rev_s > 0.0,
            self.setup.road_speed_m_s,
            self.weather.temperature_k,
            step_s,
        );
        let lag = self.spec.controls.evaporator_sensor_lag_s;
        state.controls.evaporator_sensor_k = relax(
            state.controls.evaporator_sensor_k,
            sensor_goal_k,
            step_s / lag,
        );
        if !state.controls.relay_closed {
            state.controls.off_for_s += step_s;
        }
        state.time_s += step_s;
    }

    fn after_evaporator(&mut self) {
        let held = self.spec.evaporator.water_held_kg;
        let state = &mut self.state;
        let (mut flow, mut duty) = (0.0, 0.0);
        for (volume, (outside, wall_k)) in self
            .layout
            .volumes
            .iter()
            .zip(self.outside.iter().zip(&state.refrigerant.wall_k))
        {
            if let (Role::Evaporator(index), Outside::Wet(face)) = (volume.role, outside) {
                let exchange = face.exchange(*wall_k);
                let (wet, dripped) = face.after(&exchange, held * EVAPORATOR_SHARES[index]);
                state.wetness[index] = wet;
                state.condensate_kg += dripped;
                state.air_off_k[index] = exchange.outlet_temperature_k;
                state.air_off_humidity[index] = exchange.outlet_humidity_ratio;
                flow += face.flow_kg_s();
                duty += exchange.heat_w - exchange.freezing_kg_s * air::HEAT_OF_FUSION_J_PER_KG;
            }
        }
        state.air_flow_kg_s = flow;
        state.air_duty_w = duty;
    }

    fn after_vents_and_cabin(&mut self, step_s: f64) {
        let streams = self.evaporator_streams();
        let state = &mut self.state;
        let half = EVAPORATOR_CELLS / 2;
        let blown = |parts: std::ops::Range<usize>, of: &[f64; EVAPORATOR_CELLS]| {
            let flow: f64 = streams[parts.clone()].iter().map(|s| s.flow_kg_s).sum();
            let sum: f64 = streams[parts.clone()]
                .iter()
                .zip(&of[parts])
                .map(|(s, of)| s.flow_kg_s * of)
                .sum();
            (flow > 1e-6).then(|| sum / flow)
        };
        let core_k = blown(0..EVAPORATOR_CELLS, &state.air_off_k);
        let humidity = blown(0..EVAPORATOR_CELLS, &state.air_off_humidity);
        let mut inflow = CabinInflow {
            supply_kg_s: 0.0,
            supply_k: state.cabin.air_k,
            supply_humidity_ratio: humidity.unwrap_or(state.cabin.humidity_ratio),
            outside_k: self.weather.temperature_k,
            outside_humidity_ratio: self.weather.humidity_ratio(),
            sun_w_per_m2: self.weather.sun_w_per_m2,
            open: self.setup.doors_open,
        };
        if let Some(core_k) = core_k {
            let air_box = &self.spec.air_box;
            let coolant = state.bay.coolant_k;
            let asked = self
                .setup
                .temperature
                .heater_share(core_k, coolant, state.cabin.air_k);
            let heater = air_box.heater_share(asked) * air_box.heater_effectiveness;
            let left = blown(0..half, &state.air_off_k).unwrap_or(core_k);
            let right = blown(half..EVAPORATOR_CELLS, &state.air_off_k).unwrap_or(core_k);
            let capacity = state.air_flow_kg_s * 1010.0;
            let to_cabin = air_box.duct_gain_w_per_k / (capacity + air_box.duct_gain_w_per_k);
            let lag = air_box.duct_heat_capacity_j_per_k / capacity;
            for (vent, core) in state.vents_k.iter_mut().zip([left, core_k, right]) {
                let heated = core + heater * (coolant - core);
                let warmed = heated + to_cabin * (state.cabin.air_k - heated);
                *vent = relax(*vent, warmed, step_s / lag);
            }
            inflow.supply_kg_s = state.air_flow_kg_s;
            inflow.supply_k = state.vents_k[1];
        } else {
            for vent in &mut state.vents_k {
                *vent = relax(*vent, state.cabin.air_k, step_s / STILL_VENT_LAG_S);
            }
        }
        state.cabin = self.spec.cabin.advance(state.cabin, &inflow, step_s);
    }

    /// Pressure in a volume, Pa absolute; the first volume's where the car lacks the one asked for.
    #[must_use]
    pub fn pressure_pa(&self, role: Role) -> f64 {
        let index = self.layout.index_of(role).unwrap_or(0);
        self.state
            .refrigerant
            .pressure_pa
            .get(index)
            .copied()
            .unwrap_or(0.0)
    }

    /// Temperature of the refrigerant in a volume, K, where the car has it.
    #[must_use]
    pub fn refrigerant_temperature_k(&self, role: Role) -> Option<f64> {
        self.refrigerant_state(role).map(|fast| fast.temperature_k)
    }

    /// Quality in a volume, below 0 when subcooled and above 1 when superheated, where the car has it.
    #[must_use]
    pub fn quality(&self, role: Role) -> Option<f64> {
        self.refrigerant_state(role).map(|fast| fast.quality)
    }

    fn refrigerant_state(&self, role: Role) -> Option<Fast> {
        let index = self.layout.index_of(role)?;
        let loop_state = &self.state.refrigerant;
        Some(self.fluid.ph(
            loop_state.pressure_pa[index],
            loop_state.enthalpy_j_per_kg[index],
        ))
    }

    /// Density of saturated vapour at a volume's pressure, kg/m³: what leaks out above the liquid.
    #[must_use]
    pub fn vapour_density_kg_per_m3(&self, role: Role) -> f64 {
        self.fluid
            .saturation(self.pressure_pa(role))
            .vapour_density_kg_per_m3
    }

    /// Heat from the air into the wall of a volume during the last step, W; negative where the wall
    /// is the warmer. Water freezing on the evaporator counts as heat from its air.
    #[must_use]
    pub fn heat_from_air_w(&self, role: Role) -> f64 {
        let Some(index) = self.layout.index_of(role) else {
            return 0.0;
        };
        let wall_k = self.state.refrigerant.wall_k[index];
        match &self.outside[index] {
            Outside::Dry {
                conductance_w_per_k,
                air_k,
            } => conductance_w_per_k * (air_k - wall_k),
            Outside::Wet(face) => face.exchange(wall_k).heat_w,
        }
    }

    /// Air in front of the condenser, K: outside air and some of what has been through it.
    #[must_use]
    pub fn condenser_air_on_k(&self) -> f64 {
        let again = self
            .spec
            .fan
            .recirculation(self.setup.road_speed_m_s, self.setup.shop_fan);
        self.weather.temperature_k
            + again * (self.state.condenser_air_off_k - self.weather.temperature_k)
    }

    /// Flow through the expansion valve, kg/s.
    #[must_use]
    pub fn valve_flow_kg_s(&self) -> f64 {
        self.layout
            .index_of(Role::LiquidLine)
            .and_then(|index| self.state.refrigerant.flow_kg_s.get(index))
            .copied()
            .unwrap_or(0.0)
    }

    /// What the car carries through time.
    #[must_use]
    pub fn state(&self) -> &CarState {
        &self.state
    }

    /// Its parameters, faults applied.
    #[must_use]
    pub fn spec(&self) -> &CarSpec {
        &self.spec
    }

    /// The ring of its loop.
    #[must_use]
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// Its refrigerant.
    #[must_use]
    pub fn fluid(&self) -> &Arc<Fluid> {
        &self.fluid
    }

    /// The weather it stands in.
    #[must_use]
    pub fn weather(&self) -> &Weather {
        &self.weather
    }

    /// The controls as last set.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// Effort spent since the car was made.
    #[must_use]
    pub fn effort(&self) -> Effort {
        Effort {
            evaluations: self.solver.evaluations,
            refused: self.solver.refused,
        }
    }
}

/// Time until a value moving at a rate passes an edge, with a margin so that the step ends just beyond it.
fn time_to(edge: f64, now: f64, rate: f64) -> f64 {
    let time = (edge - now) / rate;
    if time.is_finite() && time > 0.0 {
        (1.02 * time).max(0.25)
    } else {
        LONGEST_STEP_S
    }
}
