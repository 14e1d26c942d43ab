//! Instruments on a car: what they measure, and actions played without a case.

use runner::action::Action;
use runner::session::{Nobody, Session};
use sim_core::car::Car;
use sim_core::instruments::{Check, Truth, Watch, truth};
use sim_core::spec::CarSpec;

use crate::stand::{bank, idling, run, warm_car, weather};

/// The saloon's data.
///
/// # Panics
/// When it is not in the bank.
pub fn saloon() -> CarSpec {
    bank().vehicle("saloon").expect("the saloon").spec.clone()
}

/// A warm car that has idled with the air conditioning on.
pub fn hot_car(spec: &CarSpec, minutes: f64) -> Car {
    let mut car = warm_car(spec, weather(32.0, 0.5));
    run(&mut car, &idling(spec), minutes * 60.0);
    car
}

/// A true number.
///
/// # Panics
/// When the check gives none.
pub fn number(car: &Car, check: Check) -> f64 {
    match truth(car, check, Watch::default()) {
        Ok(Truth::Number(value)) => value,
        other => panic!("{check:?}: {other:?}"),
    }
}

/// The key of what is noticed.
///
/// # Panics
/// When the check gives a number or nothing.
pub fn finding(car: &Car, check: Check) -> &'static str {
    match truth(car, check, Watch::default()) {
        Ok(Truth::Finding(finding)) => finding.key,
        other => panic!("{check:?}: {other:?}"),
    }
}

/// Limit of an instrument's error at a value.
///
/// # Panics
/// When the check has no instrument.
pub fn limit(check: Check, value: f64) -> f64 {
    check
        .tool()
        .expect("an instrument")
        .spec()
        .limit_of_error(value)
}

/// Plays an action.
///
/// # Panics
/// When it is refused.
pub fn act(session: &mut Session, text: &str) -> Vec<(Check, Truth)> {
    let action = Action::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"));
    session
        .perform(&action, &mut Nobody)
        .unwrap_or_else(|refusal| panic!("{text}: {refusal}"))
}

/// Why an action is refused.
///
/// # Panics
/// When it is not.
pub fn refused(session: &mut Session, text: &str) -> String {
    let action = Action::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"));
    session
        .perform(&action, &mut Nobody)
        .expect_err(text)
        .to_string()
}

/// The number measured by one of an action's checks.
///
/// # Panics
/// When it is a finding.
pub fn value_of(truths: &[(Check, Truth)], index: usize) -> f64 {
    match truths[index].1 {
        Truth::Number(value) => value,
        Truth::Finding(finding) => panic!("{finding:?}"),
    }
}
