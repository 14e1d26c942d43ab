//! What can be done at a car, as lists to choose from.

use scenarios::units::UnitSystem;

use crate::action::{Action, COMMANDS, Command, KINDS, WORK};
use crate::advice::Advice;
use crate::bay::Bay;
use crate::cli::choices::{choices, removable};
use crate::cli::examples::in_units;
use crate::page::blanks::{Sheet, sheets};
use crate::safety::SlipKind;

/// A first word with what can follow it.
pub(super) struct Offer {
    pub verb: &'static str,
    pub does: &'static str,
    /// What to heed before it.
    pub heed: Option<&'static str>,
    /// What follows it, in words, where something does.
    pub follows: &'static str,
    pub choices: Vec<Choice>,
    pub sheets: Vec<Sheet>,
}

/// A kind of work.
pub(super) struct Kind {
    pub words: &'static str,
    pub offers: Vec<Offer>,
}

/// A whole action to choose.
pub(super) struct Choice {
    pub words: String,
    pub shown: String,
    /// It has been done: the button stays, so that no other one comes under the finger.
    pub is_done: bool,
}

/// A control of the car or of what stands around it, and what it can be set to.
pub(super) struct Control {
    pub verb: &'static str,
    pub does: &'static str,
    pub choices: Vec<Setting>,
    pub sheets: Vec<Sheet>,
}

/// What a control can be set to.
pub(super) struct Setting {
    pub words: String,
    pub shown: String,
    /// It is set so.
    pub is_now: bool,
}

/// First words that have places of their own on the page.
const ELSEWHERE: [&str; 3] = ["conclude", "suspect", "hand-over"];
/// The first word of a hint.
const HINT: &str = "hint";
/// The group that controls are in.
const CAR: &str = "car";

/// The controls of this car, and how they are set.
pub(super) fn controls(bay: &Bay, units: UnitSystem) -> Vec<Control> {
    let car = KINDS.iter().filter(|kind| kind.group == CAR);
    let offers = car
        .flat_map(|kind| kind.verbs)
        .filter_map(|verb| offer(verb, bay, units));
    let control = |offer: Offer| Control {
        verb: offer.verb,
        does: offer.does,
        sheets: offer.sheets,
        choices: offer
            .choices
            .into_iter()
            .map(|Choice { words, shown, .. }| Setting {
                is_now: is_now(&words, bay),
                words,
                shown,
            })
            .collect(),
    };
    offers.map(control).collect()
}

/// Whether turning a control so changes nothing.
fn is_now(words: &str, bay: &Bay) -> bool {
    let Ok(Action::Turn(control)) = Action::parse(words) else {
        return false;
    };
    let mut session = bay.session().clone();
    session.turn(&control).is_ok() && session.setup() == bay.setup()
}

/// Kinds of work at this car: those of the diagnosis, and once it is concluded those of the repair. A hint is among
/// them where it may be asked for.
pub(super) fn kinds(bay: &Bay, hints: bool, units: UnitSystem) -> Vec<Kind> {
    let kinds = KINDS.iter().filter(|kind| kind.group != CAR).map(|kind| {
        let verbs = kind
            .verbs
            .iter()
            .filter(|verb| !ELSEWHERE.contains(*verb))
            .filter(|verb| hints || **verb != HINT)
            .filter(|verb| bay.conclusion().is_some() || is_diagnosis(verb));
        Kind {
            words: kind.words,
            offers: verbs.filter_map(|verb| offer(verb, bay, units)).collect(),
        }
    });
    kinds.filter(|kind| !kind.offers.is_empty()).collect()
}

fn is_diagnosis(verb: &str) -> bool {
    COMMANDS.iter().any(|command| command.verb == verb)
}

fn offer(verb: &str, bay: &Bay, units: UnitSystem) -> Option<Offer> {
    let mut all = COMMANDS.iter().chain(WORK);
    let Command {
        verb,
        follows,
        does,
    } = *all.find(|command| command.verb == verb)?;
    let left = choices(verb, bay);
    let listed = match verb {
        "remove" => removable(bay),
        _ => left.clone(),
    };
    let choice = |one: String| {
        let shown = in_units(&one, units);
        Choice {
            words: format!("{verb} {shown}"),
            shown: shown.replace('-', " "),
            is_done: !left.contains(&one),
        }
    };
    Some(Offer {
        verb,
        does,
        follows,
        choices: listed.into_iter().map(choice).collect(),
        heed: heed(verb),
        sheets: sheets(verb, bay, units),
    })
}

/// What is to be heeded before a first word is used: cautions of actions that hurt somebody at once.
pub(super) fn heed(verb: &str) -> Option<&'static str> {
    match verb {
        "loosen" | "remove" | "seal" => Some(SlipKind::OpenedChargedLoop.caution()),
        "press" => Some(Advice::BottleAtLoop.words()),
        _ => None,
    }
}
