//! Refrigerant states: the fast table against the equation it was made from.
#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make undocumented items; a bench may stop where it stands"
)]

use criterion::{Criterion, criterion_group, criterion_main};
use sim_core::fluid::{Fluid, Input};
use sim_core::random::Draws;

/// Pressures and enthalpies over the table, the same on every machine.
fn points() -> Vec<(f64, f64)> {
    let mut draws = Draws::new(1, 0);
    (0..1024)
        .map(|_| {
            let pressure_pa = 0.5e5 + 36e5 * draws.uniform();
            (pressure_pa, 180e3 + 280e3 * draws.uniform())
        })
        .collect()
}

fn states(criterion: &mut Criterion) {
    let fluid = Fluid::r134a();
    let points = points();
    for (pressure_pa, enthalpy) in &points {
        let exact = fluid
            .equation()
            .state(Input::Pressure(*pressure_pa), Input::Enthalpy(*enthalpy))
            .expect("a state");
        let fast = fluid.ph(*pressure_pa, *enthalpy);
        assert!((fast.temperature_k - exact.temperature_k).abs() < 2e-3);
    }
    let mut group = criterion.benchmark_group("1024 states of R-134a");
    group.bench_function("fast table, at random", |bencher| {
        bencher.iter(|| {
            points
                .iter()
                .map(|(p, h)| fluid.ph(*p, *h).temperature_k)
                .sum::<f64>()
        });
    });
    group.bench_function("fast table, one pressure", |bencher| {
        let saturation = fluid.saturation(12e5);
        bencher.iter(|| {
            points
                .iter()
                .map(|(_, h)| fluid.ph_with(&saturation, *h).temperature_k)
                .sum::<f64>()
        });
    });
    group.sample_size(10);
    group.bench_function("full equation", |bencher| {
        bencher.iter(|| {
            points
                .iter()
                .filter_map(|(p, h)| {
                    let state = fluid
                        .equation()
                        .state(Input::Pressure(*p), Input::Enthalpy(*h));
                    state.ok().map(|state| state.temperature_k)
                })
                .sum::<f64>()
        });
    });
    group.finish();
    criterion.bench_function("table of R-134a built", |bencher| {
        bencher.iter(Fluid::r134a)
    });
}

criterion_group!(fluids, states);
criterion_main!(fluids);
