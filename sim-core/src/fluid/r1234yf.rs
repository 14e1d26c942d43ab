//! R-1234yf (2,3,3,3-tetrafluoroprop-1-ene).
//!
//! Equation of state: E. W. Lemmon and R. Akasaka, "An International Standard
//! Formulation for 2,3,3,3-Tetrafluoroprop-1-ene (R1234yf) Covering Temperatures from
//! the Triple Point Temperature to 410 K and Pressures Up to 100 MPa", Int. J.
//! Thermophys. 43(8) (2022), doi 10.1007/s10765-022-03015-y.
//!
//! The ancillary equations are those CoolProp 8.0.0 carries with this equation of
//! state; they only start the iteration.

use std::borrow::Cow;

use super::helmholtz::{Ancillary, Coefficients, Gaussian, Ideal, Power};

const fn power(n: f64, t: f64, d: u8, l: u8) -> Power {
    Power { n, t, d, l }
}

const fn gaussian(n: f64, t: f64, eta: f64, beta: f64, gamma: f64, epsilon: f64) -> Gaussian {
    Gaussian {
        n,
        t,
        d: 1,
        eta,
        beta,
        gamma,
        epsilon,
    }
}

pub(super) static COEFFICIENTS: Coefficients = Coefficients {
    name: "R-1234yf",
    gas_constant_j_per_mol_k: 8.314462618,
    molar_mass_kg_per_mol: 0.1140416,
    reducing_temperature_k: 367.85,
    reducing_density_kg_per_m3: 476.693888,
    critical_temperature_k: 367.85,
    critical_pressure_pa: 3_384_400.0,
    critical_density_kg_per_m3: 476.693888,
    temperature_min_k: 121.6,
    temperature_max_k: 410.0,
    pressure_max_pa: 100e6,
    ideal: Ideal {
        constant: -12.081525543189,
        tau: 8.52896238365,
        log_tau: 3.0,
        powers: Cow::Borrowed(&[]),
        einstein: Cow::Borrowed(&[
            (8.65, 1.3918716868288703),
            (9.75, 4.268044039690091),
            (2.11, 12.233247247519369),
        ]),
    },
    powers: Cow::Borrowed(&[
        power(0.0340387, 1.0, 4, 0),
        power(1.912859, 0.222, 1, 0),
        power(-2.1984719881617, 0.61, 1, 0),
        power(-0.8147645305033, 1.122, 2, 0),
        power(0.2288282, 0.5, 3, 0),
        power(-1.65436, 2.14, 1, 2),
        power(-1.446628, 2.284, 3, 2),
        power(0.5961722, 1.05, 2, 1),
        power(-0.6148209, 2.33, 2, 2),
        power(-0.0180069, 0.778, 7, 1),
    ]),
    gaussians: Cow::Borrowed(&[
        gaussian(0.2845275, 1.0, 28.1, 1016.0, 1.061, 0.96),
        gaussian(-0.3050809, 2.0, 28.0, 1000.0, 1.062, 0.96),
        gaussian(2.198935, 1.236, 1.307, 1.16, 1.3, 0.853),
        gaussian(-0.4270329, 1.6, 1.96, 1.2, 1.04, 1.15),
        gaussian(-0.4015581, 1.85, 1.25, 1.26, 1.0, 1.3),
        gaussian(0.1179587, 0.7, 1.0, 1.6, 1.14, 1.5),
        gaussian(-0.3141002, 1.75, 2.2, 0.87, 1.1, 0.762),
    ]),
    pressure_ancillary: Ancillary {
        scaled_by_tau: true,
        exponential: true,
        terms: &[
            (-7.4507, 1.0),
            (2.164, 1.5),
            (-1.674, 3.0),
            (-3.318, 4.0),
            (-1.617, 9.0),
        ],
    },
    liquid_ancillary: Ancillary {
        scaled_by_tau: false,
        exponential: false,
        terms: &[
            (3.392, 0.4),
            (-4.119, 0.7),
            (8.932, 1.1),
            (-8.525, 1.5),
            (3.384, 2.1),
        ],
    },
    vapour_ancillary: Ancillary {
        scaled_by_tau: false,
        exponential: true,
        terms: &[
            (-3.616, 0.426),
            (-74.91, 2.0),
            (197.7, 2.4),
            (-152.76, 2.7),
            (-61.062, 7.5),
            (-115.53, 15.0),
        ],
    },
};
