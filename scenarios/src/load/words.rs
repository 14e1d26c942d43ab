//! Errors of the TOML crate in our words, where serde's can be bettered.

use crate::{Problem, nearest};

/// The sentences read here are made by serde's `de::Error` and not meant to be parsed; were
/// they to change, they would be shown as they are.
pub(super) fn explain(error: &toml::de::Error) -> Problem {
    let problem = reword(error.message())
        .unwrap_or_else(|| Problem::new(error.message().trim_end().replace('\n', ", ")));
    match error.span() {
        Some(span) => problem.at(span),
        None => problem,
    }
}

fn reword(message: &str) -> Option<Problem> {
    if let Some(rest) = message.strip_prefix("unknown field `") {
        let (name, known) = name_and_known(rest)?;
        let label = offer(name, &known, "the fields are");
        return Some(Problem::new(format!("no field is called `{name}` here")).label(label));
    }
    if let Some(rest) = message.strip_prefix("unknown variant `") {
        let (name, known) = name_and_known(rest)?;
        let label = offer(name, &known, "the choices are");
        return Some(Problem::new(format!("`{name}` is not one of the choices")).label(label));
    }
    if let Some(rest) = message.strip_prefix("missing field `") {
        let name = rest.strip_suffix('`')?;
        return Some(Problem::new(format!("the field `{name}` is missing")));
    }
    if let Some(rest) = message.strip_prefix("invalid type: ") {
        let (found, expected) = rest.rsplit_once(", expected ")?;
        let (found, expected) = (found_in_words(found), expected_in_words(expected));
        return Some(Problem::new(format!(
            "expected {expected}, but this is {found}"
        )));
    }
    if let Some(rest) = message.strip_prefix("invalid value: integer `") {
        let (number, expected) = rest.rsplit_once("`, expected ")?;
        let expected = expected_in_words(expected);
        return Some(Problem::new(format!(
            "`{number}` does not fit: expected {expected}"
        )));
    }
    // Mistakes in how the file is written, as somebody who has never seen TOML makes them.
    let written = [
        (
            "wanted string or table",
            "expected text in quotes or a table",
            "",
        ),
        (
            "string values must be quoted",
            "text stands in quotes",
            "put a quote, \", before and behind it",
        ),
        (
            "invalid basic string",
            "this text has no end",
            "close it with a quote, \", on the same line",
        ),
        (
            "unexpected key or value",
            "something is too much in this line",
            "one value to a line; a decimal point, not a comma: 0.3; several values stand in brackets",
        ),
    ];
    let (_, problem, label) = written
        .into_iter()
        .find(|(begins, _, _)| message.starts_with(begins))?;
    let problem = Problem::new(problem);
    Some(match label {
        "" => problem,
        label => problem.label(label),
    })
}

/// From "a`, expected one of `b`, `c`" to a and [b, c].
fn name_and_known(rest: &str) -> Option<(&str, Vec<&str>)> {
    let (name, known) = rest
        .rsplit_once("`, expected ")
        .or_else(|| rest.rsplit_once("`, there are no "))?;
    Some((name, known.split('`').skip(1).step_by(2).collect()))
}

fn offer(name: &str, known: &[&str], otherwise: &str) -> String {
    if let Some(name) = nearest(name, known.iter().copied()) {
        return format!("did you mean `{name}`?");
    }
    match known {
        [] => "there are none".to_owned(),
        known => format!("{otherwise} `{}`", known.join("`, `")),
    }
}

fn found_in_words(found: &str) -> &str {
    match found.split(' ').next() {
        Some("string") => "text",
        Some("integer") => "a whole number",
        Some("floating") => "a number with decimals",
        Some("boolean") => "true or false",
        Some("sequence") => "a list",
        Some("map") => "a table",
        _ => found,
    }
}

fn expected_in_words(expected: &str) -> &str {
    match expected {
        "f64" | "f32" => "a number",
        "i8" | "i16" | "i32" | "i64" | "isize" => "a whole number",
        "u8" => "a whole number from 0 to 255",
        "u16" | "u32" | "u64" | "usize" => "a whole number, 0 or more",
        "a string" | "string" => "text in quotes",
        "a boolean" => "true or false",
        "a sequence" => "a list",
        "a map" => "a table",
        other if other.starts_with("struct ") => "a table",
        other => other,
    }
}
