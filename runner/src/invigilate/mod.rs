//! Sittings that an office keeps, whoever shows them to the candidate: a terminal or a page.
//!
//! [`open`] begins one or goes on with what was kept of it, [`kept`] keeps each step before anybody is shown what came
//! of it, [`marking`] keeps what it was worth. Who may come in over a network: [`codes`] for candidates, [`proctor`]
//! for whoever looks after them; [`roster`] is who is expected.

pub mod codes;

pub mod kept;

pub mod marking;

pub mod open;

pub mod proctor;

pub mod roster;
