//! No two faults look alike: on every vehicle each pair of them differs in at least two cues.
//!
//! `checks.md` §10 check 10 asks for it; that a fault has to be told by more than one reading is common
//! practice, no source. Cues are what a workshop reads without opening the loop: pressures, clamped
//! lines, air before and behind both exchangers, the glass or a hand along the liquid line, the
//! pressure once the car has stood, air from the vents, and the compressor's speed beside its pulley's.
//! A pressure or a speed counts from 3 %, an air flow from 10 %, a temperature from 1 K.
//! `fault_signs_orifice.rs` has the same for the published table on cars with an orifice tube.
//!
//! One pair is no pair: where no pass follows a drier bottle (the liftback), a blocked drier and a
//! blocked liquid line are the same stretch between bottle and valve, one passage of the model.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    fan_held_high, fluid_of, has_belt, has_valve, run, running, speed_held, vehicles, warm_car,
    weather, with, without_frost_cut_out,
};
use coldtrail_checks::view::{View, let_work};
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::loop_model::layout::Role;
use sim_core::spec::CarSpec;

/// Hot and slow, so that no fault ices the core: °C and rpm.
const DAY_C: f64 = 40.0;
const RPM: f64 = 900.0;

/// What any car can have.
const ANY: [(&str, Knob, f64); 8] = [
    ("undercharge", Knob::ChargeShare, 0.5),
    ("overcharge", Knob::ChargeShare, 1.5),
    ("air", Knob::AirInLoop, 6.0),
    ("condenser face", Knob::CondenserFaceBlocked, 0.5),
    ("weak blower", Knob::BlowerFlowLost, 0.4),
    ("liquid line", Knob::LiquidLineBlocked, 0.84),
    ("worn valves", Knob::CompressorValveLeak, 5.0),
    ("slipping belt", Knob::BeltSlip, 0.45),
];
/// What one with a thermal valve can have besides.
const VALVE: [(&str, Knob, f64); 3] = [
    ("valve open", Knob::ValveLeastLift, 1.0),
    ("valve shut", Knob::ValveGreatestLift, 0.3),
    ("drier", Knob::DrierBlocked, 0.86),
];
/// What one with an orifice tube can have besides.
const TUBE: [(&str, Knob, f64); 2] = [
    ("torn seal", Knob::OrificeBypass, 2.0),
    ("plugged", Knob::OrificeBlocked, 0.92),
];

/// Readings in the size of what counts.
fn readings(spec: &CarSpec) -> Vec<(&'static str, f64)> {
    let mut car = warm_car(spec, weather(DAY_C, 0.55));
    run(&mut car, &running(spec, RPM), 1800.0);
    let view = View::of(&car);
    let boiling_k = |role| car.fluid().saturation(car.pressure_pa(role)).temperature_k;
    let kelvin = |role| car.refrigerant_temperature_k(role).unwrap();
    let behind_drier = match car.layout().index_of(Role::Receiver) {
        Some(index) => boiling_k(car.layout().volumes[index + 1].role),
        None => boiling_k(Role::LiquidLine),
    };
    let ratio = car.spec().compressor.turned.pulley_ratio().unwrap_or(1.0);
    // A motor says its own speed.
    let slips = if has_belt(spec) {
        car.pulley_rev_s() / ratio / car.setup().engine_rev_s
    } else {
        let_work(&car)
    };
    let mut found = vec![
        ("low side", view.low_pa.ln() / 1.03_f64.ln()),
        ("high side", view.high_pa.ln() / 1.03_f64.ln()),
        ("superheat", view.superheat_k),
        ("subcooling", view.subcooling_k),
        ("discharge", view.discharge_c),
        ("vent", view.vent_c),
        ("condenser air", view.condenser_air_k),
        ("evaporator air", view.evaporator_air_k),
        ("suction hose", kelvin(Role::SuctionLine)),
        ("liquid line", kelvin(Role::LiquidLine)),
        ("condenser outlet", kelvin(car.layout().condenser_outlet())),
        ("evaporator inlet", kelvin(Role::Evaporator(0))),
        ("air flow", car.state().air_flow_kg_s.ln() / 1.1_f64.ln()),
        (
            "gas in the line",
            if view.liquid_line_quality > 0.005 {
                2.0
            } else {
                0.0
            },
        ),
        (
            "step along the line",
            boiling_k(Role::Condenser(2)) - boiling_k(Role::LiquidLine),
        ),
        (
            "step at the drier",
            boiling_k(Role::Condenser(2)) - behind_drier,
        ),
        ("speed", slips / 0.03),
    ];
    // Gauges on a car that has stood overnight.
    let cold = Car::soaked_with(fluid_of(spec), spec.clone(), weather(DAY_C, 0.55));
    let expected_pa = cold
        .fluid()
        .saturation_pressure_pa(cold.weather().temperature_k);
    let standing = cold.pressure_pa(Role::LiquidLine) / expected_pa;
    found.push(("standing", standing.ln() / 1.03_f64.ln()));
    found
}

#[test]
fn no_two_faults_look_alike_on_any_vehicle() {
    let mut alike = Vec::new();
    for vehicle in vehicles() {
        let spec = without_frost_cut_out(&speed_held(&fan_held_high(&vehicle.spec)));
        let healthy = readings(&spec);
        let own: &[_] = if has_valve(&spec) { &VALVE } else { &TUBE };
        let faults: Vec<_> = ANY.iter().chain(own).collect();
        let cues: Vec<Vec<i8>> = faults
            .iter()
            .map(|(_, knob, value)| {
                let seen = readings(&with(&spec, *knob, *value));
                let moved = seen.iter().zip(&healthy).map(|(now, then)| now.1 - then.1);
                moved
                    .map(|by| i8::from(by >= 1.0) - i8::from(by <= -1.0))
                    .collect()
            })
            .collect();
        for (i, a) in cues.iter().enumerate() {
            let (name, ..) = &faults[i];
            for (j, b) in cues.iter().enumerate().skip(i + 1) {
                // A cue that goes up with one and down with the other counts for two.
                let apart: u8 = a.iter().zip(b).map(|(a, b)| a.abs_diff(*b)).sum();
                let same_stretch = spec.condenser.subcooler.is_none()
                    && [*name, faults[j].0] == ["liquid line", "drier"];
                if apart < 2 && !same_stretch {
                    alike.push(format!("{}: {name} and {}", vehicle.id, faults[j].0));
                }
            }
        }
    }
    assert!(alike.is_empty(), "{alike:#?}");
}
