//! The belief trace: what an ideal reader would hold after each action, beside what the learner said.

use scenarios::Bank;

use crate::action::Action;
use crate::bay::Bay;
use crate::evidence::belief::Weighed;
use crate::evidence::explanation::Explanation;
use crate::grade::claim::Claim;

/// After an action that read something or stated a confidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// Index of the action.
    pub action: usize,
    /// Shop clock, s.
    pub at_s: f64,
    /// Numbers of the notes it took.
    pub notes: Vec<usize>,
    /// The likeliest explanations with their probabilities, likeliest first.
    pub likeliest: Vec<(usize, f64)>,
    /// What is still open, bits.
    pub open_bits: f64,
    /// Probability of what is in the car.
    pub of_truth: f64,
    /// What the learner stated.
    pub stated: Option<Statement>,
}

/// A confidence the learner stated.
#[derive(Clone, Debug, PartialEq)]
pub struct Statement {
    /// Id of the failure mode, the component or `no-fault`.
    pub suspect: String,
    /// What the learner said, 0 to 1.
    pub stated: f64,
    /// What the readings so far support.
    pub ideal: f64,
    /// It is in the car.
    pub is_so: bool,
}

/// Explanations told at each moment.
const TOLD: usize = 3;

/// The trace of a session, of which all readings have been weighed.
///
/// `times_s` are the shop clock after each action, `right` the explanations that count as what is in
/// the car, and `truth` all that have its main fault.
#[must_use]
pub fn trace(
    (bank, bay, times_s): (&Bank, &Bay, &[f64]),
    explanations: &[Explanation],
    weighed: &Weighed,
    right: &[usize],
    truth: &Claim,
) -> Vec<Moment> {
    let mut moments = Vec::new();
    let mut read = 0;
    for (action, act) in bay.actions().iter().enumerate() {
        let notes: Vec<usize> = bay
            .notes()
            .iter()
            .filter(|note| note.action == action)
            .map(|note| note.number)
            .collect();
        read += notes.len();
        let belief = weighed.after(read);
        let stated = match act {
            Action::Suspect { mode, confidence } => {
                let claim = Claim::of_name(bank, explanations, mode);
                Some(Statement {
                    suspect: mode.clone(),
                    stated: *confidence,
                    ideal: claim.probability(&belief),
                    is_so: right.iter().any(|one| claim.explanations.contains(one)),
                })
            }
            _ => None,
        };
        if notes.is_empty() && stated.is_none() {
            continue;
        }
        let likeliest = belief.ranked().into_iter().take(TOLD);
        moments.push(Moment {
            action,
            at_s: times_s.get(action).copied().unwrap_or_default(),
            notes,
            likeliest: likeliest
                .map(|index| (index, belief.probabilities[index]))
                .collect(),
            open_bits: belief.entropy_bits(),
            of_truth: truth.probability(&belief),
            stated,
        });
    }
    moments
}
