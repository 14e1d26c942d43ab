//! Moist air against PsychroLib 2.5.0 and CoolProp, from outside.

use sim_core::air;

const SEA_LEVEL_PA: f64 = 101_325.0;

fn assert_within(found: f64, expected: f64, tolerance: f64, what: &str) {
    let error = (found - expected).abs();
    assert!(
        error <= tolerance,
        "{what}: {found} for {expected}, off by {error}"
    );
}

/// Every row of `reference/moist_air.csv`, made by PsychroLib 2.5.0 from the formulation
/// `air` uses too, so that only round-off may differ. PsychroLib itself stops its dew point
/// and wet bulb within 1 mK.
#[test]
fn the_table_of_psychrolib_is_met_to_round_off() {
    let table = include_str!("reference/moist_air.csv");
    let mut rows = 0;
    for line in table.lines().skip(2) {
        let row: Vec<f64> = line
            .split(',')
            .map(|cell| cell.parse().expect("a number"))
            .collect();
        let [
            altitude_m,
            p,
            celsius,
            relative,
            w,
            saturated,
            saturation,
            dew_c,
            wet_c,
            h,
            v,
        ] = row[..]
        else {
            panic!("eleven columns: {line}");
        };
        let t = air::ZERO_CELSIUS_K + celsius;
        let near = |found: f64, expected: f64, what: &str| {
            assert_within(
                found,
                expected,
                2e-9 * expected.abs(),
                &format!("{what} in {line}"),
            );
        };
        near(air::atmospheric_pressure_pa(altitude_m), p, "atmosphere");
        near(
            air::saturation_vapour_pressure_pa(t),
            saturation,
            "saturation",
        );
        near(
            air::humidity_ratio_from_relative(t, relative, p),
            w,
            "humidity ratio",
        );
        near(
            air::relative_humidity(t, w, p),
            relative,
            "relative humidity",
        );
        near(
            air::saturated_humidity_ratio(t, p),
            saturated,
            "saturated ratio",
        );
        assert_within(air::enthalpy_j_per_kg_da(t, w), h, 1e-3, line);
        near(air::specific_volume_m3_per_kg_da(t, w, p), v, "volume");
        assert_within(
            air::dew_point_k(w, p) - air::ZERO_CELSIUS_K,
            dew_c,
            1e-3,
            line,
        );
        assert_within(
            air::wet_bulb_k(t, w, p) - air::ZERO_CELSIUS_K,
            wet_c,
            1e-3,
            line,
        );
        rows += 1;
    }
    assert_eq!(rows, 294, "rows of the table");
}

/// Two columns of anchors: PsychroLib 2.5.0 (all but the last) and the real gas of CoolProp
/// 8.0.0, HAPropsSI (the last: humidity ratio, g/kg). The first are met to the digits
/// printed; the second within 0.6 %, which is what an ideal gas costs.
#[test]
fn anchors_of_psychrolib_and_of_the_real_gas() {
    let rows = [
        // °C, relative humidity, Pa, W g/kg, wet bulb °C, dew point °C, kJ/kg, m³/kg, real W
        (
            5.0,
            0.95,
            SEA_LEVEL_PA,
            5.130,
            4.65,
            4.27,
            17.91,
            0.7945,
            5.151,
        ),
        (
            25.0,
            0.50,
            SEA_LEVEL_PA,
            9.881,
            17.89,
            13.86,
            50.32,
            0.8580,
            9.926,
        ),
        (
            27.0,
            0.50,
            SEA_LEVEL_PA,
            11.145,
            19.53,
            15.70,
            55.59,
            0.8655,
            11.196,
        ),
        (
            30.0,
            0.60,
            SEA_LEVEL_PA,
            16.041,
            23.81,
            21.39,
            71.19,
            0.8809,
            16.116,
        ),
        (
            35.0,
            0.40,
            SEA_LEVEL_PA,
            14.132,
            23.93,
            19.39,
            71.47,
            0.8928,
            14.200,
        ),
        (
            40.0,
            0.30,
            SEA_LEVEL_PA,
            13.900,
            25.09,
            19.13,
            76.04,
            0.9069,
            13.971,
        ),
        (
            35.0, 0.40, 84_556.0, 17.011, 23.40, 19.39, 78.86, 1.0747, 17.086,
        ),
    ];
    for (celsius, relative, p, grams, wet_c, dew_c, kilojoules, volume, real_grams) in rows {
        let what = format!("{celsius} °C, {relative}, {p} Pa");
        let t = air::ZERO_CELSIUS_K + celsius;
        let w = air::humidity_ratio_from_relative(t, relative, p);
        assert_within(1000.0 * w, grams, 0.6e-3, &what);
        assert_within(1000.0 * w, real_grams, 0.006 * real_grams, &what);
        assert_within(
            air::wet_bulb_k(t, w, p) - air::ZERO_CELSIUS_K,
            wet_c,
            6e-3,
            &what,
        );
        assert_within(
            air::dew_point_k(w, p) - air::ZERO_CELSIUS_K,
            dew_c,
            6e-3,
            &what,
        );
        assert_within(
            air::enthalpy_j_per_kg_da(t, w) / 1000.0,
            kilojoules,
            6e-3,
            &what,
        );
        assert_within(
            air::specific_volume_m3_per_kg_da(t, w, p),
            volume,
            0.6e-4,
            &what,
        );
    }
}

/// Water vapour pressure for evacuation, computed with CoolProp 8.0.0 (IAPWS-95), printed
/// to four digits. Hyland & Wexler's fit lies within 0.1 % of it.
#[test]
fn a_vacuum_gauge_over_water() {
    let pressures = [
        (0.01, 611.7),
        (10.0, 1228.0),
        (20.0, 2339.0),
        (25.0, 3170.0),
        (30.0, 4247.0),
        (40.0, 7385.0),
    ];
    for (celsius, expected_pa) in pressures {
        let found = air::saturation_vapour_pressure_pa(air::ZERO_CELSIUS_K + celsius);
        assert_within(found, expected_pa, 1e-3 * expected_pa, "vapour pressure");
    }
    // Microns of mercury (0.133322 Pa) and the temperature, °C, at which water or ice boils.
    let microns = [
        (250.0, -31.3),
        (500.0, -24.5),
        (1000.0, -17.3),
        (1500.0, -12.9),
        (20_000.0, 22.1),
    ];
    for (microns, expected_c) in microns {
        let pressure_pa = microns * 0.133_322;
        // At this total pressure far above it, the dew point is where that vapour forms.
        let w = air::MOLAR_MASS_RATIO * pressure_pa / (SEA_LEVEL_PA - pressure_pa);
        let found_c = air::dew_point_k(w, SEA_LEVEL_PA) - air::ZERO_CELSIUS_K;
        assert_within(found_c, expected_c, 0.06, "boiling point");
    }
}
