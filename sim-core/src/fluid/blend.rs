//! R-134a and R-1234yf mixed, as one pseudo-pure refrigerant.
//!
//! The mixture model is that of I. H. Bell, "Mixture Models for Refrigerants
//! R-1234yf/134a, R-1234yf/1234ze(E), and R-134a/1234ze(E) and Interim Models for
//! R-125/1234yf, R-1234ze(E)/227ea, and R-1234yf/152a", J. Phys. Chem. Ref. Data
//! 51(1):013103 (2022), doi 10.1063/5.0086060; the numbers are those CoolProp 8.0.0
//! carries with it. Its form is that of multi-fluid mixtures since Lemmon and Jacobsen
//! (1999): the residual energies of both equations at the same τ and δ, each by its mole
//! fraction, and a departure function, with a reducing point mixed as in Kunz and Wagner
//! (2012). So one phase of a given composition is the mixture's.
//!
//! Pseudo-pure means that liquid and vapour side by side are given the same composition,
//! where in truth the vapour is richer in one of the two. The pair is nearly azeotropic:
//! the true pressures of first boiling and first condensing lie within 0.8 % of each other,
//! and `tests/fluid_blend.rs` holds the one pressure found here against both. What a
//! blend separates into when it leaks as vapour is not in it.

use std::borrow::Cow;

use super::helmholtz::{Coefficients, Gaussian, Ideal, Power, residual};
use super::{r134a, r1234yf};

/// Reducing parameters of the pair, R-1234yf first: β and γ of temperature, of volume.
const TEMPERATURE: [f64; 2] = [1.000026, 0.987057];
const VOLUME: [f64; 2] = [1.000272, 1.003747];

/// The departure function, by the product of both mole fractions.
const DEPARTURE: [Power; 2] = [
    Power {
        n: 0.051900,
        t: 2.477314,
        d: 1,
        l: 1,
    },
    Power {
        n: -0.011472,
        t: 0.070541,
        d: 2,
        l: 2,
    },
];

/// One of the two with its mole fraction.
struct Part {
    fraction: f64,
    pure: &'static Coefficients,
}

impl Part {
    /// Its reducing volume, m³/mol.
    fn reducing_volume(&self) -> f64 {
        self.pure.molar_mass_kg_per_mol / self.pure.reducing_density_kg_per_m3
    }
}

/// The equation of state of a blend with a mass fraction of R-1234yf between 0 and 1.
pub(super) fn coefficients(share_of_r1234yf: f64) -> Coefficients {
    let (first, second) = (&r1234yf::COEFFICIENTS, &r134a::COEFFICIENTS);
    let moles = share_of_r1234yf / first.molar_mass_kg_per_mol;
    let fraction = moles / (moles + (1.0 - share_of_r1234yf) / second.molar_mass_kg_per_mol);
    let parts = [
        Part {
            fraction,
            pure: first,
        },
        Part {
            fraction: 1.0 - fraction,
            pure: second,
        },
    ];
    let sum = |get: &dyn Fn(&Part) -> f64| parts.iter().map(|part| part.fraction * get(part)).sum();
    let molar_mass: f64 = sum(&|part| part.pure.molar_mass_kg_per_mol);
    let gas_constant: f64 = sum(&|part| part.pure.gas_constant_j_per_mol_k);
    let [one, other] = &parts;
    let temperatures = parts
        .each_ref()
        .map(|part| part.pure.reducing_temperature_k);
    let reducing_temperature_k = reduce(
        &parts,
        temperatures,
        libm::sqrt(temperatures[0] * temperatures[1]),
        TEMPERATURE,
    );
    let volumes = [one.reducing_volume(), other.reducing_volume()];
    let edge = 0.5 * (libm::cbrt(volumes[0]) + libm::cbrt(volumes[1]));
    let reducing_volume = reduce(&parts, volumes, edge * edge * edge, VOLUME);
    let reducing_density = molar_mass / reducing_volume;

    let mut powers = Vec::new();
    let mut gaussians = Vec::new();
    for part in &parts {
        powers.extend(part.pure.powers.iter().map(|term| Power {
            n: part.fraction * term.n,
            ..*term
        }));
        gaussians.extend(part.pure.gaussians.iter().map(|term| Gaussian {
            n: part.fraction * term.n,
            ..*term
        }));
    }
    powers.extend(DEPARTURE.map(|term| Power {
        n: one.fraction * other.fraction * term.n,
        ..term
    }));
    powers.sort_by(|a, b| a.t.total_cmp(&b.t));
    let (tau, delta) = critical(&powers, &gaussians);
    let critical_temperature_k = reducing_temperature_k / tau;
    let critical_density = delta * reducing_density;
    let compressibility = 1.0 + residual(&powers, &gaussians, tau, delta).delta;
    let specific_gas_constant = gas_constant / molar_mass;
    // The larger part's shapes start the search for saturation.
    let like = if one.fraction > other.fraction {
        first
    } else {
        second
    };
    Coefficients {
        name: "R-134a/R-1234yf",
        gas_constant_j_per_mol_k: gas_constant,
        molar_mass_kg_per_mol: molar_mass,
        reducing_temperature_k,
        reducing_density_kg_per_m3: reducing_density,
        critical_temperature_k,
        critical_pressure_pa: critical_density
            * specific_gas_constant
            * critical_temperature_k
            * compressibility,
        critical_density_kg_per_m3: critical_density,
        temperature_min_k: first.temperature_min_k.max(second.temperature_min_k),
        temperature_max_k: first.temperature_max_k.min(second.temperature_max_k),
        pressure_max_pa: first.pressure_max_pa.min(second.pressure_max_pa),
        ideal: ideal(&parts, reducing_temperature_k),
        powers: Cow::Owned(powers),
        gaussians: Cow::Owned(gaussians),
        pressure_ancillary: like.pressure_ancillary,
        liquid_ancillary: like.liquid_ancillary,
        vapour_ancillary: like.vapour_ancillary,
    }
}

/// A reducing value of the mixture from those of its parts and one between them.
fn reduce(parts: &[Part; 2], pure: [f64; 2], between: f64, [beta, gamma]: [f64; 2]) -> f64 {
    let [x, y] = [parts[0].fraction, parts[1].fraction];
    let mixed = 2.0 * x * y * beta * gamma * between / (beta * beta * x + y);
    x * x * pure[0] + mixed + y * y * pure[1]
}

/// The ideal-gas part, each of its terms moved to the common τ. The constant and the factor
/// of τ only set the origins of entropy and enthalpy, as does the entropy of mixing, and the
/// reference state replaces them.
fn ideal(parts: &[Part; 2], reducing_temperature_k: f64) -> Ideal {
    let mut mixed = Ideal {
        constant: 0.0,
        tau: 0.0,
        log_tau: 0.0,
        powers: Cow::Owned(Vec::new()),
        einstein: Cow::Owned(Vec::new()),
    };
    for part in parts {
        let ratio = part.pure.reducing_temperature_k / reducing_temperature_k;
        let own = &part.pure.ideal;
        mixed.log_tau += part.fraction * own.log_tau;
        let powers = own.powers.iter().map(|(n, t)| {
            let scaled = n * libm::exp(t * libm::log(ratio));
            (part.fraction * scaled, *t)
        });
        mixed.powers.to_mut().extend(powers);
        let einstein = own
            .einstein
            .iter()
            .map(|(n, theta)| (part.fraction * n, theta * ratio));
        mixed.einstein.to_mut().extend(einstein);
    }
    mixed
}

/// τ and δ of the critical point: the isotherm on which ∂p/∂ρ, at its least, is zero.
fn critical(powers: &[Power], gaussians: &[Gaussian]) -> (f64, f64) {
    let stiffness = |tau: f64, delta: f64| {
        let alpha = residual(powers, gaussians, tau, delta);
        1.0 + 2.0 * alpha.delta + alpha.delta_delta
    };
    let (mut hot, mut cold) = (0.96, 1.04);
    for _ in 0..40 {
        let tau = 0.5 * (hot + cold);
        let delta = least(0.7, 1.3, |delta| stiffness(tau, delta));
        if stiffness(tau, delta) > 0.0 {
            hot = tau;
        } else {
            cold = tau;
        }
    }
    let tau = 0.5 * (hot + cold);
    (tau, least(0.7, 1.3, |delta| stiffness(tau, delta)))
}

/// Where a function with one minimum between two places has it, by thirds.
fn least(mut low: f64, mut high: f64, function: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..44 {
        let third = (high - low) / 3.0;
        if function(low + third) < function(high - third) {
            high -= third;
        } else {
            low += third;
        }
    }
    0.5 * (low + high)
}
