//! What a browser is shown.
//!
//! One program for many files: each linked by itself, they took as long to build as to run.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

#[path = "page/browser.rs"]
mod browser;
#[path = "page/served.rs"]
mod served;

mod draw;
mod page_answers;
mod page_browser;
mod page_class;
mod page_doors;
mod page_exam;
mod page_room;
mod page_secrecy;
