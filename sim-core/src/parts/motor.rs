//! High-voltage motor with its inverter, built into the compressor it turns.
//!
//! The control asks for n = n_least + u (n_greatest − n_least), u its command from 0 to 1, and the shaft
//! follows, τ dn/dt = n_asked g − n. g is the share of it that the torque carries: torque is M_max at most,
//! and no more than P_max / (2π n), P_max the inverter's power at the shaft. What it draws is the shaft's
//! power over an efficiency; the rest heats the body. The car's own monitor keeps the motor dead where the
//! insulation between windings and body is less than 500 Ω for each volt (ISO 6469-3, from memory): the
//! windings lie in the refrigerant and its oil, and an oil that is not made for it conducts,
//! 1/R = 1/R_sound + G x, x the share of the wrong oil. Levels: common practice, no source, or from memory.
//! Range: 10 to 150 turns per second, any share of wrong oil, 9 to 16 V at the inverter's plug.

/// What turns a compressor's shaft.
#[derive(Clone, Debug, PartialEq)]
pub enum Turned {
    /// A belt from the engine.
    Belt {
        /// Turns of the pulley for one turn of the engine.
        pulley_ratio: f64,
    },
    /// A motor of its own.
    Motor(Motor),
}

/// Parameters of the motor and its inverter.
#[derive(Clone, Debug, PartialEq)]
pub struct Motor {
    /// Speed at the least command, turns per second.
    pub least_rev_s: f64,
    /// Speed at full command, turns per second.
    pub greatest_rev_s: f64,
    /// Greatest torque, N m.
    pub torque_n_m: f64,
    /// Greatest power at the shaft, W.
    pub power_w: f64,
    /// Share of the electric power that reaches the shaft.
    pub efficiency: f64,
    /// Voltage of the car's battery for driving, V.
    pub voltage_v: f64,
    /// Time in which the shaft follows, s.
    pub lag_s: f64,
    /// Share of torque and power lost: weak magnets, a bank of the inverter gone.
    pub power_lost: f64,
}

/// Voltage at the plug below which the inverter's own electronics do not work, V (common practice, no source).
pub const WORKS_FROM_V: f64 = 10.0;
/// Insulation of sound windings in their own oil, Ω (from memory: tens of megohms).
const SOUND_OHM: f64 = 50e6;
/// Conductance to the body in nothing but the wrong oil, S: one part in a hundred leaves half a megohm
/// (from memory).
const WRONG_OIL_S: f64 = 2e-4;
/// Insulation asked for, Ω for each volt (ISO 6469-3, from memory).
const ASKED_OHM_PER_V: f64 = 500.0;

impl Turned {
    /// Turns of the pulley for one of the engine; nothing where there is no belt.
    #[must_use]
    pub fn pulley_ratio(&self) -> Option<f64> {
        match self {
            Self::Belt { pulley_ratio } => Some(*pulley_ratio),
            Self::Motor(_) => None,
        }
    }

    /// The motor, where there is one.
    #[must_use]
    pub fn motor(&self) -> Option<&Motor> {
        match self {
            Self::Belt { .. } => None,
            Self::Motor(motor) => Some(motor),
        }
    }

    /// The motor, to be changed.
    pub fn motor_mut(&mut self) -> Option<&mut Motor> {
        match self {
            Self::Belt { .. } => None,
            Self::Motor(motor) => Some(motor),
        }
    }
}

impl Motor {
    /// Speed that a command from 0 to 1 asks for, turns per second.
    #[must_use]
    pub fn asked_rev_s(&self, command: f64) -> f64 {
        self.least_rev_s + command.clamp(0.0, 1.0) * (self.greatest_rev_s - self.least_rev_s)
    }

    /// Torque it can give at a speed, N m.
    #[must_use]
    pub fn carries_n_m(&self, rev_s: f64) -> f64 {
        let by_power = self.power_w / (2.0 * std::f64::consts::PI * rev_s.max(1.0));
        self.torque_n_m.min(by_power) * (1.0 - self.power_lost)
    }

    /// Speed after a step, turns per second, from the speed before and the one to be reached.
    #[must_use]
    pub fn follows_rev_s(&self, before_rev_s: f64, goal_rev_s: f64, step_s: f64) -> f64 {
        let share = step_s / self.lag_s;
        (before_rev_s + share * goal_rev_s) / (1.0 + share)
    }

    /// Electric power behind a power at the shaft, W.
    #[must_use]
    pub fn electric_w(&self, shaft_w: f64) -> f64 {
        shaft_w / self.efficiency
    }

    /// Resistance from the windings to the body, Ω, with a share of the oil of another kind.
    #[must_use]
    pub fn insulation_ohm(&self, wrong_oil_share: f64) -> f64 {
        1.0 / (1.0 / SOUND_OHM + WRONG_OIL_S * wrong_oil_share)
    }

    /// Least insulation with which the car lets it have its voltage, Ω.
    #[must_use]
    pub fn insulation_asked_ohm(&self) -> f64 {
        ASKED_OHM_PER_V * self.voltage_v
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn motor() -> Motor {
        Motor {
            least_rev_s: 15.0,
            greatest_rev_s: 120.0,
            torque_n_m: 12.0,
            power_w: 4000.0,
            efficiency: 0.88,
            voltage_v: 350.0,
            lag_s: 3.0,
            power_lost: 0.0,
        }
    }

    #[test]
    fn torque_gives_way_to_power_at_speed() {
        let motor = motor();
        assert_eq!(motor.carries_n_m(20.0), 12.0);
        let fast_w = motor.carries_n_m(100.0) * 2.0 * std::f64::consts::PI * 100.0;
        assert!((fast_w - 4000.0).abs() < 1e-9, "{fast_w}");
    }

    /// 350 V ask for 175 kΩ: a rest of one part in a hundred of the wrong oil still passes, a tenth does not.
    #[test]
    fn wrong_oil_takes_the_insulation() {
        let motor = motor();
        let asked = motor.insulation_asked_ohm();
        assert_eq!(asked, 175e3);
        assert!(motor.insulation_ohm(0.0) > 1e7);
        assert!(motor.insulation_ohm(0.01) > asked);
        assert!(motor.insulation_ohm(0.1) < asked);
    }

    #[test]
    fn the_shaft_follows_with_its_lag() {
        let motor = motor();
        let mut rev_s = 0.0;
        for _ in 0..3000 {
            rev_s = motor.follows_rev_s(rev_s, 60.0, 1e-3);
        }
        // One time constant: 1 − 1/e.
        assert!((rev_s / 60.0 - 0.6321).abs() < 1e-3, "{rev_s}");
    }
}
