//! One run of a car as a table: what is true beside what instruments show, a row every interval.
//!
//! For plotting, and for research on finding faults from readings. A [`Plan`] says how often, how
//! long and with which controls; [`record`] runs the car and hands each [`Row`] on; [`Writer`]
//! puts rows into bytes. Nothing here knows which fault a car has.
//!
//! Columns end in their SI unit, then in `_true` for what the model knows or in `_read` for what
//! an instrument shows; the controls carry neither. They depend on the vehicle alone, so that the
//! tables of its runs can be laid one below the other: a cell stays empty where its instrument
//! cannot be used just then, or where the value is outside what it can show.

mod cell;
mod channel;
mod columns;
mod run;
mod write;

pub use cell::Cell;
pub use channel::Channel;
pub use run::{Doing, NotRun, Plan, Step, record};
pub use write::{Format, Writer};

/// A row, cell for cell beside the names of the columns.
pub type Row = Vec<Cell>;
