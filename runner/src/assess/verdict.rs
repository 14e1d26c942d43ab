//! What all the tasks of a sitting come to.

use scenarios::form::{Form, Need, NeedOf, Task};

use crate::assess::marked::Marked;
use crate::safety::SlipKind;

/// What a sitting comes to.
#[derive(Clone, Debug, PartialEq)]
pub struct Verdict {
    /// Whether it passes: mark, needs and gate.
    pub passed: bool,
    /// The mark over all tasks, 0 to 100, by their weights.
    pub mark: f64,
    /// Whether the mark is so near to what passes that the panel's own error covers the gap; whoever
    /// decides should know. None where the panel's error is not known.
    pub within_error: Option<bool>,
    /// The gate.
    pub gate: Gate,
    /// What single competencies and topics need, and what they got.
    pub needs: Vec<NeedMet>,
}

/// Safe work: no mark buys it back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Gate {
    /// Whether it is open.
    pub passed: bool,
    /// Unsafe acts that can maim, poison, burn or burst something, in the order they happened.
    pub grave: Vec<SlipKind>,
    /// Others.
    pub light: Vec<SlipKind>,
}

/// A need, and what was got.
#[derive(Clone, Debug, PartialEq)]
pub struct NeedMet {
    /// The need.
    pub need: Need,
    /// The mark, 0 to 100.
    pub mark: f64,
    /// Whether it is enough.
    pub met: bool,
}

/// Cost of a slip from which it is grave: it can maim, poison, burn or burst something (a choice of ours).
const GRAVE_FROM: f64 = 10.0;

impl Gate {
    /// The gate of a form over marked tasks.
    #[must_use]
    pub fn of(form: &Form, marked: &[Marked]) -> Self {
        let slips = marked
            .iter()
            .flat_map(|one| one.parts.slips().iter().copied());
        let (grave, light): (Vec<_>, Vec<_>) = slips.partition(|slip| is_grave(*slip));
        let pass = &form.pass;
        Self {
            passed: grave.len() <= pass.most_grave && grave.len() + light.len() <= pass.most_slips,
            grave,
            light,
        }
    }
}

/// Whether a slip is grave.
#[must_use]
pub fn is_grave(slip: SlipKind) -> bool {
    slip.cost() >= GRAVE_FROM
}

impl Verdict {
    /// The verdict over a form's tasks, as drawn and as marked, in one order.
    #[must_use]
    pub fn of(form: &Form, tasks: &[Task], marked: &[Marked]) -> Self {
        let weighted = |is_of: &dyn Fn(&Marked) -> bool| {
            let of = tasks.iter().zip(marked).filter(|(_, one)| is_of(one));
            let (sum, weights) = of.fold((0.0, 0.0), |(sum, weights), (task, one)| {
                (sum + task.weight * one.mark, weights + task.weight)
            });
            if weights > 0.0 { sum / weights } else { 0.0 }
        };
        let mark = weighted(&|_| true);
        let needs = form.pass.needs.iter().map(|need| {
            let mark = match &need.of {
                NeedOf::Competency(id) => weighted(&|one| one.competencies.contains(id)),
                NeedOf::Topic(id) => weighted(&|one| one.topic.as_ref() == Some(id)),
            };
            NeedMet {
                need: need.clone(),
                mark,
                met: mark >= need.mark,
            }
        });
        let needs: Vec<NeedMet> = needs.collect();
        let gate = Gate::of(form, marked);
        let error = form.pass.standard_error;
        Self {
            passed: mark >= form.pass.mark && gate.passed && needs.iter().all(|need| need.met),
            mark,
            within_error: error.map(|error| (mark - form.pass.mark).abs() <= error),
            gate,
            needs,
        }
    }
}

#[cfg(test)]
mod tests;
