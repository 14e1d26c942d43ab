//! R-134a and R-1234yf mixed, against the mixture model of Bell (2022) as CoolProp 8.0.0
//! solves it. The tables under `reference/` are written by `reference/fluid_blend.py`.

// Helpers outside the test functions are test code all the same.
#![allow(clippy::unwrap_used, clippy::panic)]

use sim_core::fluid::{Fluid, FluidError, Input};
use sim_core::random::Draws;

const SATURATION: &str = include_str!("reference/fluid_blend.csv");
const PHASES: &str = include_str!("reference/fluid_blend_phases.csv");

/// The numbers of each line of a table, but for its first cells.
fn rows(table: &str, names: usize) -> Vec<Vec<f64>> {
    let rows: Vec<Vec<f64>> = table
        .lines()
        .skip(2)
        .map(|line| line.split(',').skip(names))
        .map(|cells| cells.map(|cell| cell.parse().unwrap()).collect())
        .collect();
    assert!(!rows.is_empty());
    rows
}

fn blend(share_of_r1234yf: f64) -> Fluid {
    Fluid::blend("R-134a", "R-1234yf", share_of_r1234yf).unwrap()
}

fn assert_close(found: f64, expected: f64, relative: f64, what: &str) {
    let miss = (found / expected - 1.0).abs();
    assert!(
        miss <= relative,
        "{what}: found {found}, expected {expected}, {miss:.1e} apart"
    );
}

/// One phase of a given composition is the mixture's own. CoolProp takes one gas constant for
/// all mixtures, 1e-6 from that of R-134a's paper, and in the ideal-gas part of a mixture the
/// critical temperature of R-134a in place of its reducing one: its mixture of R-134a with
/// nothing has a c_v 5.5e-5 from its own R-134a. Hence 1e-4 for what holds heat capacities.
#[test]
fn single_phases_are_those_of_the_mixture() {
    for row in rows(PHASES, 0) {
        let found = blend(row[0]).equation().properties(row[1], row[2]);
        let what = format!("{} at {} K, {} kg/m³", row[0], row[1], row[2]);
        assert_close(found.pressure_pa, row[3], 2e-6, &what);
        assert_close(found.cv_j_per_kg_k, row[4], 1e-4, &what);
        assert_close(found.cp_j_per_kg_k(), row[5], 1e-4, &what);
        assert_close(found.speed_of_sound_m_per_s(), row[6], 1e-4, &what);
    }
}

/// Saturation is where pseudo-pure differs from the mixture. Measured at mole fractions of
/// 0.25, 0.5 and 0.75 and for R-513A, at 0 and 40 °C: the pressure lies between dew and
/// bubble, never more than 0.33 % from either (0.75 of R-134a at 0 °C; R-513A 0.04 %); liquid
/// density is within 7e-6, latent heat within 1.6e-4, and vapour density, at its own
/// pressure, within 0.37 %.
#[test]
fn saturation_lies_between_bubble_and_dew_of_the_mixture() {
    for row in rows(SATURATION, 1) {
        let (fraction, share, temperature) = (row[0], row[1], row[2]);
        let (bubble, dew) = (row[3], row[4]);
        let equation_of = blend(share);
        let found = equation_of
            .equation()
            .saturation_at_temperature(temperature)
            .unwrap();
        let what = format!("{fraction} of R-134a at {temperature} K");
        let pressure = found.pressure_pa;
        assert!(
            (dew * (1.0 - 1e-6)..=bubble * (1.0 + 1e-6)).contains(&pressure),
            "{what}: {pressure} Pa"
        );
        assert_close(pressure, bubble, 3.5e-3, &what);
        assert_close(pressure, dew, 3.5e-3, &what);
        assert_close(found.liquid.density_kg_per_m3, row[5], 1e-5, &what);
        assert_close(found.vapour.density_kg_per_m3, row[6], 4e-3, &what);
        let latent = found.vapour.enthalpy_j_per_kg - found.liquid.enthalpy_j_per_kg;
        assert_close(latent, row[8] - row[7], 2e-4, &what);
    }
}

#[test]
fn nothing_of_the_other_is_the_pure_refrigerant() {
    let pure = [Fluid::r134a(), Fluid::r1234yf()];
    let same = [blend(0.0), blend(1.0)];
    let swapped = [1.0, 0.0].map(|share| Fluid::blend("R-1234yf", "R-134a", share).unwrap());
    for (index, pure) in pure.iter().enumerate() {
        for (pressure, enthalpy) in [(3e5, 410e3), (12e5, 240e3), (35e5, 330e3), (45e5, 380e3)] {
            let expected = format!("{:?}", pure.ph(pressure, enthalpy));
            for found in [&same[index], &swapped[index]] {
                assert_eq!(format!("{:?}", found.ph(pressure, enthalpy)), expected);
            }
        }
        assert_eq!(same[index].name(), pure.name());
    }
}

/// A hair of the other moves the saturation pressure by a hair.
#[test]
fn a_trace_of_the_other_changes_little() {
    for (share, pure) in [(1e-6, Fluid::r134a()), (1.0 - 1e-6, Fluid::r1234yf())] {
        for temperature in [250.0, 300.0, 350.0] {
            let found = blend(share).saturation_pressure_pa(temperature);
            let expected = pure.saturation_pressure_pa(temperature);
            assert_close(
                found,
                expected,
                1e-5,
                &format!("{share} at {temperature} K"),
            );
        }
    }
}

/// The order of the names with the share that belongs to it makes no difference.
#[test]
fn either_may_be_the_main_one() {
    let one = Fluid::blend("R-134a", "R-1234yf", 0.25).unwrap();
    let other = Fluid::blend("r1234yf", "r134a", 0.75).unwrap();
    assert_eq!(
        one.ph(9e5, 4e5).temperature_k,
        other.ph(9e5, 4e5).temperature_k
    );
}

/// A blend's table keeps the promise of the pure ones: 2 mK and 5e-5 of density.
#[test]
fn the_table_of_a_blend_follows_its_equation() {
    for (stream, share) in [0.03, 0.2, 0.5, 0.8, 0.97].into_iter().enumerate() {
        let fluid = blend(share);
        let equation = fluid.equation();
        let mut draws = Draws::new(21, stream as u64);
        for _ in 0..3000 {
            let pressure = 0.5e5 + 47.5e5 * draws.uniform();
            let enthalpy = 180e3 + 260e3 * draws.uniform();
            let exact = equation.state(Input::Pressure(pressure), Input::Enthalpy(enthalpy));
            let fast = fluid.ph(pressure, enthalpy);
            let what = format!("{share} at {pressure} Pa, {enthalpy} J/kg");
            let exact = exact.unwrap_or_else(|error| panic!("{what}: {error}"));
            let miss = (fast.temperature_k - exact.temperature_k).abs();
            assert!(miss < 2e-3, "{what}: T off by {miss} K");
            assert_close(fast.density_kg_per_m3, exact.density_kg_per_m3, 5e-5, &what);
        }
    }
}

#[test]
fn a_blend_that_cannot_be_says_so() {
    for share in [-0.1, 1.01, f64::NAN] {
        let error = Fluid::blend("R-134a", "R-1234yf", share).unwrap_err();
        assert!(matches!(error, FluidError::Share { .. }), "{error}");
    }
    let error = Fluid::blend("R-134a", "R-12", 0.1).unwrap_err();
    assert!(error.to_string().contains("R-134a, R-1234yf"), "{error}");
}
