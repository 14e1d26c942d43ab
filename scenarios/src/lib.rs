//! From text to a case: vehicles, faults and cases in TOML, checked and built into cars.

mod error;
pub mod load;
mod nearest;
pub mod quantity;
pub mod units;

pub use error::{LoadError, Problem};
pub use nearest::nearest;
