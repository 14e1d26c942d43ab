//! How parallel the forms are that one blueprint deals: whether one candidate's tasks are harder than
//! another's.
//!
//! Before there are data, difficulty comes from the evidence engine: a case that promises few bits a
//! minute is hard. Afterwards it comes from marks.

use std::collections::BTreeMap;

use super::moments::{mean, variance};
use super::rows::Sittings;

/// Difficulty of a case from what the evidence engine knows of it: minutes of the best path for each bit
/// it tells. `None` where it tells nothing, so that no path proves it.
#[must_use]
pub fn minutes_per_bit(bits: f64, minutes: f64) -> Option<f64> {
    (bits > 0.0 && minutes > 0.0).then(|| minutes / bits)
}

/// How far difficulties, summed over a form, lie apart between candidates.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Candidates.
    pub candidates: usize,
    /// Mean of the sums, in the unit given.
    pub mean: f64,
    /// Their standard deviation; 0 of one candidate.
    pub deviation: f64,
    /// The easiest form's sum.
    pub least: f64,
    /// The hardest form's.
    pub most: f64,
    /// Standard deviation of difficulty within each slot, in the order of the slots: the widest one is
    /// where to narrow the blueprint.
    pub by_slot: Vec<f64>,
}

impl Spread {
    /// Standard deviation as a share of the mean: what makes forms of one blueprint comparable.
    #[must_use]
    pub fn share(&self) -> f64 {
        if self.mean == 0.0 {
            0.0
        } else {
            self.deviation / self.mean
        }
    }
}

/// The spread over forms dealt: a row for each candidate, a difficulty for each slot. `None` where there
/// are no forms, or forms of different lengths.
#[must_use]
pub fn spread(forms: &[Vec<f64>]) -> Option<Spread> {
    let slots = forms.first()?.len();
    if forms.iter().any(|form| form.len() != slots) {
        return None;
    }
    let sums: Vec<f64> = forms.iter().map(|form| form.iter().sum()).collect();
    let by_slot = (0..slots).map(|slot| {
        let column: Vec<f64> = forms.iter().map(|form| form[slot]).collect();
        variance(&column).unwrap_or_default().sqrt()
    });
    Some(Spread {
        candidates: forms.len(),
        mean: mean(&sums)?,
        deviation: variance(&sums).unwrap_or_default().sqrt(),
        least: sums.iter().copied().fold(f64::INFINITY, f64::min),
        most: sums.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        by_slot: by_slot.collect(),
    })
}

/// What versions of one slot do to marks, from data.
#[derive(Clone, Debug, PartialEq)]
pub struct Versions {
    /// The slot.
    pub task: u32,
    /// Item, people who got it, and their mean mark.
    pub items: Vec<(String, usize, f64)>,
    /// Standard deviation of the versions' difficulty, in marks of the task, beyond what different
    /// people would make of one version: one-way random effects (Searle, Casella & McCulloch 1992,
    /// from memory). 0 where the versions' means differ by no more than that; `None` where no two
    /// people got one version, or all got the same.
    pub deviation: Option<f64>,
}

/// The versions of each slot of a form.
#[must_use]
pub fn versions(sittings: &Sittings<'_>) -> Vec<Versions> {
    let mut slots: BTreeMap<u32, BTreeMap<&str, Vec<f64>>> = BTreeMap::new();
    for result in sittings.all().iter().flat_map(|one| &one.results) {
        let versions = slots.entry(result.task).or_default();
        versions.entry(&result.item).or_default().push(result.mark);
    }
    slots
        .into_iter()
        .map(|(task, versions)| {
            let items = versions.iter().map(|(item, marks)| {
                let mean = mean(marks).unwrap_or_default();
                ((*item).to_owned(), marks.len(), mean)
            });
            let marks: Vec<&Vec<f64>> = versions.values().collect();
            Versions {
                task,
                items: items.collect(),
                deviation: between(&marks),
            }
        })
        .collect()
}

/// Standard deviation between groups beyond that within them.
fn between(groups: &[&Vec<f64>]) -> Option<f64> {
    let count: usize = groups.iter().map(|one| one.len()).sum();
    if groups.len() < 2 || count <= groups.len() {
        return None;
    }
    let all = count as f64;
    let sum = |of: &dyn Fn(&Vec<f64>) -> f64| groups.iter().map(|one| of(one)).sum::<f64>();
    let whole = sum(&|one| one.iter().sum()) / all;
    let own = |one: &Vec<f64>| mean(one).unwrap_or_default();
    let freedom = (groups.len() - 1) as f64;
    let among = sum(&|one| one.len() as f64 * (own(one) - whole) * (own(one) - whole)) / freedom;
    let inside = sum(&|one| {
        let middle = own(one);
        one.iter().map(|x| (x - middle) * (x - middle)).sum()
    }) / (count - groups.len()) as f64;
    let squares = sum(&|one| (one.len() * one.len()) as f64);
    let each = (all - squares / all) / freedom;
    Some(((among - inside) / each).max(0.0).sqrt())
}

/// What versions together do to a candidate's mean mark on the form: the standard deviation that luck of
/// the draw gives it. Slots whose versions cannot be told apart add nothing.
#[must_use]
pub fn luck(versions: &[Versions]) -> f64 {
    let squares: f64 = versions
        .iter()
        .filter_map(|one| one.deviation)
        .map(|one| one * one)
        .sum();
    squares.sqrt() / versions.len().max(1) as f64
}
