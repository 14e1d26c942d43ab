//! A part laid beside those at the counter.

use scenarios::Candidate;
use sim_core::repair::Job;

use super::Workshop;
use crate::action::letter_of;

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

/// One of those that lie side by side.
#[derive(Clone, Debug, PartialEq)]
pub struct Laid<'a> {
    /// What it is called there: `page`, `old`, or the letter it has at the counter.
    pub head: String,
    /// Its place at the counter, from 0.
    pub at_counter: Option<usize>,
    shows: &'a [Shows],
}

impl Laid<'_> {
    /// What it shows of a feature; nothing where it has none of the kind.
    #[must_use]
    pub fn shown(&self, feature: &str) -> &str {
        let found = self.shows.iter().find(|(name, _)| name == feature);
        found.map_or("", |(_, value)| value)
    }
}

impl Compared {
    /// What is compared.
    pub fn features(&self) -> impl Iterator<Item = &str> {
        self.page.iter().take(1).flatten().map(|(name, _)| &**name)
    }

    /// All that lie side by side, in the order that shows best what differs: page, old, counter.
    #[must_use]
    pub fn laid(&self) -> Vec<Laid<'_>> {
        let laid = |head: &str, at_counter, shows| Laid {
            head: head.to_owned(),
            at_counter,
            shows,
        };
        let heads = std::iter::once("page").chain(std::iter::repeat("or"));
        let pages = heads.zip(&self.page);
        let pages = pages.map(|(head, page)| laid(head, None, page.as_slice()));
        let counter = self
            .candidates
            .iter()
            .enumerate()
            .map(|(index, candidate)| {
                let letter = letter_of(index).to_string();
                laid(&letter, Some(index), candidate.as_slice())
            });
        pages
            .chain([laid("old", None, self.old.as_slice())])
            .chain(counter)
            .collect()
    }
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
