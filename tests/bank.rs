//! Every vehicle, fault and case that is built in: whole, honest and able to run.

use std::collections::BTreeSet;

use coldtrail_checks::golden;
use coldtrail_checks::stand::fluid_by_name;
use scenarios::{Bank, Case, FaultRole, Mode, Vehicle};
use sim_core::car::Car;
use sim_core::faults::Fault;
use sim_core::setup::{Setup, Weather};

#[allow(clippy::panic)] // Clippy knows a test by its attribute, and not its helpers.
fn bank() -> Bank {
    Bank::builtin().unwrap_or_else(|errors| panic!("{errors}"))
}

#[test]
fn every_file_loads() {
    let bank = bank();
    assert!(bank.vehicles().count() >= 6);
    assert!(bank.catalogue().modes().count() >= 45);
    assert!(bank.cases().count() >= 20);
    let driven: BTreeSet<&str> = bank.cases().map(|case| case.vehicle.as_str()).collect();
    assert_eq!(
        driven.len(),
        bank.vehicles().count(),
        "a vehicle without a case"
    );
}

#[test]
fn every_id_is_in_kebab_case() {
    let bank = bank();
    let cases = bank.cases().map(|case| &case.id);
    let vehicles = bank.vehicles().map(|vehicle| &vehicle.id);
    let modes = bank.catalogue().modes().map(|mode| &mode.id);
    let components = bank.components().iter().map(|component| &component.id);
    for id in cases.chain(vehicles).chain(modes).chain(components) {
        let plain = id.split('-').all(|word| {
            !word.is_empty()
                && word
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
        });
        assert!(plain, "{id}");
    }
}

#[test]
fn a_fault_of_no_severity_changes_nothing_and_a_full_one_something() {
    let bank = bank();
    for vehicle in bank.vehicles() {
        for mode in bank.catalogue().modes() {
            let mut spec = vehicle.spec.clone();
            mode.fault.apply(&mut spec, 0.0);
            assert_eq!(spec, vehicle.spec, "{}", mode.id);
            if !mode.concerns(&vehicle.spec) {
                continue;
            }
            for effect in &mode.fault.effects {
                let one = Fault {
                    effects: vec![*effect],
                };
                let mut spec = vehicle.spec.clone();
                one.apply(&mut spec, 1.0);
                if spec == vehicle.spec {
                    continue; // Of a part this car lacks: a valve's screen where a tube sits.
                }
                spec = vehicle.spec.clone();
                one.apply(&mut spec, mode.severity.least);
                assert_ne!(
                    spec,
                    vehicle.spec,
                    "{}: {}",
                    mode.id,
                    effect.knob.info().name
                );
            }
        }
    }
}

/// A fault of a part that no vehicle has cannot be met, one in a car without the part cannot be found.
#[test]
fn every_mode_has_a_car_and_every_case_a_car_that_can_have_it() {
    let bank = bank();
    for mode in bank.catalogue().modes() {
        let mut vehicles = bank.vehicles();
        assert!(
            vehicles.any(|one| mode.concerns(&one.spec)),
            "{}: no vehicle can have it",
            mode.id
        );
    }
    for case in bank.cases() {
        let vehicle = bank.vehicle(&case.vehicle).expect("a vehicle of the bank");
        for present in &case.faults {
            let mode = bank.catalogue().get(&present.mode_id);
            let mode = mode.expect("a known mode");
            assert!(mode.concerns(&vehicle.spec), "{}: {}", case.id, mode.id);
        }
    }
}

/// What is at full severity in words must be what the knob is given, where units are the same.
#[test]
fn severity_in_words_matches_the_first_knob() {
    for mode in bank().catalogue().modes() {
        let effect = &mode.fault.effects[0];
        let info = effect.knob.info();
        let change = (effect.full - info.healthy).abs();
        let expected = match mode.severity.unit.as_str() {
            "%" => 100.0 * change,
            "kΩ" => change / 1000.0,
            _ => change,
        };
        let said = mode.severity.at_full;
        assert!(
            (said - expected).abs() < 1e-9,
            "{}: {said}, not {expected}",
            mode.id
        );
    }
}

#[test]
fn a_title_and_an_id_give_nothing_away() {
    let bank = bank();
    for case in bank.cases() {
        let told = case.gives_away(bank.catalogue());
        assert!(told.is_empty(), "{}: {told:?}", case.id);
    }
    // What looks for it does find it.
    let text = golden::text("scenarios/bank/school-run.toml");
    let text = text.replacen("title = \"", "title = \"Valve: ", 1);
    let (bank, id) = bank.with_case("stuck-again.toml", &text).unwrap();
    let told = bank.case(&id).unwrap().gives_away(bank.catalogue());
    assert_eq!(told, ["stuck", "valve"]);
}

/// A charge that a history says was put in or belongs in, and a fuse it names, are those of the
/// vehicle's own data; what was recovered may be any.
#[test]
fn a_history_quotes_its_vehicles_charge_and_fuse() {
    let bank = bank();
    let (mut charges, mut fuses) = (0, 0);
    for case in bank.cases() {
        let vehicle = bank.vehicle(&case.vehicle).expect("a vehicle of the bank");
        let charge = format!("{:.0}", vehicle.label.charge_kg * 1e3);
        let fuse_at: Vec<&str> = words(&vehicle.places.clutch_fuse).collect();
        for line in &case.work_order.history {
            let said: Vec<&str> = words(line).collect();
            for three in said.windows(3) {
                if ["charged", "of", "weight"].contains(&three[0]) && three[2] == "g" {
                    assert_eq!(three[1], charge, "{}: {line}", case.id);
                    charges += 1;
                }
            }
            for two in said.windows(2).filter(|two| two[0] == "Fuse") {
                assert!(fuse_at.contains(&two[1]), "{}: {line}", case.id);
                fuses += 1;
            }
        }
    }
    assert!(charges >= 4 && fuses >= 1, "{charges}, {fuses}");
}

/// Words of a sentence without its marks.
fn words(sentence: &str) -> impl Iterator<Item = &str> {
    sentence
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
}

#[test]
fn every_mode_that_is_only_a_cause_has_its_fault() {
    for case in bank().cases() {
        let faults = case
            .faults
            .iter()
            .filter(|present| present.role == FaultRole::Fault);
        assert!(case.faults.is_empty() || faults.count() > 0, "{}", case.id);
    }
}

fn idling() -> Setup {
    Setup {
        ac_on: true,
        blower_step: 4,
        recirculate: true,
        doors_open: true,
        ..Setup::parked()
    }
}

/// Uses of a car in which a customer notices things, and for how long, s.
fn uses(idle_rev_s: f64) -> [(Setup, f64); 4] {
    let idle = Setup {
        engine_rev_s: idle_rev_s,
        ..idling()
    };
    let queue = Setup {
        recirculate: false,
        ..idle.clone()
    };
    let held = Setup {
        engine_rev_s: 2500.0 / 60.0,
        ..idle.clone()
    };
    let road = Setup {
        engine_rev_s: 2400.0 / 60.0,
        road_speed_m_s: 25.0,
        doors_open: false,
        ..idle.clone()
    };
    [
        (idle, 600.0),
        (queue, 2400.0),
        (held, 1200.0),
        (road, 3600.0),
    ]
}

/// Cases that are noticed in something else than the vents' air: by ear, by a wet carpet, by mist on the
/// glass, or because the compressor runs when it is not asked to.
const ELSEWHERE: [&str; 5] = [
    "gurgles-and-shakes",
    "late-to-wake",
    "mist-on-the-glass",
    "never-stops",
    "wet-carpet",
];

#[test]
fn every_case_runs_and_its_fault_is_felt() {
    let bank = bank();
    let mut unfelt = BTreeSet::new();
    for scenario in bank.cases() {
        for seed in [1, 2] {
            let case = Case::deal(&bank, &scenario.id, seed).expect("a case of the bank");
            let uses = uses(case.healthy.bay.idle_rev_s);
            let felt = uses.iter().any(|(setup, seconds)| {
                let [own, sound] = [None, Some(&[][..])].map(|faults| {
                    let fluid = fluid_by_name(&case.healthy.refrigerant);
                    let car = match faults {
                        None => case.car(fluid),
                        Some(none) => case.car_with(fluid, none),
                    };
                    vents_and_air(&scenario.id, car, setup, *seconds)
                });
                if scenario.faults.is_empty() {
                    assert_eq!(own, sound, "{}", scenario.id);
                }
                // Warmer air at a vent, or less of it.
                let warmer = (0..3).any(|vent| own[vent] > sound[vent] + 1.5);
                let less = (3..6).any(|vent| own[vent] < 0.8 * sound[vent]);
                warmer || less
            });
            let elsewhere = ELSEWHERE.contains(&scenario.id.as_str());
            if !felt && !elsewhere && !scenario.faults.is_empty() {
                unfelt.insert((&scenario.id, seed));
            }
        }
    }
    assert!(unfelt.is_empty(), "{unfelt:?}");
}

/// Temperatures at the three vents, K, and the air out of them, kg/s, after so long in one use. Over a
/// minute: a compressor that cycles shows its mean.
#[allow(clippy::panic)] // Clippy knows a test by its attribute, and not its helpers.
fn vents_and_air(id: &str, mut car: Car, setup: &Setup, seconds: f64) -> [f64; 6] {
    if let Err(stalled) = car.advance(setup, seconds) {
        panic!("{id}: {stalled}");
    }
    let mut felt = [0.0; 6];
    let watched = car.advance_watched(setup, 60.0, |car, step_s| {
        let shares = car.spec().air_box.outlets.shares();
        let air_kg_s = car.state().air_flow_kg_s;
        let air = [shares.left, shares.centre, shares.right].map(|share| share * air_kg_s);
        let vents = car.state().vents_k.into_iter().chain(air);
        for (sum, value) in felt.iter_mut().zip(vents) {
            *sum += value * step_s / 60.0;
        }
    });
    assert_eq!(watched, Ok(()), "{id}");
    felt
}

/// The modes of a group, or of a case, in the order of their names.
fn set<'a>(ids: impl Iterator<Item = &'a String>) -> BTreeSet<&'a str> {
    ids.map(String::as_str).collect()
}

/// What a case holds has to be something that a shop thinks of: else nobody could be sure of it.
#[test]
fn faults_of_one_case_travel_together() {
    let bank = bank();
    let groups: Vec<BTreeSet<&str>> = bank
        .together()
        .iter()
        .map(|group| set(group.modes.iter()))
        .collect();
    let mut checked = 0;
    for case in bank.cases().filter(|case| case.faults.len() > 1) {
        let present = set(case.faults.iter().map(|fault| &fault.mode_id));
        assert!(groups.contains(&present), "{}: {present:?}", case.id);
        checked += 1;
    }
    assert!(checked >= 7, "{checked}");
}

/// Modes of a group meet in some car, and there each still changes something beside the others.
#[test]
fn faults_that_travel_together_fit_into_a_car_and_run() {
    let bank = bank();
    assert!(bank.together().len() >= 20);
    for group in bank.together() {
        let mode = |id: &String| bank.catalogue().get(id).expect("a known mode");
        let modes: Vec<&Mode> = group.modes.iter().map(mode).collect();
        let fits = |one: &&Vehicle| modes.iter().all(|mode| mode.concerns(&one.spec));
        let vehicles: Vec<&Vehicle> = bank.vehicles().filter(fits).collect();
        assert!(!vehicles.is_empty(), "{:?}: in no vehicle", group.modes);
        for vehicle in vehicles {
            each_is_felt(&modes, vehicle);
            let typical = |mode: &Mode| mode.severity.typical;
            for severity in [typical, |_: &Mode| 1.0] {
                let faults = modes
                    .iter()
                    .map(|mode| ((*mode).clone(), severity(mode)))
                    .collect();
                let case = Case::of_vehicle(vehicle, Weather::shade(308.15, 0.4), faults, 1);
                let mut setup = idling();
                setup.engine_rev_s = case.healthy.bay.idle_rev_s;
                let fluid = fluid_by_name(&case.healthy.refrigerant);
                let ran = case.car(fluid).advance(&setup, 600.0);
                assert_eq!(ran, Ok(()), "{}: {:?}", vehicle.id, group.modes);
            }
        }
    }
}

/// A car with all of the modes is another one than a car with all but any one of them.
fn each_is_felt(modes: &[&Mode], vehicle: &Vehicle) {
    let broken = |without: Option<&Mode>| {
        let mut spec = vehicle.spec.clone();
        for mode in modes.iter().filter(|mode| Some(**mode) != without) {
            mode.fault.apply(&mut spec, mode.severity.typical);
        }
        spec
    };
    for mode in modes {
        assert_ne!(broken(Some(mode)), broken(None), "{}", mode.id);
    }
}

/// A mode that no reading tells from another says which, and so does the other.
#[test]
fn twins_name_each_other() {
    let bank = bank();
    let mut twins = 0;
    for mode in bank.catalogue().modes() {
        let Some(twin) = &mode.twin else { continue };
        let other = bank.catalogue().get(&twin.mode).expect("a known mode");
        let back = other.twin.as_ref().map(|twin| twin.mode.as_str());
        assert_eq!(back, Some(mode.id.as_str()), "{}", twin.mode);
        assert_ne!(mode.id, other.id);
        // They differ in where they are looked for, so there must be something to look at.
        assert!(twin.apart.contains("look") || twin.apart.contains("pour"));
        twins += 1;
    }
    assert!(twins >= 4, "{twins}");
}

/// A cycling switch is one of pressure above that of the air: however far its set point has drifted, what
/// it opens at is a pressure that such a switch can be set to.
#[test]
fn a_drifted_cycling_switch_still_opens_above_the_pressure_of_the_air() {
    let bank = bank();
    let mode = bank
        .catalogue()
        .get("cycling-switch-low")
        .expect("a known mode");
    let mut switches = 0;
    for vehicle in bank.vehicles() {
        let Some(switch) = vehicle.spec.controls.cycling_pa else {
            continue;
        };
        for severity in [mode.severity.least, mode.severity.typical, 1.0] {
            let mut spec = vehicle.spec.clone();
            mode.fault.apply(&mut spec, severity);
            let opens_pa = switch.trip + spec.controls.cycling_bias_pa;
            assert!(opens_pa > 0.0 && opens_pa < switch.trip, "{opens_pa}");
        }
        switches += 1;
    }
    assert!(switches > 0);
}
