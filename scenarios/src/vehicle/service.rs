//! The service page of a vehicle: what a shop looks up before it opens the loop. Invented, like the car.

use std::collections::BTreeMap;

use serde::de::{self, Deserialize, Deserializer};
use sim_core::repair::{JOBS, Job, Kind};
use sim_core::spec::CarSpec;
use toml::Spanned;

use crate::checked::{Build, Positive};
use crate::quantity::Torque;
use crate::{Problem, nearest};

/// The service page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ServiceData {
    parts: BTreeMap<Job, PartData>,
    /// What the maker's bulletins say.
    pub notes: Vec<String>,
}

/// What the page says of a part of the loop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartData {
    /// Torque of its joints, N m.
    pub torque_n_m: f64,
    /// Seal of its joints.
    pub seal: SealSize,
    /// Oil that goes with a new one, m³.
    pub oil_m3: f64,
}

/// Size of a seal ring, written `"10.8 x 1.8 mm"`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SealSize {
    /// Inner diameter, m.
    pub inner_m: f64,
    /// Thickness, m.
    pub section_m: f64,
}

impl<'de> Deserialize<'de> for SealSize {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let wrong =
            || de::Error::custom("write inner diameter and thickness, such as \"10.8 x 1.8 mm\"");
        let bare = text.strip_suffix("mm").ok_or_else(wrong)?;
        let (inner, section) = bare.split_once('x').ok_or_else(wrong)?;
        let metres = |part: &str| {
            let mm = part.trim().parse::<f64>().ok();
            mm.filter(|mm| *mm > 0.0 && *mm < 100.0)
                .map(|mm| mm * 1e-3)
                .ok_or_else(wrong)
        };
        Ok(Self {
            inner_m: metres(inner)?,
            section_m: metres(section)?,
        })
    }
}

/// The page as written.
#[derive(Clone, Debug, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenService {
    torque: Spanned<BTreeMap<Spanned<String>, Positive<Torque>>>,
    seal: Spanned<BTreeMap<Spanned<String>, SealSize>>,
    notes: Vec<String>,
}

impl ServiceData {
    /// What the page says of a part of the loop, where the car has it.
    #[must_use]
    pub fn part(&self, job: Job) -> Option<&PartData> {
        self.parts.get(&job)
    }
}

impl WrittenService {
    /// The page of a car, with the oil its label asks for in all, m³.
    pub(super) fn build(&self, spec: &CarSpec, oil_m3: f64) -> ServiceData {
        let torques = self.torque.get_ref().iter();
        let parts = torques.filter_map(|(name, torque)| {
            let job = Job::by_name(name.get_ref()).filter(|job| job.is_on(spec))?;
            let mut seals = self.seal.get_ref().iter();
            let (_, seal) = seals.find(|(known, _)| known.get_ref() == name.get_ref())?;
            // As a page rounds it: to five cubic centimetres.
            let oil_m3 = (job.info().oil_share * oil_m3 / OIL_STEP_M3).round() * OIL_STEP_M3;
            let part = PartData {
                torque_n_m: torque.build(),
                seal: *seal,
                oil_m3,
            };
            Some((job, part))
        });
        ServiceData {
            parts: parts.collect(),
            notes: self.notes.clone(),
        }
    }

    /// Parts the loop has and the page has not, and names that are no part of it.
    pub(super) fn check(&self, spec: &CarSpec, problems: &mut Vec<Problem>) {
        let lists = [
            (
                "torque",
                self.torque.span(),
                names(self.torque.get_ref().keys()),
            ),
            ("seal", self.seal.span(), names(self.seal.get_ref().keys())),
        ];
        for (list, span, names) in lists {
            for (name, at) in &names {
                if in_loop(spec).all(|info| info != *name) {
                    let near = nearest(name, in_loop(spec));
                    let problem = Problem::new(format!("this car's loop has no part `{name}`"));
                    let problem = problem.at(at.clone());
                    problems.push(match near {
                        Some(near) => problem.label(format!("did you mean `{near}`?")),
                        None => problem,
                    });
                }
            }
            for part in in_loop(spec) {
                if names.iter().all(|(name, _)| *name != part) {
                    let problem = Problem::new(format!("`{list}` says nothing of `{part}`"));
                    problems.push(problem.at(span.clone()));
                }
            }
        }
    }
}

/// Step to which the page gives oil, m³.
const OIL_STEP_M3: f64 = 5e-6;

/// Names with their places.
fn names<'a>(
    keys: impl Iterator<Item = &'a Spanned<String>>,
) -> Vec<(&'a str, std::ops::Range<usize>)> {
    keys.map(|key| (key.get_ref().as_str(), key.span()))
        .collect()
}

/// Names of the parts of a car's loop.
fn in_loop(spec: &CarSpec) -> impl Iterator<Item = &'static str> + '_ {
    let loop_jobs = JOBS.iter().filter(|info| info.kind == Kind::InLoop);
    loop_jobs
        .filter(|info| info.job.is_on(spec))
        .map(|info| info.name)
}
