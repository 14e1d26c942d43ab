//! The coil's circuit and the control's sensors at work on a running car, found out with a meter. The
//! coil is the clutch's, or without a clutch the control valve's.
//!
//! What a meter finds follows Ohm's and Kirchhoff's laws (1827, 1845): under load the voltage is
//! lost where the resistance is, and an open takes all of it. Ranges of coil, relay and lockout
//! are those usual on cars (common practice, no source).
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    bank, has_clutch, has_evaporator_sensor, has_winding, idling, run, running, vehicles,
    vehicles_where, warm_car, weather,
};
use sim_core::car::Car;
use sim_core::instruments::{
    Check, Impossible, Part, Sense, Spot, Truth, Watch, every_check, truth,
};
use sim_core::parts::circuit::{Link, Point};
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

fn number(car: &Car, check: Check) -> f64 {
    match truth(car, check, Watch::default()) {
        Ok(Truth::Number(value)) => value,
        other => panic!("{check:?}: {other:?}"),
    }
}

fn reason(car: &Car) -> &'static str {
    match truth(car, Check::ScanReason, Watch::default()) {
        Ok(Truth::Finding(finding)) => finding.key,
        other => panic!("{other:?}"),
    }
}

fn noticed(car: &Car, sense: Sense, spot: Spot) -> &'static str {
    match truth(car, Check::Sense(sense, spot), Watch::default()) {
        Ok(Truth::Finding(finding)) => finding.key,
        other => panic!("{other:?}"),
    }
}

fn heard(car: &Car) -> &'static str {
    noticed(car, Sense::Listen, Spot::Compressor)
}

fn looked_at(car: &Car, spot: Spot) -> &'static str {
    noticed(car, Sense::Look, spot)
}

/// A car with a failure mode of the catalogue, at idle with the air conditioning on for a while.
fn idled(spec: &CarSpec, mode: &str, severity: f64, seconds: f64) -> Car {
    let mut spec = spec.clone();
    let mode = bank().catalogue().get(mode).expect(mode);
    mode.fault.apply(&mut spec, severity);
    let mut car = warm_car(&spec, weather(28.0, 0.5));
    run(&mut car, &idling(&spec), seconds);
    car
}

/// Whether the coil has the current it works by.
fn fed(car: &Car) -> bool {
    car.coil_a() > 0.0 && (car.spec().clutch.is_none() || car.state().clutch.engaged)
}

fn typical(mode: &str) -> f64 {
    bank().catalogue().get(mode).expect(mode).severity.typical
}

fn drops(car: &Car) -> [(Link, f64); Link::ALL.len()] {
    Link::ALL.map(|link| (link, number(car, Check::VoltageDrop(link))))
}

/// Every fault with a place between battery and battery: the largest drop is there, and stands out.
#[test]
fn a_voltage_drop_test_finds_the_bad_link() {
    let places = [
        ("fuse-blown", Link::Fuse),
        ("fuse-weak", Link::Fuse),
        ("fuse-holder-corroded", Link::Fuse),
        ("relay-contacts-burnt", Link::Relay),
        ("relay-stuck-open", Link::Relay),
        ("relay-coil-open", Link::Relay),
        ("clutch-wire-broken", Link::Harness),
        ("clutch-connector-burnt", Link::Plug),
        ("clutch-ground-corroded", Link::Ground),
    ];
    for vehicle in vehicles() {
        let sound = idled(&vehicle.spec, "fuse-blown", 0.0, 20.0);
        for (link, drop_v) in drops(&sound) {
            // Half a volt in all and 0.2 V a connection is what a workshop still lets pass.
            assert!(drop_v < 0.2, "{}, {link:?}: {drop_v} V", vehicle.id);
        }
        for (mode, place) in places {
            let least = bank().catalogue().get(mode).expect(mode).severity.least;
            for severity in [least, typical(mode), 1.0] {
                let car = idled(&vehicle.spec, mode, severity, 20.0);
                let mut found = drops(&car);
                // Even the largest of them carries less than this car's coil draws.
                assert_eq!(
                    car.state().fuse_whole,
                    mode != "fuse-weak",
                    "{}",
                    vehicle.id
                );
                found.sort_by(|a, b| b.1.total_cmp(&a.1));
                let [(worst, worst_v), (_, next_v), ..] = found;
                let said = format!("{}, {mode} {severity}: {found:?}", vehicle.id);
                assert_eq!(worst, place, "{said}");
                assert!(worst_v > 1.0 && worst_v > 10.0 * next_v, "{said}");
            }
        }
    }
}

/// Where a link is open a voltmeter reads the battery before it and nothing behind it.
#[test]
fn voltage_is_followed_to_the_open() {
    for vehicle in vehicles() {
        let car = idled(&vehicle.spec, "clutch-wire-broken", 1.0, 20.0);
        let battery_v = number(&car, Check::Voltage(Point::BatteryPost));
        assert!((14.0..=14.1).contains(&battery_v), "{battery_v} V");
        for (point, share) in [
            (Point::FuseOut, 1.0),
            (Point::RelayOutput, 1.0),
            (Point::PlugHarness, 0.0),
            (Point::PlugCoil, 0.0),
            (Point::CoilGround, 0.0),
        ] {
            let shown_v = number(&car, Check::Voltage(point));
            assert!(
                (shown_v - share * battery_v).abs() < 0.01,
                "{}, {point:?}: {shown_v} V",
                vehicle.id
            );
        }
        assert!(number(&car, Check::CoilCurrent) < 0.01, "{}", vehicle.id);
    }
}

/// Parts measured by themselves, engine off; a live circuit gives no resistance.
#[test]
fn resistances_are_had_from_what_is_not_live() {
    let ohms = |spec: &CarSpec, mode: &str, severity: f64, check: Check| {
        let mut car = idled(spec, mode, severity, 20.0);
        assert_eq!(truth(&car, check, Watch::default()), Err(Impossible::Live));
        run(&mut car, &Setup::parked(), 5.0);
        number(&car, check)
    };
    let fuse = Check::PartResistance(Part::Fuse);
    let relay_coil = Check::PartResistance(Part::RelayCoil);
    let contacts = Check::PartResistance(Part::RelayContacts);
    let ground = Check::PartResistance(Part::Ground);
    for vehicle in vehicles() {
        let spec = &vehicle.spec;
        assert!(ohms(spec, "fuse-blown", 0.0, fuse) < 0.1);
        assert!(ohms(spec, "fuse-blown", 1.0, fuse) > 1e5);
        assert!(ohms(spec, "fuse-weak", 1.0, fuse) > 1e5);
        // The holder stays in the car: the fuse that was in it measures sound.
        assert!(ohms(spec, "fuse-holder-corroded", 1.0, fuse) < 0.1);
        assert!((60.0..=120.0).contains(&ohms(spec, "relay-coil-open", 0.0, relay_coil)));
        assert!(ohms(spec, "relay-coil-open", 1.0, relay_coil) > 1e5);
        assert!(ohms(spec, "relay-welded", 0.0, contacts) > 1e5);
        assert!(ohms(spec, "relay-welded", 1.0, contacts) < 0.1);
        assert!(ohms(spec, "clutch-ground-corroded", 0.0, ground) < 0.1);
        assert!(ohms(spec, "clutch-ground-corroded", 1.0, ground) > 10.0);
        if !has_winding(spec) {
            // No ohmmeter tells what electronics draw.
            assert!(
                truth(
                    &warm_car(spec, weather(30.0, 0.5)),
                    Check::CoilResistance,
                    Watch::default()
                )
                .is_err()
            );
            continue;
        }
        let usual = if has_clutch(spec) {
            2.9..=6.0
        } else {
            9.0..=15.0
        };
        assert!(usual.contains(&ohms(spec, "fuse-blown", 0.0, Check::CoilResistance)));
    }
}

#[test]
fn a_welded_relay_keeps_the_clutch_in_with_the_switch_off() {
    for vehicle in vehicles_where(has_clutch) {
        let severity = typical("relay-welded");
        let mut car = idled(&vehicle.spec, "relay-welded", severity, 60.0);
        let off = Setup {
            ac_on: false,
            ..idling(&vehicle.spec)
        };
        run(&mut car, &off, 120.0);
        assert!(car.state().clutch.engaged, "{}", vehicle.id);
        assert!(car.state().compressor_rev_s > 10.0, "{}", vehicle.id);
        assert_eq!(reason(&car), "not-asked");
        let control_v = number(&car, Check::Voltage(Point::RelayControl));
        assert!(control_v > 13.0, "the control lets go: {control_v} V");
        // Even with the engine off the coil draws on the battery.
        run(&mut car, &Setup::parked(), 60.0);
        assert!(number(&car, Check::CoilCurrent) > 2.0, "{}", vehicle.id);
        let mut sound = idled(&vehicle.spec, "relay-welded", 0.0, 60.0);
        run(&mut sound, &off, 5.0);
        assert!(!sound.state().clutch.engaged, "{}", vehicle.id);
    }
}

/// Without a clutch the compressor turns whatever the circuit does; what stops is the valve's pull, and
/// the plate goes back to its least stroke. A welded relay keeps the supply on, and the control, which
/// lets no current through, still has its way.
#[test]
fn without_a_clutch_a_dead_circuit_leaves_the_least_stroke() {
    let mut cars = 0;
    for vehicle in vehicles_where(|spec| !has_clutch(spec) && has_winding(spec)) {
        cars += 1;
        let sound = idled(&vehicle.spec, "fuse-blown", 0.0, 120.0);
        assert!(sound.state().refrigerant.stroke > 0.5, "{}", vehicle.id);
        assert!(
            (0.5..1.4).contains(&number(&sound, Check::CoilCurrent)),
            "{}: {} A",
            vehicle.id,
            number(&sound, Check::CoilCurrent)
        );
        assert_eq!(heard(&sound), "steady", "{}", vehicle.id);
        assert!(truth(&sound, Check::ClutchGap, Watch::default()).is_err());
        // Nothing is called a clutch that there is none of.
        for check in every_check() {
            if check == Check::ClutchGap {
                continue;
            }
            let words = check.words_on(&vehicle.spec);
            assert!(!words.contains("clutch"), "{words}");
        }
        for mode in [
            "fuse-blown",
            "relay-stuck-open",
            "relay-coil-open",
            "clutch-wire-broken",
            "clutch-coil-open",
        ] {
            let car = idled(&vehicle.spec, mode, 1.0, 120.0);
            let said = format!("{}, {mode}", vehicle.id);
            assert!(car.state().compressor_rev_s > 10.0, "{said}");
            assert!(number(&car, Check::CoilCurrent) < 0.01, "{said}");
            let stroke = car.state().refrigerant.stroke;
            assert!(stroke < 0.12, "{said}: {stroke} of the stroke");
            assert_eq!(heard(&car), "idle", "{said}");
            assert_eq!(looked_at(&car, Spot::ClutchHub), "turning", "{said}");
            let blown = mode == "fuse-blown";
            let fuse = if blown { "blown" } else { "whole" };
            assert_eq!(looked_at(&car, Spot::Fuse), fuse, "{said}");
            assert!(
                car.state().vents_k[1] > sound.state().vents_k[1] + 5.0,
                "{said}"
            );
        }
        let mut welded = idled(&vehicle.spec, "relay-welded", 1.0, 60.0);
        let off = Setup {
            ac_on: false,
            ..idling(&vehicle.spec)
        };
        run(&mut welded, &off, 120.0);
        assert!(number(&welded, Check::Voltage(Point::RelayOutput)) > 13.0);
        assert_eq!(number(&welded, Check::CoilCurrent), 0.0);
        assert!(welded.state().refrigerant.stroke < 0.12, "{}", vehicle.id);
    }
    assert!(cars > 0);
}

/// First time at which the winding has parted while the relay feeds it, s.
fn first_parted_s(car: &mut Car, setup: &Setup, seconds: f64) -> f64 {
    let mut first_s = None;
    let watched = car.advance_watched(setup, seconds, |car, _| {
        if car.state().circuit.parted && car.state().controls.relay_closed {
            first_s = first_s.or(Some(car.state().time_s));
        }
    });
    assert_eq!(watched, Ok(()));
    first_s.expect("it opens")
}

#[test]
fn a_coil_that_opens_when_hot_cuts_out_after_minutes_and_comes_back_cool() {
    for vehicle in vehicles_where(has_winding) {
        let mode = "clutch-coil-open-hot";
        let mut car = idled(&vehicle.spec, mode, typical(mode), 1.0);
        let setup = idling(&vehicle.spec);
        let first_s = first_parted_s(&mut car, &setup, 2400.0);
        assert!(
            (120.0..=1800.0).contains(&first_s),
            "{}: {first_s} s",
            vehicle.id
        );
        // Found at the moment it is parted: full voltage at the plug, no current, an open coil.
        let mut car = idled(&vehicle.spec, mode, typical(mode), 1.0);
        run(&mut car, &setup, first_s + 5.0);
        assert!(number(&car, Check::CoilVoltage) > 13.5, "{}", vehicle.id);
        assert_eq!(number(&car, Check::CoilCurrent), 0.0, "{}", vehicle.id);
        run(&mut car, &Setup::parked(), 10.0);
        assert!(number(&car, Check::CoilResistance) > 1e5, "{}", vehicle.id);
        // After hours of standing it is whole again.
        run(&mut car, &Setup::parked(), 3.0 * 3600.0);
        assert!(number(&car, Check::CoilResistance) < 15.0, "{}", vehicle.id);
        run(&mut car, &setup, 3.0);
        assert!(fed(&car), "{}", vehicle.id);
    }
}

#[test]
fn a_loose_plug_comes_and_goes_with_engine_speed() {
    for vehicle in vehicles() {
        let mode = "clutch-connector-loose";
        let mut car = idled(&vehicle.spec, mode, typical(mode), 30.0);
        for _ in 0..2 {
            run(&mut car, &running(&vehicle.spec, 3500.0), 20.0);
            assert!(!fed(&car), "{}", vehicle.id);
            let plug_v = number(&car, Check::VoltageDrop(Link::Plug));
            assert!(plug_v > 13.0, "{}: {plug_v} V", vehicle.id);
            run(&mut car, &idling(&vehicle.spec), 20.0);
            assert!(fed(&car), "{}", vehicle.id);
        }
    }
}

/// Compressor kept off below an outside temperature of some degrees (common practice, no source: 0 to 7 °C).
#[test]
fn a_cold_day_locks_the_compressor_out() {
    for vehicle in vehicles() {
        let set = vehicle.spec.controls.ambient_cut_out_k;
        for (celsius, runs) in [
            (set.trip - 273.15 - 0.5, false),
            (set.reset - 273.15 + 0.5, true),
        ] {
            assert!(
                (0.0..=7.0).contains(&celsius),
                "{}: {celsius} °C",
                vehicle.id
            );
            let mut car = warm_car(&vehicle.spec, weather(celsius, 0.6));
            let mut worked = false;
            let watched = car.advance_watched(&idling(&vehicle.spec), 30.0, |car, _| {
                let turns = !has_clutch(car.spec()) || car.state().clutch.engaged;
                worked |= car.state().controls.relay_closed && turns;
            });
            assert_eq!(watched, Ok(()));
            assert_eq!(worked, runs, "{} at {celsius} °C", vehicle.id);
            if !runs {
                // On a day this cold a sound charge may rest below what a low cut-out lets pass, too.
                let outside = car.weather();
                let rests_pa = car.fluid().saturation_pressure_pa(outside.temperature_k)
                    - outside.pressure_pa();
                let low = vehicle.spec.controls.low_cut_out_pa;
                let low_too = low.is_some_and(|switch| rests_pa < switch.reset);
                let why = reason(&car);
                assert!(
                    why == "ambient" || low_too && why == "low-pressure",
                    "{}: {why}",
                    vehicle.id
                );
            }
        }
    }
}

/// What a control's own inputs do to it, in its own words.
#[test]
fn a_control_says_why_it_holds_the_compressor_off() {
    let held_off = [
        ("transducer-open", 1.0, "sensor"),
        ("evaporator-sensor-open", 1.0, "sensor"),
        ("evaporator-sensor-shorted", 1.0, "sensor"),
        ("ambient-sensor-open", 1.0, "sensor"),
        ("ambient-sensor-low", 0.8, "ambient"),
        ("low-cut-out-high", 0.5, "low-pressure"),
        ("transducer-low", 0.35, "low-pressure"),
        ("undercharge", 1.0, "low-pressure"),
    ];
    for vehicle in vehicles() {
        for (mode, severity, why) in held_off {
            let of_evaporator = mode.starts_with("evaporator-sensor");
            if of_evaporator && !has_evaporator_sensor(&vehicle.spec) {
                continue;
            }
            let car = idled(&vehicle.spec, mode, severity, 30.0);
            assert_eq!(reason(&car), why, "{}, {mode}", vehicle.id);
            assert!(!fed(&car), "{}, {mode}", vehicle.id);
            let pulled_in = car.state().clutch_engagements;
            assert!(
                pulled_in == 0 || !has_clutch(&vehicle.spec),
                "{}, {mode}",
                vehicle.id
            );
        }
        let mut spec = vehicle.spec.clone();
        let mode = bank().catalogue().get("high-cut-out-low").unwrap();
        mode.fault.apply(&mut spec, mode.severity.typical);
        let mut car = warm_car(&spec, weather(32.0, 0.5));
        let mut tripped = false;
        let watched = car.advance_watched(&idling(&spec), 300.0, |car, _| {
            tripped |= reason(car) == "high-pressure";
        });
        assert_eq!(watched, Ok(()));
        assert!(tripped, "{}", vehicle.id);
        let car = idled(&vehicle.spec, "transducer-open", 0.0, 30.0);
        assert_eq!(reason(&car), "none", "{}", vehicle.id);
    }
}

/// A sensor that reads warm never sees the core ice: frost builds up as the cut-out stays shut. So does
/// one that is bridged by a little, as its page says.
#[test]
fn an_evaporator_sensor_that_reads_high_lets_the_core_ice() {
    for vehicle in vehicles_where(has_evaporator_sensor) {
        let frost_kg = |mode: &str, severity: f64| {
            let mut spec = vehicle.spec.clone();
            let mode = bank().catalogue().get(mode).unwrap();
            mode.fault.apply(&mut spec, severity);
            let mut car = warm_car(&spec, weather(22.0, 0.7));
            let setup = Setup {
                blower_step: 1,
                doors_open: false,
                recirculate: false,
                ..running(&spec, 2000.0)
            };
            run(&mut car, &setup, 1800.0);
            car.state()
                .wetness
                .iter()
                .map(|wet| wet.frost_kg)
                .sum::<f64>()
        };
        for mode in ["evaporator-sensor-high", "evaporator-sensor-shorted"] {
            let (sound_kg, iced_kg) = (frost_kg(mode, 0.0), frost_kg(mode, typical(mode)));
            assert!(
                sound_kg < 0.03 && iced_kg > 3.0 * sound_kg.max(0.02),
                "{}, {mode}: {sound_kg} and {iced_kg} kg",
                vehicle.id
            );
        }
    }
}
