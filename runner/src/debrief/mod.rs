//! From a grade to words: as text for a terminal, as JSON for a program.

mod json;
mod proof;
mod repair;
mod sureness;
mod text;

pub(crate) use json::PathStep;
pub use json::json;
pub(crate) use proof::{percent, words_of};
pub(crate) use sureness::steps;
pub use text::text;
pub(crate) use text::{proof_text, repair_text};

/// How many missed cues are told of a rival: the best few, since nobody reads thirty.
pub(crate) const CUES_TOLD: usize = 4;
/// How many explanations still in play are named.
pub(crate) const IN_PLAY_TOLD: usize = 6;
