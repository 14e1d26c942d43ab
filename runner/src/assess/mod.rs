//! An assessment: a form's tasks dealt to a candidate, taken one after the other, marked and judged.
//!
//! [`Sitting`] is what a candidate has been given and done: a pure function of form, seed and steps, so that
//! a journal of the steps is all that has to be kept, and a sitting that broke off goes on where it was.
//! [`Marked`] is what a task was worth, [`Verdict`] what all of them come to. What is absent: files, clocks
//! and terminals; whoever holds a sitting writes each step down before its reading is shown.

mod fingerprint;
mod marked;
mod page;
mod sitting;
mod verdict;

pub use marked::{Marked, Parts};
pub use page::{reasons, rules, rules_page, verdict_page};
pub use sitting::{
    Given, HANDED_IN, MORE_TIME, NotBegun, Refused, Sitting, Step, Taken, minutes, minutes_ms,
};
pub use verdict::{Gate, NeedMet, Verdict, is_grave};
