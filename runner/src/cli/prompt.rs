//! A typed session: every question can be answered with a number or in words.

use std::fmt::Write as _;

use scenarios::units::UnitSystem;
use scenarios::{Bank, Case};
use sim_core::instruments::{
    Check, CondenserSide, LEAK_SPOTS, Line, Named, Room, Sense, Spot, Vent, Wheel, sensible,
};

use crate::action::{Action, COMMANDS, METER, NO_FAULT, SCAN};
use crate::bay::Bay;
use crate::cli::columns::{Columns, table};
use crate::cli::practice::{WIDTH, debrief_of};
use crate::cli::work_order::work_order;
use crate::cli::{Streams, catalogue, script};
use crate::show;

/// What can be typed besides actions; it takes no time and is not part of the attempt.
const ASIDES: &[(&str, &str)] = &[
    ("menu", "choose an action by number"),
    ("notes", "the notebook: readings with their numbers"),
    ("suspects", "your suspects and how sure you are"),
    ("setup", "how the car is set up"),
    ("order", "the work order again"),
    ("faults", "names of all faults"),
    ("tools", "the instruments: how to use each, and how not to"),
    ("help", "every action"),
    ("give-up", "end without a conclusion and see the debrief"),
    ("quit", "leave without a debrief"),
];

const OPENING: &str = "\
You are in the bay, the car is parked with its engine off. Type an action, such as
`engine idle` or `look clutch-hub`, or press Enter for a menu to choose from by number.
A first word alone, such as `clamp`, asks what you mean. `help` lists everything.
When you know what is wrong, `conclude`.
";

/// Plays a typed session and returns its last words.
///
/// # Errors
/// A sentence when the terminal fails or the session cannot be graded.
pub fn practise(
    bank: &Bank,
    case: &Case,
    system: UnitSystem,
    streams: &mut Streams<'_>,
) -> Result<String, String> {
    let mut bay = Bay::new(bank, case).map_err(|error| error.to_string())?;
    say(streams, &format!("{}\n{OPENING}", work_order(case, system)))?;
    loop {
        let prompt = format!("\nbay {} > ", show::clock(bay.clock_s()));
        let Some(typed) = ask(streams, &prompt)? else {
            return Ok(left(case, &bay));
        };
        match typed.as_str() {
            "" | "menu" => {
                if let Some(text) = menu(bank, &bay, system, streams)? {
                    do_action(&mut bay, &text, system, streams)?;
                }
            }
            "notes" => say(streams, &notes(&bay, system))?,
            "suspects" => say(streams, &suspects(&bay))?,
            "setup" => say(streams, &format!("{}\n", show::setup(bay.setup(), system)))?,
            "order" => say(streams, &work_order(case, system))?,
            "faults" => say(streams, &catalogue::faults(bank))?,
            "tools" => say(streams, &catalogue::tools(system))?,
            "help" | "?" => say(streams, &help())?,
            "give-up" => return debrief_of(bank, case, &bay, system),
            "quit" | "exit" => return Ok(left(case, &bay)),
            _ => {
                let full = if COMMANDS.iter().any(|command| command.verb == typed) {
                    fill_in(&typed, bank, &bay, system, streams)?
                } else {
                    Some(typed)
                };
                if let Some(text) = full {
                    do_action(&mut bay, &text, system, streams)?;
                }
            }
        }
        if bay.conclusion().is_some() {
            return debrief_of(bank, case, &bay, system);
        }
    }
}

fn left(case: &Case, bay: &Bay) -> String {
    format!(
        "\nYou left case `{}`, seed {}, after {} min. `--seed {}` deals the same car again.\n",
        case.scenario.id,
        case.seed,
        show::clock(bay.clock_s()),
        case.seed
    )
}

fn do_action(
    bay: &mut Bay,
    text: &str,
    system: UnitSystem,
    streams: &mut Streams<'_>,
) -> Result<(), String> {
    let action = match Action::parse(text) {
        Ok(action) => action,
        Err(error) => return say(streams, &format!("{error}\n")),
    };
    let before = bay.setup().clone();
    match bay.act(&action) {
        Ok(outcome) => {
            let told = script::told(&outcome, system);
            let words = if told.is_empty() && *bay.setup() != before {
                format!("      now: {}\n", show::setup(bay.setup(), system))
            } else if told.is_empty() {
                "      done\n".to_owned()
            } else {
                told
            };
            say(streams, &words)
        }
        Err(error) => say(streams, &format!("{error}\n")),
    }
}

/// Lets the learner choose a first word by number, then what follows it.
fn menu(
    bank: &Bank,
    bay: &Bay,
    system: UnitSystem,
    streams: &mut Streams<'_>,
) -> Result<Option<String>, String> {
    let verbs: Vec<String> = COMMANDS
        .iter()
        .map(|command| command.verb.to_owned())
        .collect();
    let rows: Vec<_> = COMMANDS.iter().map(|c| [c.verb, c.does]).collect();
    let columns = Columns::of(0, rows.iter().copied());
    let shown: Vec<String> = rows.iter().map(|row| columns.row(*row)).collect();
    match choose(streams, "What do you do?", &shown, &verbs)? {
        Some(verb) if verbs.contains(&verb) => fill_in(&verb, bank, bay, system, streams),
        // Somebody typed a whole action at the menu.
        other => Ok(other),
    }
}

/// Asks for what follows a first word.
fn fill_in(
    verb: &str,
    bank: &Bank,
    bay: &Bay,
    system: UnitSystem,
    streams: &mut Streams<'_>,
) -> Result<Option<String>, String> {
    match verb {
        "conclude" => return conclude(bank, bay, system, streams),
        "suspect" => return suspect(bank, streams),
        _ => {}
    }
    let choices = choices(verb, bay);
    let follows = COMMANDS
        .iter()
        .find(|command| command.verb == verb)
        .map_or("", |c| c.follows);
    let question = format!("{verb}: {follows}");
    let answer = if choices.is_empty() {
        ask(streams, &format!("{question} > "))?.filter(|answer| !answer.is_empty())
    } else {
        choose(streams, &question, &choices, &choices)?
    };
    // Whoever types a whole action here has changed their mind.
    let first = |answer: &str| answer.split_whitespace().next().map(str::to_owned);
    Ok(answer.map(|answer| {
        let is_action =
            first(&answer).is_some_and(|word| COMMANDS.iter().any(|command| command.verb == word));
        if is_action {
            answer
        } else {
            format!("{verb} {answer}")
        }
    }))
}

/// What can follow a first word on this car.
fn choices(verb: &str, bay: &Bay) -> Vec<String> {
    let names = |list: &[&str]| {
        list.iter()
            .map(|name| (*name).to_owned())
            .collect::<Vec<_>>()
    };
    fn all<T: Named>() -> Vec<String> {
        T::ALL.iter().map(|one| one.name().to_owned()).collect()
    }
    let words = |table: &[(&str, Check)]| {
        table
            .iter()
            .map(|(word, _)| (*word).to_owned())
            .collect::<Vec<_>>()
    };
    match verb {
        "engine" => names(&["off", "idle", "1500 rpm", "2500 rpm"]),
        "ac" | "shop-fan" => names(&["on", "off"]),
        "blower" => (0..=bay.top_blower_step())
            .map(|step| step.to_string())
            .collect(),
        "air" => names(&["recirculate", "fresh"]),
        "temperature" => names(&["cold", "22 °C", "hot"]),
        "doors" => names(&["open", "closed"]),
        "road" => names(&["0 km/h", "30 km/h", "50 km/h", "90 km/h"]),
        "wait" => names(&["30 s", "1 min", "2 min", "5 min", "10 min"]),
        "wear" => names(&["glasses", "gloves"]),
        "gauges" => names(&[
            "zero",
            "connect",
            "open",
            "read",
            "watch",
            "close",
            "disconnect",
        ]),
        "infrared" => Line::ALL
            .iter()
            .filter(|line| bay.has_line(**line))
            .flat_map(|line| ["tape", "bare"].map(|how| format!("{} {how}", line.name())))
            .collect(),
        "tachometer" => all::<Wheel>(),
        "belt-tension" => names(&["right-span", "wrong-span"]),
        "dye" => names(&["add"]),
        "identifier" => names(&["vapour", "cold", "liquid"]),
        "recover" => names(&["5 min", "15 min", "30 min"]),
        "evacuate" => names(&["on", "off"]),
        "charge" => names(&[
            "liquid 300 g",
            "liquid 500 g",
            "vapour 50 g",
            "vapour 100 g",
        ]),
        "vacuum-gauge" => names(&["read"]),
        "clamp" | "loosen" => Line::ALL
            .iter()
            .filter(|line| bay.has_line(**line))
            .map(|l| l.name().to_owned())
            .collect(),
        "thermometer" => all::<Vent>()
            .into_iter()
            .chain(all::<CondenserSide>())
            .collect(),
        "air-speed" => all::<Vent>(),
        "hygrometer" => all::<Room>(),
        "meter" => words(METER),
        "feeler" => names(&["clutch-gap"]),
        "scan" => words(SCAN),
        "leak-search" | "lamp" | "wipe" | "soap" => LEAK_SPOTS
            .iter()
            .filter(|spot| bay.has_spot(**spot))
            .map(|spot| spot.name().to_owned())
            .collect(),
        _ => Sense::by_name(verb).map_or_else(Vec::new, |sense| {
            Spot::ALL
                .iter()
                .filter(|spot| sensible(sense, **spot) && bay.has_spot(**spot))
                .map(|spot| spot.name().to_owned())
                .collect()
        }),
    }
}

/// A component, then what is wrong with it.
fn choose_fault(
    bank: &Bank,
    question: &str,
    none: Option<&str>,
    streams: &mut Streams<'_>,
) -> Result<Option<String>, String> {
    let with_modes: Vec<_> = bank
        .components()
        .iter()
        .filter(|one| {
            bank.catalogue()
                .modes()
                .any(|mode| mode.component.id == one.id)
        })
        .collect();
    let mut shown: Vec<String> = with_modes.iter().map(|one| one.name.clone()).collect();
    let mut ids: Vec<String> = with_modes.iter().map(|one| one.id.clone()).collect();
    if let Some(none) = none {
        shown.push(none.to_owned());
        ids.push(NO_FAULT.to_owned());
    }
    loop {
        let Some(component) = choose(streams, question, &shown, &ids)? else {
            return Ok(None);
        };
        let modes: Vec<_> = bank
            .catalogue()
            .modes()
            .filter(|mode| mode.component.id == component)
            .collect();
        if modes.is_empty() {
            // `no-fault`, or a name typed in full.
            return Ok(Some(component));
        }
        let names: Vec<String> = modes.iter().map(|mode| mode.name.clone()).collect();
        let values: Vec<String> = modes.iter().map(|mode| mode.id.clone()).collect();
        // Going back from here is to the components, as the prompt says.
        if let Some(mode) = choose(streams, "What is wrong with it?", &names, &values)? {
            return Ok(Some(mode));
        }
    }
}

fn suspect(bank: &Bank, streams: &mut Streams<'_>) -> Result<Option<String>, String> {
    let Some(fault) = choose_fault(
        bank,
        "What do you suspect?",
        Some("Nothing is broken"),
        streams,
    )?
    else {
        return Ok(None);
    };
    let answer = ask(streams, "How sure are you, 0 to 100 %? (0 drops it) > ")?.unwrap_or_default();
    if answer.is_empty() {
        return Ok(None);
    }
    let share = if answer.ends_with('%') {
        answer
    } else {
        format!("{answer} %")
    };
    Ok(Some(format!("suspect {fault} {share}")))
}

fn conclude(
    bank: &Bank,
    bay: &Bay,
    system: UnitSystem,
    streams: &mut Streams<'_>,
) -> Result<Option<String>, String> {
    let Some(fault) = choose_fault(bank, "What is wrong?", Some("Nothing is broken"), streams)?
    else {
        return Ok(None);
    };
    let mut text = format!("conclude {fault}");
    let question = "Did something else lead to it? (Enter: no, or none that you know)";
    if fault != NO_FAULT
        && let Some(cause) = choose_fault(bank, question, None, streams)?
    {
        let _ = write!(text, " cause {cause}");
    }
    say(streams, &notes(bay, system))?;
    let text = loop {
        let numbers = ask(
            streams,
            "Numbers of the readings that prove it, such as 2 5 6 > ",
        )?;
        let numbers = numbers.unwrap_or_default().replace(',', " ");
        let full = if numbers.is_empty() {
            text.clone()
        } else {
            format!("{text} because {numbers}")
        };
        match Action::parse(&full) {
            Ok(_) => break full,
            Err(error) => say(streams, &format!("{error}\n"))?,
        }
    };
    say(streams, &format!("{text}\n"))?;
    let sure = ask(streams, "This ends the diagnosis. Sure? yes / no > ")?.unwrap_or_default();
    Ok(matches!(sure.as_str(), "yes" | "y").then_some(text))
}

/// A numbered list; an answer is a number, a name from the list, or any other words as typed. Enter is none.
fn choose(
    streams: &mut Streams<'_>,
    question: &str,
    shown: &[String],
    values: &[String],
) -> Result<Option<String>, String> {
    let mut text = format!("{question}\n");
    for (index, line) in shown.iter().enumerate() {
        let _ = writeln!(text, "  {:>2}  {line}", index + 1);
    }
    say(streams, &text)?;
    let answer = ask(streams, "number or words, Enter to go back > ")?.unwrap_or_default();
    if answer.is_empty() {
        return Ok(None);
    }
    let by_number = answer
        .parse::<usize>()
        .ok()
        .and_then(|number| number.checked_sub(1))
        .and_then(|index| values.get(index));
    Ok(Some(by_number.cloned().unwrap_or(answer)))
}

fn notes(bay: &Bay, system: UnitSystem) -> String {
    if bay.notes().is_empty() {
        return "The notebook is empty: nothing has been read yet.\n".to_owned();
    }
    let mut text = String::new();
    let mut before = String::new();
    for note in bay.notes() {
        let setup = show::setup(&note.setup, system);
        if setup != before {
            let _ = writeln!(text, "  with {setup}");
            before = setup;
        }
        let _ = writeln!(text, "{}", show::note(note, system));
    }
    text
}

fn suspects(bay: &Bay) -> String {
    if bay.suspects().is_empty() {
        return "No suspects yet: `suspect` names one.\n".to_owned();
    }
    let mut text = String::new();
    for (mode, confidence) in bay.suspects() {
        let _ = writeln!(text, "  {:>3.0} %  {mode}", confidence * 100.0);
    }
    text
}

fn help() -> String {
    let mut text = "Actions (each takes time on the shop clock):\n".to_owned();
    let actions: Vec<_> = COMMANDS
        .iter()
        .map(|command| [command.verb, command.follows, command.does])
        .collect();
    text.push_str(&table(2, &actions));
    text.push_str("Besides (no time passes):\n");
    let asides: Vec<_> = ASIDES.iter().map(|(word, does)| [word, does]).collect();
    text.push_str(&table(2, &asides));
    text
}

fn say(streams: &mut Streams<'_>, text: &str) -> Result<(), String> {
    streams
        .output
        .write_all(show::wrapped(text, WIDTH).as_bytes())
        .and_then(|()| streams.output.flush())
        .map_err(|error| format!("the terminal cannot be written to: {error}"))
}

/// A line typed, without its end; `None` when the input has ended.
fn ask(streams: &mut Streams<'_>, prompt: &str) -> Result<Option<String>, String> {
    // As it is: breaking lines would drop the space before the cursor.
    streams
        .output
        .write_all(prompt.as_bytes())
        .and_then(|()| streams.output.flush())
        .map_err(|error| format!("the terminal cannot be written to: {error}"))?;
    let mut line = String::new();
    match streams.input.read_line(&mut line) {
        Ok(0) => Ok(None),
        Ok(_) => Ok(Some(line.trim().to_owned())),
        // Bytes that are no text: an empty answer asks again.
        Err(error) if error.kind() == std::io::ErrorKind::InvalidData => Ok(Some(String::new())),
        Err(error) => Err(format!("the terminal cannot be read: {error}")),
    }
}
