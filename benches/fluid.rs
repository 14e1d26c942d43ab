//! Refrigerant states: the fast table against the equation it was made from.
#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make undocumented items; a bench may stop where it stands"
)]

use criterion::{Criterion, criterion_group, criterion_main};
use sim_core::fluid::{Fast, Fluid, Input};
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

fn states(criterion: &mut Criterion, fluid: &Fluid) {
    let points = points();
    for (pressure_pa, enthalpy) in &points {
        let exact = fluid
            .equation()
            .state(Input::Pressure(*pressure_pa), Input::Enthalpy(*enthalpy))
            .expect("a state");
        let fast = fluid.ph(*pressure_pa, *enthalpy);
        assert!((fast.temperature_k - exact.temperature_k).abs() < 2e-3);
        assert!((fast.density_kg_per_m3 / exact.density_kg_per_m3 - 1.0).abs() < 5e-5);
    }
    let mut group = criterion.benchmark_group(format!("1024 states of {}", fluid.name()));
    group.bench_function("fast table, at random", |bencher| {
        bencher.iter(|| {
            points
                .iter()
                .map(|(p, h)| used(&fluid.ph(*p, *h)))
                .sum::<f64>()
        });
    });
    group.bench_function("fast table, one pressure", |bencher| {
        let saturation = fluid.saturation(12e5);
        bencher.iter(|| {
            points
                .iter()
                .map(|(_, h)| used(&fluid.ph_with(&saturation, *h)))
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
}

/// A number that every output depends on, so that the compiler leaves none out.
fn used(state: &Fast) -> f64 {
    state.temperature_k
        + state.density_kg_per_m3
        + state.entropy_j_per_kg_k
        + state.quality
        + state.temperature_dp
        + state.temperature_dh
        + state.density_dp
        + state.density_dh
}

fn fluids(criterion: &mut Criterion) {
    for make in [Fluid::r134a, Fluid::r1234yf] {
        let fluid = make();
        states(criterion, &fluid);
        let name = format!("table of {} built", fluid.name());
        criterion.bench_function(&name, |bencher| bencher.iter(make));
    }
}

criterion_group!(benches, fluids);
criterion_main!(benches);
