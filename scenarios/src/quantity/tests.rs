use super::*;

/// Conversions from NIST SP 811 (2008), appendix B.8, to the digits printed there, and from
/// the definitions of the units.
#[test]
fn values_agree_with_published_conversion_factors() {
    use Dimension as D;
    let table: &[(&str, D, f64, f64)] = &[
        // text, dimension, SI, relative tolerance (the printed digits)
        ("34 °C", D::Temperature, 307.15, 1e-15),
        ("93 °F", D::Temperature, 307.038_888_888_9, 1e-12),
        ("-40 °F", D::Temperature, 233.15, 1e-14), // where the scales meet
        ("-40 °C", D::Temperature, 233.15, 1e-14),
        ("300 K", D::Temperature, 300.0, 0.0),
        ("5 K", D::TemperatureDifference, 5.0, 0.0),
        ("9 °F diff", D::TemperatureDifference, 5.0, 1e-15),
        ("5 °C difference", D::TemperatureDifference, 5.0, 0.0),
        ("1 psi", D::AbsolutePressure, 6894.757, 1e-7),
        ("28 psig", D::GaugePressure, 28.0 * 6894.757, 1e-7),
        ("0 psig", D::GaugePressure, 0.0, 0.0),
        ("300kPa", D::AbsolutePressure, 300_000.0, 0.0),
        ("20 kPa", D::PressureDifference, 20_000.0, 0.0),
        ("1.2 bar", D::AbsolutePressure, 120_000.0, 1e-15),
        ("2.0 barg", D::GaugePressure, 200_000.0, 0.0),
        ("1 inHg", D::AbsolutePressure, 3386.389, 1e-6),
        ("29 inHg vac", D::GaugePressure, -29.0 * 3386.389, 1e-6),
        ("500 microns", D::AbsolutePressure, 66.661_2, 1e-6),
        ("1 inH2O", D::PressureDifference, 249.088_9, 1e-6),
        ("650 g", D::Mass, 0.65, 0.0),
        ("1.2 oz", D::Mass, 1.2 * 0.028_349_52, 1e-6),
        ("1 lb", D::Mass, 0.453_592_37, 0.0),
        // A year of 365.25 days: 40 g/yr is 1.2676e-9 kg/s.
        (
            "40 g/yr",
            D::MassFlow,
            0.04 / (365.25 * 24.0 * 3600.0),
            1e-15,
        ),
        ("1 lb/min", D::MassFlow, 7.559_873e-3, 1e-6),
        ("400 m³/h", D::VolumeFlow, 400.0 / 3600.0, 1e-15),
        ("1 cfm", D::VolumeFlow, 4.719_474e-4, 1e-6),
        ("170 cm3", D::Volume, 170e-6, 1e-15),
        ("2.5 L", D::Volume, 2.5e-3, 1e-15),
        ("1 fl oz", D::Volume, 2.957_353e-5, 1e-6),
        ("0.4 mm", D::Length, 0.4e-3, 1e-15),
        ("5 μm", D::Length, 5e-6, 1e-15),
        ("60 %", D::Ratio, 0.6, 1e-15),
        ("5 min", D::Duration, 300.0, 0.0),
        ("60 km/h", D::Speed, 16.666_666_666_7, 1e-11),
        ("35 mph", D::Speed, 35.0 * 0.447_04, 1e-14),
        ("2000 rpm", D::RotationalSpeed, 2000.0 * 0.104_719_8, 1e-6),
        ("12 N·m", D::Torque, 12.0, 0.0),
        ("1 lb ft", D::Torque, 1.355_818, 1e-6),
        ("1 Btu/h", D::Power, 0.293_071_1, 1e-6),
        ("420kJ/kg", D::SpecificEnergy, 420_000.0, 0.0),
        ("1 Btu/lb", D::SpecificEnergy, 2326.0, 0.0),
        ("1.7 kJ/(kg K)", D::SpecificHeat, 1700.0, 0.0),
        ("1.7 kJ/(kg·K)", D::SpecificHeat, 1700.0, 0.0),
        ("60 W/(m² K)", D::HeatTransferCoefficient, 60.0, 0.0),
        ("14.2 V", D::Voltage, 14.2, 0.0),
        ("3.6 Ω", D::Resistance, 3.6, 0.0),
        ("3.6 ohm", D::Resistance, 3.6, 0.0),
        ("1e3 W", D::Power, 1000.0, 0.0),
        ("−3 °C", D::Temperature, 270.15, 1e-15),
        ("  .5 kg ", D::Mass, 0.5, 0.0),
    ];
    for &(text, dimension, si, tolerance) in table {
        let read = parse_as(text, dimension).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert!(
            (read - si).abs() <= tolerance * si.abs(),
            "{text}: {read} for {si}"
        );
    }
}

#[test]
fn bad_text_gets_a_sentence_to_act_on() {
    use Dimension as D;
    let table: &[(&str, D, &str)] = &[
        (
            "",
            D::Mass,
            "nothing is written here: write for example `650 g`",
        ),
        (
            "  ",
            D::Mass,
            "nothing is written here: write for example `650 g`",
        ),
        (
            "34",
            D::Temperature,
            "a unit is missing after `34`: write for example `34 °C`",
        ),
        (
            "1,5 bar",
            D::AbsolutePressure,
            "decimals follow a point, not a comma: write `1.5 bar`",
        ),
        (
            "NaN °C",
            D::Temperature,
            "`NaN °C` does not begin with a number: write for example `34 °C`",
        ),
        (
            "inf K",
            D::Temperature,
            "`inf K` does not begin with a number: write for example `34 °C`",
        ),
        (
            "kg",
            D::Mass,
            "`kg` does not begin with a number: write for example `650 g`",
        ),
        (
            "- 5 kg",
            D::Mass,
            "`- 5 kg` does not begin with a number: write for example `650 g`",
        ),
        ("1e999 kg", D::Mass, "`1e999 kg` is too large a number"),
        (
            "1e306 MPa",
            D::AbsolutePressure,
            "`1e306 MPa` is too large a number",
        ),
        (
            "28 psgi",
            D::GaugePressure,
            "`psgi` is not a unit that is read here: did you mean `psig`?",
        ),
        (
            "28 KPA",
            D::AbsolutePressure,
            "`KPA` is not a unit that is read here: did you mean `kPa`?",
        ),
        (
            "1.2.3 kg",
            D::Mass,
            "`.3 kg` is not a unit that is read here: a mass is written in kg, g, mg, lb, oz",
        ),
        (
            "1 500 g",
            D::Mass,
            "`500 g` is not a unit that is read here: a mass is written in kg, g, mg, lb, oz",
        ),
        (
            "5 furlongs",
            D::Voltage,
            "`furlongs` is not a unit that is read here: a voltage is written in V, mV",
        ),
        (
            "5 °C",
            D::TemperatureDifference,
            "expected a temperature difference, for example `5 K`, but `5 °C` is a temperature",
        ),
        (
            "2 bar",
            D::GaugePressure,
            "expected a gauge pressure, for example `28 psig`, but `2 bar` is an absolute pressure",
        ),
        (
            "28 psig",
            D::AbsolutePressure,
            "expected an absolute pressure, for example `300 kPa`, but `28 psig` is a gauge pressure",
        ),
        (
            "-300 °C",
            D::Temperature,
            "`-300 °C` is below zero: a temperature counts from absolute zero",
        ),
        (
            "-1 kPa",
            D::AbsolutePressure,
            "`-1 kPa` is below zero: an absolute pressure counts from absolute zero (for a gauge pressure write `psig`, `kPag` or `barg`)",
        ),
        (
            "5\tkg",
            D::Mass,
            "a quantity stands on one line, without tabs or control characters",
        ),
    ];
    for &(text, dimension, message) in table {
        let error = parse_as(text, dimension).expect_err(text);
        assert_eq!(error.to_string(), message);
    }
    let long = format!("{} kg", "1".repeat(100));
    assert_eq!(parse(&long), Err(QuantityError::TooLong));
}

#[test]
fn every_unit_reads_back_under_each_of_its_names_and_no_name_is_used_twice() {
    let mut seen = std::collections::BTreeMap::new();
    for unit in UNITS {
        for name in spellings(unit) {
            assert_eq!(
                seen.insert(plain(name), unit.name),
                None,
                "{name} stands twice"
            );
            let read = parse(&format!("1 {name}")).expect(name);
            assert_eq!(
                (read.si, read.dimension),
                (unit.to_si(1.0), unit.dimension),
                "{name}"
            );
        }
    }
}

#[test]
fn the_example_of_every_dimension_is_of_that_dimension() {
    let mut dimensions: Vec<Dimension> = Vec::new();
    for dimension in UNITS
        .iter()
        .flat_map(|unit| [Some(unit.dimension), unit.also])
        .flatten()
    {
        if !dimensions.contains(&dimension) {
            dimensions.push(dimension);
        }
    }
    assert!(dimensions.len() > 30);
    for dimension in dimensions {
        assert!(
            parse_as(dimension.example(), dimension).is_ok(),
            "{dimension:?}"
        );
    }
}

#[test]
fn fields_of_a_file_are_read_with_their_dimension_checked() {
    #[derive(Debug, serde::Deserialize)]
    struct Written {
        charge: Mass,
    }
    let read = |text: &str| toml::from_str::<Written>(text).map(|written| written.charge.0);
    assert_eq!(read("charge = \"650 g\""), Ok(0.65));
    let message = |text: &str| read(text).expect_err(text).message().to_owned();
    assert_eq!(
        message("charge = 650"),
        "a unit is missing after `650`: write for example `650 g`"
    );
    assert_eq!(
        message("charge = \"650 mm\""),
        "expected a mass, for example `650 g`, but `650 mm` is a length"
    );
    assert_eq!(
        message("charge = true"),
        "invalid type: boolean `true`, expected a mass as text, for example \"650 g\""
    );
}
