//! Switches at work on a running loop: cut-outs, fan stages, the clutch coil.
//!
//! The ranges are those usual on cars with R-134a (common practice, no source): evaporator cut-out
//! off at 0 to 3 °C and on at 3 to 5 °C, high cut-out 2.8 to 3.2 MPa gauge, low cut-out about
//! 0.2 MPa gauge, fan to high near 1.5 MPa gauge, coil 2.9 to 6 Ω and at most 4 A.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{
    bank, has_winding, idling, is_fixed, run, running, vehicles, vehicles_where, warm_car, weather,
    with,
};
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::loop_model::layout::Role;
use sim_core::parts::circuit::{CircuitState, Feed};
use sim_core::parts::condenser::FanStage;
use sim_core::parts::displacement::Capacity;
use sim_core::setup::Setup;
use sim_core::spec::{CarSpec, Leak};

fn high_side_gauge_pa(car: &Car) -> f64 {
    car.pressure_pa(car.spec().high_port.role()) - car.weather().pressure_pa()
}

/// The control lets the compressor work: its clutch is in, or without one its valve is fed.
fn let_in(car: &Car) -> bool {
    match car.spec().clutch {
        Some(_) => car.state().clutch.engaged,
        None => car.state().controls.relay_closed,
    }
}

/// Values of something at the moments the compressor is let go and let in, over a run.
fn at_switches(
    car: &mut Car,
    setup: &Setup,
    seconds: f64,
    of: impl Fn(&Car) -> f64,
) -> (Vec<f64>, Vec<f64>) {
    let (mut off, mut on) = (Vec::new(), Vec::new());
    let mut engaged = let_in(car);
    let mut before = of(car);
    let watched = car.advance_watched(setup, seconds, |car, _| {
        let now = let_in(car);
        if now != engaged {
            if now {
                on.push(before)
            } else {
                off.push(before)
            }
            engaged = now;
        }
        before = of(car);
    });
    assert_eq!(watched, Ok(()));
    (off, on)
}

fn cuts_out_at_the_core(spec: &CarSpec) -> bool {
    is_fixed(spec) && spec.controls.frost_cut_out_k.is_some()
}

#[test]
fn the_evaporator_cut_out_keeps_the_core_from_icing() {
    for vehicle in vehicles_where(cuts_out_at_the_core) {
        let mut car = warm_car(&vehicle.spec, weather(20.0, 0.5));
        let setup = Setup {
            doors_open: false,
            blower_step: 2,
            ..idling(&vehicle.spec)
        };
        run(&mut car, &setup, 300.0);
        let sensor = |car: &Car| car.state().controls.evaporator_sensor_k - 273.15;
        let (off, on) = at_switches(&mut car, &setup, 900.0, sensor);
        assert!(
            off.len() >= 3 && on.len() >= 3,
            "{}: {off:?} {on:?}",
            vehicle.id
        );
        for c in off {
            assert!((0.0..=3.0).contains(&c), "{}: off at {c} °C", vehicle.id);
        }
        for c in on {
            assert!((3.0..=5.0).contains(&c), "{}: on at {c} °C", vehicle.id);
        }
        let frost: f64 = car.state().wetness.iter().map(|wet| wet.frost_kg).sum();
        assert!(frost < 0.03, "{}: {frost} kg of frost", vehicle.id);
    }
}

#[test]
fn a_blocked_condenser_opens_the_high_cut_out() {
    for vehicle in vehicles() {
        let spec = with(&vehicle.spec, Knob::CondenserFaceBlocked, 0.9);
        let mut car = warm_car(&spec, weather(35.0, 0.5));
        let (off, _) = at_switches(&mut car, &idling(&spec), 600.0, high_side_gauge_pa);
        assert!(!off.is_empty(), "{}: never cut out", vehicle.id);
        for pa in off {
            assert!(
                (2.8e6..=3.2e6).contains(&pa),
                "{}: cut out at {pa} Pa",
                vehicle.id
            );
        }
    }
}

#[test]
fn a_nearly_empty_loop_keeps_the_clutch_out() {
    for vehicle in vehicles() {
        let spec = with(&vehicle.spec, Knob::ChargeShare, 0.02);
        let mut car = warm_car(&spec, weather(25.0, 0.5));
        run(&mut car, &idling(&spec), 120.0);
        assert!(high_side_gauge_pa(&car) < 0.2e6, "{}", vehicle.id);
        assert!(!let_in(&car), "{}", vehicle.id);
        assert!(car.state().controls.low_tripped, "{}", vehicle.id);
    }
}

#[test]
fn a_severe_leak_opens_the_low_cut_out() {
    for vehicle in vehicles() {
        let mut car = warm_car(&vehicle.spec, weather(32.0, 0.6));
        let setup = idling(&vehicle.spec);
        run(&mut car, &setup, 60.0);
        assert!(let_in(&car), "{}", vehicle.id);
        car.set_opening(Leak::in_part(Role::Condenser(1), 3e-7));
        let (mut before, mut opened_at) = (0.0, None);
        let watched = car.advance_watched(&setup, 900.0, |car, _| {
            if car.state().controls.low_tripped && opened_at.is_none() {
                opened_at = Some(before);
            }
            before = high_side_gauge_pa(car);
        });
        assert_eq!(watched, Ok(()));
        let pa = opened_at.expect("a loop that empties opens the cut-out");
        assert!(
            (0.15e6..=0.25e6).contains(&pa),
            "{}: opened at {pa} Pa",
            vehicle.id
        );
    }
}

/// Where the low stage cannot hold the pressure and the high stage brings it down to where the fan
/// goes back to low, pressure swings between the two set points for ever. Set points usual on cars are
/// 1.47 to 1.65 MPa on and 0.93 to 1.25 MPa gauge off (common practice, no source). It takes set points
/// close to each other and a mild day: hotter, the fan settles at high, as most of the built-in
/// vehicles' does on any day.
#[test]
fn some_fans_swing_the_pressure_between_their_set_points() {
    let mut swinging = Vec::new();
    for vehicle in vehicles() {
        let id = &vehicle.id;
        let setup = Setup {
            recirculate: false,
            ..running(&vehicle.spec, 1500.0)
        };
        for celsius in [24.0, 25.0, 26.0, 27.0, 28.0] {
            let mut car = warm_car(&vehicle.spec, weather(celsius, 0.6));
            run(&mut car, &setup, 900.0);
            let (to_high, to_low) = stage_changes(&mut car, &setup, 900.0);
            if to_high.len() < 3 {
                continue;
            }
            for pa in to_high {
                assert!((1.47e6..=1.65e6).contains(&pa), "{id}: to high at {pa} Pa");
            }
            for pa in to_low {
                assert!((0.93e6..=1.26e6).contains(&pa), "{id}: to low at {pa} Pa");
            }
            swinging.push((id, celsius));
        }
    }
    swinging.dedup_by_key(|(id, _)| *id);
    assert!(swinging.len() >= 3, "{swinging:?}");
}

/// High-side pressures at which the fan goes to its high stage and back to low, over a run.
fn stage_changes(car: &mut Car, setup: &Setup, seconds: f64) -> (Vec<f64>, Vec<f64>) {
    let (mut to_high, mut to_low) = (Vec::new(), Vec::new());
    let (mut stage, mut before) = (car.state().fan_stage, high_side_gauge_pa(car));
    let watched = car.advance_watched(setup, seconds, |car, _| {
        let now = car.state().fan_stage;
        match (stage, now) {
            (FanStage::Low, FanStage::High) => to_high.push(before),
            (FanStage::High, FanStage::Low) => to_low.push(before),
            _ => {}
        }
        (stage, before) = (now, high_side_gauge_pa(car));
    });
    assert_eq!(watched, Ok(()));
    (to_high, to_low)
}

/// A cycling switch opens at 22 and closes at 45 psi gauge (common practice, no source): R-134a boils
/// there at -4.0 and 9.8 °C (CoolProp 8.0.0). With less charge there is less to pull down, and the
/// clutch clicks faster: the sign is reasoned, no rate is published.
#[test]
fn a_cycling_switch_clicks_faster_as_charge_falls() {
    let mut cars = 0;
    for vehicle in vehicles_where(|spec| spec.controls.cycling_pa.is_some()) {
        let id = &vehicle.id;
        let periods_s = [1.0, 0.8, 0.7, 0.6].map(|share| {
            let spec = with(&vehicle.spec, Knob::ChargeShare, share);
            let setup = Setup {
                doors_open: false,
                blower_step: 2,
                ..idling(&spec)
            };
            let mut car = warm_car(&spec, weather(20.0, 0.5));
            run(&mut car, &setup, 600.0);
            let boiling_c = |car: &Car| {
                let pa = car.pressure_pa(Role::Accumulator);
                car.fluid().saturation(pa).temperature_k - 273.15
            };
            let (off, on) = at_switches(&mut car, &setup, 1800.0, boiling_c);
            for c in &off {
                assert!((c + 4.0).abs() < 0.5, "{id}: off at {c} °C");
            }
            for c in &on {
                assert!((c - 9.8).abs() < 0.5, "{id}: on at {c} °C");
            }
            1800.0 / on.len() as f64
        });
        assert!(
            periods_s.is_sorted_by(|more, less| more > less),
            "{id}: {periods_s:?}"
        );
        assert!((15.0..=60.0).contains(&periods_s[0]), "{id}: {periods_s:?}");
        cars += 1;
    }
    assert!(cars >= 1, "no car cycles by pressure");
}

#[test]
fn the_fan_goes_to_high_and_back_with_pressure() {
    for vehicle in vehicles() {
        let mut car = warm_car(&vehicle.spec, weather(43.0, 0.4));
        let mut raised_at = None;
        let mut before = 0.0;
        let watched = car.advance_watched(&idling(&vehicle.spec), 900.0, |car, _| {
            if car.state().fan_stage == FanStage::High && raised_at.is_none() {
                raised_at = Some(before);
            }
            before = high_side_gauge_pa(car);
        });
        assert_eq!(watched, Ok(()));
        let raised = raised_at.expect("a hot day asks for the high stage");
        assert!(
            (1.4e6..=1.7e6).contains(&raised),
            "{}: high at {raised} Pa",
            vehicle.id
        );
        // On the road the air does the fan's work.
        let road = Setup {
            road_speed_m_s: 25.0,
            doors_open: false,
            ..idling(&vehicle.spec)
        };
        let mut car = warm_car(&vehicle.spec, weather(25.0, 0.4));
        run(&mut car, &road, 600.0);
        assert_eq!(car.state().fan_stage, FanStage::Low, "{}", vehicle.id);
    }
}

/// Ohm's law on the coil's circuit: 12 V over 2.9 to 6 Ω.
#[test]
fn the_coil_draws_its_current() {
    for vehicle in vehicles_where(|spec| spec.clutch.is_some()) {
        let mut car = warm_car(&vehicle.spec, weather(35.0, 0.5));
        run(&mut car, &idling(&vehicle.spec), 30.0);
        let circuit = car.state().circuit;
        assert!(
            (2.9..=6.0).contains(&circuit.coil_ohm),
            "{}: {} Ω",
            vehicle.id,
            circuit.coil_ohm
        );
        assert!(
            (2.0..=4.0).contains(&circuit.current_a),
            "{}: {} A",
            vehicle.id,
            circuit.current_a
        );
        assert!((circuit.current_a * circuit.coil_ohm - circuit.connector_v).abs() < 0.2);
        // A bench's 12 V on the cold coil: 3.2 to 4 Ω draw 3 to 4 A.
        let on_bench = Feed {
            source_v: 12.0,
            coil_k: 293.15,
            ..car.circuit_feed()
        };
        let bench = vehicle
            .spec
            .circuit
            .solve(&CircuitState::default(), &on_bench);
        assert!(
            (2.99..=4.0).contains(&bench.current_a),
            "{}: {} A at 12 V",
            vehicle.id,
            bench.current_a
        );
    }
}

/// Ohm's law on a control valve's coil: one whose plunger sticks draws what a sound one does and leaves
/// the plate at its least stroke; a broken winding draws nothing and is open at the meter; shorted
/// turns leave an ohmmeter less copper to go through.
#[test]
fn a_stuck_plunger_draws_its_current_and_a_broken_winding_none() {
    let mut cars = 0;
    for vehicle in vehicles_where(|spec| spec.clutch.is_none() && has_winding(spec)) {
        let id = &vehicle.id;
        let Capacity::Variable(valve) = &vehicle.spec.compressor.capacity else {
            panic!("{id}: no clutch, and no valve to do its work");
        };
        let after = |mode: &str| {
            let mut spec = vehicle.spec.clone();
            let mode = bank().catalogue().get(mode).expect("a known mode");
            mode.fault.apply(&mut spec, 1.0);
            let mut car = warm_car(&spec, weather(35.0, 0.5));
            run(&mut car, &idling(&spec), 300.0);
            let circuit = car.state().circuit;
            // At a hot day's idle the evaporator never gets cold enough for the control to ask for less.
            assert!(car.state().controls.command > 0.99, "{id}: {}", mode.id);
            (
                car.coil_a(),
                circuit.coil_ohm,
                car.state().refrigerant.stroke,
            )
        };
        let (amps, ohm, stroke) = after("control-solenoid-stuck");
        let sound = vehicle.spec.circuit.coil_ohm;
        assert!(amps >= valve.rated_a, "{id}: {amps} A");
        assert!((sound..1.5 * sound).contains(&ohm), "{id}: {ohm} Ω");
        assert!(stroke < 1.05 * valve.least_stroke, "{id}: {stroke}");
        let (amps, ohm, stroke) = after("clutch-coil-open");
        assert!(amps < 1e-3 && ohm > 1e5, "{id}: {amps} A, {ohm} Ω");
        assert!(stroke < 1.05 * valve.least_stroke, "{id}: {stroke}");
        let (_, ohm, stroke) = after("clutch-coil-shorted");
        assert!(ohm < 0.2 * sound, "{id}: {ohm} Ω");
        assert!(stroke < 1.05 * valve.least_stroke, "{id}: {stroke}");
        cars += 1;
    }
    assert!(cars >= 1, "no car is without a clutch");
}
