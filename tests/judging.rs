//! Beliefs, bits and marks.
//!
//! One program for many files: each linked by itself, they took as long to build as to run.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod belief;
mod belief_repeats;
mod cache;
mod case_marks;
mod coach;
mod grading;
mod information;
mod model_decides;
mod replay;
