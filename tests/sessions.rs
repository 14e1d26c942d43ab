//! Sessions from a script to a debrief, byte for byte. A script's first line says how to play it.

#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use coldtrail_checks::halves::halves;
use coldtrail_checks::{golden, program};

/// Runs by their names and further arguments, each made once.
type Played = BTreeMap<(String, String), Arc<OnceLock<program::Ran>>>;

/// A script of `tests/sessions/` played as its first line says, with further arguments; once for all
/// tests, since a grade takes seconds.
fn play(name: &str, more: &[&str]) -> program::Ran {
    static PLAYED: Mutex<Played> = Mutex::new(BTreeMap::new());
    let key = (name.to_owned(), more.join(" "));
    let run = {
        // A test that failed while it held the map has left it whole: runs are only added.
        let mut played = PLAYED.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(played.entry(key).or_default())
    };
    run.get_or_init(|| play_now(name, more)).clone()
}

fn play_now(name: &str, more: &[&str]) -> program::Ran {
    let script = golden::text(&format!("tests/sessions/{name}.script"));
    let first = script.lines().next().unwrap_or_default();
    let arguments = first
        .strip_prefix("# coldtrail practice ")
        .unwrap_or_else(|| panic!("{name}: the first line does not say how to play it"));
    let arguments: Vec<&str> = arguments
        .split_whitespace()
        .chain(more.iter().copied())
        .collect();
    program::play(&script, &arguments)
}

fn scripts() -> Vec<String> {
    let folder = golden::path("tests/sessions");
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .unwrap_or_else(|error| panic!("{}: {error}", folder.display()))
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter_map(|name| name.strip_suffix(".script").map(str::to_owned))
        .collect();
    names.sort();
    names
}

#[test]
fn every_session_is_told_as_expected() {
    let names = scripts();
    for told in [
        "anchored",
        "expert",
        "gave-up",
        "lucky-guess",
        "parts-swapper",
        "unsafe",
    ] {
        assert!(names.iter().any(|name| name == told), "no {told}");
    }
    halves(&names, |name| {
        let ran = play(name, &[]);
        assert_eq!(ran.errors, "", "{name}");
        golden::expect(&format!("tests/sessions/{name}.txt"), &ran.output);
    });
}

/// Every digit of it: the same bytes on every machine.
#[test]
fn a_session_as_json_is_the_same_to_the_last_digit() {
    let ran = play("root-cause", &["--format", "json"]);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    golden::expect("tests/sessions/root-cause.json", &ran.output);
}

#[test]
fn the_exit_code_tells_of_lines_not_taken() {
    assert_eq!(play("starved-evaporator", &[]).code, runner::cli::EXIT_OK);
    assert_eq!(
        play("bad-lines", &[]).code,
        runner::cli::EXIT_LINES_NOT_TAKEN
    );
}

/// A line that is not taken names itself and says what is allowed; the next ones are taken.
#[test]
fn json_names_every_line_that_was_not_taken() {
    let script = golden::text("tests/sessions/bad-lines.script");
    let ran = play("bad-lines", &["--format", "json"]);
    let result: serde_json::Value = serde_json::from_str(&ran.output).expect("JSON");
    let taken = result["actions"].as_array().expect("a list").len();
    let not_taken = result["lines_not_taken"].as_array().expect("a list");
    let lines: Vec<&str> = script.lines().collect();
    let actions = lines.iter().filter(|line| !line.starts_with('#')).count();
    assert_eq!(taken + not_taken.len(), actions);
    // Each number points at a line whose words the message takes up, or that cannot be done now.
    for (number, words) in [(4, "ear gloves"), (12, "clamp the-pipe"), (23, "wait 2 h")] {
        let found = not_taken.iter().find(|line| line["line"] == number);
        let message = found.and_then(|line| line["message"].as_str());
        assert_eq!(lines.get(number - 1), Some(&words));
        let word = words.split(' ').next_back().unwrap_or_default();
        let first = words.split(' ').next().unwrap_or_default();
        assert!(
            message.is_some_and(|message| message.contains(word) || message.contains(first)),
            "{number}: {message:?}"
        );
    }
}

#[test]
fn units_change_the_words_and_not_the_session() {
    let mark = |units: &str| {
        let ran = play("starved-evaporator", &["--units", units]);
        let mark = ran.output.find("\nMark\n").expect("a mark");
        (ran.output[mark..].to_owned(), ran.output)
    };
    let (us_mark, us) = mark("us");
    let ran = play("starved-evaporator", &[]);
    let (si_mark, si) = (
        ran.output[ran.output.find("\nMark\n").expect("a mark")..].to_owned(),
        ran.output,
    );
    assert_eq!(us_mark, si_mark);
    assert!(us.contains(" psig") && us.contains(" °F") && !us.contains("kPa"));
    assert!(si.contains(" kPa gauge") && si.contains(" °C") && !si.contains("psig"));
    let json = |units: &str| {
        play(
            "starved-evaporator",
            &["--format", "json", "--units", units],
        )
    };
    assert_eq!(json("us"), json("si"));
}

/// Good readings read wrongly and a right name with none: each loses what the other earns, and each is
/// told why.
#[test]
fn wrong_with_evidence_and_right_without_are_told_apart() {
    let (wrong, lucky) = (play("anchored", &[]), play("lucky-guess", &[]));
    let row = |ran: &program::Ran, part: &str| -> f64 {
        let line = ran.output.lines().find(|line| line.starts_with(part));
        let earned = line.and_then(|line| line.split_whitespace().nth(1));
        earned
            .expect("a part of the mark")
            .parse()
            .expect("a number")
    };
    assert_eq!(row(&wrong, "diagnosis "), 0.0);
    assert!(row(&wrong, "evidence ") > 10.0);
    assert!(row(&lucky, "diagnosis ") > 39.0);
    assert_eq!(row(&lucky, "evidence "), 0.0);
    let says = |ran: &program::Ran, words: &str| {
        let whole: Vec<&str> = ran.output.split_whitespace().collect();
        assert!(whole.join(" ").contains(words), "{words}: {}", ran.output);
    };
    says(
        &wrong,
        "Not right: you said low on refrigerant; in the car: valve stuck nearly shut.",
    );
    says(&wrong, "Your readings were good and you read them wrongly:");
    says(&wrong, "The evidence earns marks, the conclusion does not.");
    says(&lucky, "Right: valve stuck nearly shut.");
    says(
        &lucky,
        "Right without proof: you named no reading you relied on.",
    );
    says(&lucky, "A right answer without evidence is a guess;");
}
