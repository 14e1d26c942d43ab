//! Liquid and vapour in equilibrium, solved from the equation of state.
//!
//! Both phases have the same temperature, pressure and Gibbs energy (Maxwell). The
//! unknowns are the two densities; Newton's iteration is that of R. Akasaka, "A reliable
//! and useful method to determine the saturation state from Helmholtz energy equations
//! of state", J. Therm. Sci. Technol. 3(3):442–451 (2008). The ancillary equations give
//! the starting values.

use super::equation::{Equation, Properties};
use super::error::FluidError;

/// This close to the critical temperature (as a ratio) liquid and vapour are no longer
/// told apart: both densities run into each other as a square root.
const CLOSEST_TO_CRITICAL: f64 = 1.0 - 2e-5;

/// Nearer than this (1 − T/T_c) the iteration starts from a power law.
const NEAR_CRITICAL: f64 = 0.01;

/// Liquid and vapour in equilibrium.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saturated {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// The liquid.
    pub liquid: Properties,
    /// The vapour.
    pub vapour: Properties,
}

impl Saturated {
    /// Slope of the vapour-pressure curve, Pa/K (Clausius and Clapeyron).
    pub fn pressure_dt(&self) -> f64 {
        let volume = 1.0 / self.vapour.density_kg_per_m3 - 1.0 / self.liquid.density_kg_per_m3;
        (self.vapour.entropy_j_per_kg_k - self.liquid.entropy_j_per_kg_k) / volume
    }
}

impl Equation {
    /// The highest temperature for which saturation is solved, K.
    pub(super) fn saturation_temperature_max_k(&self) -> f64 {
        self.published.critical_temperature_k * CLOSEST_TO_CRITICAL
    }

    /// Saturation at a temperature within the equation's range.
    ///
    /// # Errors
    /// The temperature is not finite, below the range or not below the critical one.
    ///
    /// ```
    /// use sim_core::fluid::Equation;
    /// let at_zero = Equation::r134a().saturation_at_temperature(273.15).unwrap();
    /// assert!((at_zero.pressure_pa - 292_803.0).abs() < 1.0);
    /// ```
    pub fn saturation_at_temperature(&self, temperature_k: f64) -> Result<Saturated, FluidError> {
        if !temperature_k.is_finite() {
            return Err(FluidError::NotFinite {
                kind: "temperature",
            });
        }
        if temperature_k < self.published.temperature_min_k {
            return Err(self.outside(format!("temperature {temperature_k} K")));
        }
        if temperature_k > self.saturation_temperature_max_k() {
            return Err(self.above_critical());
        }
        Ok(self.saturated(temperature_k))
    }

    /// Saturation at a pressure within the equation's range.
    ///
    /// # Errors
    /// The pressure is not finite, below that of the coldest saturated liquid or not
    /// below the critical one.
    ///
    /// ```
    /// use sim_core::fluid::Equation;
    /// let boiling = Equation::r134a().saturation_at_pressure(101_325.0).unwrap();
    /// assert!((boiling.temperature_k - 247.076).abs() < 0.001);
    /// ```
    pub fn saturation_at_pressure(&self, pressure_pa: f64) -> Result<Saturated, FluidError> {
        if !pressure_pa.is_finite() {
            return Err(FluidError::NotFinite { kind: "pressure" });
        }
        if pressure_pa < self.saturated(self.published.temperature_min_k).pressure_pa {
            return Err(self.outside(format!(
                "boiling at {pressure_pa} Pa, below the triple point,"
            )));
        }
        if pressure_pa
            > self
                .saturated(self.saturation_temperature_max_k())
                .pressure_pa
        {
            return Err(self.above_critical());
        }
        Ok(self.saturated_at_pressure(pressure_pa, self.guess_temperature_k(pressure_pa)))
    }

    pub(super) fn above_critical(&self) -> FluidError {
        FluidError::AboveCritical {
            fluid: self.published.name,
            temperature_k: self.published.critical_temperature_k,
            pressure_pa: self.published.critical_pressure_pa,
        }
    }

    /// Saturation without a check of the range.
    pub(super) fn saturated(&self, temperature_k: f64) -> Saturated {
        let published = &self.published;
        let tau = published.reducing_temperature_k / temperature_k;
        let to_delta = published.critical_density_kg_per_m3 / published.reducing_density_kg_per_m3;
        let critical = published.critical_temperature_k;
        let ancillary =
            |line: &super::helmholtz::Ancillary| to_delta * line.ratio(temperature_k, critical);
        let mut liquid = ancillary(&published.liquid_ancillary);
        let mut vapour = ancillary(&published.vapour_ancillary);
        // Near the critical point the ancillary equations are too coarse to keep the two
        // densities apart; the usual power law, taken wide, is safe to start from.
        let theta = 1.0 - temperature_k / critical;
        if theta < NEAR_CRITICAL {
            let spread = 1.9 * libm::exp(0.325 * libm::log(theta));
            liquid = to_delta * (1.0 + spread);
            vapour = to_delta * (1.0 - spread);
        }
        for _ in 0..60 {
            let wet = self.residual(tau, liquid);
            let dry = self.residual(tau, vapour);
            // Reduced pressure and reduced Gibbs energy of either phase.
            let pressure = liquid * (1.0 + wet.delta) - vapour * (1.0 + dry.delta);
            let gibbs = wet.delta + wet.value - dry.delta - dry.value + libm::log(liquid / vapour);
            let wet_slope = 1.0 + 2.0 * wet.delta + wet.delta_delta;
            let dry_slope = 1.0 + 2.0 * dry.delta + dry.delta_delta;
            let common = (pressure / liquid - gibbs) / (1.0 / liquid - 1.0 / vapour);
            let mut liquid_step = (common - pressure) / wet_slope;
            let mut vapour_step = common / dry_slope;
            // A step may not carry a density past the middle of the two.
            let middle = 0.5 * (liquid + vapour);
            while liquid + liquid_step <= middle
                || vapour + vapour_step >= middle
                || vapour + vapour_step <= 0.0
            {
                liquid_step *= 0.5;
                vapour_step *= 0.5;
                if !(liquid_step.abs() > 1e-17 || vapour_step.abs() > 1e-17) {
                    break;
                }
            }
            liquid += liquid_step;
            vapour += vapour_step;
            if liquid_step.abs() < 1e-14 * liquid && vapour_step.abs() < 1e-13 * vapour {
                break;
            }
        }
        let density = published.reducing_density_kg_per_m3;
        let vapour = self.properties(temperature_k, vapour * density);
        Saturated {
            temperature_k,
            // The liquid's pressure is the small difference of large terms.
            pressure_pa: vapour.pressure_pa,
            liquid: self.properties(temperature_k, liquid * density),
            vapour,
        }
    }

    /// Saturation at a pressure, from a guess of the temperature, without a check of
    /// the range. Newton in (1/T, ln p), where the line is nearly straight.
    pub(super) fn saturated_at_pressure(&self, pressure_pa: f64, guess_k: f64) -> Saturated {
        let limit = 1.0 / self.saturation_temperature_max_k();
        let mut inverse = 1.0 / guess_k;
        let mut found = self.saturated(guess_k);
        for _ in 0..20 {
            let temperature = found.temperature_k;
            let slope = -temperature * temperature * found.pressure_dt() / found.pressure_pa;
            let step = libm::log(pressure_pa / found.pressure_pa) / slope;
            inverse = (inverse + step).max(limit);
            found = self.saturated(1.0 / inverse);
            if step.abs() < 1e-9 * inverse {
                break;
            }
        }
        found
    }

    /// The boiling temperature at a pressure by the ancillary equation.
    pub(super) fn guess_temperature_k(&self, pressure_pa: f64) -> f64 {
        let published = &self.published;
        let critical = published.critical_temperature_k;
        let log_target = libm::log(pressure_pa / published.critical_pressure_pa);
        let log_ratio =
            |inverse: f64| libm::log(published.pressure_ancillary.ratio(1.0 / inverse, critical));
        let coldest = 1.0 / published.temperature_min_k;
        let (mut before, mut before_log) = (1.0 / critical, 0.0);
        let (mut at, mut at_log) = (coldest, log_ratio(coldest));
        for _ in 0..12 {
            if (at_log - before_log).abs() < 1e-12 {
                break;
            }
            let next = at + (log_target - at_log) * (at - before) / (at_log - before_log);
            (before, before_log) = (at, at_log);
            at = next.clamp(1.0 / critical, coldest);
            at_log = log_ratio(at);
        }
        (1.0 / at).min(self.saturation_temperature_max_k())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Maxwell's conditions, from the triple point to just below the critical point.
    #[test]
    fn phases_share_pressure_and_gibbs_energy() {
        for equation in [Equation::r134a(), Equation::r1234yf()] {
            let low = equation.coefficients().temperature_min_k;
            let high = equation.saturation_temperature_max_k();
            let mut pressure_before = 0.0;
            for step in 0..=1000 {
                let temperature = (low + (high - low) * f64::from(step) / 1000.0).min(high);
                let found = equation.saturated(temperature);
                let gibbs =
                    |p: &Properties| p.enthalpy_j_per_kg - temperature * p.entropy_j_per_kg_k;
                let what = format!("{} at {temperature} K", equation.name());
                // Liquid pressure is the difference of terms near 1e8 Pa.
                let pressures = found.liquid.pressure_pa - found.pressure_pa;
                assert!(pressures.abs() < 1e-6 + 1e-9 * found.pressure_pa, "{what}");
                let difference = gibbs(&found.liquid) - gibbs(&found.vapour);
                assert!(difference.abs() < 1e-4, "{what}: {difference} J/kg");
                assert!(found.liquid.density_kg_per_m3 > found.vapour.density_kg_per_m3 + 5.0);
                assert!(found.pressure_pa > pressure_before, "{what}");
                pressure_before = found.pressure_pa;
            }
        }
    }

    #[test]
    fn pressure_and_temperature_agree() {
        for equation in [Equation::r134a(), Equation::r1234yf()] {
            for temperature in [180.0, 233.15, 273.15, 333.15, 365.0, 367.7] {
                let there = equation.saturation_at_temperature(temperature).unwrap();
                let back = equation.saturation_at_pressure(there.pressure_pa).unwrap();
                assert!((back.temperature_k - temperature).abs() < 1e-8, "{back:?}");
            }
        }
    }

    /// Clapeyron's slope against a difference of the curve it belongs to.
    #[test]
    fn slope_matches_a_difference() {
        let equation = Equation::r134a();
        for temperature in [220.0, 278.15, 340.0] {
            let at = |t: f64| equation.saturated(temperature + t).pressure_pa;
            let expected = (at(1e-3) - at(-1e-3)) / 2e-3;
            let found = equation.saturated(temperature).pressure_dt();
            assert!((found / expected - 1.0).abs() < 1e-7, "{found} {expected}");
        }
    }
}
