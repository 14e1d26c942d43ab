//! What readings prove: the learner's session run again on every car that could have stood there.
//!
//! Nothing here knows what a fault's name means for a reading. An explanation is a set of cars; the
//! session is replayed on each; what its instruments would have shown is laid beside the notebook.

pub mod alike;
pub mod belief;
pub mod column;
pub mod cues;
pub mod explanation;
pub mod follow;
pub mod honesty;
pub mod information;
pub mod layout;
pub mod normal;
pub mod plan;
pub mod reader;
pub mod replay;
pub mod seen;
pub mod table;
pub mod tour;
