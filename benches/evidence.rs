//! The ideal reader: a 20-minute session with 15 readings, followed on every car that could stand there.
#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make undocumented items, and a bench that fails stops"
)]

use coldtrail_checks::{golden, stand};
use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use runner::action::Action;
use runner::bay::Bay;
use runner::evidence::follow::Follower;
use runner::evidence::layout::Spread;
use runner::evidence::plan::{Standing, worths};
use runner::evidence::reader::Tours;
use scenarios::Case;

/// A car whose clutch comes and goes for most of the session: the slowest of the bank to follow, and
/// one that runs steadily.
const CASES: [&str; 2] = ["school-run", "town-and-country"];

fn played(case: &Case) -> Bay {
    let mut bay = Bay::new(stand::bank(), case).expect("a refrigerant we know");
    for line in golden::text("benches/session.script").lines() {
        if line.starts_with("conclude") {
            break;
        }
        let action = Action::parse(line).expect("a line of the script");
        bay.act(&action).expect("an action this car allows");
    }
    assert_eq!(bay.notes().len(), 15);
    assert!(bay.clock_s() >= 20.0 * 60.0);
    bay
}

fn followed(case: &Case, bay: &Bay) -> Follower {
    let mut follower =
        Follower::new(stand::bank(), case, Spread::Healthy).expect("a refrigerant we know");
    follower.follow(bay.actions(), bay.notes(), &());
    follower
}

fn evidence(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("15 readings in 20 minutes");
    group.sample_size(10);
    for id in CASES {
        let case = Case::deal(stand::bank(), id, 3).expect("a case of the bank");
        let bay = played(&case);
        let columns: Vec<usize> = (0..bay.notes().len()).collect();
        group.bench_function(format!("{id}: belief trace from nothing"), |bencher| {
            bencher.iter(|| {
                let belief = followed(&case, &bay).weigh(&columns).belief();
                assert!((belief.probabilities.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            });
        });
        let mut follower = followed(&case, &bay);
        // What a reader does while the learner thinks: see `runner/src/cli/coach.rs`.
        while follower.catch_up(bay.actions(), bay.notes(), 64) {}
        let relied_on: Vec<usize> = vec![3, 6];
        group.bench_function(format!("{id}: belief trace when followed"), |bencher| {
            bencher.iter_batched(
                || follower.clone(),
                |mut follower| {
                    follower.take_up(&relied_on, bay.actions(), bay.notes(), &());
                    let all = follower.weigh(&columns);
                    let some = follower.weigh(&relied_on);
                    assert_eq!((all.readings(), some.readings()), (15, 2));
                },
                BatchSize::PerIteration,
            );
        });
    }
    group.finish();
}

fn tour(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("tour");
    group.sample_size(10);
    let case = Case::deal(stand::bank(), "school-run", 3).expect("a case of the bank");
    group.bench_function("school-run: made", |bencher| {
        bencher.iter(|| {
            let tour = ().tour(stand::bank(), &case, &()).expect("a tour");
            assert!(tour.offers.len() > 500);
        });
    });
    let tour = ().tour(stand::bank(), &case, &()).expect("a tour");
    let follower =
        Follower::new(stand::bank(), &case, Spread::Healthy).expect("a refrigerant we know");
    let mut weighed = follower.weigh(&[]);
    for one in &mut weighed.components {
        let fine = &follower.explanations()[one.explanation];
        one.place = fine.coarser(&one.place, &tour.explanations[one.explanation]);
    }
    let slips = stand::bank().marks().slips;
    let start = Standing {
        stop: Some(0),
        gauges_on: false,
    };
    group.bench_function("school-run: what every check is worth", |bencher| {
        bencher.iter(|| {
            let worths = worths(&tour, &weighed, &slips, start);
            assert_eq!(worths.len(), tour.offers.len(), "from the first stop");
        });
    });
    group.finish();
}

criterion_group!(readers, evidence, tour);
criterion_main!(readers);
