//! A candidate whose report is told, and one of whom there is more to tell than fits.

use runner::figures::calibration::{BINS, curve};
use runner::figures::report::Verdict;
use runner::figures::report::candidate::{Candidate, CompetencyLine, SafetyLine, TaskLine};
use runner::figures::report::trace::{Trace, TracePoint};
use runner::figures::rows::Confidence;
use runner::figures::standard::Standing;

/// A name that would do things where it is not taken for a name.
pub const ODD: &str = "<script>alert('&')</script> \u{202e}\u{7}李雷 O'Neil \"the hand\"";

/// Somebody who has not passed.
#[must_use]
pub fn candidate() -> Candidate {
    let stated: Vec<Confidence> = (0..20)
        .map(|index| Confidence {
            stated: 0.9,
            is_so: index % 2 == 0,
        })
        .collect();
    Candidate {
        name: ODD.to_owned(),
        form: "Autumn & winter".to_owned(),
        sitting: "s-17".to_owned(),
        date: "21 November 2026".to_owned(),
        verdict: Some(Verdict {
            passes: false,
            reasons: vec!["grave slips: 1".to_owned()],
        }),
        mark: 63.4,
        standing: Some(Standing::of(63.4, 4.0, 60.0, 3.0)),
        tasks: vec![
            TaskLine {
                task: 1,
                title: "Warm in town, cold on the road".to_owned(),
                answer: "condenser-fan-dead".to_owned(),
                right: true,
                was: None,
                mark: 71.0,
                wall_ms: 1_500_000,
            },
            TaskLine {
                task: 2,
                title: "Which colour is the high side?".to_owned(),
                answer: String::new(),
                right: false,
                was: None,
                mark: 0.0,
                wall_ms: 20_000,
            },
        ],
        competencies: vec![
            CompetencyLine {
                name: "look and listen".to_owned(),
                mark: 82.0,
                tasks: 3,
                needed: Some(60.0),
            },
            CompetencyLine {
                name: "the compressor's circuit with a meter".to_owned(),
                mark: 41.0,
                tasks: 1,
                needed: Some(50.0),
            },
        ],
        safety: vec![
            SafetyLine {
                task: 1,
                at_s: 75.0,
                words: "Gloves were not worn.".to_owned(),
                grave: false,
            },
            SafetyLine {
                task: 1,
                at_s: 600.0,
                words: "Refrigerant was let into the air.".to_owned(),
                grave: true,
            },
        ],
        traces: vec![Trace {
            title: "Warm in town, cold on the road".to_owned(),
            points: vec![
                point(60.0, 0.10, 0.40, None),
                point(300.0, 0.50, 0.50, Some((0.7, false))),
                point(600.0, 0.95, 0.95, Some((0.9, true))),
            ],
        }],
        calibration: curve(&stated, BINS),
        next: Some("the compressor's circuit with a meter".to_owned()),
        notice: "Graded by version 0.1.0.".to_owned(),
    }
}

fn point(at_s: f64, of_truth: f64, likeliest: f64, stated: Option<(f64, bool)>) -> TracePoint {
    TracePoint {
        at_s,
        of_truth,
        likeliest,
        stated,
    }
}

/// As much as there may ever be to tell of somebody, in words as wide as they get.
#[must_use]
pub fn long() -> Candidate {
    let mut long = candidate();
    let words = "word ".repeat(200);
    long.tasks = vec![
        TaskLine {
            title: words.clone(),
            answer: words.clone(),
            was: Some(words.clone()),
            ..long.tasks[0].clone()
        };
        100
    ];
    long.safety = vec![long.safety[0].clone(); 40];
    long.safety.push(SafetyLine {
        grave: true,
        words: words.clone(),
        ..long.safety[0].clone()
    });
    long.traces = vec![long.traces[0].clone(); 9];
    long.competencies = vec![long.competencies[1].clone(); 20];
    long.competencies[0].name = "W".repeat(300);
    long.name = "W".repeat(300);
    long.notice = words.clone();
    long.next = Some(words.clone());
    long.verdict.as_mut().unwrap().reasons = vec![words.clone(); 9];
    long
}
