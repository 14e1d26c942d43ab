//! People: what a learner does in the bay, what it proves, and how it is told.
pub mod action;
pub mod session;

pub mod safety;

pub mod bay;
