//! The syllabus: every name in it is something there is, and what covers a topic is shown.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::sync::OnceLock;

use coldtrail_checks::program::{coldtrail, typed_on};
use runner::cli::Output;
use runner::cli::syllabus::{SyllabusArgs, page, syllabus, with_marked};
use scenarios::syllabus::{RuleTopic, Syllabus};
use scenarios::{Library, LoadError};

fn library() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(|| Library::builtin().unwrap())
}

fn read(topic: &str) -> (String, Result<Syllabus, LoadError>) {
    let text = format!(
        "version = 1\n[[rule]]\nid = \"r\"\nname = \"R\"\n[[rule.topic]]\nid = \"t\"\nwords = \"W\"\n{topic}"
    );
    let read = with_marked(|marked| Syllabus::read("s.toml", &text, library(), marked));
    (text, read)
}

#[test]
fn every_topic_resolves_and_is_covered() {
    let read = syllabus(library()).unwrap();
    let topics: Vec<&RuleTopic> = read.rules.iter().flat_map(|rule| &rule.topics).collect();
    assert!(topics.len() >= 30);
    for topic in topics {
        let coverage = topic.coverage(library());
        assert!(coverage.is_covered(), "{}", topic.path);
        // A name that no question, case or fault goes by any more would count as nothing.
        let any = |list: &[String]| !list.is_empty();
        assert_eq!(any(&topic.tags), coverage.questions > 0, "{}", topic.path);
        assert_eq!(any(&topic.competencies), coverage.cases > 0);
        assert_eq!(any(&topic.components), coverage.faults > 0);
    }
    let text = coldtrail(&["syllabus"]).output;
    assert!(!text.contains("NOT COVERED") && text.contains("from memory"));
}

#[test]
fn a_topic_that_names_nothing_is_shown_as_not_covered() {
    let (_, open) = read("");
    let args = SyllabusArgs {
        rule: None,
        format: Output::Text,
    };
    let text = page(&open.unwrap(), library(), &args, 78).unwrap();
    assert!(text.contains("  NOT COVERED    W\n"), "{text}");
    assert!(text.contains("0 of 1 topics are covered."), "{text}");
    let (_, named) = read("steps = [\"pressed\"]\n");
    let text = page(&named.unwrap(), library(), &args, 78).unwrap();
    assert!(text.contains("  covered  1 repair step  W\n"), "{text}");
}

#[test]
fn one_rule_is_told_with_what_a_grade_looks_at() {
    let one = coldtrail(&["syllabus", "--rule", "eu-2006-40", "--format", "json"]).output;
    let json: serde_json::Value = serde_json::from_str(&one).unwrap();
    assert_eq!(json.as_array().unwrap().len(), 2);
    assert_eq!(json[1]["named_steps"][0], "pressed");
    assert_eq!(
        (json[1]["steps"].as_u64(), json[1]["parts"].as_u64()),
        (Some(2), Some(1))
    );
    let text = typed_on(80, &["syllabus", "--rule", "eu-2006-40"], b"").output;
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    assert!(text.contains("pressed with nitrogen"), "{text}");
    assert!(text.contains("part of a repair's mark  lasting"), "{text}");
    let refused = coldtrail(&["syllabus", "--rule", "x"]);
    assert!(refused.errors.contains("no rule is called `x`"));
}

#[test]
fn what_it_names_and_there_is_not_is_told_at_its_place() {
    let (text, read) = read(
        "tags = [\"superheet\"]\ncomponents = [\"flux\"]\nslips = [\"no-gloves\", \"no-hat\"]\n\
         steps = [\"presed\", \"evacuated\"]\nparts = [\"evidence\", \"lasting\"]\nrepair_parts = [\"evidence\"]\n",
    );
    let error = read.unwrap_err();
    let told = error.problems().iter();
    let told: Vec<_> = told.map(|one| &text[one.span.clone().unwrap()]).collect();
    let wrong = [
        "\"superheet\"",
        "\"flux\"",
        "\"no-hat\"",
        "\"presed\"",
        "\"lasting\"",
        "\"evidence\"",
    ];
    assert_eq!(told, wrong);
    assert!(error.to_string().contains("did you mean `pressed`?"));
}
