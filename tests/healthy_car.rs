//! A healthy car where published cars are: pressures and vents, and how they answer to weather.
//!
//! Bands: makers' performance tables (one vehicle each, at idle, recirculation and full cold put
//! condensing 20 to 35 K above the air outside, pressure ratio 4 to 6, vents at 14 to 20 °C at 30 °C
//! and 50 to 70 % humidity; common practice, no source). They are one vehicle's and no law.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    fan_held_high, has_belt, has_valve, idling, is_fixed, mean, running, steady, vehicles,
    vehicles_where, weather, with,
};
use coldtrail_checks::view::View;
use sim_core::faults::Knob;
use sim_core::loop_model::layout::Role;
use sim_core::parts::storage::Place;
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

/// Pressure of the air the stand's weather has, Pa.
const AIR_PA: f64 = 101_325.0;
/// Pounds per square inch, Pa.
const PSI: f64 = 6894.757;

fn idle(spec: &CarSpec, celsius: f64, humidity: f64) -> View {
    steady(spec, weather(celsius, humidity), &idling(spec)).1
}

/// Condensing 20 to 35 K above the air, pressure ratio 3.5 to 6.5, low side 25 to 50 psi gauge. The
/// set points of variable compressors lie inside it.
#[test]
fn pressures_at_idle_lie_in_the_band() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        for celsius in [25.0, 30.0, 35.0, 40.0] {
            let seen = idle(&vehicle.spec, celsius, 0.6);
            let ratio = seen.high_pa / seen.low_pa;
            assert!(
                (3.5..=6.5).contains(&ratio),
                "{id} at {celsius} °C: ratio {ratio}"
            );
            let above = seen.condensing_c - celsius;
            assert!(
                (20.0..=35.0).contains(&above),
                "{id} at {celsius} °C: {above} K"
            );
            let low = (seen.low_pa - AIR_PA) / PSI;
            assert!(
                (25.0..=50.0).contains(&low),
                "{id} at {celsius} °C: {low} psig"
            );
        }
    }
}

/// 1500 rpm and about 30 °C: high side 1.25 to 1.7 MPa, low side 0.13 to 0.28 MPa gauge (common
/// practice, no source).
#[test]
fn pressures_at_1500_rpm_lie_in_the_band() {
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let setup = running(&vehicle.spec, 1500.0);
        let seen = mean(&vehicle.spec, weather(30.0, 0.6), &setup);
        let (low, high) = (seen.low_pa - AIR_PA, seen.high_pa - AIR_PA);
        assert!((1.25e6..=1.7e6).contains(&high), "{id}: high side {high}");
        assert!((0.13e6..=0.28e6).contains(&low), "{id}: low side {low}");
    }
}

/// At idle, where a belt gives the compressor little to do: one with a motor of its own has speed to spare and
/// holds its vents.
///
/// 30 to 70 kPa/K on the high side (a maker's table: 49 in the mean), 5 to 14 kPa/K on the low side.
#[test]
fn pressures_rise_with_the_weather() {
    for vehicle in vehicles_where(has_belt) {
        let id = &vehicle.id;
        let seen = [25.0, 30.0, 35.0, 40.0].map(|celsius| idle(&vehicle.spec, celsius, 0.6));
        assert!(
            seen.is_sorted_by(|a, b| a.low_pa < b.low_pa),
            "{id}: low side"
        );
        let high = (seen[3].high_pa - seen[0].high_pa) / 15.0;
        let low = (seen[3].low_pa - seen[0].low_pa) / 15.0;
        assert!((30e3..=70e3).contains(&high), "{id}: high side {high} Pa/K");
        assert!((5e3..=14e3).contains(&low), "{id}: low side {low} Pa/K");
    }
}

#[test]
fn humid_air_warms_the_vents_and_lifts_both_pressures() {
    for vehicle in vehicles_where(has_belt) {
        let id = &vehicle.id;
        let seen = [0.5, 0.6, 0.7].map(|humidity| idle(&vehicle.spec, 30.0, humidity));
        for pair in seen.windows(2) {
            let warmer = pair[1].vent_c - pair[0].vent_c;
            assert!(
                (1.0..=4.0).contains(&warmer),
                "{id}: vents {warmer} K warmer"
            );
            assert!(pair[1].low_pa > pair[0].low_pa, "{id}: low side");
            assert!(pair[1].high_pa > pair[0].high_pa, "{id}: high side");
        }
    }
}

/// Evaporator and suction hose together take 30 to 100 kPa of a full load: 20 to 60 and 10 to 40 kPa
/// (checks.md §6, from memory), so 40 to 70 kPa at 1500 rpm on outside air of 35 °C is their middle.
#[test]
fn evaporator_and_hose_take_their_pressure() {
    for vehicle in vehicles() {
        let setup = Setup {
            recirculate: false,
            ..running(&vehicle.spec, 1500.0)
        };
        let (car, _) = steady(&vehicle.spec, weather(35.0, 0.5), &setup);
        let drop = car.pressure_pa(Role::Evaporator(0)) - car.pressure_pa(Role::SuctionLine);
        assert!((40e3..=70e3).contains(&drop), "{}: {drop} Pa", vehicle.id);
    }
}

/// A version of the condenser that fits the same car holds another charge. With its own the car is as
/// healthy as with the first one: a few percent more or less change nothing.
#[test]
fn a_look_alike_condenser_is_sound_with_its_own_charge() {
    let mut seen = 0;
    for vehicle in vehicles() {
        for version in &vehicle.other_condensers {
            let spec = fan_held_high(&vehicle.with_condenser(&version.id).unwrap());
            assert!((version.charge_kg / vehicle.spec.label_charge_kg - 1.0).abs() > 0.05);
            let setup = running(&spec, 1500.0);
            let at = |share| {
                let charged = with(&spec, Knob::ChargeShare, share);
                steady(&charged, weather(35.0, 0.5), &setup).1.subcooling_k
            };
            let subcooling = [0.95, 1.0, 1.05].map(at);
            assert!(subcooling[1] > 5.0, "{}: {subcooling:?}", vehicle.id);
            for around in subcooling {
                assert!(
                    (around - subcooling[1]).abs() < 1.0,
                    "{}: {subcooling:?}",
                    vehicle.id
                );
            }
            seen += 1;
        }
    }
    assert!(seen >= 2, "{seen} look-alike condensers");
}

/// A kind of loop by name, and what tells it.
type Kind = (&'static str, fn(&CarSpec) -> bool);

/// The bank shows every kind of loop a learner meets.
#[test]
fn the_bank_covers_the_architectures() {
    let kinds: [Kind; 7] = [
        ("a compressor with a motor of its own", |spec| {
            spec.compressor.turned.motor().is_some()
        }),
        ("orifice tube, fixed, cycling switch", |spec| {
            !has_valve(spec) && is_fixed(spec) && spec.controls.cycling_pa.is_some()
        }),
        ("internally controlled plate", |spec| {
            !is_fixed(spec) && spec.controls.command.is_none()
        }),
        ("valve with a drier bottle in the line", |spec| {
            has_valve(spec) && spec.storage.place == Place::LiquidLine && spec.sight_glass
        }),
        ("R-1234yf, commanded plate with clutch", |spec| {
            spec.refrigerant == "R-1234yf"
                && spec.controls.command.is_some()
                && spec.clutch.is_some()
        }),
        ("R-1234yf, commanded plate without clutch", |spec| {
            spec.refrigerant == "R-1234yf"
                && !is_fixed(spec)
                && spec.controls.command.is_some()
                && spec.clutch.is_none()
        }),
        ("R-1234yf, fixed", |spec| {
            spec.refrigerant == "R-1234yf" && is_fixed(spec)
        }),
    ];
    for (kind, has) in kinds {
        assert!(vehicles_where(has).next().is_some(), "no car with {kind}");
    }
}
