//! Which other cars could have given these readings.

use sim_core::instruments::{Check, Truth};

use crate::action::{Conclusion, NO_FAULT};
use crate::bay::Bay;
use crate::evidence::compare::misfit;
use crate::evidence::hypothesis::{Hypothesis, severities};
use crate::evidence::replay::{Stage, Trail};
use crate::grade::diagnosis::Diagnosis;

/// A car with another fault, at the severity that fits the notebook best.
#[derive(Clone, Debug, PartialEq)]
pub struct Rival {
    /// The car.
    pub hypothesis: Hypothesis,
    /// How badly its readings fit the notebook: a sum of squares in limits of error.
    pub misfit: f64,
    /// The readings relied on rule it out at every severity tried.
    pub ruled_out: bool,
    /// How often a shop sees it, a relative weight.
    pub prior: f64,
    /// What its readings would have been.
    pub trail: Trail,
}

/// All of them, with the learner's own conclusion among them.
#[derive(Clone, Debug)]
pub struct Rivals {
    /// The conclusion at its best severity; `None` when the learner gave up or named a component only.
    pub concluded: Option<Rival>,
    /// Every other failure mode, and a healthy car.
    pub others: Vec<Rival>,
    truth: Vec<String>,
}

/// Told how far a long search has come.
pub trait Progress {
    /// Called once with how many cars will be run.
    fn start(&mut self, cars: usize);
    /// Called after each.
    fn step(&mut self);
    /// Called at the end.
    fn finish(&mut self);
}

impl Progress for () {
    fn start(&mut self, _cars: usize) {}
    fn step(&mut self) {}
    fn finish(&mut self) {}
}

/// How often a shop meets a complaint with nothing broken, on the scale of the catalogue (common practice, no source).
const HEALTHY_PRIOR: f64 = 3.0;

impl Rivals {
    /// Runs the session on every car that could have stood there.
    ///
    /// A run is stopped as soon as the readings relied on, if any, rule its car
    /// out and it fits worse than the closest rival found so far: what the rest
    /// of the session shows can then change neither.
    #[must_use]
    pub fn search(
        stage: &Stage<'_>,
        bay: &Bay,
        conclusion: Option<&Conclusion>,
        relied_on: &[usize],
        progress: &mut dyn Progress,
    ) -> Self {
        let concluded_id = conclusion.map(|conclusion| conclusion.fault.as_str());
        let truth: Vec<String> =
            stage.case.truth().iter().map(|fault| fault.mode_id.clone()).collect();
        let candidates = candidates(stage, conclusion);
        progress.start(candidates.iter().map(|(_, severities)| severities.len()).sum());
        let mut closest = f64::INFINITY;
        let mut concluded = None;
        let mut others = Vec::new();
        for (prior, tried) in candidates {
            let is_concluded =
                tried.first().is_some_and(|first| Some(first.name()) == concluded_id);
            let is_true = tried.first().is_some_and(|first| is_truth(&truth, first.name()));
            let bound = if is_concluded || is_true { f64::INFINITY } else { closest };
            let Some(rival) = best(stage, bay, relied_on, prior, &tried, bound, progress) else {
                continue;
            };
            if is_concluded {
                concluded = Some(rival);
            } else {
                if !is_true {
                    closest = closest.min(rival.misfit);
                }
                others.push(rival);
            }
        }
        progress.finish();
        Self { concluded, others, truth }
    }

    /// The car to measure missed cues against: the learner's wrong answer, or the closest rival of a right one.
    #[must_use]
    pub fn against(&self, diagnosis: &Diagnosis) -> Option<&Rival> {
        if !diagnosis.is_right() && self.concluded.is_some() {
            return self.concluded.as_ref();
        }
        self.others
            .iter()
            .filter(|rival| !is_truth(&self.truth, rival.hypothesis.name()))
            .min_by(|a, b| a.misfit.total_cmp(&b.misfit))
    }

    /// Others that the readings relied on have not ruled out, most often seen first.
    #[must_use]
    pub fn standing(&self) -> Vec<&Rival> {
        let mut standing: Vec<&Rival> =
            self.others.iter().filter(|rival| !rival.ruled_out).collect();
        standing.sort_by(|a, b| {
            b.prior.total_cmp(&a.prior).then(a.hypothesis.name().cmp(b.hypothesis.name()))
        });
        standing
    }
}

fn is_truth(truth: &[String], name: &str) -> bool {
    if truth.is_empty() { name == NO_FAULT } else { truth.iter().any(|mode| mode == name) }
}

/// Every mode with the severities it is tried at, likeliest neighbours of the conclusion first.
fn candidates(stage: &Stage<'_>, conclusion: Option<&Conclusion>) -> Vec<(f64, Vec<Hypothesis>)> {
    let present = Hypothesis::truth(stage.case);
    let mut all: Vec<(f64, Vec<Hypothesis>)> = vec![(HEALTHY_PRIOR, vec![Hypothesis::healthy()])];
    for mode in stage.bank.catalogue().modes() {
        let mut tried: Vec<Hypothesis> = severities(mode)
            .into_iter()
            .map(|severity| Hypothesis::one(&mode.id, severity))
            .collect();
        let named = conclusion.filter(|conclusion| conclusion.fault == mode.id);
        if let Some(cause) = named.and_then(|conclusion| conclusion.cause.as_deref())
            && let Some(behind) = stage.bank.catalogue().get(cause)
        {
            for mut one in tried.clone() {
                one.faults.push((behind.id.clone(), behind.severity.typical));
                tried.push(one);
            }
        }
        // What is in the car is tried as it is, not at the nearest round severity.
        if present.name() == mode.id {
            tried.push(present.clone());
        }
        all.push((mode.prior, tried));
    }
    let component = |id: &str| stage.bank.catalogue().get(id).map(|mode| &mode.component.id);
    let near = conclusion.and_then(|conclusion| component(&conclusion.fault));
    // Neighbours first: a close rival found early lets the others stop early.
    all.sort_by(|(prior, tried), (other_prior, other_tried)| {
        let is_near = |tried: &[Hypothesis]| {
            near.is_some() && tried.first().and_then(|one| component(one.name())) == near
        };
        is_near(other_tried)
            .cmp(&is_near(tried))
            .then(other_prior.total_cmp(prior))
    });
    all
}

/// The severity of a mode that fits best.
fn best(
    stage: &Stage<'_>,
    bay: &Bay,
    relied_on: &[usize],
    prior: f64,
    tried: &[Hypothesis],
    bound: f64,
    progress: &mut dyn Progress,
) -> Option<Rival> {
    let mut best: Option<Rival> = None;
    let mut all_ruled_out = true;
    for hypothesis in tried {
        let hopeless = |readings: &[(usize, Check, Truth)]| {
            let (sum, ruled_out) = misfit(bay.notes(), relied_on, readings);
            (ruled_out || relied_on.is_empty()) && sum > bound
        };
        let trail = stage.readings(hypothesis, |readings| !hopeless(readings));
        let (sum, ruled_out) = misfit(bay.notes(), relied_on, &trail.readings);
        all_ruled_out &= ruled_out;
        progress.step();
        if best.as_ref().is_none_or(|known| sum < known.misfit) {
            best = Some(Rival {
                hypothesis: hypothesis.clone(),
                misfit: sum,
                ruled_out,
                prior,
                trail,
            });
        }
    }
    best.map(|rival| Rival { ruled_out: all_ruled_out, ..rival })
}
