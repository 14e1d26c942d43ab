//! From a grade to words: as text for a terminal, as JSON for a program.

mod json;
mod text;

pub use json::json;
pub use text::text;

/// How many missed cues are told: the best few, since nobody reads thirty.
pub(crate) const CUES_TOLD: usize = 5;
/// How many faults still standing are named.
pub(crate) const STANDING_TOLD: usize = 6;
