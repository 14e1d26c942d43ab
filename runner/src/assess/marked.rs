//! What a task was worth.

use scenarios::{Bank, Case};

use crate::action::Action;
use crate::assess::sitting::Given;
use crate::bay::Bay;
use crate::evidence::follow::Progress;
use crate::evidence::reader::Tours;
use crate::grade::{Grade, NotGraded, Repair, grade, played};
use crate::safety::SlipKind;

/// What a task was worth.
#[derive(Clone, Debug, PartialEq)]
pub struct Marked {
    /// The case's or the question's id.
    pub item: String,
    /// What of it counts.
    pub parts: Parts,
    /// What was concluded or answered.
    pub answer: String,
    /// Whether that is right in full.
    pub right: bool,
    /// The mark that a verdict is made of, 0 to 100.
    pub mark: f64,
    /// Ids of the competencies it trains; none of a question.
    pub competencies: Vec<String>,
    /// The topic; none of a case.
    pub topic: Option<String>,
}

/// What of a task counts.
#[derive(Clone, Debug, PartialEq)]
pub enum Parts {
    /// Of a car.
    Case {
        /// Shares earned, 0 to 1: diagnosis, evidence, calibration, and how efficient the work was,
        /// which is told and does not count.
        shares: [f64; 4],
        /// The repair's share of what counts of it, where one was asked for.
        repair: Option<f64>,
        /// Hints taken.
        hints: usize,
        /// Unsafe acts, of the diagnosis and of the repair.
        slips: Vec<SlipKind>,
        /// Whether the most telling check of the best path was made; none where the path has no check.
        key_cue: Option<bool>,
        /// Confidences stated, each with whether it was right.
        confidences: Vec<(f64, bool)>,
        /// Time on the shop clock, s.
        shop_s: f64,
    },
    /// Of a question: how right the answer was, 0 to 1.
    Question(f64),
}

impl Parts {
    /// Unsafe acts.
    #[must_use]
    pub fn slips(&self) -> &[SlipKind] {
        match self {
            Self::Case { slips, .. } => slips,
            Self::Question(_) => &[],
        }
    }
}

/// What counts of a case where the car is repaired, too: half each (a choice of ours).
const REPAIR_SHARE: f64 = 0.5;

impl Marked {
    /// Marks a task.
    ///
    /// # Errors
    /// [`NotGraded`] where the actions are none of this car.
    pub fn of(
        bank: &Bank,
        given: &Given,
        tours: &dyn Tours,
        progress: &dyn Progress,
    ) -> Result<Self, NotGraded> {
        match given {
            Given::Case {
                case,
                repair,
                actions,
            } => Self::of_case(bank, case, (*repair, actions), tours, progress),
            Given::Question { dealt, answer } => {
                let read = answer.as_deref().map(|answer| dealt.read(answer));
                let share = read
                    .and_then(Result::ok)
                    .map_or(0.0, |answer| dealt.grade(&answer));
                Ok(Self {
                    item: dealt.id.clone(),
                    parts: Parts::Question(share),
                    answer: answer
                        .as_deref()
                        .map_or_else(String::new, |typed| dealt.in_words(typed)),
                    right: share >= RIGHT_FROM,
                    mark: 100.0 * share,
                    competencies: Vec::new(),
                    topic: Some(dealt.topic.clone()),
                })
            }
        }
    }

    fn of_case(
        bank: &Bank,
        case: &Case,
        (repair, actions): (bool, &[Action]),
        tours: &dyn Tours,
        progress: &dyn Progress,
    ) -> Result<Self, NotGraded> {
        let grade = grade(bank, case, actions, None, tours, progress)?;
        let weights = &grade.weights;
        let share = |earned: f64, of: f64| if of > 0.0 { earned / of } else { 0.0 };
        let mark = &grade.mark;
        // What a verdict is made of: safety is a gate of its own, and efficiency is for the learner.
        let counts = mark.diagnosis + mark.evidence + mark.calibration + mark.hints;
        let of = weights.diagnosis + weights.evidence + weights.calibration;
        let diagnosed = share(counts, of).clamp(0.0, 1.0);
        let repaired = repair.then(|| grade.repair.as_ref().map_or(0.0, repaired));
        let whole = match repaired {
            Some(repaired) => (1.0 - REPAIR_SHARE) * diagnosed + REPAIR_SHARE * repaired,
            None => diagnosed,
        };
        // Of all that was done: an unsafe act after the conclusion counts, whether a repair came of it or not.
        let mut bay = Bay::new(bank, case)?;
        played(&mut bay, actions)?;
        let slips = bay.slips().iter().map(|slip| slip.kind).collect();
        let conclusion = grade.conclusion.as_ref();
        Ok(Self {
            item: case.scenario.id.clone(),
            answer: conclusion.map_or(String::new(), |one| match &one.cause {
                Some(cause) => format!("{} + {cause}", one.fault),
                None => one.fault.clone(),
            }),
            right: grade.diagnosis.is_right() && grade.diagnosis.cause != Some(false),
            mark: 100.0 * whole,
            competencies: case.scenario.competencies.clone(),
            topic: None,
            parts: Parts::Case {
                shares: [
                    share(mark.diagnosis, weights.diagnosis),
                    share(mark.evidence, weights.evidence),
                    share(mark.calibration, weights.calibration),
                    share(mark.efficiency, weights.efficiency),
                ],
                repair: repaired,
                hints: grade.hints,
                slips,
                key_cue: key_cue(&grade),
                confidences: confidences(&grade),
                shop_s: bay.clock_s(),
            },
        })
    }
}

/// A grade counts as right from here: sums of shares come to one less a rounding.
const RIGHT_FROM: f64 = 0.999;

/// The share of a repair that counts: what it did to the car. Its bill is for the learner, and safety is a
/// gate of its own.
fn repaired(repair: &Repair) -> f64 {
    let (mark, of) = (&repair.mark, &repair.weights);
    let earned = mark.cured + mark.lasting + mark.parts + mark.order + mark.air;
    let most = of.cured + of.lasting + of.parts + of.order + of.air;
    if most > 0.0 {
        (earned / most).clamp(0.0, 1.0)
    } else {
        0.0
    }
}

/// Whether the check that tells most on the best path was made, whatever the car's set-up was.
fn key_cue(grade: &Grade) -> Option<bool> {
    let steps = grade.efficiency.best.steps.iter();
    let key = steps.max_by(|a, b| a.told_bits.total_cmp(&b.told_bits))?;
    Some(grade.bay.actions().contains(&key.action))
}

/// Confidences stated last of each suspect, with whether that is in the car.
fn confidences(grade: &Grade) -> Vec<(f64, bool)> {
    let truth = [
        Some(&grade.diagnosis.true_mode),
        grade.diagnosis.true_cause.as_ref(),
    ];
    let suspects = grade.bay.suspects().iter();
    suspects
        .map(|(mode, confidence)| (*confidence, truth.contains(&Some(mode))))
        .collect()
}
