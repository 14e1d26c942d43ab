//! How a healthy car answers to its charge: the signature of its architecture.
//!
//! Plateau of capacity and subcooling: Li et al. 2020, Energies. Loss at 40 % too little, 10 to 40 %:
//! between Kim & Braun 2012, IJR 35(7) (25 % too little costs 20 %) and Atik & Aktas 2011, Isı Bil.
//! 31(1):11-17 (up to 25 %). Fixed orifices fall off below 90 % of the charge: ORNL's survey of ASHRAE
//! RP-1173. Too much is reasoned (checks.md §10).
//!
//! At 35 °C, 1500 rpm, recirculated air, the fan at one stage: its switching would step the sweep.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    fan_held_high, has_valve, mean, run, running, vehicles_where, warm_car, weather, with,
    without_frost_cut_out,
};
use coldtrail_checks::view::View;
use sim_core::faults::Knob;
use sim_core::loop_model::layout::Role;
use sim_core::spec::CarSpec;

/// A car with a share of its charge.
fn charged(spec: &CarSpec, share: f64) -> View {
    let spec = with(
        &fan_held_high(&without_frost_cut_out(spec)),
        Knob::ChargeShare,
        share,
    );
    // Not `steady`: with liquid just reaching back into the condenser, the last kPa take an hour.
    let mut car = warm_car(&spec, weather(35.0, 0.5));
    run(&mut car, &running(&spec, 1500.0), 1800.0);
    View::of(&car)
}

/// Percents of the charge around the label over which capacity keeps within 3 % of the label's and
/// subcooling within 1 K of its middle.
fn plateau(spec: &CarSpec) -> (usize, usize) {
    let label = charged(spec, 1.0);
    let seen: Vec<View> = (55..=140)
        .map(|percent| charged(spec, f64::from(percent) / 100.0))
        .collect();
    let flat = |from: usize, to: usize| {
        let run = &seen[from..=to];
        let least = run.iter().map(|s| s.subcooling_k).fold(f64::MAX, f64::min);
        let greatest = run.iter().map(|s| s.subcooling_k).fold(f64::MIN, f64::max);
        greatest - least <= 2.0
            && run
                .iter()
                .all(|s| (s.capacity_w / label.capacity_w - 1.0).abs() <= 0.03)
    };
    let of_label = 100 - 55;
    let mut widest = (of_label, of_label);
    for from in 0..=of_label {
        for to in of_label..seen.len() {
            if to - from > widest.1 - widest.0 && flat(from, to) {
                widest = (from, to);
            }
        }
    }
    (widest.0 + 55, widest.1 + 55)
}

/// A receiver hands on the same liquid however full it is: over at least 25 % of the label's charge
/// nothing shows, and the label lies on that stretch. A drier bottle without a subcooling pass has it
/// at almost no subcooling, up to the label.
#[test]
fn capacity_and_subcooling_have_a_plateau_over_charge() {
    for vehicle in vehicles_where(has_valve) {
        let id = &vehicle.id;
        let (from, to) = plateau(&vehicle.spec);
        assert!(to - from >= 25, "{id}: from {from} to {to} %");
        // And it ends on both sides: that is what makes it a plateau.
        let at = |percent: f64| charged(&vehicle.spec, percent / 100.0);
        let (over, under) = (at(to as f64 + 25.0), at(from as f64 - 10.0));
        assert!(
            over.subcooling_k > at(to as f64).subcooling_k + 3.0,
            "{id}: {}",
            over.subcooling_k
        );
        let lost = 1.0 - under.capacity_w / at(from as f64).capacity_w;
        let less_subcooled = at(from as f64).subcooling_k - under.subcooling_k;
        assert!(
            lost > 0.03 || less_subcooled > 3.0,
            "{id}: {lost} lost, {less_subcooled} K less subcooled"
        );
    }
}

/// 20 % too much: at least 5 % more pressure and no more than 3 % more capacity, rising all the way.
#[test]
fn an_overcharge_costs_pressure_and_gains_nothing() {
    for vehicle in vehicles_where(has_valve) {
        let (label, over) = (charged(&vehicle.spec, 1.0), charged(&vehicle.spec, 1.2));
        let pressure = over.high_pa / label.high_pa - 1.0;
        let capacity = over.capacity_w / label.capacity_w - 1.0;
        assert!(pressure >= 0.05, "{}: {pressure} more pressure", vehicle.id);
        assert!(capacity <= 0.03, "{}: {capacity} more capacity", vehicle.id);
        let pressures: Vec<f64> = (100..=124)
            .step_by(2)
            .map(|percent| charged(&vehicle.spec, f64::from(percent) / 100.0).high_pa)
            .collect();
        assert!(
            pressures.is_sorted_by(|less, more| *more > less * 0.9999),
            "{}: {pressures:?}",
            vehicle.id
        );
    }
}

/// A tenth too little is hardly felt, two fifths too little are.
#[test]
fn capacity_falls_off_once_the_receiver_is_empty() {
    for vehicle in vehicles_where(has_valve) {
        let label = charged(&vehicle.spec, 1.0);
        let lost = |share| 1.0 - charged(&vehicle.spec, share).capacity_w / label.capacity_w;
        assert!(lost(0.9).abs() < 0.01, "{}: {}", vehicle.id, lost(0.9));
        assert!(
            (0.10..=0.40).contains(&lost(0.6)),
            "{}: {}",
            vehicle.id,
            lost(0.6)
        );
    }
}

/// An orifice tube has no valve to open wider: behind a modest reserve in the accumulator the loss
/// shows. Its cycling switch stays: without it the core ices up.
#[test]
fn an_orifice_car_loses_below_nine_tenths_of_its_charge() {
    for vehicle in vehicles_where(|spec| !has_valve(spec)) {
        let id = &vehicle.id;
        let at = |share: f64| {
            let spec = with(&fan_held_high(&vehicle.spec), Knob::ChargeShare, share);
            mean(&spec, weather(35.0, 0.5), &running(&spec, 1500.0))
        };
        let label = at(1.0);
        let lost = |share: f64| 1.0 - at(share).capacity_w / label.capacity_w;
        assert!(lost(0.9).abs() < 0.02, "{id}: {} at 90 %", lost(0.9));
        assert!(lost(0.8) > 0.03, "{id}: {} at 80 %", lost(0.8));
        assert!(lost(0.7) > 0.10, "{id}: {} at 70 %", lost(0.7));
        assert!(at(0.8).high_pa < 0.96 * label.high_pa, "{id}: high side");
        // Too much only fills the accumulator.
        let over = at(1.2);
        assert!(
            (over.capacity_w / label.capacity_w - 1.0).abs() < 0.01,
            "{id}: capacity"
        );
        assert!((over.high_pa / label.high_pa - 1.0).abs() < 0.03, "{id}");
        let mut car = warm_car(&fan_held_high(&vehicle.spec), weather(30.0, 0.5));
        run(&mut car, &running(&vehicle.spec, 1000.0), 1800.0);
        let quality = car.quality(Role::Accumulator).unwrap();
        assert!(quality < 0.9, "{id}: no reserve, quality {quality}");
    }
}
