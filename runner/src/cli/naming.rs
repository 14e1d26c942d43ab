//! Questions that name a fault: what is suspected, what is concluded and what led to it.
//! Every answer is checked where it is given, so that no later question can be left in a trap.

use std::fmt::Write as _;

use scenarios::units::UnitSystem;
use scenarios::{Bank, Case, Mode};

use crate::action::{Action, NO_FAULT};
use crate::bay::{Bay, spelt};
use crate::cli::Streams;
use crate::cli::menu::choose;
use crate::cli::prompt::{Answer, Stop, ask, is_something_else, notes, say};

/// What a fault is asked for.
struct Question<'a> {
    words: &'a str,
    /// What Enter means at the components.
    enter: &'a str,
    /// Whether nothing at all may be broken.
    nothing: bool,
}

/// What came of a question for a fault.
enum Named {
    /// The id of a fault or a component.
    Fault(String),
    /// Other words altogether.
    Instead(String),
    /// None, or going back.
    Nothing,
}

/// A component, then what is wrong with it; none where Enter is pressed at the components.
fn choose_fault(
    bank: &Bank,
    case: &Case,
    bay: &Bay,
    question: &Question<'_>,
    streams: &mut Streams<'_>,
) -> Result<Named, Stop> {
    // What this car cannot have, for want of the part, would only send somebody astray.
    let concerned: Vec<&Mode> = bank
        .catalogue()
        .modes()
        .filter(|mode| mode.concerns(&case.healthy))
        .collect();
    let modes_of = |id: &str| {
        concerned
            .iter()
            .filter(|mode| mode.component.id == id)
            .map(|mode| (mode.name.clone(), mode.id.clone()))
            .collect::<Vec<_>>()
    };
    let mut components: Vec<(String, String)> = bank
        .components()
        .iter()
        .filter(|one| !modes_of(&one.id).is_empty())
        .map(|one| (one.name.clone(), one.id.clone()))
        .collect();
    if question.nothing {
        components.push(("Nothing is broken".to_owned(), NO_FAULT.to_owned()));
    }
    loop {
        let Some(answer) = choose(streams, question.words, &components, question.enter)? else {
            return Ok(Named::Nothing);
        };
        // A cause is asked for with a question that `no` answers.
        if !question.nothing && matches!(spelt(&answer).as_str(), "no" | "none") {
            return Ok(Named::Nothing);
        }
        let id = match component_or_fault(&components, bay, question, &answer, streams)? {
            Named::Fault(id) => id,
            Named::Nothing => continue,
            instead @ Named::Instead(_) => return Ok(instead),
        };
        let modes = modes_of(&id);
        if modes.is_empty() {
            return Ok(Named::Fault(id));
        }
        // Going back from here is to the components, as the prompt says.
        while let Some(answer) = choose(streams, "What is wrong with it?", &modes, "to go back")? {
            match component_or_fault(&modes, bay, question, &answer, streams)? {
                Named::Nothing => {}
                named => return Ok(named),
            }
        }
    }
}

/// The id an answer stands for, by the list or by any fault's name; says why where it is neither.
fn component_or_fault(
    list: &[(String, String)],
    bay: &Bay,
    question: &Question<'_>,
    answer: &str,
    streams: &mut Streams<'_>,
) -> Result<Named, Stop> {
    let wanted = spelt(answer);
    let listed = list
        .iter()
        .find(|(name, id)| *id == wanted || spelt(name) == wanted);
    if let Some((_, id)) = listed {
        return Ok(Named::Fault(id.clone()));
    }
    match bay.fault_id(&wanted) {
        Ok(id) if question.nothing || id != NO_FAULT => Ok(Named::Fault(id)),
        Ok(_) => {
            say(streams, "Nothing broken leads to no fault: name one.\n")?;
            Ok(Named::Nothing)
        }
        Err(_) if is_something_else(answer) => Ok(Named::Instead(answer.to_owned())),
        Err(error) => {
            say(streams, &format!("{error}\n"))?;
            Ok(Named::Nothing)
        }
    }
}

/// Asks for a suspect and how sure one is.
pub(super) fn suspect(
    bank: &Bank,
    case: &Case,
    bay: &Bay,
    streams: &mut Streams<'_>,
) -> Result<Answer, Stop> {
    let question = Question {
        words: "What do you suspect?",
        enter: "to go back",
        nothing: true,
    };
    let fault = match choose_fault(bank, case, bay, &question, streams)? {
        Named::Fault(id) => id,
        Named::Instead(words) => return Ok(Answer::Instead(words)),
        Named::Nothing => return Ok(Answer::Nothing),
    };
    loop {
        let answer = ask(streams, "How sure are you, 0 to 100 %? (0 drops it) > ")?;
        if answer.is_empty() {
            return Ok(Answer::Nothing);
        }
        let text = format!("suspect {fault} {answer}");
        match Action::parse(&text) {
            Ok(_) => return Ok(Answer::Action(text)),
            Err(_) if is_something_else(&answer) => return Ok(Answer::Instead(answer)),
            Err(error) => say(streams, &format!("{error}\n"))?,
        }
    }
}

/// Asks for all that a conclusion has, and whether it is meant.
pub(super) fn conclude(
    bank: &Bank,
    case: &Case,
    bay: &Bay,
    system: UnitSystem,
    streams: &mut Streams<'_>,
) -> Result<Answer, Stop> {
    let what = Question {
        words: "What is wrong?",
        enter: "to go back",
        nothing: true,
    };
    let fault = match choose_fault(bank, case, bay, &what, streams)? {
        Named::Fault(id) => id,
        Named::Instead(words) => return Ok(Answer::Instead(words)),
        Named::Nothing => return Ok(Answer::Nothing),
    };
    let mut text = format!("conclude {fault}");
    let cause = Question {
        words: "Did something else lead to it?",
        enter: "for no, or none that you know",
        nothing: false,
    };
    if fault != NO_FAULT {
        match choose_fault(bank, case, bay, &cause, streams)? {
            Named::Fault(cause) => {
                let _ = write!(text, " cause {cause}");
            }
            Named::Instead(words) => return Ok(Answer::Instead(words)),
            Named::Nothing => {}
        }
    }
    say(streams, &notes(bay, system))?;
    let text = loop {
        let question = "Numbers of the readings that prove it, such as 2 5 6 (Enter: none) > ";
        let numbers = ask(streams, question)?.replace(',', " ");
        let full = if numbers.is_empty() {
            text.clone()
        } else {
            format!("{text} because {numbers}")
        };
        let checked = Action::parse(&full)
            .map_err(|error| error.to_string())
            .and_then(|action| bay.resolved(&action).map_err(|error| error.to_string()));
        match checked {
            Ok(action) => break action.to_string(),
            Err(_) if is_something_else(&numbers) => return Ok(Answer::Instead(numbers)),
            Err(error) => say(streams, &format!("{error}\n"))?,
        }
    };
    say(streams, &format!("{text}\n"))?;
    loop {
        let sure = ask(streams, "This ends the diagnosis. Sure? yes / no > ")?;
        match sure.to_lowercase().as_str() {
            "yes" | "y" => return Ok(Answer::Action(text)),
            "no" | "n" | "" => return Ok(Answer::Nothing),
            other if is_something_else(other) => return Ok(Answer::Instead(sure)),
            _ => {}
        }
    }
}
