//! A sitting: one step after the other, never back, in its time, and the same again from its journal.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::sync::LazyLock;

use coldtrail_checks::program::{ScriptFile, typed};
use coldtrail_checks::sitting::FORM;
use coldtrail_checks::tours::tours;
use runner::action::Action;
use runner::assess::{Given, Marked, Parts, Refused, Sitting, Step, Taken, Verdict};
use runner::safety::SlipKind;
use scenarios::Library;
use scenarios::form::Form;
use scenarios::units::UnitSystem;

const MINUTE_MS: i64 = 60_000;

static LIBRARY: LazyLock<Library> = LazyLock::new(|| {
    let library = Library::builtin().unwrap();
    library.with_form("short.toml", FORM).unwrap().0
});

fn form() -> &'static Form {
    LIBRARY.form("short").unwrap()
}

fn sitting() -> Sitting<'static> {
    Sitting::new(&LIBRARY, form(), (11, UnitSystem::Si), 0).unwrap()
}

fn act(words: &str) -> Step {
    Step::Act(Action::parse(words).unwrap())
}

/// The answer to the question that waits.
fn right_answer(sitting: &mut Sitting<'_>) -> Step {
    match sitting.waits().unwrap() {
        Some((_, Given::Question { dealt, .. })) => Step::Answer(dealt.right_answer()),
        other => panic!("no question waits: {other:?}"),
    }
}

/// A whole sitting, step by step.
fn whole(sitting: &mut Sitting<'_>) -> Vec<Step> {
    let mut steps: Vec<Step> = [
        "wear glasses",
        "wear gloves",
        "look sight-glass",
        "engine idle",
        "ac on",
        "blower 4",
        "wait 10 min",
        "clamp liquid-line",
        "thermometer centre-vent",
        "suspect drier-spent 60 %",
        "conclude drier-spent because 1 2",
        "engine off",
        "hand-over",
    ]
    .iter()
    .filter_map(|words| Action::parse(words).ok())
    .map(Step::Act)
    .filter(|step| sitting.take(step, MINUTE_MS).is_ok())
    .collect();
    for _ in 0..2 {
        let step = right_answer(sitting);
        sitting.take(&step, 2 * MINUTE_MS).unwrap();
        steps.push(step);
    }
    sitting.take(&Step::HandIn, 3 * MINUTE_MS).unwrap();
    steps.push(Step::HandIn);
    steps
}

#[test]
fn from_its_journal_it_is_the_same_again() {
    let mut first = sitting();
    let steps = whole(&mut first);
    assert!(steps.len() > 12, "{steps:?}");
    let mut again = sitting();
    for step in &steps {
        let (kind, words) = step.written();
        let read = Step::read(kind, &words).unwrap().unwrap();
        assert_eq!(&read, step);
        again.take(&read, MINUTE_MS).unwrap();
    }
    let done = |sitting: &Sitting<'_>| -> Vec<String> {
        let given = sitting.given().iter();
        given
            .map(|given| match given {
                Given::Case { actions, .. } => format!("{actions:?}"),
                Given::Question { dealt, answer } => format!("{} {answer:?}", dealt.text),
            })
            .collect()
    };
    assert_eq!(done(&first), done(&again));
    assert!(Step::read("graded", "").unwrap().is_none());
}

#[test]
fn nobody_goes_back_and_nothing_comes_out_of_turn() {
    let mut sitting = sitting();
    assert_eq!(
        sitting.take(&Step::Answer("a".to_owned()), 0),
        Err(Refused::CarWaits)
    );
    assert_eq!(sitting.take(&act("hint"), 0), Err(Refused::NoHints));
    sitting.take(&act("engine idle"), 0).unwrap();
    assert_eq!(sitting.take(&Step::Leave, 0), Ok(Taken::Left));
    assert_eq!(
        sitting.take(&act("engine off"), 0),
        Err(Refused::QuestionWaits)
    );
    let refused = sitting.take(&Step::Answer("what?".to_owned()), 0);
    assert!(
        matches!(refused, Err(Refused::NotAnAnswer(_))),
        "{refused:?}"
    );
    sitting.take(&Step::Leave, 0).unwrap();
    let step = right_answer(&mut sitting);
    sitting.take(&step, 0).unwrap();
    assert!(sitting.waits().unwrap().is_none());
    sitting.take(&Step::HandIn, 0).unwrap();
    assert_eq!(sitting.take(&act("engine off"), 0), Err(Refused::HandedIn));
}

#[test]
fn time_on_the_wall_and_on_the_shop_clock_runs_out() {
    let mut late = sitting();
    late.take(&act("engine idle"), 60 * MINUTE_MS).unwrap();
    let over = late.take(&act("ac on"), 60 * MINUTE_MS + 1);
    assert_eq!(over, Err(Refused::WallTimeOver));
    // A clock that is set back gives no time.
    late.take(&act("ac on"), 60 * MINUTE_MS).unwrap();
    assert_eq!(late.left_ms(5 * MINUTE_MS), 0);
    late.take(&Step::HandIn, 61 * MINUTE_MS).unwrap();

    let mut slow = sitting();
    slow.take(&act("look sight-glass"), 0).ok();
    slow.take(&act("look clutch-hub"), 0).unwrap();
    slow.take(&act("wait 55 min"), 0).unwrap();
    assert_eq!(
        slow.take(&act("ac on"), 0),
        Err(Refused::ShopTimeOver {
            is_concluded: false
        })
    );
    // What leaves a car safe is nobody's loss of time.
    slow.take(&act("ac off"), 0).unwrap();
    slow.take(&act("engine off"), 0).unwrap();
    slow.take(&act("suspect drier-spent 50 %"), 0).unwrap();
    slow.take(&act("conclude drier-spent because 1"), 0)
        .unwrap();
    assert_eq!(
        slow.take(&act("remove drier"), 0),
        Err(Refused::ShopTimeOver { is_concluded: true })
    );
    slow.take(&act("hand-over"), 0).unwrap();
    assert_eq!(slow.at(), 2);
}

#[test]
fn marks_and_verdict_follow_from_what_was_done_alone() {
    let mut done = sitting();
    whole(&mut done);
    let mark = |sitting: &Sitting<'_>| -> Vec<Marked> {
        let given = sitting.given().iter();
        given
            .map(|given| Marked::of(&LIBRARY.bank, given, tours(), &()).unwrap())
            .collect()
    };
    let marked = mark(&done);
    assert_eq!(marked, mark(&done));
    let Parts::Case {
        shares,
        repair,
        slips,
        shop_s,
        ..
    } = &marked[0].parts
    else {
        panic!("{:?}", marked[0]);
    };
    // Nothing was repaired, though no refrigerant was let out either: next to nothing of that half.
    assert!(repair.is_some_and(|share| share < 0.1), "{repair:?}");
    assert!(marked[0].mark <= 55.0 && *shop_s > 600.0, "{:?}", marked[0]);
    assert!(shares[0] > 0.0, "the mode was named: {shares:?}");
    assert!(slips.is_empty(), "{slips:?}");
    assert!(marked[1..].iter().all(|one| one.right && one.mark > 99.0));
    let verdict = Verdict::of(form(), done.tasks(), &marked);
    let expected = (marked[0].mark + 0.5 * 100.0 + 0.5 * 100.0) / 2.0;
    assert!((verdict.mark - expected).abs() < 1e-9);

    // Unsafe work after the conclusion shuts the gate, though no repair came of it.
    let mut unsafe_after = sitting();
    for words in [
        "look clutch-hub",
        "conclude drier-spent because 1",
        "evacuate on",
    ] {
        unsafe_after.take(&act(words), 0).unwrap();
    }
    let marked = mark(&unsafe_after);
    let verdict = Verdict::of(form(), unsafe_after.tasks(), &marked);
    assert_eq!(verdict.gate.grave, [SlipKind::PumpedToTheAir]);
    assert!(!verdict.gate.passed);

    // Nothing done at all is nothing earned.
    let empty = mark(&sitting());
    assert!(
        empty.iter().all(|one| one.mark == 0.0 && !one.right),
        "{empty:?}"
    );
}

#[test]
fn practice_earns_no_verdict_and_gives_nothing_away_before_its_end() {
    let file = ScriptFile::ending(FORM, "toml");
    let keys = "wear glasses\nengine idle\nlook sight-glass\nquit\n";
    let left = typed(&["assess", file.path(), "--seed", "11"], keys.as_bytes());
    assert_eq!((left.code, left.errors.as_str()), (0, ""));
    for words in [
        "This is practice",
        "Task 1 of 3: a car",
        "WORK ORDER",
        "You left.",
    ] {
        assert!(left.output.contains(words), "{words}: {}", left.output);
    }
    for secret in [
        "freezes-on-long-trips",
        "drier-spent",
        "moisture",
        "spent desiccant",
    ] {
        assert!(!left.output.contains(secret), "{secret}: {}", left.output);
    }
}

#[test]
fn a_form_that_cannot_be_sat_is_said_in_a_sentence() {
    let said = |arguments: &[&str]| typed(arguments, b"");
    let unknown = said(&["assess", "first-week"]);
    assert_eq!(unknown.code, 1);
    assert!(
        unknown.errors.contains("did you mean `first-weeks`?"),
        "{}",
        unknown.errors
    );
    let gone = said(&["assess", "no/such/form.toml"]);
    assert!(gone.errors.contains("cannot be read"), "{}", gone.errors);
    let file = ScriptFile::ending(&FORM.replace("long-trips", "long-tripz"), "toml");
    let wrong = said(&["assess", file.path()]);
    assert!(
        wrong
            .errors
            .contains("did you mean `freezes-on-long-trips`?"),
        "{}",
        wrong.errors
    );
    let listed = said(&["assess"]);
    assert!(
        listed.output.contains("before-you-touch-refrigerant"),
        "{}",
        listed.output
    );
}
