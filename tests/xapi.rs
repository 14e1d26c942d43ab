//! Statements for other programs, against the published rules of xAPI 1.0.3.
//!
//! `reference/xapi_statement.schema.json` is those rules as a schema, with the sections of the specification. What a
//! published validator says of the same statements is in `reference/xapi_verdicts.json`, made by the script
//! beside it: whatever the schema lets through, the validator does.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::golden;
use jsonschema::Validator;
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use runner::records::xapi::{Decided, of_sitting, of_task};
use runner::records::{PublicKey, ResultRow};
use serde_json::{Map, Value, json};

const OFFICE: PublicKey = PublicKey([7; 32]);

fn rules() -> Validator {
    let schema = include_str!("reference/xapi_statement.schema.json");
    let schema = serde_json::from_str(schema).unwrap();
    jsonschema::draft202012::meta::validate(&schema).unwrap_or_else(|error| panic!("{error}"));
    jsonschema::draft202012::new(&schema).unwrap_or_else(|error| panic!("{error}"))
}

/// What the rules have against a statement, the schema's and those between two numbers (2.4.5.1).
fn against(rules: &Validator, statement: &Value) -> Vec<String> {
    let mut found: Vec<String> = rules
        .iter_errors(statement)
        .map(|error| format!("{error} at {}", error.instance_path))
        .collect();
    let of = |name: &str| statement["result"]["score"][name].as_f64();
    let (min, raw, max) = (of("min"), of("raw"), of("max"));
    let above = |one: Option<f64>, other: Option<f64>| one.zip(other).is_some_and(|(a, b)| a > b);
    if above(min, raw) || above(raw, max) || above(min, max) || min.is_some() && min == max {
        found.push(format!("{min:?}, {raw:?}, {max:?} do not rise"));
    }
    found
}

fn row(kind: &str) -> ResultRow {
    ResultRow {
        sitting: "s1".to_owned(),
        task: 2,
        form: "short".to_owned(),
        candidate: "c1".to_owned(),
        kind: kind.to_owned(),
        item: "school-run".to_owned(),
        answer: "fan-dead".to_owned(),
        right: false,
        mark: 37.5,
        diagnosis: 0.0,
        evidence: 100.0,
        calibration: 0.0,
        efficiency: 50.0,
        safety: 100.0,
        hints: 0,
        grave_slips: 0,
        key_cue: None,
        competencies: String::new(),
        shop_s: if kind == "case" { 754.0 } else { 0.0 },
        program: "1".to_owned(),
        wall_ms: 1_795_000_000_123,
    }
}

fn decided(passed: bool, mark: f64) -> Decided {
    Decided {
        sitting: "s1".to_owned(),
        form: "short".to_owned(),
        candidate: "c1".to_owned(),
        passed,
        mark,
        wall_ms: 0,
    }
}

fn task(change: impl Fn(&mut ResultRow)) -> Value {
    let mut row = row("case");
    change(&mut row);
    of_task(&OFFICE, &row).unwrap()
}

/// Statements of every kind, with the extremes of what may be in them.
fn sound() -> Vec<(&'static str, Value)> {
    let odd = "Zoë \u{202e}<b>%zz\"\\ {|}^`\n\u{1f697}";
    vec![
        ("a case", task(|_| {})),
        ("a question", of_task(&OFFICE, &row("question")).unwrap()),
        (
            "passed",
            of_sitting(&OFFICE, &decided(true, 100.0)).unwrap(),
        ),
        ("failed", of_sitting(&OFFICE, &decided(false, 0.0)).unwrap()),
        ("no mark", task(|row| row.mark = 0.0)),
        ("every mark", task(|row| row.mark = 100.0)),
        ("a third", task(|row| row.mark = 100.0 / 3.0)),
        ("the least", task(|row| row.mark = f64::MIN_POSITIVE)),
        ("a mark that is none", task(|row| row.mark = 150.0)),
        ("half a second", task(|row| row.shop_s = 0.5)),
        ("a million hours", task(|row| row.shop_s = 3.6e9)),
        ("the year 1", task(|row| row.wall_ms = -62_135_596_800_000)),
        (
            "the year 9999",
            task(|row| row.wall_ms = 253_402_207_199_999),
        ),
        (
            "an odd candidate",
            task(|row| row.candidate = odd.to_owned()),
        ),
        ("an odd item", task(|row| row.item = odd.to_owned())),
        ("an odd form", task(|row| row.form = odd.to_owned())),
        ("an odd kind", task(|row| row.kind = odd.to_owned())),
    ]
}

/// A sound statement with one thing in it put wrong.
fn wrong() -> Vec<(&'static str, Value)> {
    let put = |place: &str, value: Value| {
        let mut statement = task(|_| {});
        *statement.pointer_mut(place).unwrap() = value;
        statement
    };
    let without = |object: &str, name: &str| {
        let mut statement = task(|_| {});
        let object = statement.pointer_mut(object).unwrap();
        assert!(object.as_object_mut().unwrap().remove(name).is_some());
        statement
    };
    let with = |object: &str, name: &str, value: Value| {
        let mut statement = task(|_| {});
        statement.pointer_mut(object).unwrap()[name] = value;
        statement
    };
    vec![
        ("without actor", without("", "actor")),
        ("without verb", without("", "verb")),
        ("without object", without("", "object")),
        ("verb without id", without("/verb", "id")),
        ("object without id", without("/object", "id")),
        ("nobody", without("/actor", "account")),
        (
            "account without page",
            without("/actor/account", "homePage"),
        ),
        (
            "two identifiers",
            with("/actor", "mbox", json!("mailto:a@example.com")),
        ),
        ("a property of no standard", with("", "mood", json!("good"))),
        ("null", put("/timestamp", Value::Null)),
        ("scaled 1.5", put("/result/score/scaled", json!(1.5))),
        ("scaled -1.5", put("/result/score/scaled", json!(-1.5))),
        ("scaled as text", put("/result/score/scaled", json!("0.5"))),
        ("raw above max", put("/result/score/raw", json!(101.0))),
        ("raw below min", put("/result/score/raw", json!(-1.0))),
        ("min is max", put("/result/score/min", json!(100))),
        ("success as text", put("/result/success", json!("true"))),
        (
            "a duration in words",
            put("/result/duration", json!("754 s")),
        ),
        (
            "a duration of nothing",
            put("/result/duration", json!("PT")),
        ),
        (
            "a day that is none",
            put("/timestamp", json!("2026-13-01T10:00:00Z")),
        ),
        ("a time in words", put("/timestamp", json!("yesterday"))),
        (
            "a time in ms",
            put("/timestamp", json!(1_795_000_000_123_i64)),
        ),
        ("an id that is none", put("/id", json!("s1"))),
        ("a verb without scheme", put("/verb/id", json!("completed"))),
        ("an empty object", put("/object/id", json!(""))),
        (
            "an object with a space",
            put("/object/id", json!("https://coldtrail.invalid/a b")),
        ),
        (
            "a language that is none",
            put("/verb/display", json!({ "e": "completed" })),
        ),
        (
            "another kind of object",
            put("/object/objectType", json!("activity")),
        ),
        (
            "a context of no standard",
            with("/context/contextActivities", "child", json!([])),
        ),
    ]
}

#[test]
fn statements_keep_the_published_rules() {
    let rules = rules();
    for (what, statement) in sound() {
        let found = against(&rules, &statement);
        assert!(found.is_empty(), "{what}: {found:?}");
    }
    for (what, statement) in wrong() {
        assert!(!against(&rules, &statement).is_empty(), "{what}");
    }
}

#[test]
fn a_published_validator_says_the_same() {
    let all: Vec<(&str, Value)> = sound().into_iter().chain(wrong()).collect();
    let told: Map<String, Value> = all
        .iter()
        .map(|(what, statement)| ((*what).to_owned(), statement.clone()))
        .collect();
    assert_eq!(told.len(), all.len());
    let text = serde_json::to_string_pretty(&told).unwrap() + "\n";
    // The validator was asked about these very statements.
    golden::expect("tests/reference/xapi_statements.json", &text);
    let verdicts = golden::text("tests/reference/xapi_verdicts.json");
    let verdicts: Value = serde_json::from_str(&verdicts).unwrap();
    let warnings = |what: &str| verdicts["verdicts"][what].as_array().unwrap().len();
    for (what, _) in sound() {
        assert_eq!(warnings(what), 0, "{what}");
    }
    let refused = wrong()
        .iter()
        .filter(|(what, _)| warnings(what) > 0)
        .count();
    // It looks at no more of an IRI than its scheme.
    assert_eq!(warnings("an object with a space"), 0);
    assert_eq!(refused, wrong().len() - 1);
}

#[test]
fn whatever_another_office_signed_makes_a_sound_statement_or_none() {
    let rules = rules();
    let text = "\\PC{0,12}|[\\x00-\\x7f]{0,12}";
    let numbers = (any::<f64>(), any::<f64>(), any::<i64>(), any::<bool>());
    let any_row = (text, text, text, text, numbers);
    let config = Config {
        failure_persistence: None,
        ..Config::default()
    };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, rng);
    runner
        .run(&any_row, |(kind, item, form, candidate, numbers)| {
            let (mark, shop_s, far_ms, right) = numbers;
            // Half of the times are such as jiff knows, and half of the kinds ours.
            let wall_ms = if right {
                far_ms % 300_000_000_000_000
            } else {
                far_ms
            };
            let row = ResultRow {
                kind: if right { "case".to_owned() } else { kind },
                item,
                form: form.clone(),
                candidate: candidate.clone(),
                mark,
                shop_s,
                right,
                wall_ms,
                ..row("case")
            };
            let decided = Decided {
                form,
                candidate,
                wall_ms,
                ..decided(right, mark)
            };
            let said = [of_task(&OFFICE, &row), of_sitting(&OFFICE, &decided)];
            for statement in said.into_iter().flatten() {
                let found = against(&rules, &statement);
                prop_assert!(found.is_empty(), "{found:?}: {statement}");
            }
            Ok(())
        })
        .unwrap();
}

#[test]
fn the_same_thing_said_again_is_the_same_statement() {
    let case = task(|_| {});
    assert_eq!(case, task(|_| {}));
    assert_ne!(case["id"], task(|row| row.task = 3)["id"]);
    assert_eq!(case["result"]["duration"], "PT754S");
    let question = of_task(&OFFICE, &row("question")).unwrap();
    assert_eq!(question["result"].get("duration"), None);
    let passed = of_sitting(&OFFICE, &decided(true, 100.0)).unwrap();
    assert_eq!(
        passed["verb"]["id"],
        "http://adlnet.gov/expapi/verbs/passed"
    );
    // A name that is plain stands as it is, and two names never become one.
    let object = |item: &str| task(|row| row.item = item.to_owned())["object"]["id"].clone();
    assert_eq!(
        object("school-run"),
        "https://coldtrail.invalid/case/school-run"
    );
    assert_eq!(object("a b%"), "https://coldtrail.invalid/case/a%20b%25");
    let early = ResultRow {
        wall_ms: -62_167_219_200_001,
        ..row("case")
    };
    let refused = of_task(&OFFICE, &early).unwrap_err().to_string();
    assert!(refused.contains("before the year 0"), "{refused}");
}
