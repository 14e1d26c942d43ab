//! A steady state found directly: a day two kelvin warmer, and a fault five percent worse.
#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make undocumented items; a bench may stop where it stands"
)]

use coldtrail_checks::stand::{
    bank, run, running, vehicles, warm_car, weather, without_frost_cut_out,
};
use criterion::{Criterion, criterion_group, criterion_main};

fn steady(criterion: &mut Criterion) {
    let mode = bank()
        .catalogue()
        .get("condenser-face-blocked")
        .expect("in the catalogue");
    for vehicle in vehicles() {
        let spec = without_frost_cut_out(&vehicle.spec);
        let day = weather(33.0, 0.5);
        let warmer = weather(35.0, 0.5);
        let mut worse = spec.clone();
        mode.fault.apply(&mut worse, 0.05);
        let mut car = warm_car(&spec, day);
        run(&mut car, &running(&spec, 1500.0), 1800.0);
        criterion.bench_function(&format!("2 K warmer, {}", vehicle.id), |bencher| {
            bencher.iter(|| {
                let found = car
                    .steady_near(spec.clone(), warmer)
                    .expect("a steady state");
                found.state().air_duty_w
            });
        });
        criterion.bench_function(&format!("fault 5 % worse, {}", vehicle.id), |bencher| {
            bencher.iter(|| {
                let found = car.steady_near(worse.clone(), day).expect("a steady state");
                found.state().air_duty_w
            });
        });
    }
}

criterion_group!(states, steady);
criterion_main!(states);
