//! A clutch's air gap against what its coil can bridge, cold and hot.
//!
//! Copper gains 0.393 % of its resistance for each kelvin (IEC 60228 annex), so that a hot coil draws
//! less and pulls less far; that a worn clutch drops out hot is common practice, no source.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::bench::number;
use coldtrail_checks::stand::{
    bank, fluid_of, has_clutch, idling, run, vehicles, vehicles_where, warm_car, weather, with,
};
use scenarios::Onset;
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::instruments::Check;
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

/// Copper's resistance rises with heat, current falls, and a gap that a cold coil just bridges is
/// not bridged by a hot one (common practice, no source).
#[test]
fn a_wide_gap_pulls_in_cold_and_not_hot() {
    for vehicle in vehicles_where(has_clutch) {
        let setup = idling(&vehicle.spec);
        let cold = |spec: &CarSpec| {
            let mut car = Car::soaked_with(fluid_of(spec), spec.clone(), weather(24.0, 0.5));
            run(&mut car, &setup, 10.0);
            car
        };
        // The widest gap, to a hundredth, that a coil of 24 °C bridges, and a hundredth less.
        let widest = (0..120)
            .map(|step| f64::from(step) * 0.01)
            .take_while(|mm| {
                let spec = with(&vehicle.spec, Knob::ClutchGapAdded, *mm);
                cold(&spec).state().clutch.engaged
            })
            .last()
            .expect("a sound gap is bridged");
        let mut car = cold(&with(&vehicle.spec, Knob::ClutchGapAdded, widest - 0.01));
        run(&mut car, &setup, 1800.0);
        let off = Setup {
            ac_on: false,
            ..setup.clone()
        };
        run(&mut car, &off, 30.0);
        run(&mut car, &setup, 10.0);
        assert!(
            number(&car, Check::CoilVoltage) > 13.0 && !car.state().clutch.engaged,
            "{}: a hot coil bridges what a cold one just does",
            vehicle.id
        );
        // Overnight.
        run(&mut car, &Setup::parked(), 12.0 * 3600.0);
        run(&mut car, &setup, 10.0);
        assert!(car.state().clutch.engaged, "{}", vehicle.id);
    }
}

/// Every car that can have it has it at its typical wear, cold in and hot out, whatever its coil.
#[test]
fn a_typical_wide_gap_is_bridged_cold_and_not_hot_on_every_car() {
    let mode = bank().catalogue().get("clutch-gap-wide").unwrap();
    assert_eq!(mode.onset, Onset::WithHeat);
    for vehicle in vehicles() {
        assert_eq!(mode.concerns(&vehicle.spec), has_clutch(&vehicle.spec));
        for (severity, worn) in [(0.0, false), (mode.severity.typical, true)] {
            if !has_clutch(&vehicle.spec) {
                continue;
            }
            let mut spec = vehicle.spec.clone();
            mode.fault.apply(&mut spec, severity);
            let mut car = warm_car(&spec, weather(28.0, 0.5));
            let setup = idling(&spec);
            run(&mut car, &setup, 10.0);
            assert!(car.state().clutch.engaged, "{} cold", vehicle.id);
            run(&mut car, &setup, 1800.0);
            // A plate that never had to let go is still in.
            let off = Setup {
                ac_on: false,
                ..setup.clone()
            };
            run(&mut car, &off, 60.0);
            let before = car.state().clutch_engagements;
            run(&mut car, &setup, 20.0);
            let pulled_in = car.state().clutch_engagements > before;
            assert_eq!(pulled_in, !worn, "{} hot", vehicle.id);
        }
    }
}
