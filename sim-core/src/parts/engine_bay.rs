//! The engine as the air conditioning meets it: a belt, a hot bay, hot coolant.
//!
//! Two first-order lags, τ dT/dt = T_goal − T, T in K, τ in s, solved implicitly so that any step is
//! stable. Coolant goes to its warm value with the engine running and to the air outside without, 30 times
//! as slowly. The bay goes to T_out + ΔT h / (1 + v / 8 m/s), ΔT the vehicle's rise at a stand, v the road
//! speed, h = (T_coolant − T_out) / (T_warm − 25 °C). Source: common practice, no source, and so are the
//! levels. Range: outside −10 to 50 °C, 0 to 40 m/s, coolant to 110 °C; h is never below 0, and above 1
//! where it is colder than 25 °C. Engine load does not enter: a bay is as hot at idle as held at 3000 rpm.

use crate::parts::belt_line;

/// Parameters of engine and bay.
#[derive(Clone, Debug, PartialEq)]
pub struct EngineBay {
    /// Idle speed with the compressor on, turns per second.
    pub idle_rev_s: f64,
    /// Coolant temperature once warm, K.
    pub warm_coolant_k: f64,
    /// Rise of the bay above outside air, engine hot, car standing, K.
    pub standing_rise_k: f64,
    /// Time constant of the bay's temperature, s.
    pub bay_lag_s: f64,
    /// Time constant of the coolant warming up, s.
    pub warm_up_s: f64,
    /// Share of belt speed lost to a slack, glazed or frayed belt under the compressor's load.
    pub belt_slip: f64,
    /// How far the compressor's pulley stands out of the belt's line, m; negative where it stands back.
    pub belt_out_of_line_m: f64,
}

/// What engine and bay carry through time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EngineBayState {
    /// Air around hoses and compressor, K.
    pub bay_k: f64,
    /// Coolant, K.
    pub coolant_k: f64,
}

impl EngineBay {
    /// Share of belt speed lost under the compressor's load: to the belt's own state, and to pulleys that are
    /// out of line.
    #[must_use]
    pub fn slip(&self) -> f64 {
        1.0 - (1.0 - self.belt_slip) * (1.0 - belt_line::slip(self.belt_out_of_line_m))
    }

    /// Whether the belt walks to one edge of its pulleys.
    #[must_use]
    pub fn belt_walks(&self) -> bool {
        belt_line::beyond_rad(self.belt_out_of_line_m) > 0.0
    }

    /// Frays the edge of a belt that runs out of line, by turns of the engine.
    pub fn run_belt(&mut self, turns: f64) {
        self.belt_slip = belt_line::frayed(self.belt_slip, self.belt_out_of_line_m, turns);
    }

    /// Moves bay and coolant towards what engine and road speed hold them at.
    #[must_use]
    pub fn advance(
        &self,
        state: EngineBayState,
        running: bool,
        road_speed_m_s: f64,
        outside_k: f64,
        step_s: f64,
    ) -> EngineBayState {
        let coolant_goal = if running {
            self.warm_coolant_k
        } else {
            outside_k
        };
        // An engine cools tens of times slower than it warms up.
        let coolant_lag = if running {
            self.warm_up_s
        } else {
            self.warm_up_s * 30.0
        };
        let coolant_k = relax(state.coolant_k, coolant_goal, step_s / coolant_lag);
        let heat = (coolant_k - outside_k).max(0.0) / (self.warm_coolant_k - 298.15);
        let bay_goal = outside_k + self.standing_rise_k * heat / (1.0 + road_speed_m_s / 8.0);
        let bay_k = relax(state.bay_k, bay_goal, step_s / self.bay_lag_s);
        EngineBayState { bay_k, coolant_k }
    }
}

/// A first-order lag, solved implicitly: any step is stable.
#[must_use]
pub fn relax(value: f64, goal: f64, step_over_lag: f64) -> f64 {
    (value + step_over_lag * goal) / (1.0 + step_over_lag)
}
