//! Faults that travel together: where a shop finds one, how often it finds the others too.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::Deserialize;

use crate::checked::Version;
use crate::fault::{Catalogue, unknown};
use crate::spanned::Spanned;
use crate::{LoadError, Problem, load};

/// Two faults, or a chain of three, that a shop finds in one car.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// Ids of the modes: the one a shop meets, and then what comes with it. Two or three, all
    /// different.
    pub modes: Vec<String>,
    /// Of the cars with the first, the share that has the others as well and nothing else: above 0
    /// and below 1. What the groups of one first mode hold together leaves some cars with it alone.
    pub share: f64,
    /// Why they travel together.
    pub why: String,
}

/// A file as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct File {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    together: Vec<Written>,
}

/// A group as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Written {
    modes: Spanned<Vec<Spanned<String>>>,
    share: Spanned<f64>,
    why: Spanned<String>,
}

impl Together {
    /// Reads every group of a file, in its order.
    ///
    /// # Errors
    /// A [`LoadError`] with what does not fit, each at its place: also names of faults that there
    /// are not.
    pub fn read_all(
        file_name: &str,
        text: &str,
        catalogue: &Catalogue,
    ) -> Result<Vec<Self>, LoadError> {
        let file: File = load::parse(file_name, text)?;
        let mut problems = Vec::new();
        let mut known = BTreeSet::new();
        let mut taken: BTreeMap<&str, f64> = BTreeMap::new();
        for group in &file.together {
            group.check(catalogue, &mut problems);
            group.check_new(&mut known, &mut problems);
            group.check_room(&mut taken, &mut problems);
        }
        if problems.is_empty() {
            Ok(file.together.into_iter().map(Written::finish).collect())
        } else {
            Err(LoadError::new(file_name, text, problems))
        }
    }
}

impl Written {
    fn ids(&self) -> impl Iterator<Item = &str> {
        let modes = self.modes.get_ref().iter();
        modes.map(|mode| mode.get_ref().as_str())
    }

    fn check(&self, catalogue: &Catalogue, problems: &mut Vec<Problem>) {
        let modes = self.modes.get_ref();
        if !(2..=3).contains(&modes.len()) {
            let problem = Problem::new("two or three faults travel together");
            problems.push(problem.at(self.modes.span()));
        }
        for (index, mode) in modes.iter().enumerate() {
            let id = mode.get_ref();
            if catalogue.get(id).is_none() {
                let ids = catalogue.modes().map(|mode| mode.id.as_str());
                problems.push(unknown("fault", mode, ids));
            }
            if self.ids().take(index).any(|before| before == id) {
                let problem = Problem::new(format!("`{id}` is in this group already"));
                problems.push(problem.at(mode.span()));
            }
        }
        let share = *self.share.get_ref();
        if !(share > 0.0 && share < 1.0) {
            let problem = Problem::new("a share lies above 0 and below 1");
            problems.push(problem.at(self.share.span()));
        }
        if self.why.get_ref().trim().is_empty() {
            let problem = Problem::new("this must say something");
            problems.push(problem.at(self.why.span()));
        }
    }

    /// Whether no group before has the same modes; `known` holds those, in the order of names.
    fn check_new<'a>(&'a self, known: &mut BTreeSet<Vec<&'a str>>, problems: &mut Vec<Problem>) {
        let mut ids: Vec<&str> = self.ids().collect();
        ids.sort_unstable();
        if !known.insert(ids) {
            let problem =
                Problem::new("these faults are together already, in one order or another");
            problems.push(problem.at(self.modes.span()));
        }
    }

    /// Whether the first mode has cars left for this group; `taken` holds what the groups before have.
    fn check_room<'a>(&'a self, taken: &mut BTreeMap<&'a str, f64>, problems: &mut Vec<Problem>) {
        // Ten tenths are a little less than one in binary.
        const FULL: f64 = 1.0 - 1e-9;
        let share = *self.share.get_ref();
        let Some(first) = self.ids().next() else {
            return;
        };
        let before = taken.entry(first).or_default();
        let had_room = *before < FULL;
        *before += share;
        // A share that is wrong by itself has been told of.
        if share < 1.0 && had_room && *before >= FULL {
            let message = format!("with this no car is left with `{first}` alone");
            let problem = Problem::new(message).at(self.share.span());
            problems.push(problem.label("its shares must add up to less than 1"));
        }
    }

    fn finish(self) -> Together {
        let modes = self.modes.into_inner().into_iter();
        Together {
            modes: modes.map(Spanned::into_inner).collect(),
            share: self.share.into_inner(),
            why: self.why.into_inner(),
        }
    }
}

#[cfg(test)]
mod tests;
