//! A sitting: one step after the other, never back, in its time, and the same again from its journal.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::sync::LazyLock;

use coldtrail_checks::program::{ScriptFile, typed};
use coldtrail_checks::tours::tours;
use runner::action::Action;
use runner::assess::{Given, Marked, Parts, Refused, Sitting, Step, Taken, Verdict};
use scenarios::Library;
use scenarios::form::Form;
use scenarios::units::UnitSystem;

/// A car and two questions; the day is one that other tests work on, too.
const FORM: &str = r#"
version = 1
title = "One car, two questions"
purpose = "A test."

[time]
shop = "50 min"
wall = "60 min"

[[cases]]
count = 1
from = ["freezes-on-long-trips"]
repair = true

[[questions]]
count = 2
topics = ["safety"]
weight = 0.5

[pass]
mark = 50
standard = "A test."
"#;

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
    late.take(&Step::HandIn, 61 * MINUTE_MS).unwrap();

    let mut slow = sitting();
    slow.take(&act("look sight-glass"), 0).ok();
    slow.take(&act("look clutch-hub"), 0).unwrap();
    slow.take(&act("wait 55 min"), 0).unwrap();
    assert_eq!(slow.take(&act("ac on"), 0), Err(Refused::ShopTimeOver));
    slow.take(&act("suspect drier-spent 50 %"), 0).unwrap();
    slow.take(&act("conclude drier-spent because 1"), 0)
        .unwrap();
    assert_eq!(
        slow.take(&act("remove drier"), 0),
        Err(Refused::ShopTimeOver)
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

/// A folder that is gone when the test is over.
struct Folder(std::path::PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let name = format!("coldtrail-{name}-{}", std::process::id());
        let path = std::env::temp_dir().join(name);
        let _ = std::fs::remove_dir_all(&path);
        Self(path)
    }

    fn path(&self) -> &str {
        self.0.to_str().unwrap()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn an_office_keeps_every_step_and_a_sitting_goes_on_where_it_broke_off() {
    let office = Folder::new("office");
    let file = ScriptFile::ending(FORM, "toml");
    let at = ["--records", office.path()];
    let records = |what: &[&str]| {
        let arguments: Vec<&str> = ["records"].iter().chain(what).chain(&at).copied().collect();
        typed(&arguments, b"")
    };
    let sit = |name: &str, more: &[&str], keys: &str| {
        let mut arguments = vec!["assess", file.path(), "--candidate", name];
        arguments.extend(at);
        arguments.extend(more);
        typed(&arguments, keys.as_bytes())
    };
    let none = sit("Ines Okafor", &[], "quit\n");
    assert!(
        none.errors.contains("no office in that folder"),
        "{}",
        none.errors
    );
    let new = records(&["new"]);
    assert!(new.output.contains("public key"), "{}", new.output);
    let twice = records(&["new"]);
    assert_eq!(twice.code, 1, "{}", twice.output);

    let begun = sit(
        "Ines Okafor",
        &[],
        "wear glasses\nengine idle\nlook clutch-hub\nquit\n",
    );
    assert!(
        begun.output.contains("[1] look at the clutch hub"),
        "{}",
        begun.output
    );
    assert!(
        begun.output.contains("All you did is kept"),
        "{}",
        begun.output
    );
    assert!(
        !begun.output.contains("This is practice"),
        "{}",
        begun.output
    );
    let verified = records(&["verify"]);
    assert!(
        verified.output.contains("Everything is as it was written"),
        "{}",
        verified.output
    );

    // It goes on: the notebook still has the reading, and the clock stands where it stood.
    let keys = "notes\nconclude drier-spent because 1\ngive-up\ngive-up\ngive-up\n";
    let ended = sit(" Ines Okafor ", &[], keys);
    assert!(
        ended.output.contains("1    0:40  look at the clutch hub"),
        "{}",
        ended.output
    );
    assert!(
        ended.output.contains("It goes on where it broke off"),
        "{}",
        ended.output
    );
    assert!(ended.output.contains("not passed"), "{}", ended.output);
    let over = sit("Ines Okafor", &[], "quit\n");
    assert!(
        over.errors.contains("has finished this form"),
        "{}",
        over.errors
    );
    let again = sit("Ines Okafor", &["--again"], "quit\n");
    assert!(again.output.contains("Task 1 of 3"), "{}", again.output);
    let odd = sit("Ines\u{202e}", &[], "quit\n");
    assert!(
        odd.errors.contains("characters that can be seen"),
        "{}",
        odd.errors
    );

    let listed = records(&["list"]).output;
    assert_eq!(listed.lines().count(), 2, "{listed}");
    assert!(
        listed.contains("Ines Okafor") && listed.contains("not passed"),
        "{listed}"
    );
    let ids = listed.lines().filter(|line| line.contains("not passed"));
    let id = ids.clone().next().unwrap().split(' ').next().unwrap();
    let shown = records(&["show", id]).output;
    for words in [
        "task 1: acted engine idle",
        "task 1: acted conclude drier-spent because 1",
        "Marked by",
    ] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    // The form is not built in: what is told of it needs it beside.
    let unknown = records(&["class", "short"]);
    assert!(
        unknown.errors.contains("no form is called"),
        "{}",
        unknown.errors
    );
    let unmarked = records(&["mark", id]);
    assert!(
        unmarked.errors.contains("bring it with --bundle"),
        "{}",
        unmarked.errors
    );

    let out = Folder::new("out");
    let exported = records(&["export", out.path()]);
    assert_eq!((exported.code, exported.output.lines().count()), (0, 4));
    let entries = std::fs::read_to_string(out.0.join("entries.csv")).unwrap();
    assert!(entries.contains("engine idle"), "{entries}");
    assert!(
        !entries.contains("Okafor"),
        "names stand in one file alone: {entries}"
    );

    let erased = records(&["erase", "Ines Okafor"]);
    assert!(
        erased.output.contains("2 sittings are erased"),
        "{}",
        erased.output
    );
    assert!(records(&["list"]).output.contains("Nothing has been kept"));
    let verified = records(&["verify"]);
    assert_eq!(verified.code, 0, "{}", verified.output);
}

#[test]
fn a_class_is_told_of_and_its_records_travel_to_another_office() {
    let [office, other, mine] = ["class", "district", "mine"].map(Folder::new);
    let forms = mine.0.join("forms");
    std::fs::create_dir_all(&forms).unwrap();
    std::fs::write(forms.join("short.toml"), FORM).unwrap();
    let run = |at: &Folder, what: &[&str], keys: &str| {
        let beside = ["--records", at.path(), "--bundle", mine.path()];
        let arguments: Vec<&str> = what.iter().chain(&beside).copied().collect();
        let ran = typed(&arguments, keys.as_bytes());
        assert_eq!(ran.errors, "", "{what:?}");
        ran.output
    };
    let new = run(&office, &["records", "new"], "");
    let key = new.split("public key is ").nth(1).unwrap();
    let key = key.split('.').next().unwrap().to_owned();
    run(&other, &["records", "new"], "");
    for (name, keys) in [
        (
            "Lior",
            "engine idle\nlook clutch-hub\nsuspect drier-spent 70 %\nconclude drier-spent because 1\ngive-up\ngive-up\ngive-up\n",
        ),
        ("Maren", "give-up\ngive-up\ngive-up\n"),
    ] {
        let ended = run(&office, &["assess", "short", "--candidate", name], keys);
        assert!(ended.contains("not passed"), "{ended}");
    }
    let page = office.0.join("class.html");
    let class = run(
        &office,
        &[
            "records",
            "class",
            "short",
            "--html",
            page.to_str().unwrap(),
        ],
        "",
    );
    for words in ["Lior", "Maren", "fail", "freezes-on-long"] {
        assert!(class.contains(words), "{words}: {class}");
    }
    let lines = class.lines().find(|line| line.chars().count() > 90);
    assert_eq!(lines, None);
    assert!(std::fs::read_to_string(&page).unwrap().contains("Lior"));

    let listed = run(&office, &["records", "list"], "");
    let of_lior = listed.lines().find(|line| line.contains("Lior")).unwrap();
    let id = of_lior.split(' ').next().unwrap();
    let marked = run(&office, &["records", "mark", id], "");
    assert!(marked.contains("has marked it before"), "{marked}");
    let sheets = office.0.join("lior.html");
    run(
        &office,
        &["records", "report", id, "--html", sheets.to_str().unwrap()],
        "",
    );
    let sheets = std::fs::read_to_string(sheets).unwrap();
    for words in ["Lior", "<svg", "needed", "Only on the long trips"] {
        assert!(sheets.contains(words), "{words}");
    }

    let file = office.0.join("all.bundle");
    let file = file.to_str().unwrap();
    run(&office, &["records", "bundle", file], "");
    let take = ["records", "take", file, "--from", &key];
    let first = run(&other, &take, "");
    assert!(
        first.starts_with("2 sittings") && first.contains(" 0 were here"),
        "{first}"
    );
    let second = run(&other, &take, "");
    assert!(second.contains("0 entries are new"), "{second}");
    let verified = run(&other, &["records", "verify"], "");
    assert!(
        verified.contains("Everything is as it was written"),
        "{verified}"
    );
}
