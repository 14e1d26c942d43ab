//! What is in the loop, as a refrigerant identifier would sort a sample of its gas.

use crate::car::Car;
use crate::loop_model::gas::AIR_J_PER_KG_K;
use crate::loop_model::layout::Role;

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
    /// The gas in a volume: the label's refrigerant, the other one where they were mixed, and air.
    ///
    /// Air by p M / Σ p M, with the pressures of air and refrigerant there (Dalton, both as ideal
    /// gases: the vapour at a port is some 15 % denser than that, so a true share is a little less).
    /// A blend is pseudo-pure here, so its vapour has the shares of the whole: see `fluid/blend.rs`.
    #[must_use]
    pub fn gas_at(&self, role: Role) -> GasShares {
        let own_pa = self.refrigerant_pressure_pa(role);
        let air_pa = self.pressure_pa(role) - own_pa;
        let published = self.fluid.equation().coefficients();
        let r_j_per_kg_k = published.gas_constant_j_per_mol_k / published.molar_mass_kg_per_mol;
        let (air, refrigerant) = (air_pa / AIR_J_PER_KG_K, own_pa / r_j_per_kg_k);
        let air = air / (air + refrigerant).max(f64::MIN_POSITIVE);
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

    /// Whether what is in the loop burns: more of it R-1234yf than R-134a (ASHRAE 34, class A2L).
    #[must_use]
    pub fn burns(&self) -> bool {
        let other = self.spec.contents.other_share;
        let r1234yf = if self.spec.refrigerant == "R-134a" {
            other
        } else {
            1.0 - other
        };
        r1234yf > 0.5
    }
}
