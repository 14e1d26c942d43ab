//! What a failing compressor sheds, and where it comes to rest.
//!
//! Metal and facing leave the compressor with every turn and go with the gas. The condenser's fine
//! tubes catch most of it; a receiver's filter most of what is left; the rest ends in the screen of
//! the expansion device. Each place keeps open e^(−m/m₀) of itself: grains fall where others leave
//! room, so that each gram closes the same share of what is still open. Oil leaves with debris and
//! stays on it. What lies there has packed, and stays; work on the loop loosens it, and from then on it
//! goes round with the refrigerant: what hoses held within minutes, what fine tubes held over some weeks,
//! each grain to where the next one catches it, and the dust that passes every screen through the
//! compressor. Shares and amounts: common practice, no source. Range: 0 to 50 g.

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
    /// Loosened, in the hose before the condenser, kg.
    pub hose_kg: f64,
    /// Loosened, in the line behind it, kg.
    pub line_kg: f64,
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
/// Share of what lies in the condenser that work on the loop shakes into the hose before it, and the same
/// into the line behind it.
const SHAKEN: f64 = 0.08;
/// Turns of the shaft in which a hose gives up all but 1/e of what lies loose in it.
const HOSE_TURNS: f64 = 2.0e4;
/// The same of the condenser's tubes.
const TUBE_TURNS: f64 = 1.5e6;
/// Share of what reaches the screen that is dust and passes it.
const DUST: f64 = 0.1;
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
            ..self
        }
    }

    /// What blocks a condenser's tubes, as debris that would: kg for a share of them that is shut.
    #[must_use]
    pub fn kg_of_tubes(blocked: f64) -> f64 {
        -CONDENSER_KG * libm::log((1.0 - blocked).max(LEAST_OPEN))
    }

    /// After the loop was opened: part of what the condenser holds lies loose in the pipes beside it.
    #[must_use]
    pub fn loosened(self) -> Self {
        let shaken_kg = SHAKEN * self.condenser_kg;
        Self {
            hose_kg: self.hose_kg + shaken_kg,
            line_kg: self.line_kg + shaken_kg,
            condenser_kg: self.condenser_kg - 2.0 * shaken_kg,
            ..self
        }
    }

    /// Where loosened debris is after some turns of the shaft, and what of it went through the
    /// compressor, kg: that lies in oil and crankcase then.
    #[must_use]
    pub fn carried(self, turns: f64, filtered: bool) -> (Self, f64) {
        let gone = |kg: f64, in_turns: f64| -kg * libm::expm1(-turns / in_turns);
        let hose_kg = gone(self.hose_kg, HOSE_TURNS);
        let tubes_kg = gone(self.condenser_kg, TUBE_TURNS);
        let line_kg = gone(self.line_kg, HOSE_TURNS);
        let behind_kg = (1.0 - CAUGHT_IN_CONDENSER) * hose_kg + tubes_kg;
        let filter_kg = if filtered {
            CAUGHT_IN_FILTER * behind_kg
        } else {
            0.0
        };
        let at_screen_kg = behind_kg - filter_kg + line_kg;
        let dust_kg = DUST * at_screen_kg;
        let after = Self {
            hose_kg: self.hose_kg - hose_kg,
            line_kg: self.line_kg - line_kg,
            condenser_kg: self.condenser_kg - tubes_kg + CAUGHT_IN_CONDENSER * hose_kg,
            filter_kg: self.filter_kg + filter_kg,
            screen_kg: self.screen_kg + at_screen_kg - dust_kg,
        };
        (after, dust_kg)
    }

    /// All of it, kg.
    #[must_use]
    pub fn total_kg(&self) -> f64 {
        self.hose_kg + self.line_kg + self.condenser_kg + self.filter_kg + self.screen_kg
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
    fn what_is_loosened_goes_on_and_is_all_somewhere() {
        let debris = Debris {
            shed_kg: 5e-3,
            shed_kg_per_turn: 0.0,
        };
        let packed = debris.resting(true);
        let loose = packed.loosened();
        assert!((loose.total_kg() - packed.total_kg()).abs() < 1e-15);
        let (after, dust_kg) = loose.carried(3e6, true);
        assert!((after.total_kg() + dust_kg - packed.total_kg()).abs() < 1e-15);
        assert!(dust_kg > 0.0 && after.condenser_open() > packed.condenser_open());
        assert!(after.filter_open() < packed.filter_open());
        assert!(after.screen_open() < packed.screen_open());
        assert_eq!(loose.carried(0.0, true), (loose, 0.0));
    }

    #[test]
    fn blocked_tubes_are_as_much_debris_as_blocks_them() {
        let resting = Resting {
            condenser_kg: Resting::kg_of_tubes(0.6),
            ..Resting::default()
        };
        assert!((resting.condenser_open() - 0.4).abs() < 1e-12);
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
