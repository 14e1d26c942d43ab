//! The rivals a learner should have told from what is in the car, each run through the session.

use crate::bay::Bay;
use crate::evidence::belief::Weighed;
use crate::evidence::cues::{Cue, Pair, missed, panels};
use crate::evidence::explanation::Explanation;
use crate::evidence::follow::individuals;
use crate::evidence::replay::Stage;
use crate::grade::claim::Claim;
use crate::grade::evidence::Evidence;
use crate::grade::present;

/// Another explanation, at the severity that fits the readings relied on best.
#[derive(Clone, Debug, PartialEq)]
pub struct Rival {
    /// Index of the explanation.
    pub explanation: usize,
    /// Its faults with their severities.
    pub faults: Vec<(String, f64)>,
    /// Probability by the readings relied on.
    pub probability: f64,
    /// It is what the learner concluded.
    pub is_claim: bool,
    /// It is in the set that is still in play.
    pub in_play: bool,
    /// Missed cues, best first.
    pub cues: Vec<Cue>,
}

/// Most rivals told.
const MOST_RIVALS: usize = 3;

/// Runs the wrong answer and the likeliest others; the closest of them where none is in play.
pub(super) fn rivals(
    stage: &Stage<'_>,
    (bay, because): (&Bay, &[usize]),
    (explanations, relied_on): (&[Explanation], &Weighed),
    evidence: &Evidence,
    wrong: Option<&Claim>,
    right: &Claim,
) -> Vec<Rival> {
    let ranked = evidence.belief.ranked();
    let others = || {
        let ranked = ranked.iter().copied();
        ranked.filter(|index| !right.explanations.contains(index))
    };
    let is_wrong = |index: &usize| wrong.is_some_and(|one| one.explanations.contains(index));
    let claimed = others().find(is_wrong);
    let mut picked: Vec<usize> = claimed.into_iter().collect();
    for index in others().filter(|index| !is_wrong(index)) {
        let in_play = evidence.in_play.contains(&index);
        if picked.len() < MOST_RIVALS && (in_play || picked.is_empty()) {
            picked.push(index);
        }
    }
    let actions = bay.actions();
    let case = stage.case;
    let present = present(case);
    let ours = panels(stage, &case.healthy, &present, actions);
    let spread: Vec<_> = individuals(&case.vehicle.spec)
        .iter()
        .map(|car| panels(stage, car, &present, actions))
        .collect();
    let run = |index: usize| {
        let explanation = &explanations[index];
        let best = relied_on.best_component(index);
        let faults = match best {
            Some(best) => explanation.faults_at(&best.place),
            None => explanation.faults(explanation.middle()),
        };
        let theirs = panels(stage, &case.healthy, &faults, actions);
        let pair = Pair {
            truth: &ours,
            rival: &theirs,
            individuals: &spread,
        };
        Rival {
            explanation: index,
            probability: evidence.belief.probabilities[index],
            is_claim: claimed == Some(index),
            in_play: evidence.in_play.contains(&index),
            cues: missed(pair, bay.notes(), because, &stage.bank.marks().slips),
            faults,
        }
    };
    picked.into_iter().map(run).collect()
}
