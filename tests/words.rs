//! What is typed and printed.
//!
//! One program for many files: each linked by itself, they took as long to build as to run.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod readme;
mod taste;
mod typed_session;
mod typed_words;
