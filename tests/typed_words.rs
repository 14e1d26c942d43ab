//! Words typed at a terminal: help by groups, and first words where something else is asked for.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::program::{typed, typed_on};
use runner::action::{COMMANDS, WORK};

const CASE: [&str; 4] = ["practice", "silent-switch", "--seed", "7"];

/// `help` fits a screen, and so does each group that it names; every action is in one.
#[test]
fn help_goes_by_groups_that_fit_a_screen() {
    let shown = |keys: &str| typed_on(80, &CASE, format!("{keys}\nquit\n").as_bytes()).output;
    let answer = |keys: &str| {
        let screen = shown(keys);
        let (_, told) = screen.split_once("\nbay 0:00 > ").expect("a prompt");
        told.split("\nbay ").next().unwrap_or_default().to_owned()
    };
    let groups = answer("help");
    assert!(groups.lines().count() <= 22, "{groups}");
    let named: Vec<&str> = groups
        .lines()
        .filter(|line| line.starts_with("  ") && !line.starts_with("   "))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(
        named.contains(&"repair") && named.contains(&"instruments"),
        "{groups}"
    );
    let mut told = String::new();
    for group in named {
        let one = answer(&format!("help {group}"));
        assert!(one.lines().count() <= 22, "{group}:\n{one}");
        told.push_str(&one);
    }
    for command in COMMANDS.iter().chain(WORK) {
        let row = |line: &str| {
            line.strip_prefix("  ")
                .is_some_and(|row| row.split(' ').next() == Some(command.verb))
        };
        assert!(told.lines().any(row), "no {} in\n{told}", command.verb);
    }
    let unknown = shown("leak-serch receiver\nfrobnicate");
    assert!(
        unknown.contains(
            "`leak-serch` is not an action. Did you mean `leak-search`? `help leaks` shows"
        ),
        "{unknown}"
    );
    assert!(
        unknown.contains("`frobnicate` is not an action. `help` shows the groups"),
        "{unknown}"
    );
    assert!(!unknown.contains("Allowed:"), "{unknown}");
}

/// A first word typed where something else is asked for is taken as it would be at the prompt; one that
/// answers the question answers it.
#[test]
fn a_first_word_at_a_question_is_not_swallowed() {
    for (keys, words) in [
        // A first word alone asks in its turn, and an aside is told.
        ("clamp\nlook\nbelt", "[1] look at the belt"),
        ("clamp\nnotes", "The notebook is empty"),
        ("clamp\nhelp look", "`look` alone asks what you mean"),
        ("clamp\nmenu", "What kind of work?"),
        ("\nmenu\n1\n1\n2", "now: 900 rpm"),
        ("suspect\nnotes", "The notebook is empty"),
        ("suspect\n1\nlook\nbelt", "[1] look at the belt"),
        ("suspect\nundercharge\nlook belt", "[1] look at the belt"),
        ("conclude\nlook belt", "[1] look at the belt"),
        ("conclude\nundercharge\nlook belt", "[1] look at the belt"),
        ("conclude\nundercharge\n\nnotes", "The notebook is empty"),
        (
            "conclude\nundercharge\n\n\nlook belt",
            "[1] look at the belt",
        ),
        // A spot has the name of an action.
        ("listen\nblower", "[1] listen to the blower"),
    ] {
        let ran = typed(&CASE, format!("{keys}\nquit\n").as_bytes()).output;
        assert!(ran.contains(words), "{keys:?}: {words:?} is not in\n{ran}");
        assert!(ran.contains("You left case"), "{keys:?}\n{ran}");
    }
}
