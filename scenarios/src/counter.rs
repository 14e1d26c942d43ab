//! The parts counter: what a job's part costs, and what is laid beside the right one.
//!
//! A wrong part does not fit, or it fits and the car then has what is on it: knobs turned on the part,
//! never a rule on a case's name.

mod beside;
mod measure;
mod read;

use std::fmt;

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::faults::Knob;
use sim_core::random::Draws;
use sim_core::repair::{Job, Kind};
use sim_core::spec::CarSpec;

use crate::Vehicle;
pub use measure::Measure;
pub(crate) use read::File;
pub(crate) use read::{WrittenSeal, said};

/// First stream of the seed that orders of parts draw from: each job has one of its own.
const ORDER_STREAM: u64 = 800;

/// What the right part's page says of it.
const RIGHT: &str = "It is the part the maker's list names for this car.";
/// What is wrong with another version of it.
const OTHER_VERSION: &str =
    "It is the model's other condenser: it bolts on, and takes another charge than this car's.";

/// What a shop buys and what its work costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Counter {
    /// What an hour of work costs, in the unit of the prices.
    pub labour_per_hour: f64,
    /// What each job needs: every job once.
    pub parts: Vec<CounterPart>,
    /// Compressor oils on the shelf.
    pub oils: Vec<Oil>,
    /// Sizes of O-ring in the box.
    pub seals: Vec<SealSize>,
}

/// What a job needs from the counter.
#[derive(Clone, Debug, PartialEq)]
pub struct CounterPart {
    /// The job.
    pub job: Job,
    /// Price of the right part, in a plain unit.
    pub price: f64,
    /// What has to be taken over from the old part.
    pub carry: Option<Carry>,
    /// What is compared with old and new part side by side.
    pub features: Vec<Feature>,
    /// Parts that look alike.
    pub others: Vec<Other>,
    /// Share of the label's oil that the new part is delivered with, 0 to 1.
    pub oil_delivered_share: f64,
}

/// What has to be taken over from the old part.
#[derive(Clone, Debug, PartialEq)]
pub struct Carry {
    /// What it is, in words.
    pub what: String,
    /// What the car has when it is forgotten: at least one knob.
    pub without: Vec<(Knob, f64)>,
}

/// Something old and new part are compared by.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Feature {
    /// Its name.
    pub name: String,
    /// Where a car's own value is from.
    pub own: Own,
    /// The drive of the compressors that show it; nothing where all cars do.
    pub on: Option<Drive>,
    /// It shows how a part is delivered, which an old one no longer shows.
    pub delivered: bool,
}

/// What drives a compressor.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Drive {
    /// A belt from the engine.
    Belt,
    /// A motor of its own.
    Motor,
}

impl Drive {
    fn is_on(self, spec: &CarSpec) -> bool {
        let belt = spec.compressor.turned.pulley_ratio().is_some();
        belt == (self == Self::Belt)
    }
}

/// Where a car's own value of a feature is from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Own {
    /// The vehicle's file says it.
    Vehicle,
    /// The same on every car whose file says nothing else.
    Words(String),
    /// Worked out from the part's data.
    Measured(Measure),
}

/// A part that looks like the right one.
#[derive(Clone, Debug, PartialEq)]
pub struct Other {
    /// The feature that tells it from the right one.
    pub feature: String,
    /// What it shows there: the first of these that is not the car's own, if need be of another kind.
    /// Empty where it is measured.
    pub shows: Vec<String>,
    /// Why it is wrong, for the debrief.
    pub why: String,
    /// Price, in the unit of the right part's.
    pub price: f64,
    /// What comes of it.
    pub outcome: OtherOutcome,
}

/// What comes of a part.
#[derive(Clone, Debug, PartialEq)]
pub enum OtherOutcome {
    /// It cannot be put on; why.
    Misfit(String),
    /// It fits, and this is what the car then has.
    Fits(Vec<(Knob, f64)>),
    /// It fits, and is the version of this id, made for the same model: it takes another charge.
    Version(String),
}

/// A compressor oil.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Oil {
    /// Its id in commands and files.
    pub id: String,
    /// Its name, as labels write it.
    pub name: String,
}

/// Size of an O-ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SealSize {
    /// Inner diameter, m.
    pub inner_m: f64,
    /// Diameter of its section, m.
    pub section_m: f64,
}

impl SealSize {
    /// Whether another size is the same to a hundredth of a millimetre.
    #[must_use]
    pub fn is(self, other: Self) -> bool {
        (self.inner_m - other.inner_m).abs() < 1e-5
            && (self.section_m - other.section_m).abs() < 1e-5
    }
}

impl fmt::Display for SealSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A nanometre is below what any text says, and above what units leave in the last digits.
        let mm = |m: f64| (m * 1e12).round() / 1e9;
        write!(f, "{} x {} mm", mm(self.inner_m), mm(self.section_m))
    }
}

/// A part laid on the counter.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// What can be compared, by name, as words.
    pub features: Vec<(String, String)>,
    /// Price.
    pub price: f64,
    /// Whether it is the right one.
    pub right: bool,
    /// What comes of it: the right one fits and turns nothing.
    pub outcome: OtherOutcome,
    /// Why it is right or wrong, for the debrief.
    pub why: String,
}

impl Counter {
    /// What a job needs.
    #[must_use]
    pub fn part(&self, job: Job) -> Option<&CounterPart> {
        self.parts.iter().find(|part| part.job == job)
    }

    /// The oil that a label names.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// let oil = bank.counter().oil_of("PAG 46 YF").map(|oil| oil.id.as_str());
    /// assert_eq!(oil, Some("pag-46-yf"));
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn oil_of(&self, label: &str) -> Option<&Oil> {
        self.oils.iter().find(|oil| oil.name == label.trim())
    }

    /// What has to be taken over from the old part on this vehicle, where forgetting it would tell.
    #[must_use]
    pub fn carry(&self, vehicle: &Vehicle, job: Job) -> Option<&Carry> {
        let carry = self.part(job)?.carry.as_ref()?;
        let without = turned(&vehicle.spec, &carry.without);
        (job.is_on(&vehicle.spec) && without != vehicle.spec).then_some(carry)
    }

    /// The right part for a vehicle and those that look like it, in an order drawn from the seed. Only
    /// parts that do not fit or that would change this vehicle are among them. Empty where the vehicle
    /// has no such part or the job needs none.
    ///
    /// ```
    /// use sim_core::repair::Job;
    /// let bank = scenarios::Bank::builtin()?;
    /// for vehicle in bank.vehicles() {
    ///     let parts = bank.counter().candidates(vehicle, Job::Condenser, 7);
    ///     assert_eq!(parts.iter().filter(|part| part.right).count(), 1);
    /// }
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn candidates(&self, vehicle: &Vehicle, job: Job, seed: u64) -> Vec<Candidate> {
        let spec = &vehicle.spec;
        let Some(part) = self.part(job).filter(|part| part.is_chosen_for(spec)) else {
            return Vec::new();
        };
        let mut candidates = vec![Candidate {
            features: part.shown(vehicle, spec),
            price: part.price,
            right: true,
            outcome: OtherOutcome::Fits(Vec::new()),
            why: RIGHT.to_owned(),
        }];
        let others = part.others.iter();
        candidates.extend(others.filter_map(|other| part.beside(other, vehicle)));
        if job == Job::Condenser {
            candidates.extend(part.other_versions(vehicle));
        }
        let mut draws = Draws::new(seed, ORDER_STREAM + job as u64);
        for last in (1..candidates.len()).rev() {
            let place = (draws.uniform() * (last + 1) as f64) as usize;
            candidates.swap(last, place);
        }
        candidates
    }
}

impl CounterPart {
    /// Whether a car has a part of this kind that is bought.
    fn is_chosen_for(&self, spec: &CarSpec) -> bool {
        self.job.is_on(spec) && self.job.info().kind != Kind::Care
    }

    /// What can be compared on a car: features by which some part there is wrong.
    pub(crate) fn features_on<'a>(
        &'a self,
        spec: &'a CarSpec,
    ) -> impl Iterator<Item = &'a Feature> {
        self.features.iter().filter(|feature| {
            let mut others = self.others.iter();
            let known = match feature.own {
                Own::Measured(measure) => measure.of(spec).is_some(),
                Own::Vehicle | Own::Words(_) => feature.on.is_none_or(|drive| drive.is_on(spec)),
            };
            self.is_chosen_for(spec)
                && known
                && others.any(|other| other.feature == feature.name && self.concerns(other, spec))
        })
    }

    /// Whether a part does not fit a car or would change it.
    fn concerns(&self, other: &Other, spec: &CarSpec) -> bool {
        match &other.outcome {
            OtherOutcome::Misfit(_) | OtherOutcome::Version(_) => true,
            OtherOutcome::Fits(knobs) => self.job.changes(spec, &turned(spec, knobs)),
        }
    }

    /// What a part with the data of `new` shows, all else as on the vehicle's own.
    fn shown(&self, vehicle: &Vehicle, new: &CarSpec) -> Vec<(String, String)> {
        let shown = |feature: &Feature| {
            let value = match feature.own {
                Own::Measured(measure) => measure.of(new),
                Own::Vehicle | Own::Words(_) => {
                    let own = vehicle.feature(self.job, &feature.name);
                    own.map(str::to_owned)
                }
            };
            Some((feature.name.clone(), value?))
        };
        self.features_on(&vehicle.spec).filter_map(shown).collect()
    }

    /// The model's other versions of this car's part.
    fn other_versions(&self, vehicle: &Vehicle) -> impl Iterator<Item = Candidate> {
        let versions = vehicle.condensers();
        let others = versions.filter(|version| version.id != vehicle.built_with);
        others.filter_map(|version| {
            let other = vehicle.built_with(&version.id)?;
            Some(Candidate {
                features: self.shown(&other, &other.spec),
                price: self.price,
                right: false,
                outcome: OtherOutcome::Version(version.id.clone()),
                why: OTHER_VERSION.to_owned(),
            })
        })
    }

    /// A part beside the right one; nothing where this vehicle would not notice.
    fn beside(&self, other: &Other, vehicle: &Vehicle) -> Option<Candidate> {
        let spec = &vehicle.spec;
        let new = match &other.outcome {
            OtherOutcome::Misfit(_) | OtherOutcome::Version(_) => spec.clone(),
            OtherOutcome::Fits(knobs) => turned(spec, knobs),
        };
        let own = self.shown(vehicle, spec);
        let mut features = self.shown(vehicle, &new);
        let told = features.iter_mut().find(|(name, _)| *name == other.feature);
        if let Some((_, value)) = told
            && let Some(shows) = other.shows_beside(value)
        {
            *value = shows.to_owned();
        }
        // Nobody could tell it from the right one.
        (self.concerns(other, spec) && features != own).then(|| Candidate {
            features,
            price: other.price,
            right: false,
            outcome: other.outcome.clone(),
            why: other.why.clone(),
        })
    }
}

impl Other {
    /// What it shows beside a car's own part. The words before a comma say what kind of thing it is: like
    /// lies beside like, where it can.
    fn shows_beside(&self, own: &str) -> Option<&str> {
        let kind = |text: &str| text.split(',').next().map(str::to_owned);
        let mut others = self
            .shows
            .iter()
            .map(String::as_str)
            .filter(|shows| *shows != own);
        let first = others.clone().next();
        others.find(|shows| kind(shows) == kind(own)).or(first)
    }
}

/// A car with knobs turned.
fn turned(spec: &CarSpec, knobs: &[(Knob, f64)]) -> CarSpec {
    let mut turned = spec.clone();
    for (knob, value) in knobs {
        knob.turn(&mut turned, *value);
    }
    turned
}

#[cfg(test)]
mod tests;
