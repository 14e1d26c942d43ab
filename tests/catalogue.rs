//! `coldtrail faults`: the catalogue to browse.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::program::coldtrail;
use coldtrail_checks::stand::bank;

fn shown(arguments: &[&str]) -> String {
    let ran = coldtrail(&[&["faults"], arguments].concat());
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    ran.output
}

/// Words of a page with its line breaks undone.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn every_fault_has_a_page_that_says_all_the_catalogue_does() {
    let list = shown(&[]);
    for mode in bank().catalogue().modes() {
        assert!(list.contains(&mode.id), "{}", mode.id);
        let page = shown(&[&mode.id]);
        assert!(
            page.lines().all(|line| line.chars().count() <= 100),
            "{page}"
        );
        let page = flat(&page);
        let severity = &mode.severity;
        for words in [
            mode.name.clone(),
            mode.component.name.clone(),
            mode.mode.clone(),
            mode.effect.clone(),
            mode.cure.clone(),
            severity.meaning.clone(),
            format!("least {}", severity.show(severity.least)),
            format!("typical {}", severity.show(severity.typical)),
            format!("full {}", severity.show(1.0)),
            "faulty car in".to_owned(),
        ] {
            assert!(page.contains(&flat(&words)), "{words:?} is not in\n{page}");
        }
        let apart = mode.twin.as_ref().map(|twin| flat(&twin.apart));
        assert_eq!(page.contains("Told apart"), apart.is_some(), "{page}");
        assert!(page.contains(&apart.unwrap_or_default()), "{page}");
    }
}

/// The last name of the list is a verdict and no fault; it has its page all the same.
#[test]
fn nothing_broken_has_a_page_too() {
    let page = shown(&["no-fault"]);
    assert!(page.lines().all(|line| line.chars().count() <= 100));
    for words in [
        "(no-fault)",
        "What it means",
        "Why it is a verdict",
        "`conclude no-fault because`",
    ] {
        assert!(flat(&page).contains(words), "{words:?} is not in\n{page}");
    }
}

/// The onset is told in one of the four kinds the trade asks for first.
#[test]
fn every_onset_is_sudden_with_time_with_heat_or_intermittent() {
    let kinds = ["sudden: ", "with time: ", "with heat: ", "intermittent: "];
    let mut times = [0; 4];
    for mode in bank().catalogue().modes() {
        let page = shown(&[&mode.id]);
        let line = page.lines().find(|line| line.contains("  Onset ")).unwrap();
        let told = line.trim_start().trim_start_matches("Onset").trim_start();
        let kind = kinds.iter().position(|kind| told.starts_with(kind));
        times[kind.unwrap_or_else(|| panic!("{}: {told}", mode.id))] += 1;
    }
    assert!(times.iter().all(|times| *times > 0), "{times:?}");
}

/// A fault can be in the vehicles whose parts it changes, and every loop has a charge to lose.
#[test]
fn a_page_names_the_vehicles() {
    let page = shown(&["undercharge"]);
    for vehicle in bank().vehicles() {
        assert!(page.contains(&vehicle.id), "{page}");
    }
}

#[test]
fn a_component_shows_its_own_faults_and_no_others() {
    let text = shown(&["--component", "condenser-fan"]);
    for mode in bank().catalogue().modes() {
        let here = mode.component.id == "condenser-fan";
        assert_eq!(
            text.contains(&format!("({})\n", mode.id)),
            here,
            "{}",
            mode.id
        );
    }
}

#[test]
fn names_that_there_are_not_are_met_with_those_that_there_are() {
    for (arguments, words) in [
        (&["undrcharge"][..], "did you mean `undercharge`?"),
        (
            &["zzz"],
            "no fault is called `zzz`. `coldtrail faults` lists them all.",
        ),
        (
            &["--component", "condensr"],
            "did you mean `condenser`? There are charge,",
        ),
    ] {
        let ran = coldtrail(&[&["faults"], arguments].concat());
        assert_eq!((ran.code, ran.output.as_str()), (1, ""));
        assert!(ran.errors.contains(words), "{}", ran.errors);
    }
}
