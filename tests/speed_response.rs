//! How a healthy car answers to engine speed.
//!
//! Directions of a fixed compressor: Alkan & Hosoz 2010, IJVD 52:160-176 (capacity rises and COP falls
//! with speed). A variable one keeps capacity about the same above some speed: Alkan & Hosoz 2010,
//! IJR 33(3):487-495; 5 % and 10 kPa stand for "about" (checks.md §10, reasoned).
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    fan_held_high, has_belt, is_fixed, mean, running, steady, vehicles_where, weather,
};
use sim_core::spec::CarSpec;

/// The fan held at one stage, hot enough that no cut-out acts.
#[test]
fn a_faster_engine_cools_more_but_not_in_proportion() {
    for vehicle in vehicles_where(is_fixed) {
        let id = &vehicle.id;
        let spec = fan_held_high(&vehicle.spec);
        let speeds = [900.0, 1500.0, 2500.0];
        let seen = speeds.map(|rpm| steady(&spec, weather(38.0, 0.5), &running(&spec, rpm)).1);
        for (pair, rpm) in seen.windows(2).zip(speeds.windows(2)) {
            let gain = pair[1].capacity_w / pair[0].capacity_w;
            assert!(
                1.0 < gain && gain < rpm[1] / rpm[0],
                "{id}: capacity times {gain}"
            );
            assert!(pair[1].cop() < pair[0].cop(), "{id}: COP");
            assert!(pair[1].low_pa < pair[0].low_pa, "{id}: low side");
            assert!(pair[1].high_pa > pair[0].high_pa, "{id}: high side");
            assert!(pair[1].discharge_c > pair[0].discharge_c, "{id}: discharge");
        }
    }
}

fn is_variable(spec: &CarSpec) -> bool {
    !is_fixed(spec)
}

fn has_plate(spec: &CarSpec) -> bool {
    is_variable(spec) && has_belt(spec)
}

/// At 25 °C the plate is at work from 1500 rpm up.
#[test]
fn a_variable_compressor_holds_capacity_and_low_side_against_speed() {
    for vehicle in vehicles_where(has_plate) {
        let id = &vehicle.id;
        let spec = fan_held_high(&vehicle.spec);
        let seen = [1500.0, 2000.0, 3000.0].map(|rpm| {
            let (_, view) = steady(&spec, weather(25.0, 0.5), &running(&spec, rpm));
            assert!(
                (0.05..0.95).contains(&view.stroke),
                "{id} at {rpm} rpm: stroke {}",
                view.stroke
            );
            view
        });
        assert!(
            seen.is_sorted_by(|slow, fast| slow.stroke > fast.stroke),
            "{id}: strokes"
        );
        for faster in &seen[1..] {
            let capacity = faster.capacity_w / seen[0].capacity_w;
            assert!(
                (0.95..=1.05).contains(&capacity),
                "{id}: capacity times {capacity}"
            );
            let low = faster.low_pa - seen[0].low_pa;
            assert!(low.abs() <= 10e3, "{id}: low side {low} Pa");
        }
    }
}

/// A motor of its own does not know how fast the engine turns: nothing changes but the heat of the bay.
#[test]
fn a_motor_turns_the_compressor_whatever_the_engine_does() {
    let mut cars = 0;
    for vehicle in vehicles_where(|spec| !has_belt(spec)) {
        let id = &vehicle.id;
        let spec = fan_held_high(&vehicle.spec);
        let seen = [850.0, 1500.0, 3000.0]
            .map(|rpm| steady(&spec, weather(35.0, 0.5), &running(&spec, rpm)).1);
        for faster in &seen[1..] {
            let capacity = faster.capacity_w / seen[0].capacity_w;
            assert!(
                (0.99..=1.01).contains(&capacity),
                "{id}: capacity times {capacity}"
            );
            let low = faster.low_pa - seen[0].low_pa;
            assert!(low.abs() <= 3e3, "{id}: low side {low} Pa");
        }
        // A mild day asks for less than a hot one.
        let mild = steady(&spec, weather(25.0, 0.5), &running(&spec, 1500.0)).1;
        assert!(
            mild.stroke < 0.8 * seen[1].stroke,
            "{id}: {} of full speed",
            mild.stroke
        );
        cars += 1;
    }
    assert!(cars > 0);
}

/// Nothing of the control swings by itself: over the last minutes the low side moves less than 5 kPa.
/// The fan is held at one stage, since its own going to and fro moves the low side too.
#[test]
fn the_control_of_a_plate_does_not_hunt() {
    for vehicle in vehicles_where(is_variable) {
        let spec = fan_held_high(&vehicle.spec);
        for celsius in [20.0, 25.0, 30.0, 35.0, 40.0] {
            for rpm in [850.0, 1500.0, 2200.0, 3000.0] {
                let seen = mean(&spec, weather(celsius, 0.5), &running(&spec, rpm));
                let (least, greatest) = seen.low_between_pa;
                assert!(
                    greatest - least < 5e3 && seen.engagements == 0,
                    "{} at {celsius} °C, {rpm} rpm: {seen:?}",
                    vehicle.id
                );
            }
        }
    }
}

/// Where the stroke is short of full, capacity suffices and the evaporator is where it is wanted.
#[test]
fn a_commanded_plate_holds_the_evaporator_at_its_target() {
    let mut held = 0;
    for vehicle in vehicles_where(|spec| spec.controls.command.is_some()) {
        let spec = fan_held_high(&vehicle.spec);
        let target_k = spec.controls.command.as_ref().unwrap().target_k;
        for celsius in [20.0, 25.0, 30.0, 35.0, 40.0] {
            for rpm in [850.0, 1500.0, 2200.0, 3000.0] {
                let (car, view) = steady(&spec, weather(celsius, 0.5), &running(&spec, rpm));
                if view.stroke > 0.98 {
                    continue;
                }
                let off = car.state().controls.evaporator_sensor_k - target_k;
                assert!(
                    off.abs() < 1.5,
                    "{} at {celsius} °C, {rpm} rpm: {off} K off, stroke {}",
                    vehicle.id,
                    view.stroke
                );
                held += 1;
            }
        }
    }
    assert!(held >= 10, "held at {held} conditions only");
}
