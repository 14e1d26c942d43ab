//! A scripted session with its grade, start-up included.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]

use coldtrail_checks::{golden, program};
use criterion::{Criterion, criterion_group, criterion_main};

fn session(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("20-minute session, graded");
    group.sample_size(10);
    let script = golden::text("benches/session.script");
    for case in ["school-run", "since-the-radio", "quarter-of-an-hour"] {
        group.bench_function(case, |bencher| {
            bencher.iter(|| {
                let ran = program::play(&script, &[case, "--seed", "3"]);
                assert_eq!(ran.code, 0, "{}", ran.output);
                assert!(
                    ran.output.contains("of 100, in "),
                    "twenty minutes and more"
                );
                ran.output.len()
            });
        });
    }
    group.finish();
}

criterion_group!(sessions, session);
criterion_main!(sessions);
