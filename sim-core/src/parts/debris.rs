//! What a failing compressor sheds, and where it comes to rest.
//!
//! Metal and facing leave the compressor with every turn and go with the gas. The condenser's fine
//! tubes catch most; what is carried through ends in the screen of the expansion device. Oil leaves
//! with it and stays on it. Shares and amounts: common practice, no source.

/// What a compressor sheds.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Debris {
    /// Shed before the car came in, kg.
    pub shed_kg: f64,
    /// Shed with each turn of the shaft, kg.
    pub shed_kg_per_turn: f64,
}

/// Where it is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Resting {
    /// In the condenser's tubes, kg.
    pub condenser_kg: f64,
    /// In the screen of the expansion device, kg.
    pub screen_kg: f64,
}

/// Share that the condenser catches.
const CAUGHT_IN_CONDENSER: f64 = 0.7;
/// Debris that leaves 1/e of the condenser's tubes open, kg.
const CONDENSER_KG: f64 = 6.0e-3;
/// Debris that leaves 1/e of the screen open, kg.
const SCREEN_KG: f64 = 1.0e-3;
/// Share of the label's oil that a gram of debris takes with it.
const OIL_SHARE_PER_KG: f64 = 50.0;

impl Debris {
    /// Where what was shed before has come to rest.
    #[must_use]
    pub fn resting(&self) -> Resting {
        Resting::default().with(self.shed_kg)
    }

    /// Where it rests after some turns of the shaft.
    #[must_use]
    pub fn advance(&self, resting: Resting, turns: f64) -> Resting {
        if self.shed_kg_per_turn > 0.0 && turns > 0.0 {
            resting.with(self.shed_kg_per_turn * turns)
        } else {
            resting
        }
    }
}

impl Resting {
    fn with(self, shed_kg: f64) -> Self {
        Self {
            condenser_kg: self.condenser_kg + CAUGHT_IN_CONDENSER * shed_kg,
            screen_kg: self.screen_kg + (1.0 - CAUGHT_IN_CONDENSER) * shed_kg,
        }
    }

    /// All of it, kg.
    #[must_use]
    pub fn total_kg(&self) -> f64 {
        self.condenser_kg + self.screen_kg
    }

    /// Share of the condenser's tubes left open.
    #[must_use]
    pub fn condenser_open(&self) -> f64 {
        libm::exp(-self.condenser_kg / CONDENSER_KG).max(0.03)
    }

    /// Share of the expansion device's screen left open.
    #[must_use]
    pub fn screen_open(&self) -> f64 {
        libm::exp(-self.screen_kg / SCREEN_KG).max(1e-3)
    }

    /// Oil it has taken out of circulation, as a share of the label's amount.
    #[must_use]
    pub fn oil_share(&self) -> f64 {
        (OIL_SHARE_PER_KG * self.total_kg()).min(0.8)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shed_is_all_somewhere() {
        let debris = Debris {
            shed_kg: 2e-3,
            shed_kg_per_turn: 1e-8,
        };
        let after = debris.advance(debris.resting(), 1e5);
        assert!((after.total_kg() - 3e-3).abs() < 1e-15);
        assert!(after.condenser_open() < debris.resting().condenser_open());
        assert_eq!(Debris::default().resting().condenser_open(), 1.0);
    }
}
