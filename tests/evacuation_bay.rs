//! Evacuating and charging in the bay: the commands, what is refused, what is said, and the replay.
//!
//! Outside sources: the stall of a vacuum at 23.8 thousand micron at 25 °C (`checks.md` §10 check 11);
//! the cautions are the trade's usual ones (common practice, no source).
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::bench::{act, refused, saloon, value_of};
use coldtrail_checks::program::{play, script_of};
use coldtrail_checks::stand::{bank, fluid_of, warm_car, weather, with};
use runner::action::Action;
use runner::bay::Bay;
use runner::safety::SlipKind;
use runner::session::Session;
use scenarios::Case;
use sim_core::car::Car;
use sim_core::faults::Knob;
use sim_core::instruments::{Check, Value, read};
use sim_core::random::Draws;

fn acted(session: &mut Session, words: &str) {
    for line in words.lines() {
        act(session, line);
    }
}

const EMPTIED: &str = "recover 20 min\nwait 10 min\nrecover 10 min";

/// Recovered, evacuated, held, charged and run: the scales show the label and the car cools.
#[test]
fn a_loop_is_emptied_dried_filled_and_cools() {
    let spec = with(&saloon(), Knob::AirInLoop, 3.0);
    let label = spec.label_charge_kg;
    let mut session = Session::new(warm_car(&spec, weather(25.0, 0.5)));
    acted(&mut session, EMPTIED);
    acted(&mut session, "evacuate on\nwait 30 min\nevacuate off");
    let deep = value_of(&act(&mut session, "vacuum-gauge read"), 0);
    act(&mut session, "wait 10 min");
    let held = value_of(&act(&mut session, "vacuum-gauge read"), 0);
    // 500 micron is 66.7 Pa.
    assert!(deep < 66.7 && held < 66.7, "{deep} then {held} Pa");
    let first = value_of(&act(&mut session, &format!("charge liquid {label} kg")), 0);
    if label - first > 0.01 {
        acted(&mut session, "engine idle\nac on\nblower 4");
        let rest = format!("charge vapour {:.3} kg", label - first);
        let whole = value_of(&act(&mut session, &rest), 0);
        assert!((whole - label).abs() < 1e-3, "{whole} kg of {label}");
    }
    acted(
        &mut session,
        "engine 1500 rpm\nac on\nblower 4\nair recirculate\nwait 15 min",
    );
    let vent = value_of(&act(&mut session, "thermometer centre-vent"), 0);
    assert!(vent < 285.15, "{vent} K");
    let held = &session.car().state().refrigerant;
    assert!(held.total_air_kg() < 1e-4 * held.total_mass_kg());
}

/// 5 g of water and a spent drier: the gauge stands at what water boils at, and comes back there.
#[test]
fn the_gauge_shows_water_that_boils() {
    let wet = with(
        &with(&saloon(), Knob::WaterInLoop, 4.0),
        Knob::DrierSpent,
        1.0,
    );
    // A cold car: beside a warm engine the metal is warmer than the day, and water boils at its warmth.
    let mut session = Session::new(Car::soaked_with(
        fluid_of(&wet),
        wet.clone(),
        weather(25.0, 0.5),
    ));
    acted(&mut session, EMPTIED);
    acted(&mut session, "evacuate on\nwait 5 min");
    let seen = act(&mut session, "vacuum-gauge read");
    let pa = value_of(&seen, 0);
    assert!((pa / 3170.0 - 1.0).abs() < 0.05, "{pa} Pa");
    let Value::Number { shown, error, .. } =
        read(Check::Vacuum, seen[0].1, &mut Draws::new(1, 1000)).value
    else {
        panic!("{seen:?}");
    };
    assert!((shown - pa).abs() <= error, "{shown} Pa for {pa}");
    acted(&mut session, "evacuate off\nwait 5 min");
    let back = value_of(&act(&mut session, "vacuum-gauge read"), 0);
    assert!((back / 3170.0 - 1.0).abs() < 0.05, "{back} Pa");
    acted(&mut session, "evacuate on\nwait 50 min");
    let dry = value_of(&act(&mut session, "vacuum-gauge read"), 0);
    assert!(dry < 66.7, "{dry} Pa");
}

#[test]
fn what_cannot_be_done_is_said() {
    let mut session = Session::new(warm_car(&saloon(), weather(25.0, 0.5)));
    assert!(refused(&mut session, "evacuate off").contains("`evacuate on`"));
    act(&mut session, "engine idle");
    assert!(refused(&mut session, "evacuate on").contains("engine off"));
    acted(&mut session, "engine off\ngauges connect");
    assert!(refused(&mut session, "evacuate on").contains("gauges disconnect"));
    assert!(refused(&mut session, "charge liquid 100 g").contains("gauges disconnect"));
    assert!(refused(&mut session, "road 30 km/h").contains("gauges disconnect"));
    acted(
        &mut session,
        "gauges disconnect\nrecover 20 min\nevacuate on",
    );
    for words in [
        "evacuate on",
        "recover 5 min",
        "gauges connect",
        "charge liquid 100 g",
        "road 30 km/h",
    ] {
        let said = refused(&mut session, words);
        assert!(said.contains("`evacuate off`"), "{words}: {said}");
    }
}

/// (what is done after protection is on, the slips it is).
#[test]
fn wrong_uses_have_their_caution() {
    use SlipKind::*;
    // The low cut-out of this car holds its compressor off: asking for it hurts nothing.
    let table: [(&str, &[SlipKind]); 13] = [
        ("recover 30 min\nengine idle\nblower 4\nac on", &[]),
        ("ac on\nblower 4\nrecover 30 min\nroad 30 km/h", &[]),
        ("recover 30 min\nac on\nblower 4\nac off\nengine idle", &[]),
        ("engine idle\nac on", &[]),
        ("vacuum-gauge read", &[VacuumGaugeUnderPressure]),
        ("recover 30 min\nvacuum-gauge read", &[]),
        ("evacuate on", &[PumpedToTheAir]),
        ("charge vapour 50 g", &[ChargedUnknown]),
        (
            "recover 30 min\nwait 10 min\nrecover 10 min\nevacuate on",
            &[],
        ),
        (
            "recover 30 min\nevacuate on\nwait 10 min\nevacuate off\nengine idle\nblower 4\nac on",
            &[],
        ),
        (
            "recover 30 min\nevacuate on\nwait 10 min\nevacuate off\nac on\nengine idle\ncharge liquid 50 g",
            &[LiquidToCompressor],
        ),
        (
            "recover 30 min\nevacuate on\nwait 10 min\nevacuate off\ncharge liquid 1.5 kg",
            &[OverLabel],
        ),
        (
            "recover 30 min\nevacuate on\nwait 10 min\nevacuate off\ncharge liquid 200 g",
            &[],
        ),
    ];
    let case = Case::deal(bank(), "school-run", 3).unwrap();
    for (script, kinds) in table {
        let mut bay = Bay::new(bank(), &case).unwrap();
        for line in format!("wear glasses\nwear gloves\n{script}").lines() {
            bay.act(&Action::parse(line).unwrap())
                .unwrap_or_else(|why| panic!("{line}: {why}"));
        }
        let found: Vec<SlipKind> = bay.slips().iter().map(|slip| slip.kind).collect();
        assert_eq!(found, kinds, "{script}");
    }
    // What has happened is said with the reading that did it, and is among the slips of the debrief.
    let mut bay = Bay::new(bank(), &case).unwrap();
    let read = Action::parse("vacuum-gauge read").unwrap();
    let slips = bay.act(&read).unwrap().slips;
    assert!(
        slips
            .iter()
            .any(|slip| slip.kind.caution().contains("gauge is ruined"))
    );
    assert!(bay.act(&read).unwrap_err().to_string().contains("ruined"));
    assert!(
        bay.slips()
            .iter()
            .any(|slip| slip.kind == VacuumGaugeUnderPressure)
    );
    let mut bay = Bay::new(bank(), &case).unwrap();
    for line in EMPTIED.lines() {
        bay.act(&Action::parse(line).unwrap()).unwrap();
    }
    let outcome = bay.act(&Action::parse("evacuate on").unwrap()).unwrap();
    let bare: Vec<SlipKind> = outcome.slips.iter().map(|slip| slip.kind).collect();
    assert_eq!(bare, [NoGlasses, NoGloves]);
    let mut bay = Bay::new(bank(), &case).unwrap();
    let opened = bay
        .act(&Action::parse("loosen liquid-line").unwrap())
        .unwrap();
    let opened: Vec<SlipKind> = opened.slips.iter().map(|slip| slip.kind).collect();
    assert_eq!(opened, [NoGlasses, NoGloves, OpenedChargedLoop]);
}

/// The slips of lines on a car with a fault, in a bay that is well dressed for.
fn slips_with(mode: &str, script: &str) -> Vec<SlipKind> {
    let fault = bank().catalogue().get(mode).expect("a mode").clone();
    let saloon = bank().vehicle("saloon").expect("a saloon");
    let case = Case::of_vehicle(saloon, weather(25.0, 0.5), vec![(fault, 1.0)], 1);
    let mut bay = Bay::new(bank(), &case).expect("a known refrigerant");
    for line in format!("wear glasses\nwear gloves\n{script}").lines() {
        let action = Action::parse(line).expect("an action");
        bay.act(&action)
            .unwrap_or_else(|why| panic!("{line}: {why}"));
    }
    bay.slips().iter().map(|slip| slip.kind).collect()
}

/// Where a welded relay lets a compressor turn, it turns in what there is: the same lines are a slip on
/// one car and none on another.
#[test]
fn a_compressor_that_turns_in_an_empty_loop_is_the_slip() {
    use SlipKind::*;
    const PUMPED: &str = "recover 30 min\nevacuate on\nwait 10 min\nevacuate off\n";
    let welded = |script: &str| slips_with("relay-welded", script);
    assert_eq!(
        welded(&format!("{PUMPED}engine idle")),
        [CompressorInVacuum]
    );
    // It goes on turning: one start is one slip.
    let longer = format!("{PUMPED}engine idle\nac on\nblower 4\nwait 1 min");
    assert_eq!(welded(&longer), [CompressorInVacuum]);
    assert_eq!(welded("recover 30 min\nengine idle"), [RanEmpty]);
    assert_eq!(welded("engine idle"), []);
    assert_eq!(slips_with("clutch-coil-open", &longer), []);
}

/// An open coupling lets out what is under pressure, and lets air into what is below the air's.
#[test]
fn an_open_coupling_is_what_goes_through_it() {
    use SlipKind::*;
    const OPEN: &str = "gauges connect\ngauges open\ngauges disconnect";
    let slips = |before: &str| slips_with("clutch-coil-open", &format!("{before}{OPEN}"));
    assert_eq!(slips(""), [CouplingLeftOpen]);
    assert_eq!(
        slips("recover 30 min\nevacuate on\nwait 10 min\nevacuate off\n"),
        [AirLetIn]
    );
}

/// A car that came in empty is run once to see that nothing happens: no slip.
#[test]
fn a_car_that_came_in_empty_is_nobodys_slip() {
    let case = Case::of_vehicle(
        bank().vehicle("saloon").unwrap(),
        weather(25.0, 0.5),
        vec![(bank().catalogue().get("undercharge").unwrap().clone(), 1.0)],
        1,
    );
    let mut bay = Bay::new(bank(), &case).unwrap();
    for line in ["engine idle", "ac on"] {
        bay.act(&Action::parse(line).unwrap()).unwrap();
    }
    assert_eq!(bay.slips(), []);
}

/// What burns is said with the first work at the ports and the first at a machine, costs nothing, and
/// goes by the label: ASHRAE 34 has R-1234yf in class A2L and R-134a in A1.
#[test]
fn a_label_that_burns_has_its_caution() {
    let told = |case: &str| {
        let script = "wear glasses\nwear gloves\ngauges connect\ngauges disconnect\ngauges connect\n\
            gauges disconnect\nrecover 20 min\nwait 5 min\nrecover 10 min\n";
        play(script, &[case, "--seed", "3"]).output
    };
    let (mild, none) = (told("fifty-grams"), told("school-run"));
    assert_eq!(mild.matches("NOTE  The label says R-1234yf").count(), 1);
    assert_eq!(mild.matches("NOTE  Recover, evacuate and").count(), 1);
    assert!(mild.contains("the maker's"), "{mild}");
    assert!(mild.contains("No slips."), "{mild}");
    assert!(!mild.contains("CAUTION"), "{mild}");
    assert!(
        !none.contains("CAUTION") && !none.contains("NOTE"),
        "{none}"
    );
}

/// The other cars go through the same actions: the grade comes, and comes again byte for byte.
#[test]
fn an_attempt_with_pump_and_cylinder_is_graded_and_played_again() {
    let script = "wear glasses\nwear gloves\ngauges connect\ngauges open\ngauges read\n\
        gauges close\ngauges disconnect\nrecover 20 min\nwait 5 min\nrecover 10 min\n\
        evacuate on\nwait 30 min\nvacuum-gauge read\nevacuate off\nwait 5 min\n\
        vacuum-gauge read\ncharge liquid 610 g\nengine idle\nac on\nblower 4\ncharge vapour 50 g\n\
        wait 10 min\nthermometer centre-vent\nengine off\nconclude air-in-loop because 2\n";
    let arguments = ["home-made", "--seed", "4", "--format", "json"];
    let first = play(script, &arguments);
    let told: serde_json::Value = serde_json::from_str(&first.output).expect("JSON");
    assert_eq!(told["lines_not_taken"].as_array().map(Vec::len), Some(0));
    let again = play(&script_of(&first.output), &arguments);
    assert_eq!(again.output, first.output);
}
