//! Pages of figures: the class, the tasks, and one candidate.
//!
//! Text fits 90 columns. HTML is one file that asks for nothing else: no script, no picture from outside;
//! every word that came from people is escaped. Who passes is not decided here.

pub mod candidate;
pub mod class;
pub mod html;
pub mod pdf;
pub mod tasks;
pub mod text;
mod told;
pub mod trace;
pub mod words;

/// Who passes and why not, as decided by the form's rule.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Verdict {
    /// Whether the person passes.
    pub passes: bool,
    /// A short sentence for each rule that was not met.
    pub reasons: Vec<String>,
}

/// Minutes and seconds of a time at the wall.
fn wall(wall_ms: u64) -> String {
    let seconds = wall_ms / 1000;
    format!("{}:{:02}", seconds / 60, seconds % 60)
}
