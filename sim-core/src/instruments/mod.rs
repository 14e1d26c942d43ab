//! From true state to a reading: place, range, resolution, accuracy and lag.
//!
//! An instrument looks at a [`Car`](crate::car::Car) and cannot see a fault;
//! truth and reading are two things, and a learner only ever meets readings.

mod check;
mod electrical;
mod kit;
mod misuse;
mod place;
mod probe;
mod radiance;
mod reading;
mod sample;
mod senses;
mod tool;
mod traces;
mod truth;

pub use check::{Check, every_check};
pub use electrical::{PROBED, Part};
pub use kit::{Instrument, KIT};
pub use misuse::Misuse;
pub use place::{
    CondenserSide, Dull, Extreme, Gas, Gauge, LeakScale, Line, Named, Room, Spot, Vent, Wheel,
};
pub use probe::Probe;
pub use radiance::{Scene, pipe_share, shown_k};
pub use reading::{Reading, Value, read};
pub use sample::read_together;
pub use senses::{Finding, Sense, sensible};
pub use tool::{Retarded, Tool, ToolSpec, Unit};
pub use traces::{LEAK_SPOTS, at_tip_kg_m3, searched, sounds_from_kg_m3};
pub use truth::{Impossible, Truth, Watch, truth};
