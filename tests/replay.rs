//! An attempt is its case, its seed and its list of actions: the list gives everything again.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::sync::LazyLock;

use coldtrail_checks::program::{play, script_of};
use coldtrail_checks::stand::bank;
use runner::action::Action;
use runner::bay::Bay;
use scenarios::Case;

const SCRIPT: &str = "wear glasses\nwear gloves\ngauges connect\ngauges open\nengine idle\nac on\n\
    blower 4\nair recirculate\nwait 3 min\ngauges read\nclamp liquid-line\nlook clutch-hub\n\
    hygrometer cabin\nsuspect undercharge 35 %\nengine off\ngauges close\ngauges disconnect\n\
    conclude undercharge because 1 2 3\n";

fn json(script: &str, seed: &str) -> serde_json::Value {
    let ran = play(
        script,
        &["every-summer", "--seed", seed, "--format", "json"],
    );
    serde_json::from_str(&ran.output).expect("JSON")
}

/// What the script gives on the ninth car, for all tests.
static NINTH: LazyLock<serde_json::Value> = LazyLock::new(|| json(SCRIPT, "9"));

#[test]
fn the_same_list_gives_the_same_bytes() {
    let arguments = ["every-summer", "--seed", "9", "--format", "json"];
    let first = play(SCRIPT, &arguments);
    assert_eq!(first, play(SCRIPT, &arguments));
    // The actions as the result tells them, played as a script, give the result again.
    let again = play(&script_of(&first.output), &arguments);
    assert_eq!(again.output, first.output);
}

#[test]
fn another_seed_is_another_car_and_other_readings() {
    let (one, other) = (&*NINTH, json(SCRIPT, "10"));
    assert_ne!(one["readings"], other["readings"]);
}

#[test]
fn what_is_not_taken_leaves_no_trace() {
    let bad = "frobnicate\nclamp drier-inlet\nblower 9\nmeter coil-ohms\nwait 5\n\
        conclude no-such-fault\nconclude undercharge because 99\n";
    // Into the middle, where the engine runs: a clamp this car has no place for, a step the blower
    // lacks, a measurement the running engine forbids, a missing unit, and names that are not known.
    let with_bad = SCRIPT.replace("look clutch-hub\n", &format!("{bad}look clutch-hub\n"));
    let (good, spoilt) = (&*NINTH, json(&with_bad, "9"));
    for field in [
        "actions", "clock_s", "readings", "mark", "evidence", "rivals",
    ] {
        assert_eq!(good[field], spoilt[field], "{field}");
    }
    assert_eq!(
        spoilt["lines_not_taken"].as_array().unwrap().len(),
        bad.lines().count()
    );
}

#[test]
fn a_reading_follows_its_action_and_not_the_readings_before_it() {
    let case = Case::deal(bank(), "school-run", 4).unwrap();
    let read = |before: &str| {
        let mut bay = Bay::new(bank(), &case).unwrap();
        for words in ["wait 60 s", before, "scan pressure"] {
            bay.act(&Action::parse(words).unwrap()).unwrap();
        }
        bay.notes().last().unwrap().reading
    };
    // A check that takes as long as a wait, on a car at rest: the next reading errs alike.
    assert_eq!(read("wait 30 s"), read("hygrometer outside"));
}

#[test]
fn every_action_takes_time() {
    let case = Case::deal(bank(), "school-run", 4).unwrap();
    let mut bay = Bay::new(bank(), &case).unwrap();
    for words in SCRIPT.lines() {
        let before = bay.clock_s();
        bay.act(&Action::parse(words).unwrap()).unwrap();
        assert!(bay.clock_s() >= before + 4.9, "`{words}` took no time");
    }
}
