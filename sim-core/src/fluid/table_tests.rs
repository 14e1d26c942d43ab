//! The fast table: derivatives, continuity, and sane numbers for any input.

use super::{Fast, Fluid, Input};

fn fluids() -> [Fluid; 3] {
    [
        Fluid::r134a(),
        Fluid::r1234yf(),
        Fluid::blend("R-134a", "R-1234yf", 0.4).unwrap(),
    ]
}

/// Pressures from far below the table to far above it, in each kind of its pieces.
const PRESSURES: [f64; 17] = [
    -3e5, 0.2, 3.0, 250.0, 990.0, 5e3, 1.3e5, 4.1e5, 1.7e6, 3.2e6, 3.33e6, 3.38e6, 4.0e6, 4.05e6,
    4.4e6, 5.9e6, 9e6,
];
const ENTHALPIES: [f64; 13] = [
    -2e6, -1e5, 5e4, 1.1e5, 1.9e5, 2.6e5, 3.3e5, 3.9e5, 4.1e5, 4.6e5, 5.5e5, 7.5e5, 4e6,
];

/// A derivative by differences: Richardson's extrapolation of two central ones.
fn slope(step: f64, function: impl Fn(f64) -> f64) -> f64 {
    let central = |h: f64| (function(h) - function(-h)) / (2.0 * h);
    (4.0 * central(0.5 * step) - central(step)) / 3.0
}

fn assert_slope(found: f64, expected: f64, scale: f64, what: &str) {
    let tolerance = 1e-5 * expected.abs() + 1e-7 * scale;
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: derivative {found}, by differences {expected}"
    );
}

/// The derivatives are those of the interpolant, everywhere but on its seams.
#[test]
fn derivatives_match_differences() {
    for fluid in fluids() {
        for pressure in PRESSURES {
            for enthalpy in ENTHALPIES {
                let here = fluid.ph(pressure, enthalpy);
                let what = format!("{} at {pressure} Pa, {enthalpy} J/kg", fluid.name());
                let dp = (pressure.abs() * 1e-4).max(1e-3);
                let dh = 5.0;
                let at = |p: f64, h: f64| fluid.ph(pressure + p, enthalpy + h);
                let along_p = |get: fn(&Fast) -> f64| slope(dp, |p| get(&at(p, 0.0)));
                let along_h = |get: fn(&Fast) -> f64| slope(dh, |h| get(&at(0.0, h)));
                let temperature: fn(&Fast) -> f64 = |fast| fast.temperature_k;
                let density: fn(&Fast) -> f64 = |fast| fast.density_kg_per_m3;
                let (k, rho) = (here.temperature_k, here.density_kg_per_m3);
                assert_slope(
                    here.temperature_dp,
                    along_p(temperature),
                    k / dp / 1e3,
                    &what,
                );
                assert_slope(
                    here.temperature_dh,
                    along_h(temperature),
                    k / dh / 1e3,
                    &what,
                );
                assert_slope(here.density_dp, along_p(density), rho / dp / 1e3, &what);
                assert_slope(here.density_dh, along_h(density), rho / dh / 1e3, &what);
            }
        }
    }
}

#[test]
fn saturation_derivatives_match_differences() {
    for fluid in fluids() {
        for pressure in PRESSURES {
            let here = fluid.saturation(pressure);
            let what = format!("{} at {pressure} Pa", fluid.name());
            let dp = (pressure.abs() * 1e-4).max(1e-3);
            let check = |found: f64, get: fn(&super::Saturation) -> f64| {
                let expected = slope(dp, |p| get(&fluid.saturation(pressure + p)));
                assert_slope(found, expected, get(&here).abs() / dp / 1e3, &what);
            };
            check(here.temperature_dp, |s| s.temperature_k);
            check(here.liquid_enthalpy_dp, |s| s.liquid_enthalpy_j_per_kg);
            check(here.vapour_enthalpy_dp, |s| s.vapour_enthalpy_j_per_kg);
            check(here.liquid_density_dp, |s| s.liquid_density_kg_per_m3);
            check(here.vapour_density_dp, |s| s.vapour_density_kg_per_m3);
            check(here.liquid_entropy_dp, |s| s.liquid_entropy_j_per_kg_k);
            check(here.vapour_entropy_dp, |s| s.vapour_entropy_j_per_kg_k);
        }
    }
}

/// On the saturation lines the phases meet. Above the seam the lines only divide the
/// table, and temperature is not that of the line.
#[test]
fn temperature_and_density_are_continuous_across_the_dome() {
    for fluid in fluids() {
        let seam = seam_pa(&fluid);
        for step in 0..2000 {
            let pressure = 0.3 * libm::exp(f64::from(step) * 0.0087);
            let line = fluid.saturation(pressure);
            // So little that the vapour in it takes a ten-millionth of the liquid's volume.
            let thin = line.vapour_density_kg_per_m3 / line.liquid_density_kg_per_m3;
            let latent = line.vapour_enthalpy_j_per_kg - line.liquid_enthalpy_j_per_kg;
            let hair = 1e-7 * latent * thin;
            for (edge, density) in [
                (line.liquid_enthalpy_j_per_kg, line.liquid_density_kg_per_m3),
                (line.vapour_enthalpy_j_per_kg, line.vapour_density_kg_per_m3),
            ] {
                let below = fluid.ph_with(&line, edge - hair);
                let above = fluid.ph_with(&line, edge + hair);
                let what = format!("{} at {pressure} Pa, {edge} J/kg", fluid.name());
                let temperature = if pressure < seam {
                    line.temperature_k
                } else {
                    below.temperature_k
                };
                for side in [below, above] {
                    let miss = (side.temperature_k - temperature).abs();
                    assert!(miss < 1e-4, "{what}: {miss} K");
                    let ratio = side.density_kg_per_m3 / density;
                    assert!((ratio - 1.0).abs() < 1e-6, "{what}: {ratio}");
                }
            }
        }
    }
}

/// Above this pressure the dome is laid over one phase.
fn seam_pa(fluid: &Fluid) -> f64 {
    0.9735 * fluid.equation().coefficients().critical_pressure_pa
}

/// Above the seam the edges of the dome are found where temperature starts to depend on
/// enthalpy: density does not jump there, temperature and entropy by hairs.
#[test]
fn the_top_of_the_dome_meets_one_phase() {
    for fluid in fluids() {
        let critical_pa = fluid.equation().coefficients().critical_pressure_pa;
        let seam = seam_pa(&fluid);
        let mut edges = 0;
        for step in 1..200 {
            let pressure = seam + (critical_pa - seam) * f64::from(step) / 200.0;
            let line = fluid.saturation(pressure);
            let (wet, dry) = (line.liquid_enthalpy_j_per_kg, line.vapour_enthalpy_j_per_kg);
            let mixed = |h: f64| fluid.ph_with(&line, h).temperature_dh == 0.0;
            let middle = 0.5 * (wet + dry);
            let middle = (0..=100)
                .map(|part| middle + (dry - wet) * (f64::from(part) / 100.0 - 0.5))
                .find(|h| mixed(*h))
                .unwrap();
            for outside in [wet, dry] {
                let (mut inside, mut outside) = (middle, outside);
                assert!(!mixed(outside), "{} at {pressure} Pa", fluid.name());
                while (inside - outside).abs() > 1e-6 {
                    let half = 0.5 * (inside + outside);
                    if mixed(half) {
                        inside = half;
                    } else {
                        outside = half;
                    }
                }
                let (a, b) = (fluid.ph_with(&line, inside), fluid.ph_with(&line, outside));
                let what = format!("{} at {pressure} Pa, {inside} J/kg", fluid.name());
                let kelvin = (a.temperature_k - b.temperature_k).abs();
                assert!(kelvin < 1e-3, "{what}: T jumps by {kelvin} K");
                let ratio = a.density_kg_per_m3 / b.density_kg_per_m3;
                assert!((ratio - 1.0).abs() < 1e-9, "{what}: density ratio {ratio}");
                let entropy = (a.entropy_j_per_kg_k - b.entropy_j_per_kg_k).abs();
                assert!(entropy < 1e-3, "{what}: s jumps by {entropy}");
                edges += 1;
            }
        }
        assert_eq!(edges, 2 * 199);
    }
}

/// Along pressure nothing jumps at the ends of the table or anywhere else.
#[test]
fn nothing_jumps_along_pressure() {
    for fluid in fluids() {
        let seam = seam_pa(&fluid);
        let line = fluid.saturation(seam);
        let (wet, dry) = (line.liquid_enthalpy_j_per_kg, line.vapour_enthalpy_j_per_kg);
        let across = (0..24).map(|part| wet + (dry - wet) * (f64::from(part) + 0.5) / 24.0);
        let enthalpies: Vec<f64> = ENTHALPIES.into_iter().chain(across).collect();
        for seam in [0.5, 1000.0, seam, fluid.highest_tabulated_pa()] {
            for &enthalpy in &enthalpies {
                let below = fluid.ph(seam * (1.0 - 1e-10), enthalpy);
                let above = fluid.ph(seam * (1.0 + 1e-10), enthalpy);
                let what = format!("{} at {seam} Pa, {enthalpy} J/kg", fluid.name());
                assert!(
                    (below.temperature_k - above.temperature_k).abs() < 1e-6,
                    "{what}"
                );
                let ratio = below.density_kg_per_m3 / above.density_kg_per_m3;
                assert!((ratio - 1.0).abs() < 1e-8, "{what}");
                let slopes = below.density_dp / above.density_dp;
                assert!((slopes - 1.0).abs() < 1e-4, "{what}: slope ratio {slopes}");
            }
        }
    }
}

#[test]
fn any_finite_input_gives_a_sane_state() {
    let odd = [
        0.0,
        -0.0,
        1e-300,
        1e-3,
        1.0,
        777.0,
        1e4,
        3e5,
        3.95e6,
        4.1e6,
        5e6,
        6.05e6,
        1e8,
        1e12,
        1e300,
        f64::MAX,
    ];
    for fluid in fluids() {
        for p in odd.into_iter().chain(odd.map(|value| -value)) {
            for h in odd.into_iter().chain(odd.map(|value| -value)) {
                let found = fluid.ph(p, h);
                let what = format!("{} at {p} Pa, {h} J/kg: {found:?}", fluid.name());
                assert!(
                    found.temperature_k > 0.0 && found.temperature_k.is_finite(),
                    "{what}"
                );
                let density = found.density_kg_per_m3;
                assert!(density > 0.0 && density.is_finite(), "{what}");
                for value in [
                    found.entropy_j_per_kg_k,
                    found.quality,
                    found.temperature_dp,
                    found.temperature_dh,
                    found.density_dp,
                    found.density_dh,
                ] {
                    assert!(!value.is_nan(), "{what}");
                }
            }
        }
    }
}

#[test]
fn density_rises_with_pressure() {
    for fluid in fluids() {
        for enthalpy in ENTHALPIES {
            let mut before = 0.0;
            for step in 0..3000 {
                let pressure = 0.6 * libm::exp(f64::from(step) * 0.006);
                let density = fluid.ph(pressure, enthalpy).density_kg_per_m3;
                let what = format!("{} at {pressure} Pa, {enthalpy} J/kg", fluid.name());
                assert!(density > before, "{what}: {before} then {density}");
                before = density;
            }
        }
    }
}

/// An evacuated loop holds a thin gas: p = ρ R T with the paper's gas constant.
#[test]
fn thin_vapour_is_an_ideal_gas() {
    let fluid = Fluid::r134a();
    let gas_constant = 8.314471 / 0.102032;
    for pressure in [1.0, 10.0, 100.0] {
        let exact = fluid
            .equation()
            .state(Input::Pressure(pressure), Input::Temperature(300.0))
            .unwrap();
        let found = fluid.ph(pressure, exact.enthalpy_j_per_kg);
        let ideal = pressure / (gas_constant * 300.0);
        assert!(
            (found.density_kg_per_m3 / ideal - 1.0).abs() < 2e-4,
            "{found:?}"
        );
        assert!((found.temperature_k - 300.0).abs() < 0.05, "{found:?}");
    }
}

#[test]
fn saturation_pressure_is_the_inverse_of_saturation() {
    for fluid in fluids() {
        for step in 0..=240 {
            let temperature = 178.0 + f64::from(step);
            let pressure = fluid.saturation_pressure_pa(temperature);
            let found = fluid.saturation(pressure).temperature_k;
            assert!(
                (found - temperature).abs() < 1e-9 * temperature,
                "{} at {temperature} K: {pressure} Pa gives {found} K",
                fluid.name()
            );
        }
    }
}

/// Newton's iteration for pressure and enthalpy from density and temperature ends within
/// a few steps, as it can only with the true derivatives.
#[test]
fn newton_converges_quadratically() {
    let fluid = Fluid::r134a();
    let goal = fluid.ph(1.43e6, 447e3);
    let (mut p, mut h) = (1.2e6, 430e3);
    for _ in 0..6 {
        let at = fluid.ph(p, h);
        let temperature = goal.temperature_k - at.temperature_k;
        let density = goal.density_kg_per_m3 - at.density_kg_per_m3;
        let determinant = at.temperature_dp * at.density_dh - at.temperature_dh * at.density_dp;
        p += (temperature * at.density_dh - density * at.temperature_dh) / determinant;
        h += (density * at.temperature_dp - temperature * at.density_dp) / determinant;
    }
    assert!(
        (p - 1.43e6).abs() < 1e-4 && (h - 447e3).abs() < 1e-5,
        "{p} {h}"
    );
}
