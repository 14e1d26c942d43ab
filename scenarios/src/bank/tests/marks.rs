//! Marks, and faults that travel together: the bank's own files, and what a case says of both.

use super::*;
use crate::{NOTHING_BROKEN, Weights};

/// Without the two files no faults travel together, and marks are made as in the bank that is built in.
#[test]
fn marks_are_the_built_in_ones_unless_a_file_says_otherwise() {
    let builtin = Bank::builtin().unwrap_or_else(|errors| panic!("{errors}"));
    assert!(!builtin.together().is_empty());
    let bank = read(SALOON, FAULT, CASE).unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!(bank.marks(), builtin.marks());
    assert_eq!(bank.together(), []);

    let other = MARKS.text.replacen("sure = 0.95", "sure = 0.75", 1);
    let none = "version = 1\ntogether = []\n";
    let bank = read_with(SALOON, FAULT, Some(none), Some(&other), CASE);
    let bank = bank.unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!(bank.marks().reader.sure, 0.75);
    assert_eq!(bank.together(), []);
}

/// Groups are held to this bank's faults, and what is wrong with them comes with what is wrong elsewhere.
#[test]
fn problems_of_groups_and_marks_come_with_the_others() {
    let group = "version = 1\n[[together]]\nmodes = [\"low-charge\", \"low-chrage\"]\nshare = \
                 0.1\nwhy = \"y\"\n";
    let case = CASE.replace("level = 1", "level = 7");
    let errors = read_with(SALOON, FAULT, Some(group), None, &case).expect_err("two slips");
    let drawn = errors.to_string();
    assert_eq!(errors.0.len(), 2, "{drawn}");
    assert!(drawn.contains("my-together.toml:3:24"), "{drawn}");
    assert!(drawn.contains("did you mean `low-charge`?"), "{drawn}");

    let marks = MARKS.text.replacen("safety = 15", "safety = 16", 1);
    let vehicle = SALOON.replace("year = 2013", "year = \"new\"");
    let errors = read_with(&vehicle, FAULT, None, Some(&marks), CASE).expect_err("two slips");
    let drawn = errors.to_string();
    assert_eq!(errors.0.len(), 2, "{drawn}");
    assert!(drawn.contains("the weights add up to 101"), "{drawn}");
}

/// A case says what its mark counts and what a shop would expect, or leaves both to the bank.
#[test]
fn a_case_may_weigh_its_mark_and_expect_its_own_faults() {
    let plain = read(SALOON, FAULT, CASE).unwrap_or_else(|errors| panic!("{errors}"));
    let plain = plain.case("my-case").expect("the case");
    assert_eq!((plain.weights, plain.prior.len()), (None, 0));

    let own = format!(
        "{CASE}\n[weights]\ndiagnosis = 50\nevidence = 20.5\ncalibration = 9.5\nefficiency = 0\n\
         safety = 20\n\n[prior]\nlow-charge = 0.5\nnothing-broken = 12\n"
    );
    let bank = read(SALOON, FAULT, &own).unwrap_or_else(|errors| panic!("{errors}"));
    let case = bank.case("my-case").expect("the case");
    let weights = Weights {
        diagnosis: 50.0,
        evidence: 20.5,
        calibration: 9.5,
        efficiency: 0.0,
        safety: 20.0,
    };
    assert_eq!(case.weights, Some(weights));
    let prior = [("low-charge", 0.5), (NOTHING_BROKEN, 12.0)];
    let prior = prior.map(|(id, prior)| (id.to_owned(), prior));
    assert_eq!(case.prior, BTreeMap::from(prior));
}
