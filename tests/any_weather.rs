//! Whatever a learner does to whatever car, the simulation goes on: no stall, no NaN, mass kept.
//!
//! Bounds of the conditions: -10 to 50 °C, any humidity, standing to 6000 rpm, 2 to 160 % charge,
//! sea level to 3000 m. The solver's effort is pinned by a count, which no machine changes.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{bank, fluid, vehicles};
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::random::Draws;
use sim_core::setup::{Setup, Temperature, Weather};

const CARS: u64 = 300;
/// Evaluations of all the balances for each simulated second, over all the cars.
const MOST_EVALUATIONS_PER_S: f64 = 15.0;

fn any_weather(draws: &mut Draws) -> Weather {
    Weather {
        temperature_k: 263.15 + 60.0 * draws.uniform(),
        relative_humidity: draws.uniform(),
        sun_w_per_m2: 1000.0 * draws.uniform(),
        altitude_m: 3000.0 * draws.uniform(),
    }
}

fn any_setup(draws: &mut Draws, top_step: usize) -> Setup {
    let [
        running,
        ac_on,
        recirculate,
        doors_open,
        shop_fan,
        driving,
        hot,
    ] = [0.85, 0.9, 0.5, 0.4, 0.2, 0.3, 0.1].map(|share| draws.uniform() < share);
    Setup {
        engine_rev_s: if running {
            (600.0 + 5400.0 * draws.uniform()) / 60.0
        } else {
            0.0
        },
        ac_on,
        blower_step: (draws.uniform() * (top_step + 1) as f64) as usize,
        recirculate,
        temperature: if hot {
            Temperature::Hot
        } else {
            Temperature::Cold
        },
        doors_open: doors_open && !driving,
        road_speed_m_s: if driving { 36.0 * draws.uniform() } else { 0.0 },
        shop_fan: shop_fan && !driving,
    }
}

#[test]
fn no_car_stalls() {
    let models: Vec<_> = vehicles().collect();
    let modes: Vec<_> = bank().catalogue().modes().collect();
    let (mut evaluations, mut seconds) = (0, 0.0);
    for number in 0..CARS {
        let mut draws = Draws::new(2026, number);
        let pick = |draws: &mut Draws, count: usize| (draws.uniform() * count as f64) as usize;
        let mut spec = models[pick(&mut draws, models.len())].spec.clone();
        let faults = pick(&mut draws, 3);
        let mut names = Vec::new();
        for _ in 0..faults {
            let mode = modes[pick(&mut draws, modes.len())];
            let severity = draws.uniform();
            mode.fault.apply(&mut spec, severity);
            names.push(format!("{} {severity:.2}", mode.id));
        }
        Knob::ChargeShare.turn(&mut spec, 0.02 + 1.58 * draws.uniform());
        spec.charge_share = spec.charge_share.min(1.6);
        let weather = any_weather(&mut draws);
        let mut car = Car::soaked_with(fluid(), spec, weather);
        let charge = car.state().refrigerant.total_mass_kg();
        for _ in 0..4 {
            let setup = any_setup(&mut draws, car.spec().air_box.top_step());
            let what = || format!("car {number}: {names:?}, {weather:?}, {setup:?}");
            assert_eq!(car.advance(&setup, 75.0), Ok(()), "{}", what());
            seconds += 75.0;
            let state = car.state();
            let of_loop = &state.refrigerant;
            let finite = of_loop
                .pressure_pa
                .iter()
                .chain(&of_loop.wall_k)
                .chain(&state.vents_k);
            assert!(
                finite
                    .clone()
                    .all(|value| value.is_finite() && *value > 0.0),
                "{}",
                what()
            );
            let kept = of_loop.total_mass_kg() + of_loop.lost_kg;
            assert!((kept / charge - 1.0).abs() < 1e-9, "{}", what());
        }
        evaluations += car.effort().evaluations;
    }
    let effort = evaluations as f64 / seconds;
    assert!(
        effort < MOST_EVALUATIONS_PER_S,
        "{effort} evaluations a second"
    );
    assert!(
        effort > 1.0,
        "{effort} evaluations a second: nothing was running"
    );
}
