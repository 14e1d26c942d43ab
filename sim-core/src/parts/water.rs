//! Water in a loop that is being evacuated: free on the metal, bound in the desiccant, or vapour.
//!
//! Free water lies as a film on the metal of the loop and boils at its own saturation pressure
//! ([`crate::air::saturation_vapour_pressure_pa`], ASHRAE). Kinetic theory gives what leaves a film,
//! v̄/4 or 148 m/s of its area at 25 °C (Hertz & Knudsen, from memory), so a film of some cm² follows
//! any pump. The desiccant gives off and takes up water slowly; its own vapour pressure is that of
//! water times the fourth power of how full it is: little until it is nearly full (shape and speed
//! are common practice, no source: no pump dries a full drier in an afternoon). Range: 0 to 20 g.

use crate::air;
use crate::parts::contents::{Contents, DRIER_HOLDS_KG};

/// Gas constant of water vapour, J/(kg K): that of dry air over the ratio of molar masses (ASHRAE).
pub const WATER_J_PER_KG_K: f64 = air::DRY_AIR_GAS_CONSTANT_J_PER_KG_K / air::MOLAR_MASS_RATIO;
/// Volume of vapour that the film can give or take in the whole loop, m³/s: 10 cm² of it.
pub const FILM_M3_S: f64 = 0.15;
/// The same of the desiccant, m³/s: a full one of 6 g takes some 200 h (common practice, no source).
pub const DRIER_M3_S: f64 = 3.5e-7;

/// Water in the loop.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Water {
    /// On the metal, or going round with the refrigerant, kg.
    pub free_kg: f64,
    /// Bound in the desiccant, kg.
    pub bound_kg: f64,
    /// What the desiccant can bind, kg.
    pub binds_kg: f64,
    /// Vapour on the high and the low side of an evacuated loop, kg.
    pub vapour_kg: [f64; 2],
    /// Pressure of that vapour, Pa.
    pub vapour_pa: [f64; 2],
    /// Drawn out by a pump or blown out with gas, kg.
    pub drawn_kg: f64,
}

impl Water {
    /// Water as a car's contents say.
    #[must_use]
    pub fn of(contents: &Contents) -> Self {
        let free_kg = contents.free_water_kg();
        Self {
            free_kg,
            bound_kg: contents.water_kg - free_kg,
            binds_kg: DRIER_HOLDS_KG * (1.0 - contents.drier_spent),
            ..Self::default()
        }
    }

    /// All the water in the loop, kg.
    #[must_use]
    pub fn total_kg(&self) -> f64 {
        self.free_kg + self.bound_kg + self.vapour_kg[0] + self.vapour_kg[1]
    }

    /// Pressure of water vapour over the desiccant, Pa, at a temperature, K.
    #[must_use]
    pub fn over_drier_pa(&self, temperature_k: f64) -> f64 {
        if self.binds_kg <= 0.0 {
            return 0.0;
        }
        let full = (self.bound_kg / self.binds_kg).clamp(0.0, 1.0);
        let square = full * full;
        square * square * air::saturation_vapour_pressure_pa(temperature_k)
    }

    /// Vapour goes back into what flows round, and the desiccant binds what it can: refrigerant is in.
    pub fn dissolve(&mut self) {
        let loose = self.free_kg + self.vapour_kg[0] + self.vapour_kg[1];
        let bound = loose.min((self.binds_kg - self.bound_kg).max(0.0));
        self.free_kg = loose - bound;
        self.bound_kg += bound;
        self.vapour_kg = [0.0; 2];
        self.vapour_pa = [0.0; 2];
    }
}

/// Heat that water takes to boil, or ice to sublime, at a temperature, J/kg.
#[must_use]
pub fn vaporisation_j_per_kg(temperature_k: f64) -> f64 {
    let celsius = temperature_k - air::ZERO_CELSIUS_K;
    let vapour = air::VAPOUR_ENTHALPY_AT_ZERO_CELSIUS_J_PER_KG
        + air::VAPOUR_HEAT_CAPACITY_J_PER_KG_K * celsius;
    let condensed = if celsius < 0.0 {
        air::ice_enthalpy_j_per_kg(temperature_k)
    } else {
        air::liquid_water_enthalpy_j_per_kg(temperature_k)
    };
    vapour - condensed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drier_binds_first_and_gives_little_off_until_it_is_full() {
        let mut water = Water {
            free_kg: 4e-3,
            binds_kg: 6e-3,
            vapour_kg: [1e-5; 2],
            ..Water::default()
        };
        let all = water.total_kg();
        water.dissolve();
        assert_eq!(water.free_kg, 0.0);
        assert!((water.total_kg() - all).abs() < 1e-15);
        let part = water.over_drier_pa(298.15);
        water.bound_kg = 6e-3;
        let full = water.over_drier_pa(298.15);
        // ASHRAE: 3.169 kPa at 25 °C.
        assert!((full - 3169.0).abs() < 5.0, "{full}");
        assert!(part < 0.25 * full, "{part}");
    }

    #[test]
    fn heat_of_vaporisation_at_25_celsius() {
        // 2442 kJ/kg (steam tables, IAPWS).
        assert!((vaporisation_j_per_kg(298.15) / 2.442e6 - 1.0).abs() < 2e-3);
    }
}
