//! Every case of the bank through the author's check, at the middle of its ranges: somebody can come to
//! what is in the car, and on which path. (The ends of the ranges take a tour each: `coldtrail author
//! check` without a name goes through all of them.)
#![allow(clippy::expect_used, clippy::panic)]

use coldtrail_checks::stand::bank;
use coldtrail_checks::tours::tours;
use runner::author::check;
use scenarios::Case;

/// Cases whose best path ends before what is in the car is believed enough: a sound car, which only the
/// sum of everything proves; chains of faults of which one hides the next until it is repaired; and
/// faults of a control or a compressor that show what another shows.
const LEFT_OPEN: [&str; 7] = [
    "half-hearted",
    "hot-day-out",
    "hot-iron",
    "quiet-nose",
    "smell-at-lights",
    "too-keen",
    "warning-of-nothing",
];

#[test]
fn every_case_passes_the_authors_check() {
    let mut open = Vec::new();
    for scenario in bank().cases() {
        let case = Case::deal_version(bank(), &scenario.id, &[], 1);
        let case = case.unwrap_or_else(|error| panic!("{}: {error}", scenario.id));
        match check(bank(), &case, tours(), &()) {
            Ok(found) if found.path.proved => assert!(found.path.bits() > 0.0, "{}", scenario.id),
            Ok(_) => open.push(scenario.id.as_str()),
            Err(why) => panic!("{}: {why}", scenario.id),
        }
    }
    assert_eq!(open, LEFT_OPEN);
}
