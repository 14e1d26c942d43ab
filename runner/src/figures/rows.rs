//! What goes in: one person's result on one task, and results gathered by sitting.

use std::collections::BTreeMap;
use std::fmt;

/// What kind of task it was.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TaskKind {
    /// A car in the bay.
    Case,
    /// A short question.
    Question,
}

/// Marks of the parts of a case, each 0 to 100.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parts {
    /// What was concluded.
    pub diagnosis: f64,
    /// Whether the readings relied on prove it.
    pub evidence: f64,
    /// How well stated confidences fit the readings.
    pub calibration: f64,
    /// How short the way was. Feedback: it never decides about a pass.
    pub efficiency: f64,
    /// Work that endangered nobody and let nothing out.
    pub safety: f64,
}

/// A confidence stated during a case.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Confidence {
    /// What was stated, 0 to 1.
    pub stated: f64,
    /// Whether it was so.
    pub is_so: bool,
}

/// One person's result on one task.
#[derive(Clone, Debug, PartialEq)]
pub struct TaskResult {
    /// Which sitting it belongs to: a person on a form, once.
    pub sitting: String,
    /// Who sat.
    pub candidate: String,
    /// Which form.
    pub form: String,
    /// The task's place in the form. Two candidates may get different items there.
    pub task: u32,
    /// Case or question.
    pub kind: TaskKind,
    /// Id of the case or question dealt.
    pub item: String,
    /// What was answered or concluded, as it is counted among wrong answers; empty for no answer.
    pub answer: String,
    /// Whether that was right.
    pub right: bool,
    /// Mark, 0 to 100.
    pub mark: f64,
    /// Marks of its parts, for a case.
    pub parts: Option<Parts>,
    /// Hints taken.
    pub hints: u32,
    /// Slips grave enough to fail for.
    pub grave_slips: u32,
    /// Whether the key cue was taken; `None` where the task has none.
    pub key_cue: Option<bool>,
    /// Ids of the competencies it counts for.
    pub competencies: Vec<String>,
    /// Ids of the failure modes that were in the car.
    pub failure_modes: Vec<String>,
    /// Confidences stated, in order.
    pub confidences: Vec<Confidence>,
    /// Time at the wall, ms.
    pub wall_ms: u64,
    /// When it ended, seconds since 1970-01-01 UTC.
    pub ended_unix_s: i64,
}

/// Why results cannot be counted.
#[derive(Clone, Debug, PartialEq)]
pub enum BadResult {
    /// A mark is no number from 0 to 100.
    Mark {
        /// Sitting.
        sitting: String,
        /// Task.
        task: u32,
        /// The mark found.
        mark: f64,
    },
    /// A stated confidence is no number from 0 to 1.
    Confidence {
        /// Sitting.
        sitting: String,
        /// Task.
        task: u32,
        /// The confidence found.
        stated: f64,
    },
    /// A task has two results in one sitting.
    Twice {
        /// Sitting.
        sitting: String,
        /// Task.
        task: u32,
    },
    /// A sitting has results of two people or on two forms.
    Mixed {
        /// Sitting.
        sitting: String,
    },
}

impl fmt::Display for BadResult {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Mark {
                sitting,
                task,
                mark,
            } => write!(
                f,
                "sitting `{sitting}`, task {task}: the mark is {mark}; marks go from 0 to 100. Grade the sitting again"
            ),
            Self::Confidence {
                sitting,
                task,
                stated,
            } => write!(
                f,
                "sitting `{sitting}`, task {task}: a stated confidence is {stated}; confidences go from 0 to 1. Grade the sitting again"
            ),
            Self::Twice { sitting, task } => write!(
                f,
                "sitting `{sitting}` has two results for task {task}; keep the one that counts"
            ),
            Self::Mixed { sitting } => write!(
                f,
                "sitting `{sitting}` has results of two people or of two forms; give each sitting its own id"
            ),
        }
    }
}

impl std::error::Error for BadResult {}

/// One sitting: results in the order of their tasks, at least one.
#[derive(Clone, Debug, PartialEq)]
pub struct Sitting<'a> {
    /// Results.
    pub results: Vec<&'a TaskResult>,
}

impl Sitting<'_> {
    /// Sum of the marks.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.results.iter().map(|one| one.mark).sum()
    }

    /// Mean mark, 0 to 100.
    #[must_use]
    pub fn mean_mark(&self) -> f64 {
        self.total() / self.results.len() as f64
    }

    /// Who sat.
    #[must_use]
    pub fn candidate(&self) -> &str {
        self.results.first().map_or("", |one| &one.candidate)
    }

    /// The sitting's id.
    #[must_use]
    pub fn id(&self) -> &str {
        self.results.first().map_or("", |one| &one.sitting)
    }

    /// The form.
    #[must_use]
    pub fn form(&self) -> &str {
        self.results.first().map_or("", |one| &one.form)
    }

    /// When its last task ended, seconds since 1970-01-01 UTC.
    #[must_use]
    pub fn ended_unix_s(&self) -> i64 {
        let ends = self.results.iter().map(|one| one.ended_unix_s);
        ends.max().unwrap_or_default()
    }

    /// Grave slips in all its tasks.
    #[must_use]
    pub fn grave_slips(&self) -> u32 {
        self.results.iter().map(|one| one.grave_slips).sum()
    }
}

/// Results by sitting, in the order of the sittings' ids: the order of the rows does not matter.
#[derive(Clone, Debug, PartialEq)]
pub struct Sittings<'a> {
    all: Vec<Sitting<'a>>,
}

impl<'a> Sittings<'a> {
    /// Gathers results.
    ///
    /// # Errors
    ///
    /// A mark or a confidence out of range, a task with two results, a sitting of two people.
    pub fn of(rows: impl IntoIterator<Item = &'a TaskResult>) -> Result<Self, BadResult> {
        let mut found: BTreeMap<&str, Vec<&TaskResult>> = BTreeMap::new();
        for row in rows {
            check(row)?;
            found.entry(&row.sitting).or_default().push(row);
        }
        let mut all = Vec::with_capacity(found.len());
        for mut results in found.into_values() {
            results.sort_by_key(|one| one.task);
            for pair in results.windows(2) {
                let (one, other) = (pair[0], pair[1]);
                if one.task == other.task {
                    return Err(BadResult::Twice {
                        sitting: one.sitting.clone(),
                        task: one.task,
                    });
                }
                if one.candidate != other.candidate || one.form != other.form {
                    return Err(BadResult::Mixed {
                        sitting: one.sitting.clone(),
                    });
                }
            }
            all.push(Sitting { results });
        }
        Ok(Self { all })
    }

    /// The first sitting of each person on each form. Later ones are no independent people, so figures
    /// about tasks and forms leave them out (common practice, no source).
    #[must_use]
    pub fn first_of_each(&self) -> Self {
        let mut first: BTreeMap<(&str, &str), &Sitting<'a>> = BTreeMap::new();
        for one in &self.all {
            let earliest = first
                .entry((one.candidate(), one.form()))
                .or_insert_with(|| one);
            if one.ended_unix_s() < earliest.ended_unix_s() {
                *earliest = one;
            }
        }
        let mut all: Vec<Sitting<'a>> = first.into_values().cloned().collect();
        all.sort_by(|a, b| a.id().cmp(b.id()));
        Self { all }
    }

    /// Those on one form.
    #[must_use]
    pub fn on_form(&self, form: &str) -> Self {
        let all = self.all.iter().filter(|one| one.form() == form);
        Self {
            all: all.cloned().collect(),
        }
    }

    /// All of them.
    #[must_use]
    pub fn all(&self) -> &[Sitting<'a>] {
        &self.all
    }
}

fn check(row: &TaskResult) -> Result<(), BadResult> {
    if !(0.0..=100.0).contains(&row.mark) {
        return Err(BadResult::Mark {
            sitting: row.sitting.clone(),
            task: row.task,
            mark: row.mark,
        });
    }
    let off = |one: &&Confidence| !(0.0..=1.0).contains(&one.stated);
    match row.confidences.iter().find(off) {
        Some(one) => Err(BadResult::Confidence {
            sitting: row.sitting.clone(),
            task: row.task,
            stated: one.stated,
        }),
        None => Ok(()),
    }
}
