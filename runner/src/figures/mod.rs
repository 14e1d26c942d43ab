//! Figures about people and tasks: what an instructor and a shop read, and the pages that show it.
//!
//! Pure functions: no file, no clock, no chance. What goes in is [`rows`]; the order of rows never
//! matters. About tasks: [`item`] and, on one scale for all forms, [`rasch`], as far
//! as there are [`enough`] people. About forms: people by slots
//! ([`matrix`]), their [`reliability`], that of the pass [`decision`], the [`standard`] that decides, and how
//! [`parallel`] the forms of one blueprint are.
//! About a person: [`calibration`], marks by [`competency`] and their
//! [`progress`], a [`memory`] that fades, and what to practise [`mod@next`]. [`report`] makes pages of all that.

pub mod rows;

pub mod enough;

pub mod moments;

pub mod special;

pub mod item;

pub mod rasch;

pub mod matrix;

pub mod reliability;

pub mod decision;

pub mod standard;

pub mod parallel;

pub mod calibration;

pub mod competency;

pub mod progress;

pub mod memory;

pub mod next;

pub mod report;
