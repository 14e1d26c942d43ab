//! What is in the loop, as a refrigerant identifier would sort it.

use crate::car::Car;

/// Shares of the gas drawn from the loop, by mass; they add up to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasShares {
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
    /// What is in the loop: the label's refrigerant, the other one where they were mixed, and air.
    #[must_use]
    pub fn contents(&self) -> GasShares {
        let refrigerant_kg = self.state.refrigerant.total_mass_kg();
        let air_kg = self.state.refrigerant.total_air_kg();
        let air = air_kg / (air_kg + refrigerant_kg).max(f64::MIN_POSITIVE);
        let other = self.spec.contents.other_share * (1.0 - air);
        let own = 1.0 - air - other;
        let (r134a, r1234yf) = if self.spec.refrigerant == "R-134a" {
            (own, other)
        } else {
            (other, own)
        };
        GasShares {
            r134a,
            r1234yf,
            hydrocarbon: 0.0,
            air,
        }
    }
}
