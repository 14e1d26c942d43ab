//! The questions, in their order. Every answer is tried at once by reading the case it makes, so that
//! what is refused is refused with the loader's own reason.

use scenarios::Bank;

use super::NewArgs;
use super::faults;
use crate::author::draft::Draft;
use crate::cli::Streams;
use crate::cli::menu::choose;
use crate::cli::prompt::{Stop, ask, say};

/// A question about one line of a case.
struct Question {
    /// The option that answers it.
    option: &'static str,
    /// What is asked.
    asks: &'static str,
    given: fn(&NewArgs) -> Option<&String>,
    now: fn(&Draft) -> String,
    set: fn(&mut Draft, &str),
    /// Asked for, or only taken from an option.
    is_asked: bool,
}

const VEHICLE: Question = Question {
    option: "--vehicle",
    asks: "Which car?",
    given: |args| args.vehicle.as_ref(),
    now: |draft| draft.vehicle.clone(),
    set: |draft, answer| answer.clone_into(&mut draft.vehicle),
    is_asked: true,
};

const LEVEL: Question = Question {
    option: "--level",
    asks: "How hard is it: 1 for beginners, 2, or 3 for old hands?",
    given: |args| args.level.as_ref(),
    now: |draft| draft.level.clone(),
    set: |draft, answer| answer.clone_into(&mut draft.level),
    is_asked: true,
};

/// What is asked after the fault.
const STORY: [Question; 9] = [
    Question {
        option: "--temperature",
        asks: "How warm is the day? Such as 30 °C, or 28 °C to 34 °C to have it drawn.",
        given: |args| args.temperature.as_ref(),
        now: |draft| draft.temperature.join(" to "),
        set: |draft, answer| draft.temperature = ends(answer),
        is_asked: true,
    },
    Question {
        option: "--humidity",
        asks: "How humid?",
        given: |args| args.humidity.as_ref(),
        now: |draft| draft.humidity.join(" to "),
        set: |draft, answer| draft.humidity = ends(answer),
        is_asked: true,
    },
    Question {
        option: "--sun",
        asks: "How much sun? 0 W/m2 is none, 300 thin cloud, 900 a summer's noon.",
        given: |args| args.sun.as_ref(),
        now: |draft| draft.sun.join(" to "),
        set: |draft, answer| draft.sun = ends(answer),
        is_asked: true,
    },
    Question {
        option: "--customer",
        asks: "Who brings the car?",
        given: |args| args.customer.as_ref(),
        now: |draft| draft.customer.clone(),
        set: |draft, answer| answer.clone_into(&mut draft.customer),
        is_asked: true,
    },
    Question {
        option: "--complaint",
        asks: "What do they say?",
        given: |args| args.complaint.as_ref(),
        now: |draft| draft.complaint.clone(),
        set: |draft, answer| answer.clone_into(&mut draft.complaint),
        is_asked: true,
    },
    Question {
        option: "--title",
        asks: "What is the case called? The learner sees it: give nothing away.",
        given: |args| args.title.as_ref(),
        now: |draft| draft.title.clone(),
        set: |draft, answer| answer.clone_into(&mut draft.title),
        is_asked: true,
    },
    Question {
        option: "--arrival",
        asks: "How does it come in?",
        given: |args| args.arrival.as_ref(),
        now: |draft| draft.arrival.clone(),
        set: |draft, answer| answer.clone_into(&mut draft.arrival),
        is_asked: false,
    },
    Question {
        option: "--mileage",
        asks: "How far has it gone?",
        given: |args| args.mileage.as_ref(),
        now: |draft| draft.mileage.clone(),
        set: |draft, answer| answer.clone_into(&mut draft.mileage),
        is_asked: false,
    },
    Question {
        option: "--shop",
        asks: "Whose shop is it?",
        given: |args| args.shop.as_ref(),
        now: |draft| draft.shop.clone(),
        set: |draft, answer| answer.clone_into(&mut draft.shop),
        is_asked: false,
    },
];

/// One value, or the ends of a range: `28 °C to 34 °C`.
pub(super) fn ends(answer: &str) -> Vec<String> {
    let ends = answer.split(" to ").map(|end| end.trim().to_owned());
    ends.collect()
}

/// Changes a draft where it is still a case afterwards.
///
/// # Errors
/// Why it would be none.
pub(super) fn settle(
    draft: &mut Draft,
    bank: &Bank,
    set: impl FnOnce(&mut Draft),
) -> Result<(), String> {
    let mut tried = draft.clone();
    set(&mut tried);
    match tried.refused(bank, TRIED) {
        Some(why) => Err(why),
        None => {
            *draft = tried;
            Ok(())
        }
    }
}

/// What a case is called while it is tried.
const TRIED: &str = "a-draft";

/// Takes what the options answer.
///
/// # Errors
/// A sentence that names the option.
pub(super) fn options(draft: &mut Draft, bank: &Bank, args: &NewArgs) -> Result<(), String> {
    for question in [&VEHICLE, &LEVEL].into_iter().chain(&STORY) {
        if let Some(answer) = (question.given)(args) {
            question
                .answered(draft, bank, answer)
                .map_err(|why| format!("{}: {why}", question.option))?;
        }
    }
    for line in &args.history {
        settle(draft, bank, |draft| draft.history.push(line.clone()))
            .map_err(|why| format!("--history: {why}"))?;
    }
    faults::options(draft, bank, args)
}

/// Asks what no option answers.
///
/// # Errors
/// [`Stop`] where nobody answers any more.
pub(super) fn ask_all(
    draft: &mut Draft,
    bank: &Bank,
    args: &NewArgs,
    streams: &mut Streams<'_>,
) -> Result<(), Stop> {
    if args.vehicle.is_none() {
        ask_vehicle(draft, bank, streams)?;
    }
    if args.level.is_none() {
        LEVEL.ask(draft, bank, streams)?;
    }
    if args.faults.is_empty() {
        faults::ask_faults(draft, bank, streams)?;
    }
    for question in STORY.iter().filter(|question| question.is_asked) {
        if (question.given)(args).is_none() {
            question.ask(draft, bank, streams)?;
        }
    }
    if args.history.is_empty() {
        ask_history(draft, bank, streams)?;
    }
    Ok(())
}

impl Question {
    fn answered(&self, draft: &mut Draft, bank: &Bank, answer: &str) -> Result<(), String> {
        settle(draft, bank, |draft| (self.set)(draft, answer))
    }

    fn ask(&self, draft: &mut Draft, bank: &Bank, streams: &mut Streams<'_>) -> Result<(), Stop> {
        say(streams, &format!("\n{}\n", self.asks))?;
        loop {
            let answer = ask(streams, &format!("[{}] > ", (self.now)(draft)))?;
            if answer.is_empty() {
                return Ok(());
            }
            match self.answered(draft, bank, &answer) {
                Ok(()) => return Ok(()),
                Err(why) => say(streams, &format!("{why}\n"))?,
            }
        }
    }
}

fn ask_vehicle(draft: &mut Draft, bank: &Bank, streams: &mut Streams<'_>) -> Result<(), Stop> {
    let listed = bank.vehicles().map(|one| {
        let name = format!("{} ({}, {})", one.id, one.name, one.spec.refrigerant);
        (name, one.id.clone())
    });
    let listed: Vec<_> = listed.collect();
    say(streams, "\n")?;
    loop {
        let enter = format!("takes {}", draft.vehicle);
        let Some(answer) = choose(streams, VEHICLE.asks, &listed, &enter)? else {
            return Ok(());
        };
        match VEHICLE.answered(draft, bank, &answer) {
            Ok(()) => return Ok(()),
            Err(why) => say(streams, &format!("{why}\n"))?,
        }
    }
}

fn ask_history(draft: &mut Draft, bank: &Bank, streams: &mut Streams<'_>) -> Result<(), Stop> {
    say(
        streams,
        "\nWhat does the shop know of its past? A line each; Enter alone ends.\n",
    )?;
    loop {
        let line = ask(streams, "[nothing more] > ")?;
        if line.is_empty() {
            return Ok(());
        }
        if let Err(why) = settle(draft, bank, |draft| draft.history.push(line)) {
            say(streams, &format!("{why}\n"))?;
        }
    }
}
