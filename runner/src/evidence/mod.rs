//! What readings prove: the learner's session run again on cars with other faults.
//!
//! Nothing here knows what a fault's name means for a reading. A hypothesis is
//! a car; the session is replayed on it; what its instruments would have shown
//! is laid beside the notebook.

pub mod compare;
pub mod cues;
pub mod family;
pub mod hypothesis;
pub mod replay;
pub mod swing;
