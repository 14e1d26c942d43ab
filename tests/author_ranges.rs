//! Ranges in a case's file: what a seed draws from them, and what is said of wrong ones.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeSet;

use coldtrail_checks::program;
use runner::author::versions::MOST_APART;
use scenarios::{Bank, Case, LoadError};

const CASE: &str = r#"version = 1
title = "A test"
level = 1
vehicle = ["hatchback", "saloon"]
arrival = "driven-in"
competencies = []

[weather]
temperature = ["28 °C", "36 °C"]
humidity = ["40 %", "60 %"]
sun = "500 W/m2"

[work_order]
customer = "Nobody"
complaint = ["Warm.", "Not cold."]
mileage = "1000 km"
history = ["Spring: charged {charge} by weight."]
shop = "None"

[[fault]]
mode = "undercharge"
severity = [0.5, 0.7]
"#;

fn with(text: &str) -> Result<(Bank, String), LoadError> {
    let bank = Bank::builtin().unwrap();
    bank.with_case("drawn.toml", text)
}

#[test]
fn seeds_draw_every_range_over_its_whole_reach() {
    let (bank, id) = with(CASE).unwrap();
    let dealt = |seed| Case::deal(&bank, &id, seed).unwrap();
    assert_eq!(dealt(5), dealt(5));
    let (mut degrees, mut vehicles, mut words) =
        (BTreeSet::new(), BTreeSet::new(), BTreeSet::new());
    for seed in 0..200 {
        let case = dealt(seed);
        let severity = case.truth()[0].severity;
        assert!((0.5..=0.7 + 1e-12).contains(&severity), "{severity}");
        assert_eq!(case.scenario.vehicle, case.vehicle.id);
        assert!(case.scenario.ranges.is_empty());
        // The history tells the charge of the car that was drawn, not of another.
        let grams = format!("{:.0} g", 1000.0 * case.vehicle.label.charge_kg);
        assert_eq!(
            case.scenario.work_order.history[0],
            format!("Spring: charged {grams} by weight.")
        );
        degrees.insert((case.weather().temperature_k - 273.15).round() as i32);
        vehicles.insert(case.vehicle.id.clone());
        words.insert(case.scenario.work_order.complaint.clone());
    }
    assert_eq!(degrees, (28..=36).collect());
    assert_eq!(vehicles.len(), 2);
    assert_eq!(words.len(), 2);
}

#[test]
fn a_version_is_told_by_its_places() {
    let (bank, id) = with(CASE).unwrap();
    let count = bank.case(&id).unwrap().ranges.len();
    let low = Case::deal_version(&bank, &id, &vec![0.0; count], 1).unwrap();
    let high = Case::deal_version(&bank, &id, &vec![1.0; count], 1).unwrap();
    assert_eq!(low.vehicle.id, "hatchback");
    assert_eq!(high.vehicle.id, "saloon");
    assert!((low.weather().relative_humidity - 0.4).abs() < 1e-12);
    assert!((high.weather().relative_humidity - 0.6).abs() < 1e-12);
    assert!((high.weather().temperature_k - 309.15).abs() < 1e-9);
}

#[test]
fn wrong_ranges_are_named_at_their_place() {
    let table = [
        (
            r#"["28 °C", "36 °C"]"#,
            r#"["36 °C", "28 °C"]"#,
            "a range goes from its low end",
        ),
        (
            r#"["28 °C", "36 °C"]"#,
            r#"["36 °C"]"#,
            "a range has two values",
        ),
        (
            r#"["28 °C", "36 °C"]"#,
            r#"["28 °C", "70 °C"]"#,
            "no car is looked at in this weather",
        ),
        ("[0.5, 0.7]", "[0.5, 1.7]", "a severity lies above 0"),
        (
            r#"["hatchback", "saloon"]"#,
            r#"["hatchback", "salon"]"#,
            "did you mean `saloon`?",
        ),
        (
            r#"["hatchback", "saloon"]"#,
            "[]",
            "this list must hold something",
        ),
        ("{charge}", "{carge}", "nothing is filled in for `{carge}`"),
    ];
    for (right, wrong, said) in table {
        assert!(CASE.contains(right), "{right}");
        let error = with(&CASE.replace(right, wrong)).unwrap_err().to_string();
        assert!(error.contains(said), "{wrong}: {error}");
        assert!(error.contains("drawn.toml:"), "{error}");
    }
}

/// The tour serves every severity of one car and day, so that the ends of these ranges cost little more. The
/// day is that of the bank's hatchbacks, whose tour it is.
#[test]
fn a_check_fails_where_versions_are_too_far_apart_and_only_there() {
    let folder = format!("{}/ranges", env!("CARGO_TARGET_TMPDIR"));
    std::fs::create_dir_all(&folder).unwrap();
    let fixed = CASE
        .replace(r#"["28 °C", "36 °C"]"#, r#""30 °C""#)
        .replace(r#"["40 %", "60 %"]"#, r#""50 %""#)
        .replace(r#"["hatchback", "saloon"]"#, r#""hatchback""#);
    // A fifth of the charge missing is another matter than all of it.
    for (name, severity) in [("narrow", "[0.9, 1.0]"), ("wide", "[0.2, 1.0]")] {
        let text = fixed.replace("[0.5, 0.7]", severity);
        std::fs::write(format!("{folder}/{name}.toml"), text).unwrap();
    }
    let ran = program::coldtrail(&["author", "check", &folder, "--format", "json"]);
    let cases: serde_json::Value = serde_json::from_str(&ran.output).expect(&ran.output);
    for (index, is_wide) in [(0, false), (1, true)] {
        let case = &cases[index];
        let rates: Vec<f64> = case["versions"]
            .as_array()
            .unwrap()
            .iter()
            .map(|rate| rate.as_f64().unwrap())
            .collect();
        // The middle and both ends, each of another difficulty.
        assert_eq!(rates.len(), 3, "{rates:?}");
        let (low, high) = (
            rates.iter().copied().fold(f64::INFINITY, f64::min),
            rates.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        );
        assert!(high > low, "{rates:?}");
        assert_eq!(high - low > MOST_APART, is_wide, "{rates:?}");
        match case["narrow"].as_str() {
            Some(why) => assert!(
                is_wide && why.contains("narrow `severity` of undercharge"),
                "{why}"
            ),
            None => assert!(!is_wide, "{case:#}"),
        }
    }
    assert_eq!(ran.code, 1);
}
