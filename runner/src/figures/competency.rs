//! Marks by competency: of one sitting, or of a class.

use std::collections::BTreeMap;

use super::rows::{Sitting, TaskResult};

/// The mark of a competency.
#[derive(Clone, Debug, PartialEq)]
pub struct CompetencyMark {
    /// Its id.
    pub competency: String,
    /// Mean mark of the tasks that count for it, 0 to 100.
    pub mark: f64,
    /// How many those were.
    pub tasks: usize,
}

/// Marks that are closer than this are alike: none of them stands out.
pub(super) const ALIKE: f64 = 0.5;

/// Marks of the competencies that some tasks count for, in the order of their ids.
#[must_use]
pub fn competencies<'a>(results: impl IntoIterator<Item = &'a TaskResult>) -> Vec<CompetencyMark> {
    let mut sums: BTreeMap<&str, (f64, usize)> = BTreeMap::new();
    for result in results {
        for competency in &result.competencies {
            let (sum, count) = sums.entry(competency).or_default();
            *sum += result.mark;
            *count += 1;
        }
    }
    sums.into_iter()
        .map(|(competency, (sum, tasks))| CompetencyMark {
            competency: competency.to_owned(),
            mark: sum / tasks as f64,
            tasks,
        })
        .collect()
}

/// The competency with the lowest mark; none where several have it, as those of one task do.
#[must_use]
pub fn weakest(sitting: &Sitting<'_>) -> Option<CompetencyMark> {
    let mut all = competencies(sitting.results.iter().copied());
    all.sort_by(|a, b| a.mark.total_cmp(&b.mark));
    let alike = all
        .get(1)
        .is_some_and(|second| second.mark - all[0].mark < ALIKE);
    all.into_iter().next().filter(|_| !alike)
}
