//! What is in the loop, as a refrigerant identifier would sort it.

use crate::car::Car;

/// Shares of the gas drawn from the loop, by mass; they add up to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contents {
    /// R-134a.
    pub r134a: f64,
    /// R-1234yf.
    pub r1234yf: f64,
    /// Hydrocarbons, such as propane from a can.
    pub hydrocarbon: f64,
    /// Air.
    pub air: f64,
}

impl Car {
    /// What is in the loop. A car's data name one refrigerant, so that it is all of that.
    #[must_use]
    pub fn contents(&self) -> Contents {
        let share = |name: &str| {
            if self.spec.refrigerant == name {
                1.0
            } else {
                0.0
            }
        };
        Contents {
            r134a: share("R-134a"),
            r1234yf: share("R-1234yf"),
            hydrocarbon: 0.0,
            air: 0.0,
        }
    }
}
