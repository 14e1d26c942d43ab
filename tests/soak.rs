//! A standing car: one temperature, one pressure (checks of a loop at rest).
//!
//! Sources: saturation pressures by CoolProp 8.0.0 (Tillner-Roth & Baehr 1994; Lemmon & Akasaka 2022); below the
//! mass that fills the loop with vapour, superheated-gas values of CoolProp 8.0.0 for a 2.5 L loop
//! at 25 °C. Air pressure at height: ASHRAE standard atmosphere.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{fluid_of, idling, run, vehicles, warm_car, weather};
use sim_core::car::Car;
use sim_core::instruments::{Check, Truth, Watch, truth};
use sim_core::loop_model::layout::Layout;
use sim_core::setup::{Setup, Weather};
use sim_core::spec::CarSpec;

/// Temperature, °C, and saturation pressure, Pa absolute: CoolProp 8.0.0, PropsSI("P","T",T,"Q",1,"R134a").
const OF_R134A: [(f64, f64); 3] = [(10.0, 414_607.0), (25.0, 665_380.0), (40.0, 1_016_593.0)];
/// The same of "R1234yf" (Lemmon & Akasaka 2022).
const OF_R1234YF: [(f64, f64); 3] = [(10.0, 437_631.0), (25.0, 682_697.0), (40.0, 1_018_473.0)];
/// Pounds per square inch, Pa.
const PSI: f64 = 6894.757;

fn saturation_of(spec: &CarSpec) -> [(f64, f64); 3] {
    match spec.refrigerant.as_str() {
        "R-134a" => OF_R134A,
        "R-1234yf" => OF_R1234YF,
        other => panic!("no saturation pressures of {other} here"),
    }
}

fn gauge_pa(car: &Car, check: Check) -> f64 {
    match truth(car, check, Watch::default()) {
        Ok(Truth::Number(value)) => value,
        other => panic!("{other:?}"),
    }
}

fn both_gauges(car: &Car) -> [f64; 2] {
    [
        gauge_pa(car, Check::LowGauge),
        gauge_pa(car, Check::HighGauge),
    ]
}

fn soaked(spec: &CarSpec, charge_kg: f64, weather: Weather) -> Car {
    let mut spec = spec.clone();
    spec.charge_share = charge_kg / spec.label_charge_kg;
    let mut car = Car::soaked_with(fluid_of(&spec), spec, weather);
    // An hour of standing changes nothing that is already at rest.
    run(&mut car, &Setup::parked(), 3600.0);
    car
}

#[test]
fn both_gauges_show_saturation_whatever_the_charge() {
    for vehicle in vehicles() {
        let volume_m3 = Layout::of(&vehicle.spec).total_volume_m3();
        for (celsius, saturated_pa) in saturation_of(&vehicle.spec) {
            let day = weather(celsius, 0.5);
            let fluid = fluid_of(&vehicle.spec);
            let vapour = fluid.saturation(saturated_pa).vapour_density_kg_per_m3;
            for charge_kg in [1.05 * vapour * volume_m3, 0.3, vehicle.spec.label_charge_kg] {
                let car = soaked(&vehicle.spec, charge_kg, day);
                for gauge in both_gauges(&car) {
                    let off = gauge - (saturated_pa - day.pressure_pa());
                    assert!(
                        off.abs() < 1e3,
                        "{}, {celsius} °C, {charge_kg} kg: {off} Pa",
                        vehicle.id
                    );
                }
            }
        }
    }
}

/// The car of the example with its volumes scaled to 2.5 L.
fn two_and_a_half_litres() -> CarSpec {
    let mut spec = CarSpec::example();
    let others = Layout::of(&spec).total_volume_m3() - spec.evaporator.volume_m3;
    spec.evaporator.volume_m3 = 2.5e-3 - others;
    assert!((Layout::of(&spec).total_volume_m3() - 2.5e-3).abs() < 1e-9);
    spec
}

#[test]
fn without_liquid_the_gauges_show_a_gas() {
    let spec = two_and_a_half_litres();
    for (charge_kg, psig) in [(0.060, 60.2), (0.030, 25.2)] {
        let car = soaked(&spec, charge_kg, weather(25.0, 0.5));
        for gauge in both_gauges(&car) {
            assert!(
                (gauge / PSI - psig).abs() < 0.5,
                "{charge_kg} kg: {} psig",
                gauge / PSI
            );
        }
    }
    // From 81 g up every charge shows 81.8 psig: pressure at rest proves some liquid, no more.
    for charge_kg in [0.083, 0.2, 0.6] {
        let car = soaked(&spec, charge_kg, weather(25.0, 0.5));
        for gauge in both_gauges(&car) {
            assert!(
                (gauge / PSI - 81.8).abs() < 0.2,
                "{charge_kg} kg: {} psig",
                gauge / PSI
            );
        }
    }
}

/// The same pressures found by the model's own balances: the car has run, and stands for a day and a
/// half until engine and core have the day's temperature.
#[test]
fn a_car_that_ran_comes_back_to_the_pressure_of_its_charge() {
    let stood = |spec: &CarSpec, charge_kg: f64, weather: Weather| {
        let mut spec = spec.clone();
        spec.charge_share = charge_kg / spec.label_charge_kg;
        let mut car = warm_car(&spec, weather);
        run(&mut car, &idling(&spec), 300.0);
        // With the doors open nobody's warmth stays in the cabin.
        let parked = Setup {
            doors_open: true,
            ..Setup::parked()
        };
        run(&mut car, &parked, 36.0 * 3600.0);
        both_gauges(&car)
    };
    for vehicle in vehicles() {
        for (celsius, saturated_pa) in saturation_of(&vehicle.spec) {
            let day = weather(celsius, 0.5);
            for share in [0.4, 1.0, 1.4] {
                let charge_kg = share * vehicle.spec.label_charge_kg;
                for gauge in stood(&vehicle.spec, charge_kg, day) {
                    let off = gauge - (saturated_pa - day.pressure_pa());
                    assert!(
                        off.abs() < 1e3,
                        "{}, {celsius} °C, {charge_kg} kg: {off} Pa",
                        vehicle.id
                    );
                }
            }
        }
    }
    for (charge_kg, psig) in [(0.030, 25.2), (0.060, 60.2), (0.083, 81.8)] {
        for gauge in stood(&two_and_a_half_litres(), charge_kg, weather(25.0, 0.5)) {
            assert!(
                (gauge / PSI - psig).abs() < 0.5,
                "{charge_kg} kg: {} psig",
                gauge / PSI
            );
        }
    }
}

#[test]
fn height_shifts_the_gauges_by_what_the_air_lacks() {
    for vehicle in vehicles() {
        let sea = soaked(&vehicle.spec, 0.4, weather(25.0, 0.5));
        let high = Weather {
            altitude_m: 1500.0,
            ..weather(25.0, 0.5)
        };
        let mountain = soaked(&vehicle.spec, 0.4, high);
        for (low, high) in both_gauges(&sea).into_iter().zip(both_gauges(&mountain)) {
            assert!(
                (high - low - 16.8e3).abs() < 0.1e3,
                "{}: {}",
                vehicle.id,
                high - low
            );
        }
    }
}

/// Makers' pages: both gauges come together within minutes after a stop (common practice, no
/// source). The liquid passes the valve within minutes; the rest is the cold evaporator warming up
/// behind the dash, which takes half an hour.
#[test]
fn pressures_come_together_after_a_stop() {
    for vehicle in vehicles() {
        let mut car = warm_car(&vehicle.spec, weather(30.0, 0.5));
        run(&mut car, &idling(&vehicle.spec), 600.0);
        let apart = |car: &Car| {
            let [low, high] = both_gauges(car);
            high - low
        };
        let running = apart(&car);
        assert!(
            running > 0.8e6,
            "{}: {running} Pa apart while running",
            vehicle.id
        );
        run(&mut car, &Setup::parked(), 300.0);
        let soon = apart(&car);
        assert!(
            soon < 0.25 * running,
            "{}: {soon} Pa apart after five minutes",
            vehicle.id
        );
        run(&mut car, &Setup::parked(), 1500.0);
        let later = apart(&car);
        assert!(
            later.abs() < 30e3,
            "{}: {later} Pa apart after half an hour",
            vehicle.id
        );
    }
}
