//! What the bank has to hold as a whole: enough cases of every kind, each in endless versions.
#![allow(clippy::expect_used, clippy::panic)]

use std::collections::{BTreeMap, BTreeSet};

use scenarios::{Bank, Case, Scenario};
use sim_core::spec::CarSpec;

fn bank() -> Bank {
    Bank::builtin().unwrap_or_else(|errors| panic!("{errors}"))
}

#[test]
fn there_are_enough_cases_on_enough_vehicles_at_every_level() {
    let bank = bank();
    assert!(bank.cases().count() >= 60);
    let vehicles: BTreeSet<&str> = bank.cases().map(|case| case.vehicle.as_str()).collect();
    assert!(vehicles.len() >= 8, "{vehicles:?}");
    let mut levels: BTreeMap<u8, usize> = BTreeMap::new();
    for case in bank.cases() {
        *levels.entry(case.level).or_default() += 1;
    }
    let enough = levels.values().all(|cases| *cases >= 15);
    assert!(levels.len() == 3 && enough, "{levels:?}");
}

/// What README says of the bank.
#[test]
fn readme_counts_the_cases() {
    let readme = coldtrail_checks::golden::text("README.md");
    let bank = bank();
    let (cases, vehicles) = (bank.cases().count(), bank.vehicles().count());
    assert_eq!(vehicles, 10);
    let said = format!("There are {cases} cases on ten vehicles");
    assert!(readme.contains(&said), "{said}");
}

#[test]
fn every_failure_mode_is_in_a_case() {
    let bank = bank();
    let met: BTreeSet<&str> = bank
        .cases()
        .flat_map(|case| case.faults.iter().map(|fault| fault.mode_id.as_str()))
        .collect();
    let all: BTreeSet<&str> = bank.catalogue().modes().map(|mode| &*mode.id).collect();
    let missing: Vec<_> = all.difference(&met).collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn a_third_holds_two_faults_or_a_cause_behind_the_visible_one() {
    let bank = bank();
    let more = bank.cases().filter(|case| case.faults.len() > 1).count();
    assert!(3 * more >= bank.cases().count(), "{more}");
}

/// A car whose air, wiring, controls and drive are those of a sound one.
fn outside_the_loop_mended(broken: &CarSpec, sound: &CarSpec) -> CarSpec {
    CarSpec {
        air_box: sound.air_box.clone(),
        circuit: sound.circuit.clone(),
        controls: sound.controls.clone(),
        clutch: sound.clutch.clone(),
        fan: sound.fan.clone(),
        ..broken.clone()
    }
}

fn broken_and_sound(bank: &Bank, case: &Scenario) -> (CarSpec, CarSpec) {
    let sound = &bank.vehicle(&case.vehicle).expect("a known vehicle").spec;
    let mut broken = sound.clone();
    for fault in &case.faults {
        let mode = bank.catalogue().get(&fault.mode_id).expect("a known mode");
        mode.fault.apply(&mut broken, fault.severity);
    }
    (broken, sound.clone())
}

#[test]
fn some_cases_have_nothing_wrong_in_the_loop() {
    let bank = bank();
    let healthy_side = |case: &&Scenario| {
        let (broken, sound) = broken_and_sound(&bank, case);
        broken != sound && outside_the_loop_mended(&broken, &sound) == sound
    };
    let cases = bank.cases().filter(healthy_side).count();
    assert!(cases >= 6, "{cases}");
    // And not all: a leak is in the loop, wherever else the case leads.
    assert!(cases < bank.cases().count() / 2, "{cases}");
}

#[test]
fn some_cars_were_repaired_once_already_and_wrongly() {
    let bank = bank();
    let again = |case: &&Scenario| {
        let skills = &case.competencies;
        skills.iter().any(|one| one == "second-repair")
    };
    let cases: Vec<&Scenario> = bank.cases().filter(again).collect();
    assert!(cases.len() >= 4, "{}", cases.len());
    for case in cases {
        let history = case.work_order.history.join(" ");
        assert!(history.contains("elsewhere"), "{}", case.id);
    }
}

/// Two seeds hand over two cars: another day, another severity, another clock or other words.
#[test]
fn every_case_has_versions_without_end() {
    let bank = bank();
    for case in bank.cases() {
        let dealt: BTreeSet<String> = (1..=12)
            .map(|seed| {
                let case = Case::deal(&bank, &case.id, seed).expect("a case of the bank");
                format!("{:?}", case.scenario)
            })
            .collect();
        assert!(
            dealt.len() > 6,
            "{}: {} versions of twelve",
            case.id,
            dealt.len()
        );
        let orders: BTreeSet<&str> = case.work_order.history.iter().map(String::as_str).collect();
        assert_eq!(orders.len(), case.work_order.history.len(), "{}", case.id);
        // A sound car has no severity: its individuals differ, and what is said of them.
        assert!(
            case.faults.is_empty() || case.ranges.iter().any(|range| range.of.matters()),
            "{}",
            case.id
        );
    }
}
