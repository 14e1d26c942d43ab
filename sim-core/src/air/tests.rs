use super::*;

const SEA_LEVEL_PA: f64 = STANDARD_ATMOSPHERE_PA;

fn assert_near(found: f64, expected: f64, tolerance: f64, what: &str) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found} for {expected}"
    );
}

/// Against central differences of the function itself, through freezing and boiling.
#[test]
fn the_slope_is_the_derivative() {
    for pressure_pa in [SEA_LEVEL_PA, 84_556.0, 60_000.0] {
        for tenth_c in -600..1900 {
            let t = ZERO_CELSIUS_K + f64::from(tenth_c) / 10.0 + 0.05;
            let h = 1e-3;
            let rise = saturated_humidity_ratio(t + h, pressure_pa)
                - saturated_humidity_ratio(t - h, pressure_pa);
            let (_, slope) = saturated_humidity_ratio_with_slope(t, pressure_pa);
            assert_near(slope, rise / (2.0 * h), 1e-5 * slope + 1e-12, "slope");
        }
    }
}

/// The integrator meets both joints: frost forming at the triple point, a wall drying near
/// boiling.
#[test]
fn the_saturated_ratio_rises_without_a_step() {
    let mut previous = saturated_humidity_ratio(213.15, SEA_LEVEL_PA);
    for hundredth_k in 1..26_000 {
        let t = 213.15 + f64::from(hundredth_k) / 100.0;
        let (here, slope) = saturated_humidity_ratio_with_slope(t, SEA_LEVEL_PA);
        assert!(here > previous, "falls at {t} K");
        assert!(here - previous < 0.0105 * slope, "steps at {t} K");
        previous = here;
    }
    let (below, above) = (TRIPLE_POINT_K, TRIPLE_POINT_K + 1e-9);
    let step = saturation_vapour_pressure_pa(above) - saturation_vapour_pressure_pa(below);
    assert!(step.abs() < 1e-5, "{step} Pa at the triple point");
}

#[test]
fn inverses_return_where_they_came_from() {
    for pressure_pa in [SEA_LEVEL_PA, 84_556.0] {
        for celsius in (-60..=150).step_by(3) {
            let t = ZERO_CELSIUS_K + f64::from(celsius);
            for percent in [1, 20, 60, 99, 120] {
                let relative = f64::from(percent) / 100.0;
                let w = humidity_ratio_from_relative(t, relative, pressure_pa);
                let back = relative_humidity(t, w, pressure_pa);
                assert_near(back, relative, 1e-9 * relative, "relative humidity");
                let h = enthalpy_j_per_kg_da(t, w);
                assert_near(temperature_from_enthalpy_k(h, w), t, 1e-8, "temperature");
                let dew_k = dew_point_k(w, pressure_pa);
                if dew_k > COLDEST_SATURATION_K {
                    let at_dew = saturated_humidity_ratio(dew_k, pressure_pa);
                    assert_near(at_dew, w, 1e-6 * w, "dew point");
                }
            }
            let saturated = saturated_humidity_ratio(t, pressure_pa);
            assert_near(
                dew_point_k(saturated, pressure_pa),
                t,
                1e-6,
                "saturated dew point",
            );
            assert_near(
                wet_bulb_k(t, saturated, pressure_pa),
                t,
                2e-6,
                "saturated wet bulb",
            );
        }
    }
}

#[test]
fn nothing_is_ever_nan_or_infinite() {
    let temperatures = [
        -1e6, 0.0, 100.0, 213.15, 273.15, 273.16, 300.0, 366.0, 373.15, 473.15, 1e6,
    ];
    let ratios = [-1e6, -1.0, 0.0, 1e-9, 0.01, 1.0, 2.4878, 3.0, 100.0, 1e6];
    let pressures = [-1e6, 0.0, 1.0, 50e3, SEA_LEVEL_PA, 1e6];
    for t in temperatures {
        for w in ratios {
            for p in pressures {
                let (saturated, slope) = saturated_humidity_ratio_with_slope(t, p);
                let wet_bulb = wet_bulb_k(t, w, p);
                let all = [
                    saturation_vapour_pressure_pa(t),
                    humidity_ratio_from_relative(t, w, p),
                    relative_humidity(t, w, p),
                    saturated,
                    slope,
                    dew_point_k(w, p),
                    wet_bulb,
                    enthalpy_j_per_kg_da(t, w),
                    temperature_from_enthalpy_k(t, w),
                    specific_volume_m3_per_kg_da(t, w, p),
                    moist_heat_capacity_j_per_kg_k(w),
                    atmospheric_pressure_pa(t),
                    liquid_water_enthalpy_j_per_kg(t),
                    ice_enthalpy_j_per_kg(t),
                ];
                assert!(
                    all.iter().all(|value| value.is_finite()),
                    "{t} {w} {p}: {all:?}"
                );
                assert!(saturated > 0.0 && slope >= 0.0, "{t} {p}");
                assert!(humidity_ratio_from_relative(t, w, p) >= 0.0);
                assert!(wet_bulb <= t, "{t} {w} {p}: wet bulb {wet_bulb}");
            }
        }
    }
}

/// The latent heat from eqs 30 and 33 against the IAPWS R6-95 value at 0 °C, 2500.9 kJ/kg,
/// and melting from R10-06.
#[test]
fn frost_and_condensate_share_one_enthalpy_scale() {
    let vapour = enthalpy_j_per_kg_da(ZERO_CELSIUS_K, 1.0);
    let water = liquid_water_enthalpy_j_per_kg(ZERO_CELSIUS_K);
    let ice = ice_enthalpy_j_per_kg(ZERO_CELSIUS_K);
    assert_near(vapour - water, 2_500_900.0, 200.0, "evaporation");
    assert_near(water - ice, 333_430.0, 1.0, "melting");
}
