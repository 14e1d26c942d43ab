//! What a car shows must not hang on how long the integrator's steps are: the same ten minutes in
//! steps of its own choosing, and in steps of a tenth of a second.
//!
//! No outside source: backward Euler errs in proportion to its steps (Hairer, Nørsett & Wanner,
//! Solving Ordinary Differential Equations I, II.1), so short ones stand for the equations themselves.
#![allow(clippy::unwrap_used)]

use coldtrail_checks::stand::{fluid_of, idling, vehicles, weather};
use sim_core::car::Car;
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

/// Means over the last eight of ten minutes: high and low side, Pa gauge; the centre vent's coolness
/// below the day, K; heat out of the air, W.
fn means(spec: &CarSpec, celsius: f64, most_s: f64) -> [f64; 4] {
    let day = weather(celsius, 0.5);
    let mut car = Car::soaked_with(fluid_of(spec), spec.clone(), day);
    let setup = Setup {
        doors_open: false,
        ..idling(spec)
    };
    let mut sums = [0.0; 4];
    let mut left_s: f64 = 600.0;
    while left_s > 1e-6 {
        let now_s = most_s.min(left_s);
        left_s -= now_s;
        car.advance_watched(&setup, now_s, |car, step_s| {
            if car.state().time_s > 120.0 {
                let observed = car.observed();
                let seen = [
                    observed.high_side_pa,
                    observed.low_side_pa,
                    day.temperature_k - car.state().vents_k[1],
                    car.state().air_duty_w,
                ];
                for (sum, seen) in sums.iter_mut().zip(seen) {
                    *sum += step_s * seen / 480.0;
                }
            }
        })
        .unwrap();
    }
    sums
}

#[test]
fn long_steps_show_what_short_ones_show() {
    for vehicle in vehicles() {
        for celsius in [24.0, 33.0] {
            let long = means(&vehicle.spec, celsius, 600.0);
            let short = means(&vehicle.spec, celsius, 0.1);
            let apart: Vec<f64> = long.iter().zip(&short).map(|(l, s)| l / s - 1.0).collect();
            println!("{} at {celsius} °C: {apart:.4?}", vehicle.id);
            for (what, apart) in ["high side", "low side", "vent", "duty"].iter().zip(&apart) {
                assert!(
                    apart.abs() < 0.03,
                    "{} at {celsius} °C, {what}: {apart:.4}",
                    vehicle.id
                );
            }
        }
    }
}
