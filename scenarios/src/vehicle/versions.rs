//! Versions of a vehicle's condenser: each fits every car of the model, and each takes a charge of its own.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::parts::condenser::Condenser;
use sim_core::repair::Job;
use sim_core::spec::CarSpec;

use super::{Vehicle, parts};
use crate::Problem;
use crate::checked::{Build, Positive};
use crate::counter::{Counter, said};
use crate::fault::unknown;
use crate::quantity::Mass;
use crate::spanned::Spanned;

/// Id of the version that a model leaves the works with where a case says nothing else.
pub(super) const USUAL: &str = "usual";

/// A version of the condenser that fits a vehicle; each may take another charge.
#[derive(Clone, Debug, PartialEq)]
pub struct CondenserVersion {
    /// Its name in files.
    pub id: String,
    /// What tells it from the others, in words.
    pub fitting: String,
    /// Charge that goes with it, kg.
    pub charge_kg: f64,
    /// The part.
    pub condenser: Condenser,
    /// What the counter compares it by, in words.
    pub features: BTreeMap<String, String>,
}

/// Another version as written.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct WrittenCondenser {
    id: Spanned<String>,
    fitting: String,
    charge: Positive<Mass>,
    part: parts::Condenser,
    features: Spanned<BTreeMap<Spanned<String>, Spanned<String>>>,
}

impl WrittenCondenser {
    /// The version; what it does not say of itself it shares with the usual one, whose features are given.
    pub(super) fn check(
        &self,
        usual: &BTreeMap<String, String>,
        counter: &Counter,
        problems: &mut Vec<Problem>,
    ) -> CondenserVersion {
        let mut features = usual.clone();
        for (name, words) in self.features.get_ref() {
            said(words, problems);
            let mut known = compared(counter);
            if known.any(|one| one == name.get_ref()) {
                features.insert(name.get_ref().clone(), words.get_ref().clone());
            } else {
                problems.push(unknown("feature of a condenser", name, compared(counter)));
            }
        }
        if features == *usual {
            let problem = Problem::new("nothing tells this condenser from the usual one");
            problems.push(problem.at(self.features.span()));
        }
        CondenserVersion {
            id: self.id.get_ref().clone(),
            fitting: self.fitting.clone(),
            charge_kg: self.charge.build(),
            condenser: self.part.build(),
            features,
        }
    }

    /// Whether its name is free.
    pub(super) fn check_id(&self, others: &[Self], problems: &mut Vec<Problem>) {
        let id = self.id.get_ref();
        if id == USUAL || others.iter().any(|other| other.id.get_ref() == id) {
            let problem = Problem::new(format!("two condensers are called `{id}`"));
            problems.push(problem.at(self.id.span()));
        }
    }
}

impl Vehicle {
    /// Every version of the condenser, the usual one first.
    pub fn condensers(&self) -> impl Iterator<Item = &CondenserVersion> {
        std::iter::once(&self.usual_condenser).chain(&self.other_condensers)
    }

    /// The version that this one's cars have.
    #[must_use]
    pub fn condenser(&self) -> &CondenserVersion {
        let mut all = self.condensers();
        let own = all.find(|one| one.id == self.built_with);
        own.unwrap_or(&self.usual_condenser)
    }

    /// The vehicle with another version of its condenser and the charge that goes with it.
    #[must_use]
    pub fn with_condenser(&self, id: &str) -> Option<CarSpec> {
        let version = self.condensers().find(|one| one.id == id)?;
        let mut spec = self.spec.clone();
        spec.condenser = version.condenser.clone();
        spec.label_charge_kg = version.charge_kg;
        Some(spec)
    }

    /// The same model, its cars built with another version of the condenser.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// let saloon = bank.vehicle("saloon").unwrap();
    /// let other = saloon.built_with("drier-right").unwrap();
    /// assert!(other.spec.label_charge_kg > saloon.spec.label_charge_kg);
    /// assert_eq!(other.label, saloon.label);
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn built_with(&self, id: &str) -> Option<Self> {
        Some(Self {
            spec: self.with_condenser(id)?,
            built_with: id.to_owned(),
            ..self.clone()
        })
    }

    /// What the right part for one of its cars shows of a feature, in words; nothing for one that is measured
    /// on the part.
    #[must_use]
    pub fn feature(&self, job: Job, name: &str) -> Option<&str> {
        match job {
            Job::Condenser => self.condenser().features.get(name).map(String::as_str),
            _ => self.service.feature(job, name),
        }
    }
}

/// Features of the usual condenser, as the counter compares them and the service page says them.
pub(super) fn usual_features(
    counter: &Counter,
    feature: impl Fn(&str) -> Option<String>,
) -> BTreeMap<String, String> {
    let names = compared(counter);
    names
        .filter_map(|name| Some((name.to_owned(), feature(name)?)))
        .collect()
}

/// What the counter compares condensers by.
fn compared(counter: &Counter) -> impl Iterator<Item = &str> {
    let part = counter.part(Job::Condenser).into_iter();
    let features = part.flat_map(|part| &part.features);
    features.map(|feature| feature.name.as_str())
}
