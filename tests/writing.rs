//! The bank, its format, and the workbench of those who write for it.
//!
//! One program for many files: each linked by itself, they took as long to build as to run.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod author;
mod author_folder;
mod author_new;
mod author_preview;
mod author_ranges;
mod bank;
mod bank_check;
mod bank_whole;
mod bundles;
mod cases_listed;
mod catalogue;
mod charts;
mod counter_bench;
mod knowledge;
mod knowledge_pictures;
mod loader;
mod schema;
mod syllabus;
