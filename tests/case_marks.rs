//! A case's own weights, and its own idea of what a shop would expect.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::golden;
use coldtrail_checks::stand::bank;
use coldtrail_checks::tours::graded;
use runner::evidence::explanation::{Explanation, Grain, explanations};
use scenarios::{Bank, Case};

/// The case `silent-switch` with lines added, in a bank of its own.
fn with(lines: &str) -> (Bank, Case) {
    let text = golden::text("scenarios/bank/silent-switch.toml");
    let (bank, id) = bank()
        .clone()
        .with_case("own.toml", &format!("{text}\n{lines}"))
        .unwrap_or_else(|error| panic!("{error}"));
    let case = Case::deal(&bank, &id, 7).unwrap();
    (bank, case)
}

const SESSION: &str = "meter coil-ohms\nsuspect clutch-coil-open 90 %\nhint\n";

#[test]
fn a_case_is_marked_by_its_own_weights() {
    let own =
        "[weights]\ndiagnosis = 50\nevidence = 0\ncalibration = 40\nefficiency = 0\nsafety = 10\n";
    let (bank, case) = with(own);
    let words = format!("{SESSION}conclude clutch-coil-open because 1");
    let grade = graded(&bank, &case, &words);
    assert_eq!(grade.weights, case.scenario.weights.unwrap());
    let mark = &grade.mark;
    assert_eq!((mark.diagnosis, mark.safety), (50.0, 10.0));
    assert_eq!((mark.evidence, mark.efficiency), (0.0, 0.0));
    // Stated at 90 %, against what the one reading allowed; 0.25 is what calling everything even loses.
    let ideal = grade.trace.last().unwrap().stated.as_ref().unwrap().ideal;
    let loss = (0.9 - ideal) * (0.9 - ideal);
    assert!(
        loss > 1e-3,
        "a reading that leaves nothing to be unsure of: {ideal}"
    );
    assert!(
        (mark.calibration - 40.0 * (1.0 - loss / 0.25).max(0.0)).abs() < 1e-9,
        "{mark:?}"
    );
    assert_eq!((grade.hints, mark.hints), (1, -bank.marks().hint.cost));
    let total = 60.0 + mark.calibration - bank.marks().hint.cost;
    assert!((mark.total - total).abs() < 1e-9, "{mark:?}");
}

/// Prior of the cars that come in for a mode, alone or with what travels with it.
fn prior_of(explanations: &[Explanation], mode: &str) -> f64 {
    let comes_in_for = |one: &&Explanation| one.modes.first().map_or("no-fault", |id| id) == mode;
    let mine = explanations.iter().filter(comes_in_for);
    mine.map(|one| one.prior).sum()
}

/// Priors are on one scale: a mode twice as likely has twice the odds against all that is left alone.
#[test]
fn a_case_begins_with_what_a_shop_would_expect() {
    let (of, usual_case) = with("");
    let usual = explanations(&of, &usual_case, Grain::Fine);
    let mode = of.catalogue().get("overcharge").unwrap();
    let doubled = format!(
        "[prior]\novercharge = {:?}\nnothing-broken = 50\n",
        2.0 * mode.prior
    );
    let (of, own_case) = with(&doubled);
    let own = explanations(&of, &own_case, Grain::Fine);
    let odds = |all: &[Explanation], mode: &str| prior_of(all, mode) / prior_of(all, "fan-dead");
    let near = |found: f64, expected: f64| assert!((found / expected - 1.0).abs() < 1e-9);
    near(odds(&own, "overcharge"), 2.0 * odds(&usual, "overcharge"));
    near(odds(&own, "undercharge"), odds(&usual, "undercharge"));
    let nothing_broken = of.marks().reader.nothing_broken;
    near(
        odds(&own, "no-fault"),
        odds(&usual, "no-fault") * 50.0 / nothing_broken,
    );
    near(own.iter().map(|one| one.prior).sum(), 1.0);
}
