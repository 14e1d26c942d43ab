//! A joint made anew: its seal, and how tight it was made.
//!
//! What a joint lets through: a seal of the right size and thickness, oiled and made to the maker's torque
//! lets nothing through that counts. A seal used before has set, one of another size is pinched or does not
//! fill its groove, and a joint made too loose or so tight that a thread gives way stands open by a hair.
//! Rates at rest and 25 °C, common practice, no source: an old seal some 40 g a year, a wrong one 400; a
//! joint a third short of its torque 100, one only put on by hand some kilograms.

/// Seal of a joint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seal {
    /// The one that was there before.
    Old,
    /// A new one of the size and thickness the vehicle's data ask for, oiled.
    Right,
    /// A new one of another size or thickness.
    Wrong,
}

/// A joint as it was made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Joint {
    /// Its seal.
    pub seal: Seal,
    /// How tight it was made, as a share of the maker's value; 0 put on by hand.
    pub tightness: f64,
}

/// Share of the maker's torque by which a joint may be off (common practice, no source).
const TOLERANCE: f64 = 0.2;
/// Share of it from which threads and flanges give way.
const GIVES_FROM: f64 = 1.6;

impl Joint {
    /// A joint put together by hand with the seal that was there.
    #[must_use]
    pub fn by_hand() -> Self {
        Self {
            seal: Seal::Old,
            tightness: 0.0,
        }
    }

    /// What it lets through at rest and 25 °C, g a year.
    ///
    /// ```
    /// use sim_core::repair::{Joint, Seal};
    /// let made = |seal, tightness| Joint { seal, tightness }.leak_g_per_year();
    /// assert_eq!(made(Seal::Right, 1.05), 0.0);
    /// assert!(made(Seal::Wrong, 1.0) > made(Seal::Old, 1.0));
    /// assert!(made(Seal::Right, 0.0) > made(Seal::Right, 0.6));
    /// assert!(made(Seal::Right, 2.0) > 0.0);
    /// ```
    #[must_use]
    pub fn leak_g_per_year(self) -> f64 {
        let seal = match self.seal {
            Seal::Right => 0.0,
            Seal::Old => 40.0,
            Seal::Wrong => 400.0,
        };
        let short = (1.0 - TOLERANCE - self.tightness).max(0.0);
        let loose = 4000.0 * short * short;
        let strained = if self.tightness > GIVES_FROM {
            1500.0
        } else {
            0.0
        };
        seal + loose + strained
    }

    /// Whether it is made as it should be.
    #[must_use]
    pub fn is_sound(self) -> bool {
        self.leak_g_per_year() == 0.0
    }
}
