//! People: what a learner does in the bay, what it proves, and how it is told.

pub mod cli;
