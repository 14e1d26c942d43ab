//! Any car, with any faults, in any weather, does what physics allows: hundreds of random ones.
//!
//! Drawn from a seed, so that a failure can be repeated from its number. What is checked holds for
//! any loop: numbers are finite, refrigerant is kept, pressures stay within what the relief valve
//! allows, temperatures within what a machine this size can reach. Effort is counted in evaluations
//! of the balances, which are the same on every machine.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{fluid_of, vehicles};
use scenarios::Vehicle;
use sim_core::car::Car;
use sim_core::faults::{Fault, KNOBS, Knob};
use sim_core::random::Draws;
use sim_core::setup::{Setup, Temperature, Weather};
use sim_core::spec::CarSpec;

const SEED: u64 = 20_260_101;
const CARS: u64 = 400;
const MINUTES: f64 = 5.0;
/// Evaluations of the balances a minute may cost at most, and on average over all the cars.
const MOST_EVALUATIONS_A_MINUTE: f64 = 2000.0;
const MEAN_EVALUATIONS_A_MINUTE: f64 = 250.0;

fn between(draws: &mut Draws, least: f64, most: f64) -> f64 {
    least + draws.uniform() * (most - least)
}

fn chance(draws: &mut Draws, of: f64) -> bool {
    draws.uniform() < of
}

fn one_of(draws: &mut Draws, count: usize) -> usize {
    ((draws.uniform() * count as f64) as usize).min(count - 1)
}

/// A vehicle with 2 to 160 % of its charge and up to three faults of any severity.
fn any_spec(draws: &mut Draws, vehicles: &[&Vehicle]) -> (CarSpec, String) {
    let vehicle = vehicles[one_of(draws, vehicles.len())];
    let mut spec = vehicle.spec.clone();
    spec.charge_share = if chance(draws, 0.4) {
        1.0
    } else {
        between(draws, 0.02, 1.6)
    };
    let mut said = format!("{}, {:.3} of its charge", vehicle.id, spec.charge_share);
    for _ in 0..one_of(draws, 4) {
        let info = &KNOBS[one_of(draws, KNOBS.len())];
        if info.knob == Knob::ChargeShare {
            continue;
        }
        let worst =
            if info.most == info.healthy || (info.least != info.healthy && chance(draws, 0.5)) {
                info.least
            } else {
                info.most
            };
        // Small severities as often as large ones.
        let severity = if chance(draws, 0.2) {
            1.0
        } else {
            draws.uniform()
        };
        Fault::one(info.knob, worst).apply(&mut spec, severity);
        said += &format!(", {} towards {worst} by {severity:.3}", info.name);
    }
    (spec, said)
}

fn any_weather(draws: &mut Draws) -> Weather {
    Weather {
        temperature_k: between(draws, -10.0, 50.0) + 273.15,
        relative_humidity: draws.uniform(),
        sun_w_per_m2: between(draws, 0.0, 1000.0),
        altitude_m: between(draws, 0.0, 3000.0),
    }
}

fn any_setup(draws: &mut Draws, spec: &CarSpec) -> Setup {
    let running = chance(draws, 0.85);
    Setup {
        engine_rev_s: if running {
            between(draws, 600.0, 6000.0) / 60.0
        } else {
            0.0
        },
        ac_on: chance(draws, 0.9),
        blower_step: one_of(draws, spec.air_box.top_step() + 1),
        recirculate: chance(draws, 0.5),
        temperature: match one_of(draws, 4) {
            0 => Temperature::Hot,
            1 => Temperature::Cabin(between(draws, 16.0, 28.0) + 273.15),
            _ => Temperature::Cold,
        },
        doors_open: chance(draws, 0.5),
        road_speed_m_s: if running && chance(draws, 0.5) {
            between(draws, 0.0, 45.0)
        } else {
            0.0
        },
        shop_fan: chance(draws, 0.2),
    }
}

/// What must hold of any car at any time.
fn check(car: &Car, accounted_kg: f64) -> Result<(), String> {
    let state = car.state();
    let refrigerant = &state.refrigerant;
    // A compressor at full speed before shut tubes overruns the relief valve for a fraction of a
    // second, to 1.3 times its pressure. The bound is ours, no source: for numbers that run away.
    let most_pa = 1.5 * car.spec().relief_pressure_pa + car.weather().pressure_pa();
    for pa in &refrigerant.pressure_pa {
        if !(1.0..most_pa).contains(pa) {
            return Err(format!("a pressure of {pa} Pa"));
        }
    }
    let temperatures = car
        .layout()
        .volumes
        .iter()
        .map(|volume| car.refrigerant_temperature_k(volume.role).unwrap());
    let air = state.air_off_k.iter().chain(&state.vents_k).copied();
    let others = [
        state.cabin.air_k,
        state.cabin.interior_k,
        state.bay.bay_k,
        state.bay.coolant_k,
        state.condenser_air_off_k,
        state.controls.evaporator_sensor_k,
    ];
    let walls = refrigerant.wall_k.iter().copied();
    for k in temperatures.chain(walls) {
        if !(170.0..620.0).contains(&k) {
            return Err(format!("refrigerant or a wall at {k} K"));
        }
    }
    for k in air.chain(others) {
        if !(200.0..400.0).contains(&k) {
            return Err(format!("air at {k} K"));
        }
    }
    if !(200.0..1200.0).contains(&state.clutch.temperature_k) {
        return Err(format!("a clutch of {} K", state.clutch.temperature_k));
    }
    for kg in &refrigerant.mass_kg {
        if !(f64::MIN_POSITIVE..2.0).contains(kg) {
            return Err(format!("a volume holds {kg} kg"));
        }
    }
    let now_kg = refrigerant.total_mass_kg() + refrigerant.lost_kg;
    let off = (now_kg / accounted_kg - 1.0).abs();
    if off.is_nan() || off > 1e-9 {
        return Err(format!("{now_kg} kg of {accounted_kg} kg"));
    }
    for humidity in state
        .air_off_humidity
        .iter()
        .chain([&state.cabin.humidity_ratio])
    {
        if !(0.0..0.2).contains(humidity) {
            return Err(format!("air with {humidity} kg of water in a kg"));
        }
    }
    Ok(())
}

#[test]
fn any_car_in_any_weather() {
    let vehicles: Vec<&Vehicle> = vehicles().collect();
    let mut total = 0.0;
    let mut worst = (0.0, String::new());
    let mut failures = Vec::new();
    for number in 0..CARS {
        let mut draws = Draws::new(SEED, number);
        let (spec, said) = any_spec(&mut draws, &vehicles);
        let weather = any_weather(&mut draws);
        let what = format!("car {number}: {said}, {weather:?}");
        let mut car = Car::soaked_with(fluid_of(&spec), spec.clone(), weather);
        if chance(&mut draws, 0.5) {
            car.warm_engine();
        }
        let accounted_kg = car.state().refrigerant.total_mass_kg();
        let mut left_s = MINUTES * 60.0;
        while left_s > 0.0 {
            let setup = any_setup(&mut draws, &spec);
            let seconds = between(&mut draws, 5.0, 120.0).min(left_s);
            left_s -= seconds;
            let mut wrong = None;
            let watched = car.advance_watched(&setup, seconds, |car, _| {
                if wrong.is_none() {
                    wrong = check(car, accounted_kg).err();
                }
            });
            let wrong = wrong.or_else(|| watched.err().map(|stalled| stalled.to_string()));
            if let Some(wrong) = wrong {
                failures.push(format!(
                    "{what}: {wrong} by {:.1} s with {setup:?}",
                    car.state().time_s
                ));
                break;
            }
        }
        let evaluations = car.effort().evaluations as f64 / MINUTES;
        total += evaluations;
        if evaluations > worst.0 {
            worst = (evaluations, what);
        }
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    assert!(worst.0 <= MOST_EVALUATIONS_A_MINUTE, "{worst:?}");
    let mean = total / CARS as f64;
    assert!(
        mean <= MEAN_EVALUATIONS_A_MINUTE,
        "{mean} evaluations a minute"
    );
    assert!(mean > 60.0, "{mean} a minute: nothing was running");
}
