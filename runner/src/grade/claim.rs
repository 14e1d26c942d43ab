//! What a conclusion claims, as a set of explanations.

use scenarios::Bank;

use crate::action::Conclusion;
use crate::evidence::belief::Belief;
use crate::evidence::explanation::Explanation;

/// What a conclusion, or a suspicion, says of the car.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Claim {
    /// Indices of the explanations that agree with it.
    pub explanations: Vec<usize>,
}

impl Claim {
    /// A failure mode, `no-fault`, or a component with the mode left open.
    #[must_use]
    pub fn of_name(bank: &Bank, explanations: &[Explanation], name: &str) -> Self {
        let is_mode = bank.catalogue().get(name).is_some();
        let at = |mode: &String| {
            let mode = bank.catalogue().get(mode);
            mode.is_some_and(|mode| mode.component.id == name)
        };
        Self::picked(explanations, |one| {
            one.holds(name) || !is_mode && one.modes.iter().any(at)
        })
    }

    /// A conclusion: what it names as the fault, whatever else is in the car.
    #[must_use]
    pub fn of_conclusion(
        bank: &Bank,
        explanations: &[Explanation],
        conclusion: &Conclusion,
    ) -> Self {
        Self::of_name(bank, explanations, &conclusion.fault)
    }

    /// Every explanation with one of these modes in it.
    #[must_use]
    pub fn of_modes(explanations: &[Explanation], modes: &[String]) -> Self {
        Self::picked(explanations, |one| modes.iter().any(|mode| one.holds(mode)))
    }

    fn picked(explanations: &[Explanation], pick: impl Fn(&Explanation) -> bool) -> Self {
        let all = explanations.iter().enumerate();
        Self {
            explanations: all
                .filter(|(_, one)| pick(one))
                .map(|(index, _)| index)
                .collect(),
        }
    }

    /// How likely it is.
    #[must_use]
    pub fn probability(&self, belief: &Belief) -> f64 {
        let mine = self.explanations.iter();
        mine.map(|index| belief.probabilities[*index])
            .sum::<f64>()
            .min(1.0)
    }
}
