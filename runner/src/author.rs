//! What an author wants to know of a case: can it be solved, how, and what is it taken for.

pub mod compared;

mod derived;

pub mod draft;

pub mod model;

pub mod versions;

use scenarios::{Bank, Case};
use sim_core::fluid::FluidError;

use crate::action::{Action, Conclusion, NO_FAULT};
use crate::evidence::alike::{Apart, Beside, indistinguishable};
use crate::evidence::explanation::Explanation;
use crate::evidence::follow::Progress;
use crate::evidence::plan::{Path, best_path};
use crate::evidence::reader::Tours;
use crate::evidence::replay::Stage;
use crate::grade::{judge, present, same_faults};

/// What was found of a case.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseCheck {
    /// The best path through it.
    pub path: Path,
    /// Names of explanations, each a list of modes' ids, that no check tells from what is in the car.
    pub alike: Vec<Vec<String>>,
    /// Others, the most easily confused first.
    pub confusions: Vec<Confusion>,
    /// What it tells most of the case against a healthy car; `None` for a car with nothing broken.
    pub from_healthy: Option<Confusion>,
    /// Marks for naming the fault a shop meets most, with no reading.
    pub likeliest_guess: f64,
    /// Marks for a guess drawn as faults come, on average.
    pub blind_guess: f64,
}

/// Another explanation, and what tells it from the case.
#[derive(Clone, Debug, PartialEq)]
pub struct Confusion {
    /// Modes' ids; none for a healthy car.
    pub modes: Vec<String>,
    /// The severities at which it comes nearest.
    pub faults: Vec<(String, f64)>,
    /// The check that tells most.
    pub by: Option<Separation>,
}

/// A check that tells two explanations apart.
#[derive(Clone, Debug, PartialEq)]
pub struct Separation {
    /// The act.
    pub action: Action,
    /// How the car is set up for it.
    pub set_up: &'static str,
    /// Bits at even odds: 1 tells them apart for certain.
    pub bits: f64,
}

/// Why a case cannot be used as it is.
#[derive(Clone, Debug, PartialEq)]
pub enum Unusable {
    /// Its refrigerant is not known.
    Fluid(FluidError),
    /// No check shows that anything is wrong.
    LikeHealthy,
    /// The faults together are no explanation: nobody could come to them.
    NotTogether {
        /// Their ids.
        modes: Vec<String>,
    },
}

impl std::fmt::Display for Unusable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Fluid(error) => error.fmt(f),
            Self::LikeHealthy => f.write_str(
                "no check this car allows tells it from a healthy one: make the fault worse, or the day harder on the car",
            ),
            Self::NotTogether { modes } => write!(
                f,
                "{} are in this car together, and no group of `together.toml` says that they travel so: a reader would never think of it",
                modes.join(" and ")
            ),
        }
    }
}

impl std::error::Error for Unusable {}

impl From<FluidError> for Unusable {
    fn from(error: FluidError) -> Self {
        Self::Fluid(error)
    }
}

/// Confusions told of a case.
const MOST_CONFUSIONS: usize = 8;

/// Checks a case.
///
/// # Errors
/// [`Unusable`] where nobody could solve it.
pub fn check(
    bank: &Bank,
    case: &Case,
    tours: &dyn Tours,
    progress: &dyn Progress,
) -> Result<CaseCheck, Unusable> {
    let tour = tours.tour(bank, case, progress)?;
    let stage = Stage::new(bank, case)?;
    let marks = bank.marks();
    let faults = present(case);
    let right = same_faults(&tour.explanations, &faults);
    if right.is_empty() {
        let modes = faults.into_iter().map(|(mode, _)| mode).collect();
        return Err(Unusable::NotTogether { modes });
    }
    // On the typical car: how hard a case is does not depend on the individual that is dealt.
    let typical = tour.walk(&stage, &case.vehicle.spec, &faults);
    let beside = Beside {
        tour: &tour,
        truth: &typical,
        slips: &marks.slips,
    };
    let apart = beside.nearest();
    let from_healthy = apart
        .iter()
        .find(|one| one.explanation == 0 && !right.contains(&0));
    if from_healthy.is_some_and(|one| beside.is_alike(one)) {
        return Err(Unusable::LikeHealthy);
    }
    let path = best_path(&tour, &typical, &right, marks.reader.sure, &marks.slips);
    let alike = indistinguishable(&path, (&beside, &apart), &right, marks.reader.sure);
    let modes_of = |index: &usize| tour.explanations[*index].modes.clone();
    let mut others: Vec<&Apart> = apart
        .iter()
        .filter(|one| !right.contains(&one.explanation))
        .collect();
    others.truncate(MOST_CONFUSIONS);
    let mains: Vec<String> = alike
        .iter()
        .map(|index| main_of(&tour.explanations[*index]))
        .collect();
    let (likeliest_guess, blind_guess) = guesses(bank, case, &tour.explanations, &mains);
    Ok(CaseCheck {
        confusions: others.iter().map(|one| confusion(&beside, one)).collect(),
        from_healthy: from_healthy.map(|one| confusion(&beside, one)),
        alike: alike.iter().map(modes_of).collect(),
        path,
        likeliest_guess,
        blind_guess,
    })
}

impl CaseCheck {
    /// How fast the best path gets on, in bits per minute: the less, the harder the case.
    #[must_use]
    pub fn bits_per_minute(&self) -> f64 {
        60.0 * self.path.bits() / self.path.seconds().max(1.0)
    }
}

fn confusion(beside: &Beside<'_>, one: &Apart) -> Confusion {
    let tour = beside.tour;
    let explanation = &tour.explanations[one.explanation];
    Confusion {
        modes: explanation.modes.clone(),
        faults: one.faults.clone(),
        by: beside.told_by(one).first().map(|best| {
            let offer = &tour.offers[best.offer];
            Separation {
                action: offer.action.clone(),
                set_up: tour.stops[offer.stop].name,
                bits: best.bits,
            }
        }),
    }
}

/// What is named first of an explanation.
fn main_of(explanation: &Explanation) -> String {
    let first = explanation.modes.first();
    first.map_or(NO_FAULT, String::as_str).to_owned()
}

/// Marks for naming the likeliest fault, and for a guess drawn by the priors, with no reading.
fn guesses(bank: &Bank, case: &Case, explanations: &[Explanation], alike: &[String]) -> (f64, f64) {
    let marks = bank.marks();
    let weights = case.scenario.weights.unwrap_or(marks.weights);
    let scored = |explanation: &Explanation| {
        let conclusion = Conclusion {
            fault: main_of(explanation),
            cause: explanation.modes.get(1).cloned(),
            because: Vec::new(),
        };
        let judged = judge(bank, case, Some(&conclusion), alike);
        weights.diagnosis * judged.share(&marks.diagnosis) + weights.safety
    };
    let likeliest = explanations
        .iter()
        .max_by(|a, b| a.prior.total_cmp(&b.prior));
    let drawn = explanations.iter().map(|one| one.prior * scored(one));
    (likeliest.map_or(0.0, scored), drawn.sum())
}
