//! Whatever a file holds, reading it ends: with what it says, or with problems at places in its text.
//!
//! Documents are drawn from the schemas, so that they have the form of a case and mean anything at
//! all; grown from true files with other values in places; and made of true files by slips of the hand.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

#[path = "loader/drawn.rs"]
mod drawn;

use std::cell::Cell;
use std::sync::OnceLock;

use coldtrail_checks::golden;
use proptest::prelude::*;
use proptest::test_runner::{RngSeed, TestCaseResult};
use runner::cli::syllabus::with_marked;
use scenarios::schema::{KINDS, Kind, schema};
use scenarios::{Library, LoadError, SourceFile};
use serde_json::Value;

/// The same documents on every machine.
fn config(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(1),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(|| Library::builtin().unwrap())
}

fn read(kind: Kind, text: &str) -> Result<(), LoadError> {
    let file = SourceFile {
        name: "drawn.toml",
        text,
    };
    with_marked(|marked| library().check(kind, &file, marked))
}

/// Every problem is in the text, but for what is missing from the file as a whole.
fn ends_well(kind: Kind, text: &str) -> TestCaseResult {
    let Err(error) = read(kind, text) else {
        return Ok(());
    };
    prop_assert!(!error.problems().is_empty());
    for problem in error.problems() {
        match &problem.span {
            Some(span) => prop_assert!(text.get(span.clone()).is_some(), "{span:?} of {text:?}"),
            None => prop_assert!(of_the_whole(&problem.message), "{}", problem.message),
        }
    }
    prop_assert!(error.to_string().starts_with("error: "));
    Ok(())
}

fn of_the_whole(message: &str) -> bool {
    let whole = [
        " is missing",
        "has no part for",
        "a vehicle has either",
        "a compressor",
        "the fan's",
    ];
    whole.iter().any(|words| message.contains(words))
}

fn written(document: &Value) -> String {
    toml::to_string(document).expect("TOML")
}

/// Runs a check on documents drawn for a kind, each of which its schema takes; returns how many of them
/// were read.
fn on_each(kind: Kind, cases: u32, documents: &BoxedStrategy<Value>) -> usize {
    let validator = jsonschema::draft202012::new(&schema(kind, &library().bank)).unwrap();
    let mut runner = proptest::test_runner::TestRunner::new(config(cases));
    let were_read = Cell::new(0);
    let ran = runner.run(documents, |document| {
        prop_assert!(validator.is_valid(&document), "{document}");
        let text = written(&document);
        were_read.set(were_read.get() + usize::from(read(kind, &text).is_ok()));
        ends_well(kind, &text)
    });
    ran.unwrap_or_else(|error| panic!("{kind:?}: {error}"));
    were_read.get()
}

#[test]
fn what_a_schema_takes_is_read_or_answered_at_its_places() {
    for (_, kind) in KINDS {
        let schema = schema(*kind, &library().bank);
        on_each(*kind, 96, &drawn::of(&schema, &schema));
    }
}

/// A good file of each kind. Names in it that are taken, since it is built in, are made its own.
fn good_files() -> Vec<(Kind, String)> {
    let files = [
        (Kind::Case, "bank/home-made"),
        (Kind::Vehicle, "vehicles/hybrid"),
        (Kind::Faults, "faults/fan"),
        (Kind::Components, "components"),
        (Kind::Together, "together"),
        (Kind::Competencies, "competencies"),
        (Kind::Marks, "marks"),
        (Kind::Counter, "counter"),
        (Kind::Questions, "questions/charts"),
        (Kind::Questions, "questions/diagnosis"),
        (Kind::Form, "forms/first-weeks"),
        (Kind::Syllabus, "syllabus"),
    ];
    let texts = files.map(|(kind, name)| {
        let text = golden::text(&format!("scenarios/{name}.toml"));
        let own = match kind {
            Kind::Faults | Kind::Questions => text.replace("id = \"", "id = \"our-"),
            _ => text,
        };
        (kind, own)
    });
    assert!(
        KINDS
            .iter()
            .all(|(_, kind)| texts.iter().any(|one| one.0 == *kind))
    );
    texts.into()
}

/// Documents that are good but for a few places, at which anything stands that the schema takes there.
#[test]
fn a_good_file_with_other_values_is_read_or_answered_at_its_places() {
    for (kind, good) in good_files() {
        assert_eq!(read(kind, &good), Ok(()), "{kind:?}");
        let schema = schema(kind, &library().bank);
        let good: Value = toml::from_str(&good).unwrap();
        let cases = 128;
        let were_read = on_each(kind, cases, &drawn::grafted(&schema, &good));
        // Neither all nor none: the draws reach both what is taken and what is refused.
        assert!(
            (1..cases as usize).contains(&were_read),
            "{kind:?}: {were_read}"
        );
    }
}

/// A slip: where in the text, how much of it goes, and what stands there instead.
fn slips() -> impl Strategy<Value = Vec<(f64, usize, String)>> {
    let odd = proptest::sample::select(vec![
        "",
        "\"",
        "[",
        "]]",
        "{",
        "}",
        "=",
        "\n",
        "#",
        ".",
        "-",
        "nan",
        "inf",
        "1e999",
        "\\u202e",
        "\u{202e}",
        "\u{0}",
        "\r",
        "''",
        "\"\"\"",
        "°",
        "−",
        "9",
        "[[fault]]\n",
        "x = 1\n",
        "é",
    ]);
    let one = (0.0..1.0_f64, 0..12_usize, odd.prop_map(str::to_owned));
    proptest::collection::vec(one, 1..6)
}

fn slipped(text: &str, slips: &[(f64, usize, String)]) -> String {
    let mut characters: Vec<char> = text.chars().collect();
    for (place, gone, put) in slips {
        let start = (place * characters.len() as f64) as usize;
        let end = (start + gone).min(characters.len());
        characters.splice(start..end, put.chars());
    }
    characters.into_iter().collect()
}

#[test]
fn a_slip_of_the_hand_is_answered_at_its_place() {
    for (kind, good) in good_files() {
        let mut runner = proptest::test_runner::TestRunner::new(config(192));
        runner
            .run(&slips(), |slips| ends_well(kind, &slipped(&good, &slips)))
            .unwrap_or_else(|error| panic!("{kind:?}: {error}"));
    }
}
