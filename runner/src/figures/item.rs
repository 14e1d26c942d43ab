//! What a task shows about itself: how hard it is, and whether those who do well on the rest do well
//! on it.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::enough::{Enough, FEWEST};
use super::moments::{Correlation, correlation, mean, variance};
use super::rows::{Sittings, TaskKind, TaskResult};

/// Figures about a case or a question.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemFigures {
    /// Its id.
    pub item: String,
    /// Case or question.
    pub kind: TaskKind,
    /// Sittings it was in, and what may be said of so many.
    pub enough: Enough,
    /// Share of the answers that were right, 0 to 1: the higher, the easier.
    pub share_right: f64,
    /// Mean mark, 0 to 100.
    pub mean_mark: f64,
    /// Standard deviation of the marks; `None` of one person.
    pub mark_deviation: Option<f64>,
    /// Correlation of its mark with the mean mark of the sitting's other tasks: the corrected
    /// item-total correlation (Henrysson 1963, from memory).
    pub discrimination: Option<Correlation>,
    /// The same of right or wrong: the point-biserial correlation.
    pub point_biserial: Option<Correlation>,
    /// Share right among the best 27 % of the sittings less that among the worst 27 % (Kelley 1939, from
    /// memory).
    pub upper_lower: Option<f64>,
    /// How many took the key cue, of how many who could.
    pub key_cue: Option<(usize, usize)>,
    /// Wrong answers with how often each was given, commonest first. An empty one is no answer.
    pub wrong: Vec<(String, usize)>,
    /// Median time at the wall, ms.
    pub median_wall_ms: u64,
}

/// Share of the sittings that are called the best, and the worst.
const GROUP: f64 = 0.27;
/// Wrong answers told.
const WRONG_TOLD: usize = 3;

/// One answer to the item, with the rest of its sitting.
struct Answer<'a> {
    result: &'a TaskResult,
    /// Mean mark of the sitting's other tasks.
    rest: Option<f64>,
    /// Mean mark of the whole sitting.
    whole: f64,
}

/// Figures about every item of some sittings, in the order of their ids.
#[must_use]
pub fn items(sittings: &Sittings<'_>) -> Vec<ItemFigures> {
    let mut answers: BTreeMap<(&str, TaskKind), Vec<Answer<'_>>> = BTreeMap::new();
    for sitting in sittings.all() {
        let (total, count) = (sitting.total(), sitting.results.len() as f64);
        for result in &sitting.results {
            let rest = (count > 1.0).then(|| (total - result.mark) / (count - 1.0));
            let key = (result.item.as_str(), result.kind);
            answers.entry(key).or_default().push(Answer {
                result,
                rest,
                whole: total / count,
            });
        }
    }
    answers
        .into_iter()
        .map(|((item, kind), answers)| figures(item, kind, &answers))
        .collect()
}

fn figures(item: &str, kind: TaskKind, answers: &[Answer<'_>]) -> ItemFigures {
    let marks: Vec<f64> = answers.iter().map(|one| one.result.mark).collect();
    let rights: Vec<f64> = answers.iter().map(|one| right(one.result)).collect();
    let with_rest = |value: fn(&TaskResult) -> f64| -> Vec<(f64, f64)> {
        answers
            .iter()
            .filter_map(|one| Some((value(one.result), one.rest?)))
            .collect()
    };
    let enough = Enough::of(answers.len());
    let told = |value: fn(&TaskResult) -> f64| {
        let pairs = with_rest(value);
        (pairs.len() >= FEWEST)
            .then(|| correlation(&pairs))
            .flatten()
    };
    ItemFigures {
        item: item.to_owned(),
        kind,
        enough,
        share_right: mean(&rights).unwrap_or_default(),
        mean_mark: mean(&marks).unwrap_or_default(),
        mark_deviation: variance(&marks).map(f64::sqrt),
        discrimination: told(|result| result.mark),
        point_biserial: told(right),
        upper_lower: (answers.len() >= FEWEST).then(|| upper_lower(answers)),
        key_cue: key_cue(answers),
        wrong: wrong(answers),
        median_wall_ms: median(answers.iter().map(|one| one.result.wall_ms).collect()),
    }
}

fn right(result: &TaskResult) -> f64 {
    f64::from(u8::from(result.right))
}

/// People who did equally well at a group's edge share the places left in it, so that it does not matter
/// who of them stands first.
fn upper_lower(answers: &[Answer<'_>]) -> f64 {
    let mut ranked: Vec<(f64, f64)> = answers
        .iter()
        .map(|one| (one.whole, right(one.result)))
        .collect();
    ranked.sort_by(|a, b| a.0.total_cmp(&b.0));
    let lowest = share_of_first(&ranked);
    ranked.reverse();
    share_of_first(&ranked) - lowest
}

fn share_of_first(ranked: &[(f64, f64)]) -> f64 {
    let places = libm::round(GROUP * ranked.len() as f64);
    let mut left = places;
    let mut right = 0.0;
    // Sums of the same marks in another order differ in the last digits.
    let equal = |a: &(f64, f64), b: &(f64, f64)| (a.0 - b.0).abs() < 1e-9;
    for level in ranked.chunk_by(equal) {
        let (count, sum) = (
            level.len() as f64,
            level.iter().map(|one| one.1).sum::<f64>(),
        );
        let taken = left.min(count);
        right += taken * sum / count;
        left -= taken;
    }
    right / places
}

fn key_cue(answers: &[Answer<'_>]) -> Option<(usize, usize)> {
    let taken: Vec<bool> = answers
        .iter()
        .filter_map(|one| one.result.key_cue)
        .collect();
    let took = taken.iter().filter(|one| **one).count();
    (!taken.is_empty()).then_some((took, taken.len()))
}

fn wrong(answers: &[Answer<'_>]) -> Vec<(String, usize)> {
    let mut counts: BTreeMap<&str, usize> = BTreeMap::new();
    for one in answers.iter().filter(|one| !one.result.right) {
        *counts.entry(&one.result.answer).or_default() += 1;
    }
    let mut found: Vec<(String, usize)> = counts
        .into_iter()
        .map(|(answer, count)| (answer.to_owned(), count))
        .collect();
    // Sorting keeps the order of those as common as each other: by their names.
    found.sort_by_key(|(_, count)| Reverse(*count));
    found.truncate(WRONG_TOLD);
    found
}

fn median(mut values: Vec<u64>) -> u64 {
    values.sort_unstable();
    values.get(values.len() / 2).copied().unwrap_or_default()
}
