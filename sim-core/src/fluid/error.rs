//! What can be wrong with a question about a refrigerant.

use core::fmt;

/// Why a state could not be found. Each message is a sentence a user can act on.
///
/// ```
/// use sim_core::fluid::{Equation, Input};
/// let error = Equation::r134a().state(Input::Quality(1.5), Input::Temperature(280.0)).unwrap_err();
/// assert_eq!(error.to_string(), "quality 1.5 is outside 0 (all liquid) to 1 (all vapour)");
/// ```
#[derive(Clone, Debug, PartialEq)]
pub enum FluidError {
    /// No refrigerant of this name is known.
    UnknownFluid {
        /// The name asked for.
        name: String,
        /// The names that are known, separated by commas.
        known: String,
    },
    /// Two inputs of the same kind were given.
    SameKind {
        /// The kind, as a word: `pressure`.
        kind: &'static str,
    },
    /// An input is not a finite number.
    NotFinite {
        /// The kind of the input.
        kind: &'static str,
    },
    /// A quality outside 0 to 1.
    Quality {
        /// The quality given.
        quality: f64,
    },
    /// A share of a blend outside 0 to 1.
    Share {
        /// The share given.
        share: f64,
    },
    /// Pressure and temperature were given and lie on the saturation line.
    OnSaturationLine {
        /// The refrigerant's name.
        fluid: &'static str,
        /// Temperature, K.
        temperature_k: f64,
        /// Saturation pressure at that temperature, Pa.
        pressure_pa: f64,
    },
    /// The state lies outside the range of the equation of state.
    OutsideRange {
        /// The refrigerant's name.
        fluid: &'static str,
        /// What was found outside, as the start of a sentence.
        what: String,
        /// Lowest temperature of the equation, K.
        temperature_min_k: f64,
        /// Highest temperature of the equation, K.
        temperature_max_k: f64,
        /// Highest pressure of the equation, Pa.
        pressure_max_pa: f64,
    },
    /// A two-phase state was asked for at or above the critical point.
    AboveCritical {
        /// The refrigerant's name.
        fluid: &'static str,
        /// Critical temperature, K.
        temperature_k: f64,
        /// Critical pressure, Pa.
        pressure_pa: f64,
    },
    /// A state too close to the critical point to be solved.
    NearCritical {
        /// The refrigerant's name.
        fluid: &'static str,
        /// Critical temperature, K.
        temperature_k: f64,
        /// Critical pressure, Pa.
        pressure_pa: f64,
    },
    /// No state in the range of the equation has both values.
    NoSuchState {
        /// The refrigerant's name.
        fluid: &'static str,
        /// The first kind of input.
        first: &'static str,
        /// The second kind of input.
        second: &'static str,
        /// Lowest temperature of the equation, K.
        temperature_min_k: f64,
        /// Highest temperature of the equation, K.
        temperature_max_k: f64,
        /// Highest pressure of the equation, Pa.
        pressure_max_pa: f64,
    },
}

impl fmt::Display for FluidError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownFluid { name, known } => {
                write!(
                    f,
                    "no refrigerant is called \"{name}\"; the known ones are {known}"
                )
            }
            Self::SameKind { kind } => write!(
                f,
                "{kind} is given twice; give two different ones of pressure, temperature, \
                 enthalpy, entropy and quality"
            ),
            Self::NotFinite { kind } => write!(f, "the {kind} is not a finite number"),
            Self::Quality { quality } => write!(
                f,
                "quality {quality} is outside 0 (all liquid) to 1 (all vapour)"
            ),
            Self::Share { share } => write!(
                f,
                "a share of {share} of the mass is outside 0 (none) to 1 (nothing else)"
            ),
            Self::OnSaturationLine {
                fluid,
                temperature_k,
                pressure_pa,
            } => write!(
                f,
                "{fluid} at {:.2} °C boils at {:.3} kPa, so this pressure and temperature do not \
                 fix the state; give one of them with a quality, enthalpy or entropy",
                temperature_k - 273.15,
                pressure_pa / 1e3
            ),
            Self::OutsideRange {
                fluid,
                what,
                temperature_min_k,
                temperature_max_k,
                pressure_max_pa,
            } => {
                write!(f, "{what} is outside the equation of state of {fluid}: ")?;
                range(f, *temperature_min_k, *temperature_max_k, *pressure_max_pa)
            }
            Self::AboveCritical {
                fluid,
                temperature_k,
                pressure_pa,
            } => write!(
                f,
                "{fluid} has no liquid and vapour side by side at or above its critical point, \
                 {temperature_k:.2} K and {:.1} kPa; give a lower value",
                pressure_pa / 1e3
            ),
            Self::NearCritical {
                fluid,
                temperature_k,
                pressure_pa,
            } => write!(
                f,
                "this state of {fluid} is too close to its critical point, {temperature_k:.2} K \
                 and {:.1} kPa, to be solved; move away from it",
                pressure_pa / 1e3
            ),
            Self::NoSuchState {
                fluid,
                first,
                second,
                temperature_min_k,
                temperature_max_k,
                pressure_max_pa,
            } => {
                write!(
                    f,
                    "no state of {fluid} has this {first} and {second} within the equation of \
                     state: "
                )?;
                range(f, *temperature_min_k, *temperature_max_k, *pressure_max_pa)
            }
        }
    }
}

fn range(f: &mut fmt::Formatter<'_>, low_k: f64, high_k: f64, high_pa: f64) -> fmt::Result {
    write!(
        f,
        "{low_k} K to {high_k} K ({:.2} °C to {:.2} °C), up to {} MPa",
        low_k - 273.15,
        high_k - 273.15,
        high_pa / 1e6
    )
}

impl core::error::Error for FluidError {}
