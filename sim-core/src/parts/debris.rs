//! What a failing compressor sheds, and where it comes to rest.
//!
//! Metal and facing leave the compressor with every turn and go with the gas. The condenser's fine
//! tubes catch most of it; a receiver's filter most of what is left; the rest ends in the screen of
//! the expansion device. Each place keeps open e^(−m/m₀) of itself: grains fall where others leave
//! room, so that each gram closes the same share of what is still open. Oil leaves with debris and
//! stays on it. Shares and amounts: common practice, no source. Range: 0 to 50 g.

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
    /// In the receiver's filter, kg.
    pub filter_kg: f64,
    /// In the screen of the expansion device, kg.
    pub screen_kg: f64,
}

/// Share that the condenser catches.
const CAUGHT_IN_CONDENSER: f64 = 0.7;
/// Share of what passes the condenser that a receiver's filter catches.
const CAUGHT_IN_FILTER: f64 = 0.8;
/// Debris that leaves 1/e of the condenser's tubes open, kg.
const CONDENSER_KG: f64 = 6.0e-3;
/// Debris that leaves 1/e of the receiver's outlet open, kg.
const FILTER_KG: f64 = 3.0e-3;
/// Debris that leaves 1/e of the screen open, kg.
const SCREEN_KG: f64 = 1.0e-3;
/// Oil that a kilogram of debris takes out of circulation, as a share of the label's amount: some
/// five times its own mass, as sludge.
const OIL_SHARE_PER_KG: f64 = 50.0;
/// Most of the label's oil that debris can hold.
const MOST_OIL_SHARE: f64 = 0.8;
/// Share that debris leaves open of tubes and filter in any case: it is no weld.
const LEAST_OPEN: f64 = 0.03;
/// The same of a fine screen.
const LEAST_SCREEN_OPEN: f64 = 1e-3;

impl Debris {
    /// Where what was shed before has come to rest, on a car with a receiver's filter or without.
    #[must_use]
    pub fn resting(&self, filtered: bool) -> Resting {
        Resting::default().with(self.shed_kg, filtered)
    }

    /// Where it rests after some turns of the shaft.
    #[must_use]
    pub fn advance(&self, resting: Resting, turns: f64, filtered: bool) -> Resting {
        if self.shed_kg_per_turn > 0.0 && turns > 0.0 {
            resting.with(self.shed_kg_per_turn * turns, filtered)
        } else {
            resting
        }
    }
}

impl Resting {
    fn with(self, shed_kg: f64, filtered: bool) -> Self {
        let passed_kg = (1.0 - CAUGHT_IN_CONDENSER) * shed_kg;
        let filter_kg = if filtered {
            CAUGHT_IN_FILTER * passed_kg
        } else {
            0.0
        };
        Self {
            condenser_kg: self.condenser_kg + (shed_kg - passed_kg),
            filter_kg: self.filter_kg + filter_kg,
            screen_kg: self.screen_kg + (passed_kg - filter_kg),
        }
    }

    /// All of it, kg.
    #[must_use]
    pub fn total_kg(&self) -> f64 {
        self.condenser_kg + self.filter_kg + self.screen_kg
    }

    /// Share of the condenser's tubes left open.
    #[must_use]
    pub fn condenser_open(&self) -> f64 {
        left_open(self.condenser_kg / CONDENSER_KG, LEAST_OPEN)
    }

    /// Share of the receiver's outlet left open.
    #[must_use]
    pub fn filter_open(&self) -> f64 {
        left_open(self.filter_kg / FILTER_KG, LEAST_OPEN)
    }

    /// Share of the expansion device's screen left open.
    #[must_use]
    pub fn screen_open(&self) -> f64 {
        left_open(self.screen_kg / SCREEN_KG, LEAST_SCREEN_OPEN)
    }

    /// Oil it has taken out of circulation, as a share of the label's amount.
    #[must_use]
    pub fn oil_share(&self) -> f64 {
        (OIL_SHARE_PER_KG * self.total_kg()).min(MOST_OIL_SHARE)
    }
}

/// Share left open behind what has gathered, in parts of what leaves 1/e; nearly every loop is clean.
fn left_open(gathered: f64, least: f64) -> f64 {
    if gathered > 0.0 {
        libm::exp(-gathered).max(least)
    } else {
        1.0
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
        for filtered in [true, false] {
            let before = debris.resting(filtered);
            let after = debris.advance(before, 1e5, filtered);
            assert!((after.total_kg() - 3e-3).abs() < 1e-15);
            assert!(after.condenser_open() < before.condenser_open());
            assert!(after.screen_open() < before.screen_open());
        }
        assert_eq!(Debris::default().resting(true).condenser_open(), 1.0);
    }

    #[test]
    fn a_filter_spares_the_screen() {
        let debris = Debris {
            shed_kg: 5e-3,
            shed_kg_per_turn: 0.0,
        };
        let (with, without) = (debris.resting(true), debris.resting(false));
        assert!(with.screen_open() > without.screen_open());
        assert!(with.filter_open() < without.filter_open());
    }
}
