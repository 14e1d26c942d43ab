//! The state of a refrigerant and the two values that fix it.

use core::fmt;

/// One of the two values that fix a state.
///
/// ```
/// use sim_core::fluid::{Equation, Input, Phase};
/// let state = Equation::r134a()
///     .state(Input::Pressure(300e3), Input::Enthalpy(420e3))
///     .unwrap();
/// assert_eq!(state.phase, Phase::Vapour);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Input {
    /// Absolute pressure, Pa.
    Pressure(f64),
    /// Temperature, K.
    Temperature(f64),
    /// Specific enthalpy, J/kg; 200 kJ/kg for saturated liquid at 0 °C.
    Enthalpy(f64),
    /// Specific entropy, J/(kg K); 1 kJ/(kg K) for saturated liquid at 0 °C.
    Entropy(f64),
    /// Mass fraction of vapour, 0 to 1.
    Quality(f64),
}

impl Input {
    /// The kind of the input as a plain word.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::Pressure(_) => "pressure",
            Self::Temperature(_) => "temperature",
            Self::Enthalpy(_) => "enthalpy",
            Self::Entropy(_) => "entropy",
            Self::Quality(_) => "quality",
        }
    }

    /// The number, in the SI unit of its kind.
    pub fn value(&self) -> f64 {
        match self {
            Self::Pressure(value)
            | Self::Temperature(value)
            | Self::Enthalpy(value)
            | Self::Entropy(value)
            | Self::Quality(value) => *value,
        }
    }
}

/// Which phase a state is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Liquid, also above the critical pressure when below the critical temperature.
    Liquid,
    /// Liquid and vapour side by side.
    TwoPhase,
    /// Vapour, also above the critical temperature when below the critical pressure.
    Vapour,
    /// Above both the critical temperature and the critical pressure.
    Supercritical,
}

impl fmt::Display for Phase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Liquid => "liquid",
            Self::TwoPhase => "two-phase",
            Self::Vapour => "vapour",
            Self::Supercritical => "supercritical",
        })
    }
}

/// A state in equilibrium, as the equation of state gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct State {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Specific enthalpy, J/kg.
    pub enthalpy_j_per_kg: f64,
    /// Specific entropy, J/(kg K).
    pub entropy_j_per_kg_k: f64,
    /// Density, kg/m³.
    pub density_kg_per_m3: f64,
    /// Mass fraction of vapour; `None` where there is one phase only.
    pub quality: Option<f64>,
    /// The phase.
    pub phase: Phase,
}
