//! What an author is told of a case, and whether the reader behind it is honest.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::program;
use serde_json::Value;

fn checked(arguments: &[&str]) -> (u8, Value) {
    let mut all = vec!["author", "check"];
    all.extend(arguments);
    all.extend(["--format", "json"]);
    let ran = program::coldtrail(&all);
    let value =
        serde_json::from_str(&ran.output).unwrap_or_else(|error| panic!("{error}: {}", ran.output));
    (ran.code, value)
}

/// A case in a file of its own.
fn written(name: &str, faults: &str) -> String {
    let path = format!("{}/{name}.toml", env!("CARGO_TARGET_TMPDIR"));
    let text = format!(
        r#"version = 1
title = "A test"
level = 1
vehicle = "hatchback"
arrival = "driven-in"
competencies = []

[weather]
temperature = "30 °C"
humidity = "50 %"
sun = "500 W/m2"

[work_order]
customer = "Nobody"
complaint = "Warm."
mileage = "1000 km"
shop = "None"

{faults}"#
    );
    std::fs::write(&path, text).unwrap();
    path
}

#[test]
fn a_case_that_can_be_proved_says_how_and_what_it_is_taken_for() {
    let (code, cases) = checked(&["school-run"]);
    assert_eq!(code, 0);
    let case = &cases[0];
    assert_eq!(case["proved"], true);
    let number = |name: &str| case[name].as_f64().unwrap();
    // A path that proves it has told what was wanted, and each step what it says.
    assert!(number("best_path_bits") >= number("wanted_bits"));
    let steps = case["best_path"].as_array().unwrap();
    let sum = |name: &str| -> f64 { steps.iter().map(|step| step[name].as_f64().unwrap()).sum() };
    assert!((sum("told_bits") - number("best_path_bits")).abs() < 1e-9);
    assert!((sum("seconds") - number("best_path_s")).abs() < 1e-9);
    let rate = 60.0 * number("best_path_bits") / number("best_path_s");
    assert!((number("bits_per_minute") - rate).abs() < 1e-9);
    // A starved evaporator is no healthy one, and a blocked screen starves it just so.
    assert!(case["healthy"]["bits"].as_f64().unwrap() > 0.9);
    let taken: Vec<&str> = case["confusions"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["faults"][0][0].as_str().unwrap())
        .collect();
    assert!(taken[..3].contains(&"valve-screen-blocked"), "{taken:?}");
    // A guess earns the marks for safety and next to none of the rest.
    assert!((15.0..25.0).contains(&number("blind_guess")));
}

/// A clutch that holds while it is cold and lets go when it is warm does so within a hair of its gap:
/// no severity of the tour behaves as this one does.
#[test]
fn a_fault_on_the_brink_can_be_proved() {
    let (code, cases) = checked(&["quarter-of-an-hour"]);
    assert_eq!(code, 0);
    assert_eq!(cases[0]["proved"], true, "{:#}", cases[0]["best_path"]);
}

#[test]
fn a_fault_that_no_check_shows_is_an_error() {
    // A facing that has lost half of its friction still holds on a cool day.
    let slight = "[[fault]]\nmode = \"clutch-slipping\"\nseverity = 0.5\n";
    let (code, cases) = checked(&[&written("slight", slight)]);
    assert_eq!(code, 1);
    let error = cases[0]["error"].as_str().unwrap();
    assert!(
        error.starts_with("no check this car allows tells it from a healthy one"),
        "{error}"
    );
}

#[test]
fn faults_that_nobody_would_think_of_together_are_an_error() {
    let odd = "[[fault]]\nmode = \"fan-dead\"\nseverity = 1.0\n\n[[fault]]\nmode = \"blower-weak\"\nseverity = 0.9\n";
    let (code, cases) = checked(&[&written("odd", odd)]);
    assert_eq!(code, 1);
    let error = cases[0]["error"].as_str().unwrap();
    assert!(
        error.starts_with("fan-dead and blower-weak are in this car together"),
        "{error}"
    );
}

#[test]
fn a_case_that_is_not_there_is_named() {
    let ran = program::coldtrail(&["author", "check", "scool-run"]);
    assert_eq!(ran.code, 1);
    assert!(
        ran.errors.contains("did you mean `school-run`?"),
        "{}",
        ran.errors
    );
    let ran = program::coldtrail(&["author", "check", "/nowhere/at-all.toml"]);
    assert_eq!(ran.code, 1);
    assert!(ran.errors.contains("cannot be read"), "{}", ran.errors);
}

/// Three hundred random sessions on one vehicle and day; all vehicles and two thousand sessions stand in
/// `benches/README.md`.
#[test]
fn what_the_reader_calls_likely_is_so_as_often_as_it_says() {
    let ran = program::coldtrail(&[
        "author",
        "calibrate",
        "--case",
        "town-and-country",
        "--sessions",
        "300",
    ]);
    assert_eq!(ran.code, 0, "{}", ran.errors);
    let errors: Vec<f64> = ran
        .output
        .split("expected calibration error ")
        .skip(1)
        .map(|rest| rest[..rest.find(')').unwrap()].parse().unwrap())
        .collect();
    assert_eq!(errors.len(), 2);
    assert!(
        errors[0] <= 0.05,
        "of what was thought likeliest: {}",
        errors[0]
    );
    assert!(errors[1] <= 0.05, "of everything stated: {}", errors[1]);
    let covered = ran.output.split("that holds 95 %: ").nth(1).unwrap();
    let covered: f64 = covered[..covered.find(" %").unwrap()].parse().unwrap();
    // 95 in 100, less three standard errors of 300.
    assert!(
        covered >= 95.0 - 3.0 * (0.95_f64 * 0.05 / 300.0).sqrt() * 100.0,
        "{covered}"
    );
}
