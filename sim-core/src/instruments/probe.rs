//! An instrument's tip, and where it comes from at the start of a check.

use crate::car::Car;
use crate::instruments::check::Check;
use crate::instruments::misuse::Misuse;
use crate::instruments::tool::Tool;
use crate::instruments::truth::Truth;

/// An instrument's tip following what it touches, with its lag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    value: f64,
    lag_s: f64,
}

impl Probe {
    /// A tip that starts at a value.
    #[must_use]
    pub fn new(start: f64, lag_s: f64) -> Self {
        Self {
            value: start,
            lag_s,
        }
    }

    /// The tip at the start of a check: thermometers have lain in the air of the bay, a hygrometer
    /// carried in a hurry still has that air in its cap, everything else is at the truth at once.
    /// `None` for what shows no number.
    #[must_use]
    pub fn at_start(car: &Car, check: Check, now: Truth) -> Option<Self> {
        let tool = check.tool()?;
        let lag_s = check.lag_s()?;
        let Truth::Number(value) = now else {
            return None;
        };
        let weather = car.weather();
        let start = match tool {
            Tool::ClampThermometer | Tool::VentThermometer | Tool::AirThermometer => {
                weather.temperature_k
            }
            Tool::ScanEvaporator if !check.is_misuse() => weather.temperature_k,
            Tool::Hygrometer if matches!(check, Check::Misused(Misuse::HumidityQuick(_))) => {
                weather.relative_humidity
            }
            _ => value,
        };
        Some(Self::new(start, lag_s))
    }

    /// Follows the true value for a step: solved exactly, so that a reading does not depend
    /// on the steps its seconds are cut into.
    pub fn follow(&mut self, truth: f64, step_s: f64) {
        let left = if self.lag_s > 0.0 {
            libm::exp(-step_s / self.lag_s)
        } else {
            0.0
        };
        self.value = truth + left * (self.value - truth);
    }

    /// Where the tip is.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A first-order lag reaches 1 - 1/e of a step in one time constant, 99.3 % in five.
    #[test]
    fn a_probe_lags_the_same_whatever_the_steps() {
        for steps in [1, 2, 7, 400] {
            let mut probe = Probe::new(300.0, 8.0);
            for _ in 0..steps {
                probe.follow(400.0, 40.0 / f64::from(steps));
            }
            let left_k = 100.0 * libm::exp(-5.0);
            assert!((probe.value() - (400.0 - left_k)).abs() < 1e-9, "{steps}");
        }
        let mut prompt = Probe::new(300.0, 0.0);
        prompt.follow(400.0, 1.0);
        assert_eq!(prompt.value(), 400.0);
    }
}
