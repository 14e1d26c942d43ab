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
    let given = Given {
        values: values.iter().copied().collect(),
        refrigerant,
    };
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
    let given = Given {
        values: inputs.into_iter().collect(),
        refrigerant: Some(Refrigerant::R134a),
    };
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
