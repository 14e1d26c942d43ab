//! Which way readings move with a fault of the air side, on every car: less air through the
//! condenser, less through the evaporator, and air warmed behind it.
//!
//! Reasoned from the balances, not published, but for the rows that `fault_signs.rs` has from Rossi &
//! Braun 1997. A sign counts from 1 K, or 3 % of an absolute pressure; "the same" is within that.
//!
//! Two signs of that reasoning these loops do not show:
//! - subcooling lower with less air through the condenser: it is 1 K higher with the face blocked, as
//!   the pass behind the receiver stays full (see `fault_signs_car.rs`), and not checked here;
//! - superheat lower with less air through the evaporator: the thermal valve holds it within 0.1 K.
//!
//! A car with an orifice tube has no superheat to move: the charge answers, and with less air through
//! the condenser its subcooling is less. What goes into the compressor is as wet as the accumulator
//! leaves it, so its discharge follows the load. A compressor held back answers by its stroke first.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    fan_held_high, has_valve, running, steady, vehicles, weather, with, without_frost_cut_out,
};
use coldtrail_checks::view::View;
use scenarios::Vehicle;
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

/// Coolant of every warm car here, °C.
const WARM_COOLANT_C: f64 = 90.0;

/// Where a fault is looked at: outside temperature, °C, and engine speed, rpm. Air at 55 %, cabin air,
/// doors open, top blower, the fan at its high stage whatever the pressure.
#[derive(Clone, Copy)]
struct Stand(f64, f64);

const USUAL: Stand = Stand(33.0, 1500.0);
/// Where less air does not ice the core, and valves do not hold the low side at their pressure limit.
const FROST_FREE: Stand = Stand(35.0, 900.0);

fn look(stand: Stand, spec: &CarSpec, road_m_s: f64) -> (Car, View) {
    let spec = without_frost_cut_out(&fan_held_high(spec));
    let setup = Setup {
        road_speed_m_s: road_m_s,
        ..running(&spec, stand.1)
    };
    steady(&spec, weather(stand.0, 0.55), &setup)
}

/// A healthy car's readings and a faulty one's.
struct Moved {
    what: String,
    valve: bool,
    healthy: View,
    faulty: View,
}

impl Moved {
    fn of(vehicle: &Vehicle, stand: Stand, knob: Knob, value: f64, road_m_s: f64) -> Self {
        Self {
            what: format!("{}, {knob:?} {value}, {road_m_s} m/s", vehicle.id),
            valve: has_valve(&vehicle.spec),
            healthy: look(stand, &vehicle.spec, road_m_s).1,
            faulty: look(stand, &with(&vehicle.spec, knob, value), road_m_s).1,
        }
    }

    fn kelvins(&self, of: fn(&View) -> f64) -> f64 {
        of(&self.faulty) - of(&self.healthy)
    }

    fn share(&self, of: fn(&View) -> f64) -> f64 {
        of(&self.faulty) / of(&self.healthy) - 1.0
    }

    /// The healthy compressor is held back, so that it can answer by more stroke.
    fn held_back(&self) -> bool {
        self.healthy.stroke < 0.95
    }

    fn check(&self, right: bool, quantity: &str, by: f64) {
        assert!(right, "{}: {quantity} moved by {by:.3}", self.what);
    }

    /// Everything on the refrigerant side as it was.
    fn loop_is_left_alone(&self) {
        for (name, of) in PRESSURES {
            self.check(self.share(of).abs() < 0.03, name, self.share(of));
        }
        for (name, of) in TEMPERATURES {
            self.check(self.kelvins(of).abs() < 1.0, name, self.kelvins(of));
        }
        let discharge = self.kelvins(|view| view.discharge_c);
        let load = self.share(|view| view.capacity_w);
        let right = if self.valve {
            discharge.abs() < 1.0
        } else {
            discharge * load >= 0.0 && load.abs() < 0.04
        };
        self.check(right, "discharge", discharge);
    }
}

type Column = (&'static str, fn(&View) -> f64);
const PRESSURES: [Column; 2] = [
    ("low side", |view| view.low_pa),
    ("high side", |view| view.high_pa),
];
const TEMPERATURES: [Column; 2] = [
    ("superheat", |view| view.superheat_k),
    ("subcooling", |view| view.subcooling_k),
];

/// Ways to lose the condenser's air or what it takes up, each at about 5 to 12 % of the capacity.
const CONDENSER_FAULTS: [(Knob, f64); 6] = [
    (Knob::CondenserFaceBlocked, 0.5),
    (Knob::CondenserFinsLost, 0.6),
    (Knob::CondenserFinsBent, 0.7),
    (Knob::FanFlowLost, 0.5),
    (Knob::FanShroudMissing, 1.0),
    (Knob::CondenserSealsMissing, 1.0),
];

/// Both pressures up, the high side most; hotter discharge, warmer vents, no more superheat. A
/// compressor held back gives more stroke before low side and vents follow by much.
#[test]
fn a_condenser_short_of_air_lifts_both_sides() {
    for vehicle in vehicles() {
        for (knob, value) in CONDENSER_FAULTS {
            let moved = Moved::of(vehicle, USUAL, knob, value, 0.0);
            let [low, high] = PRESSURES.map(|(_, of)| moved.share(of));
            moved.check(high >= 0.15 && high > low, "high side", high);
            let discharge = moved.kelvins(|view| view.discharge_c);
            moved.check(discharge >= 1.0, "discharge", discharge);
            let vent = moved.kelvins(|view| view.vent_c);
            let superheat = moved.kelvins(|view| view.superheat_k);
            let subcooling = moved.kelvins(|view| view.subcooling_k);
            if moved.held_back() {
                let stroke = moved.share(|view| view.stroke);
                moved.check(stroke >= 0.05, "stroke", stroke);
                moved.check(low > 0.0 && vent > 0.0, "low side", low);
            } else {
                moved.check(low >= 0.03, "low side", low);
                moved.check(vent >= 1.0, "vents", vent);
            }
            if moved.valve {
                moved.check(superheat < 0.0, "superheat", superheat);
            } else {
                moved.check(superheat <= 0.0, "superheat", superheat);
                moved.check(subcooling < 0.0, "subcooling", subcooling);
            }
        }
    }
}

/// What the fan, its shroud or the seals leave out the road brings; dirt, bent or lost fins stay.
#[test]
fn the_road_cures_the_fan_and_not_the_core() {
    for vehicle in vehicles() {
        for (knob, value) in CONDENSER_FAULTS {
            let [standing, driving] = [0.0, 22.0].map(|road_m_s| {
                Moved::of(vehicle, USUAL, knob, value, road_m_s).share(|view| view.high_pa)
            });
            let left = driving / standing;
            let core = matches!(
                knob,
                Knob::CondenserFaceBlocked | Knob::CondenserFinsLost | Knob::CondenserFinsBent
            );
            assert!(
                if core { left > 0.3 } else { left < 0.15 },
                "{}, {knob:?}: {standing:.3} standing, {driving:.3} driving",
                vehicle.id
            );
        }
    }
}

/// Ways to lose the evaporator's air.
const EVAPORATOR_FAULTS: [(Knob, f64); 3] = [
    (Knob::BlowerFlowLost, 0.4),
    (Knob::CabinFilterBlocked, 0.75),
    (Knob::EvaporatorFaceBlocked, 0.6),
];

/// Both pressures down, the low side most; colder vents, and less air from them. A compressor that can
/// gives less stroke instead. Behind an orifice all of the core is wet, and what a blocked face loses
/// in surface it hardly gains in cold: the vents are no sign of that one there.
#[test]
fn an_evaporator_short_of_air_drops_both_sides() {
    for vehicle in vehicles() {
        for (knob, value) in EVAPORATOR_FAULTS {
            let moved = Moved::of(vehicle, FROST_FREE, knob, value, 0.0);
            let [low, high] = PRESSURES.map(|(_, of)| moved.share(of));
            moved.check(low <= -0.10, "low side", low);
            moved.check(high <= -0.03, "high side", high);
            let discharge = moved.kelvins(|view| view.discharge_c);
            moved.check(discharge < 0.0, "discharge", discharge);
            let vent = moved.kelvins(|view| view.vent_c);
            let wet_face = knob == Knob::EvaporatorFaceBlocked && !moved.valve;
            moved.check(vent <= -1.0 || wet_face, "vents", vent);
            let superheat = moved.kelvins(|view| view.superheat_k);
            moved.check(superheat < 1.0, "superheat", superheat);
            if !moved.valve {
                let subcooling = moved.kelvins(|view| view.subcooling_k);
                moved.check(subcooling <= -1.0, "subcooling", subcooling);
            }
            let air = |spec: &CarSpec| look(FROST_FREE, spec, 0.0).0.state().air_flow_kg_s;
            let less = air(&with(&vehicle.spec, knob, value)) / air(&vehicle.spec);
            moved.check((0.4..0.8).contains(&less), "air", less);
        }
    }
}

/// On a day so hot that valves hold the low side at their pressure limit the compressor gets it less
/// superheated instead, and its discharge is cooler by what a clamp shows.
#[test]
fn on_a_hot_day_an_evaporator_short_of_air_cools_the_discharge() {
    for vehicle in vehicles() {
        for (knob, value) in EVAPORATOR_FAULTS {
            let moved = Moved::of(vehicle, Stand(40.0, 900.0), knob, value, 0.0);
            let [low, high] = PRESSURES.map(|(_, of)| moved.share(of));
            moved.check(low < 0.0 && high < 0.0, "low side", low);
            let discharge = moved.kelvins(|view| view.discharge_c);
            moved.check(discharge <= -1.0, "discharge", discharge);
            let superheat = moved.kelvins(|view| view.superheat_k);
            moved.check(superheat < 1.0, "superheat", superheat);
        }
    }
}

/// Air warmed behind the core leaves the refrigerant as it is. Which of the two lets the heater warm
/// it depends on the car: where a valve shuts the coolant off at full cold, a door that leaks finds a
/// cold heater core, and a valve that leaks by heats what the door always lets past.
#[test]
fn heat_behind_the_evaporator_shows_at_the_vents_only() {
    let mut cars = [0, 0];
    for vehicle in vehicles() {
        let valve = vehicle.spec.air_box.heater_valve;
        cars[usize::from(valve)] += 1;
        for (knob, value, warms) in [
            (Knob::BlendDoorLeak, 0.1, !valve),
            (Knob::BlendDoorLeast, 0.1, !valve),
            (Knob::HeaterValveLeak, 0.8, valve),
        ] {
            let moved = Moved::of(vehicle, USUAL, knob, value, 0.0);
            moved.loop_is_left_alone();
            let vent = moved.kelvins(|view| view.vent_c);
            // A leaking valve heats no more air than the door lets past, with the heater's share of the
            // way from the core's air to the coolant.
            let air_box = &vehicle.spec.air_box;
            let past = air_box.blend_door_gap * air_box.heater_effectiveness;
            let most = past * (WARM_COOLANT_C - moved.healthy.vent_c);
            let enough = if valve { (0.8 * most).min(3.0) } else { 3.0 };
            let right = if warms {
                vent >= enough
            } else {
                vent.abs() < 0.01
            };
            moved.check(right, "vents", vent);
        }
    }
    assert!(cars.iter().all(|count| *count > 0), "{cars:?}");
}

/// Where the air comes out is nothing to the loop either.
#[test]
fn ducts_and_mode_door_leave_the_loop_alone() {
    for vehicle in vehicles() {
        for (knob, value) in [
            (Knob::ModeDoorToFloor, 0.9),
            (Knob::ModeDoorToScreen, 0.9),
            (Knob::LeftVentShut, 0.85),
            (Knob::RightDuctLoose, 0.9),
        ] {
            Moved::of(vehicle, USUAL, knob, value, 0.0).loop_is_left_alone();
        }
    }
}
