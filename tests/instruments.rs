//! Every instrument against the truth it is held to: right use within its accuracy, wrong use beyond
//! it, lags exact.
//!
//! Outside sources: the accuracy of each instrument is what `KIT` names; a first-order lag, Stefan and
//! Boltzmann's law and the standard atmosphere are worked out here afresh.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::bench::{act, finding, hot_car, limit, number, refused, saloon, value_of};
use coldtrail_checks::stand::{fluid_of, run, running, vehicles, warm_car, weather, with};
use runner::action::Action;
use runner::session::Session;
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::instruments::{
    Check, CondenserSide, Dull, Extreme, Gauge, KIT, Line, Misuse, Named, Reading, Scene, Sense,
    Spot, Tool, Truth, Unit, Value, Watch, Wheel, every_check, read, shown_k, truth,
};
use sim_core::loop_model::layout::Role;
use sim_core::random::Draws;
use sim_core::setup::{Setup, Weather};

#[test]
fn the_kit_has_eighteen_instruments_and_each_tool_once() {
    assert!(KIT.len() >= 18, "{} instruments", KIT.len());
    let mut tools: Vec<Tool> = KIT.iter().flat_map(|one| one.tools).copied().collect();
    let count = tools.len();
    tools.sort_unstable();
    tools.dedup();
    assert_eq!(tools.len(), count, "a tool stands twice in the kit");
    for check in every_check() {
        if let Some(tool) = check.tool() {
            assert!(tools.contains(&tool), "{tool:?} is not in the kit");
        }
        assert!(!check.is_misuse(), "{check:?} is no cue");
        assert!(check.time_s() > 0.0, "{check:?} has no price");
    }
    for one in KIT {
        assert!(one.tools.is_empty() != one.limit.is_empty(), "{}", one.name);
        assert!(!one.source.is_empty(), "{}", one.name);
        // Every use told can be typed.
        for text in [one.rightly, one.wrongly] {
            let mut typed = text
                .split('`')
                .skip(1)
                .step_by(2)
                .filter(|words| words.contains(' '));
            assert!(
                typed.clone().next().is_some(),
                "{}: nothing to type",
                one.name
            );
            for words in typed.by_ref() {
                assert!(Action::parse(words).is_ok(), "{}: `{words}`", one.name);
            }
        }
    }
}

/// R-134a alone passes 10 bar gauge near 43 °C (any pressure-temperature table), and a compound
/// gauge goes on beyond, coarser: it neither stops nor shows more than it can.
#[test]
fn a_low_side_gauge_reads_on_beyond_ten_bar_in_coarser_steps() {
    let spec = Tool::LowGauge.spec();
    let mut last = f64::NEG_INFINITY;
    for kpa in (900..1690).step_by(2) {
        let value = 1e3 * f64::from(kpa);
        let step = if value > 10e5 { 50e3 } else { 5e3 };
        for seed in 0..50 {
            let reading = read(
                Check::LowGauge,
                Truth::Number(value),
                &mut Draws::new(seed, 1),
            );
            let Value::Number { shown, error, .. } = reading.value else {
                panic!("{kpa} kPa: {reading:?}");
            };
            assert!((shown - value).abs() <= error + 1e-6, "{kpa} kPa: {shown}");
            assert!(error <= spec.accuracy + 0.06 * 7e5 + 0.5 * step, "{kpa}");
            let coarse = shown / 50e3;
            assert!(shown <= 10e5 || (coarse - coarse.round()).abs() < 1e-6);
        }
        // One gauge, one error: more pressure never shows as less.
        let reading = read(Check::LowGauge, Truth::Number(value), &mut Draws::new(7, 1));
        if let Value::Number { shown, .. } = reading.value {
            assert!(shown >= last, "{kpa} kPa: {shown} after {last}");
            last = shown;
        }
    }
    let beyond = read(Check::LowGauge, Truth::Number(18e5), &mut Draws::new(1, 1));
    assert_eq!(beyond.value, Value::OutOfRange(true));
    let hot = Car::soaked_with(fluid_of(&saloon()), saloon(), weather(50.0, 0.2));
    let rest = number(&hot, Check::LowGauge);
    assert!((10e5..spec.most).contains(&rest), "{rest}");
}

#[test]
fn readings_keep_within_the_stated_accuracy() {
    let car = hot_car(&saloon(), 10.0);
    let standing = warm_car(&saloon(), weather(32.0, 0.5));
    let more = [
        Check::Infrared(Line::CompressorDischarge, Dull::Tape),
        Check::RecoveredMass,
        Check::GaugeExtreme(Gauge::Low, Extreme::Least),
    ];
    let mut tools = Vec::new();
    for check in every_check().into_iter().chain(more) {
        let Some(tool) = check.tool() else { continue };
        let at = [&car, &standing]
            .into_iter()
            .find_map(|car| truth(car, check, Watch::default()).ok());
        let Some(Truth::Number(value)) = at else {
            continue;
        };
        tools.push(tool);
        let (mut sum, mut off_by) = (0.0, 0.0_f64);
        let mut shown_times = 0.0;
        for seed in 0..200 {
            let reading = read(check, Truth::Number(value), &mut Draws::new(seed, 1000));
            let Reading {
                value: Value::Number { shown, error, .. },
                ..
            } = reading
            else {
                continue;
            };
            off_by = off_by.max((shown - value).abs() / error);
            sum += (shown - value) / error;
            shown_times += 1.0;
            let steps = shown / tool.spec().resolution_at(value);
            assert!(
                (steps - steps.round()).abs() < 1e-6,
                "{check:?} shows {shown}"
            );
        }
        assert!(off_by <= 1.0 + 1e-9, "{check:?}: off by {off_by} limits");
        // A share cannot be shown beyond 0 or 1, which pulls the mean at either end.
        let cut = tool.spec().unit == Unit::Share;
        if shown_times > 100.0 && !cut {
            let mean: f64 = sum / shown_times;
            assert!(mean.abs() < 0.2, "{check:?}: biased by {mean} limits");
        }
    }
    tools.sort_unstable();
    tools.dedup();
    assert!(tools.len() >= 17, "only {tools:?} were tried");
}

/// Two surfaces, two closed sums: tape at 80 °C shows 80 °C where all around is as warm as the
/// instrument; a mirror of emissivity 0.1 in air of 30 °C shows (0.1 T⁴ + 0.9 T_air⁴ − 0.05 T_air⁴)/0.95.
#[test]
fn infrared_follows_stefan_and_boltzmann() {
    let (hot, air) = (353.15_f64, 303.15_f64);
    let scene = |emissivity, share| Scene {
        surface_k: hot,
        emissivity,
        share,
        around_k: air,
        instrument_k: air,
    };
    assert!((shown_k(&scene(0.95, 1.0)) - hot).abs() < 1e-9);
    let mirror = ((0.1 * hot.powi(4) + 0.85 * air.powi(4)) / 0.95).powf(0.25);
    assert!((shown_k(&scene(0.1, 1.0)) - mirror).abs() < 1e-9);
    assert!(mirror - air < 10.0, "a bright pipe shows {mirror} K");
    let half =
        ((0.5 * 0.95 * hot.powi(4) + (0.5 * 0.05 + 0.5 - 0.05) * air.powi(4)) / 0.95).powf(0.25);
    assert!((shown_k(&scene(0.95, 0.5)) - half).abs() < 1e-9);
}

/// On a hot day at 2000 rpm every car's discharge is well above the air of its bay: R-1234yf leaves a
/// compressor cooler, and at idle on a mild day a wrong use would hardly show.
#[test]
fn infrared_on_a_hot_pipe_needs_tape() {
    for vehicle in vehicles() {
        let mut car = warm_car(&vehicle.spec, weather(40.0, 0.5));
        run(&mut car, &running(&vehicle.spec, 2000.0), 600.0);
        let line = Line::CompressorDischarge;
        let pipe_k = car.refrigerant_temperature_k(Role::CompressorHead).unwrap();
        let tape = Check::Infrared(line, Dull::Tape);
        assert!(
            (number(&car, tape) - pipe_k).abs() < limit(tape, pipe_k),
            "{}",
            vehicle.id
        );
        for wrong in [Misuse::InfraredBare(line), Misuse::InfraredFar(line)] {
            let shown = number(&car, Check::Misused(wrong));
            assert!(
                pipe_k - shown > 5.0 * limit(tape, pipe_k),
                "{}: {wrong:?} {shown}",
                vehicle.id
            );
        }
        let none = truth(
            &car,
            Check::Infrared(Line::LiquidLine, Dull::Hose),
            Watch::default(),
        );
        assert!(
            none.unwrap_err()
                .to_string()
                .starts_with("no rubber hose lies at the liquid line")
        );
    }
}

/// A clamp read after t has gone 1 − exp(−t/8 s) of the way from the bay's air.
#[test]
fn a_clamp_read_too_soon_has_not_got_there() {
    let mut session = Session::new(hot_car(&saloon(), 10.0));
    for text in ["engine off", "wait 60 min"] {
        act(&mut session, text);
    }
    // A car that has stood warm holds its temperature within the few seconds of a reading.
    let air_k = session.car().weather().temperature_k;
    for (line, lag_s) in [(Line::CompressorDischarge, 8.0), (Line::LiquidLine, 8.0)] {
        let before = number(session.car(), Check::LineTemperature(line));
        let seen = act(&mut session, &format!("clamp {} quick", line.name()));
        let after = number(session.car(), Check::LineTemperature(line));
        let left = (-5.0_f64 / lag_s).exp();
        let expected = |k: f64| k + left * (air_k - k);
        let shown = value_of(&seen, 0);
        let (low, high) = (
            expected(before).min(expected(after)),
            expected(before).max(expected(after)),
        );
        assert!(
            (low - 0.01..=high + 0.01).contains(&shown),
            "{line:?}: {low} {shown} {high}"
        );
    }
    let mut session = Session::new(hot_car(&saloon(), 10.0));
    let line = Line::CompressorDischarge;
    let rightly = value_of(&act(&mut session, "clamp compressor-discharge"), 0);
    let error = limit(Check::LineTemperature(line), rightly);
    for how in ["quick", "bare"] {
        let wrong = value_of(
            &act(&mut session, &format!("clamp compressor-discharge {how}")),
            0,
        );
        assert!(
            rightly - wrong > 3.0 * error,
            "{how}: {wrong} beside {rightly}"
        );
    }
}

#[test]
fn the_other_wrong_uses_are_beyond_the_accuracy() {
    let mut session = Session::new(hot_car(&saloon(), 10.0));
    act(&mut session, "engine idle");
    act(&mut session, "ac on");
    act(&mut session, "blower 4");
    act(&mut session, "wait 5 min");
    for (right, wrong, index) in [
        (
            "thermometer centre-vent",
            "thermometer centre-vent quick",
            0,
        ),
        ("air-speed centre-vent", "air-speed centre-vent askew", 0),
        ("hygrometer cabin", "hygrometer cabin quick", 0),
        ("tachometer pulley", "tachometer pulley unmarked", 0),
        ("identifier vapour", "identifier cold", 0),
        ("identifier vapour", "identifier cold", 3),
        (
            "thermometer condenser-behind",
            "thermometer condenser-behind quick",
            0,
        ),
        (
            "thermometer condenser-front",
            "thermometer condenser-front on-fins",
            0,
        ),
        ("scan ambient", "scan ambient soaked", 0),
        ("meter battery-volts", "meter battery-volts ac-range", 0),
        ("meter coil-amps", "meter coil-amps unzeroed", 0),
    ] {
        let rightly = act(&mut session, right);
        let wrongly = act(&mut session, wrong);
        let (a, b) = (value_of(&rightly, index), value_of(&wrongly, index));
        let error = limit(rightly[index].0, a);
        assert!(
            (a - b).abs() > error,
            "{wrong}: {b} beside {a}, limit {error}"
        );
    }
    act(&mut session, "engine off");
    for (right, wrong) in [
        ("belt-tension right-span", "belt-tension wrong-span"),
        ("pulley-line grooves", "pulley-line rims"),
        ("feeler clutch-gap", "feeler clutch-gap one-place"),
        ("meter coil-ohms", "meter coil-ohms unzeroed"),
        ("meter fuse-ohms", "meter fuse-ohms unzeroed"),
    ] {
        let rightly = act(&mut session, right);
        let a = value_of(&rightly, 0);
        let b = value_of(&act(&mut session, wrong), 0);
        let error = limit(rightly[0].0, a);
        assert!(
            (a - b).abs() > error,
            "{wrong}: {b} beside {a}, limit {error}"
        );
    }
    // A scan tool with a full screen is behind when the pressure has just begun to move.
    act(&mut session, "wait 30 min");
    act(&mut session, "engine idle");
    let slow = value_of(&act(&mut session, "scan pressure slow"), 0);
    let now = number(session.car(), Check::ScanPressure);
    assert!(
        (now - slow).abs() > limit(Check::ScanPressure, now),
        "{slow} beside {now}"
    );
}

#[test]
fn shut_couplings_show_the_hose_and_an_unzeroed_set_shows_the_height() {
    let high = Weather {
        altitude_m: 1500.0,
        ..weather(25.0, 0.4)
    };
    let mut session = Session::new(warm_car(&saloon(), high));
    act(&mut session, "gauges connect");
    let shut = act(&mut session, "gauges read");
    let unzeroed = value_of(&shut, 0);
    // ICAO standard atmosphere: 84 556 Pa at 1500 m, 16 769 Pa below sea level.
    assert!((unzeroed + 16_769.0).abs() < 30.0, "{unzeroed}");
    assert!(refused(&mut session, "gauges zero").contains("couplings are on"));
    act(&mut session, "gauges disconnect");
    act(&mut session, "gauges zero");
    act(&mut session, "gauges connect");
    assert!(value_of(&act(&mut session, "gauges read"), 0).abs() < 1e-6);
    act(&mut session, "gauges open");
    let open = value_of(&act(&mut session, "gauges read"), 0);
    let in_loop = session.car().pressure_pa(Role::SuctionLine);
    assert!(
        (open - (in_loop - high.pressure_pa())).abs() < 2e3,
        "{open}"
    );
    act(&mut session, "gauges close");
    act(&mut session, "engine idle");
    act(&mut session, "ac on");
    act(&mut session, "blower 4");
    act(&mut session, "wait 3 min");
    let held = value_of(&act(&mut session, "gauges read"), 0);
    let now = number(session.car(), Check::LowGauge);
    assert!(
        (held - open).abs() < 2e3 && held - now > 100e3,
        "{held} and {now}"
    );
}

#[test]
fn watching_a_cycling_clutch_shows_both_ends_of_the_swing() {
    // A fan that stands still lets the pressure cut-out open and close.
    let spec = with(&saloon(), Knob::FanFlowLost, 1.0);
    let mut session = Session::new(warm_car(&spec, weather(32.0, 0.5)));
    for text in [
        "gauges connect",
        "gauges open",
        "engine idle",
        "ac on",
        "blower 4",
        "wait 10 min",
    ] {
        act(&mut session, text);
    }
    let seen = act(&mut session, "gauges watch");
    let [low, high] = [value_of(&seen, 2), value_of(&seen, 3)];
    assert!(high - low > 300e3, "{low} to {high}");
    let one = value_of(&act(&mut session, "gauges read"), 1);
    assert!(
        (low - 50e3..=high + 50e3).contains(&one),
        "{one} in {low} to {high}"
    );
}

#[test]
fn a_tachometer_shows_slip_where_it_is() {
    let healthy = hot_car(&saloon(), 5.0);
    let pulley = number(&healthy, Check::ShaftSpeed(Wheel::Pulley));
    let asked =
        healthy.setup().engine_rev_s * healthy.spec().compressor.turned.pulley_ratio().unwrap();
    assert!((pulley - asked).abs() < 1e-9);
    assert!((number(&healthy, Check::ShaftSpeed(Wheel::Hub)) - pulley).abs() < 1e-9);
    // A slipping belt slows both, a slipping clutch the hub alone.
    let belt = hot_car(&with(&saloon(), Knob::BeltSlip, 0.3), 5.0);
    let (hub, pulley) = (
        number(&belt, Check::ShaftSpeed(Wheel::Hub)),
        number(&belt, Check::ShaftSpeed(Wheel::Pulley)),
    );
    assert!((pulley / asked - 0.7).abs() < 1e-9 && (hub / pulley - 1.0).abs() < 1e-9);
    let clutch = hot_car(&with(&saloon(), Knob::ClutchFrictionLost, 0.9), 1.0);
    let (hub, pulley) = (
        number(&clutch, Check::ShaftSpeed(Wheel::Hub)),
        number(&clutch, Check::ShaftSpeed(Wheel::Pulley)),
    );
    assert!(
        (pulley - asked).abs() < 1e-9 && hub < 0.9 * pulley,
        "{hub} of {pulley}"
    );
}

#[test]
fn the_air_is_warmer_behind_the_condenser_and_ears_and_nose_can_be_drowned() {
    let mut car = hot_car(&saloon(), 10.0);
    let front = number(&car, Check::CondenserAir(CondenserSide::Front));
    let behind = number(&car, Check::CondenserAir(CondenserSide::Behind));
    assert!(behind > front + 3.0, "{front} and {behind}");
    let valve = Check::Sense(Sense::Listen, Spot::ExpansionValve);
    assert_ne!(finding(&car, valve), "drowned");
    let loud = Setup {
        shop_fan: true,
        ..car.setup().clone()
    };
    run(&mut car, &loud, 1.0);
    assert_eq!(finding(&car, valve), "drowned");
    let musty = Check::Sense(Sense::Smell, Spot::Vents);
    let mut car = hot_car(&with(&saloon(), Knob::EvaporatorFaceBlocked, 0.6), 1.0);
    assert_eq!(finding(&car, musty), "musty");
    let off = Setup {
        blower_step: 0,
        ..car.setup().clone()
    };
    run(&mut car, &off, 1.0);
    assert_eq!(finding(&car, musty), "nothing");
}
