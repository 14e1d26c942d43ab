//! Parts taken off and put on a car: what the loop loses, takes in and keeps, and what its owner meets in
//! the weeks after.

#![allow(clippy::expect_used)]

use sim_core::air;
use sim_core::car::{Car, Driven, Phase, Port, TestGas, Week};
use sim_core::faults::Knob;
use sim_core::loop_model::layout::Role;
use sim_core::repair::{Job, Joint, Seal};
use sim_core::setup::{Setup, Weather};
use sim_core::spec::{CarSpec, Leak, LeakPlace};

const DAY: Weather = Weather {
    temperature_k: 303.15,
    relative_humidity: 0.5,
    sun_w_per_m2: 0.0,
    altitude_m: 0.0,
};

fn car_with(knobs: &[(Knob, f64)]) -> Car {
    let mut spec = CarSpec::example();
    for (knob, value) in knobs {
        knob.turn(&mut spec, *value);
    }
    Car::soaked(spec, DAY).expect("a known refrigerant")
}

fn stand(car: &mut Car, seconds: f64) {
    car.advance(&Setup::parked(), seconds).expect("settles");
}

fn held_kg(car: &Car) -> f64 {
    car.state().refrigerant.total_mass_kg()
}

fn weeks(car: &Car, count: usize, celsius: f64) -> Vec<Driven> {
    let weather = Weather {
        temperature_k: celsius + 273.15,
        ..DAY
    };
    let week = Week {
        weather,
        driven_s: 5.0 * 3600.0,
    };
    car.driven_on(&vec![week; count]).expect("settles")
}

/// Recovers, opens the loop at a place for a while, and shuts it again.
fn opened(car: &mut Car, place: LeakPlace, seconds: f64) {
    car.start_recovery(30e3);
    stand(car, 1800.0);
    car.stop_recovery();
    car.open_at(place);
    stand(car, seconds);
    car.shut_at(place, 0.0);
}

fn evacuate(car: &mut Car, seconds: f64) {
    car.start_evacuation();
    stand(car, seconds);
    car.stop_evacuation();
}

fn charge(car: &mut Car) {
    let label_kg = car.spec().label_charge_kg;
    car.start_charging(Phase::Liquid, Port::High, label_kg);
    stand(car, 300.0);
    car.stop_charging();
}

/// Everything that was in an opened loop above the air's pressure is in the air, to the gram.
#[test]
fn a_charged_loop_opened_loses_its_charge_and_the_scales_close() {
    let mut car = car_with(&[]);
    let charged = held_kg(&car);
    car.open_at(LeakPlace::Condenser);
    stand(&mut car, 1800.0);
    let lost = car.state().refrigerant.lost_kg;
    assert!((lost + held_kg(&car) - charged).abs() < 1e-4);
    assert!(lost > 0.95 * charged, "{lost}");
    let over_pa = car.pressure_pa(Role::SuctionLine) - car.weather().pressure_pa();
    assert!(over_pa.abs() < 2e3, "{over_pa}");
}

/// Recover, open, fit, evacuate, charge: what the scales say is in the loop is there to 1 g. A machine
/// recovers 95 % and charges to within 15 g (SAE J2788, as given in the project's reference checks).
#[test]
fn the_mass_closes_through_a_whole_repair() {
    let mut car = car_with(&[(Knob::CondenserTubesBlocked, 0.7)]);
    let label = car.spec().label_charge_kg;
    let charged = held_kg(&car);
    opened(&mut car, LeakPlace::Condenser, 60.0);
    let recovered = car.state().refrigerant.recovered_kg;
    let off = car.fit(Job::Condenser, &CarSpec::example(), 0.0);
    assert!(off.debris_kg > 5e-3, "{off:?}");
    evacuate(&mut car, 2400.0);
    assert!(car.pressure_pa(Role::SuctionLine) < 300.0);
    charge(&mut car);
    let refrigerant = &car.state().refrigerant;
    let left = charged - recovered - refrigerant.lost_kg + refrigerant.charged_kg;
    assert!((held_kg(&car) - left).abs() < 1e-3);
    assert!((held_kg(&car) - label).abs() < 0.015);
    assert!(recovered > 0.95 * charged, "{recovered}");
}

/// Stopped too soon, a recovery leaves liquid that boils on: the pressure comes back.
#[test]
fn a_recovery_stopped_too_soon_rebounds() {
    let mut car = car_with(&[]);
    car.start_recovery(30e3);
    stand(&mut car, 240.0);
    let stopped_pa = car.pressure_pa(Role::SuctionLine);
    car.stop_recovery();
    stand(&mut car, 900.0);
    let after_pa = car.pressure_pa(Role::SuctionLine);
    assert!(after_pa > stopped_pa + 50e3, "{stopped_pa} {after_pa}");
}

/// An open end takes in the air's water, by the vapour it holds (ASHRAE's saturation pressure); a cap
/// keeps it out, and half an hour of vacuum takes it away again.
#[test]
fn open_ends_take_in_water_and_caps_keep_it_out() {
    let water_kg = |capped: bool, hours: f64| {
        let mut car = car_with(&[]);
        car.start_recovery(30e3);
        stand(&mut car, 1800.0);
        car.stop_recovery();
        car.cap(capped);
        car.open_at(LeakPlace::SuctionHose);
        let before = car.state().refrigerant.water.total_kg();
        stand(&mut car, 3600.0 * hours);
        (car.state().refrigerant.water.total_kg() - before, car)
    };
    let (four_hours, mut wet) = water_kg(false, 4.0);
    let (eight_hours, _) = water_kg(false, 8.0);
    let (capped, _) = water_kg(true, 8.0);
    assert!(four_hours > 0.3e-3 && four_hours < 5e-3, "{four_hours}");
    assert!((eight_hours / four_hours - 2.0).abs() < 0.1);
    assert!(capped < 0.02 * eight_hours, "{capped}");
    wet.shut_at(LeakPlace::SuctionHose, 0.0);
    evacuate(&mut wet, 300.0);
    let soon_pa = wet.pressure_pa(Role::SuctionLine);
    let boils_pa = air::saturation_vapour_pressure_pa(wet.state().refrigerant.wall_k[0]);
    assert!(soon_pa < boils_pa, "{soon_pa} {boils_pa}");
    evacuate(&mut wet, 2700.0);
    assert!(wet.state().refrigerant.water.free_kg < 1e-6);
}

/// Left unevacuated, the air in the loop stands over the refrigerant: off-cycle the gauge shows more than
/// the saturation pressure of the day by the air's own (Dalton; the reference checks, 10.11).
#[test]
fn air_left_in_the_loop_shows_off_cycle() {
    let mut car = car_with(&[]);
    opened(&mut car, LeakPlace::LiquidLine, 1800.0);
    charge(&mut car);
    stand(&mut car, 7200.0);
    let saturated_pa = car.fluid().saturation_pressure_pa(DAY.temperature_k);
    let over_pa = car.pressure_pa(Role::SuctionLine) - saturated_pa;
    let air = car.state().refrigerant.air;
    let air_kg = air.high_kg + air.low_kg;
    let all_m3 = car.layout().total_volume_m3();
    // An unevacuated loop of 2.5 L holds 3.0 g at 25 °C: 1.2 g a litre, less at 30 °C.
    let filled_kg = 1.2 * all_m3 * 298.15 / DAY.temperature_k;
    assert!(
        (air_kg / filled_kg - 1.0).abs() < 0.05,
        "{air_kg} {filled_kg}"
    );
    // It has what liquid leaves of the loop.
    let phases = car.fluid().saturation(saturated_pa);
    let (liquid, vapour) = (
        phases.liquid_density_kg_per_m3,
        phases.vapour_density_kg_per_m3,
    );
    let liquid_m3 = (held_kg(&car) - vapour * all_m3) / (liquid - vapour);
    let gas_pa = air_kg * 287.042 * DAY.temperature_k / (all_m3 - liquid_m3);
    let total = (saturated_pa + over_pa) / (saturated_pa + gas_pa);
    assert!((total - 1.0).abs() < 0.02, "{over_pa} {gas_pa}");
    // The cylinder at the day's temperature meets that pressure, and does not empty itself into it.
    assert!(held_kg(&car) < 0.6 * car.spec().label_charge_kg);
}

/// Nitrogen holds in a tight loop and falls in one whose joint was made by hand; soap and tracer find it.
#[test]
fn nitrogen_finds_a_joint_made_by_hand() {
    let pressed = |leak_m2: f64| {
        let mut car = car_with(&[]);
        opened(&mut car, LeakPlace::LiquidLine, 60.0);
        evacuate(&mut car, 600.0);
        car.shut_at(LeakPlace::LiquidLine, leak_m2);
        let to_pa = car.weather().pressure_pa() + 1e6;
        assert!(car.press(to_pa, TestGas::Tracer));
        let before_pa = car.pressure_pa(Role::SuctionLine);
        let blowing = car.blowing_kg_s(LeakPlace::LiquidLine);
        assert!(car.traced_kg_s(LeakPlace::LiquidLine) <= blowing);
        stand(&mut car, 900.0);
        (before_pa - car.pressure_pa(Role::SuctionLine), blowing)
    };
    let by_hand = Leak::area_of_rate_m2(Joint::by_hand().leak_g_per_year());
    let (tight, none) = pressed(0.0);
    let (fell, blowing) = pressed(by_hand);
    assert!(tight.abs() < 100.0 && none == 0.0, "{tight}");
    assert!(fell > 500.0 && blowing > 1e-8, "{fell} {blowing}");
    assert!(
        !car_with(&[]).press(1e6, TestGas::Nitrogen),
        "a charged loop takes none"
    );
}

/// A leak left alone empties the car over the weeks, and the vents tell.
#[test]
fn a_leak_left_alone_comes_back() {
    let leak = |grams_a_year: f64| {
        let mut car = car_with(&[]);
        let leak_m2 = Leak::area_of_rate_m2(grams_a_year);
        car.shut_at(LeakPlace::LiquidLine, leak_m2);
        weeks(&car, 10, 33.0)
    };
    let wrong_seal = Joint {
        seal: Seal::Wrong,
        tightness: 1.0,
    };
    let sound = leak(0.0);
    let slow = leak(wrong_seal.leak_g_per_year());
    let fast = leak(Joint::by_hand().leak_g_per_year());
    assert!(sound[9].charge_kg > 0.489, "{:?}", sound[9]);
    assert!(
        slow[9].charge_kg < sound[9].charge_kg - 0.02,
        "{:?}",
        slow[9]
    );
    assert!(fast[9].charge_kg < 0.2, "{:?}", fast[9]);
    assert!(fast[9].road_vent_k > sound[9].road_vent_k + 4.0);
}

/// Debris left behind goes on: the new drier's filter, the screen, the new compressor.
#[test]
fn debris_left_in_the_condenser_kills_what_is_new() {
    let repaired = |condenser: bool, flush: bool| {
        let mut car = car_with(&[
            (Knob::DebrisShed, 12.0),
            (Knob::CompressorDrag, 30.0),
            (Knob::DebrisRate, 10.0),
        ]);
        opened(&mut car, LeakPlace::Compressor, 600.0);
        car.fit(Job::Compressor, &CarSpec::example(), 1.0);
        car.add_oil(1.0 - car.oil_share(), false);
        car.turn_hub();
        car.fit(Job::Drier, &CarSpec::example(), 0.0);
        car.fit(Job::ExpansionDevice, &CarSpec::example(), 0.0);
        if flush {
            let out = car.flush(Job::DischargeHose) + car.flush(Job::LiquidLine);
            assert!(out > 0.5e-3, "{out}");
            assert_eq!(car.flush(Job::Condenser), 0.0);
        }
        if condenser {
            car.fit(Job::Condenser, &CarSpec::example(), 0.0);
        }
        evacuate(&mut car, 2400.0);
        charge(&mut car);
        weeks(&car, 6, 33.0)
    };
    let (clean, left) = (repaired(true, true), repaired(false, true));
    let unflushed = repaired(true, false);
    assert_eq!(clean[5].screen_kg, 0.0);
    assert!(clean[5].drag_n_m < 0.5, "{:?}", clean[5]);
    assert!(left[5].drag_n_m > 5.0, "{:?}", left[5]);
    assert!(
        left[5].road_vent_k > clean[5].road_vent_k + 2.0,
        "{:?}",
        left[5]
    );
    assert!(unflushed[5].drag_n_m > clean[5].drag_n_m + 0.5);
}

/// A compressor short of oil wears; one started with all of its oil in the cylinders breaks its valves.
#[test]
fn oil_short_or_in_the_cylinders_ruins_a_compressor() {
    let short = weeks(&car_with(&[(Knob::OilShare, 0.4)]), 6, 33.0);
    let right = weeks(&car_with(&[]), 6, 33.0);
    assert!(
        short[5].drag_n_m > right[5].drag_n_m + 3.0,
        "{:?}",
        short[5]
    );
    let valves_m2 = |by_hand: bool| {
        let mut car = car_with(&[]);
        opened(&mut car, LeakPlace::Compressor, 60.0);
        car.fit(Job::Compressor, &CarSpec::example(), 1.0);
        if by_hand {
            car.turn_hub();
        }
        evacuate(&mut car, 1800.0);
        charge(&mut car);
        let idling = Setup {
            engine_rev_s: 14.0,
            ac_on: true,
            blower_step: 2,
            ..Setup::parked()
        };
        car.advance(&idling, 60.0).expect("settles");
        car.spec().compressor.valve_leak_area_m2
    };
    assert!(valves_m2(false) > valves_m2(true) + 1e-6);
}

/// A new compressor comes with the label's oil in it: what the old one held has to come out again.
#[test]
fn oil_is_balanced_against_what_ran_out_of_the_old_part() {
    let mut car = car_with(&[]);
    opened(&mut car, LeakPlace::Compressor, 60.0);
    // The machine has taken some of it along with the refrigerant.
    let held = car.oil_share();
    assert!(held < 0.95 && held > 0.75, "{held}");
    assert!((held + car.state().service.recovered_oil - 1.0).abs() < 1e-9);
    let off = car.fit(Job::Compressor, &CarSpec::example(), 1.0);
    assert!((off.oil_share - 0.5 * held).abs() < 1e-9, "{off:?}");
    assert!((car.oil_share() - (0.5 * held + 1.0)).abs() < 1e-9);
    let too_much = car.oil_share() - 1.0;
    assert!((car.add_oil(-too_much, false) + too_much).abs() < 1e-9);
    assert!((car.oil_share() - 1.0).abs() < 1e-9);
    car.add_oil(0.25, true);
    assert!((car.spec().oil.foreign_share - 0.2).abs() < 1e-9);
}

/// Too much refrigerant passes on a mild day and cuts the compressor out on a hot one.
#[test]
fn an_overcharge_waits_for_a_hot_day() {
    let car = car_with(&[(Knob::ChargeShare, 1.6)]);
    let sound = car_with(&[]);
    let peak = |car: &Car, celsius| weeks(car, 1, celsius)[0];
    let (mild, hot) = (peak(&car, 20.0), peak(&car, 47.0));
    assert_eq!(mild.cut_outs, 0);
    assert!(hot.cut_outs > peak(&sound, 47.0).cut_outs || hot.relieved);
}

/// Left open in the damp with a spent drier and hardly evacuated, a loop freezes; a long vacuum dries it.
#[test]
fn moisture_left_in_freezes_and_a_long_vacuum_takes_it_away() {
    let refilled = |evacuated_s: f64| {
        let mut car = car_with(&[(Knob::DrierSpent, 1.0)]);
        opened(&mut car, LeakPlace::LiquidLine, 24.0 * 3600.0);
        evacuate(&mut car, evacuated_s);
        charge(&mut car);
        weeks(&car, 2, 22.0)
    };
    let (short, long) = (refilled(60.0), refilled(5400.0));
    assert!(short[0].least_open < 0.2, "{:?}", short[0]);
    assert!(long[0].least_open > 0.9, "{:?}", long[0]);
    assert!(short[0].road_vent_k > long[0].road_vent_k + 1.0);
}

/// An oil of another kind leaves with what it is in: poured out of the compressor, flushed out of pipes and
/// cores, gone with the drier. What is put in then is the label's.
#[test]
fn wrong_oil_goes_where_the_parts_it_is_in_go() {
    let mut car = car_with(&[(Knob::ForeignOil, 0.6)]);
    opened(&mut car, LeakPlace::Compressor, 60.0);
    let before = car.spec().oil.foreign_share;
    assert!((before - 0.6).abs() < 1e-9);
    // A machine has taken some of it along.
    let held = car.oil_share();
    let poured = -car.add_oil(-1.0, false);
    for job in [
        Job::DischargeHose,
        Job::LiquidLine,
        Job::SuctionHose,
        Job::Condenser,
        Job::Evaporator,
    ] {
        car.flush(job);
    }
    car.fit(Job::Drier, &CarSpec::example(), 0.0);
    // Half of it is in the compressor, where a fifth clings.
    assert!((poured / held - 0.4).abs() < 1e-9, "{poured} poured");
    let left = car.oil_share() / held;
    assert!((left - 0.1).abs() < 1e-9, "{left} left");
    car.add_oil(1.0 - car.oil_share(), false);
    assert!((car.oil_share() - 1.0).abs() < 1e-9);
    let left = car.spec().oil.foreign_share;
    assert!(left < 0.07, "{left} of the wrong kind");
    // A compressor that comes with its own oil leaves the rest as it is.
    let mut swapped = car_with(&[(Knob::ForeignOil, 0.6)]);
    opened(&mut swapped, LeakPlace::Compressor, 60.0);
    swapped.fit(Job::Compressor, &CarSpec::example(), 0.5);
    let left = swapped.spec().oil.foreign_share;
    let wanted = 0.6 * 0.5 * held / (0.5 * held + 0.5);
    assert!((left - wanted).abs() < 1e-9, "{left} of the wrong kind");
}

/// Windings at high voltage lie in the oil: one that conducts takes their insulation, and the car shuts them
/// off below 500 Ω for each volt (ISO 6469-3, from memory). A new compressor in the old oil stays off, too.
#[test]
fn oil_that_conducts_shuts_a_motor_off() {
    let healthy = CarSpec::example_with_motor();
    let driven = |car: &mut Car| {
        let setup = Setup {
            engine_rev_s: 15.0,
            ac_on: true,
            blower_step: 3,
            ..Setup::parked()
        };
        car.advance(&setup, 60.0).expect("settles");
        car.state().compressor_rev_s
    };
    let of = |foreign: f64| {
        let mut spec = healthy.clone();
        Knob::ForeignOil.turn(&mut spec, foreign);
        Car::soaked(spec, DAY).expect("a known refrigerant")
    };
    assert!(driven(&mut of(0.0)) > 10.0);
    assert!(driven(&mut of(0.01)) > 10.0);
    assert!(driven(&mut of(0.1)) == 0.0);
    let mut car = of(0.5);
    opened(&mut car, LeakPlace::Compressor, 60.0);
    car.fit(Job::Compressor, &healthy, 0.5);
    evacuate(&mut car, 2400.0);
    charge(&mut car);
    assert!(driven(&mut car) == 0.0);
    let (ohm, asked_ohm) = car.insulation_ohm().expect("a motor");
    assert!(ohm < asked_ohm, "{ohm} Ω of {asked_ohm} Ω");
}
