//! A car's air conditioning as physics: balances on a real equation of state.
//!
//! This crate reads no clock, no file and no environment, starts no thread and
//! holds no global state. The same calls give the same bytes on every machine.

pub mod air;
pub mod dual;
pub mod fluid;

pub mod parts;

pub mod loop_model;

pub mod spec;

pub mod setup;

pub mod faults;

pub mod random;

pub mod instruments;

pub mod spread;

pub mod car;
