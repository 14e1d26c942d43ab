//! Cars with an orifice tube and an accumulator: how often their clutch goes in and out, and what
//! they make of too much and too little refrigerant.
//!
//! A cycling switch opens at 22 and closes at 45 psi gauge, and its car does not cycle at a full load,
//! cycles a few times a minute at a light one, and is in for more of the time the warmer the day
//! (common practice, no source; set points: checks.md §6). Which way a wrong charge shows is reasoned
//! (checks.md §4b); a fixed orifice feels a tenth too little (ORNL's survey of ASHRAE RP-1173).
//! `controls.rs` holds the switch to its set points, `charge_sweep.rs` the loss to its charge and
//! `speed_response.rs` capacity to speed.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    has_valve, idling, run, running, vehicles_where, warm_car, weather, with,
};
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::loop_model::layout::Role;
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

const MINUTES: f64 = 10.0;
/// Speeds and days of a full load: doors open, top blower, recirculated air, 50 %.
const RPM: [f64; 4] = [1000.0, 1500.0, 2000.0, 3000.0];
const HOT_C: [f64; 5] = [30.0, 32.5, 35.0, 37.5, 40.0];

/// What ten minutes show after a quarter of an hour.
#[derive(Clone, Copy, Debug, Default)]
struct Seen {
    /// Times a minute that the clutch pulled in.
    pulls: f64,
    /// Share of the time it was in.
    duty: f64,
    /// Centre vent, °C.
    vent_c: f64,
    /// Heat from air into the evaporator, W.
    capacity_w: f64,
    /// High side, Pa absolute.
    high_pa: f64,
    /// Liquid line below its boiling point, K.
    subcooling_k: f64,
    /// Discharge gas, °C.
    discharge_c: f64,
    /// Quality in the suction hose.
    suction_quality: f64,
    /// Share of the accumulator that liquid fills.
    filled: f64,
}

fn seen(spec: &CarSpec, celsius: f64, setup: &Setup) -> Seen {
    let mut car = warm_car(spec, weather(celsius, 0.5));
    run(&mut car, setup, 900.0);
    let before = car.state().clutch_engagements;
    let mut mean = Seen::default();
    let watched = car.advance_watched(setup, MINUTES * 60.0, |car, step_s| {
        let share = step_s / (MINUTES * 60.0);
        let line_k = car.refrigerant_temperature_k(Role::LiquidLine).unwrap();
        let head_k = car.refrigerant_temperature_k(Role::CompressorHead).unwrap();
        let high_pa = car.pressure_pa(Role::LiquidLine);
        let boils_k = car.fluid().saturation(high_pa).temperature_k;
        mean.duty += share * f64::from(u8::from(car.state().clutch.engaged));
        mean.vent_c += share * (car.state().vents_k[1] - 273.15);
        mean.capacity_w += share * car.state().air_duty_w;
        mean.high_pa += share * high_pa;
        mean.subcooling_k += share * (boils_k - line_k);
        mean.discharge_c += share * (head_k - 273.15);
        mean.suction_quality += share * car.quality(Role::SuctionLine).unwrap();
        mean.filled += share * filled(car);
    });
    assert_eq!(watched, Ok(()));
    mean.pulls = f64::from(car.state().clutch_engagements - before) / MINUTES;
    mean
}

/// Share of the accumulator that liquid fills.
fn filled(car: &Car) -> f64 {
    let saturation = car.fluid().saturation(car.pressure_pa(Role::Accumulator));
    let quality = car.quality(Role::Accumulator).unwrap().clamp(0.0, 1.0);
    let liquid = (1.0 - quality) / saturation.liquid_density_kg_per_m3;
    liquid / (liquid + quality / saturation.vapour_density_kg_per_m3)
}

fn cycles_by_pressure(spec: &CarSpec) -> bool {
    !has_valve(spec) && spec.controls.cycling_pa.is_some()
}

/// A car that clicks at a full load is taken for one low on charge.
#[test]
fn a_sound_car_does_not_cycle_at_a_full_load() {
    let mut cars = 0;
    for vehicle in vehicles_where(cycles_by_pressure) {
        for rpm in RPM {
            for celsius in HOT_C {
                let now = seen(&vehicle.spec, celsius, &running(&vehicle.spec, rpm));
                let id = &vehicle.id;
                assert!(
                    now.pulls == 0.0 && now.duty > 0.999,
                    "{id} at {celsius} °C, {rpm} rpm: {now:?}"
                );
            }
        }
        cars += 1;
    }
    assert!(cars >= 1, "no car cycles by pressure");
}

/// "A few times a minute": no more than about six, on any day and at any speed.
#[test]
fn a_sound_car_clicks_a_few_times_a_minute_at_most() {
    let mut cycled = 0;
    for vehicle in vehicles_where(cycles_by_pressure) {
        for rpm in RPM {
            for celsius in [15.0, 17.5, 20.0, 22.5, 25.0, 27.5, 30.0, 35.0, 40.0] {
                let now = seen(&vehicle.spec, celsius, &running(&vehicle.spec, rpm));
                let id = &vehicle.id;
                assert!(now.pulls <= 6.3, "{id} at {celsius} °C, {rpm} rpm: {now:?}");
                cycled += usize::from(now.pulls > 1.0);
            }
        }
    }
    assert!(cycled >= 8, "cycled at {cycled} conditions only");
}

/// At a fixed humidity a warmer day is more work.
#[test]
fn the_clutch_is_in_for_longer_on_a_warmer_day() {
    for vehicle in vehicles_where(cycles_by_pressure) {
        for rpm in RPM {
            let duty = [15.0, 17.5, 20.0, 22.5, 25.0, 27.5, 30.0, 35.0]
                .map(|celsius| seen(&vehicle.spec, celsius, &running(&vehicle.spec, rpm)).duty);
            let id = &vehicle.id;
            // Steps add up to ten minutes to the last digit but one.
            let rises = duty.is_sorted_by(|mild, warm| *warm > mild - 1e-9);
            assert!(rises, "{id} at {rpm} rpm: {duty:?}");
            assert!(duty[0] < 0.5, "{id} at {rpm} rpm: {duty:?}");
        }
    }
}

/// A hotter day never cools the vents, and at a full load a faster engine never warms them: were the
/// clutch to start clicking there, both would turn round.
#[test]
fn vents_warm_with_the_day_and_cool_with_speed() {
    for vehicle in vehicles_where(|spec| !has_valve(spec)) {
        let id = &vehicle.id;
        let vents = RPM.map(|rpm| {
            HOT_C.map(|celsius| seen(&vehicle.spec, celsius, &running(&vehicle.spec, rpm)).vent_c)
        });
        for at_speed in &vents {
            assert!(at_speed.is_sorted(), "{id}: {vents:?}");
        }
        for pair in vents.windows(2) {
            for (slow, fast) in pair[0].iter().zip(pair[1]) {
                assert!(fast < slow + 0.1, "{id}: {vents:?}");
            }
        }
    }
}

/// Partly full: some liquid in reserve at a full load, and room left at a light one.
#[test]
fn the_label_leaves_the_accumulator_partly_full() {
    for vehicle in vehicles_where(|spec| !has_valve(spec)) {
        let spec = &vehicle.spec;
        let hot = seen(spec, 35.0, &idling(spec)).filled;
        let mild = seen(spec, 20.0, &idling(spec)).filled;
        assert!(
            0.1 < hot && hot < mild && mild < 0.75,
            "{}: {hot} at 35 °C, {mild} at 20 °C",
            vehicle.id
        );
    }
}

/// The accumulator takes in the first of it without a trace. At 40 % too much liquid goes over into the
/// compressor, which cools its discharge, and backs up in the condenser; the high side shows it from
/// there on: 1.3 to 2 % more, and 3.9 to 6 % at 60 %. That it should show from 20 to 30 % on, as on a car
/// with a receiver, and that a designer leaves a tenth of the charge in reserve at a full load, cannot
/// both be had: on a mild day the condenser hands the accumulator another third of the charge.
#[test]
fn too_much_goes_over_into_the_compressor_and_backs_up() {
    for vehicle in vehicles_where(|spec| !has_valve(spec)) {
        for rpm in [1000.0, 1500.0] {
            let at = |share| {
                let spec = with(&vehicle.spec, Knob::ChargeShare, share);
                seen(&spec, 35.0, &running(&spec, rpm))
            };
            let (label, over) = (at(1.0), [1.2, 1.4, 1.5, 1.6].map(at));
            let said = format!("{} at {rpm} rpm: {label:?}\n{over:?}", vehicle.id);
            let [hidden, shown, more, much] = over;
            assert!(
                (hidden.high_pa / label.high_pa - 1.0).abs() < 0.01,
                "{said}"
            );
            assert!(
                shown.suction_quality < label.suction_quality - 0.1,
                "{said}"
            );
            assert!(shown.subcooling_k > label.subcooling_k + 1.0, "{said}");
            assert!(shown.discharge_c < label.discharge_c - 5.0, "{said}");
            assert!(shown.high_pa > 1.01 * label.high_pa, "{said}");
            assert!(more.high_pa > 1.02 * label.high_pa, "{said}");
            assert!(much.high_pa > 1.035 * label.high_pa, "{said}");
            assert!(much.subcooling_k > label.subcooling_k + 4.0, "{said}");
            assert!(much.capacity_w < label.capacity_w, "{said}");
        }
    }
}

/// The clutch of a car that lost half of its charge clicks fast where a sound one's stays in
/// (checks.md §4b).
#[test]
fn a_car_short_of_refrigerant_clicks_fast_at_a_full_load() {
    for vehicle in vehicles_where(cycles_by_pressure) {
        let spec = with(&vehicle.spec, Knob::ChargeShare, 0.5);
        let now = seen(&spec, 35.0, &running(&spec, 1500.0));
        assert!(now.pulls > 8.0, "{}: {now:?}", vehicle.id);
    }
}

/// A plain switch in the circuit of the relay's coil lets the clutch in as soon as it closes; what the
/// control itself switched off waits (from memory).
#[test]
fn a_cycling_switch_waits_for_nobody_and_a_cut_out_does() {
    for vehicle in vehicles_where(cycles_by_pressure) {
        let id = &vehicle.id;
        let mut patient = vehicle.spec.clone();
        patient.controls.least_off_s = 60.0;
        let light = Setup {
            doors_open: false,
            blower_step: 2,
            ..idling(&patient)
        };
        let now = seen(&patient, 20.0, &light);
        assert!(now.pulls > 1.5, "{id}: {now:?}");
        let blocked = with(&patient, Knob::CondenserFaceBlocked, 0.9);
        let mut car = warm_car(&blocked, weather(35.0, 0.5));
        let (mut engaged, mut let_go_s, mut waits) = (false, None, Vec::new());
        let watched = car.advance_watched(&idling(&blocked), 900.0, |car, step_s| {
            let now = car.state().clutch.engaged;
            // The step that shows a change began with it.
            let at_s = car.state().time_s - step_s;
            match (engaged, now) {
                (true, false) => let_go_s = Some(at_s),
                (false, true) => waits.extend(let_go_s.map(|let_go_s| at_s - let_go_s)),
                _ => {}
            }
            engaged = now;
        });
        assert_eq!(watched, Ok(()));
        assert!(waits.len() >= 2, "{id}: {waits:?}");
        assert!(waits.iter().all(|wait_s| *wait_s > 59.9), "{id}: {waits:?}");
    }
}
