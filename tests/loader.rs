//! Whatever a file holds, reading it ends: with what it says, or with problems at places in its text.
//!
//! Documents are drawn from the schemas, so that they have the form of a case and mean anything at
//! all; and made of true files by slips of the hand.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::golden;
use coldtrail_checks::stand::bank;
use proptest::prelude::*;
use proptest::string::string_regex;
use proptest::test_runner::{RngSeed, TestCaseResult};
use scenarios::schema::{KINDS, Kind, schema};
use scenarios::{Catalogue, Competency, Counter, LoadError, Marks, Scenario, Together, Vehicle};
use serde_json::{Map, Value};

/// The same documents on every machine.
fn config(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(1),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn read(kind: Kind, text: &str) -> Result<(), LoadError> {
    let bank = bank();
    let name = "drawn.toml";
    match kind {
        Kind::Case => Scenario::read(name, "drawn", text, bank.known()).map(drop),
        Kind::Vehicle => Vehicle::read(name, "drawn", text, bank.counter()).map(drop),
        Kind::Faults => Catalogue::default().add(name, text, bank.components()),
        Kind::Components => scenarios::fault::read_components(name, text).map(drop),
        Kind::Together => Together::read_all(name, text, bank.catalogue()).map(drop),
        Kind::Competencies => Competency::read_all(name, text).map(drop),
        Kind::Marks => Marks::read(name, text).map(drop),
        Kind::Counter => Counter::read(name, text).map(drop),
    }
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

/// Values of a schema.
fn of(root: &Value, schema: &Value) -> BoxedStrategy<Value> {
    if let Some(path) = schema["$ref"].as_str() {
        return of(root, root.pointer(&path[1..]).expect("a definition"));
    }
    for key in ["anyOf", "oneOf"] {
        if let Some(choices) = schema[key].as_array() {
            let known = |choice: &&Value| choice["type"] != "null";
            let choices: Vec<_> = choices
                .iter()
                .filter(known)
                .map(|one| of(root, one))
                .collect();
            return proptest::strategy::Union::new(choices).boxed();
        }
    }
    if !schema["const"].is_null() {
        return Just(schema["const"].clone()).boxed();
    }
    if let Some(choices) = schema["enum"].as_array() {
        return proptest::sample::select(choices.clone()).boxed();
    }
    let kind = match &schema["type"] {
        Value::Array(kinds) => kinds[0].as_str(),
        kind => kind.as_str(),
    };
    let within = |unbounded: f64, name: &str| schema[name].as_f64().unwrap_or(unbounded);
    match kind.expect("a type") {
        "string" => match schema["pattern"].as_str() {
            Some(pattern) => {
                // Some digits and spaces of as many as there may be.
                let inner = pattern.trim_start_matches('^').trim_end_matches('$');
                let inner = inner.replace("\\s*", "\\s{0,2}");
                let inner = inner.replace("]*", "]{0,4}").replace("]+", "]{1,4}");
                let drawn = string_regex(&inner).expect("a pattern");
                drawn.prop_map(Value::from).boxed()
            }
            None => "\\PC{0,24}".prop_map(Value::from).boxed(),
        },
        "boolean" => any::<bool>().prop_map(Value::from).boxed(),
        "integer" => {
            let range = within(0.0, "minimum") as i64..=within(9999.0, "maximum") as i64;
            range.prop_map(Value::from).boxed()
        }
        "number" => {
            let least = within(within(-1e6, "minimum"), "exclusiveMinimum");
            let range = least..=within(1e6, "maximum");
            range.prop_map(Value::from).boxed()
        }
        "array" => match schema["prefixItems"].as_array() {
            Some(items) => {
                let items: Vec<_> = items.iter().map(|item| of(root, item)).collect();
                items.prop_map(Value::from).boxed()
            }
            None => {
                let items = proptest::collection::vec(of(root, &schema["items"]), 0..4);
                items.prop_map(Value::from).boxed()
            }
        },
        "object" => object(root, schema),
        other => panic!("{other}"),
    }
}

fn object(root: &Value, schema: &Value) -> BoxedStrategy<Value> {
    let required: Vec<&str> = schema["required"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let mut fields = Vec::new();
    for (name, field) in schema["properties"].as_object().into_iter().flatten() {
        let value = of(root, field);
        let value = match required.contains(&name.as_str()) {
            true => value.prop_map(Some).boxed(),
            false => proptest::option::of(value).boxed(),
        };
        fields.push((Just(name.clone()), value));
    }
    let others = &schema["additionalProperties"];
    let more = match others.is_object() {
        true => proptest::collection::vec(("[a-z-]{1,12}", of(root, others)), 0..4).boxed(),
        false => Just(Vec::new()).boxed(),
    };
    let object = (fields, more).prop_map(|(fields, more)| {
        let known = fields
            .into_iter()
            .filter_map(|(name, value)| Some((name, value?)));
        Value::Object(known.chain(more).collect::<Map<_, _>>())
    });
    object.boxed()
}

fn documents(kind: Kind) -> BoxedStrategy<String> {
    let schema = schema(kind, bank());
    let written = |value: Value| toml::to_string(&value).expect("TOML");
    of(&schema, &schema).prop_map(written).boxed()
}

#[test]
fn what_a_schema_takes_is_read_or_answered_at_its_places() {
    for (_, kind) in KINDS {
        let strategy = documents(*kind);
        let mut runner = proptest::test_runner::TestRunner::new(config(96));
        runner
            .run(&strategy, |text| ends_well(*kind, &text))
            .unwrap_or_else(|error| panic!("{kind:?}: {error}"));
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
    let files = [
        (Kind::Case, "bank/home-made"),
        (Kind::Vehicle, "vehicles/hybrid"),
        (Kind::Faults, "faults/fan"),
        (Kind::Together, "together"),
        (Kind::Marks, "marks"),
        (Kind::Counter, "counter"),
    ];
    for (kind, name) in files {
        let good = golden::text(&format!("scenarios/{name}.toml"));
        assert_eq!(read(kind, &good), Ok(()), "{name}");
        let mut runner = proptest::test_runner::TestRunner::new(config(192));
        runner
            .run(&slips(), |slips| ends_well(kind, &slipped(&good, &slips)))
            .unwrap_or_else(|error| panic!("{name}: {error}"));
    }
}
