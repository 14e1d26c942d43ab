//! What the tests and benches share. The checks themselves are the files beside this folder.

// Everything here is test code: a failure is a panic with the reason.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

pub mod golden;

pub mod program;

use scenarios::{Bank, Case};

/// The bank as shipped.
#[must_use]
pub fn bank() -> Bank {
    Bank::builtin().unwrap_or_else(|errors| panic!("{errors}"))
}

/// A case of the bank.
#[must_use]
pub fn deal(bank: &Bank, id: &str, seed: u64) -> Case {
    Case::deal(bank, id, seed).unwrap_or_else(|error| panic!("{error}"))
}
