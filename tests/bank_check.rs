//! Every case of the bank through the author's check, at the middle of its ranges: somebody can come to
//! what is in the car, and on which path. (The ends of the ranges take a tour each: `coldtrail author
//! check` without a name goes through all of them.)
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::fmt::Write;

use coldtrail_checks::golden;
use coldtrail_checks::halves::halves;
use coldtrail_checks::stand::bank;
use coldtrail_checks::tours::tours;
use runner::author::check;
use runner::evidence::plan::Path;
use runner::figures::parallel::minutes_per_bit;
use scenarios::{Case, Scenario};

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

/// How the table of hardness begins.
const HEAD: &str = "\
# Minutes of the best path for each bit it tells, in the middle of each case's ranges: what `alike_within` of a
# form goes by. Worked out by the evidence engine; `COLDTRAIL_BLESS=1 cargo test --release --test writing
# every_case_passes` writes it anew.
[minutes_per_bit]
";

/// How hard they are, forms go by.
#[test]
fn every_case_passes_the_authors_check() {
    let mut cases: Vec<&Scenario> = bank().cases().collect();
    // By vehicle, since those of one share tours.
    cases.sort_by_key(|scenario| (&scenario.vehicle, &scenario.id));
    let checked = halves(&cases, |scenario| {
        let case = Case::deal_version(bank(), &scenario.id, &[], 1);
        let case = case.unwrap_or_else(|error| panic!("{}: {error}", scenario.id));
        let found = check(bank(), &case, tours(), &());
        let found = found.unwrap_or_else(|why| panic!("{}: {why}", scenario.id));
        (scenario.id.as_str(), found.path)
    });
    let paths: BTreeMap<&str, Path> = checked.into_iter().collect();
    let mut open = Vec::new();
    let mut hardness = HEAD.to_owned();
    for (id, path) in &paths {
        if !path.proved {
            open.push(*id);
        }
        let minutes = minutes_per_bit(path.bits(), path.seconds() / 60.0);
        let minutes = minutes.unwrap_or_else(|| panic!("{id}: no check tells"));
        writeln!(hardness, "{id} = {minutes:.3}").unwrap();
    }
    assert_eq!(open, LEFT_OPEN);
    golden::expect("scenarios/hardness.toml", &hardness);
}
