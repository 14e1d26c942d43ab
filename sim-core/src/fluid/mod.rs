//! Refrigerants: equation of state, saturation and the fast table the loop uses.

mod axis;
mod blend;
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

/// The refrigerant of a name.
fn known(name: &str) -> Result<(&'static str, Maker), FluidError> {
    let plain = |text: &str| text.trim().replace('-', "").to_ascii_lowercase();
    KNOWN
        .into_iter()
        .find(|(known, _)| plain(known) == plain(name))
        .ok_or_else(|| FluidError::UnknownFluid {
            name: name.to_string(),
            known: KNOWN.map(|(known, _)| known).join(", "),
        })
}

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
        let (_, make) = known(name)?;
        Ok(make())
    }

    /// Two refrigerants mixed, as happens when a car is topped up with the wrong one: one
    /// by its name, another, and the other's share of the mass.
    ///
    /// The blend is pseudo-pure: liquid and vapour have the same composition. Its phases
    /// are those of the mixture model of Bell (2022); against the true pressures of first
    /// boiling and first condensing of that model, at 0 and 40 °C and any share, its one
    /// saturation pressure lies within 0.5 %. Enthalpy and entropy count from its own
    /// boiling liquid at 0 °C. At a share of 0 or 1 it is the pure refrigerant itself.
    ///
    /// # Errors
    /// A name is not known, or the share is not between 0 and 1.
    ///
    /// ```
    /// use sim_core::fluid::Fluid;
    /// let topped_up = Fluid::blend("R-134a", "R-1234yf", 0.2).unwrap();
    /// // The two together boil at a higher pressure than by their shares.
    /// let pressure = |fluid: &Fluid| fluid.saturation_pressure_pa(273.15);
    /// let by_share = 0.8 * pressure(&Fluid::r134a()) + 0.2 * pressure(&Fluid::r1234yf());
    /// assert!(pressure(&topped_up) > by_share);
    /// ```
    pub fn blend(main: &str, other: &str, share_of_other: f64) -> Result<Self, FluidError> {
        let (main, other) = (known(main)?, known(other)?);
        if !(0.0..=1.0).contains(&share_of_other) {
            return Err(FluidError::Share {
                share: share_of_other,
            });
        }
        if share_of_other == 0.0 || main.0 == other.0 {
            return Ok(main.1());
        }
        if share_of_other == 1.0 {
            return Ok(other.1());
        }
        // The only pair there is, in one order or the other.
        let share_of_r1234yf = if other.0 == "R-1234yf" {
            share_of_other
        } else {
            1.0 - share_of_other
        };
        Ok(Self::new(Equation::blend(share_of_r1234yf)))
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
