//! What can be put right on a car, and what each job changes.
//!
//! A job copies the fields of a part from another car: one that has the part the counter handed out. So a
//! right part puts right what was wrong, a look-alike brings its own data along, and a job that nothing
//! called for changes nothing.

mod job;
mod joint;

pub use job::{JOBS, Job, JobInfo, Kind};
pub use joint::{Joint, Seal};
