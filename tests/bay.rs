//! The car in the bay: what is done to it, what instruments show, and how it is repaired.
//!
//! One program for many files: each linked by itself, they took as long to build as to run.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod actions;
mod charging;
mod evacuation_bay;
mod instruments;
mod instruments_leaks;
mod instruments_replayed;
mod readings;
mod repairing;
mod repairs;
mod repairs_any;
mod seconds;
mod spots;
mod strangers;
mod vehicles;
