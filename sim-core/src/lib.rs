//! A car's air conditioning as physics: balances on a real equation of state.
//!
//! This crate reads no clock, no file and no environment, starts no thread and
//! holds no global state. The same calls give the same bytes on every machine.

pub mod air;
pub mod fluid;
