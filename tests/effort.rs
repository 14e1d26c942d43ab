//! What the solver spends, in counts that are the same on every machine: evaluations of all the
//! balances, steps refused and tried again shorter, and memory asked for while stepping, none.
//!
//! The bounds are ours: what was measured, with room for a tenth to a third more. Times stand in
//! `benches/README.md`, beside the same counts.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::hint::black_box;

use coldtrail_checks::fleet::{CARS, Member, fleet};
use coldtrail_checks::stand::{
    bank, fluid_of, idling, run, running, vehicles, warm_car, weather, without_frost_cut_out,
};
use sim_core::car::{Car, Phase, Port};
use sim_core::faults::Knob;
use sim_core::parts::displacement::Capacity;
use sim_core::setup::Setup;
use sim_core::spec::{CarSpec, Leak};

/// Evaluations and refused steps of a run.
fn spent(car: &mut Car, setup: &Setup, seconds: f64) -> (u64, u64) {
    let before = car.effort();
    run(car, setup, seconds);
    let after = car.effort();
    (
        after.evaluations - before.evaluations,
        after.refused - before.refused,
    )
}

#[test]
fn a_car_settles_from_cold_in_few_evaluations() {
    for vehicle in vehicles() {
        let mut car = warm_car(&vehicle.spec, weather(33.0, 0.5));
        let setup = running(&vehicle.spec, 1500.0);
        let (evaluations, refused) = spent(&mut car, &setup, 600.0);
        let pulls = u64::from(car.state().clutch_engagements.max(1));
        println!(
            "{}: {evaluations} evaluations, {refused} refused, {pulls} pull-ins",
            vehicle.id
        );
        assert!(
            evaluations <= 310 + 60 * pulls,
            "{}: {evaluations}",
            vehicle.id
        );
        assert!(refused <= 5, "{}: {refused} refused", vehicle.id);
    }
}

#[test]
fn each_turn_of_a_cycling_clutch_costs_little() {
    let mut cycled = 0;
    for vehicle in vehicles() {
        let setup = Setup {
            doors_open: false,
            ..idling(&vehicle.spec)
        };
        let mut car = warm_car(&vehicle.spec, weather(22.0, 0.5));
        run(&mut car, &setup, 600.0);
        let before = car.state().clutch_engagements;
        let (evaluations, refused) = spent(&mut car, &setup, 600.0);
        let turns = u64::from(car.state().clutch_engagements - before);
        println!(
            "{}: {evaluations} evaluations, {refused} refused, {turns} turns",
            vehicle.id
        );
        assert!(
            evaluations <= 250 + 130 * turns,
            "{}: {evaluations} in {turns} turns",
            vehicle.id
        );
        assert!(refused <= 4 * turns, "{}: {refused} refused", vehicle.id);
        cycled += usize::from(turns > 5);
    }
    assert!(cycled >= 5, "{cycled} cars cycled");
}

/// The fastest cycling of a healthy car: an orifice tube with too large a compressor, every seven
/// seconds.
#[test]
fn a_car_that_cycles_every_few_seconds_costs_little() {
    let mut spec = CarSpec::example_with_orifice_tube();
    spec.compressor.capacity = Capacity::Fixed;
    spec.controls.command = None;
    let mut car = warm_car(&spec, weather(30.0, 0.5));
    let (evaluations, refused) = spent(&mut car, &running(&spec, 2500.0), 900.0);
    let turns = u64::from(car.state().clutch_engagements);
    println!("{evaluations} evaluations, {refused} refused, {turns} turns");
    assert!(turns > 90, "{turns} turns");
    assert!(evaluations <= 95 * turns, "{evaluations} in {turns} turns");
    assert!(refused <= 10, "{refused} refused");
}

/// A clutch that slips, and a plate that the control works, ask for no shorter steps than the loop.
#[test]
fn neither_a_slipping_clutch_nor_a_commanded_plate_holds_the_steps_short() {
    for vehicle in vehicles() {
        let setup = running(&vehicle.spec, 1500.0);
        let mut spec = without_frost_cut_out(&vehicle.spec);
        if let Some(clutch) = &mut spec.clutch {
            clutch.friction_loss = 0.75;
        }
        let mut car = warm_car(&spec, weather(30.0, 0.5));
        let (evaluations, refused) = spent(&mut car, &setup, 600.0);
        let pulls = u64::from(car.state().clutch_engagements);
        println!(
            "{}: {evaluations} evaluations, {refused} refused, {pulls} pull-ins",
            vehicle.id
        );
        assert!(
            evaluations <= 1200 + 60 * pulls,
            "{}: {evaluations}",
            vehicle.id
        );
        assert!(refused <= 10, "{}: {refused} refused", vehicle.id);
    }
}

#[test]
fn a_direct_steady_state_costs_little() {
    for vehicle in vehicles() {
        let spec = without_frost_cut_out(&vehicle.spec);
        let mut car = warm_car(&spec, weather(33.0, 0.5));
        run(&mut car, &running(&spec, 1500.0), 1800.0);
        let mode = bank().catalogue().get("condenser-face-blocked").unwrap();
        let mut worse = spec.clone();
        mode.fault.apply(&mut worse, 0.05);
        for (spec, celsius) in [(spec, 35.0), (worse, 33.0)] {
            let effort = car
                .steady_near(spec, weather(celsius, 0.5))
                .unwrap()
                .effort();
            println!("{}: {effort:?}", vehicle.id);
            assert!(effort.evaluations <= 16, "{}: {effort:?}", vehicle.id);
            assert_eq!(effort.refused, 0, "{}", vehicle.id);
        }
    }
}

/// The fleet's efforts and pull-ins, least effort first. Halves run side by side: the counts do not notice.
fn fleet_efforts() -> Vec<(u64, u64, String)> {
    let mut fleet = fleet();
    let run_all = |members: &mut [Member]| -> Vec<(u64, u64, String)> {
        members
            .iter_mut()
            .map(|member| {
                if let Err(stalled) = member.car.advance(&member.setup, 600.0) {
                    panic!("{}: {stalled}", member.what);
                }
                let pulls = u64::from(member.car.state().clutch_engagements);
                (member.car.effort().evaluations, pulls, member.what.clone())
            })
            .collect()
    };
    let (one, other) = fleet.split_at_mut(CARS / 2);
    let mut efforts = std::thread::scope(|scope| {
        let one = scope.spawn(|| run_all(one));
        let mut efforts = run_all(other);
        efforts.extend(one.join().unwrap());
        efforts
    });
    efforts.sort();
    efforts
}

/// Catalogue times severity: none stalls, and no fault makes a car cost far more than the others. One whose
/// clutch comes and goes costs what its pull-ins do (the estate, three quarters of its charge short: 297 of
/// them in ten minutes), which is bounded for each by `a_cycling_clutch_costs_little_for_each_turn`.
#[test]
fn a_thousand_faulty_cars_converge_at_a_bounded_cost() {
    let efforts = fleet_efforts();
    assert_eq!(efforts.len(), CARS);
    let total: u64 = efforts.iter().map(|(evaluations, ..)| evaluations).sum();
    let median = efforts[CARS / 2].0;
    let besides =
        |(evaluations, pulls, _): &&(u64, u64, String)| evaluations.saturating_sub(40 * pulls);
    let slowest = efforts.iter().max_by_key(besides).unwrap();
    let most = besides(&slowest);
    println!("total {total}, median {median}, slowest {slowest:?}");
    assert!(total <= 850_000, "{total} evaluations");
    assert!(most <= 5000, "{slowest:?}");
    assert!(most <= 15 * median, "{slowest:?}, the median {median}");
}

/// Pieces of memory asked for while a car steps.
fn asked_for(car: &mut Car, setup: &Setup, seconds: f64) -> u64 {
    let mut ran = Ok(());
    let counted = allocation_counter::measure(|| ran = car.advance(setup, seconds));
    assert_eq!(ran, Ok(()));
    counted.count_total
}

#[test]
fn the_counter_counts() {
    let counted = allocation_counter::measure(|| drop(black_box(vec![1.0; 100])));
    assert_eq!(counted.count_total, 1);
}

/// Healthy and with every fault at its worst, running, cycling and standing.
#[test]
fn stepping_asks_for_no_memory() {
    for vehicle in vehicles() {
        let faulty = bank().catalogue().modes().map(|mode| {
            let mut spec = vehicle.spec.clone();
            mode.fault.apply(&mut spec, 1.0);
            (mode.id.as_str(), spec)
        });
        for (what, spec) in faulty.chain([("healthy", vehicle.spec.clone())]) {
            let mut car = Car::soaked_with(fluid_of(&spec), spec.clone(), weather(26.0, 0.5));
            let setups = [running(&spec, 1500.0), idling(&spec), Setup::parked()];
            // The first call takes the controls over; a copy of them owns no memory either.
            for setup in &setups {
                let count = asked_for(&mut car, setup, 40.0);
                assert_eq!(count, 0, "{}, {what}: {count} times", vehicle.id);
            }
        }
    }
}

/// Air in the loop is moved beside the step, and leaks let more of it in.
#[test]
fn stepping_with_air_and_a_leak_asks_for_no_memory() {
    for vehicle in vehicles() {
        let mut spec = vehicle.spec.clone();
        for (knob, value) in [(Knob::AirInLoop, 15.0), (Knob::ChargeShare, 0.05)] {
            sim_core::faults::Fault::one(knob, value).apply(&mut spec, 1.0);
        }
        let mut car = warm_car(&spec, weather(22.0, 0.5));
        car.set_opening(Leak::in_part(car.spec().high_port.role(), 1e-7));
        car.start_recovery(50e3);
        let setup = Setup {
            doors_open: false,
            ..idling(&spec)
        };
        assert_eq!(asked_for(&mut car, &setup, 300.0), 0, "{}", vehicle.id);
    }
}

/// Recovered, pumped down, filled as liquid and as vapour: none of it asks for memory while stepping.
#[test]
fn evacuating_and_charging_ask_for_no_memory() {
    for vehicle in vehicles() {
        let mut car = warm_car(&vehicle.spec, weather(25.0, 0.5));
        let parked = Setup::parked();
        let mut counts = Vec::new();
        car.start_recovery(30e3);
        run(&mut car, &parked, 1200.0);
        car.stop_recovery();
        car.start_evacuation();
        counts.push(asked_for(&mut car, &parked, 900.0));
        car.stop_evacuation();
        counts.push(asked_for(&mut car, &parked, 300.0));
        car.start_charging(Phase::Liquid, Port::High, 0.2);
        counts.push(asked_for(&mut car, &parked, 300.0));
        car.start_charging(Phase::Vapour, Port::Low, 0.1);
        counts.push(asked_for(&mut car, &idling(&vehicle.spec), 300.0));
        assert_eq!(counts, [0; 4], "{}", vehicle.id);
    }
}
