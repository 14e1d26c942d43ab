//! TOML text into a type, with every problem placed.
//!
//! This module opens no file: it is given a name and a text. Types derive
//! `serde::Deserialize` with `deny_unknown_fields`; what serde cannot check, the caller
//! checks on `toml::Spanned` values and reports as [`Problem`]s of a [`LoadError`].

mod limits;
mod recover;
mod words;

use std::ops::Range;

use schemars::JsonSchema;
use serde::de::DeserializeOwned;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

use crate::{LoadError, Problem};
pub use limits::{DEEPEST, LONGEST_LIST, LONGEST_TEXT_BYTES};
pub(crate) use recover::Recovered;
use words::explain;

/// The largest text that is read, in bytes. The largest honest case is a tenth of this.
pub const LARGEST_BYTES: usize = 256 * 1024;

/// Reads a type from TOML text; `file_name` is for messages only.
///
/// # Errors
///
/// A [`LoadError`] where the text is larger than [`LARGEST_BYTES`]; holds control
/// characters, characters that turn the direction of writing (also as escapes in
/// strings) or numbers that are not finite; nests deeper than [`DEEPEST`], or holds longer texts or lists
/// than [`LONGEST_TEXT_BYTES`] and [`LONGEST_LIST`]; is not TOML; or does not fit the type.
/// All problems of one of these kinds come together.
///
/// ```
/// use scenarios::{load, quantity::Mass};
///
/// #[derive(Debug, serde::Deserialize, schemars::JsonSchema)]
/// #[serde(deny_unknown_fields)]
/// struct Refrigerant { charge: Mass }
///
/// let read: Refrigerant = load::parse("car.toml", "charge = \"650 g\"")?;
/// assert_eq!(read.charge, Mass(0.65));
///
/// let error = load::parse::<Refrigerant>("car.toml", "chrage = \"650 g\"").unwrap_err();
/// assert_eq!(error.to_string(), "\
/// error: no field is called `chrage` here
///  --> car.toml:1:1
///   |
/// 1 | chrage = \"650 g\"
///   | ^^^^^^ did you mean `charge`?");
/// # Ok::<(), scenarios::LoadError>(())
/// ```
pub fn parse<T: DeserializeOwned + JsonSchema>(
    file_name: &str,
    text: &str,
) -> Result<T, LoadError> {
    let read: Recovered<T> = parse_on(file_name, text)?;
    match read.value {
        Some(value) if read.problems.is_empty() => Ok(value),
        _ => Err(LoadError::new(file_name, text, in_order(read.problems))),
    }
}

/// As [`parse`], and reads on past what does not fit the type, so that a caller can say in the same
/// go what else is wrong; the problems must be reported.
pub(crate) fn parse_on<T: DeserializeOwned + JsonSchema>(
    file_name: &str,
    text: &str,
) -> Result<Recovered<T>, LoadError> {
    if text.len() > LARGEST_BYTES {
        let kib = text.len().div_ceil(1024);
        let problem = Problem::new(format!("the file is too large: {kib} KiB"))
            .label(format!("at most {} KiB are read", LARGEST_BYTES / 1024));
        return Err(LoadError::new(file_name, "", vec![problem]));
    }
    let fail = |problems| Err(LoadError::new(file_name, text, problems));

    let hidden = hidden_characters(text);
    if !hidden.is_empty() {
        return fail(hidden);
    }
    let (table, errors) = DeTable::parse_recoverable(text);
    if !errors.is_empty() {
        let explained = |error| limits::or_too_deep(explain(error), text);
        return fail(in_order(errors.iter().map(explained).collect()));
    }
    let mut problems = Vec::new();
    check_table(table.get_ref(), 1, &mut problems);
    if !problems.is_empty() {
        return fail(problems);
    }
    match T::deserialize(toml::Deserializer::from(table.clone())) {
        Ok(value) => Ok(Recovered {
            value: Some(value),
            problems: Vec::new(),
            put_right: Vec::new(),
        }),
        Err(_) => Ok(recover::read(table)),
    }
}

/// Takes out, of the problems from the `first` on, those at places that were put right and those of
/// the file as a whole: after a mistake they may be about an example and not about what is written.
pub(crate) fn without(put_right: &[Range<usize>], problems: &mut Vec<Problem>, first: usize) {
    let meant = |problem: &Problem| {
        let span = problem.span.as_ref();
        span.is_some_and(|span| !put_right.contains(span))
    };
    let later = problems.split_off(first.min(problems.len()));
    problems.extend(later.into_iter().filter(meant));
}

/// Problems in the order of the text; those with the file as a whole come first.
pub(crate) fn in_order(mut problems: Vec<Problem>) -> Vec<Problem> {
    problems.sort_by_key(|problem| problem.span.as_ref().map(|span| span.start));
    problems
}

/// Characters that a reader cannot see, or that make text read differently from what it
/// says: at most one problem a line.
fn hidden_characters(text: &str) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        let body = line
            .strip_suffix('\n')
            .map_or(line, |line| line.strip_suffix('\r').unwrap_or(line));
        if let Some((offset, c)) = body
            .char_indices()
            .find(|(_, c)| is_hidden(*c) && *c != '\t')
        {
            let start = at + offset;
            problems.push(hidden_problem(c, start..start + c.len_utf8()));
        }
        at += line.len();
    }
    problems
}

fn hidden_problem(c: char, span: Range<usize>) -> Problem {
    let code = u32::from(c);
    let what = match c.is_control() {
        true => "a control character",
        false => "a character that changes the direction or the lines of text",
    };
    Problem::new(format!("{what} is not allowed in a file: U+{code:04X}"))
        .at(span)
        .label("delete it")
}

/// Whether a reader cannot see a character, or would be misled by it.
pub fn is_hidden(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{061C}' | '\u{200E}' | '\u{200F}' // marks of direction
            | '\u{2028}' | '\u{2029}' // line and paragraph separators
            | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' // embeddings and isolates
        )
}

/// What escapes can bring in past [`hidden_characters`], numbers no case can mean, and more of
/// something than any case has.
fn check_table(table: &DeTable<'_>, depth: usize, problems: &mut Vec<Problem>) {
    for (key, value) in table {
        check_text(key.get_ref(), key.span(), problems);
        check_value(value, depth, problems);
    }
}

fn check_value(value: &Spanned<DeValue<'_>>, depth: usize, problems: &mut Vec<Problem>) {
    match value.get_ref() {
        DeValue::String(text) => check_text(text, value.span(), problems),
        DeValue::Float(number) => {
            // `1_000.5` is a number to TOML and none to Rust.
            let plain = number.as_str().replace('_', "");
            if !plain.parse().is_ok_and(f64::is_finite) {
                problems.push(Problem::new("a number must be finite").at(value.span()));
            }
        }
        DeValue::Array(_) | DeValue::Table(_) if depth >= DEEPEST => {
            problems.push(limits::too_deep().at(value.span()));
        }
        DeValue::Array(items) => {
            problems.extend(limits::list(items.len(), value.span()));
            items
                .iter()
                .for_each(|item| check_value(item, depth + 1, problems));
        }
        DeValue::Table(table) => {
            problems.extend(limits::list(table.len(), value.span()));
            check_table(table, depth + 1, problems);
        }
        DeValue::Integer(_) | DeValue::Boolean(_) | DeValue::Datetime(_) => {}
    }
}

fn check_text(text: &str, span: Range<usize>, problems: &mut Vec<Problem>) {
    problems.extend(limits::text(text, span.clone()));
    let allowed = ['\t', '\n', '\r'];
    if let Some(c) = text.chars().find(|c| is_hidden(*c) && !allowed.contains(c)) {
        problems.push(hidden_problem(c, span));
    }
}

#[cfg(test)]
mod tests;
