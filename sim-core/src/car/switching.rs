//! Switches, fuse, clutch and relief valve between two steps, and how long a step may be before the next.

use crate::car::{Car, LONGEST_STEP_S, STEP_AFTER_SWITCH_S};
use crate::loop_model::layout::Role;
use crate::parts::circuit::{CHARGING_VOLTAGE_V, RESTING_VOLTAGE_V};
use crate::parts::clutch::ClutchDrive;
use crate::parts::controls::Observed;

/// How far the evaporator sensor, stuck between the fins of the first part, follows the metal
/// rather than the air leaving it (from memory).
const FIN_SHARE: f64 = 0.6;
/// Share below its opening pressure at which a relief valve shuts again (from memory).
const RELIEF_RESET_SHARE: f64 = 0.9;

impl Car {
    /// What the control sees now.
    pub(super) fn observed(&self) -> Observed {
        let running = self.setup.engine_rev_s > 0.0;
        Observed {
            asked: running && self.setup.ac_on && self.setup.blower_step > 0,
            running,
            high_side_pa: self.high_side_gauge_pa() + self.spec.controls.transducer_bias_pa,
            coolant_k: self.state.bay.coolant_k,
        }
    }

    /// Pressure at the transducer's place, Pa gauge, without its error.
    pub(super) fn high_side_gauge_pa(&self) -> f64 {
        self.pressure_pa(Role::LiquidLine) - self.weather.pressure_pa()
    }

    /// Lets switches, fuse, clutch and relief valve take their position for the coming step.
    pub(super) fn switch(&mut self) {
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
    pub(super) fn drive_clutch(&mut self, step_s: f64) {
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

    /// Speed of the compressor's pulley, turns per second: the belt slips once the clutch loads it.
    #[must_use]
    pub fn pulley_rev_s(&self) -> f64 {
        let slip = if self.state.clutch.engaged {
            self.spec.bay.belt_slip
        } else {
            0.0
        };
        self.setup.engine_rev_s * self.spec.compressor.pulley_ratio * (1.0 - slip)
    }

    /// Longest step that does not run far past the next switch, from how fast each watched value moves.
    pub(super) fn switch_horizon_s(&self) -> f64 {
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

/// Time until a value moving at a rate passes an edge, with a margin so that the step ends just beyond it.
fn time_to(edge: f64, now: f64, rate: f64) -> f64 {
    let time = (edge - now) / rate;
    if time.is_finite() && time > 0.0 {
        (1.02 * time).max(0.25)
    } else {
        LONGEST_STEP_S
    }
}
