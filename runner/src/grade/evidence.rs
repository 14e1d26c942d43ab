//! What the readings relied on prove.

use crate::bay::Note;
use crate::evidence::belief::{Belief, Weighed};
use crate::evidence::explanation::Explanation;
use crate::grade::claim::Claim;
use crate::grade::efficiency::proved_share;

/// A reading relied on.
#[derive(Clone, Debug, PartialEq)]
pub struct Reliance {
    /// Number of the note.
    pub number: usize,
    /// Probability of the conclusion before it, by the readings relied on before it.
    pub before: f64,
    /// And after it.
    pub after: f64,
}

impl Reliance {
    /// Bits it tells for the conclusion; below 0 against it.
    #[must_use]
    pub fn bits(&self) -> f64 {
        libm::log2(self.after / self.before)
    }
}

/// How a conclusion stands to what it was built on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Right, and the readings relied on prove it.
    Proved,
    /// Right; the readings relied on make it likely and leave others possible.
    Likely,
    /// Right, and the readings relied on do not show it.
    Lucky,
    /// Wrong, although the readings relied on point to what is in the car.
    Misread,
    /// Wrong; the readings relied on do make it likely.
    Misled,
    /// Wrong, and the readings relied on do not show it.
    Guessed,
    /// No conclusion.
    GaveUp,
}

/// What the readings relied on prove together.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Each reading relied on, in the order of the notebook.
    pub relied_on: Vec<Reliance>,
    /// Belief by the readings relied on.
    pub belief: Belief,
    /// Indices of the explanations still in play by them, likeliest first.
    pub in_play: Vec<usize>,
    /// Probability of the conclusion by them.
    pub of_claim: f64,
    /// Probability of what is in the car by them.
    pub of_truth: f64,
    /// How the conclusion stands to them.
    pub verdict: Verdict,
    /// Number of the note from which on all readings together had proved what is in the car.
    pub proved_by: Option<usize>,
    /// Share of the marks earned.
    pub share: f64,
}

/// Probability from which readings make a conclusion likely.
const LIKELY: f64 = 0.5;
/// Part of the marks for evidence that reading it rightly earns; the other is for having it.
const READ_RIGHTLY: f64 = 0.5;
/// Part that somebody who gives up has of the marks for the evidence they took.
const GIVEN_UP: f64 = 0.5;

/// What evidence is weighed from.
#[derive(Clone, Copy, Debug)]
pub struct Weighing<'a> {
    /// Every explanation.
    pub explanations: &'a [Explanation],
    /// The notebook.
    pub notes: &'a [Note],
    /// Numbers of the notes relied on, in the order of the notebook.
    pub because: &'a [usize],
    /// Those notes weighed.
    pub relied_on: &'a Weighed,
    /// All notes weighed.
    pub all: &'a Weighed,
    /// What was concluded.
    pub claim: Option<&'a Claim>,
    /// What is in the car.
    pub truth: &'a Claim,
    /// The conclusion is right.
    pub is_right: bool,
    /// Probability from which something counts as proved.
    pub sure: f64,
}

impl Evidence {
    /// Weighs the readings relied on.
    ///
    /// Half of the marks are for having evidence: how far the readings relied on go to prove what is in
    /// the car, by bits and by how near they come. The other half goes with it as far as the conclusion
    /// is what those readings make likeliest.
    #[must_use]
    pub fn weigh(with: Weighing<'_>) -> Self {
        let belief = with.relied_on.belief();
        let of_truth = with.truth.probability(&belief);
        let of_claim = with.claim.map_or(0.0, |claim| claim.probability(&belief));
        let relied_on = with.because.iter().enumerate().map(|(index, number)| {
            let at = |readings: usize| {
                let belief = with.relied_on.after(readings);
                with.claim.map_or(0.0, |claim| claim.probability(&belief))
            };
            Reliance {
                number: *number,
                before: at(index),
                after: at(index + 1),
            }
        });
        let verdict = match with.claim {
            None => Verdict::GaveUp,
            Some(_) if with.is_right && of_claim >= with.sure => Verdict::Proved,
            Some(_) if with.is_right && of_claim >= LIKELY => Verdict::Likely,
            Some(_) if with.is_right => Verdict::Lucky,
            Some(_) if of_truth >= LIKELY => Verdict::Misread,
            Some(_) if of_claim >= LIKELY => Verdict::Misled,
            Some(_) => Verdict::Guessed,
        };
        let before = with.truth.probability(&with.all.after(0));
        let wanted_bits = libm::log2(with.sure / before);
        // Half by bits, which count the first steps, half by how near it is to proved.
        let had = |of_truth: f64| {
            let by_bits = proved_share(libm::log2(of_truth / before), wanted_bits);
            let near = (of_truth - before) / (with.sure - before).max(f64::MIN_POSITIVE);
            0.5 * (by_bits + near.clamp(0.0, 1.0))
        };
        let share = match with.claim {
            None => GIVEN_UP * had(of_truth),
            Some(_) => {
                let likeliest = likeliest_mode(with.explanations, &belief);
                let rightly = (of_claim / likeliest).min(1.0);
                had(of_truth) * (1.0 - READ_RIGHTLY + READ_RIGHTLY * rightly)
            }
        };
        Self {
            relied_on: relied_on.collect(),
            in_play: belief.in_play(with.sure),
            of_claim,
            of_truth,
            verdict,
            proved_by: proved_by(&with),
            share,
            belief,
        }
    }
}

/// Probability of the failure mode likeliest to be in the car, alone or with others.
fn likeliest_mode(explanations: &[Explanation], belief: &Belief) -> f64 {
    let nothing = belief.of_mode(explanations, crate::action::NO_FAULT);
    let modes = explanations.iter().filter_map(|one| one.modes.first());
    modes
        .map(|mode| belief.of_mode(explanations, mode))
        .fold(nothing, f64::max)
}

/// The first note from which on what is in the car stayed proved to the end.
fn proved_by(with: &Weighing<'_>) -> Option<usize> {
    let proved = |readings: usize| with.truth.probability(&with.all.after(readings)) >= with.sure;
    let readings = with.all.readings();
    let still = (1..=readings)
        .rev()
        .take_while(|readings| proved(*readings));
    let first = still.last()?;
    with.notes.get(first - 1).map(|note| note.number)
}
