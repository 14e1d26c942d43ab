//! From true state to a reading: place, range, resolution, accuracy and lag.
//!
//! An instrument looks at a [`Car`](crate::car::Car) and cannot see a fault;
//! truth and reading are two things, and a learner only ever meets readings.

mod check;
mod electrical;
mod place;
mod reading;
mod senses;
mod tool;
mod truth;

pub use check::{Check, LEAK_SPOTS, Probe, every_check};
pub use electrical::{PROBED, Part};
pub use place::{Line, Named, Room, Spot, Vent};
pub use reading::{Reading, Value, read};
pub use senses::{Finding, Sense, sensible};
pub use tool::{Tool, Unit};
pub use truth::{Impossible, Truth, Watch, truth};
