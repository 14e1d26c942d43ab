//! The mark: a pure function of a case, its seed and the learner's actions.

mod diagnosis;
mod evidence;
mod rivals;
mod weights;

pub use diagnosis::{Diagnosis, judge, name_of};
pub use evidence::{Evidence, Reliance, Support};
pub use rivals::{Progress, Rival, Rivals};
pub use weights::Weights;

use std::sync::Arc;

use scenarios::{Bank, Case};
use sim_core::fluid::{Fluid, FluidError};

use crate::action::{Action, Conclusion};
use crate::bay::{Bay, NotTaken};
use crate::evidence::cues::{Cue, missed};
use crate::evidence::hypothesis::Hypothesis;
use crate::evidence::replay::Stage;
use crate::safety::Slip;

/// Everything the grade found.
#[derive(Clone, Debug)]
pub struct Grade {
    /// The session as it went, notebook and all.
    pub bay: Bay,
    /// What the learner concluded; `None` when they gave up.
    pub conclusion: Option<Conclusion>,
    /// How the conclusion stands to what is in the car.
    pub diagnosis: Diagnosis,
    /// What the readings relied on prove.
    pub evidence: Evidence,
    /// The rival the missed cues are measured against.
    pub rival: Option<Rival>,
    /// Missed cues, best first.
    pub cues: Vec<Cue>,
    /// Safety slips.
    pub slips: Vec<Slip>,
    /// The parts of the mark.
    pub mark: Mark,
}

/// The parts of the mark, each of what the weights allow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// For naming component, mode and cause.
    pub diagnosis: f64,
    /// For readings that prove it.
    pub evidence: f64,
    /// For working safely; slips beyond it come off the rest.
    pub safety: f64,
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
}

impl std::fmt::Display for NotGraded {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Fluid(error) => error.fmt(f),
            Self::Action { index, why } => write!(
                f,
                "action {} of this attempt cannot be carried out: {why}; the list does not belong to this case and seed",
                index + 1
            ),
        }
    }
}

impl std::error::Error for NotGraded {}

/// Grades an attempt.
///
/// The session is carried out again from the list, so that nothing but the list decides.
///
/// # Errors
/// [`NotGraded`] when the list is not one of this case and seed.
pub fn grade(
    bank: &Bank,
    case: &Case,
    actions: &[Action],
    weights: &Weights,
    progress: &mut dyn Progress,
) -> Result<Grade, NotGraded> {
    let mut bay = Bay::new(bank, case).map_err(NotGraded::Fluid)?;
    for (index, action) in actions.iter().enumerate() {
        bay.act(action)
            .map_err(|why| NotGraded::Action { index, why })?;
    }
    let fluid = Arc::new(Fluid::by_name(&case.healthy.refrigerant).map_err(NotGraded::Fluid)?);
    let stage = Stage {
        bank,
        case,
        fluid,
        actions,
    };
    let conclusion = bay.conclusion().cloned();
    let relied_on = conclusion.as_ref().map_or(&[][..], |c| &c.because);
    let diagnosis = judge(bank, case, conclusion.as_ref());
    let rivals = Rivals::search(&stage, &bay, conclusion.as_ref(), relied_on, progress);
    let rival = rivals.against(&diagnosis).cloned();
    let truth = stage.panels(&Hypothesis::truth(case));
    let cues = rival
        .as_ref()
        .map(|rival| {
            missed(
                &truth,
                &stage.panels(&rival.hypothesis),
                bay.notes(),
                relied_on,
            )
        })
        .unwrap_or_default();
    let evidence = Evidence::weigh(&rivals, bay.notes(), conclusion.as_ref());
    let slips = bay.slips().to_vec();
    let mark = Mark::of(&diagnosis, &evidence, &slips, weights);
    Ok(Grade {
        bay,
        conclusion,
        diagnosis,
        evidence,
        rival,
        cues,
        slips,
        mark,
    })
}

impl Mark {
    fn of(diagnosis: &Diagnosis, evidence: &Evidence, slips: &[Slip], weights: &Weights) -> Self {
        let named = weights.diagnosis * diagnosis.share(weights);
        let proved = weights.evidence * evidence.share;
        let cost: f64 = slips.iter().map(|slip| slip.kind.cost()).sum();
        let total = (named + proved + weights.safety - cost).clamp(0.0, 100.0);
        Self {
            diagnosis: named,
            evidence: proved,
            safety: weights.safety - cost,
            total,
        }
    }
}
