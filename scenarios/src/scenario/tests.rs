use std::sync::LazyLock;

use crate::{Bank, LoadError, Scenario};

static BANK: LazyLock<Bank> = LazyLock::new(|| Bank::builtin().expect("a bank"));

const CASE: &str = include_str!("../../bank/school-run.toml");

/// A built-in case with another car and other faults in it, each a mode and its severity.
fn with_faults(vehicle: &str, faults: &[(&str, f64)]) -> Result<(), LoadError> {
    let (start, _) = CASE.split_once("[[fault]]").expect("a fault");
    let mut text = start.replace("\"saloon\"", &format!("\"{vehicle}\""));
    for (mode, severity) in faults {
        text.push_str(&format!(
            "[[fault]]\nmode = \"{mode}\"\nseverity = {severity:?}\n"
        ));
    }
    read(&text)
}

fn read(text: &str) -> Result<(), LoadError> {
    Scenario::read("my-case.toml", "my-case", text, BANK.known()).map(|_| ())
}

fn messages(read: Result<(), LoadError>) -> Vec<String> {
    match read {
        Ok(()) => Vec::new(),
        Err(error) => {
            let places = error.problems().iter().all(|one| one.span.is_some());
            assert!(places, "{error}");
            let messages = error.problems().iter().map(|one| one.message.clone());
            messages.collect()
        }
    }
}

#[test]
fn faults_that_contradict_each_other_are_an_error() {
    for (one, other) in [
        ("undercharge", "overcharge"),
        ("valve-stuck-open", "valve-stuck-shut"),
    ] {
        for (one, other) in [(one, other), (other, one)] {
            let told = messages(with_faults("saloon", &[(one, 0.9), (other, 0.9)]));
            assert_eq!(told, [format!("`{other}` contradicts `{one}`")]);
        }
    }
}

#[test]
fn a_competency_that_there_is_not_is_named() {
    let at = CASE.find("competencies = [").expect("competencies") + "competencies = [".len();
    let (before, after) = CASE.split_at(at);
    let error = read(&format!("{before}\"leeks\", {after}")).expect_err("no such competency");
    assert_eq!(error.problems().len(), 1, "{error}");
    assert!(
        error.to_string().contains("did you mean `leaks`?"),
        "{error}"
    );
}

/// What the bank says travels together must be possible, on every car that has the parts.
#[test]
fn faults_that_travel_together_do_not_contradict() {
    for group in BANK.together() {
        let modes: Vec<_> = group
            .modes
            .iter()
            .filter_map(|id| BANK.catalogue().get(id))
            .collect();
        let mut vehicles = BANK.vehicles();
        let has = |spec: &_| modes.iter().all(|mode| mode.concerns(spec));
        let vehicle = vehicles.find(|vehicle| has(&vehicle.spec)).expect("a car");
        let faults: Vec<_> = modes
            .iter()
            .map(|mode| (mode.id.as_str(), mode.severity.typical))
            .collect();
        assert_eq!(
            messages(with_faults(&vehicle.id, &faults)),
            Vec::<String>::new()
        );
    }
}

#[test]
fn a_fault_of_a_part_the_vehicle_lacks_is_an_error() {
    let mut refused = 0;
    for mode in BANK.catalogue().modes() {
        for vehicle in BANK.vehicles() {
            let told = messages(with_faults(&vehicle.id, &[(&mode.id, 1.0)]));
            if mode.concerns(&vehicle.spec) {
                assert_eq!(told, Vec::<String>::new());
            } else {
                let message = format!(
                    "`{}` has no part that `{}` is a fault of",
                    vehicle.id, mode.id
                );
                assert_eq!(told, [message]);
                refused += 1;
            }
        }
    }
    assert!(refused > 50, "{refused}");
}

/// Slips of the form and of what is meant come together, and nothing is said of the examples that
/// stood in for what could not be read.
#[test]
fn all_mistakes_of_a_case_come_in_one_go() {
    let text = CASE
        .replace("level = 1", "level = 7")
        .replace("\"33 °C\"", "\"33 kg\"")
        .replace("\"50 %\"", "\"150 %\"")
        .replace("shop = ", "shopp = ")
        .replace("\"valve-stuck-shut\"", "\"valve-stuck-shot\"")
        .replace(
            "severity = [0.89, 0.91]",
            "severity = \"bad\"\n\n[weights]\ndiagnosis = \"most\"",
        );
    assert_eq!(
        messages(read(&text)),
        [
            "a level is 1, 2 or 3",
            "expected a temperature, for example `34 °C`, but `33 kg` is a mass",
            "this must lie between 0 % and 100 %",
            "no field is called `shopp` here",
            "no fault is called `valve-stuck-shot`",
            "expected a number, but this is text",
            "the field `evidence` is missing",
            "the field `calibration` is missing",
            "the field `efficiency` is missing",
            "the field `safety` is missing",
            "expected a number, but this is text",
        ]
    );
}

#[test]
fn a_case_holds_no_more_than_a_case_does() {
    let fault = CASE.split_once("[[fault]]").expect("a fault").1;
    let many = format!("{CASE}{}", format!("\n[[fault]]{fault}").repeat(8));
    let told = messages(read(&many));
    assert_eq!(told, ["there are 9 of these, and at most 8 can be read"]);
    let lines = "\"a\",".repeat(65);
    let long = CASE.replace("history = [", &format!("history = [{lines}"));
    let told = messages(read(&long));
    assert_eq!(told, ["there are 67 of these, and at most 64 can be read"]);
}
