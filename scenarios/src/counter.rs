//! The parts counter: what there is for each job, right and look-alike, with oils and seals.
//!
//! A part has features that can be compared, each with the values that such parts come with; a vehicle's
//! own value is one of them, always the same one. A look-alike shows the next value of one feature, and
//! either does not go on, or goes on and is another part: its knobs are turned.

use std::collections::BTreeMap;

use serde::Deserialize;
use sim_core::faults::Knob;
use sim_core::random::Draws;
use sim_core::repair::{JOBS, Job, Kind};
use toml::Spanned;

use crate::checked::{NotNegative, Positive, Version};
use crate::vehicle::{SealSize, Vehicle};
use crate::{LoadError, Problem, load, nearest};

/// The counter of a shop.
#[derive(Clone, Debug, PartialEq)]
pub struct Counter {
    /// What an hour of work costs.
    pub labour_per_hour: f64,
    /// What there is for each job, in the order of [`JOBS`].
    pub parts: Vec<CounterPart>,
    /// Oils on the shelf.
    pub oils: Vec<Oil>,
    /// Sizes in the box of seals.
    pub seals: Vec<SealSize>,
}

/// What there is for a job.
#[derive(Clone, Debug, PartialEq)]
pub struct CounterPart {
    /// The job.
    pub job: Job,
    /// What the right part costs.
    pub price: f64,
    /// Oil in a new one, as a share of the label's amount.
    pub oil_delivered_share: f64,
    /// What has to be taken over from the old part.
    pub carry: Option<Carry>,
    /// What can be compared.
    pub features: Vec<Feature>,
    /// Look-alikes.
    pub others: Vec<Other>,
}

/// Something a new part comes without.
#[derive(Clone, Debug, PartialEq)]
pub struct Carry {
    /// What it is.
    pub what: String,
    /// What the car has where it is forgotten.
    pub without: Vec<(Knob, f64)>,
}

/// Something that can be compared.
#[derive(Clone, Debug, Deserialize, PartialEq, Eq)]
#[serde(deny_unknown_fields)]
pub struct Feature {
    /// What it is.
    pub name: String,
    /// What parts of the kind come with, two or more.
    pub values: Vec<String>,
    /// Which of them a vehicle's own part has; any, but always the same one, where it is not said.
    pub own: Option<Own>,
}

/// What a vehicle's own part has of a feature.
#[derive(Clone, Copy, Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Own {
    /// The first value: what is good work, not what is this model's.
    First,
    /// What the vehicle's page says of its condenser; the values are those of other versions.
    CondenserFitting,
}

/// A look-alike.
#[derive(Clone, Debug, PartialEq)]
pub struct Other {
    /// The feature in which it differs.
    pub feature: String,
    /// What it costs.
    pub price: f64,
    /// What is wrong with it.
    pub why: String,
    /// What comes of it.
    pub outcome: Outcome,
}

/// What comes of a part that is put on.
#[derive(Clone, Debug, PartialEq)]
pub enum Outcome {
    /// It does not go on; why.
    Misfit(String),
    /// It goes on, and is the right part with these knobs turned.
    Fits(Vec<(Knob, f64)>),
}

/// An oil on the shelf.
#[derive(Clone, Debug, Deserialize, PartialEq, Eq)]
#[serde(deny_unknown_fields)]
pub struct Oil {
    /// Its name in commands.
    pub id: String,
    /// Its name on labels.
    pub name: String,
}

/// A part as the counter hands it out.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Features and what it has of each.
    pub features: Vec<(String, String)>,
    /// What it costs.
    pub price: f64,
    /// It is the part for this car.
    pub right: bool,
    /// What comes of it.
    pub outcome: Outcome,
    /// What is wrong with it, where something is.
    pub why: String,
}

/// A file as written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    labour_per_hour: Positive<f64>,
    seals: Vec<SealSize>,
    oil: Vec<Oil>,
    part: Vec<WrittenPart>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenPart {
    job: Spanned<String>,
    price: NotNegative<f64>,
    delivered_oil: Option<NotNegative<f64>>,
    carry: Option<WrittenCarry>,
    #[serde(default)]
    feature: Vec<Spanned<Feature>>,
    #[serde(default)]
    other: Vec<WrittenOther>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenCarry {
    what: String,
    without: BTreeMap<Spanned<String>, f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenOther {
    feature: Spanned<String>,
    price: NotNegative<f64>,
    why: Spanned<String>,
    misfit: Option<String>,
    turns: Option<BTreeMap<Spanned<String>, f64>>,
}

impl Counter {
    /// Reads a counter from a file's text.
    ///
    /// # Errors
    /// A [`LoadError`] with what does not fit, each at its place.
    pub fn read(file_name: &str, text: &str) -> Result<Self, LoadError> {
        let file: File = load::parse(file_name, text)?;
        let mut problems = Vec::new();
        let mut parts: Vec<CounterPart> = Vec::new();
        for written in &file.part {
            let Some(part) = written.build(&mut problems) else {
                continue;
            };
            if parts.iter().any(|known| known.job == part.job) {
                let problem = Problem::new("this job has its part already");
                problems.push(problem.at(written.job.span()));
            }
            parts.push(part);
        }
        let missing = JOBS
            .iter()
            .filter(|info| !parts.iter().any(|part| part.job == info.job));
        for info in missing {
            problems.push(Problem::new(format!(
                "there is no part for the job `{}`",
                info.name
            )));
        }
        if !problems.is_empty() {
            return Err(LoadError::new(file_name, text, problems));
        }
        parts.sort_by_key(|part| part.job);
        Ok(Self {
            labour_per_hour: file.labour_per_hour.0,
            parts,
            oils: file.oil,
            seals: file.seals,
        })
    }

    /// What there is for a job.
    #[must_use]
    pub fn part(&self, job: Job) -> Option<&CounterPart> {
        self.parts.iter().find(|part| part.job == job)
    }

    /// The oil a label names.
    #[must_use]
    pub fn oil_of(&self, label: &str) -> Option<&Oil> {
        self.oils.iter().find(|oil| oil.name == label)
    }

    /// The right part and its look-alikes, in an order drawn from the seed: what lies at the counter, by
    /// its letters. Look-alikes that would change nothing on this vehicle are not among them.
    #[must_use]
    pub fn candidates(&self, vehicle: &Vehicle, job: Job, seed: u64) -> Vec<Candidate> {
        let Some(part) = self.part(job) else {
            return Vec::new();
        };
        let features = |differs: Option<&str>| {
            let all = part.features.iter();
            all.map(|feature| {
                let name = feature.name.clone();
                let differs = differs == Some(name.as_str());
                (name, feature.value(vehicle, differs))
            })
            .collect()
        };
        let mut candidates = vec![Candidate {
            features: features(None),
            price: part.price,
            right: true,
            outcome: Outcome::Fits(Vec::new()),
            why: String::new(),
        }];
        let others = part.others.iter().filter(|other| other.concerns(vehicle));
        candidates.extend(others.map(|other| Candidate {
            features: features(Some(&other.feature)),
            price: other.price,
            right: false,
            outcome: other.outcome.clone(),
            why: other.why.clone(),
        }));
        // Fisher & Yates, from the end.
        let mut draws = Draws::new(seed, COUNTER_STREAM + job as u64);
        for last in (1..candidates.len()).rev() {
            let picked = (draws.uniform() * (last + 1) as f64) as usize;
            candidates.swap(last, picked.min(last));
        }
        candidates
    }
}

/// First stream of the seed that the counter's order is drawn from: below the readings', above the car's.
const COUNTER_STREAM: u64 = 800;

impl Feature {
    /// What a vehicle's own part has, or a look-alike that differs in it.
    fn value(&self, vehicle: &Vehicle, differs: bool) -> String {
        let own = match self.own {
            Some(Own::CondenserFitting) if !differs => return vehicle.condenser_fitting.clone(),
            Some(Own::First) => 0,
            _ => self.one_of(vehicle),
        };
        let index = (own + usize::from(differs)) % self.values.len().max(1);
        self.values.get(index).cloned().unwrap_or_default()
    }

    /// One of the values by a vehicle's name.
    fn one_of(&self, vehicle: &Vehicle) -> usize {
        // FNV-1a over both names (Fowler, Noll & Vo; from memory).
        let bytes = vehicle.id.bytes().chain(self.name.bytes());
        let hash = bytes.fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
            (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
        });
        let count = self.values.len().max(1) as u64;
        ((hash >> 20) % count) as usize
    }
}

impl Other {
    fn concerns(&self, vehicle: &Vehicle) -> bool {
        match &self.outcome {
            Outcome::Misfit(_) => true,
            Outcome::Fits(turns) => {
                let mut spec = vehicle.spec.clone();
                for (knob, value) in turns {
                    knob.turn(&mut spec, *value);
                }
                spec != vehicle.spec
            }
        }
    }
}

impl WrittenPart {
    fn build(&self, problems: &mut Vec<Problem>) -> Option<CounterPart> {
        let name = self.job.get_ref();
        let Some(job) = Job::by_name(name) else {
            let near = nearest(name, JOBS.iter().map(|info| info.name));
            let problem = Problem::new(format!("no job is called `{name}`")).at(self.job.span());
            problems.push(match near {
                Some(near) => problem.label(format!("did you mean `{near}`?")),
                None => problem,
            });
            return None;
        };
        for feature in &self.feature {
            if feature.get_ref().values.len() < 2 {
                let problem = Problem::new("a feature that can be compared has two values or more");
                problems.push(problem.at(feature.span()));
            }
        }
        if job.info().kind != Kind::Care && self.other.is_empty() {
            let problem = Problem::new("a part at the counter has a look-alike");
            problems.push(problem.at(self.job.span()).label("add an `[[part.other]]`"));
        }
        let features: Vec<Feature> = self
            .feature
            .iter()
            .map(|feature| feature.get_ref().clone())
            .collect();
        let others = self.other.iter();
        let others = others.filter_map(|other| other.build(&features, problems));
        let others = others.collect();
        let carry = self.carry.as_ref().map(|carry| Carry {
            what: carry.what.clone(),
            without: turned(&carry.without, problems),
        });
        Some(CounterPart {
            job,
            price: self.price.0,
            oil_delivered_share: self.delivered_oil.map_or(0.0, |share| share.0),
            carry,
            features,
            others,
        })
    }
}

impl WrittenOther {
    fn build(&self, features: &[Feature], problems: &mut Vec<Problem>) -> Option<Other> {
        let feature = self.feature.get_ref();
        if !features.iter().any(|known| known.name == *feature) {
            let near = nearest(feature, features.iter().map(|one| one.name.as_str()));
            let problem = Problem::new(format!("this part has no feature `{feature}`"));
            let problem = problem.at(self.feature.span());
            problems.push(match near {
                Some(near) => problem.label(format!("did you mean `{near}`?")),
                None => problem,
            });
        }
        let outcome = match (&self.misfit, &self.turns) {
            (Some(why), None) => Outcome::Misfit(why.clone()),
            (None, Some(turns)) => Outcome::Fits(turned(turns, problems)),
            _ => {
                let problem =
                    Problem::new("a look-alike has either a `misfit`, in words, or `turns`");
                problems.push(problem.at(self.why.span()));
                return None;
            }
        };
        Some(Other {
            feature: feature.clone(),
            price: self.price.0,
            why: self.why.get_ref().clone(),
            outcome,
        })
    }
}

/// Knobs by their names, each in its range.
fn turned(
    written: &BTreeMap<Spanned<String>, f64>,
    problems: &mut Vec<Problem>,
) -> Vec<(Knob, f64)> {
    let mut turns = Vec::new();
    for (name, value) in written {
        let Some(knob) = Knob::by_name(name.get_ref()) else {
            let names = sim_core::faults::KNOBS.iter().map(|info| info.name);
            let near = nearest(name.get_ref(), names);
            let problem = Problem::new(format!("no knob is called `{}`", name.get_ref()));
            let problem = problem.at(name.span());
            problems.push(match near {
                Some(near) => problem.label(format!("did you mean `{near}`?")),
                None => problem,
            });
            continue;
        };
        let info = knob.info();
        if *value < info.least || *value > info.most || *value == info.healthy {
            let message = format!(
                "this must lie between {} and {} and not be {}, which changes nothing",
                info.least, info.most, info.healthy
            );
            problems.push(Problem::new(message).at(name.span()));
        }
        turns.push((knob, *value));
    }
    turns
}

#[cfg(test)]
mod tests;
