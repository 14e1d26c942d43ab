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

#[test]
fn one_text_and_back_is_the_same_bundle() {
    let files = [
        ("cases/b.toml", "\nversion = 1"),
        ("cases/a.toml", "# Ours.\n"),
        ("vehicles/z.toml", "x = 1\r\n"),
        ("faults/idle_valve.toml", ""),
    ];
    let own = files.map(|(name, text)| (name.to_owned(), text.to_owned()));
    let own = Bundle::from_files("mine", own).expect("a bundle");
    let text = own.to_text().expect("one text");
    assert_eq!(
        text,
        "-- vehicles/z.toml --\nx = 1\r\n-- faults/idle_valve.toml --\n-- cases/a.toml --\n# Ours.\n-- cases/b.toml --\nversion = 1\n"
    );
    let read = Bundle::from_text("other", &text).expect("a bundle");
    assert_eq!(read.to_text().expect("one text"), text);
    let packed = Bundle::from_packed("other", &text).expect("a bundle");
    assert_eq!(packed.to_text().expect("one text"), text);
    // A text in a file that would be taken for a file's name is no part of one text.
    let odd = "text = \"\"\"\n-- cases/c.toml --\n\"\"\"\n";
    let odd = bundle("cases/a.toml", odd).expect("a bundle");
    let refused = odd.to_text().expect_err("it cannot be told apart");
    assert!(refused.to_string().contains("would begin another file"));
}

#[test]
fn one_text_of_a_large_folder_is_read_back() {
    // Longer than one file may be, and with so many lines that they may not be carried along in each file.
    let files = (0..MOST_FILES).map(|index| {
        let text = "# A line of a case.\n".repeat(200);
        (format!("cases/a{index}.toml"), text)
    });
    let own = Bundle::from_files("mine", files).expect("a bundle");
    let text = own.to_text().expect("one text");
    assert!(text.len() > LARGEST_BYTES);
    let read = Bundle::from_packed("mine", &text).expect("a bundle");
    assert_eq!(read.files(), own.files());
}
