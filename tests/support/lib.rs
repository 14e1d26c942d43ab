//! What the tests and benches share. The checks themselves are the files beside this folder.

// Everything here is test code: a failure is a panic with the reason.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

pub mod air_entropy;
pub mod bench;
pub mod browse;
pub mod candidate;
pub mod desk;
pub mod fleet;
pub mod folder;
pub mod forms;
pub mod golden;
pub mod halves;
pub mod ports;
pub mod postgres;
pub mod program;
pub mod records;
pub mod repairs;
pub mod results;
pub mod room;
pub mod second_law;
pub mod sitting;
pub mod stand;
pub mod tours;
pub mod view;
