//! Where the pass mark lies, by a panel of judges, and what is said of somebody near it.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use super::moments::{mean, variance};

/// What one judge expects of somebody who is only just fit to pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Judge {
    /// Who judges.
    pub name: String,
    /// The mark expected on each task, 0 to 100; of right and wrong, how many of a hundred would have it
    /// right.
    pub expected: BTreeMap<u32, f64>,
}

/// A cut set by a panel: a modified Angoff procedure (Angoff 1971; Cizek & Bunch 2007, from memory).
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// The mean mark that passes, 0 to 100: mean of the judges' own cuts.
    pub mark: f64,
    /// Its standard error: how far it would lie elsewhere with other judges of the same kind.
    pub standard_error: f64,
    /// Each judge's own cut, in the panel's order.
    pub judges: Vec<(String, f64)>,
    /// How far judges are apart on each task: standard deviation, widest first. The first ones are
    /// worth talking about before a second round.
    pub apart: Vec<(u32, f64)>,
}

/// Why a panel's ratings give no cut.
#[derive(Clone, Debug, PartialEq)]
pub enum NoCut {
    /// Fewer than two judges.
    Judges(usize),
    /// No task was rated.
    Tasks,
    /// A judge did not rate a task that another one did.
    Missing {
        /// Judge.
        judge: String,
        /// Task.
        task: u32,
    },
    /// A rating is no mark.
    Rating {
        /// Judge.
        judge: String,
        /// Task.
        task: u32,
        /// What was said.
        rating: f64,
    },
}

impl fmt::Display for NoCut {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Judges(count) => write!(
                f,
                "the panel has {count} judges; it needs two to say how far they agree, and five to ten are usual"
            ),
            Self::Tasks => f.write_str("the panel rated no task; every judge rates every task"),
            Self::Missing { judge, task } => {
                write!(f, "{judge} did not rate task {task}; ask for that rating")
            }
            Self::Rating {
                judge,
                task,
                rating,
            } => write!(
                f,
                "{judge} rated task {task} at {rating}; ratings go from 0 to 100"
            ),
        }
    }
}

impl std::error::Error for NoCut {}

/// The cut of a panel in which every judge rated every task.
///
/// # Errors
///
/// Fewer than two judges, a rating that is missing or no mark.
pub fn angoff(panel: &[Judge]) -> Result<Cut, NoCut> {
    if panel.len() < 2 {
        return Err(NoCut::Judges(panel.len()));
    }
    let rated = panel.iter().flat_map(|judge| judge.expected.keys());
    let tasks: BTreeSet<u32> = rated.copied().collect();
    if tasks.is_empty() {
        return Err(NoCut::Tasks);
    }
    let mut judges = Vec::with_capacity(panel.len());
    let mut by_task: BTreeMap<u32, Vec<f64>> = BTreeMap::new();
    for judge in panel {
        let mut sum = 0.0;
        for task in &tasks {
            let Some(rating) = judge.expected.get(task).copied() else {
                return Err(NoCut::Missing {
                    judge: judge.name.clone(),
                    task: *task,
                });
            };
            if !(0.0..=100.0).contains(&rating) {
                return Err(NoCut::Rating {
                    judge: judge.name.clone(),
                    task: *task,
                    rating,
                });
            }
            sum += rating;
            by_task.entry(*task).or_default().push(rating);
        }
        judges.push((judge.name.clone(), sum / tasks.len() as f64));
    }
    let cuts: Vec<f64> = judges.iter().map(|(_, cut)| *cut).collect();
    let spread = variance(&cuts).unwrap_or_default();
    let mut apart: Vec<(u32, f64)> = by_task
        .into_iter()
        .map(|(task, ratings)| (task, variance(&ratings).unwrap_or_default().sqrt()))
        .collect();
    apart.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    Ok(Cut {
        mark: mean(&cuts).unwrap_or_default(),
        standard_error: (spread / cuts.len() as f64).sqrt(),
        judges,
        apart,
    })
}

/// What a mark says beside a cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standing {
    /// The mark reaches the cut.
    pub passes: bool,
    /// Mark less cut.
    pub margin: f64,
    /// Standard error of that margin: of the mark, and of the cut where a panel set it.
    pub standard_error: f64,
}

impl Standing {
    /// Where a mark stands. The standard errors are independent: candidates are not judges.
    #[must_use]
    pub fn of(mark: f64, mark_error: f64, cut: f64, cut_error: f64) -> Self {
        Self {
            passes: mark >= cut,
            margin: mark - cut,
            standard_error: (mark_error * mark_error + cut_error * cut_error).sqrt(),
        }
    }

    /// Whether another form might as well have said the opposite: within one standard error.
    #[must_use]
    pub fn is_near(&self) -> bool {
        self.margin.abs() <= self.standard_error
    }
}

/// For whoever decides.
impl fmt::Display for Standing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let side = if self.passes { "at or above" } else { "below" };
        write!(
            f,
            "{:.1} points {side} the pass mark, with a standard error of {:.1}",
            self.margin.abs(),
            self.standard_error
        )?;
        if self.is_near() {
            f.write_str(
                ": within one standard error, so another form might as well have said the opposite. \
                 Look at the whole report, or let the candidate sit again, before much depends on it",
            )?;
        }
        Ok(())
    }
}
