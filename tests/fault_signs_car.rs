//! Which way readings move with a fault on a car with a thermal valve and a receiver.
//!
//! These signs are reasoned from the balances, not published: they carry the published table of
//! `fault_signs.rs` over to this kind of loop. Makers' troubleshooting pages confirm the outline
//! (overcharge or a poorly cooled condenser: both sides high; too little refrigerant: both sides low
//! and bubbles; valve open too wide or a weak compressor: high side low). A sign counts from 1 K, or
//! 3 % of an absolute pressure; "the same" is within that.
//!
//! Rows of that reasoning this loop does not show, and why:
//! - Vents warmer with an overcharge: the flooded condenser subcools more, which pays for its
//!   higher pressure (vents 0.3 to 0.7 K colder with 40 % too much).
//! - High side up, or as before, with a valve stuck open: where it takes all the receiver had to spare
//!   the high side falls (3 to 6 %), as makers' pages have it; a drier bottle that keeps some
//!   leaves it the same (+2.0 %).
//! - Subcooling lower with too little charge, or with a valve stuck open, where a drier bottle hands on
//!   boiling liquid and no pass follows: there was none (0.2 K). Bubbles show too little.
//! - Subcooling lower with a blocked condenser face, higher with a valve stuck shut: with a receiver
//!   before it, the subcooling pass stays full, and its subcooling follows the distance of the
//!   condensing temperature from the air's, which moves the other way.
//! - Superheat the same with a slipping belt: at a higher low side the spring's pressure is fewer
//!   kelvins of superheat (1.6 to 1.7 K fewer).
//! - Subcooling lower with leaking compressor valves: the same, within 0.3 K.
//!
//! A plate that tilts, full when the car is sound, answers a starved evaporator first: with a valve
//! stuck shut, a lost sensing charge or a blocked drier its stroke falls to 0.41, 0.47 and 0.78, and the
//! low side moves by -67, +6 and -7 kPa where fixed compressors lose 20 to 215 kPa. "Low side down" is
//! not asked there, but less stroke and a low side that is not up.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::bench::finding;
use coldtrail_checks::stand::{
    fan_held_high, has_belt, has_valve, idling, run, running, speed_held, steady, vehicles_where,
    weather, with, without_frost_cut_out,
};
use coldtrail_checks::view::View;
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::instruments::{Check, Sense, Spot};
use sim_core::loop_model::layout::Role;
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

/// Stroke below which a plate that tilts is holding the compressor back.
const HELD_BACK: f64 = 0.95;

/// Doors open, recirculation, top blower, 33 °C, 55 %, 1500 rpm, fan held at its high stage.
fn look(spec: &CarSpec) -> (Car, View) {
    steady(spec, weather(33.0, 0.55), &running(spec, 1500.0))
}

/// A healthy car beside one with a fault, for every vehicle.
fn beside(knob: Knob, value: f64, mut check: impl FnMut(&Moved)) {
    for vehicle in vehicles_where(has_valve) {
        let spec = without_frost_cut_out(&speed_held(&fan_held_high(&vehicle.spec)));
        let moved = Moved {
            id: format!("{}, {knob:?} {value}", vehicle.id),
            healthy: look(&spec),
            faulty: look(&with(&spec, knob, value)),
        };
        check(&moved);
    }
}

struct Moved {
    id: String,
    healthy: (Car, View),
    faulty: (Car, View),
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Sign {
    Up,
    Same,
    Down,
    NotUp,
    NotDown,
}
use Sign::{Down, NotDown, NotUp, Same, Up};

impl Moved {
    /// By how many thresholds a quantity moved, against the sign it should have.
    fn check(&self, what: &str, by: f64, sign: Sign) {
        let right = match sign {
            Up => by >= 1.0,
            Down => by <= -1.0,
            Same => by.abs() < 1.0,
            NotUp => by < 1.0,
            NotDown => by > -1.0,
        };
        assert!(
            right,
            "{}: {what} moved by {by:.2} thresholds, wanted {sign:?}",
            self.id
        );
    }

    fn pressures(&self, low: Sign, high: Sign) {
        let share = |of: fn(&View) -> f64| (of(&self.faulty.1) / of(&self.healthy.1) - 1.0) / 0.03;
        self.check("low side", share(|view| view.low_pa), low);
        self.check("high side", share(|view| view.high_pa), high);
    }

    /// Both sides lower with less refrigerant let in. A plate that tilts holds the low side by its
    /// stroke, as long as it can.
    fn starved(&self) {
        let strokes = (self.healthy.1.stroke, self.faulty.1.stroke);
        if strokes.1 < HELD_BACK {
            self.pressures(NotUp, Down);
            let less = strokes.0 - strokes.1;
            assert!(less > 0.15, "{}: stroke from {strokes:?}", self.id);
        } else {
            self.pressures(Down, Down);
        }
    }

    fn kelvins(&self, superheat: Sign, discharge: Sign, vents: Sign) {
        self.check("superheat", self.by(|view| view.superheat_k), superheat);
        self.check("discharge", self.by(|view| view.discharge_c), discharge);
        self.check("vents", self.by(|view| view.vent_c), vents);
    }

    fn subcooling(&self, sign: Sign) {
        self.check("subcooling", self.by(|view| view.subcooling_k), sign);
    }

    fn by(&self, of: fn(&View) -> f64) -> f64 {
        of(&self.faulty.1) - of(&self.healthy.1)
    }
}

/// No bubbles: in the glass of a car that has one, else in the liquid line.
fn clear(car: &Car) -> bool {
    if car.spec().sight_glass {
        return finding(car, Check::Sense(Sense::Look, Spot::SightGlass)) == "clear";
    }
    car.quality(Role::LiquidLine).unwrap() < 0.0
}

#[test]
fn a_little_charge_missing_shows_nowhere() {
    beside(Knob::ChargeShare, 0.9, |moved| {
        moved.pressures(Same, Same);
        moved.kelvins(Same, Same, Same);
        moved.subcooling(Same);
        assert!(clear(&moved.healthy.0), "{}: bubbles when sound", moved.id);
        assert!(clear(&moved.faulty.0), "{}: bubbles", moved.id);
    });
}

#[test]
fn an_empty_receiver_starves_the_evaporator() {
    beside(Knob::ChargeShare, 0.5, |moved| {
        moved.pressures(Down, Down);
        moved.kelvins(Up, Up, Up);
        if moved.healthy.0.spec().condenser.subcooler.is_some() {
            moved.subcooling(Down);
        }
        let left = moved.faulty.1.subcooling_k;
        assert!(left < 2.0, "{}: {left} K of subcooling left", moved.id);
        let gas = moved.faulty.1.liquid_line_quality;
        assert!(gas > 0.0, "{}: no gas in the liquid line", moved.id);
        assert!(!clear(&moved.faulty.0), "{}: no bubbles", moved.id);
        assert!(clear(&moved.healthy.0), "{}: bubbles when sound", moved.id);
    });
}

#[test]
fn an_overcharge_floods_the_condenser() {
    beside(Knob::ChargeShare, 1.4, |moved| {
        moved.pressures(NotDown, Up);
        moved.kelvins(NotUp, Up, Same);
        moved.subcooling(Up);
        assert!(moved.by(|view| view.high_pa) > 0.25e6, "{}", moved.id);
        assert!(moved.by(|view| view.subcooling_k) > 8.0, "{}", moved.id);
    });
}

#[test]
fn a_blocked_condenser_lifts_both_sides() {
    beside(Knob::CondenserFaceBlocked, 0.5, |moved| {
        moved.pressures(Up, Up);
        moved.kelvins(NotUp, Up, Up);
        assert!(moved.by(|view| view.high_pa) > 0.4e6, "{}", moved.id);
    });
}

/// What the fan does not move, the road does.
#[test]
fn a_weak_fan_is_cured_by_the_road() {
    for vehicle in vehicles_where(has_valve) {
        let weak = with(&vehicle.spec, Knob::FanFlowLost, 0.6);
        let more = |setup: &Setup| {
            let seen = [&vehicle.spec, &weak].map(|spec| {
                let spec = without_frost_cut_out(&speed_held(&fan_held_high(spec)));
                steady(&spec, weather(33.0, 0.55), setup).1
            });
            seen[1].high_pa / seen[0].high_pa - 1.0
        };
        let standing = idling(&vehicle.spec);
        let driving = Setup {
            road_speed_m_s: 22.0,
            ..standing.clone()
        };
        let (standing, driving) = (more(&standing), more(&driving));
        assert!(standing > 0.20, "{}: {standing} at idle", vehicle.id);
        assert!(
            driving < 0.25 * standing,
            "{}: {driving} on the road",
            vehicle.id
        );
    }
}

#[test]
fn a_valve_stuck_open_drowns_the_evaporator() {
    beside(Knob::ValveLeastLift, 1.0, |moved| {
        moved.kelvins(Down, Down, NotDown);
        // Where the evaporator takes all that the receiver had to spare, the condenser drains. A bottle
        // that keeps some goes on handing on liquid.
        let drains = level(&moved.faulty.0) < 0.1;
        let high = if drains { Down } else { Same };
        moved.pressures(Up, high);
        moved.subcooling(high);
        let wet = moved.faulty.1.superheat_k;
        assert!(wet < 0.5, "{}: {wet} K of superheat", moved.id);
        // The suction hose sweats: it carries liquid, and is colder than a healthy one.
        let hose = |car: &Car| car.refrigerant_temperature_k(Role::SuctionLine).unwrap();
        let colder = hose(&moved.healthy.0) - hose(&moved.faulty.0);
        assert!(colder > 3.0, "{}: suction hose {colder} K colder", moved.id);
    });
}

#[test]
fn a_valve_stuck_shut_starves_the_evaporator() {
    beside(Knob::ValveGreatestLift, 0.15, |moved| {
        moved.starved();
        moved.kelvins(Up, Up, Up);
        if moved.faulty.1.stroke > HELD_BACK {
            assert!(moved.by(|view| view.low_pa) < -0.1e6, "{}", moved.id);
        }
        assert!(moved.by(|view| view.superheat_k) > 10.0, "{}", moved.id);
    });
}

#[test]
fn a_lost_sensing_charge_starves_the_evaporator() {
    beside(Knob::SensingChargeLost, 0.3, |moved| {
        moved.starved();
        moved.kelvins(Up, Up, Up);
        assert!(moved.by(|view| view.superheat_k) > 8.0, "{}", moved.id);
    });
}

/// Share of the receiver that liquid fills.
fn level(car: &Car) -> f64 {
    let saturation = car.fluid().saturation(car.pressure_pa(Role::Receiver));
    let (liquid, vapour) = (
        saturation.liquid_density_kg_per_m3,
        saturation.vapour_density_kg_per_m3,
    );
    let quality = car.quality(Role::Receiver).unwrap().clamp(0.0, 1.0);
    let density = 1.0 / (quality / vapour + (1.0 - quality) / liquid);
    (density - vapour) / (liquid - vapour)
}

/// The subcooling pass, or without one the liquid line.
fn behind_the_bottle(car: &Car) -> Role {
    let volumes = &car.layout().volumes;
    volumes[car.layout().index_of(Role::Receiver).unwrap() + 1].role
}

#[test]
fn a_blocked_drier_is_cold_behind_the_block() {
    beside(Knob::DrierBlocked, 0.86, |moved| {
        moved.starved();
        moved.kelvins(Up, Up, Up);
        moved.subcooling(Up);
        let step = |car: &Car| {
            let boiling = |role| car.fluid().saturation(car.pressure_pa(role)).temperature_k;
            boiling(Role::Receiver) - boiling(behind_the_bottle(car))
        };
        let (healthy, faulty) = (step(&moved.healthy.0), step(&moved.faulty.0));
        assert!(
            healthy < 2.0,
            "{}: {healthy} K across a sound drier",
            moved.id
        );
        assert!(faulty > 10.0, "{}: {faulty} K across the block", moved.id);
    });
}

#[test]
fn leaking_compressor_valves_bring_the_sides_together() {
    beside(Knob::CompressorValveLeak, 5.0, |moved| {
        moved.pressures(Up, Down);
        moved.check("superheat", moved.by(|view| view.superheat_k), NotUp);
        moved.check("vents", moved.by(|view| view.vent_c), Up);
        // And quickly so once it stops.
        let apart = |car: &Car| {
            let mut car = car.clone();
            run(&mut car, &Setup::parked(), 10.0);
            car.pressure_pa(Role::CompressorHead) - car.pressure_pa(Role::SuctionLine)
        };
        let (healthy, faulty) = (apart(&moved.healthy.0), apart(&moved.faulty.0));
        assert!(
            faulty < 0.5 * healthy,
            "{}: {faulty} Pa, sound {healthy} Pa",
            moved.id
        );
    });
}

#[test]
fn a_slipping_belt_slows_everything() {
    beside(Knob::BeltSlip, 0.45, |moved| {
        if has_belt(moved.healthy.0.spec()) {
            moved.pressures(Up, Down);
            moved.kelvins(NotUp, Down, Up);
        } else {
            moved.pressures(Same, Same);
        }
    });
}

/// A motor that has lost most of its torque turns as slowly as a slipping belt would.
#[test]
fn a_weak_motor_slows_everything() {
    let mut cars = 0;
    beside(Knob::MotorPowerLost, 0.6, |moved| {
        if !has_belt(moved.healthy.0.spec()) {
            moved.pressures(Up, Down);
            moved.check("discharge", moved.by(|view| view.discharge_c), Down);
            moved.check("vents", moved.by(|view| view.vent_c), Up);
            cars += 1;
        }
    });
    assert!(cars > 0, "no car has a motor for its compressor");
}

/// Hot, so that less air does not ice the core, and not so slow that a small car's valve is at its
/// pressure limit: less air would only let go of that.
#[test]
fn a_weak_blower_gives_less_air_and_colder() {
    for vehicle in vehicles_where(has_valve) {
        let spec = without_frost_cut_out(&speed_held(&fan_held_high(&vehicle.spec)));
        let seen = [0.0, 0.4].map(|lost| {
            let spec = with(&spec, Knob::BlowerFlowLost, lost);
            steady(&spec, weather(40.0, 0.55), &running(&spec, 1300.0)).1
        });
        let id = &vehicle.id;
        assert!(seen[1].low_pa < 0.97 * seen[0].low_pa, "{id}: low side");
        assert!(seen[1].high_pa < 0.97 * seen[0].high_pa, "{id}: high side");
        assert!(seen[1].vent_c < seen[0].vent_c - 1.0, "{id}: vents");
        assert!(seen[1].capacity_w < seen[0].capacity_w, "{id}: capacity");
    }
}
