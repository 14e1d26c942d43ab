//! The schemas that editors are given: valid, true of every file there is, and not of wrong ones.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::bank;
use coldtrail_checks::{golden, program};
use jsonschema::Validator;
use scenarios::schema::{KINDS, Kind, schema};
use serde_json::Value;

fn validator(kind: Kind) -> Validator {
    let schema = schema(kind, bank());
    jsonschema::draft202012::meta::validate(&schema).unwrap_or_else(|error| panic!("{error}"));
    jsonschema::draft202012::new(&schema).unwrap_or_else(|error| panic!("{error}"))
}

fn json(text: &str) -> Value {
    toml::from_str(text).unwrap_or_else(|error| panic!("{error}"))
}

/// Files of a kind in `scenarios/`, as JSON.
fn files(kind: Kind) -> Vec<(String, Value)> {
    let one = |name: &str| {
        let name = format!("scenarios/{name}.toml");
        let value = json(&golden::text(&name));
        vec![(name, value)]
    };
    let folder = match kind {
        Kind::Case => "bank",
        Kind::Vehicle => "vehicles",
        Kind::Faults => "faults",
        Kind::Components => return one("components"),
        Kind::Together => return one("together"),
        Kind::Competencies => return one("competencies"),
        Kind::Marks => return one("marks"),
        Kind::Counter => return one("counter"),
        Kind::Syllabus => return one("syllabus"),
        Kind::Questions => "questions",
        Kind::Form => "forms",
    };
    let paths = std::fs::read_dir(golden::path(&format!("scenarios/{folder}"))).unwrap();
    let mut files = Vec::new();
    for path in paths.map(|entry| entry.unwrap().path()) {
        let text = std::fs::read_to_string(&path).unwrap();
        files.push((path.display().to_string(), json(&text)));
    }
    files
}

#[test]
fn every_file_there_is_fits_its_schema() {
    for (_, kind) in KINDS {
        let validator = validator(*kind);
        let files = files(*kind);
        assert!(!files.is_empty());
        for (name, value) in files {
            if let Err(error) = validator.validate(&value) {
                panic!("{name}: {error} at {}", error.instance_path);
            }
        }
    }
}

/// Each slip is one an editor underlines, and the loader refuses too.
#[test]
fn wrong_files_do_not_fit() {
    let good = golden::text("scenarios/bank/school-run.toml");
    let validator = validator(Kind::Case);
    assert!(validator.is_valid(&json(&good)));
    for (from, to) in [
        ("version = 1", "version = 2"),
        ("title", "tilte"),
        ("level = 1", "level = 4"),
        ("level = 1", "level = \"one\""),
        ("\"driven-in\"", "\"driven\""),
        ("\"33 °C\"", "33"),
        ("\"33 °C\"", "\"33 psig\""),
        ("\"33 °C\"", "\"warm\""),
        ("\"50 %\"", "\"-50 %\""),
        ("\"114000 km\"", "\"-114000 km\""),
        ("severity = [0.89, 0.91]", "severity = 1.5"),
        ("severity = [0.89, 0.91]", "severity = 0.0"),
        ("severity = [0.89, 0.91]", "severity = 0.9\nsince = \"May\""),
        ("mode = ", "moed = "),
    ] {
        assert!(good.contains(from), "{from}");
        let text = good.replacen(from, to, 1);
        assert!(!validator.is_valid(&json(&text)), "{to}");
        let read = scenarios::Scenario::read("slip.toml", "slip", &text, bank().known());
        assert!(read.is_err(), "{to}");
    }
}

#[test]
fn names_are_offered_and_others_taken() {
    let case = schema(Kind::Case, bank());
    let vehicles = case["properties"]["vehicle"]["anyOf"][0]["enum"].clone();
    let vehicles = vehicles.as_array().expect("names");
    assert_eq!(vehicles.len(), bank().vehicles().count());
    let mode = &case["$defs"]["WrittenFault"]["properties"]["mode"];
    let modes = mode["anyOf"][0]["enum"].as_array().expect("names");
    assert_eq!(modes.len(), bank().catalogue().modes().count());
    let fault = schema(Kind::Faults, bank());
    let component = &fault["$defs"]["Written"]["properties"]["component"];
    assert!(component["anyOf"][0]["enum"].is_array());
}

#[test]
fn the_program_prints_them() {
    for (name, kind) in KINDS {
        let ran = program::coldtrail(&["author", "schema", name]);
        assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
        let printed: Value = serde_json::from_str(&ran.output).expect("JSON");
        assert_eq!(printed, schema(*kind, bank()), "{name}");
    }
}
