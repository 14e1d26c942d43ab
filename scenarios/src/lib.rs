//! From text to a case: vehicles, faults and cases in TOML, checked and built into cars.

mod nearest;
pub mod quantity;
pub mod units;

pub use nearest::nearest;
