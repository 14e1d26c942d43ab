//! How far a form's marks would come out the same again.

use std::fmt;

use super::matrix::Matrix;
use super::moments::{mean, variance};
use super::special::f_above;

/// Reliability of a form's mean mark.
#[derive(Clone, Debug, PartialEq)]
pub struct Reliability {
    /// People counted.
    pub people: usize,
    /// Tasks of the form.
    pub tasks: usize,
    /// Sittings not counted, for they lack a task.
    pub left_out: usize,
    /// Cronbach's alpha (1951): the share of the variance of marks that is people's. Of right and wrong
    /// it is Kuder and Richardson's formula 20; where people got different versions of a task, it is
    /// the generalizability coefficient of people by slots.
    pub alpha: f64,
    /// Lower end of its 95 % interval (Feldt 1965; Feldt, Woodruff & Salih 1987).
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Mean of people's mean marks, 0 to 100.
    pub mean_mark: f64,
    /// Standard deviation of people's mean marks.
    pub deviation: f64,
    /// Standard error of one person's mean mark.
    pub standard_error: f64,
}

/// Why there is no reliability to tell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoReliability {
    /// Fewer than two people did the whole form.
    People(usize),
    /// The form has fewer than two tasks.
    Tasks(usize),
    /// Everybody has the same mark.
    Alike,
}

impl fmt::Display for NoReliability {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::People(people) => write!(
                f,
                "{people} did the whole form; a reliability needs two people, and thirty to be worth telling"
            ),
            Self::Tasks(tasks) => write!(
                f,
                "the form has {tasks} tasks; a reliability compares tasks with each other and needs two"
            ),
            Self::Alike => write!(
                f,
                "everybody has the same mark, so nothing says how well the form tells people apart"
            ),
        }
    }
}

impl std::error::Error for NoReliability {}

/// Share of the intervals that hold what they are about.
const CONFIDENCE: f64 = 0.95;

/// The reliability of a matrix's means.
///
/// # Errors
///
/// Fewer than two people or tasks, or no spread at all.
pub fn reliability(matrix: &Matrix) -> Result<Reliability, NoReliability> {
    let (people, tasks) = (matrix.marks.len(), matrix.tasks.len());
    if tasks < 2 {
        return Err(NoReliability::Tasks(tasks));
    }
    if people < 2 {
        return Err(NoReliability::People(people));
    }
    let means = matrix.means();
    let spread = variance(&means).unwrap_or_default();
    // Means of the same marks may differ in their last digit.
    if spread < 1e-18 {
        return Err(NoReliability::Alike);
    }
    let columns = (0..tasks).map(|column| {
        let marks: Vec<f64> = matrix.marks.iter().map(|row| row[column]).collect();
        variance(&marks).unwrap_or_default()
    });
    let each: f64 = columns.sum();
    let k = tasks as f64;
    let alpha = k / (k - 1.0) * (1.0 - each / (spread * k * k));
    let freedom = (people - 1) as f64;
    let end = |share: f64| 1.0 - (1.0 - alpha) * f_above(share, freedom, freedom * (k - 1.0));
    let tail = 0.5 * (1.0 - CONFIDENCE);
    Ok(Reliability {
        people,
        tasks,
        left_out: matrix.left_out,
        alpha,
        low: end(tail),
        high: end(1.0 - tail),
        mean_mark: mean(&means).unwrap_or_default(),
        deviation: spread.sqrt(),
        // Below nothing, tasks go against each other, and all of the spread is error. Above one is round-off.
        standard_error: (spread * (1.0 - alpha.clamp(0.0, 1.0))).sqrt(),
    })
}
