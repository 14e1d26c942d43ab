//! The counter's file: from text to a checked counter.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::faults::{KNOBS, Knob};
use sim_core::repair::{JOBS, Job, Kind};

use super::{
    Carry, Counter, CounterPart, Drive, Feature, Measure, Oil, Other, OtherOutcome, Own, SealSize,
};
use crate::checked::{Build, NotNegative, Positive, Share, Version};
use crate::fault::{is_kebab, unknown};
use crate::quantity::Length;
use crate::spanned::Spanned;
use crate::{LoadError, Problem, load};

/// Knobs as written, each with its value.
type WrittenKnobs = Spanned<BTreeMap<Spanned<String>, Spanned<f64>>>;

/// A file as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct File {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    labour_per_hour: Positive<f64>,
    oils: Vec<WrittenOil>,
    seals: Vec<Spanned<WrittenSeal>>,
    part: Vec<WrittenPart>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenOil {
    id: Spanned<String>,
    name: Spanned<String>,
}

/// Inner diameter and section, as vehicles write them too.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema)]
pub(crate) struct WrittenSeal(Positive<Length>, Positive<Length>);

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenPart {
    job: Spanned<String>,
    price: NotNegative<f64>,
    oil_delivered: Option<Spanned<Share>>,
    carry: Option<WrittenCarry>,
    #[serde(default)]
    features: Vec<Spanned<WrittenFeature>>,
    #[serde(default)]
    other: Vec<Spanned<WrittenOther>>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenCarry {
    what: Spanned<String>,
    without: WrittenKnobs,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenFeature {
    name: String,
    own: Option<String>,
    measured: Option<Measure>,
    on: Option<Drive>,
    #[serde(default)]
    delivered: bool,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenOther {
    feature: Spanned<String>,
    #[serde(default)]
    shows: Vec<String>,
    why: Spanned<String>,
    price: NotNegative<f64>,
    misfit: Option<Spanned<String>>,
    fits: Option<WrittenKnobs>,
}

impl Counter {
    /// Reads a counter from its file's text.
    ///
    /// # Errors
    /// A [`LoadError`] with what does not fit, each at its place.
    ///
    /// ```
    /// use scenarios::Counter;
    /// let error = Counter::read("counter.toml", "version = 1\n").unwrap_err();
    /// assert_eq!(error.problems()[0].message, "the field `labour_per_hour` is missing");
    /// ```
    pub fn read(file_name: &str, text: &str) -> Result<Self, LoadError> {
        let file: File = load::parse(file_name, text)?;
        let mut problems = Vec::new();
        let oils = oils(&file.oils, &mut problems);
        let seals = seals(&file.seals, &mut problems);
        let mut parts: Vec<CounterPart> = Vec::new();
        for written in &file.part {
            let Some(part) = written.check(&mut problems) else {
                continue;
            };
            if parts.iter().any(|known| known.job == part.job) {
                let problem = Problem::new(format!("two parts are for `{}`", part.job.info().name));
                problems.push(problem.at(written.job.span()));
            }
            parts.push(part);
        }
        for info in JOBS {
            if !file.part.iter().any(|part| part.job.get_ref() == info.name) {
                let message = format!("the counter has no part for `{}`", info.name);
                problems.push(Problem::new(message).label("a `[[part]]` each is needed"));
            }
        }
        if !problems.is_empty() {
            return Err(LoadError::new(file_name, text, problems));
        }
        Ok(Self {
            labour_per_hour: file.labour_per_hour.build(),
            parts,
            oils,
            seals,
        })
    }
}

impl Build for WrittenSeal {
    type Built = SealSize;

    fn build(&self) -> SealSize {
        SealSize {
            inner_m: self.0.build(),
            section_m: self.1.build(),
        }
    }
}

fn oils(written: &[WrittenOil], problems: &mut Vec<Problem>) -> Vec<Oil> {
    let mut oils: Vec<Oil> = Vec::new();
    for oil in written {
        let id = oil.id.get_ref();
        if !is_kebab(id) {
            let message = "an id is made of small letters, digits and single hyphens";
            problems.push(Problem::new(message).at(oil.id.span()));
        }
        if oils
            .iter()
            .any(|known| known.id == *id || known.name == *oil.name.get_ref())
        {
            let problem = Problem::new(format!("two oils are called `{id}`"));
            problems.push(problem.at(oil.id.span()));
        }
        said(&oil.name, problems);
        oils.push(Oil {
            id: id.clone(),
            name: oil.name.get_ref().clone(),
        });
    }
    oils
}

fn seals(written: &[Spanned<WrittenSeal>], problems: &mut Vec<Problem>) -> Vec<SealSize> {
    let mut seals: Vec<SealSize> = Vec::new();
    for seal in written {
        let size = seal.build();
        if seals.contains(&size) {
            problems.push(Problem::new("this size is in the box already").at(seal.span()));
        }
        seals.push(size);
    }
    seals
}

impl WrittenPart {
    fn check(&self, problems: &mut Vec<Problem>) -> Option<CounterPart> {
        let Some(job) = Job::by_name(self.job.get_ref()) else {
            let names = JOBS.iter().map(|info| info.name);
            problems.push(unknown("job", &self.job, names));
            return None;
        };
        if let (Some(share), true) = (&self.oil_delivered, job != Job::Compressor) {
            let problem = Problem::new("only a compressor is delivered with oil in it");
            problems.push(problem.at(share.span()));
        }
        if let (Some(other), Kind::Care) = (self.other.first(), job.info().kind) {
            let problem = Problem::new("this job needs no part, so none looks like it");
            problems.push(problem.at(other.span()));
        }
        let features = self.features(problems);
        let others = self.other.iter();
        let others = others.filter_map(|other| other.get_ref().check(other, &features, problems));
        let others = others.collect();
        let carry = self.carry.as_ref().map(|carry| {
            said(&carry.what, problems);
            Carry {
                what: carry.what.get_ref().clone(),
                without: knobs(&carry.without, problems),
            }
        });
        Some(CounterPart {
            job,
            price: self.price.build(),
            carry,
            features,
            others,
            oil_delivered_share: self.oil_delivered.as_ref().map_or(0.0, Build::build),
        })
    }

    fn features(&self, problems: &mut Vec<Problem>) -> Vec<Feature> {
        let mut features: Vec<Feature> = Vec::new();
        for written in &self.features {
            let feature = written.get_ref();
            if features.iter().any(|known| known.name == feature.name) {
                let problem = Problem::new(format!("two features are called `{}`", feature.name));
                problems.push(problem.at(written.span()));
            }
            let told =
                |other: &Spanned<WrittenOther>| *other.get_ref().feature.get_ref() == feature.name;
            if !self.other.iter().any(told) {
                let problem = Problem::new(format!("no part differs by `{}`", feature.name));
                problems.push(problem.at(written.span()));
            }
            let own = match (&feature.own, feature.measured) {
                (None, None) => Own::Vehicle,
                (Some(words), None) => Own::Words(words.clone()),
                (None, Some(measure)) => Own::Measured(measure),
                (Some(_), Some(_)) => {
                    let problem = Problem::new("a feature is either `own` or `measured`");
                    problems.push(problem.at(written.span()));
                    continue;
                }
            };
            features.push(Feature {
                name: feature.name.clone(),
                own,
                on: feature.on,
                delivered: feature.delivered,
            });
        }
        features
    }
}

impl WrittenOther {
    fn check(
        &self,
        whole: &Spanned<Self>,
        features: &[Feature],
        problems: &mut Vec<Problem>,
    ) -> Option<Other> {
        let name = self.feature.get_ref();
        let Some(feature) = features.iter().find(|known| known.name == *name) else {
            let names = features.iter().map(|known| known.name.as_str());
            problems.push(unknown("feature", &self.feature, names));
            return None;
        };
        said(&self.why, problems);
        let outcome = match (&self.misfit, &self.fits) {
            (Some(why), None) => {
                said(why, problems);
                OtherOutcome::Misfit(why.get_ref().clone())
            }
            (None, Some(written)) => OtherOutcome::Fits(knobs(written, problems)),
            _ => {
                let problem = Problem::new("a part that looks alike has `misfit` or `fits`");
                problems.push(problem.at(whole.span()));
                return None;
            }
        };
        // What is measured on a part that fits follows from its knobs.
        let measured = matches!(feature.own, Own::Measured(_)) && self.fits.is_some();
        if measured != self.shows.is_empty() {
            let message = match measured {
                true => format!("`{name}` is measured: it shows what its knobs make of it"),
                false => "this must say in `shows` what is seen".to_owned(),
            };
            problems.push(Problem::new(message).at(self.feature.span()));
        }
        Some(Other {
            feature: name.clone(),
            shows: self.shows.clone(),
            why: self.why.get_ref().clone(),
            price: self.price.build(),
            outcome,
        })
    }
}

/// Knobs with values in their ranges, at least one and none at its healthy value.
fn knobs(written: &WrittenKnobs, problems: &mut Vec<Problem>) -> Vec<(Knob, f64)> {
    if written.get_ref().is_empty() {
        problems.push(Problem::new("this must turn at least one knob").at(written.span()));
    }
    let mut turned = Vec::new();
    for (name, value) in written.get_ref() {
        let Some(knob) = Knob::by_name(name.get_ref()) else {
            let names = KNOBS.iter().map(|info| info.name);
            problems.push(unknown("knob", name, names));
            continue;
        };
        let (info, number) = (knob.info(), *value.get_ref());
        if !(info.least..=info.most).contains(&number) {
            let problem = Problem::new(format!("`{}` cannot be {number}", info.name));
            let range = format!("from {} to {}, in {}", info.least, info.most, info.unit);
            problems.push(problem.at(value.span()).label(range));
        } else if number == info.healthy {
            let problem = Problem::new(format!("`{}` changes nothing at {number}", info.name));
            problems.push(problem.at(value.span()));
        }
        turned.push((knob, number));
    }
    turned
}

/// Whether a text says something.
pub(crate) fn said(text: &Spanned<String>, problems: &mut Vec<Problem>) {
    if text.get_ref().trim().is_empty() {
        problems.push(Problem::new("this must say something").at(text.span()));
    }
}
