//! The enthalpy or entropy looked for along a line of constant pressure or temperature.

use super::equation::Properties;
use super::saturation::Saturated;

/// A value that fixes the place on a line of constant pressure or temperature.
#[derive(Clone, Copy)]
pub(super) enum Sought {
    Enthalpy(f64),
    Entropy(f64),
}

impl Sought {
    pub(super) fn value(self) -> f64 {
        match self {
            Self::Enthalpy(value) | Self::Entropy(value) => value,
        }
    }

    pub(super) fn of(self, properties: &Properties) -> f64 {
        match self {
            Self::Enthalpy(_) => properties.enthalpy_j_per_kg,
            Self::Entropy(_) => properties.entropy_j_per_kg_k,
        }
    }

    pub(super) fn kind(self) -> &'static str {
        match self {
            Self::Enthalpy(_) => "enthalpy",
            Self::Entropy(_) => "entropy",
        }
    }

    /// The quality at which a mixture has the value; outside 0 to 1 for one phase.
    pub(super) fn quality(self, saturated: &Saturated) -> f64 {
        let liquid = self.of(&saturated.liquid);
        (self.value() - liquid) / (self.of(&saturated.vapour) - liquid)
    }
}
