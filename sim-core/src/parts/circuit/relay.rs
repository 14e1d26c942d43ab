//! The clutch relay: a small coil that pulls one contact against another, and a spring that parts them.
//!
//! The contacts close where the volts on the coil's turns reach 7.5 V, and part again below 2.5 V: no
//! equation but the two limits (common practice, no source). A fault adds volts to the first, or a weld that no
//! spring parts. Range: 0 to 16 V.

use super::ClutchCircuit;

/// Volts at which a 12 V relay's coil pulls its contacts together, V (common practice, no source).
const PULL_IN_V: f64 = 7.5;
/// Volts below which the spring parts them again, V (common practice, no source).
const RELEASE_V: f64 = 2.5;

impl ClutchCircuit {
    /// Resistance of the relay's own coil, Ω.
    #[must_use]
    pub fn relay_coil_resistance_ohm(&self) -> f64 {
        self.relay_coil_ohm + self.condition.relay_coil_open_ohm
    }

    /// Whether the contacts are welded: the spring cannot part them whatever the coil does.
    #[must_use]
    pub fn relay_welded(&self) -> bool {
        self.condition.relay_weld >= 1.0
    }

    /// Whether the contacts touch, from how they were and the volts on the coil's turns.
    pub(super) fn relay_closes(&self, were_closed: bool, turns_v: f64) -> bool {
        let needed_v = if were_closed {
            RELEASE_V
        } else {
            PULL_IN_V + self.condition.relay_pull_in_v
        };
        self.relay_welded() || turns_v >= needed_v
    }
}
