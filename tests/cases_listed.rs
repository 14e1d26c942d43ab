//! `coldtrail cases`: by level and by vehicle.
#![allow(clippy::unwrap_used)]

use coldtrail_checks::program::coldtrail;
use coldtrail_checks::stand::bank;

#[test]
fn every_case_is_listed_below_its_level() {
    let listed = coldtrail(&["cases"]).output;
    let mut level = 0;
    let mut seen = 0;
    for line in listed.lines() {
        if let Some(number) = line.strip_prefix("Level ") {
            level = number.parse().unwrap();
        } else if let Some(id) = line
            .strip_prefix("  ")
            .and_then(|row| row.split(' ').next())
            && let Some(case) = bank().case(id)
        {
            assert_eq!(case.level, level, "{id}");
            seen += 1;
        }
    }
    assert_eq!(seen, bank().cases().count(), "{listed}");
}

#[test]
fn a_level_and_a_vehicle_leave_the_others_out() {
    let listed = coldtrail(&["cases", "--level", "2", "--vehicle", "van"]).output;
    for case in bank().cases() {
        let wanted = case.level == 2 && case.vehicle == "van";
        let row = format!("  {} ", case.id);
        assert_eq!(listed.contains(&row), wanted, "{}: {listed}", case.id);
    }
    let wrong = coldtrail(&["cases", "--vehicle", "vann"]);
    assert_eq!(wrong.code, 1);
    assert!(
        wrong.errors.contains("did you mean `van`?"),
        "{}",
        wrong.errors
    );
}
