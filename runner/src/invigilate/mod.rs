//! Sittings that an office keeps, whoever shows them to the candidate: a terminal or a page.
//!
//! [`open`] begins one or goes on with what was kept of it, [`kept`] keeps each step before anybody is shown what came
//! of it, [`marking`] keeps what it was worth.

pub mod kept;

pub mod marking;

pub mod open;
