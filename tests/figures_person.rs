//! Figures about one person: memory and progress against published libraries
//! (`reference/figures_memory.csv`: Python's fsrs 6.3.2 and SciPy 1.16.3), and what to practise next.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;

use coldtrail_checks::results::result;
use proptest::prelude::*;
use runner::figures::memory::{Memory, Recall};
use runner::figures::next::{Subject, next};
use runner::figures::progress::{Change, progress};
use runner::figures::rows::TaskResult;

const DAY_S: i64 = 86_400;
const START_S: i64 = 1_767_603_600;

fn lines(what: &str) -> Vec<Vec<f64>> {
    let table = include_str!("reference/figures_memory.csv");
    let found: Vec<Vec<f64>> = table
        .lines()
        .filter_map(|line| line.strip_prefix(what)?.strip_prefix(','))
        .map(|line| {
            let cells = line.split(',').filter(|cell| !cell.is_empty());
            cells.map(|cell| cell.parse().unwrap()).collect()
        })
        .collect();
    assert!(!found.is_empty(), "nothing about {what}");
    found
}

fn recall(number: f64) -> Recall {
    match number as u32 {
        1 => Recall::Again,
        2 => Recall::Hard,
        3 => Recall::Good,
        4 => Recall::Easy,
        other => panic!("{other}"),
    }
}

#[test]
fn a_memory_fades_and_holds_as_published() {
    let mut memories: BTreeMap<u32, Memory> = BTreeMap::new();
    for line in lines("memory") {
        let [person, days, how, stability, difficulty, known] = line[..] else {
            panic!("{line:?}");
        };
        let at = START_S + (days * DAY_S as f64).round() as i64;
        let memory = match memories.get(&(person as u32)) {
            Some(memory) => memory.practised(recall(how), at),
            None => Memory::first(recall(how), at),
        };
        memories.insert(person as u32, memory);
        for (found, expected) in [
            (memory.stability_days, stability),
            (memory.difficulty, difficulty),
            (memory.recall(at + 7 * DAY_S), known),
        ] {
            assert!(
                (found / expected - 1.0).abs() < 1e-9,
                "{line:?}: {memory:?}"
            );
        }
    }
    assert_eq!(memories.len(), 4);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is practised well is known at once, and fades from then on; no clock breaks it.
    #[test]
    fn whatever_was_practised_fades(times in prop::collection::vec((-5..400i64, 1..=4u32), 1..12)) {
        let mut at = START_S;
        let mut memory = Memory::first(Recall::Good, at);
        for (days, how) in times {
            at += days * DAY_S;
            memory = memory.practised(recall(f64::from(how)), at);
            prop_assert!(memory.stability_days.is_finite() && memory.stability_days > 0.0);
            prop_assert!((1.0..=10.0).contains(&memory.difficulty));
            let known: Vec<f64> = (0..60).map(|day| memory.recall(memory.last_unix_s + day * DAY_S)).collect();
            prop_assert_eq!(known[0], 1.0);
            prop_assert!(known.windows(2).all(|pair| pair[0] > pair[1] && pair[1] > 0.0));
        }
    }
}

/// A result on a competency, in a sitting of its own that many days after the start.
fn practised(competency: &str, days: i64, mark: f64) -> TaskResult {
    TaskResult {
        sitting: format!("sitting-{days}-{competency}"),
        competencies: vec![competency.to_owned()],
        ended_unix_s: START_S + days * DAY_S,
        ..result(0, 1, mark)
    }
}

fn order(found: &[runner::figures::next::Practice]) -> Vec<&str> {
    found
        .iter()
        .map(|one| match &one.subject {
            Subject::Competency(id) | Subject::FailureMode(id) => id.as_str(),
        })
        .collect()
}

#[test]
fn what_is_likeliest_forgotten_comes_first() {
    let mut rows = vec![
        practised("fresh", 29, 95.0),
        practised("old", 1, 95.0),
        practised("failed", 25, 20.0),
        practised("held", 0, 80.0),
        practised("held", 5, 80.0),
        practised("held", 20, 80.0),
    ];
    rows[2].failure_modes = vec!["a-mode".to_owned()];
    let now = START_S + 30 * DAY_S;
    let found = next(&rows, now, None);
    assert_eq!(order(&found), ["failed", "a-mode", "old", "held", "fresh"]);
    assert!(found.windows(2).all(|pair| pair[0].now <= pair[1].now));
    let held = found.iter().find(|one| one.times == 3).unwrap();
    // Practised three times it holds longer than what was practised once, better and nine days earlier.
    assert!(held.memory.stability_days > 30.0, "{held:?}");
    rows.reverse();
    assert_eq!(next(&rows, now, None), found);
}

/// Needed in three months, what gains most is not what is least known today.
#[test]
fn by_a_day_what_gains_most_comes_first() {
    let rows = [
        practised("failed", 25, 20.0),
        practised("shaky", 24, 75.0),
        practised("fresh", 29, 95.0),
    ];
    let now = START_S + 30 * DAY_S;
    let by = now + 90 * DAY_S;
    let found = next(&rows, now, Some(by));
    assert!(
        found
            .windows(2)
            .all(|pair| pair[0].gain() >= pair[1].gain())
    );
    for one in &found {
        assert!(one.practised > one.left_alone, "{one:?}");
        assert!(one.left_alone < one.now, "{one:?}");
    }
    assert_eq!(order(&next(&rows, now, None))[0], "failed");
    assert_eq!(order(&found), ["shaky", "failed", "fresh"]);
    // A day that has passed is today.
    let passed = next(&rows, now, Some(now - DAY_S));
    assert!(passed.iter().all(|one| one.left_alone == one.now));
}

/// Two tasks of one sitting are practice once, with their mean mark.
#[test]
fn several_tasks_of_one_sitting_are_practice_once() {
    let one = practised("senses", 0, 40.0);
    let other = TaskResult {
        task: 2,
        mark: 80.0,
        ..one.clone()
    };
    let found = next([&one, &other], START_S + DAY_S, None);
    assert_eq!((found.len(), found[0].times), (1, 1));
    assert_eq!(found[0].last_mark, 60.0);
}

#[test]
fn progress_is_told_when_luck_does_not_explain_it() {
    let marks = [40.0, 55.0, 35.0, 60.0, 50.0, 65.0, 70.0, 60.0, 85.0, 72.0];
    let mut rows: Vec<TaskResult> = (0..)
        .zip(marks)
        .map(|(day, mark)| practised("senses", day, mark))
        .collect();
    rows.reverse();
    let found = progress(&rows);
    assert_eq!(found.len(), 1);
    let found = &found[0];
    let expected = lines("welch")[0][0];
    let errors = found.difference_in_errors.unwrap();
    assert!((errors - expected).abs() < 1e-9, "{errors} for {expected}");
    assert_eq!(found.change, Change::Better);
    assert_eq!((found.before, found.recent), (Some(48.0), 70.4));
    assert_eq!(found.steps.len(), 10);
    assert!(
        found
            .steps
            .windows(2)
            .all(|pair| pair[0].ended_unix_s < pair[1].ended_unix_s)
    );
    // The other way round it is worse; with nine results nothing is said; and the same again is luck.
    let told = |marks: &[f64]| {
        let rows: Vec<TaskResult> = (0..)
            .zip(marks)
            .map(|(day, mark)| practised("senses", day, *mark))
            .collect();
        progress(&rows)[0].change
    };
    let mut turned = marks;
    turned.reverse();
    assert_eq!(told(&turned), Change::Worse);
    assert_eq!(told(&marks[..9]), Change::TooFew);
    let again: Vec<f64> = marks[..5].iter().chain(&marks[..5]).copied().collect();
    assert_eq!(told(&again), Change::NotTold);
}
