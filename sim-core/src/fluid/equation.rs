//! The equation of state: every property from temperature and density.

use super::error::FluidError;
use super::helmholtz::{Alpha, Coefficients, Power, ideal, residual};
use super::{blend, r134a, r1234yf};

/// Saturated liquid at this temperature has the enthalpy and entropy below: the
/// reference state of the International Institute of Refrigeration.
const REFERENCE_TEMPERATURE_K: f64 = 273.15;
const REFERENCE_ENTHALPY_J_PER_KG: f64 = 200e3;
const REFERENCE_ENTROPY_J_PER_KG_K: f64 = 1e3;

/// A refrigerant's equation of state, without tables: exact, and slow next to
/// [`Fluid`](super::Fluid).
///
/// ```
/// use sim_core::fluid::{Equation, Input};
/// let equation = Equation::r134a();
/// let boiling = equation.state(Input::Temperature(273.15), Input::Quality(0.0)).unwrap();
/// assert!((boiling.enthalpy_j_per_kg - 200e3).abs() < 1e-3);
/// ```
#[derive(Clone, Debug)]
pub struct Equation {
    pub(super) published: Coefficients,
    /// The power terms sorted by the exponent of τ; see [`residual`].
    powers: Vec<Power>,
    pub(super) gas_constant_j_per_kg_k: f64,
    enthalpy_offset_j_per_kg: f64,
    entropy_offset_j_per_kg_k: f64,
}

/// The properties of one phase at a temperature and a density, with derivatives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Properties {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Density, kg/m³.
    pub density_kg_per_m3: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Specific enthalpy, J/kg.
    pub enthalpy_j_per_kg: f64,
    /// Specific entropy, J/(kg K).
    pub entropy_j_per_kg_k: f64,
    /// Heat capacity at constant volume, J/(kg K).
    pub cv_j_per_kg_k: f64,
    /// ∂p/∂T at constant density, Pa/K.
    pub pressure_dt: f64,
    /// ∂p/∂ρ at constant temperature, Pa m³/kg.
    pub pressure_drho: f64,
}

impl Properties {
    /// ∂h/∂T at constant density, J/(kg K).
    pub fn enthalpy_dt(&self) -> f64 {
        self.cv_j_per_kg_k + self.pressure_dt / self.density_kg_per_m3
    }

    /// ∂h/∂ρ at constant temperature, J m³/kg².
    pub fn enthalpy_drho(&self) -> f64 {
        let density = self.density_kg_per_m3;
        (self.pressure_drho - self.temperature_k * self.pressure_dt / density) / density
    }

    /// Heat capacity at constant pressure, J/(kg K).
    pub fn cp_j_per_kg_k(&self) -> f64 {
        let ratio = self.pressure_dt / self.density_kg_per_m3;
        self.cv_j_per_kg_k + self.temperature_k * ratio * ratio / self.pressure_drho
    }

    /// Speed of sound, m/s; zero where the phase is not stable.
    pub fn speed_of_sound_m_per_s(&self) -> f64 {
        let square = self.pressure_drho * self.cp_j_per_kg_k() / self.cv_j_per_kg_k;
        if square > 0.0 {
            libm::sqrt(square)
        } else {
            0.0
        }
    }
}

impl Equation {
    /// The equation of state of R-134a: Tillner-Roth and Baehr (1994).
    pub fn r134a() -> Self {
        Self::new(r134a::COEFFICIENTS.clone())
    }

    /// The equation of state of R-1234yf: Lemmon and Akasaka (2022).
    pub fn r1234yf() -> Self {
        Self::new(r1234yf::COEFFICIENTS.clone())
    }

    /// The equation of state of both mixed, by a mass fraction of R-1234yf between 0 and
    /// 1: Bell (2022), taken as pseudo-pure; see [`blend`].
    pub(super) fn blend(share_of_r1234yf: f64) -> Self {
        Self::new(blend::coefficients(share_of_r1234yf))
    }

    fn new(published: Coefficients) -> Self {
        let mut powers = published.powers.to_vec();
        powers.sort_by(|a, b| a.t.total_cmp(&b.t));
        let gas_constant = published.gas_constant_j_per_mol_k / published.molar_mass_kg_per_mol;
        let mut equation = Self {
            published,
            powers,
            gas_constant_j_per_kg_k: gas_constant,
            enthalpy_offset_j_per_kg: 0.0,
            entropy_offset_j_per_kg_k: 0.0,
        };
        let liquid = equation.saturated(REFERENCE_TEMPERATURE_K).liquid;
        equation.enthalpy_offset_j_per_kg = REFERENCE_ENTHALPY_J_PER_KG - liquid.enthalpy_j_per_kg;
        equation.entropy_offset_j_per_kg_k =
            REFERENCE_ENTROPY_J_PER_KG_K - liquid.entropy_j_per_kg_k;
        equation
    }

    /// The name people write, such as `R-134a`.
    pub fn name(&self) -> &'static str {
        self.published.name
    }

    /// The published coefficients and the range of the equation.
    pub fn coefficients(&self) -> &Coefficients {
        &self.published
    }

    /// The residual part of the reduced Helmholtz energy at τ = T_r/T and δ = ρ/ρ_r.
    ///
    /// ```
    /// use sim_core::fluid::Equation;
    /// // An ideal gas has no residual part, and a thin gas hardly any.
    /// assert!(Equation::r134a().residual(1.0, 1e-9).value.abs() < 1e-8);
    /// ```
    pub fn residual(&self, tau: f64, delta: f64) -> Alpha {
        residual(&self.powers, &self.published.gaussians, tau, delta)
    }

    /// The properties of a single phase at this temperature and density.
    ///
    /// The caller answers for the phase being stable there: inside the two-phase
    /// dome the numbers are those of the equation and not of an equilibrium state.
    ///
    /// ```
    /// use sim_core::fluid::Equation;
    /// let vapour = Equation::r134a().properties(300.0, 4.0);
    /// assert!((vapour.pressure_pa - 95_932.0866).abs() < 0.001);
    /// ```
    pub fn properties(&self, temperature_k: f64, density_kg_per_m3: f64) -> Properties {
        let gas_constant = self.gas_constant_j_per_kg_k;
        let tau = self.published.reducing_temperature_k / temperature_k;
        let delta = density_kg_per_m3 / self.published.reducing_density_kg_per_m3;
        let real = self.residual(tau, delta);
        let gas = ideal(&self.published.ideal, tau, delta);
        let rt = gas_constant * temperature_k;
        Properties {
            temperature_k,
            density_kg_per_m3,
            pressure_pa: density_kg_per_m3 * rt * (1.0 + real.delta),
            enthalpy_j_per_kg: rt * (1.0 + real.delta + gas.tau + real.tau)
                + self.enthalpy_offset_j_per_kg,
            entropy_j_per_kg_k: gas_constant * (gas.tau + real.tau - gas.value - real.value)
                + self.entropy_offset_j_per_kg_k,
            cv_j_per_kg_k: -gas_constant * (gas.tau_tau + real.tau_tau),
            pressure_dt: density_kg_per_m3 * gas_constant * (1.0 + real.delta - real.tau_delta),
            pressure_drho: rt * (1.0 + 2.0 * real.delta + real.delta_delta),
        }
    }

    /// The error that names this equation's range.
    pub(super) fn outside(&self, what: String) -> FluidError {
        FluidError::OutsideRange {
            fluid: self.published.name,
            what,
            temperature_min_k: self.published.temperature_min_k,
            temperature_max_k: self.published.temperature_max_k,
            pressure_max_pa: self.published.pressure_max_pa,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every derivative against a central difference of what it is the derivative of.
    #[test]
    fn derivatives_match_differences() {
        for equation in [Equation::r134a(), Equation::r1234yf()] {
            for (temperature, density) in [(300.0, 4.0), (300.0, 1250.0), (380.0, 400.0)] {
                let at = |t: f64, d: f64| equation.properties(temperature + t, density + d);
                let here = at(0.0, 0.0);
                let (dt, dd) = (1e-3, 1e-5 * density);
                let along_t = |get: fn(&Properties) -> f64| {
                    (get(&at(dt, 0.0)) - get(&at(-dt, 0.0))) / (2.0 * dt)
                };
                let along_d = |get: fn(&Properties) -> f64| {
                    (get(&at(0.0, dd)) - get(&at(0.0, -dd))) / (2.0 * dd)
                };
                let close = |found: f64, expected: f64| {
                    let miss = (found / expected - 1.0).abs();
                    assert!(miss < 1e-6, "{found} against {expected} at {temperature} K");
                };
                close(here.pressure_dt, along_t(|p| p.pressure_pa));
                close(here.pressure_drho, along_d(|p| p.pressure_pa));
                close(here.enthalpy_dt(), along_t(|p| p.enthalpy_j_per_kg));
                close(here.enthalpy_drho(), along_d(|p| p.enthalpy_j_per_kg));
                let entropy_dt = here.cv_j_per_kg_k / temperature;
                close(entropy_dt, along_t(|p| p.entropy_j_per_kg_k));
                let entropy_drho = -here.pressure_dt / (density * density);
                close(entropy_drho, along_d(|p| p.entropy_j_per_kg_k));
            }
        }
    }

    /// The constants of both papers already give the reference state of the International
    /// Institute of Refrigeration; the computed offset only removes their rounding.
    #[test]
    fn the_published_constants_give_the_reference_state() {
        for equation in [Equation::r134a(), Equation::r1234yf()] {
            assert!(equation.enthalpy_offset_j_per_kg.abs() < 1.0);
            assert!(equation.entropy_offset_j_per_kg_k.abs() < 0.01);
            let zero = equation.saturated(REFERENCE_TEMPERATURE_K).liquid;
            assert!((zero.enthalpy_j_per_kg - 200e3).abs() < 1e-6);
            assert!((zero.entropy_j_per_kg_k - 1e3).abs() < 1e-9);
        }
    }
}
