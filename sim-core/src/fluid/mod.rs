//! Refrigerants: equation of state, saturation and the fast table the loop uses.

mod axis;
mod build;
mod equation;
mod error;
mod flash;
mod helmholtz;
mod near_critical;
mod phase_grid;
mod r1234yf;
mod r134a;
mod saturation;
mod saturation_line;
mod search;
mod sought;
mod state;
mod table;
#[cfg(test)]
mod table_tests;

pub use equation::{Equation, Properties};
pub use error::FluidError;
pub use helmholtz::{Alpha, Ancillary, Coefficients, Gaussian, Ideal, Power};
pub use saturation::Saturated;
pub use state::{Input, Phase, State};
pub use table::{Fast, Saturation};

use table::Table;

/// How a refrigerant is made.
type Maker = fn() -> Fluid;

/// The refrigerants by name.
const KNOWN: [(&str, Maker); 2] = [("R-134a", Fluid::r134a), ("R-1234yf", Fluid::r1234yf)];

/// A refrigerant: its equation of state and a fast table made from it.
///
/// The fast lookups take any finite number and never fail: outside the tabulated range
/// (1 kPa to 60 bar; for R-134a liquid from −103 °C, vapour to 182 °C) they go on smoothly
/// with positive temperature and density.
///
/// There is no boiling above the critical pressure, yet callers need no case for it: from
/// 0.9735 of that pressure on, the two lines between which `quality` is counted are
/// carried on and level off before they would meet. They then no longer bound the
/// two-phase dome, and a state between them may be liquid, vapour or both. Temperature,
/// density, entropy and slopes stay those of the equation of state throughout.
///
/// ```
/// use sim_core::fluid::Fluid;
/// let fluid = Fluid::by_name("R134a").unwrap();
/// let vapour = fluid.ph(300e3, 420e3);
/// assert!(vapour.quality > 1.0 && vapour.temperature_k > fluid.saturation(300e3).temperature_k);
/// ```
#[derive(Clone, Debug)]
pub struct Fluid {
    equation: Equation,
    table: Table,
}

impl Fluid {
    /// A refrigerant by its name, in capitals or not, with a hyphen or without.
    ///
    /// # Errors
    /// The name is not known; the error lists those that are.
    ///
    /// ```
    /// use sim_core::fluid::Fluid;
    /// assert_eq!(Fluid::by_name("r-134A").unwrap().name(), "R-134a");
    /// let error = Fluid::by_name("R-12").unwrap_err();
    /// assert!(error.to_string().contains("R-134a, R-1234yf"));
    /// ```
    pub fn by_name(name: &str) -> Result<Self, FluidError> {
        let plain = |text: &str| text.trim().replace('-', "").to_ascii_lowercase();
        for (known, make) in KNOWN {
            if plain(known) == plain(name) {
                return Ok(make());
            }
        }
        Err(FluidError::UnknownFluid {
            name: name.to_string(),
            known: KNOWN.map(|(known, _)| known).join(", "),
        })
    }

    /// R-134a: Tillner-Roth and Baehr (1994).
    pub fn r134a() -> Self {
        Self::new(Equation::r134a())
    }

    /// R-1234yf: Lemmon and Akasaka (2022).
    pub fn r1234yf() -> Self {
        Self::new(Equation::r1234yf())
    }

    fn new(equation: Equation) -> Self {
        let table = Table::new(&equation);
        Self { equation, table }
    }

    /// The name people write, such as `R-134a`.
    pub fn name(&self) -> &'static str {
        self.equation.name()
    }

    /// The equation of state without tables.
    pub fn equation(&self) -> &Equation {
        &self.equation
    }

    /// The highest pressure of the fast table, Pa.
    pub fn highest_tabulated_pa(&self) -> f64 {
        self.table.highest_pa()
    }

    /// Saturation at a pressure in Pa. Takes any finite number.
    #[inline]
    pub fn saturation(&self, pressure_pa: f64) -> Saturation {
        self.table.saturation(pressure_pa)
    }

    /// The pressure in Pa at which [`Self::saturation`] has a temperature in K.
    ///
    /// ```
    /// use sim_core::fluid::Fluid;
    /// let fluid = Fluid::r134a();
    /// let pressure_pa = fluid.saturation_pressure_pa(280.0);
    /// assert!((fluid.saturation(pressure_pa).temperature_k - 280.0).abs() < 1e-9);
    /// ```
    pub fn saturation_pressure_pa(&self, temperature_k: f64) -> f64 {
        self.table.saturation_pressure_pa(temperature_k)
    }

    /// The state at a pressure in Pa and an enthalpy in J/kg. Takes any finite numbers.
    ///
    /// ```
    /// use sim_core::fluid::Fluid;
    /// let liquid = Fluid::r134a().ph(1.2e6, 240e3);
    /// assert!(liquid.quality < 0.0);
    /// ```
    #[inline]
    pub fn ph(&self, pressure_pa: f64, enthalpy_j_per_kg: f64) -> Fast {
        self.ph_with(&self.saturation(pressure_pa), enthalpy_j_per_kg)
    }

    /// The state at an enthalpy in J/kg and the pressure of a saturation already looked
    /// up, for cells that share a pressure.
    ///
    /// ```
    /// use sim_core::fluid::Fluid;
    /// let fluid = Fluid::r134a();
    /// let saturation = fluid.saturation(300e3);
    /// let shared = fluid.ph_with(&saturation, 410e3);
    /// assert_eq!(shared.temperature_k, fluid.ph(300e3, 410e3).temperature_k);
    /// ```
    #[inline]
    pub fn ph_with(&self, saturation: &Saturation, enthalpy_j_per_kg: f64) -> Fast {
        self.table.ph_with(saturation, enthalpy_j_per_kg)
    }
}
