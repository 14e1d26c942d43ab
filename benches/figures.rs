//! A class report and its tasks' figures over 100,000 results, on one core. Issue 7 allows a second.
#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make undocumented items; a bench may stop where it stands"
)]

use std::collections::BTreeMap;

use coldtrail_checks::results::result;
use criterion::{Criterion, criterion_group, criterion_main};
use runner::figures::item::items;
use runner::figures::report::class::{FormFacts, class};
use runner::figures::report::tasks;
use runner::figures::rows::{Sittings, TaskResult};

const PEOPLE: usize = 5_000;
const TASKS: u32 = 20;

/// Marks that hang on the person, the task and neither, each slot with five versions.
fn results() -> Vec<TaskResult> {
    let mut rows = Vec::with_capacity(PEOPLE * TASKS as usize);
    for person in 0..PEOPLE {
        for task in 1..=TASKS {
            let number = task as usize;
            let luck = (person * 31 + number * 17) * 7919 % 35;
            let mark = (person % 47 + number + luck) as f64;
            let mut row = result(person, task, mark);
            row.item = format!("item-{task:03}-{}", (person + number) % 5);
            row.competencies = vec![format!("competency-{}", task % 7)];
            rows.push(row);
        }
    }
    rows
}

fn figures(criterion: &mut Criterion) {
    let rows = results();
    assert_eq!(rows.len(), 100_000);
    let report = || {
        let sittings = Sittings::of(&rows).expect("good results");
        let form = FormFacts {
            title: "A large class".to_owned(),
            cut: 50.0,
            cut_error: 1.0,
            weights: BTreeMap::new(),
            sat_otherwise: 0,
            competencies: BTreeMap::new(),
        };
        let class = class(form, &sittings, &BTreeMap::new(), &BTreeMap::new());
        let items = items(&sittings.first_of_each());
        assert_eq!((class.rows.len(), items.len()), (PEOPLE, 100));
        assert!(class.reliability.is_ok() && class.decision.is_some());
        (class.text(), class.html(), tasks::text(&items))
    };
    let mut group = criterion.benchmark_group("100,000 results");
    group.sample_size(10);
    group.bench_function("class and tasks, as text and pages", |bencher| {
        bencher.iter(report);
    });
    group.finish();
}

criterion_group!(benches, figures);
criterion_main!(benches);
