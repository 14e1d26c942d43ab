//! What is offered to eyes, ears and hands goes with what a car has, and so do the words of its faults.
//!
//! Source of the accumulator's signs: an orifice tube's system charged right leaves the accumulator as
//! cold as the pipe behind the tube, one short of refrigerant leaves it warmer (common practice, no
//! source).
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::bench::{act, finding, hot_car, refused};
use coldtrail_checks::stand::{bank, fluid_of, has_valve, run, vehicles, warm_car, weather, with};
use runner::session::Session;
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::instruments::{Check, Sense, Spot};
use sim_core::parts::storage::Place;
use sim_core::setup::Setup;

#[test]
fn the_expansion_device_and_the_bottle_are_looked_at_by_their_own_names() {
    for vehicle in vehicles() {
        let spec = &vehicle.spec;
        let (device, other) = if has_valve(spec) {
            ("expansion-valve", "orifice-tube")
        } else {
            ("orifice-tube", "expansion-valve")
        };
        let (bottle, no_bottle) = if spec.storage.place == Place::Suction {
            ("accumulator", "receiver")
        } else {
            ("receiver", "accumulator")
        };
        let mut session = Session::new(warm_car(spec, weather(25.0, 0.5)));
        for sense in ["look", "listen", "feel", "leak-search", "soap"] {
            if sense != "soap" {
                act(&mut session, &format!("{sense} {device}"));
            }
            let why = refused(&mut session, &format!("{sense} {other}"));
            assert!(why.starts_with("this car has no "), "{}: {why}", vehicle.id);
            assert!(why.contains(device), "{}: {why}", vehicle.id);
        }
        act(&mut session, &format!("look {bottle}"));
        let why = refused(&mut session, &format!("look {no_bottle}"));
        assert!(why.contains(bottle), "{}: {why}", vehicle.id);
    }
}

#[test]
fn a_hand_on_the_accumulator_tells_a_charge_that_is_short() {
    let hand = Check::Sense(Sense::Feel, Spot::Accumulator);
    let eye = Check::Sense(Sense::Look, Spot::Accumulator);
    for vehicle in vehicles().filter(|v| v.spec.storage.place == Place::Suction) {
        let right = hot_car(&vehicle.spec, 10.0);
        let short = hot_car(&with(&vehicle.spec, Knob::ChargeShare, 0.5), 10.0);
        let id = &vehicle.id;
        assert_eq!(finding(&right, hand), "alike", "{id}");
        assert_eq!(finding(&short, hand), "warmer", "{id}");
        assert!(
            ["sweating", "frosted"].contains(&finding(&right, eye)),
            "{id}"
        );
        let rest = warm_car(&vehicle.spec, weather(32.0, 0.5));
        assert_eq!(finding(&rest, eye), "dry", "{id}");
    }
}

/// A page that speaks of a receiver or a thermal valve's screen, and is of a car with an accumulator
/// too, says what happens there.
#[test]
fn a_page_for_cars_of_both_kinds_speaks_of_both() {
    let with_accumulator: Vec<_> = vehicles()
        .filter(|v| v.spec.storage.place == Place::Suction)
        .collect();
    assert!(!with_accumulator.is_empty());
    let mut spoken = 0;
    for mode in bank().catalogue().modes() {
        if !with_accumulator.iter().any(|v| mode.concerns(&v.spec)) {
            continue;
        }
        let one_kind = [
            "receiver",
            "subcool",
            "the valve's screen",
            "expansion valve",
        ];
        if one_kind.iter().any(|word| mode.effect.contains(word)) {
            assert!(mode.effect.contains("accumulator"), "{}", mode.id);
            spoken += 1;
        }
    }
    assert!(spoken >= 3, "{spoken}");
}

/// A glass shows a stream only where there is one. What stands in the line of a cold car stays; a warm
/// engine bay dries the line, once and for good.
#[test]
fn a_sight_glass_on_a_car_at_rest_shows_what_stands_in_the_line() {
    const WETTEST_FIRST: [&str; 3] = ["still-liquid", "still-level", "still-vapour"];
    let eye = Check::Sense(Sense::Look, Spot::SightGlass);
    let rank = |car: &Car| {
        let found = finding(car, eye);
        let rank = WETTEST_FIRST.iter().position(|one| *one == found);
        rank.unwrap_or_else(|| panic!("{found}"))
    };
    let mut seen = 0;
    for vehicle in vehicles().filter(|vehicle| vehicle.spec.sight_glass) {
        for charge in [1.0, 0.5, 0.02] {
            let spec = with(&vehicle.spec, Knob::ChargeShare, charge);
            let cold = Car::soaked_with(fluid_of(&spec), spec.clone(), weather(30.0, 0.5));
            let warm = warm_car(&spec, weather(30.0, 0.5));
            let mut stopped = hot_car(&spec, 10.0);
            let running = finding(&stopped, eye);
            assert!(charge < 1.0 || running == "clear", "{running}");
            run(&mut stopped, &Setup::parked(), 600.0);
            for (mut car, stays) in [(cold, true), (warm, false), (stopped, false)] {
                let mut last = rank(&car);
                assert!(charge > 0.1 || last == 2, "{} of {charge}", vehicle.id);
                for _ in 0..40 {
                    run(&mut car, &Setup::parked(), 15.0);
                    let now = rank(&car);
                    let fits = now == last || (now > last && !stays);
                    assert!(fits, "{} of {charge}: {last}, {now}", vehicle.id);
                    last = now;
                }
                seen += 1;
            }
        }
    }
    assert!(seen > 0);
}
