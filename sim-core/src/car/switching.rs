//! Switches, fuse, clutch and relief valve between two steps, and how long a step may be before the next.

use crate::car::{Car, LONGEST_STEP_S, STEP_AFTER_FAN_S, STEP_AFTER_SWITCH_S};
use crate::loop_model::layout::Role;
use crate::parts::clutch::{ClutchDrive, LEAST_GRIP, settled_grip};
use crate::parts::controls::{HoldOff, Observed};
use crate::parts::displacement::{Capacity, solenoid_k};
use crate::parts::motor::{Turned, WORKS_FROM_V};
use crate::parts::oil::Oil;
use crate::parts::sensors;
use crate::parts::storage::Place;

/// How far the evaporator sensor, stuck between the fins of the first part, follows the metal
/// rather than the air leaving it (from memory).
const FIN_SHARE: f64 = 0.6;
/// Longest step while the control works a compressor's plate, s: it looks no more often than this.
const LONGEST_COMMANDED_S: f64 = 5.0;
/// Shortest step towards a switch that is about to act, s.
const SHORTEST_TO_SWITCH_S: f64 = 0.1;
/// The same towards a cycling switch, s: the low side falls some tens of kPa in a second.
const SHORTEST_TO_PRESSURE_S: f64 = 0.05;
/// The same towards a stage of the fan, s: the condenser's metal stands between.
const SHORTEST_TO_FAN_S: f64 = 0.5;
/// Torque at a compressor's pulley beyond which the belt slips, or the limiter in a pulley without a
/// clutch gives way, N m (from memory).
const BELT_CARRIES_N_M: f64 = 55.0;
/// Longest step while the clutch slips, s: its speed answers the loop's pressures from step to step.
const LONGEST_SLIPPING_S: f64 = 1.0;

impl Car {
    /// What the control sees now.
    #[must_use]
    pub fn observed(&self) -> Observed {
        let running = self.setup.engine_rev_s > 0.0;
        let controls = &self.spec.controls;
        let wires = &controls.sensors;
        let high_side_pa = sensors::transducer_reads_pa(
            self.high_side_gauge_pa() + controls.transducer_bias_pa,
            wires.transducer_wire_ohm,
        );
        let evaporator_k = sensors::thermistor_reads_k(
            self.state.controls.evaporator_sensor_k,
            wires.evaporator_wire_ohm,
            wires.evaporator_leak_s,
        );
        let ambient_k = sensors::thermistor_reads_k(
            self.weather.temperature_k + wires.ambient_bias_k,
            wires.ambient_wire_ohm,
            0.0,
        );
        Observed {
            asked: running && self.setup.ac_on && self.setup.blower_step > 0,
            running,
            high_side_pa,
            low_side_pa: self.low_side_gauge_pa(),
            evaporator_k,
            ambient_k,
            believed: sensors::believes_pa(high_side_pa)
                && sensors::believes_k(evaporator_k)
                && sensors::believes_k(ambient_k),
            insulated: self
                .insulation_ohm()
                .is_none_or(|(ohm, asked_ohm)| ohm >= asked_ohm),
            coolant_k: self.state.bay.coolant_k,
        }
    }

    /// Pressure at the transducer's place, Pa gauge, without its error.
    pub(super) fn high_side_gauge_pa(&self) -> f64 {
        self.pressure_pa(self.spec.high_port.role()) - self.outdoors.pressure_pa
    }

    /// Pressure at the cycling switch's place, Pa gauge.
    fn low_side_gauge_pa(&self) -> f64 {
        self.pressure_pa(self.low_switch_role()) - self.outdoors.pressure_pa
    }

    /// The volume a cycling switch sits on.
    fn low_switch_role(&self) -> Role {
        match self.spec.storage.place {
            Place::Suction => Role::Accumulator,
            Place::InCondenser | Place::LiquidLine => Role::SuctionLine,
        }
    }

    /// Lets switches, fuse, clutch and relief valve take their position for the coming step.
    pub(super) fn switch(&mut self) {
        let observed = self.observed();
        let before = (
            self.state.controls.relay_closed,
            self.state.clutch.engaged,
            self.state.relief_open,
        );
        let fan_before = self.state.fan_stage;
        let state = &mut self.state;
        state.controls = self.spec.controls.look(state.controls, &observed);
        state.fan_stage = self.spec.controls.fan_stage(&state.controls, &observed);
        self.settle_circuit();
        let state = &mut self.state;
        let magnetising = state.circuit.current_a * (1.0 - self.spec.circuit.shorted_share);
        let was_engaged = state.clutch.engaged;
        state.clutch.engaged = match (&self.spec.clutch, &self.spec.compressor.turned) {
            (Some(clutch), _) => clutch.holds(was_engaged, magnetising),
            (None, Turned::Belt { .. }) => observed.running,
            (None, Turned::Motor(_)) => {
                let fed_v = state.circuit.current_a * state.circuit.coil_ohm;
                state.controls.relay_closed && fed_v >= WORKS_FROM_V
            }
        };
        if state.clutch.engaged && !was_engaged {
            state.clutch_engagements += 1;
            state.clutch.grip = 0.0;
        }
        self.state.relief_open = self.relief().pops(self.head_gauge_pa());
        let state = &mut self.state;
        state.face_velocity_m_s = self.spec.fan.face_velocity_m_s(
            state.fan_stage,
            self.setup.road_speed_m_s,
            self.setup.shop_fan,
        );
        let after = (
            state.controls.relay_closed,
            state.clutch.engaged,
            state.relief_open,
        );
        if state.fan_stage != fan_before {
            self.next_step_s = self.next_step_s.min(STEP_AFTER_FAN_S);
        }
        self.drive_compressor(1e-3);
        if before != after {
            self.next_step_s = self.next_step_s.min(STEP_AFTER_SWITCH_S);
            self.solver.forget();
        }
    }

    /// Current that works the control valve's solenoid, A: the command's share of what its circuit
    /// gives, less what shorted turns of its coil let by.
    pub(super) fn solenoid_a(&self) -> f64 {
        let controls = &self.state.controls;
        let Capacity::Variable(valve) = &self.spec.compressor.capacity else {
            return 0.0;
        };
        if !controls.relay_closed {
            return 0.0;
        }
        match self.spec.clutch {
            Some(_) => controls.command * valve.rated_a,
            None => self.coil_a() * (1.0 - self.spec.circuit.shorted_share),
        }
    }

    /// Resistance of the high voltage to the body, and the least that the car allows, Ω; nothing on a car
    /// whose compressor has no motor.
    #[must_use]
    pub fn insulation_ohm(&self) -> Option<(f64, f64)> {
        let motor = self.spec.compressor.turned.motor()?;
        let ohm = motor.insulation_ohm(self.spec.oil.foreign_share);
        Some((ohm, motor.insulation_asked_ohm()))
    }

    /// Moves clutch or motor on and sets the compressor's speed from its grip.
    pub(super) fn drive_compressor(&mut self, step_s: f64) {
        let discharge_k = self.refrigerant_temperature_k(Role::CompressorHead);
        let coil_power_w = self.coil_w();
        let state = &mut self.state;
        let magnetising = state.circuit.current_a * (1.0 - self.spec.circuit.shorted_share);
        let belt = 1.0 - self.spec.bay.slip() * if state.clutch.engaged { 1.0 } else { 0.0 };
        let oil = Oil {
            share: self.spec.oil.share * (1.0 - state.debris.oil_share()),
            ..self.spec.oil
        };
        let body_k = state.refrigerant.wall_k.first().copied();
        let body_k = body_k.unwrap_or(self.weather.temperature_k);
        let rubbing_n_m = self.spec.compressor.rubbing_n_m(
            oil.friction_factor(),
            body_k,
            discharge_k.unwrap_or(body_k),
        );
        let load_n_m = self.spec.compressor.torque_n_m(
            state.refrigerant.compressor_power_w,
            state.compressor_rev_s,
            rubbing_n_m,
        );
        let pulley_ratio = match &self.spec.compressor.turned {
            Turned::Belt { pulley_ratio } => *pulley_ratio,
            Turned::Motor(motor) => {
                let (rev_s, clutch) = (state.compressor_rev_s, &mut state.clutch);
                let mut rubs_n_m = 0.0;
                state.compressor_rev_s = if clutch.engaged {
                    let asked_rev_s = motor.asked_rev_s(state.controls.command);
                    let carries_n_m = motor.carries_n_m(asked_rev_s);
                    rubs_n_m = rubbing_n_m.min(carries_n_m);
                    clutch.grip = settled_grip(clutch.grip, carries_n_m, load_n_m, step_s);
                    motor.follows_rev_s(rev_s, asked_rev_s * clutch.grip, step_s)
                } else {
                    clutch.grip = 0.0;
                    0.0
                };
                let shaft_w = power_w(load_n_m, state.compressor_rev_s);
                state.motor_heat_w = motor.electric_w(shaft_w) - shaft_w;
                state.rubbing_w = power_w(rubs_n_m, state.compressor_rev_s);
                return;
            }
        };
        let pulley_rev_s = self.setup.engine_rev_s * pulley_ratio;
        let Some(clutch) = &self.spec.clutch else {
            state.clutch.grip = if state.clutch.engaged {
                settled_grip(state.clutch.grip, BELT_CARRIES_N_M, load_n_m, step_s)
            } else {
                0.0
            };
            state.compressor_rev_s = pulley_rev_s * belt * state.clutch.grip;
            // No more than the belt carries is there to rub with.
            let rubbing_n_m = rubbing_n_m.min(BELT_CARRIES_N_M);
            state.rubbing_w = power_w(rubbing_n_m, state.compressor_rev_s);
            let coil_k = state.clutch.temperature_k;
            state.clutch.temperature_k = solenoid_k(coil_k, body_k, coil_power_w, step_s);
            return;
        };
        let drive = ClutchDrive {
            capacity_n_m: clutch.capacity_n_m(magnetising, state.clutch.temperature_k),
            load_n_m,
            pulley_rev_s,
            bay_k: state.bay.bay_k,
            coil_power_w,
        };
        state.clutch = clutch.advance(state.clutch, &drive, step_s);
        state.compressor_rev_s = if state.clutch.engaged {
            pulley_rev_s * belt * state.clutch.grip
        } else {
            0.0
        };
        let rubbing_n_m = rubbing_n_m.min(drive.capacity_n_m);
        state.rubbing_w = power_w(rubbing_n_m, state.compressor_rev_s);
    }

    /// Speed of the compressor's pulley, turns per second: the belt slips once the clutch loads it. 0 where
    /// there is no belt.
    #[must_use]
    pub fn pulley_rev_s(&self) -> f64 {
        let slip = if self.state.clutch.engaged {
            self.spec.bay.slip()
        } else {
            0.0
        };
        let ratio = self.spec.compressor.turned.pulley_ratio().unwrap_or(0.0);
        self.setup.engine_rev_s * ratio * (1.0 - slip)
    }

    /// Longest step that does not run far past the next switch, from how fast each watched value moves.
    pub(super) fn switch_horizon_s(&self) -> f64 {
        let controls = &self.state.controls;
        let set = &self.spec.controls;
        let mut horizon = LONGEST_STEP_S;
        let observed = self.observed();
        // A welded relay keeps the clutch in with nothing asked for.
        if !observed.asked && !self.state.clutch.engaged {
            return horizon;
        }
        let high_rate = self
            .layout
            .index_of(self.spec.high_port.role())
            .map_or(0.0, |index| self.solver.pressure_rate(index));
        let fan = set.fan_high_pa.next_edge(controls.fan_high);
        horizon =
            horizon.min(time_to(fan, observed.high_side_pa, high_rate).max(SHORTEST_TO_FAN_S));
        let low = set
            .low_cut_out_pa
            .map(|switch| switch.next_edge(controls.low_tripped));
        let high = set.high_cut_out_pa.next_edge(controls.high_tripped);
        let mut edges = LONGEST_STEP_S;
        for edge in low.into_iter().chain([high]) {
            let time = time_to(edge, observed.high_side_pa, high_rate);
            edges = edges.min(time.max(SHORTEST_TO_SWITCH_S));
        }
        if let Some(switch) = set.cycling_pa
            && let Some(index) = self.layout.index_of(self.low_switch_role())
        {
            let rate = self.solver.pressure_rate(index);
            let now = self.low_side_gauge_pa() - set.cycling_bias_pa;
            let edge = switch.next_edge(controls.cycling_tripped);
            edges = edges.min(time_to(edge, now, rate).max(SHORTEST_TO_PRESSURE_S));
        }
        let lag = set.evaporator_sensor_lag_s;
        let rate = (self.evaporator_sensor_goal_k() - controls.evaporator_sensor_k) / lag;
        if let Some(switch) = set.frost_cut_out_k {
            let edge = switch.next_edge(controls.frost_tripped);
            let time = time_to(edge, observed.evaporator_k, rate);
            edges = edges.min(time.max(SHORTEST_TO_SWITCH_S));
        }
        let rests_s = set.least_off_s - controls.off_for_s;
        if !controls.relay_closed && rests_s > 0.0 {
            // Until it has rested no cut-out lets the relay close again.
            let ready = set.hold_off(controls, &observed) == Some(HoldOff::Resting);
            edges = if ready { rests_s } else { edges.max(rests_s) };
            edges = edges.max(SHORTEST_TO_PRESSURE_S);
        }
        horizon = horizon.min(edges);
        if set.command.is_some() && controls.command > 0.0 && controls.command < 1.0 {
            horizon = horizon.min(LONGEST_COMMANDED_S);
        }
        let grip = self.state.clutch.grip;
        if self.state.clutch.engaged && grip > LEAST_GRIP && grip < 1.0 {
            horizon.min(LONGEST_SLIPPING_S)
        } else {
            horizon
        }
    }

    /// Temperature the evaporator sensor settles towards, K.
    pub(super) fn evaporator_sensor_goal_k(&self) -> f64 {
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
}

/// Power of a torque on a turning shaft, W.
fn power_w(torque_n_m: f64, rev_s: f64) -> f64 {
    2.0 * std::f64::consts::PI * torque_n_m * rev_s
}

/// Time until a value moving at a rate passes an edge, with a margin so that the step ends just beyond it.
fn time_to(edge: f64, now: f64, rate: f64) -> f64 {
    let time = (edge - now) / rate;
    if time.is_finite() && time > 0.0 {
        1.02 * time
    } else {
        LONGEST_STEP_S
    }
}
