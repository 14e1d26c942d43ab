//! A part laid beside those at the counter.

use scenarios::Candidate;
use sim_core::repair::Job;

use super::Workshop;

/// A feature, and what a part shows of it.
pub type Shows = (String, String);

/// What the page asks for, the part that came off, and what lies at the counter, feature by feature.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// The part.
    pub job: Job,
    /// Its features and what the page asks for, once for every version the model is made with.
    pub page: Vec<Vec<Shows>>,
    /// What the part that came off this car has.
    pub old: Vec<Shows>,
    /// What each at the counter has, in the order of the letters.
    pub candidates: Vec<Vec<Shows>>,
    /// What has to be taken over from the old part.
    pub carry: Option<String>,
}

impl Workshop {
    /// What is seen where a part that came off lies beside those at the counter.
    #[must_use]
    pub fn compared(&self, job: Job) -> Compared {
        let features = |one: Candidate| one.features;
        let carry = self.counter.carry(&self.vehicle, job);
        Compared {
            job,
            page: self.counter.page(&self.vehicle, job),
            old: self.bench.old.get(&job).cloned().unwrap_or_default(),
            candidates: self.candidates(job).into_iter().map(features).collect(),
            carry: carry.map(|carry| carry.what.clone()),
        }
    }
}
