//! Whether the ideal reader is honest: how often what it calls so and so likely is so.
//!
//! Cars are drawn as the reader assumes they come: a fault by how often a shop meets it, its severity
//! as those spread, an individual of the model. Each is looked at in a few random checks, and the
//! belief is set against what is in the car.

use std::collections::BTreeMap;

use rayon::prelude::*;
use scenarios::{Bank, Case};
use sim_core::fluid::FluidError;
use sim_core::instruments::{Check, Truth, Value, read_together};
use sim_core::random::Draws;
use sim_core::spread::individual;

use crate::evidence::belief::{Belief, Weighed};
use crate::evidence::explanation::{Explanation, Grain, quantile};
use crate::evidence::follow::Progress;
use crate::evidence::layout::Spread;
use crate::evidence::replay::Stage;
use crate::evidence::seen::{Seen, Swing};
use crate::evidence::tour::Tour;

/// What is in a car and what was believed of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Name of what is in the car.
    pub truth: String,
    /// Name of what was thought likeliest.
    pub top: String,
    /// How likely it was thought.
    pub confidence: f64,
    /// How likely what is in the car was thought.
    pub of_truth: f64,
    /// The set held to be in play has it.
    pub covered: bool,
    /// Size of that set.
    pub in_play: usize,
    /// Every probability stated, with whether it was of what is in the car.
    pub stated: Vec<(f64, bool)>,
}

/// Most checks a random session makes.
const MOST_CHECKS: u64 = 15;
/// Stream of a session's number from which what stands in the bay and what is read are drawn.
const TRIAL_STREAM: u64 = 7;

/// Name of an explanation: its modes' ids.
#[must_use]
pub fn name(explanation: &Explanation) -> String {
    if explanation.modes.is_empty() {
        crate::action::NO_FAULT.to_owned()
    } else {
        explanation.modes.join(" + ")
    }
}

/// Holds random sessions on a case's vehicle and day; `numbers` are the sessions'.
///
/// # Errors
/// [`FluidError`] when the car's refrigerant is not known.
pub fn trials(
    bank: &Bank,
    case: &Case,
    numbers: &[u64],
    (grain, spread): (Grain, Spread),
    progress: &dyn Progress,
) -> Result<Vec<Trial>, FluidError> {
    let tour = Tour::run(bank, case, grain, spread, &())?;
    let stage = Stage::new(bank, case)?;
    let trials = numbers.par_iter().map(|number| {
        let trial = trial(&tour, &stage, *number);
        progress.step();
        trial
    });
    Ok(trials.collect())
}

fn trial(tour: &Tour, stage: &Stage<'_>, number: u64) -> Trial {
    let mut draws = Draws::new(number, TRIAL_STREAM);
    let explanations = &tour.explanations;
    let truth = drawn(explanations, draws.uniform());
    let faults: Vec<(String, f64)> = explanations[truth]
        .modes
        .iter()
        .filter_map(|id| stage.bank.catalogue().get(id))
        .map(|mode| (mode.id.clone(), quantile(&mode.severity, draws.uniform())))
        .collect();
    let car = individual(&stage.case.vehicle.spec, number);
    let shown = tour.walk(stage, &car, &faults);
    let (columns, values) = read(tour, &shown, &mut draws);
    let slips = stage.bank.marks().slips;
    let weighed = Weighed::weigh(explanations, &tour.table, &columns, &values, &slips);
    let belief = weighed.belief();
    judged(explanations, &belief, truth, stage.bank.marks().reader.sure)
}

/// The explanation at a share of the way through all of them.
fn drawn(explanations: &[Explanation], share: f64) -> usize {
    let mut up_to = 0.0;
    for (index, one) in explanations.iter().enumerate() {
        up_to += one.prior;
        if share < up_to {
            return index;
        }
    }
    explanations.len() - 1
}

/// Makes a few random checks; returns their columns and, for all columns, what was read.
fn read(tour: &Tour, shown: &[Option<Seen>], draws: &mut Draws) -> (Vec<usize>, Vec<Value>) {
    let count = 1 + (draws.uniform() * MOST_CHECKS as f64) as usize;
    let mut picked: Vec<usize> = (0..count)
        .map(|_| (draws.uniform() * tour.offers.len() as f64) as usize)
        .collect();
    picked.sort_unstable();
    picked.dedup();
    let scales = draws.within_tolerance();
    let mut columns = Vec::new();
    let mut values = vec![Value::OutOfRange(true); shown.len()];
    for offer in picked {
        let mut made: Vec<(usize, (Check, Truth))> = Vec::new();
        for column in &tour.offers[offer].columns {
            if let Some(seen) = &shown[*column] {
                made.push((*column, (tour.table.checks[*column], one_of(seen, draws))));
            }
        }
        let truths: Vec<(Check, Truth)> = made.iter().map(|(_, truth)| *truth).collect();
        let readings = read_together(&truths, scales, draws);
        for ((column, _), reading) in made.iter().zip(readings) {
            columns.push(*column);
            values[*column] = reading.value;
        }
    }
    (columns, values)
}

/// What a car that swings shows at some second.
fn one_of(seen: &Seen, draws: &mut Draws) -> Truth {
    let share = draws.uniform();
    match seen {
        Seen::Range(low, high) => Truth::Number(low + share * (high - low)),
        Seen::Swing(Swing(values)) => {
            let quarter = ((4.0 * share) as usize).min(3);
            let part = 4.0 * share - quarter as f64;
            let (from, to) = (values[quarter], values[quarter + 1]);
            Truth::Number(from + part * (to - from))
        }
        Seen::Findings(findings) => {
            Truth::Finding(findings[(share * findings.len() as f64) as usize])
        }
    }
}

fn judged(explanations: &[Explanation], belief: &Belief, truth: usize, sure: f64) -> Trial {
    let ranked = belief.ranked();
    let in_play = belief.in_play(sure);
    let top = ranked.first().copied().unwrap_or(truth);
    let stated = belief.probabilities.iter().enumerate();
    Trial {
        truth: name(&explanations[truth]),
        top: name(&explanations[top]),
        confidence: belief.probabilities[top],
        of_truth: belief.probabilities[truth],
        covered: in_play.contains(&truth),
        in_play: in_play.len(),
        stated: stated.map(|(index, p)| (*p, index == truth)).collect(),
    }
}

/// A row of a reliability table.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bin {
    /// Statements.
    pub count: usize,
    /// What they stated on average.
    pub stated: f64,
    /// How often it was so.
    pub right: f64,
}

/// Sorts statements into ten rows by what they state, each with how often it was so.
///
/// ```
/// use runner::evidence::honesty::{bins, calibration_error};
/// let statements = [(0.72, true), (0.78, false), (0.3, false)];
/// let rows = bins(statements.into_iter());
/// assert_eq!((rows[7].count, rows[7].stated, rows[7].right), (2, 0.75, 0.5));
/// // Two of three are off by 0.25, one by 0.3.
/// assert!((calibration_error(&rows) - (2.0 * 0.25 + 0.3) / 3.0).abs() < 1e-12);
/// ```
#[must_use]
pub fn bins(statements: impl Iterator<Item = (f64, bool)>) -> [Bin; 10] {
    let mut bins = [Bin::default(); 10];
    for (stated, right) in statements {
        let bin = &mut bins[((stated * 10.0) as usize).min(9)];
        bin.count += 1;
        bin.stated += stated;
        bin.right += f64::from(u8::from(right));
    }
    for bin in &mut bins {
        let count = bin.count.max(1) as f64;
        bin.stated /= count;
        bin.right /= count;
    }
    bins
}

/// Expected calibration error: how far stated and right lie apart, each row by its count (Naeini,
/// Cooper & Hauskrecht 2015, "Obtaining well calibrated probabilities using Bayesian binning").
#[must_use]
pub fn calibration_error(bins: &[Bin]) -> f64 {
    let all: usize = bins.iter().map(|bin| bin.count).sum();
    let off = |bin: &Bin| (bin.stated - bin.right).abs() * bin.count as f64;
    bins.iter().map(off).sum::<f64>() / all.max(1) as f64
}

/// What was found of one failure mode.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OfMode {
    /// Sessions on cars with it.
    pub sessions: usize,
    /// It was thought likeliest.
    pub top: usize,
    /// It was in the set held to be in play.
    pub covered: usize,
}

/// Results by what was in the car.
#[must_use]
pub fn by_mode(trials: &[Trial]) -> BTreeMap<&str, OfMode> {
    let mut modes: BTreeMap<&str, OfMode> = BTreeMap::new();
    for trial in trials {
        let of = modes.entry(&trial.truth).or_default();
        of.sessions += 1;
        of.top += usize::from(trial.top == trial.truth);
        of.covered += usize::from(trial.covered);
    }
    modes
}

/// Which was taken for which, most often first.
#[must_use]
pub fn confusions(trials: &[Trial]) -> Vec<((&str, &str), usize)> {
    let mut pairs: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for trial in trials.iter().filter(|trial| trial.top != trial.truth) {
        *pairs.entry((&trial.truth, &trial.top)).or_default() += 1;
    }
    let mut pairs: Vec<((&str, &str), usize)> = pairs.into_iter().collect();
    pairs.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(&b.0)));
    pairs
}
