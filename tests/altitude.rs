//! Height above the sea: from a case's file and from `--altitude` to what gauges show.
//!
//! Outside source: the standard atmosphere (ISO 2533; ICAO Doc 7488): 84 556 Pa at 1500 m, 16 769 Pa below
//! sea level; gauges then read as much more for the same absolute pressure (checks.md §10, check 4).
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::bench::{act, value_of};
use coldtrail_checks::program::{coldtrail, play, typed};
use coldtrail_checks::stand::{bank, fluid_of};
use runner::session::Session;
use scenarios::Case;

const OFF_PA: f64 = 16_769.0;
const CASE: &str = "up-at-the-pass";

/// The same car after the same time, its gauge set zeroed in the bay or not.
#[test]
fn a_set_zeroed_at_sea_level_reads_low_in_a_mountain_shop() {
    let case = Case::deal(bank(), CASE, 2).unwrap();
    assert_eq!(case.weather().altitude_m, 1500.0);
    let readings = |first: &str| {
        let mut session = Session::of(&case, fluid_of(&case.healthy));
        for line in [first, "engine off", "gauges connect", "gauges open"] {
            act(&mut session, line);
        }
        let rest = act(&mut session, "gauges read");
        for line in ["engine idle", "ac on", "blower 4", "wait 8 min"] {
            act(&mut session, line);
        }
        let run = act(&mut session, "gauges read");
        [&rest, &run].map(|seen| [value_of(seen, 0), value_of(seen, 1)])
    };
    let zeroed = readings("gauges zero");
    // Zeroing takes 20 s.
    let unzeroed = readings("wait 20 s");
    for (right, wrong) in zeroed.iter().flatten().zip(unzeroed.iter().flatten()) {
        assert!(
            (right - wrong - OFF_PA).abs() < 10.0,
            "{wrong} Pa for {right}"
        );
    }
}

/// In play: the work order says how high the shop is, and both sets are taken at their word.
#[test]
fn a_session_at_a_height_is_played_and_graded() {
    let shown = |first: &str| {
        let script = format!(
            "wear glasses\nwear gloves\n{first}\ngauges connect\ngauges open\ngauges read\n\
             engine idle\nac on\nblower 4\nwait 6 min\ngauges read\nengine off\ngauges close\n\
             gauges disconnect\nconclude compressor-rings-worn because 3 4\n"
        );
        play(&script, &[CASE, "--seed", "2"]).output
    };
    let zeroed = shown("gauges zero");
    assert!(
        zeroed.contains("27 °C, 40 % humidity, bright sun, 1500 m above the sea"),
        "{zeroed}"
    );
    let unzeroed = shown("wait 20 s");
    let at_rest = |text: &str| -> f64 {
        let line = text.lines().find(|line| line.contains("[1] low-side"));
        let line = line.unwrap_or_else(|| panic!("no reading in\n{text}"));
        let words: Vec<&str> = line.split_whitespace().collect();
        words[words.len() - 3].parse().unwrap()
    };
    // Both are drawn with one error and rounded to a gauge's 5 kPa.
    let off = at_rest(&zeroed) - at_rest(&unzeroed);
    assert!((15.0..=20.0).contains(&off), "{off} kPa");
    let told = "and not in this bay: it showed 16.8 kPa less than it should.";
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat(&unzeroed).contains(told), "{unzeroed}");
    assert!(zeroed.contains("\nDebrief\n") && !flat(&zeroed).contains("not in this bay"));
}

/// A car at rest is soaked at the day's temperature: the absolute pressure is the same at any height.
#[test]
fn a_table_at_a_height_holds_right_readings() {
    let at = |altitude: &str| -> f64 {
        let ran = coldtrail(&[
            "readings",
            "--vehicle",
            "van",
            "--altitude",
            altitude,
            "--for",
            "0s",
        ]);
        assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
        let mut reader = csv::Reader::from_reader(ran.output.as_bytes());
        let names = reader.headers().unwrap().clone();
        let index = names.iter().position(|name| name == "low_gauge_pa_true");
        let index = index.unwrap_or_else(|| panic!("{names:?}"));
        reader.records().next().unwrap().unwrap()[index]
            .parse()
            .unwrap()
    };
    let (sea, pass) = (at("0 m"), at("1500m"));
    // A table has tens of pascals.
    assert!((pass - sea - OFF_PA).abs() < 20.0, "{pass} Pa, {sea} Pa");
    assert_eq!(at("4921.26ft"), pass);
}

#[test]
fn a_height_is_said_on_charts_and_refused_where_no_road_leads() {
    let chart = coldtrail(&["chart", "ph", "--vehicle", "saloon", "--altitude", "1500m"]);
    assert!(
        chart.output.contains("1500 m above the sea"),
        "{}",
        chart.errors
    );
    let chart = coldtrail(&["chart", "pt", "R-134a", "--altitude", "1500m"]);
    assert!(
        chart
            .output
            .contains("One zeroed at sea level shows 16.8 kPa (2.4 psi) less."),
        "{}",
        chart.errors
    );
    for (arguments, words) in [
        (
            &["readings", "--vehicle", "van", "--altitude", "9km"][..],
            "give −500 m to 5000 m",
        ),
        (
            &["readings", "--vehicle", "van", "--altitude", "3kg"],
            "--altitude: expected",
        ),
        (
            &["readings", "school-run", "--altitude", "800m"],
            "--altitude goes with --vehicle ID",
        ),
        (
            &["chart", "pt", "R-134a", "--altitude", "-2km"],
            "give −500 m to 5000 m",
        ),
    ] {
        let ran = coldtrail(arguments);
        assert!(
            ran.code == 1 && ran.errors.contains(words),
            "{}",
            ran.errors
        );
    }
    // At sea level nothing is said of it.
    let order = typed(&["practice", "school-run"], b"quit\n").output;
    assert!(!order.contains("the sea"), "{order}");
}
