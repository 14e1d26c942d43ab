//! What the maker's service page says: joints, seals, oil for new parts, and what a right part looks like.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::repair::{JOBS, Job, JobInfo, Kind};
use sim_core::spec::CarSpec;

use super::WrittenLabel;
use crate::Problem;
use crate::checked::{Build, NotNegative, Positive};
use crate::counter::{Counter, CounterPart, Own, SealSize, WrittenSeal, said};
use crate::fault::unknown;
use crate::quantity::{Torque, Volume};
use crate::spanned::Spanned;

/// How far the oil for a part may be from the share that the part holds: makers round it.
const OIL_ROUNDED_BY: f64 = 0.15;

/// What the maker's service page says.
#[derive(Clone, Debug, PartialEq)]
pub struct ServiceData {
    /// Sentences of the maker's bulletins.
    pub notes: Vec<String>,
    joints: BTreeMap<Job, LineJoint>,
    features: BTreeMap<Job, BTreeMap<String, String>>,
}

/// How the joints of a part of the loop are made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineJoint {
    /// Torque of the joints, N m.
    pub torque_n_m: f64,
    /// Seal of the joints.
    pub seal: SealSize,
    /// Oil that goes in with a new part, m³.
    pub oil_m3: f64,
}

impl ServiceData {
    /// How the joints of a job are made; nothing for a job that opens no loop or that this car has no
    /// part for.
    #[must_use]
    pub fn joint(&self, job: Job) -> Option<&LineJoint> {
        self.joints.get(&job)
    }

    /// What the right part shows of a feature, in words; nothing for one that is measured on the part.
    #[must_use]
    pub fn feature(&self, job: Job, name: &str) -> Option<&str> {
        let features = self.features.get(&job)?;
        features.get(name).map(String::as_str)
    }
}

/// The page as written.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenService {
    notes: Spanned<Vec<Spanned<String>>>,
    in_loop: Spanned<BTreeMap<Spanned<String>, WrittenJoint>>,
    features: Spanned<BTreeMap<Spanned<String>, Spanned<WrittenFeatures>>>,
}

type WrittenFeatures = BTreeMap<Spanned<String>, Spanned<String>>;

#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenJoint {
    torque: Positive<Torque>,
    seal: Spanned<WrittenSeal>,
    oil: Spanned<NotNegative<Volume>>,
}

/// What a page is checked against.
pub(super) struct Beside<'a> {
    pub counter: &'a Counter,
    pub label: &'a WrittenLabel,
    pub spec: &'a CarSpec,
}

impl WrittenService {
    /// The page, checked; where a problem was found it is not to be used.
    pub(super) fn check(&self, beside: &Beside<'_>, problems: &mut Vec<Problem>) -> ServiceData {
        let oil = &beside.label.oil;
        if beside.counter.oil_of(oil.get_ref()).is_none() {
            let names = beside.counter.oils.iter().map(|oil| oil.name.as_str());
            problems.push(unknown("oil at the counter", oil, names));
        }
        let notes = self.notes.get_ref();
        if notes.is_empty() {
            problems.push(Problem::new("a service page has a note at least").at(self.notes.span()));
        }
        for note in notes {
            said(note, problems);
        }
        ServiceData {
            notes: notes.iter().map(|note| note.get_ref().clone()).collect(),
            joints: self.joints(beside, problems),
            features: self.features(beside, problems),
        }
    }

    fn joints(&self, beside: &Beside<'_>, problems: &mut Vec<Problem>) -> BTreeMap<Job, LineJoint> {
        let opens = |info: &&JobInfo| info.kind == Kind::InLoop && info.job.is_on(beside.spec);
        let mut joints = BTreeMap::new();
        for (name, joint) in self.in_loop.get_ref() {
            match JOBS
                .iter()
                .filter(opens)
                .find(|info| info.name == name.get_ref())
            {
                Some(info) => {
                    joints.insert(info.job, joint.check(info, beside, problems));
                }
                None => {
                    let names = JOBS.iter().filter(opens).map(|info| info.name);
                    problems.push(unknown("job in the loop of this car", name, names));
                }
            }
        }
        for info in JOBS.iter().filter(opens) {
            if !joints.contains_key(&info.job) {
                let problem = Problem::new(format!("the joints of `{}` are missing", info.name));
                problems.push(problem.at(self.in_loop.span()));
            }
        }
        joints
    }

    fn features(
        &self,
        beside: &Beside<'_>,
        problems: &mut Vec<Problem>,
    ) -> BTreeMap<Job, BTreeMap<String, String>> {
        let written = self.features.get_ref();
        for name in written.keys() {
            if Job::by_name(name.get_ref()).is_none() {
                problems.push(unknown("job", name, JOBS.iter().map(|info| info.name)));
            }
        }
        let mut features = BTreeMap::new();
        for part in &beside.counter.parts {
            let name = part.job.info().name;
            let own = written.iter().find(|(job, _)| job.get_ref() == name);
            let values = match own {
                Some((_, own)) => chosen(part, own.get_ref(), beside.spec, problems),
                None => BTreeMap::new(),
            };
            let values = completed(part, values, beside.spec, |feature| {
                let span = own.map_or_else(|| self.features.span(), |(_, own)| own.span());
                let problem = Problem::new(format!("`{name}` has no `{feature}`"));
                problems.push(problem.at(span).label("the counter compares parts by it"));
            });
            features.insert(part.job, values);
        }
        features
    }
}

impl WrittenJoint {
    fn check(&self, info: &JobInfo, beside: &Beside<'_>, problems: &mut Vec<Problem>) -> LineJoint {
        let (seal, oil_m3) = (self.seal.build(), self.oil.build());
        if !beside.counter.seals.contains(&seal) {
            let problem = Problem::new("this seal is not in the counter's box");
            problems.push(problem.at(self.seal.span()));
        }
        let held_m3 = info.oil_share * beside.label.oil_amount.build();
        if (oil_m3 - held_m3).abs() > OIL_ROUNDED_BY * held_m3 {
            let problem = Problem::new("this is not the oil that such a part takes along");
            let label = format!("its share of the label's is {:.1} cm3", held_m3 * 1e6);
            problems.push(problem.at(self.oil.span()).label(label));
        }
        LineJoint {
            torque_n_m: self.torque.build(),
            seal,
            oil_m3,
        }
    }
}

/// What a vehicle's file says of a part, where the counter compares such parts by it.
fn chosen(
    part: &CounterPart,
    own: &WrittenFeatures,
    spec: &CarSpec,
    problems: &mut Vec<Problem>,
) -> BTreeMap<String, String> {
    let in_words = |name: &str| {
        let mut features = part.features_on(spec);
        features.any(|known| known.name == name && !matches!(known.own, Own::Measured(_)))
    };
    let mut values = BTreeMap::new();
    for (name, value) in own {
        said(value, problems);
        if in_words(name.get_ref()) {
            values.insert(name.get_ref().clone(), value.get_ref().clone());
        } else {
            let known = part.features_on(spec).map(|feature| feature.name.as_str());
            let what = format!("feature of `{}` on this car", part.job.info().name);
            problems.push(unknown(&what, name, known.filter(|name| in_words(name))));
        }
    }
    values
}

/// The same with what holds for every car that says nothing else; `missing` is told what nobody says.
fn completed(
    part: &CounterPart,
    mut values: BTreeMap<String, String>,
    spec: &CarSpec,
    mut missing: impl FnMut(&str),
) -> BTreeMap<String, String> {
    for feature in part.features_on(spec) {
        match &feature.own {
            Own::Words(words) => {
                let value = values.entry(feature.name.clone());
                value.or_insert_with(|| words.clone());
            }
            Own::Vehicle if !values.contains_key(&feature.name) => missing(&feature.name),
            Own::Vehicle | Own::Measured(_) => {}
        }
    }
    values
}
