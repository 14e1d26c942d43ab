//! Which other cars could have given these readings.

use std::cmp::Ordering;

use sim_core::faults::Effect;

use crate::action::{Conclusion, NO_FAULT};
use crate::bay::Bay;
use crate::evidence::compare::{fit, misfit, pairs};
use crate::evidence::family::{BestFit, Family, best_fit};
use crate::evidence::hypothesis::{Hypothesis, severities};
use crate::evidence::replay::{Predicted, Stage};
use crate::grade::diagnosis::Diagnosis;

/// A car with another fault, at the severity that fits the notebook best.
#[derive(Clone, Debug, PartialEq)]
pub struct Rival {
    /// The car.
    pub hypothesis: Hypothesis,
    /// How badly its readings fit the notebook: a sum of squares in limits of error.
    pub misfit: f64,
    /// The readings relied on rule it out at every severity.
    pub ruled_out: bool,
    /// Index of the action whose reading left no severity of it possible.
    pub ruled_out_by: Option<usize>,
    /// How often a shop sees it, a relative weight.
    pub prior: f64,
    /// What its readings would have been; as far as it was followed.
    pub predicted: Vec<Predicted>,
    /// Numbers of the notes that rule it out by themselves, at every severity.
    pub ruling_notes: Vec<usize>,
}

/// All of them, with the learner's own conclusion among them.
#[derive(Clone, Debug)]
pub struct Rivals {
    /// The conclusion at its best severity; `None` when the learner gave up or named a component only.
    pub concluded: Option<Rival>,
    /// Every other failure mode, and a healthy car.
    pub others: Vec<Rival>,
    /// The rival whose readings are nearest to the notebook, run at its own severity.
    closest: Option<Rival>,
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
    /// A run is stopped once nothing further can matter: the readings relied on
    /// have been compared, or rule its car out already, and it fits worse than
    /// the closest rival found so far.
    #[must_use]
    pub fn search(
        stage: &Stage<'_>,
        bay: &Bay,
        conclusion: Option<&Conclusion>,
        relied_on: &[usize],
        progress: &mut dyn Progress,
    ) -> Self {
        let concluded_id = conclusion.map(|conclusion| conclusion.fault.as_str());
        let truth: Vec<String> = stage
            .case
            .truth()
            .iter()
            .map(|fault| fault.mode_id.clone())
            .collect();
        let candidates = candidates(stage, conclusion);
        let healthy = stage.readings(&Hypothesis::healthy());
        progress.start(candidates.len());
        let mut closest = f64::INFINITY;
        let mut concluded = None;
        let mut others = Vec::new();
        for candidate in candidates {
            let is_concluded = Some(candidate.name.as_str()) == concluded_id;
            let is_true = is_truth(&truth, &candidate.name);
            let bound = if is_concluded || is_true {
                f64::INFINITY
            } else {
                closest
            };
            let rival = candidate.best(stage, &healthy, bay, relied_on, bound);
            progress.step();
            let Some(rival) = rival else { continue };
            if is_concluded {
                concluded = Some(rival);
            } else {
                if !is_true {
                    closest = closest.min(rival.misfit);
                }
                others.push(rival);
            }
        }
        let closest = closest_of(stage, bay, relied_on, &others, &truth);
        // What is told of the conclusion is what a car with it really shows.
        let concluded = concluded.map(|rival| really(stage, bay, relied_on, &rival));
        progress.finish();
        Self {
            concluded,
            others,
            closest,
        }
    }

    /// The car to measure missed cues against: the learner's wrong answer, or the closest rival of a right one.
    #[must_use]
    pub fn against(&self, diagnosis: &Diagnosis) -> Option<&Rival> {
        if !diagnosis.is_right() && self.concluded.is_some() {
            return self.concluded.as_ref();
        }
        self.closest.as_ref()
    }

    /// Others that the readings relied on have not ruled out, most often seen first.
    #[must_use]
    pub fn standing(&self) -> Vec<&Rival> {
        let mut standing: Vec<&Rival> = self
            .others
            .iter()
            .filter(|rival| !rival.ruled_out)
            .collect();
        standing.sort_by(|a, b| {
            b.prior
                .total_cmp(&a.prior)
                .then(a.hypothesis.name().cmp(b.hypothesis.name()))
        });
        standing
    }
}

/// A rival with what it shows when it is run at its own severity, to the end.
fn really(stage: &Stage<'_>, bay: &Bay, relied_on: &[usize], rival: &Rival) -> Rival {
    let predicted = stage.readings(&rival.hypothesis);
    let (misfit, _) = misfit(bay.notes(), relied_on, &predicted);
    let ruling_notes = pairs(bay.notes(), &predicted)
        .filter(|(note, seen)| fit(note, seen).rules_out())
        .map(|(note, _)| note.number)
        .collect();
    Rival {
        misfit,
        predicted,
        ruling_notes,
        ..rival.clone()
    }
}

/// How many front-runners are run again at their own severity.
const CHECKED: usize = 6;

/// The rival nearest to the notebook, checked by running it.
///
/// Where a fault sets in at a threshold, such as a clutch that no longer pulls in, a straight line
/// between two severities shows what no car with it would. The likeliest are therefore run at the
/// severity found, to the end, and compared by what they really show.
fn closest_of(
    stage: &Stage<'_>,
    bay: &Bay,
    relied_on: &[usize],
    others: &[Rival],
    truth: &[String],
) -> Option<Rival> {
    let mut nearest: Vec<&Rival> = others
        .iter()
        .filter(|rival| !is_truth(truth, rival.hypothesis.name()))
        .collect();
    nearest.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
    let checked = nearest
        .into_iter()
        .take(CHECKED)
        .map(|rival| really(stage, bay, relied_on, rival));
    checked.min_by(|a, b| a.misfit.total_cmp(&b.misfit))
}

fn is_truth(truth: &[String], name: &str) -> bool {
    if truth.is_empty() {
        name == NO_FAULT
    } else {
        truth.iter().any(|mode| mode == name)
    }
}

/// A failure mode, or none, with the families of cars that have it.
struct Candidate {
    name: String,
    prior: f64,
    /// What it does to the car: the order of equals, since names must not decide anything.
    effects: Vec<Effect>,
    families: Vec<Family>,
}

impl Candidate {
    /// The best member of all its families; ruled out only when each of them is.
    fn best(
        self,
        stage: &Stage<'_>,
        healthy: &[Predicted],
        bay: &Bay,
        relied_on: &[usize],
        bound: f64,
    ) -> Option<Rival> {
        let fits: Vec<BestFit> = self
            .families
            .iter()
            .filter_map(|family| best_fit(stage, healthy, family, bay.notes(), relied_on, bound))
            .collect();
        let ruled_out = fits.iter().all(|fit| fit.ruled_out);
        let last = fits.iter().map(|fit| fit.ruled_out_by).max().flatten();
        let ruled_out_by = last.filter(|_| ruled_out);
        let mut ruling_notes = fits.first()?.ruling_notes.clone();
        ruling_notes.retain(|number| fits.iter().all(|fit| fit.ruling_notes.contains(number)));
        let best = fits
            .into_iter()
            .min_by(|a, b| a.misfit.total_cmp(&b.misfit))?;
        Some(Rival {
            hypothesis: best.hypothesis,
            misfit: best.misfit,
            ruled_out,
            ruled_out_by,
            prior: self.prior,
            predicted: best.predicted,
            ruling_notes,
        })
    }
}

/// Order of two faults by what they do to the car.
fn in_order(one: &[Effect], other: &[Effect]) -> Ordering {
    let knob_by_knob = one
        .iter()
        .zip(other)
        .map(|(a, b)| a.knob.cmp(&b.knob).then_with(|| a.full.total_cmp(&b.full)));
    knob_by_knob
        .fold(Ordering::Equal, Ordering::then)
        .then(one.len().cmp(&other.len()))
}

/// Every mode and a healthy car, likeliest neighbours of the conclusion first.
fn candidates(stage: &Stage<'_>, conclusion: Option<&Conclusion>) -> Vec<Candidate> {
    let present = Hypothesis::truth(stage.case);
    let mut all = vec![Candidate {
        name: NO_FAULT.to_owned(),
        prior: HEALTHY_PRIOR,
        effects: Vec::new(),
        families: vec![Family::of(vec![Hypothesis::healthy()])],
    }];
    let healthy = &stage.case.healthy;
    let modes = stage.bank.catalogue().modes();
    for mode in modes.filter(|mode| mode.concerns(healthy)) {
        let [usual, worst] = severities(mode);
        let at = |severity| Hypothesis::one(&mode.id, severity);
        let mut families = Vec::new();
        let named = conclusion.filter(|conclusion| conclusion.fault == mode.id);
        if let Some(cause) = named.and_then(|conclusion| conclusion.cause.as_deref())
            && let Some(behind) = stage.bank.catalogue().get(cause)
        {
            let with_cause = |mut one: Hypothesis| {
                one.faults
                    .push((behind.id.clone(), behind.severity.typical));
                one
            };
            // With a cause beside it no member is the healthy car, so the mildest is run too.
            let members = [mode.severity.least, usual, worst].map(|s| with_cause(at(s)));
            families.push(Family::of(members.to_vec()));
        }
        // The mildest car is not run: it lies between the healthy one and the next.
        families.push(Family {
            members: vec![at(usual), at(worst)],
            milder_down_to: Some(mode.severity.least),
        });
        // What is in the car is tried just as it is, too.
        if present.name() == mode.id {
            families.push(Family::of(vec![present.clone()]));
        }
        all.push(Candidate {
            name: mode.id.clone(),
            prior: mode.prior,
            effects: mode.fault.effects.clone(),
            families,
        });
    }
    let component = |id: &str| {
        stage
            .bank
            .catalogue()
            .get(id)
            .map(|mode| &mode.component.id)
    };
    let near = conclusion.and_then(|conclusion| component(&conclusion.fault));
    // Neighbours first: a close rival found early lets the others stop early.
    all.sort_by(|one, other| {
        let is_near = |name: &str| near.is_some() && component(name) == near;
        is_near(&other.name)
            .cmp(&is_near(&one.name))
            .then(other.prior.total_cmp(&one.prior))
            .then_with(|| in_order(&one.effects, &other.effects))
    });
    all
}
