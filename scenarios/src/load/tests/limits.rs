//! More of anything than a file may hold.

use super::*;

#[test]
fn a_file_too_large_is_not_looked_at() {
    let text = "#".repeat(LARGEST_BYTES + 1);
    let error = parse::<Written>("my-case.toml", &text).expect_err("too large");
    assert_eq!(
        error.to_string(),
        "error: the file is too large: 257 KiB\n--> my-case.toml\n = help: at most 256 KiB are read"
    );
    let text = "#".repeat(LARGEST_BYTES);
    let error = parse::<Written>("my-case.toml", &text).expect_err("only a comment");
    let messages: Vec<_> = error
        .problems()
        .iter()
        .map(|one| one.message.as_str())
        .collect();
    let missing = [
        "the field `ambient` is missing",
        "the field `layout` is missing",
    ];
    assert_eq!(messages, missing);
}

/// However brackets, tables and names are nested, the answer is a problem at a place.
#[test]
fn what_nests_too_deep_is_refused() {
    let deep = [
        format!("x = {}{}", "[".repeat(17), "]".repeat(17)),
        format!("x = {}{}", "[".repeat(200), "]".repeat(200)),
        format!("x = {}", "[".repeat(200_000)),
        format!("x = {}", "[\n".repeat(100_000)),
        format!("x = {}", "{a=".repeat(80_000)),
        format!("{}b = 1", "a.".repeat(100_000)),
        format!("[{}b]", "a.".repeat(100_000)),
        format!("[[{}b]]", "a.".repeat(100_000)),
        format!("x = {{{}b = 1}}", "a.".repeat(100_000)),
    ];
    for text in deep {
        let error = parse::<Written>("my-case.toml", &text).expect_err("too deep");
        let problem = &error.problems()[0];
        let start = &text[..text.len().min(20)];
        let span = problem.span.clone();
        let span = span.unwrap_or_else(|| panic!("no place: {start}: {}", problem.message));
        assert!(span.end <= text.len(), "{span:?}");
        assert!(
            problem.message.contains("deep") || problem.message.contains("recursion"),
            "{}",
            problem.message
        );
    }
}

#[test]
fn more_than_any_case_has_is_refused() {
    let long = "x".repeat(LONGEST_TEXT_BYTES + 1);
    let list = "1,".repeat(LONGEST_LIST + 1);
    let table = [
        (format!("note = \"{long}\""), "this text is 8193 bytes long"),
        (format!("{long} = 1"), "this text is 8193 bytes long"),
        (format!("fault = [{list}]"), "there are 1025 things in this"),
    ];
    for (text, message) in table {
        let error = parse::<Written>("my-case.toml", &text).expect_err(message);
        assert_eq!(error.problems()[0].message, message);
        assert!(error.problems()[0].span.is_some());
    }
}
