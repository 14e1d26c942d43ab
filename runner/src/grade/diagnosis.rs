//! How a conclusion stands to what is in the car.

use scenarios::{Bank, Case, DiagnosisShares, FaultRole, Mode};

use crate::action::{Conclusion, NO_FAULT};

/// Component, mode and cause: right or wrong, each with the words for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// The right component was named.
    pub component: bool,
    /// The right failure mode was named.
    pub mode: bool,
    /// The right root cause, or the other fault of two, was named; `None` where there is neither.
    pub cause: Option<bool>,
    /// Id of the failure mode that is in the car, or `no-fault`.
    pub true_mode: String,
    /// Id of the root cause, or of the other fault, where there is one.
    pub true_cause: Option<String>,
    /// What earned or lost the marks, a sentence each.
    pub reasons: Vec<String>,
}

impl Diagnosis {
    /// Share of the diagnosis' marks earned.
    #[must_use]
    pub fn share(&self, shares: &DiagnosisShares) -> f64 {
        let earned = |right: bool, share: f64| if right { share } else { 0.0 };
        let base = earned(self.component, shares.component) + earned(self.mode, shares.mode);
        match self.cause {
            Some(right) => base + earned(right, shares.cause),
            None => base / (shares.component + shares.mode),
        }
    }

    /// Right in everything the case asks for.
    #[must_use]
    pub fn is_right(&self) -> bool {
        self.component && self.mode
    }
}

/// What is in a car besides the fault a conclusion is held to.
#[derive(Clone, Copy, Debug)]
enum Second<'a> {
    /// It led to that fault.
    Cause(&'a str),
    /// A fault of its own.
    Fault(&'a str),
}

impl<'a> Second<'a> {
    fn id(self) -> &'a str {
        match self {
            Self::Cause(id) | Self::Fault(id) => id,
        }
    }
}

/// Judges a conclusion. Where a car has several faults, or several causes, each serves as well as the
/// others, and the order in which two are named does not matter. `alike` are faults that no check on
/// this car tells from what is in it: they count as right.
#[must_use]
pub fn judge(
    bank: &Bank,
    case: &Case,
    conclusion: Option<&Conclusion>,
    alike: &[String],
) -> Diagnosis {
    let of_role = |role: FaultRole| {
        let truth = case.truth().iter().filter(move |fault| fault.role == role);
        truth
            .map(|fault| fault.mode_id.as_str())
            .collect::<Vec<_>>()
    };
    let (faults, causes) = (of_role(FaultRole::Fault), of_role(FaultRole::Cause));
    let named = conclusion.map(|conclusion| conclusion.fault.as_str());
    let named_second = conclusion.and_then(|conclusion| conclusion.cause.as_deref());
    let held_to = faults.iter().copied().find(|id| Some(*id) == named);
    let true_mode = held_to
        .or_else(|| faults.first().copied())
        .unwrap_or(NO_FAULT);
    let seconds: Vec<Second<'_>> = causes
        .iter()
        .map(|id| Second::Cause(id))
        .chain(
            faults
                .iter()
                .filter(|id| **id != true_mode)
                .map(|id| Second::Fault(id)),
        )
        .collect();
    let is_named = |second: &&Second<'_>| [named, named_second].contains(&Some(second.id()));
    let second = seconds.iter().find(is_named).or(seconds.first()).copied();
    let mut judged = Diagnosis {
        component: false,
        mode: false,
        cause: second.map(|_| false),
        true_mode: true_mode.to_owned(),
        true_cause: second.map(|second| second.id().to_owned()),
        reasons: Vec::new(),
    };
    let Some(conclusion) = conclusion else {
        judged.reasons.push(format!(
            "You gave no conclusion. In the car: {}.",
            name_of(bank, true_mode)
        ));
        return judged;
    };
    if alike.contains(&conclusion.fault) {
        judged.component = true;
        judged.mode = true;
        judged.reasons.push(format!(
            "Counts as right: no check on this car tells {} from {}, which is in it.",
            name_of(bank, &conclusion.fault),
            name_of(bank, true_mode)
        ));
    } else {
        judge_fault(bank, &mut judged, &conclusion.fault, true_mode, second);
    }
    judge_second(bank, &mut judged, named_second, second);
    judged
}

fn judge_fault(
    bank: &Bank,
    judged: &mut Diagnosis,
    named: &str,
    true_mode: &str,
    second: Option<Second<'_>>,
) {
    let said = name_of(bank, named);
    let is = name_of(bank, true_mode);
    if named == true_mode {
        judged.component = true;
        judged.mode = true;
        judged.reasons.push(format!("Right: {is}."));
        return;
    }
    let component = |id: &str| {
        bank.catalogue()
            .get(id)
            .map(|mode| mode.component.id.clone())
    };
    // A learner may name a component and leave the mode open.
    let named_component = component(named).unwrap_or_else(|| named.to_owned());
    if Some(&named_component) == component(true_mode).as_ref() {
        judged.component = true;
        let component_name = bank
            .catalogue()
            .get(true_mode)
            .map_or("", |mode| mode.component.name.as_str());
        judged.reasons.push(if named_component == named {
            format!(
                "The component is right ({component_name}); what is wrong with it you left open. In the car: {is}."
            )
        } else {
            format!(
                "The component is right ({component_name}), what is wrong with it is not: you said {said}; in the car: {is}."
            )
        });
    } else if Some(named) == second.map(Second::id) {
        // Part of the chain, but not what has to be named first.
        judged.cause = Some(true);
        judged.reasons.push(format!(
            "You named what lies behind it ({said}) and not what it led to: {is}. That earns the cause's part."
        ));
    } else {
        judged
            .reasons
            .push(format!("Not right: you said {said}; in the car: {is}."));
    }
}

fn judge_second(
    bank: &Bank,
    judged: &mut Diagnosis,
    named: Option<&str>,
    second: Option<Second<'_>>,
) {
    let name = |id: &str| name_of(bank, id);
    let already = judged.cause == Some(true);
    let reason = match (named, second) {
        (Some(named), Some(second)) if named == second.id() => {
            judged.cause = Some(true);
            match second {
                Second::Cause(id) => format!("Right root cause: {}.", name(id)),
                Second::Fault(id) => format!("Right as well: {}.", name(id)),
            }
        }
        (Some(named), Some(Second::Cause(id))) if already && named == judged.true_mode => {
            judged.component = true;
            judged.mode = true;
            format!(
                "Both are in the car, the other way round: {} led to {}.",
                name(id),
                name(named)
            )
        }
        (Some(named), Some(Second::Cause(id))) => format!(
            "Root cause: you said {}; it was {}. A repair that leaves it comes back.",
            name(named),
            name(id)
        ),
        (Some(named), Some(Second::Fault(id))) => format!(
            "You also named {}; what else is wrong with this car is {}. A repair that leaves it comes back.",
            name(named),
            name(id)
        ),
        (None, Some(_)) if already => return,
        (None, Some(Second::Cause(id))) => format!(
            "Something led to this: {}. You named no root cause; a repair that leaves it comes back.",
            name(id)
        ),
        (None, Some(Second::Fault(id))) => format!(
            "Something else is wrong with this car: {}. You did not name it; a repair that leaves it comes back.",
            name(id)
        ),
        (Some(named), None) => format!(
            "You also named {} as the root cause; nothing of the kind is in this car. No marks lost.",
            name(named)
        ),
        (None, None) => return,
    };
    judged.reasons.push(reason);
}

/// Plain name of a failure mode, a component or a car without a fault.
#[must_use]
pub fn name_of(bank: &Bank, id: &str) -> String {
    if id == NO_FAULT {
        return "nothing is broken".to_owned();
    }
    let mode = bank
        .catalogue()
        .get(id)
        .map(|mode: &Mode| lower_first(&mode.name));
    let component = || {
        bank.components()
            .iter()
            .find(|one| one.id == id)
            .map(|one| lower_first(&one.name))
    };
    mode.or_else(component).unwrap_or_else(|| id.to_owned())
}

/// A name as it stands inside a sentence.
fn lower_first(name: &str) -> String {
    let mut letters = name.chars();
    match (letters.next(), letters.clone().next()) {
        // An abbreviation keeps its capitals.
        (Some(first), Some(second)) if second.is_lowercase() => {
            first.to_lowercase().chain(letters).collect()
        }
        _ => name.to_owned(),
    }
}
