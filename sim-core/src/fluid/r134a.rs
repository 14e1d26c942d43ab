//! R-134a (1,1,1,2-tetrafluoroethane).
//!
//! Equation of state: R. Tillner-Roth and H. D. Baehr, "An International Standard
//! Formulation for the Thermodynamic Properties of 1,1,1,2-Tetrafluoroethane
//! (HFC-134a) for Temperatures from 170 K to 455 K and Pressures up to 70 MPa",
//! J. Phys. Chem. Ref. Data 23(5):657–729 (1994). Its reducing point is 374.18 K and
//! 508 kg/m³, which is not the critical point of the fluid.
//!
//! The ancillary equations are CoolProp's fits to the same equation of state (R134a
//! in CoolProp 8.0.0); they only start the iteration.

use std::borrow::Cow;

use super::helmholtz::{Ancillary, Coefficients, Ideal, Power};

const fn power(n: f64, t: f64, d: u8, l: u8) -> Power {
    Power { n, t, d, l }
}

pub(super) static COEFFICIENTS: Coefficients = Coefficients {
    name: "R-134a",
    gas_constant_j_per_mol_k: 8.314471,
    molar_mass_kg_per_mol: 0.102032,
    reducing_temperature_k: 374.18,
    reducing_density_kg_per_m3: 508.0,
    critical_temperature_k: 374.21,
    critical_pressure_pa: 4_059_280.0,
    critical_density_kg_per_m3: 511.9,
    temperature_min_k: 169.85,
    temperature_max_k: 455.0,
    pressure_max_pa: 70e6,
    ideal: Ideal {
        constant: -1.019535,
        tau: 9.047135,
        log_tau: -1.629789,
        powers: Cow::Borrowed(&[(-9.723916, -0.5), (-3.92717, -0.75)]),
        einstein: Cow::Borrowed(&[]),
    },
    powers: Cow::Borrowed(&[
        power(0.05586817, -0.5, 2, 0),
        power(0.498223, 0.0, 1, 0),
        power(0.02458698, 0.0, 3, 0),
        power(0.0008570145, 0.0, 6, 0),
        power(0.0004788584, 1.5, 6, 0),
        power(-1.800808, 1.5, 1, 0),
        power(0.2671641, 2.0, 1, 0),
        power(-0.04781652, 2.0, 2, 0),
        power(0.01423987, 1.0, 5, 1),
        power(0.3324062, 3.0, 2, 1),
        power(-0.007485907, 5.0, 2, 1),
        power(0.0001017263, 1.0, 4, 2),
        power(-0.5184567, 5.0, 1, 2),
        power(-0.08692288, 5.0, 4, 2),
        power(0.2057144, 6.0, 1, 2),
        power(-0.005000457, 10.0, 2, 2),
        power(0.0004603262, 10.0, 4, 2),
        power(-0.003497836, 10.0, 1, 3),
        power(0.006995038, 18.0, 5, 3),
        power(-0.01452184, 22.0, 3, 3),
        power(-0.0001285458, 50.0, 10, 4),
    ]),
    gaussians: Cow::Borrowed(&[]),
    pressure_ancillary: Ancillary {
        scaled_by_tau: true,
        exponential: true,
        terms: &[
            (0.4331478287291047, 0.845),
            (-9.090302559074352, 0.99),
            (2.1476074125217703, 1.14),
            (-1.557687007603464, 2.651),
            (-3.5020328972698604, 4.507),
            (14.958442337201044, 17.235),
        ],
    },
    liquid_ancillary: Ancillary {
        scaled_by_tau: false,
        exponential: false,
        terms: &[
            (18.772731940930015, 0.673),
            (-51.49939472178225, 0.994),
            (40.793536440596085, 1.257),
            (-1481.6500471538966, 5.783),
            (1600.534434298925, 5.943),
            (-67338.52423732559, 19.94),
        ],
    },
    vapour_ancillary: Ancillary {
        scaled_by_tau: true,
        exponential: true,
        terms: &[
            (-5.147386240766544, 0.476),
            (5.34618043286371, 0.966),
            (-7.611015272838434, 1.321),
            (-28.85436432788653, 8.491),
            (-9.079306067130748, 13.463),
            (64.0, 13.463),
        ],
    },
};
