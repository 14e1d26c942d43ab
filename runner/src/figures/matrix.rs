//! People by slots: the marks of those who did every task of a form.

use std::collections::{BTreeMap, BTreeSet};

use super::rows::Sittings;

/// Marks of people (rows) on the slots of a form (columns).
///
/// A slot is a place in the form: two people may have got different versions there, and what a version
/// makes harder then counts as error, as it should.
#[derive(Clone, Debug, PartialEq)]
pub struct Matrix {
    /// Tasks of the columns.
    pub tasks: Vec<u32>,
    /// Rows.
    pub marks: Vec<Vec<f64>>,
    /// Sittings that lack a task, which are no rows.
    pub left_out: usize,
}

impl Matrix {
    /// Marks of the sittings that have all tasks any of them has.
    #[must_use]
    pub fn of(sittings: &Sittings<'_>) -> Self {
        Self::with(sittings, |mark, _| mark)
    }

    /// The same of right (100) and wrong (0), for which alpha is Kuder and Richardson's formula 20.
    #[must_use]
    pub fn of_right(sittings: &Sittings<'_>) -> Self {
        Self::with(sittings, |_, right| if right { 100.0 } else { 0.0 })
    }

    fn with(sittings: &Sittings<'_>, cell: fn(f64, bool) -> f64) -> Self {
        let results = sittings.all().iter().flat_map(|one| &one.results);
        let tasks: BTreeSet<u32> = results.map(|one| one.task).collect();
        // Tasks within a sitting are in order and no two alike, so as many as there are are all.
        let whole = sittings
            .all()
            .iter()
            .filter(|one| one.results.len() == tasks.len());
        let marks: Vec<Vec<f64>> = whole
            .map(|sitting| {
                let results = sitting.results.iter();
                results.map(|one| cell(one.mark, one.right)).collect()
            })
            .collect();
        Self {
            left_out: sittings.all().len() - marks.len(),
            tasks: tasks.into_iter().collect(),
            marks,
        }
    }

    /// Each column times its task's weight, scaled so that a row's mean is the weighted mean mark. A
    /// task without a weight has weight 1. Weights that sum to nothing are passed over.
    #[must_use]
    pub fn weighted(&self, weights: &BTreeMap<u32, f64>) -> Self {
        let each: Vec<f64> = self
            .tasks
            .iter()
            .map(|task| weights.get(task).copied().unwrap_or(1.0))
            .collect();
        let sum = each.iter().sum::<f64>();
        let mut weighted = self.clone();
        if sum <= 0.0 {
            return weighted;
        }
        let scale = each.len() as f64 / sum;
        for row in &mut weighted.marks {
            for (mark, weight) in row.iter_mut().zip(&each) {
                *mark *= weight * scale;
            }
        }
        weighted
    }

    /// Each person's mean.
    #[must_use]
    pub fn means(&self) -> Vec<f64> {
        let count = self.tasks.len() as f64;
        self.marks
            .iter()
            .map(|row| row.iter().sum::<f64>() / count)
            .collect()
    }
}
