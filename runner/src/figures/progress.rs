//! One person's marks by competency, as time goes on.

use std::collections::BTreeMap;

use super::moments::{mean, variance};
use super::rows::TaskResult;

/// One sitting's mark on a competency.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The sitting.
    pub sitting: String,
    /// When the last of its tasks ended, seconds since 1970-01-01 UTC.
    pub ended_unix_s: i64,
    /// Mean mark, 0 to 100.
    pub mark: f64,
    /// Of how many tasks.
    pub tasks: usize,
}

/// Whether the last results differ from those before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Change {
    /// Better than luck explains.
    Better,
    /// Worse than luck explains.
    Worse,
    /// No more than luck explains.
    NotTold,
    /// Too few results to compare.
    TooFew,
}

/// A competency over time.
#[derive(Clone, Debug, PartialEq)]
pub struct Progress {
    /// Its id.
    pub competency: String,
    /// Sittings, oldest first.
    pub steps: Vec<Step>,
    /// Mean mark of the last results, 0 to 100.
    pub recent: f64,
    /// Mean mark of as many before them.
    pub before: Option<f64>,
    /// Difference of the two in its standard errors (Welch 1947); `None` where there is no spread, or too
    /// few results.
    pub difference_in_errors: Option<f64>,
    /// What to make of it.
    pub change: Change,
}

/// Results that are called recent.
const RECENT: usize = 5;
/// Standard errors from which a difference is called more than luck: about one in fourteen with five and
/// five results (Student's t, eight degrees of freedom, from memory).
const TOLD_FROM: f64 = 2.0;

/// One person's progress by competency, in the order of their ids.
#[must_use]
pub fn progress<'a>(results: impl IntoIterator<Item = &'a TaskResult>) -> Vec<Progress> {
    let mut by_competency: BTreeMap<&str, Vec<&TaskResult>> = BTreeMap::new();
    for result in results {
        for competency in &result.competencies {
            by_competency.entry(competency).or_default().push(result);
        }
    }
    by_competency
        .into_iter()
        .map(|(competency, mut results)| {
            results.sort_by(|a, b| order(a).cmp(&order(b)));
            of(competency, &results)
        })
        .collect()
}

fn order(result: &TaskResult) -> (i64, &str, u32) {
    (result.ended_unix_s, &result.sitting, result.task)
}

fn of(competency: &str, results: &[&TaskResult]) -> Progress {
    let marks: Vec<f64> = results.iter().map(|one| one.mark).collect();
    let recent_from = marks.len().saturating_sub(RECENT);
    let (earlier, recent) = marks.split_at(recent_from);
    let before = &earlier[earlier.len().saturating_sub(RECENT)..];
    let errors = (before.len() == RECENT)
        .then(|| in_errors(before, recent))
        .flatten();
    let change = match errors {
        Some(errors) if errors >= TOLD_FROM => Change::Better,
        Some(errors) if errors <= -TOLD_FROM => Change::Worse,
        Some(_) => Change::NotTold,
        None => Change::TooFew,
    };
    Progress {
        competency: competency.to_owned(),
        steps: steps(results),
        recent: mean(recent).unwrap_or_default(),
        before: mean(before),
        difference_in_errors: errors,
        change,
    }
}

fn in_errors(before: &[f64], after: &[f64]) -> Option<f64> {
    let error2 = variance(before)? / before.len() as f64 + variance(after)? / after.len() as f64;
    (error2 > 1e-12).then_some((mean(after)? - mean(before)?) / error2.sqrt())
}

fn steps(results: &[&TaskResult]) -> Vec<Step> {
    let mut by_sitting: BTreeMap<&str, Vec<&TaskResult>> = BTreeMap::new();
    for result in results {
        by_sitting.entry(&result.sitting).or_default().push(result);
    }
    let mut steps: Vec<Step> = by_sitting
        .into_iter()
        .map(|(sitting, results)| Step {
            sitting: sitting.to_owned(),
            ended_unix_s: results
                .iter()
                .map(|one| one.ended_unix_s)
                .max()
                .unwrap_or_default(),
            mark: results.iter().map(|one| one.mark).sum::<f64>() / results.len() as f64,
            tasks: results.len(),
        })
        .collect();
    steps.sort_by_key(|step| step.ended_unix_s);
    steps
}
