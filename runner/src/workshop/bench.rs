//! What lies on the bench and what has been done: the workshop's own record.

use std::collections::{BTreeMap, BTreeSet};

use sim_core::repair::{Job, Joint, Seal};

/// What has been done to a car.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bench {
    /// Parts that are off.
    pub off: BTreeSet<Job>,
    /// Joints made, by part.
    pub joints: BTreeMap<Job, Joint>,
    /// New seals laid ready for parts that are off.
    pub waiting_seals: BTreeMap<Job, Seal>,
    /// Parts from which what belongs to the car was taken over.
    pub carried: BTreeSet<Job>,
    /// What the parts that came off show, feature by feature.
    pub old: BTreeMap<Job, Vec<(String, String)>>,
    /// What the parts put on from the counter showed there.
    pub new: BTreeMap<Job, Vec<(String, String)>>,
    /// Parts laid beside the counter's since they came off.
    pub compared: BTreeSet<Job>,
    /// Parts flushed.
    pub flushed: BTreeSet<Job>,
    /// Parts put on and tasks done, in order.
    pub fitted: Vec<Fitted>,
    /// Parts that would not go on.
    pub misfits: usize,
    /// Someone qualified for high voltage has isolated the car and works on its compressor.
    pub qualified: bool,
    /// The service page was read.
    pub read_data: bool,
    /// The loop was opened.
    pub opened: bool,
    /// What parts have cost.
    pub spent: f64,
}

/// A part put on, or a task done.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// Which.
    pub job: Job,
    /// It is the part for this car.
    pub right: bool,
    /// What is wrong with it where it is not, in words.
    pub why: String,
    /// It was laid beside the old one before it went on.
    pub compared: bool,
    /// What of the old part was left behind.
    pub forgotten: Option<String>,
}

impl Fitted {
    /// A task done to what is there.
    #[must_use]
    pub fn mended(job: Job) -> Self {
        Self {
            job,
            right: true,
            why: String::new(),
            compared: true,
            forgotten: None,
        }
    }
}
