//! What eyes, ears, hands and an anemometer tell of the air side's faults, on every car.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{bank, idling, run, vehicles, warm_car, weather, with};
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::instruments::{Check, Sense, Spot, Truth, Vent, Watch, truth};
use sim_core::setup::{Setup, Temperature};
use sim_core::spec::CarSpec;

/// A warm car after some minutes.
fn after(spec: &CarSpec, celsius: f64, humidity: f64, setup: &Setup, minutes: f64) -> Car {
    let mut car = warm_car(spec, weather(celsius, humidity));
    run(&mut car, setup, minutes * 60.0);
    car
}

fn finding(car: &Car, sense: Sense, spot: Spot) -> &'static str {
    match truth(car, Check::Sense(sense, spot), Watch::default()).unwrap() {
        Truth::Finding(found) => found.key,
        Truth::Number(_) => panic!("a sense gives no number"),
    }
}

fn air_speed(car: &Car, vent: Vent) -> f64 {
    match truth(car, Check::AirSpeed(vent), Watch::default()).unwrap() {
        Truth::Number(speed) => speed,
        Truth::Finding(_) => panic!("a speed is a number"),
    }
}

/// Speeds at the vents follow the ducts: a shut one leaves its air to the others, an open joint takes
/// theirs too; and they add up to the box's air.
#[test]
fn the_anemometer_tells_which_duct() {
    let vents = [Vent::Left, Vent::Centre, Vent::Right];
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let setup = idling(&vehicle.spec);
        let at = |knob: Knob, value: f64| {
            let car = after(&with(&vehicle.spec, knob, value), 30.0, 0.5, &setup, 10.0);
            let felt = finding(&car, Sense::Feel, Spot::Vents);
            (vents.map(|vent| air_speed(&car, vent)), felt)
        };
        let (sound, felt) = at(Knob::LeftVentShut, 0.0);
        assert!(
            sound[0] == sound[1] && sound[1] == sound[2],
            "{id}: {sound:?}"
        );
        assert!(["cold", "ice-cold", "cool"].contains(&felt), "{id}: {felt}");
        let (shut, felt) = at(Knob::LeftVentShut, 0.85);
        assert!(
            shut[0] < 0.3 * sound[0] && shut[1] > 1.05 * sound[1],
            "{id}: {shut:?}"
        );
        assert_eq!((shut[1], felt), (shut[2], "left-weak"), "{id}");
        let (loose, felt) = at(Knob::RightDuctLoose, 0.9);
        assert!(
            loose[2] < 0.2 * sound[2] && loose[1] < 0.97 * sound[1],
            "{id}: {loose:?}"
        );
        assert_eq!((loose[0], felt), (loose[1], "right-weak"), "{id}");
        for (knob, where_felt) in [
            (Knob::ModeDoorToFloor, "at-the-feet"),
            (Knob::ModeDoorToScreen, "at-the-screen"),
        ] {
            let (turned, felt) = at(knob, 0.95);
            assert!(turned[1] < 0.2 * sound[1], "{id}: {turned:?}");
            assert_eq!(felt, where_felt, "{id}");
        }
    }
}

/// A burnt resistor leaves the top step as it was; the air conditioning needs air to ask for, not less
/// heat: on a silent step the core has none and the control lets the compressor go.
#[test]
fn a_burnt_blower_resistor_is_heard_step_by_step() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let burnt = with(&vehicle.spec, Knob::BlowerLowerStepsLost, 1.0);
        let top = vehicle.spec.air_box.top_step();
        for step in 1..=top {
            let setup = Setup {
                blower_step: step,
                ..idling(&burnt)
            };
            let car = after(&burnt, 30.0, 0.5, &setup, 5.0);
            let heard = finding(&car, Sense::Listen, Spot::Blower);
            if step < top {
                assert_eq!(
                    (heard, air_speed(&car, Vent::Left) < 0.4),
                    ("silent", true),
                    "{id}"
                );
            } else {
                let sound = after(&vehicle.spec, 30.0, 0.5, &setup, 5.0);
                assert_eq!(heard, "running", "{id}");
                assert_eq!(
                    air_speed(&car, Vent::Left),
                    air_speed(&sound, Vent::Left),
                    "{id}"
                );
            }
        }
    }
}

/// As its page says: where a heater valve shuts at full cold, a door that does not close is found only
/// part way to hot.
#[test]
fn a_blend_door_that_leaks_shows_where_the_core_is_hot() {
    let mode = bank().catalogue().get("blend-door-leaks").unwrap();
    assert!(
        mode.effect
            .contains("only part way to hot on a car with a heater valve")
    );
    for vehicle in vehicles() {
        let warmer_k = |temperature: Temperature| {
            let vent_k = |severity: f64| {
                let mut spec = vehicle.spec.clone();
                mode.fault.apply(&mut spec, severity);
                let setup = Setup {
                    temperature,
                    ..idling(&spec)
                };
                after(&spec, 25.0, 0.5, &setup, 10.0).state().vents_k[1]
            };
            vent_k(mode.severity.typical) - vent_k(0.0)
        };
        let (cold_k, part_way_k) = (
            warmer_k(Temperature::Cold),
            warmer_k(Temperature::Cabin(297.15)),
        );
        if vehicle.spec.air_box.heater_valve {
            assert!(cold_k.abs() < 0.5, "{}: {cold_k} K", vehicle.id);
        } else {
            assert!(cold_k > 3.0, "{}: {cold_k} K", vehicle.id);
        }
        assert!(part_way_k > 3.0, "{}: {part_way_k} K", vehicle.id);
    }
}

/// Two hoses at the bulkhead tell whether hot coolant comes through.
#[test]
fn heater_hoses_tell_of_the_valve() {
    for vehicle in vehicles() {
        let valve = vehicle.spec.air_box.heater_valve;
        let felt = |spec: &CarSpec, temperature: Temperature| {
            let setup = Setup {
                temperature,
                ..idling(spec)
            };
            finding(
                &after(spec, 25.0, 0.5, &setup, 5.0),
                Sense::Feel,
                Spot::HeaterHoses,
            )
        };
        let leaking = with(&vehicle.spec, Knob::HeaterValveLeak, 0.5);
        let cold = if valve { "one-hot" } else { "both-hot" };
        assert_eq!(
            felt(&vehicle.spec, Temperature::Cold),
            cold,
            "{}",
            vehicle.id
        );
        assert_eq!(
            felt(&vehicle.spec, Temperature::Hot),
            "both-hot",
            "{}",
            vehicle.id
        );
        assert_eq!(
            felt(&leaking, Temperature::Cold),
            "both-hot",
            "{}",
            vehicle.id
        );
    }
}

/// Fins, seals and shroud are seen.
#[test]
fn eyes_tell_fins_seals_and_shroud() {
    for (knob, value, spot, seen) in [
        (Knob::CondenserFinsBent, 0.6, Spot::CondenserFace, "bent"),
        (
            Knob::CondenserFinsLost,
            0.5,
            Spot::CondenserFace,
            "crumbling",
        ),
        (
            Knob::CondenserSealsMissing,
            0.9,
            Spot::CondenserFace,
            "unsealed",
        ),
        (
            Knob::CondenserFaceBlocked,
            0.3,
            Spot::CondenserFace,
            "dirty",
        ),
        (Knob::FanShroudMissing, 0.8, Spot::CondenserFan, "bare"),
        (Knob::FanLowStageLost, 1.0, Spot::CondenserFan, "standing"),
    ] {
        for vehicle in vehicles() {
            let spec = with(&vehicle.spec, knob, value);
            let car = after(&spec, 20.0, 0.5, &idling(&spec), 0.5);
            assert_eq!(
                finding(&car, Sense::Look, spot),
                seen,
                "{}: {knob:?}",
                vehicle.id
            );
        }
    }
}
