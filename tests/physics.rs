//! Balances, states and parts of the loop, against handbooks and reference libraries.
//!
//! One program for many files: each linked by itself, they took as long to build as to run.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod air_entropy;
mod air_side;
mod air_side_senses;
mod air_side_signs;
mod altitude;
mod any_weather;
mod charge_sweep;
mod charge_sweep_no_receiver;
mod circuit;
mod clutch_gap;
mod conservation;
mod controls;
mod debris;
mod drop_in;
mod evacuation;
mod evaporator_duty;
mod fault_pairs;
mod fault_signs;
mod fault_signs_car;
mod fault_signs_orifice;
mod fluid_blend;
mod fluid_states;
mod healthy_car;
mod moist_air;
mod orifice_cars;
mod soak;
mod speed_response;
mod step_length;
mod textbook_cycles;
