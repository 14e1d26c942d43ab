//! Refrigerant states: the fast table against the equation it was made from, and a steady
//! cycle by the equation. With `COLDTRAIL_POINTS` set to a folder the points go there, for
//! `compare/run.py`.
#![allow(
    missing_docs,
    clippy::expect_used,
    reason = "criterion's macros make undocumented items; a bench may stop where it stands"
)]

use criterion::{Criterion, criterion_group, criterion_main};
use sim_core::fluid::{Equation, Fast, Fluid, Input};
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
    if let Ok(folder) = std::env::var("COLDTRAIL_POINTS") {
        let lines: String = points.iter().map(|(p, h)| format!("{p},{h}\n")).collect();
        let path = std::path::Path::new(&folder).join(format!("{}.csv", fluid.name()));
        std::fs::write(path, lines).expect("a folder to write to");
    }
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

/// The coefficient of performance of a steady cycle between 5 and 55 °C with 10 K of
/// superheat, 5 K of subcooling and an isentropic efficiency of 0.65, by the equation.
fn cycle(equation: &Equation) -> f64 {
    let state = |a, b| equation.state(a, b).expect("a state of the cycle");
    let low = state(Input::Temperature(278.15), Input::Quality(1.0)).pressure_pa;
    let high = state(Input::Temperature(328.15), Input::Quality(0.0)).pressure_pa;
    let suction = state(Input::Pressure(low), Input::Temperature(288.15));
    let liquid = state(Input::Pressure(high), Input::Temperature(323.15));
    let ideal = state(
        Input::Pressure(high),
        Input::Entropy(suction.entropy_j_per_kg_k),
    );
    let work = (ideal.enthalpy_j_per_kg - suction.enthalpy_j_per_kg) / 0.65;
    let discharge = state(
        Input::Pressure(high),
        Input::Enthalpy(suction.enthalpy_j_per_kg + work),
    );
    let wet = state(
        Input::Pressure(low),
        Input::Enthalpy(liquid.enthalpy_j_per_kg),
    );
    (suction.enthalpy_j_per_kg - wet.enthalpy_j_per_kg)
        / (discharge.enthalpy_j_per_kg - suction.enthalpy_j_per_kg)
}

fn fluids(criterion: &mut Criterion) {
    let makers: [(fn() -> Fluid, f64); 2] = [
        // With the coefficient of performance by CoolProp 8.0.0.
        (Fluid::r134a, 2.838_146),
        (Fluid::r1234yf, 2.698_030),
    ];
    for (make, expected) in makers {
        let fluid = make();
        states(criterion, &fluid);
        let equation = fluid.equation();
        assert!((cycle(equation) / expected - 1.0).abs() < 1e-5);
        let name = format!("steady cycle of {}", fluid.name());
        criterion.bench_function(&name, |bencher| bencher.iter(|| cycle(equation)));
        let name = format!("table of {} built", fluid.name());
        criterion.bench_function(&name, |bencher| bencher.iter(make));
    }
}

criterion_group!(benches, fluids);
criterion_main!(benches);
