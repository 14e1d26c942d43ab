use super::*;

#[test]
fn formulas_have_one_name_each() {
    let names: Vec<_> = Formula::all().map(|formula| formula.name).collect();
    for (index, name) in names.iter().enumerate() {
        assert!(crate::fault::is_kebab(name), "{name}");
        assert!(!names[..index].contains(name), "{name}");
    }
}

#[test]
fn every_formula_says_where_it_is_from() {
    assert!(Formula::all().all(|formula| !formula.source.is_empty()));
}

fn worked(name: &str, refrigerant: Option<Refrigerant>, values: &[(&'static str, f64)]) -> f64 {
    let mut given = Given::new(refrigerant);
    given.values.extend(values.iter().copied());
    (Formula::by_name(name).unwrap().compute)(&given).unwrap()
}

/// CoolProp 8.0.0: R-134a at 40 °C 1016.59 kPa, R-1234yf at 10 °C 437.63 kPa, both absolute.
#[test]
fn saturation_is_that_of_the_published_equations() {
    let hot = worked(
        "saturation-pressure",
        Some(Refrigerant::R134a),
        &[("temperature", 313.15)],
    );
    assert!((hot + 101_325.0 - 1_016_590.0).abs() < 10.0, "{hot}");
    let cold = worked(
        "saturation-pressure",
        Some(Refrigerant::R1234yf),
        &[("temperature", 283.15)],
    );
    assert!((cold + 101_325.0 - 437_630.0).abs() < 10.0, "{cold}");
}

/// CoolProp 8.0.0, R-134a: 30 psig boils at 1.42 °C, 200 psig condenses at 54.69 °C.
#[test]
fn superheat_and_subcooling_count_from_the_gauge() {
    let psi = 6894.757;
    let of = |name, gauge: f64, pipe: f64| {
        worked(
            name,
            Some(Refrigerant::R134a),
            &[("gauge", gauge * psi), ("pipe", pipe)],
        )
    };
    assert!((of("superheat", 30.0, 273.15 + 11.42) - 10.0).abs() < 0.01);
    assert!((of("subcooling", 200.0, 273.15 + 46.69) - 8.0).abs() < 0.01);
}

/// CoolProp 8.0.0, R-134a, 5/55 °C, 10 K superheat, 5 K subcooling, 65 %: discharge 84.08 °C, share of
/// vapour 0.3327, pressures 349.66 and 1491.51 kPa; coefficient of performance 2.838.
#[test]
fn a_cycle_has_its_published_corners() {
    let inputs = [
        ("evaporating", 278.15),
        ("condensing", 328.15),
        ("superheat", 10.0),
        ("subcooling", 5.0),
        ("efficiency", 0.65),
    ];
    let of = |name| worked(name, Some(Refrigerant::R134a), &inputs);
    assert!((of("discharge-temperature") - 273.15 - 84.08).abs() < 0.01);
    assert!((of("cycle-vapour-share") - 0.3327).abs() < 1e-4);
    assert!((of("pressure-ratio") - 1491.51 / 349.66).abs() < 1e-4);
    let mut given = Given::new(Some(Refrigerant::R134a));
    given.values.extend(inputs);
    let cycle = Cycle::of(&given).unwrap();
    let [suction, discharge, liquid, _] = cycle.enthalpy_j_per_kg;
    let enthalpies = [
        ("suction", suction),
        ("discharge", discharge),
        ("liquid", liquid),
    ];
    let cop = worked(
        "coefficient-of-performance",
        Some(Refrigerant::R134a),
        &enthalpies,
    );
    assert!((cop - 2.838).abs() < 1e-3, "{cop}");
}

/// ASHRAE Handbook Fundamentals 2017, ch. 1, table 1: 89.875 kPa at 1000 m; table 3: water boils at 30 °C at
/// 4.2467 kPa and at 15 °C at 1.7057 kPa, from memory, which makes 40.2 % relative humidity.
#[test]
fn air_is_that_of_the_handbook() {
    let height = worked("air-pressure-at-height", None, &[("height", 1000.0)]);
    assert!((height - 89_875.0).abs() < 10.0, "{height}");
    let given = [("temperature", 303.15), ("dew-point", 288.15)];
    let humidity = worked("humidity-from-dew-point", None, &given);
    assert!((humidity - 1705.7 / 4246.7).abs() < 2e-4, "{humidity}");
}

/// By hand: 1101.325 kPa times 303.15/288.15, less 101.325; and 300 g lost of 600 g in half of 365.25 days.
#[test]
fn a_shop_reckons_as_by_hand() {
    let given = [("gauge", 1e6), ("before", 288.15), ("after", 303.15)];
    let warmed = worked("nitrogen-warms", None, &given);
    assert!((warmed - 1_057_330.0).abs() < 10.0, "{warmed}");
    let day = 86_400.0;
    let given = [("label", 0.6), ("recovered", 0.3), ("time", 182.625 * day)];
    let leak = worked("leak-rate", None, &given);
    assert!((leak * 365.25 * day - 0.6).abs() < 1e-12, "{leak}");
}
