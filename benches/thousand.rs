//! A thousand cars with faults, ten simulated minutes each from cold, on two threads.
//!
//! Besides the time of all it prints that of the slowest car against the median, each run alone.
#![allow(
    missing_docs,
    clippy::expect_used,
    clippy::panic,
    reason = "criterion's macros make undocumented items; a bench may stop where it stands"
)]

use std::time::Instant;

use coldtrail_checks::fleet::{Member, fleet};
use criterion::{BatchSize, Criterion, criterion_group, criterion_main};

/// Runs one car; it has to converge.
fn run(member: &mut Member) {
    if let Err(stalled) = member.car.advance(&member.setup, 600.0) {
        panic!("{}: {stalled}", member.what);
    }
}

/// Runs all the cars on two threads that take every other one, so that both have as much to do.
fn run_all(mut members: Vec<Member>) -> Vec<Member> {
    std::thread::scope(|scope| {
        let (mut even, mut odd): (Vec<_>, Vec<_>) = members
            .iter_mut()
            .enumerate()
            .partition(|(index, _)| index % 2 == 0);
        scope.spawn(move || even.iter_mut().for_each(|(_, member)| run(member)));
        odd.iter_mut().for_each(|(_, member)| run(member));
    });
    members
}

fn thousand(criterion: &mut Criterion) {
    let cars = fleet();
    let mut seconds: Vec<f64> = cars
        .iter()
        .map(|member| {
            // The least of three: what else the machine did is not the car's.
            let tries = (0..3).map(|_| {
                let mut member = member.clone();
                let start = Instant::now();
                run(&mut member);
                start.elapsed().as_secs_f64()
            });
            tries.fold(f64::INFINITY, f64::min)
        })
        .collect();
    seconds.sort_by(f64::total_cmp);
    let (median, slowest) = (seconds[cars.len() / 2], seconds[cars.len() - 1]);
    println!(
        "alone, each the least of three: all {:.2} s, median {:.2} ms, slowest {:.2} ms, {:.1} times the median",
        seconds.iter().sum::<f64>(),
        1e3 * median,
        1e3 * slowest,
        slowest / median,
    );
    let mut group = criterion.benchmark_group("1,000 cars");
    group.sample_size(10);
    group.bench_function("600 s each, two threads", |bencher| {
        bencher.iter_batched(|| cars.clone(), run_all, BatchSize::PerIteration);
    });
    group.finish();
}

criterion_group!(fleets, thousand);
criterion_main!(fleets);
