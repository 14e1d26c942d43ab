//! Sheets with blanks to fill in, for what no list of whole actions holds: amounts, and what they are of.

use scenarios::units::UnitSystem;
use sim_core::repair::{JOBS, Job};

use crate::action::{GASES, PHASES};
use crate::bay::Bay;

/// A sheet: its words, what is filled in, and the unit, in the order of [`super::typed::Typed`], are an action.
pub(super) struct Sheet {
    /// The words before the blanks.
    pub begins: String,
    /// What to choose from, before the amount.
    pub what: Option<Pick>,
    pub amount: Option<Amount>,
    /// What to choose from, after the amount.
    pub kind: Option<Pick>,
}

/// A blank that one of a list goes into.
pub(super) struct Pick {
    pub label: &'static str,
    /// As they are typed, and as they are shown.
    pub list: Vec<(String, String)>,
}

/// A blank that a number goes into.
pub(super) struct Amount {
    pub label: &'static str,
    pub unit: &'static str,
}

impl Sheet {
    /// The id of one of its fields on the page.
    pub fn id(&self, field: &str) -> String {
        format!("sheet-{}-{field}", self.begins.replace(' ', "-"))
    }
}

/// A sheet with no blanks yet.
fn begun(begins: impl Into<String>) -> Sheet {
    Sheet {
        begins: begins.into(),
        what: None,
        amount: None,
        kind: None,
    }
}

/// New seals for the joints of a part.
pub(super) fn sealing(job: Job, bay: &Bay) -> Sheet {
    Sheet {
        kind: Some(seals(bay)),
        ..begun(format!("seal {}", job.info().name))
    }
}

/// The joints of a part, made to a torque.
pub(super) fn tightening(job: Job, units: UnitSystem) -> Sheet {
    Sheet {
        amount: torque(units),
        ..begun(format!("torque {}", job.info().name))
    }
}

/// The sheets of a first word on this car.
pub(super) fn sheets(verb: &str, bay: &Bay, units: UnitSystem) -> Vec<Sheet> {
    let amount = |label, si, us| amount(units, label, si, us);
    let sheet = match verb {
        "engine" => Sheet {
            amount: amount("held at", "rpm", "rpm"),
            ..begun(verb)
        },
        "temperature" => Sheet {
            amount: amount("at", "°C", "°F"),
            ..begun(verb)
        },
        "wait" | "recover" => Sheet {
            amount: amount("for", "min", "min"),
            ..begun(verb)
        },
        "charge" => Sheet {
            what: named("what", PHASES),
            amount: amount("how much", "g", "oz"),
            ..begun(verb)
        },
        "press" => Sheet {
            what: named("with", GASES),
            amount: amount("to, on the gauge", "bar", "psi"),
            ..begun(verb)
        },
        "seal" => Sheet {
            what: Some(joints(bay)),
            kind: Some(seals(bay)),
            ..begun(verb)
        },
        "torque" => Sheet {
            what: Some(joints(bay)),
            amount: torque(units),
            ..begun(verb)
        },
        "oil" => {
            let add = Sheet {
                amount: amount("how much", "cm3", "fl oz"),
                kind: Some(oils(bay)),
                ..begun("oil add")
            };
            let drain = Sheet {
                amount: amount("how much", "cm3", "fl oz"),
                ..begun("oil drain")
            };
            return vec![add, drain];
        }
        _ => return Vec::new(),
    };
    vec![sheet]
}

fn amount(
    units: UnitSystem,
    label: &'static str,
    si: &'static str,
    us: &'static str,
) -> Option<Amount> {
    let unit = match units {
        UnitSystem::Si => si,
        UnitSystem::Us => us,
    };
    Some(Amount { label, unit })
}

fn torque(units: UnitSystem) -> Option<Amount> {
    amount(units, "torque", "N m", "lbf ft")
}

fn named<T>(label: &'static str, words: &[(&str, T)]) -> Option<Pick> {
    let list = words.iter().map(|(word, _)| same(word)).collect();
    Some(Pick { label, list })
}

/// What is typed as it is shown, but for its hyphens.
fn same(word: &str) -> (String, String) {
    (word.to_owned(), word.replace('-', " "))
}

/// The parts of this car whose joints the service page has.
fn joints(bay: &Bay) -> Pick {
    let vehicle = bay.workshop().vehicle();
    let has = JOBS
        .iter()
        .filter(|info| vehicle.service.joint(info.job).is_some());
    Pick {
        label: "the joints of",
        list: has.map(|info| same(info.name)).collect(),
    }
}

fn seals(bay: &Bay) -> Pick {
    let seals = bay.workshop().counter().seals.iter();
    let list = seals.map(|seal| (seal.to_string(), seal.to_string()));
    Pick {
        label: "size",
        list: list.collect(),
    }
}

fn oils(bay: &Bay) -> Pick {
    let oils = bay.workshop().counter().oils.iter();
    let list = oils.map(|oil| (oil.id.clone(), oil.name.clone()));
    Pick {
        label: "which oil",
        list: list.collect(),
    }
}
