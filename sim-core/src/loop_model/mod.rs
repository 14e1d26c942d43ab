//! The refrigerant loop: volumes in a ring, passages between them, and the
//! implicit step that moves mass and energy from one to the next.
//!
//! Mass and internal energy of each volume are the state; pressure and
//! enthalpy are what the step solves for. A flow leaves one volume and enters
//! the next with the same number, so mass closes to round-off through start,
//! stop, leak and cut-out, and an over- or undercharge needs no special case.

pub mod gas;
pub mod layout;
mod pace;
pub mod rarefied;
pub mod ring;
mod sensing;
pub mod state;
pub mod step;
pub mod streams;
pub mod volume;
