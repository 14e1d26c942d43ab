//! README's session is what the program prints.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::path::Path;

use clap::Parser;
use runner::cli::{Cli, EXIT_OK, Streams, run};

fn printed(arguments: &[&str]) -> String {
    let cli = Cli::try_parse_from(arguments).unwrap();
    let (mut output, mut errors) = (Vec::new(), Vec::new());
    let mut streams = Streams {
        input: &mut std::io::empty(),
        input_is_terminal: false,
        output: &mut output,
        errors: &mut errors,
        fresh_seed: 1,
    };
    let code = run(&cli, &mut streams);
    assert_eq!(code, EXIT_OK, "{}", String::from_utf8_lossy(&errors));
    String::from_utf8(output).unwrap()
}

#[test]
fn the_session_shown_is_the_session_played() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let path = root.join("README.md");
    let readme = std::fs::read_to_string(&path).unwrap();
    let command = readme
        .lines()
        .find(|line| line.contains("--script tests/sessions/readme.script"))
        .and_then(|line| line.strip_prefix("cargo run --release -- "))
        .unwrap();
    let script = root.join("tests/sessions/readme.script");
    let arguments: Vec<&str> = std::iter::once("coldtrail")
        .chain(command.split_whitespace())
        .map(|word| {
            if word.ends_with(".script") {
                script.to_str().unwrap()
            } else {
                word
            }
        })
        .collect();
    let session = printed(&arguments);
    let opening = "<!-- session -->\n```text\n";
    let start = readme.find(opening).unwrap() + opening.len();
    let end = start + readme[start..].find("```").unwrap();
    if std::env::var_os("COLDTRAIL_BLESS").is_some() {
        let new = format!("{}{session}{}", &readme[..start], &readme[end..]);
        std::fs::write(path, new).unwrap();
        return;
    }
    assert_eq!(
        &readme[start..end],
        session,
        "README's session is out of date: COLDTRAIL_BLESS=1 cargo test --release --test readme"
    );
}
