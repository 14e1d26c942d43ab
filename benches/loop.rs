//! The loop against real time: a car settling from cold, and a car whose clutch cycles.
//!
//! Each bench simulates 600 s; 600 s over the time shown is the ratio to real time.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]

use coldtrail_checks::stand::{idling, running, vehicles, warm_car, weather};
use criterion::{Criterion, criterion_group, criterion_main};
use sim_core::setup::Setup;

fn settle(criterion: &mut Criterion) {
    for vehicle in vehicles() {
        let setup = running(&vehicle.spec, 1500.0);
        let start = warm_car(&vehicle.spec, weather(33.0, 0.5));
        criterion.bench_function(&format!("settle 600 s, {}", vehicle.id), |bencher| {
            bencher.iter(|| {
                let mut car = start.clone();
                assert_eq!(car.advance(&setup, 600.0), Ok(()));
                assert!(car.state().clutch_engagements >= 1);
                car.state().air_duty_w
            });
        });
    }
}

fn cycle(criterion: &mut Criterion) {
    for vehicle in vehicles() {
        let setup = Setup {
            doors_open: false,
            ..idling(&vehicle.spec)
        };
        let mut start = warm_car(&vehicle.spec, weather(22.0, 0.5));
        assert_eq!(start.advance(&setup, 600.0), Ok(()));
        let before = start.state().clutch_engagements;
        if before < 5 {
            // Its compressor gives less instead of stopping.
            continue;
        }
        criterion.bench_function(&format!("cycle 600 s, {}", vehicle.id), |bencher| {
            bencher.iter(|| {
                let mut car = start.clone();
                assert_eq!(car.advance(&setup, 600.0), Ok(()));
                assert!(car.state().clutch_engagements > before + 5);
                car.state().air_duty_w
            });
        });
    }
}

criterion_group!(loops, settle, cycle);
criterion_main!(loops);
