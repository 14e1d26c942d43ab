//! The form every equation of state here has: a reduced Helmholtz energy.
//!
//! The reduced Helmholtz energy α(τ, δ) = a/(R T) is the sum of an ideal-gas part and
//! a residual part, with τ = T_r/T and δ = ρ/ρ_r. Every property follows from α and
//! its derivatives; see the formulas in Tillner-Roth and Baehr (1994), table 12, or in
//! any paper on a multiparameter equation of state.

use std::borrow::Cow;

/// A residual term n δ^d τ^t, times exp(−δ^l) where l is not zero.
#[derive(Clone, Copy, Debug)]
pub struct Power {
    /// Coefficient.
    pub n: f64,
    /// Exponent of τ.
    pub t: f64,
    /// Exponent of δ, at most 10.
    pub d: u8,
    /// Exponent of δ inside the exponential, at most 4; 0 for no exponential.
    pub l: u8,
}

/// A residual term n δ^d τ^t exp(−η(δ−ε)² − β(τ−γ)²).
#[derive(Clone, Copy, Debug)]
pub struct Gaussian {
    /// Coefficient.
    pub n: f64,
    /// Exponent of τ.
    pub t: f64,
    /// Exponent of δ, at most 10.
    pub d: u8,
    /// Width in δ.
    pub eta: f64,
    /// Width in τ.
    pub beta: f64,
    /// Centre in τ.
    pub gamma: f64,
    /// Centre in δ.
    pub epsilon: f64,
}

/// The ideal-gas part: ln δ + constant + tau τ + log_tau ln τ + Σ n τ^t + Σ n ln(1−exp(−θτ)).
#[derive(Clone, Debug)]
pub struct Ideal {
    /// The constant; it only sets the origin of entropy.
    pub constant: f64,
    /// The factor of τ; it only sets the origin of enthalpy.
    pub tau: f64,
    /// The factor of ln τ.
    pub log_tau: f64,
    /// Pairs (n, t) of n τ^t.
    pub powers: Cow<'static, [(f64, f64)]>,
    /// Pairs (n, θ) of n ln(1 − exp(−θτ)).
    pub einstein: Cow<'static, [(f64, f64)]>,
}

/// An ancillary equation for a property along the saturation line.
///
/// With θ = 1 − T/T_c the sum S = Σ n θ^t gives a ratio to the critical value:
/// exp(S T_c/T), exp(S) or 1 + S.
#[derive(Clone, Copy, Debug)]
pub struct Ancillary {
    /// Whether the sum is multiplied by T_c/T.
    pub scaled_by_tau: bool,
    /// Whether the ratio is the exponential of the sum, or one plus the sum.
    pub exponential: bool,
    /// Pairs (n, t).
    pub terms: &'static [(f64, f64)],
}

impl Ancillary {
    /// The ratio of the property to its critical value.
    pub(super) fn ratio(&self, temperature_k: f64, critical_temperature_k: f64) -> f64 {
        let theta = 1.0 - temperature_k / critical_temperature_k;
        if theta <= 0.0 {
            return 1.0;
        }
        let log_theta = libm::log(theta);
        let mut sum = 0.0;
        for (n, t) in self.terms {
            sum += n * libm::exp(t * log_theta);
        }
        if self.scaled_by_tau {
            sum *= critical_temperature_k / temperature_k;
        }
        if self.exponential {
            libm::exp(sum)
        } else {
            1.0 + sum
        }
    }
}

/// All that a paper publishes about one refrigerant's equation of state.
#[derive(Clone, Debug)]
pub struct Coefficients {
    /// The name people write, such as `R-134a`.
    pub name: &'static str,
    /// Gas constant used by the paper, J/(mol K).
    pub gas_constant_j_per_mol_k: f64,
    /// Molar mass, kg/mol.
    pub molar_mass_kg_per_mol: f64,
    /// T_r in τ = T_r/T, K.
    pub reducing_temperature_k: f64,
    /// ρ_r in δ = ρ/ρ_r, kg/m³.
    pub reducing_density_kg_per_m3: f64,
    /// Critical temperature, K.
    pub critical_temperature_k: f64,
    /// Critical pressure, Pa.
    pub critical_pressure_pa: f64,
    /// Critical density, kg/m³.
    pub critical_density_kg_per_m3: f64,
    /// Lowest temperature of the equation, K.
    pub temperature_min_k: f64,
    /// Highest temperature of the equation, K.
    pub temperature_max_k: f64,
    /// Highest pressure of the equation, Pa.
    pub pressure_max_pa: f64,
    /// Ideal-gas part.
    pub ideal: Ideal,
    /// Residual power terms.
    pub powers: Cow<'static, [Power]>,
    /// Residual Gaussian terms.
    pub gaussians: Cow<'static, [Gaussian]>,
    /// Saturation pressure, a starting value only.
    pub pressure_ancillary: Ancillary,
    /// Density of saturated liquid, a starting value only.
    pub liquid_ancillary: Ancillary,
    /// Density of saturated vapour, a starting value only.
    pub vapour_ancillary: Ancillary,
}

/// A part of the reduced Helmholtz energy with its derivatives, each multiplied by
/// the powers of τ and δ that make it dimensionless: `tau_delta` is τ δ ∂²α/∂τ∂δ.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Alpha {
    /// α.
    pub value: f64,
    /// δ ∂α/∂δ.
    pub delta: f64,
    /// τ ∂α/∂τ.
    pub tau: f64,
    /// δ² ∂²α/∂δ².
    pub delta_delta: f64,
    /// τ δ ∂²α/∂τ∂δ.
    pub tau_delta: f64,
    /// τ² ∂²α/∂τ².
    pub tau_tau: f64,
}

const HIGHEST_D: usize = 10;
const HIGHEST_L: usize = 4;

/// The residual part at τ and δ. `powers` come sorted by t, so that terms of the same
/// exponent share one exponential.
pub(super) fn residual(powers: &[Power], gaussians: &[Gaussian], tau: f64, delta: f64) -> Alpha {
    let log_tau = libm::log(tau);
    let mut delta_powers = [1.0; HIGHEST_D + 1];
    for d in 1..=HIGHEST_D {
        delta_powers[d] = delta_powers[d - 1] * delta;
    }
    // exp(−δ^l), computed when a term first needs it.
    let mut decays = [1.0, 0.0, 0.0, 0.0, 0.0];
    let mut known = [true, false, false, false, false];

    let mut sum = Alpha::default();
    let mut exponent = f64::NAN;
    let mut tau_power = 1.0;
    for term in powers {
        if term.t != exponent {
            exponent = term.t;
            tau_power = libm::exp(exponent * log_tau);
        }
        let d = usize::from(term.d).min(HIGHEST_D);
        let l = usize::from(term.l).min(HIGHEST_L);
        if !known[l] {
            decays[l] = libm::exp(-delta_powers[l]);
            known[l] = true;
        }
        let value = term.n * delta_powers[d] * tau_power * decays[l];
        // δ ∂/∂δ of δ^d exp(−δ^l) is (d − l δ^l) times it; the second derivative follows.
        let l_power = if l == 0 {
            0.0
        } else {
            f64::from(term.l) * delta_powers[l]
        };
        let slope = f64::from(term.d) - l_power;
        let curve = slope * (slope - 1.0) - f64::from(term.l) * l_power;
        add(
            &mut sum,
            value,
            slope,
            term.t,
            curve,
            term.t * (term.t - 1.0),
        );
    }
    for term in gaussians {
        if term.t != exponent {
            exponent = term.t;
            tau_power = libm::exp(exponent * log_tau);
        }
        let d = usize::from(term.d).min(HIGHEST_D);
        let from_epsilon = delta - term.epsilon;
        let from_gamma = tau - term.gamma;
        let bell = libm::exp(
            -term.eta * from_epsilon * from_epsilon - term.beta * from_gamma * from_gamma,
        );
        let value = term.n * delta_powers[d] * tau_power * bell;
        let slope = f64::from(term.d) - 2.0 * term.eta * delta * from_epsilon;
        let curve = slope * slope - f64::from(term.d) - 2.0 * term.eta * delta * delta;
        let tau_slope = term.t - 2.0 * term.beta * tau * from_gamma;
        let tau_curve = tau_slope * tau_slope - term.t - 2.0 * term.beta * tau * tau;
        add(&mut sum, value, slope, tau_slope, curve, tau_curve);
    }
    sum
}

fn add(sum: &mut Alpha, value: f64, slope: f64, tau_slope: f64, curve: f64, tau_curve: f64) {
    sum.value += value;
    sum.delta += value * slope;
    sum.tau += value * tau_slope;
    sum.delta_delta += value * curve;
    sum.tau_delta += value * slope * tau_slope;
    sum.tau_tau += value * tau_curve;
}

/// The ideal-gas part at τ and δ.
pub(super) fn ideal(terms: &Ideal, tau: f64, delta: f64) -> Alpha {
    let log_tau = libm::log(tau);
    let mut sum = Alpha {
        value: libm::log(delta) + terms.constant + terms.tau * tau + terms.log_tau * log_tau,
        delta: 1.0,
        tau: terms.tau * tau + terms.log_tau,
        delta_delta: -1.0,
        tau_delta: 0.0,
        tau_tau: -terms.log_tau,
    };
    for (n, t) in terms.powers.iter() {
        let value = n * libm::exp(t * log_tau);
        sum.value += value;
        sum.tau += value * t;
        sum.tau_tau += value * t * (t - 1.0);
    }
    for (n, theta) in terms.einstein.iter() {
        let decay = libm::exp(-theta * tau);
        let occupied = theta * tau * decay / (1.0 - decay);
        sum.value += n * libm::log(1.0 - decay);
        sum.tau += n * occupied;
        sum.tau_tau -= n * occupied * theta * tau / (1.0 - decay);
    }
    sum
}
