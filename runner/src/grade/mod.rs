//! The mark: a pure function of a case, its seed and the learner's actions.

mod calibration;
mod claim;
mod diagnosis;
mod efficiency;
mod evidence;
mod repair;
mod rivals;
mod rules;
mod step_kind;
mod steps;
mod trace;

pub use calibration::Calibration;
pub use claim::Claim;
pub use diagnosis::{Diagnosis, judge, name_of};
pub use efficiency::Efficiency;
pub use evidence::{Evidence, Reliance, Verdict};
pub use repair::{Complaint, Repair, RepairMark};
pub use rivals::Rival;
pub use rules::{Rule, RuleKind, RuleSeen};
pub use step_kind::StepKind;
pub use steps::Step;
pub use trace::{Moment, Statement};

use scenarios::{Bank, Case, Weights};
use sim_core::car::Stalled;
use sim_core::fluid::FluidError;

use crate::action::{Action, Conclusion, Work};
use crate::bay::{Bay, NotTaken};
use crate::evidence::alike::{Beside, indistinguishable};
use crate::evidence::explanation::Explanation;
use crate::evidence::follow::Progress;
use crate::evidence::plan::best_path;
use crate::evidence::reader::{Reader, Tours};
use crate::evidence::replay::Stage;
use crate::grade::evidence::Weighing;
use crate::grade::rivals::rivals;
use crate::grade::trace::trace;
use crate::safety::Slip;

/// Everything the grade found.
#[derive(Clone, Debug)]
pub struct Grade {
    /// The session up to the conclusion, notebook and all.
    pub bay: Bay,
    /// What the learner concluded; `None` when they gave up.
    pub conclusion: Option<Conclusion>,
    /// How the conclusion stands to what is in the car.
    pub diagnosis: Diagnosis,
    /// What could be wrong with the car: what indices below point to.
    pub explanations: Vec<Explanation>,
    /// Faults that no check on this car tells from what is in it: they count as right, too.
    pub alike: Vec<String>,
    /// The belief trace.
    pub trace: Vec<Moment>,
    /// What the readings relied on prove.
    pub evidence: Evidence,
    /// The learner's confidences.
    pub calibration: Calibration,
    /// The learner's path beside the best one.
    pub efficiency: Efficiency,
    /// The wrong answer and what is still in play, each with the cues that were missed.
    pub rivals: Vec<Rival>,
    /// Hints asked for.
    pub hints: usize,
    /// Safety slips.
    pub slips: Vec<Slip>,
    /// What the parts count in this case.
    pub weights: Weights,
    /// The parts of the mark.
    pub mark: Mark,
    /// The repair, where something was done to the car after the conclusion.
    pub repair: Option<Repair>,
}

/// The parts of the mark, each of what the weights allow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// For naming component, mode and cause.
    pub diagnosis: f64,
    /// For readings that prove it.
    pub evidence: f64,
    /// For being as sure as the readings allowed.
    pub calibration: f64,
    /// For not spending more time than it takes.
    pub efficiency: f64,
    /// For working safely; slips beyond it come off the rest.
    pub safety: f64,
    /// What hints cost, a number not above 0.
    pub hints: f64,
    /// Together, 0 to 100.
    pub total: f64,
}

/// Why an attempt cannot be graded.
#[derive(Clone, Debug, PartialEq)]
pub enum NotGraded {
    /// The refrigerant is not known.
    Fluid(FluidError),
    /// An action of the list was not taken when it was first given either.
    Action {
        /// Its index.
        index: usize,
        /// Why.
        why: NotTaken,
    },
    /// The simulation could not follow the repaired car.
    Weeks(Stalled),
}

impl std::fmt::Display for NotGraded {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Fluid(error) => error.fmt(f),
            Self::Weeks(stalled) => {
                write!(f, "the repaired car cannot be driven on: {stalled}")
            }
            Self::Action { index, why } => write!(
                f,
                "action {} of this attempt cannot be carried out: {why}; the list does not belong to this case and seed",
                index + 1
            ),
        }
    }
}

impl std::error::Error for NotGraded {}

impl From<FluidError> for NotGraded {
    fn from(error: FluidError) -> Self {
        Self::Fluid(error)
    }
}

/// Grades an attempt.
///
/// The session is carried out again from the list, so that nothing but the list decides. A `reader`
/// that has followed the session so far saves the time of following it again; what it says is the same.
///
/// # Errors
/// [`NotGraded`] when the list is not one of this case and seed.
pub fn grade(
    bank: &Bank,
    case: &Case,
    actions: &[Action],
    reader: Option<Reader>,
    tours: &dyn Tours,
    progress: &dyn Progress,
) -> Result<Grade, NotGraded> {
    let concluded = actions
        .iter()
        .position(|action| matches!(action, Action::Conclude(_)))
        .map_or(actions.len(), |index| index + 1);
    let (diagnosed, repaired) = actions.split_at(concluded);
    let mut bay = Bay::new(bank, case)?;
    let times_s = played(&mut bay, diagnosed)?;
    let works =
        |action: &Action| matches!(action, Action::Work(work) if *work != Work::ServiceData);
    let repair = if !repaired.iter().any(works) {
        None
    } else {
        let mut after = bay.clone();
        played(&mut after, repaired)?;
        Some(Repair::weigh(bank, case, &bay, after)?)
    };
    let actions = diagnosed;
    let mut reader = match reader {
        Some(reader) => reader,
        None => Reader::new(bank, case)?,
    };
    reader.follow(actions, bay.notes(), progress);
    let tour = tours.tour(bank, case, progress)?;
    let stage = Stage::new(bank, case)?;
    let marks = bank.marks();
    let sure = marks.reader.sure;
    let weights = case.scenario.weights.unwrap_or(marks.weights);
    let present = present(case);

    let explanations = reader.explanations().to_vec();
    let mut right = same_faults(&explanations, &present);
    // On the typical car: how hard a case is does not depend on the individual that is dealt.
    let typical = tour.walk(&stage, &case.vehicle.spec, &present);
    let best = best_path(&tour, &typical, &right, sure, &marks.slips);
    let alike_too = if best.proved {
        Vec::new()
    } else {
        let beside = Beside {
            tour: &tour,
            truth: &typical,
            slips: &marks.slips,
        };
        indistinguishable(&best, (&beside, &beside.nearest()), &right, sure)
    };
    let alike = names(&explanations, &alike_too);
    right.extend(alike_too);

    let conclusion = bay.conclusion().cloned();
    let diagnosis = judge(bank, case, conclusion.as_ref(), &alike);
    let mut main = alike.clone();
    main.insert(0, diagnosis.true_mode.clone());
    let truth = Claim::of_modes(&explanations, &main);

    // Who comes to no conclusion is shown what all their readings leave open.
    let mut because = match &conclusion {
        Some(conclusion) => conclusion.because.clone(),
        None => (1..=bay.notes().len()).collect(),
    };
    because.sort_unstable();
    because.dedup();
    let columns: Vec<usize> = because.iter().map(|number| number - 1).collect();
    let follower = reader.follower_mut();
    follower.take_up(&columns, actions, bay.notes(), progress);
    let every: Vec<usize> = (0..bay.notes().len()).collect();
    let all = follower.weigh(&every);
    let relied_on = follower.weigh(&columns);

    let claim = conclusion
        .as_ref()
        .map(|conclusion| Claim::of_conclusion(bank, &explanations, conclusion));
    let evidence = Evidence::weigh(Weighing {
        explanations: &explanations,
        notes: bay.notes(),
        because: &because,
        relied_on: &relied_on,
        all: &all,
        claim: claim.as_ref(),
        truth: &truth,
        is_right: diagnosis.is_right(),
        sure,
    });
    let trace = trace((bank, &bay, &times_s), &explanations, &all, &right, &truth);
    let calibration = Calibration::of(&trace);
    let exactly = Claim {
        explanations: right.clone(),
    };
    let mut efficiency = Efficiency::of(bay.clock_s(), &all, &exactly, sure, best);
    if !diagnosis.is_right() {
        efficiency.share = 0.0;
    }
    let rivals = rivals(
        &stage,
        (&bay, &because),
        (&explanations, &relied_on),
        &evidence,
        claim.as_ref().filter(|_| !diagnosis.is_right()),
        &exactly,
    );
    let slips = bay.slips().to_vec();
    let hints = bay.actions().iter().filter(|one| **one == Action::Hint);
    let hints = hints.count();
    let shares = Shares {
        diagnosis: diagnosis.share(&marks.diagnosis),
        evidence: evidence.share,
        calibration: calibration.share,
        efficiency: efficiency.share,
        concluded: conclusion.is_some(),
    };
    let mark = Mark::of(&shares, &slips, hints as f64 * marks.hint.cost, &weights);
    Ok(Grade {
        bay,
        conclusion,
        diagnosis,
        explanations,
        alike,
        trace,
        evidence,
        calibration,
        efficiency,
        rivals,
        hints,
        slips,
        weights,
        mark,
        repair,
    })
}

/// Carries actions out in a bay; returns the shop clock after each, s.
pub(crate) fn played(bay: &mut Bay, actions: &[Action]) -> Result<Vec<f64>, NotGraded> {
    let mut times_s = Vec::with_capacity(actions.len());
    let done = bay.actions().len();
    for (offset, action) in actions.iter().enumerate() {
        let outcome = bay.act(action).map_err(|why| NotGraded::Action {
            index: done + offset,
            why,
        })?;
        times_s.push(outcome.clock_s);
    }
    Ok(times_s)
}

/// What is in a case's car.
#[must_use]
pub fn present(case: &Case) -> Vec<(String, f64)> {
    case.present()
        .map(|(mode, severity)| (mode.id.clone(), severity))
        .collect()
}

/// Indices of the explanations that have just these faults, in any order.
#[must_use]
pub fn same_faults(explanations: &[Explanation], faults: &[(String, f64)]) -> Vec<usize> {
    let all = explanations.iter().enumerate();
    let same = |one: &Explanation| {
        one.modes.len() == faults.len() && faults.iter().all(|(id, _)| one.modes.contains(id))
    };
    all.filter(|(_, one)| same(one))
        .map(|(index, _)| index)
        .collect()
}

/// Main faults of explanations, each once.
fn names(explanations: &[Explanation], picked: &[usize]) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for index in picked {
        let modes = &explanations[*index].modes;
        let name = modes
            .first()
            .map_or(crate::action::NO_FAULT, String::as_str);
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

/// Which share of each part was earned.
struct Shares {
    diagnosis: f64,
    evidence: f64,
    calibration: f64,
    efficiency: f64,
    concluded: bool,
}

impl Mark {
    /// Names of its parts.
    pub const PARTS: [&str; 5] = [
        "diagnosis",
        "evidence",
        "calibration",
        "efficiency",
        "safety",
    ];

    /// Its parts: name, what was earned, and of how much.
    #[must_use]
    pub fn parts(&self, weights: &Weights) -> [(&'static str, f64, f64); 5] {
        let [diagnosis, evidence, calibration, efficiency, safety] = Self::PARTS;
        [
            (diagnosis, self.diagnosis, weights.diagnosis),
            (evidence, self.evidence, weights.evidence),
            (calibration, self.calibration, weights.calibration),
            (efficiency, self.efficiency, weights.efficiency),
            (safety, self.safety, weights.safety),
        ]
    }

    fn of(shares: &Shares, slips: &[Slip], hints: f64, weights: &Weights) -> Self {
        let cost: f64 = slips.iter().map(|slip| slip.kind.cost()).sum();
        // Who does no work to the end has not shown that they do it safely; slips count all the same.
        let safe = if shares.concluded {
            weights.safety
        } else {
            0.0
        };
        let mut mark = Self {
            diagnosis: weights.diagnosis * shares.diagnosis,
            evidence: weights.evidence * shares.evidence,
            calibration: weights.calibration * shares.calibration,
            efficiency: weights.efficiency * shares.efficiency,
            safety: safe - cost,
            hints: 0.0 - hints,
            total: 0.0,
        };
        let sum = mark.diagnosis
            + mark.evidence
            + mark.calibration
            + mark.efficiency
            + mark.safety
            + mark.hints;
        mark.total = sum.clamp(0.0, 100.0);
        mark
    }
}
