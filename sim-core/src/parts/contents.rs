//! What is in the loop besides the refrigerant on the label: air, water, another refrigerant.
//!
//! Water enters through hoses and with every opening of the loop. The desiccant binds it until it is
//! full; only what it cannot take goes round and may freeze ([`super::moisture`]). 30 g of molecular
//! sieve take up about a fifth of their own mass: 6 g (common practice, no source). A loop that was
//! evacuated properly and has run for some years holds about 1 g of water in all (common practice, no
//! source), which a sound drier never lets out. Range: 0 to 20 g of either stranger.

/// Strangers in the loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contents {
    /// Air, kg.
    pub air_kg: f64,
    /// Water, kg, bound in the drier or not.
    pub water_kg: f64,
    /// Share of the desiccant's capacity that is used up or lost.
    pub drier_spent: f64,
    /// Share of the refrigerant, by mass, that is the other one of the two cars use.
    pub other_share: f64,
}

/// Water that a new drier binds, kg.
pub const DRIER_HOLDS_KG: f64 = 6.0e-3;
/// Water in a sound loop, kg.
pub const USUAL_WATER_KG: f64 = 1.0e-3;

impl Default for Contents {
    fn default() -> Self {
        Self {
            air_kg: 0.0,
            water_kg: USUAL_WATER_KG,
            drier_spent: 0.0,
            other_share: 0.0,
        }
    }
}

impl Contents {
    /// Water that goes round with the refrigerant, kg: what the drier does not bind.
    #[must_use]
    pub fn free_water_kg(&self) -> f64 {
        (self.water_kg - DRIER_HOLDS_KG * (1.0 - self.drier_spent)).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sound_drier_binds_what_a_sound_loop_holds() {
        assert_eq!(Contents::default().free_water_kg(), 0.0);
    }

    #[test]
    fn a_full_drier_lets_the_water_go_round() {
        let spent = Contents {
            drier_spent: 1.0,
            ..Contents::default()
        };
        assert_eq!(spent.free_water_kg(), USUAL_WATER_KG);
        let wet = Contents {
            water_kg: 10e-3,
            ..Contents::default()
        };
        assert!((wet.free_water_kg() - 4e-3).abs() < 1e-15);
    }
}
