//! Assessments, records and the figures made of them.
//!
//! One program for many files: each linked by itself, they took as long to build as to run.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

mod assess;
mod assess_office;
mod figures;
mod figures_pages;
mod figures_pdf;
mod figures_person;
mod figures_properties;
mod packs;
mod packs_office;
mod records_exchange;
mod records_power;
mod records_store;
mod records_verify;
mod xapi;
