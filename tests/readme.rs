//! README's session is what the program prints.

use coldtrail_checks::{golden, program};

#[test]
fn the_session_shown_is_the_session_played() {
    let readme = golden::text("README.md");
    let script = golden::path("tests/sessions/readme.script");
    let command = readme
        .lines()
        .find(|line| line.contains("--script tests/sessions/readme.script"))
        .and_then(|line| line.strip_prefix("cargo run --release -- "))
        .expect("the command that plays it");
    let arguments: Vec<&str> = command
        .split_whitespace()
        .map(|word| {
            if word.ends_with(".script") {
                script.to_str().expect("text")
            } else {
                word
            }
        })
        .collect();
    let ran = program::coldtrail(&arguments);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    let opening = "<!-- session -->\n```text\n";
    let start = readme.find(opening).expect("the session") + opening.len();
    let end = start + readme[start..].find("```").expect("its end");
    let wanted = format!("{}{}{}", &readme[..start], ran.output, &readme[end..]);
    golden::expect("README.md", &wanted);
}
