use super::*;
use crate::Bank;

fn case(vehicle: &str) -> String {
    let own = include_str!("../../bank/school-run.toml");
    own.replace("\"saloon\"", &format!("\"{vehicle}\""))
}

fn bundle(name: &str, text: &str) -> Result<Bundle, BankErrors> {
    Bundle::from_files("mine", [(name.to_owned(), text.to_owned())])
}

fn refused(bundle: Result<Bundle, BankErrors>) -> String {
    bundle.expect_err("refused").0[0].problems()[0]
        .message
        .clone()
}

#[test]
fn a_bundle_stands_beside_what_is_built_in() {
    let text = format!(
        "# Ours.\n\n-- vehicles/our-car.toml --\n{}-- faults/ours.toml --\n{}-- cases/ours.toml --\n{}",
        include_str!("../../vehicles/saloon.toml"),
        include_str!("../../faults/fan.toml").replace("id = \"", "id = \"our-"),
        case("our-car"),
    );
    let builtin = Bank::builtin().expect("a bank");
    let ours = Bundle::from_text("ours.bundle", &text).expect("a bundle");
    let bank = builtin
        .clone()
        .with(&ours)
        .unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!(bank.cases().count(), builtin.cases().count() + 1);
    assert_eq!(
        bank.case("ours").map(|case| case.vehicle.as_str()),
        Some("our-car")
    );
    assert!(bank.catalogue().get("our-fan-dead").is_some());
    assert_eq!(bank.case("school-run"), builtin.case("school-run"));
}

#[test]
fn names_that_are_taken_are_an_error() {
    let builtin = Bank::builtin().expect("a bank");
    let table = [
        (
            "cases/school-run.toml",
            case("saloon"),
            "there is a case called `school-run` already",
        ),
        (
            "vehicles/saloon.toml",
            include_str!("../../vehicles/saloon.toml").to_owned(),
            "there is a vehicle called `saloon` already",
        ),
        (
            "faults/mine.toml",
            include_str!("../../faults/belt.toml").to_owned(),
            "two faults are called",
        ),
    ];
    for (name, text, message) in table {
        let bundle = bundle(name, &text).expect("a bundle");
        let errors = builtin.clone().with(&bundle).expect_err(name);
        assert!(errors.to_string().contains(message), "{errors}");
    }
    let twice = ["cases/a.toml"; 2].map(|name| (name.to_owned(), String::new()));
    assert!(refused(Bundle::from_files("mine", twice)).contains("twice"));
}

#[test]
fn names_stay_in_the_bundle() {
    for name in [
        "../cases/a.toml",
        "cases/../a.toml",
        "/cases/a.toml",
        "cases//a.toml",
        "cases/./a.toml",
        "cases\\a.toml",
        "C:/cases/a.toml",
        "..",
        "",
    ] {
        assert!(
            refused(bundle(name, "")).contains("leaves the bundle"),
            "{name}"
        );
    }
    for (name, message) in [
        ("a.toml", "is in no folder"),
        ("cases/a.txt", "no file of a bundle"),
        ("cases/A.toml", "no file of a bundle"),
        ("cases/sub/a.toml", "no file of a bundle"),
        ("cases/a\u{202e}b.toml", "no file of a bundle"),
        ("case/a.toml", "a bundle has no folder `case`"),
    ] {
        assert!(refused(bundle(name, "")).contains(message), "{name}");
    }
}

#[test]
fn a_bundle_is_bounded() {
    let many = (0..=MOST_FILES).map(|index| (format!("cases/a{index}.toml"), String::new()));
    assert_eq!(
        refused(Bundle::from_files("mine", many)),
        "the bundle is too large"
    );
    let large = (0..2).map(|index| {
        (
            format!("cases/a{index}.toml"),
            "#".repeat(MOST_BYTES / 2 + 1),
        )
    });
    assert_eq!(
        refused(Bundle::from_files("mine", large)),
        "the bundle is too large"
    );
    let large = "#".repeat(LARGEST_BYTES + 1);
    assert!(refused(Bundle::from_text("mine", &large)).contains("too large for one file"));
}

#[test]
fn a_place_in_one_text_is_told_by_its_own_line() {
    let text = format!("# Ours.\n-- cases/ours.toml --\n{}", case("salon"));
    let ours = Bundle::from_text("ours.bundle", &text).expect("a bundle");
    let errors = Bank::builtin()
        .expect("a bank")
        .with(&ours)
        .expect_err("no such vehicle");
    let shown = errors.to_string();
    assert!(
        shown.contains("ours.bundle/cases/ours.toml:6:11"),
        "{shown}"
    );
    assert!(shown.contains("did you mean `saloon`?"), "{shown}");
    assert!(
        text.lines()
            .nth(5)
            .is_some_and(|line| line.contains("salon"))
    );
    assert!(refused(Bundle::from_text("x", "version = 1\n")).contains("begins with a line"));
    assert_eq!(
        refused(Bundle::from_text("x", "# nothing\n")),
        "there is no file in this bundle"
    );
}
