//! How a conclusion stands to what is in the car.

use scenarios::{Bank, Case, FaultRole, Mode};

use crate::action::{Conclusion, NO_FAULT};
use crate::grade::weights::Weights;

/// Component, mode and cause: right or wrong, each with the words for it.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnosis {
    /// The right component was named.
    pub component: bool,
    /// The right failure mode was named.
    pub mode: bool,
    /// The right root cause was named; `None` where the case has none.
    pub cause: Option<bool>,
    /// Id of the failure mode that is in the car, or `no-fault`.
    pub true_mode: String,
    /// Id of the root cause, where there is one.
    pub true_cause: Option<String>,
    /// What earned or lost the marks, a sentence each.
    pub reasons: Vec<String>,
}

impl Diagnosis {
    /// Share of the diagnosis' marks earned.
    #[must_use]
    pub fn share(&self, weights: &Weights) -> f64 {
        let earned = |right: bool, weight: f64| if right { weight } else { 0.0 };
        let base = earned(self.component, weights.component) + earned(self.mode, weights.mode);
        match self.cause {
            Some(right) => base + earned(right, weights.cause),
            None => base / (weights.component + weights.mode),
        }
    }

    /// Right in everything the case asks for.
    #[must_use]
    pub fn is_right(&self) -> bool {
        self.component && self.mode
    }
}

/// Judges a conclusion.
#[must_use]
pub fn judge(bank: &Bank, case: &Case, conclusion: Option<&Conclusion>) -> Diagnosis {
    let of_role = |role: FaultRole| {
        case.truth()
            .iter()
            .find(|fault| fault.role == role)
            .map(|fault| fault.mode_id.as_str())
    };
    let true_mode = of_role(FaultRole::Fault).unwrap_or(NO_FAULT);
    let true_cause = of_role(FaultRole::Cause);
    let mut judged = Diagnosis {
        component: false,
        mode: false,
        cause: true_cause.map(|_| false),
        true_mode: true_mode.to_owned(),
        true_cause: true_cause.map(str::to_owned),
        reasons: Vec::new(),
    };
    let Some(conclusion) = conclusion else {
        judged.reasons.push(format!(
            "You gave no conclusion. In the car: {}.",
            name_of(bank, true_mode)
        ));
        return judged;
    };
    judge_fault(bank, &mut judged, &conclusion.fault, true_mode, true_cause);
    judge_cause(bank, &mut judged, conclusion.cause.as_deref(), true_cause);
    judged
}

fn judge_fault(
    bank: &Bank,
    judged: &mut Diagnosis,
    named: &str,
    true_mode: &str,
    true_cause: Option<&str>,
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
    } else if Some(named) == true_cause {
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

fn judge_cause(bank: &Bank, judged: &mut Diagnosis, named: Option<&str>, true_cause: Option<&str>) {
    match (named, true_cause) {
        (Some(named), Some(cause)) if named == cause => {
            judged.cause = Some(true);
            judged.reasons.push(format!("Right root cause: {}.", name_of(bank, cause)));
        }
        (Some(named), Some(cause)) => judged.reasons.push(format!(
            "Root cause: you said {}; it was {}. A repair that leaves it comes back.",
            name_of(bank, named),
            name_of(bank, cause)
        )),
        (None, Some(cause)) if judged.cause == Some(false) => judged.reasons.push(format!(
            "Something led to this: {}. You named no root cause; a repair that leaves it comes back.",
            name_of(bank, cause)
        )),
        (Some(named), None) => judged.reasons.push(format!(
            "You also named {} as the root cause; nothing of the kind is in this car. No marks lost.",
            name_of(bank, named)
        )),
        (None, _) => {}
    }
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
