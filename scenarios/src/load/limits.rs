//! How much of anything a file may hold: far more than an honest one has.

use std::ops::Range;

use crate::Problem;

/// How deep lists and tables nest: a vehicle's file gets to a third of it.
pub const DEEPEST: usize = 16;
/// Longest text or name, bytes: a page of a case's story is half of it.
pub const LONGEST_TEXT_BYTES: usize = 8 * 1024;
/// Longest list, and most fields of a table.
pub const LONGEST_LIST: usize = 1024;

pub(super) fn too_deep() -> Problem {
    Problem::new(format!("this nests deeper than {DEEPEST} lists and tables"))
}

/// Says it in our words where the TOML crate would not follow a text so deep; it does not say where,
/// and the line with the most brackets and dots is the one.
pub(super) fn or_too_deep(problem: Problem, text: &str) -> Problem {
    if problem.message != "recursion limit" {
        return problem;
    }
    let nested = |line: &&str| {
        line.bytes()
            .filter(|byte| matches!(byte, b'[' | b'{' | b'.'))
            .count()
    };
    let mut lines: Vec<&str> = text.split('\n').collect();
    // The first of those that have as many.
    lines.reverse();
    let deepest = lines.into_iter().max_by_key(nested).unwrap_or_default();
    let start = deepest.as_ptr().addr() - text.as_ptr().addr();
    too_deep().at(start..start + deepest.len())
}

pub(super) fn list(length: usize, span: Range<usize>) -> Option<Problem> {
    (length > LONGEST_LIST).then(|| {
        Problem::new(format!("there are {length} things in this"))
            .at(span)
            .label(format!("at most {LONGEST_LIST} are read"))
    })
}

pub(super) fn text(text: &str, span: Range<usize>) -> Option<Problem> {
    (text.len() > LONGEST_TEXT_BYTES).then(|| {
        Problem::new(format!("this text is {} bytes long", text.len()))
            .at(span)
            .label(format!("at most {LONGEST_TEXT_BYTES} are read"))
    })
}
