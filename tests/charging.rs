//! Charging by mass: what a car with air or an unknown charge is afterwards, and that nothing is lost.
//!
//! Outside sources: `checks.md` §10 check 11 (the effect of air vanishes after evacuation) and check 3
//! (the sum of component masses through any transient). The sum of masses is held to 1e-9 as in
//! `conservation.rs`, a bound of ours.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::ports::{
    RECOVERED_TO_PA, accounted_kg, charge, evacuate, held_j, opened, recover, soaked, watched,
};
use coldtrail_checks::stand::{
    bank, cars, fan_held_high, idling, run, running, vehicles, warm_car, weather, with,
    without_frost_cut_out,
};
use coldtrail_checks::view::View;
use sim_core::car::{Car, Phase, Port};
use sim_core::faults::Knob;
use sim_core::loop_model::layout::Role;
use sim_core::setup::{Setup, Weather};
use sim_core::spec::{CarSpec, Leak};

/// §10.11: "effect vanishes after evacuation". A loop full of air, charged by mass to its label: after
/// evacuation the car runs as the healthy one, without it the air stays and shows.
#[test]
fn the_effect_of_air_vanishes_after_evacuation() {
    for (id, spec) in cars() {
        let spec = fan_held_high(&without_frost_cut_out(&spec));
        let day = weather(33.0, 0.55);
        let look = |mut car: Car| {
            car.warm_engine();
            run(&mut car, &running(&spec, 1500.0), 1800.0);
            View::of(&car)
        };
        let healthy = look(soaked(&spec, day));
        let mut evacuated = soaked(&opened(&spec), day);
        evacuate(&mut evacuated, 30.0);
        charge(&mut evacuated, spec.label_charge_kg);
        let evacuated = look(evacuated);
        let mut airy = soaked(&opened(&spec), day);
        // With the air's pressure against it the liquid may stop on the way; the rest goes in running.
        airy.start_charging(Phase::Liquid, Port::High, spec.label_charge_kg);
        run(&mut airy, &Setup::parked(), 600.0);
        let left_kg = spec.label_charge_kg - airy.state().refrigerant.charged_kg;
        airy.start_charging(Phase::Vapour, Port::Low, left_kg);
        run(&mut airy, &running(&spec, 1500.0), 1800.0);
        assert!(
            !airy.is_charging(),
            "{id}: {:?}",
            airy.state().refrigerant.charged_kg
        );
        let airy = look(airy);
        // Beside liquid the air has less room than it filled at the pressure around.
        assert!(
            airy.high_pa > healthy.high_pa + 100e3,
            "{id}: {airy:?} and {healthy:?}"
        );
        assert!(
            airy.capacity_w < healthy.capacity_w,
            "{id}: {airy:?} and {healthy:?}"
        );
        let off = |a: f64, b: f64| (a / b - 1.0).abs();
        println!(
            "{id}: high {:.0} {:.0} ({:.0}), low {:.0} {:.0}, capacity {:.1} {:.1}",
            healthy.high_pa,
            evacuated.high_pa,
            airy.high_pa,
            healthy.low_pa,
            evacuated.low_pa,
            healthy.capacity_w,
            evacuated.capacity_w
        );
        assert!(
            off(evacuated.high_pa, healthy.high_pa) < 2e-3,
            "{id}: {evacuated:?} not {healthy:?}"
        );
        assert!(
            off(evacuated.low_pa, healthy.low_pa) < 3e-3,
            "{id}: {evacuated:?} not {healthy:?}"
        );
        assert!(
            off(evacuated.capacity_w, healthy.capacity_w) < 2e-3,
            "{id}: {evacuated:?} not {healthy:?}"
        );
        assert!(
            (evacuated.discharge_c - healthy.discharge_c).abs() < 0.3,
            "{id}: {evacuated:?}"
        );
    }
}

/// The same through recovery, on a car whose air came with its refrigerant.
#[test]
fn recovered_evacuated_and_charged_a_car_is_as_it_was() {
    for (id, spec) in cars() {
        let spec = fan_held_high(&without_frost_cut_out(&spec));
        let look = |car: &mut Car| {
            car.warm_engine();
            run(car, &running(&spec, 1500.0), 1800.0);
            View::of(car)
        };
        let day = weather(33.0, 0.55);
        let healthy = look(&mut soaked(&spec, day));
        let mut car = soaked(&with(&spec, Knob::AirInLoop, 3.0), day);
        let airy = look(&mut car);
        assert!(airy.high_pa > healthy.high_pa + 50e3, "{id}: {airy:?}");
        recover(&mut car);
        evacuate(&mut car, 30.0);
        charge(&mut car, spec.label_charge_kg);
        let again = look(&mut car);
        let off = |a: f64, b: f64| (a / b - 1.0).abs();
        println!(
            "{id}: high {:.0} {:.0} {:.0}",
            healthy.high_pa, airy.high_pa, again.high_pa
        );
        assert!(
            off(again.high_pa, healthy.high_pa) < 5e-3,
            "{id}: {again:?} not {healthy:?}"
        );
        assert!(
            off(again.capacity_w, healthy.capacity_w) < 5e-3,
            "{id}: {again:?} not {healthy:?}"
        );
    }
}

/// Recover, pump, charge as liquid standing, run, vent: each to 1e-9 of the charge, and the energy
/// charged to 0.5 % of the heat of vaporisation of what was charged.
#[test]
fn refrigerant_and_energy_are_kept_through_recovery_evacuation_charge_and_vent() {
    for vehicle in vehicles() {
        let (id, spec) = (&vehicle.id, &vehicle.spec);
        let label = spec.label_charge_kg;
        let mut car = warm_car(spec, weather(25.0, 0.5));
        let start = accounted_kg(&car);
        let parked = Setup::parked();
        car.start_recovery(RECOVERED_TO_PA);
        watched(&mut car, &parked, 1500.0, start, label, id);
        car.stop_recovery();
        car.start_evacuation();
        watched(&mut car, &parked, 1200.0, start, label, id);
        car.stop_evacuation();
        let before_j = held_j(&car);
        car.start_charging(Phase::Liquid, Port::High, label);
        let put_in_j = watched(&mut car, &parked, 600.0, start, label, id);
        let charged = car.state().refrigerant.charged_kg;
        assert!(charged > 0.5 * label, "{id}: {charged} kg of {label}");
        let cylinder = car
            .fluid()
            .saturation(car.fluid().saturation_pressure_pa(298.15));
        let latent = cylinder.vapour_enthalpy_j_per_kg - cylinder.liquid_enthalpy_j_per_kg;
        let gained_j = held_j(&car) - before_j;
        let missing_j = gained_j - put_in_j - charged * cylinder.liquid_enthalpy_j_per_kg;
        println!(
            "{id}: {charged:.5} kg, {missing_j:.1} J of {:.0}",
            charged * latent
        );
        assert!(
            missing_j.abs() < 0.005 * charged * latent,
            "{id}: {missing_j} J"
        );
        // A loop beside a warm engine has soon the cylinder's own pressure: the rest goes in running.
        car.stop_charging();
        car.start_charging(Phase::Vapour, Port::Low, label - charged);
        watched(&mut car, &idling(spec), 600.0, start, label, id);
        let charged = car.state().refrigerant.charged_kg;
        assert!(
            (charged - label).abs() < 1e-3,
            "{id}: {charged} kg of {label}"
        );
        car.set_opening(Leak::in_part(Role::LiquidLine, 1e-6));
        watched(&mut car, &parked, 1800.0, start, label, id);
        assert!(car.state().refrigerant.lost_kg > 0.5 * label, "{id}");
    }
}

/// A charge that has stopped goes on from a cylinder that stood in warm water, for that has the pressure of
/// its refrigerant at 40 °C; by the next day it is as cold as the air, and gives what any cold one does.
#[test]
fn a_warmed_cylinder_gives_what_a_cold_one_does_not() {
    const BATH_K: f64 = 313.15;
    for vehicle in vehicles() {
        let (id, spec) = (&vehicle.id, &vehicle.spec);
        let label = spec.label_charge_kg;
        let mut car = warm_car(&opened(spec), weather(15.0, 0.5));
        let start = accounted_kg(&car);
        let parked = Setup::parked();
        car.start_evacuation();
        watched(&mut car, &parked, 1800.0, start, label, id);
        car.stop_evacuation();
        car.start_charging(Phase::Vapour, Port::Low, label);
        watched(&mut car, &parked, 900.0, start, label, id);
        assert!(car.is_charging(), "{id}: all of it went in cold");
        car.stop_charging();
        let stopped = car.state().refrigerant.charged_kg;
        let more = |mut car: Car, warmed: bool, stands_s: f64| {
            if warmed {
                car.warm_cylinder(BATH_K);
                assert_eq!(car.cylinder_k(), BATH_K);
            }
            watched(&mut car, &parked, stands_s, start, label, id);
            let cylinder_k = car.cylinder_k();
            car.start_charging(Phase::Vapour, Port::Low, label - stopped);
            watched(&mut car, &parked, 300.0, start, label, id);
            (cylinder_k, car.state().refrigerant.charged_kg - stopped)
        };
        let (_, cold) = more(car.clone(), false, 60.0);
        let (warm_k, warm) = more(car.clone(), true, 60.0);
        println!("{id}: {cold:.4} kg cold, {warm:.4} kg warmed");
        assert!(warm_k > BATH_K - 1.0 && warm_k < BATH_K, "{id}: {warm_k} K");
        assert!(warm > cold + 0.02, "{id}: {warm} kg, cold {cold} kg");
        let (later_k, later) = more(car.clone(), true, 43_200.0);
        let (air_k, never) = more(car, false, 43_200.0);
        assert_eq!(later_k, air_k, "{id}");
        assert_eq!(later, never, "{id}");
    }
}

/// Charging vapour at the low side with the engine running: the car takes what the cylinder's own
/// pressure would not push in.
#[test]
fn refrigerant_and_energy_are_kept_while_a_running_car_takes_vapour() {
    for vehicle in vehicles() {
        let (id, spec) = (&vehicle.id, &vehicle.spec);
        let label = spec.label_charge_kg;
        let mut car = warm_car(&opened(spec), weather(25.0, 0.5));
        let start = accounted_kg(&car);
        car.start_evacuation();
        watched(&mut car, &Setup::parked(), 1800.0, start, label, id);
        car.stop_evacuation();
        let before_j = held_j(&car);
        car.start_charging(Phase::Vapour, Port::Low, label);
        let put_in_j = watched(&mut car, &running(spec, 1500.0), 1800.0, start, label, id);
        assert!(
            !car.is_charging(),
            "{id}: {} kg of {label}",
            car.state().refrigerant.charged_kg
        );
        let charged = car.state().refrigerant.charged_kg;
        assert!(
            (charged - label).abs() < 1e-3,
            "{id}: {charged} kg of {label}"
        );
        let cylinder = car
            .fluid()
            .saturation(car.fluid().saturation_pressure_pa(298.15));
        let latent = cylinder.vapour_enthalpy_j_per_kg - cylinder.liquid_enthalpy_j_per_kg;
        let missing_j =
            held_j(&car) - before_j - put_in_j - charged * cylinder.vapour_enthalpy_j_per_kg;
        let through_j = 1800.0 * car.state().air_duty_w;
        println!(
            "{id}: {missing_j:.1} J of {:.0} and {through_j:.0}",
            charged * latent
        );
        assert!(
            missing_j.abs() < 0.005 * (charged * latent + through_j),
            "{id}: {missing_j} J"
        );
    }
}

/// Topped up with the other refrigerant, recovered, evacuated and charged: the label's is in it again.
#[test]
fn evacuation_gets_rid_of_a_mixed_refrigerant() {
    let spec = with(&CarSpec::example(), Knob::OtherRefrigerant, 0.3);
    let mut car = soaked(&spec, weather(25.0, 0.5));
    recover(&mut car);
    evacuate(&mut car, 30.0);
    charge(&mut car, spec.label_charge_kg);
    run(&mut car, &Setup::parked(), 7200.0);
    let gas = car.gas_at(Role::SuctionLine);
    assert_eq!(gas.r134a, 1.0 - gas.air);
    // Saturation at 25 °C, Pa: CoolProp 8.0.0, as in `strangers.rs`; 1 kPa as in `soak.rs`.
    let pa = car.pressure_pa(Role::SuctionLine);
    assert!((pa - 665_380.0).abs() < 1e3, "{pa} Pa");
}

/// Every failure mode at its worst, on cars of every kind of loop: nothing stalls, loses mass or ends in
/// no number, whatever is emptied, evacuated and charged; in the cold, in the heat and high up.
#[test]
fn any_faulty_car_can_be_emptied_evacuated_and_charged() {
    for (i, vehicle) in vehicles().enumerate() {
        for (j, mode) in bank().catalogue().modes().enumerate() {
            let mut spec = vehicle.spec.clone();
            mode.fault.apply(&mut spec, 1.0);
            let what = format!("{}, {}", vehicle.id, mode.id);
            let day = Weather {
                altitude_m: if (i + j) % 5 == 4 { 2500.0 } else { 0.0 },
                ..weather([25.0, -5.0, 45.0][(i + j) % 3], 0.6)
            };
            let mut car = warm_car(&spec, day);
            let (start, label) = (accounted_kg(&car), vehicle.spec.label_charge_kg);
            let parked = Setup::parked();
            if j % 4 != 3 {
                car.start_recovery(RECOVERED_TO_PA);
                watched(&mut car, &parked, 900.0, start, label, &what);
                car.stop_recovery();
            }
            car.start_evacuation();
            watched(&mut car, &parked, 900.0, start, label, &what);
            car.stop_evacuation();
            watched(&mut car, &parked, 300.0, start, label, &what);
            car.start_charging(Phase::Liquid, Port::High, 0.7 * label);
            watched(&mut car, &parked, 300.0, start, label, &what);
            let runs = running(&spec, 1500.0);
            let phase = if (i + j) % 2 == 0 {
                Phase::Vapour
            } else {
                Phase::Liquid
            };
            car.start_charging(phase, Port::Low, 0.3 * label);
            watched(&mut car, &runs, 300.0, start, label, &what);
            let pressures = [Role::SuctionLine, Role::LiquidLine].map(|role| car.pressure_pa(role));
            assert!(
                pressures.iter().all(|pa| pa.is_finite() && *pa > 0.0),
                "{what}: {pressures:?}"
            );
        }
    }
}
