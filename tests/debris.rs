//! A compressor that breaks up, on every vehicle: what it sheds goes round, comes to rest, takes oil
//! with it, and closes more with the hours.
//!
//! That debris ends in condenser, drier and expansion device, and that oil leaves with it, is what
//! makers' procedures have replaced after such a failure (common practice, no source); how much closes
//! what is said in `sim-core/src/parts/debris.rs`. What is checked is direction and mass.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    bank, fan_held_high, has_belt, run, running, speed_held, vehicles, vehicles_where, warm_car,
    weather, with, without_frost_cut_out,
};
use coldtrail_checks::view::View;
use scenarios::Vehicle;
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::loop_model::layout::Role;
use sim_core::spec::CarSpec;

/// Severity at which the compressor still turns: 2.8 g round the loop, and 20 mg more with 1000 turns. From
/// about 0.4 its internals bind.
const STILL_TURNS: f64 = 0.2;

fn broken(vehicle: &Vehicle, severity: f64) -> CarSpec {
    let mut modes = bank().catalogue().modes();
    let mode = modes
        .find(|mode| mode.id == "compressor-broken-up")
        .expect("the fault");
    let mut spec = speed_held(&fan_held_high(&without_frost_cut_out(&vehicle.spec)));
    mode.fault.apply(&mut spec, severity);
    spec
}

/// Runs at 35 °C and 1500 rpm, and counts the compressor's turns.
fn drive(car: &mut Car, minutes: f64) -> f64 {
    let setup = running(&car.spec().clone(), 1500.0);
    let mut turns = 0.0;
    let watched = car.advance_watched(&setup, 60.0 * minutes, |car, step_s| {
        turns += car.state().compressor_rev_s * step_s;
    });
    assert_eq!(watched, Ok(()));
    turns
}

/// Pressure lost from the compressor's head to the liquid line, Pa.
fn lost_pa(car: &Car) -> f64 {
    car.pressure_pa(Role::CompressorHead) - car.pressure_pa(Role::LiquidLine)
}

/// On cars with a belt: a motor carries a sixth of a belt's torque and binds sooner.
#[test]
fn what_is_shed_is_all_somewhere_and_closes_more_by_the_hour() {
    for vehicle in vehicles_where(has_belt) {
        let id = &vehicle.id;
        let spec = broken(vehicle, STILL_TURNS);
        let mut car = warm_car(&spec, weather(35.0, 0.5));
        let shed_before_kg = car.state().debris.total_kg();
        assert!((shed_before_kg - spec.debris.shed_kg).abs() < 1e-12, "{id}");
        let mut turns = drive(&mut car, 15.0);
        let (mut then, mut view) = (car.state().debris, View::of(&car));
        let (first, first_view, first_lost) = (then, view, lost_pa(&car));
        let mut lost = first_lost;
        let mut through = car.valve_flow_kg_s();
        for quarter in 2..=8 {
            turns += drive(&mut car, 15.0);
            let now = car.state().debris;
            // Short of the oil that the sludge holds, it binds in the end and stands.
            if car.state().clutch.grip < 0.9 {
                assert!(quarter > 4, "{id}: bound by quarter {quarter}");
                then = now;
                break;
            }
            let seen = View::of(&car);
            assert!(now.condenser_open() < then.condenser_open(), "{id}");
            assert!(now.screen_open() < then.screen_open(), "{id}");
            assert!(now.oil_share() > then.oil_share(), "{id}");
            // Where no filter spares it, the tube's screen closes ahead of the condenser: less flow
            // then loses less on the way, and stands before it with more pressure.
            let flow = car.valve_flow_kg_s();
            assert!(
                flow < through,
                "{id}: quarter {quarter}, {through} to {flow}"
            );
            through = flow;
            (then, view, lost) = (now, seen, lost_pa(&car));
        }
        let shed_kg = shed_before_kg + spec.debris.shed_kg_per_turn * turns;
        let off = then.total_kg() / shed_kg - 1.0;
        assert!(off.abs() < 1e-9, "{id}: {off:e} of the debris");
        println!(
            "{id}: {:.1} to {:.1} g, condenser {:.2} to {:.2} open, screen {:.2} to {:.2}, head {:.0} to {:.0} kPa",
            1e3 * first.total_kg(),
            1e3 * then.total_kg(),
            first.condenser_open(),
            then.condenser_open(),
            first.screen_open(),
            then.screen_open(),
            (first_view.high_pa + first_lost) / 1e3,
            (view.high_pa + lost) / 1e3,
        );
        let head_rise = view.high_pa + lost - first_view.high_pa - first_lost;
        assert!(
            head_rise > 20e3,
            "{id}: the head's pressure rose by {head_rise} Pa"
        );
        // A receiver's filter catches what would reach the screen.
        let has_filter = car.layout().index_of(Role::Receiver).is_some();
        if has_filter {
            assert!(then.filter_kg > 3.0 * then.screen_kg, "{id}: {then:?}");
        } else {
            assert_eq!(then.filter_kg, 0.0, "{id}");
            assert!(then.screen_kg > 0.25 * then.total_kg(), "{id}: {then:?}");
        }
    }
}

/// More shed: less open, less oil, more pressure before the condenser, less capacity.
#[test]
fn more_debris_is_worse_in_every_way() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let spec = speed_held(&fan_held_high(&without_frost_cut_out(&vehicle.spec)));
        let seen = [0.0, 2.0, 4.0, 6.0].map(|grams| {
            let mut car = warm_car(&with(&spec, Knob::DebrisShed, grams), weather(35.0, 0.5));
            run(&mut car, &running(&spec, 1500.0), 1800.0);
            let head_pa = car.pressure_pa(Role::CompressorHead);
            let debris = car.state().debris;
            (debris, head_pa, lost_pa(&car), View::of(&car).capacity_w)
        });
        for (less, more) in seen.iter().zip(&seen[1..]) {
            assert!(more.0.condenser_open() < less.0.condenser_open(), "{id}");
            assert!(more.0.screen_open() < less.0.screen_open(), "{id}");
            assert!(more.0.oil_share() > less.0.oil_share(), "{id}");
            assert!(more.1 > less.1, "{id}: head {} to {} Pa", less.1, more.1);
            assert!(more.2 > less.2, "{id}: lost {} to {} Pa", less.2, more.2);
            assert!(more.3 < less.3, "{id}: {} to {} W", less.3, more.3);
        }
    }
}
