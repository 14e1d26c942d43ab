//! A typed session: every question can be answered with a number or in words.

use std::fmt::Write as _;

use scenarios::units::UnitSystem;
use scenarios::{Bank, Case};

use crate::action::{Action, COMMANDS, Command, NotAnAction, WORK};
use crate::bay::{Bay, NotTaken, spelt};
use crate::cache::TourCache;
use crate::cli::catalogue::FaultsArgs;
use crate::cli::choices::choices;
use crate::cli::coach::Coach;
use crate::cli::examples::in_units;
use crate::cli::hands::{Hands, Unable};
use crate::cli::menu::{choose, menu};
use crate::cli::naming::{conclude, suspect};
use crate::cli::practice::debrief_of;
use crate::cli::work_order::{label, work_order};
use crate::cli::{Streams, catalogue, help, script};
use crate::show;

/// What can be typed besides actions; it takes no time and is not part of the attempt.
pub(super) const ASIDES: &[(&str, &str)] = &[
    ("menu", "choose an action by number"),
    ("notes", "the notebook: readings with their numbers"),
    ("suspects", "your suspects and how sure you are"),
    ("setup", "how the car is set up"),
    ("order", "the work order again"),
    ("label", "what the label says: refrigerant, charge, oil"),
    (
        "faults",
        "names of all faults; `faults fan-dead` tells of one",
    ),
    (
        "tools",
        "the instruments: how to use each, and how not to; `tools clamp`: one",
    ),
    (
        "help",
        "groups of actions; `help repair`: one; `help clamp`",
    ),
    ("give-up", "end without a conclusion and see the debrief"),
    ("quit", "leave without a debrief"),
];

const OPENING: &str = "\
You are in the bay, the car is parked with its engine off.
Type an action, such as `engine idle` or `look fuse`, or
press Enter for a menu to choose from by number.
A first word alone, such as `clamp`, asks what you mean.
`help` lists what there is. `suspect` says how sure you are
and earns marks, `hint` costs some. When you know what is
wrong, `conclude` because of the readings that show it.
";

const GOING_ON: &str = "\
The session goes on where it broke off; `notes` is the notebook,
`suspects` what you suspected, `setup` how the car is set up.
";

const REPAIR_QUESTION: &str = "Repair the car now? yes / no, Enter for the debrief > ";

const REPAIRING: &str = "\
Put the car right, prove it, and give it back with
`hand-over`; the debrief comes then. `service-data` is
the vehicle's service page. Parts come off with `remove`,
lie beside the counter's with `compare`, and go on with
`fit`. `help repair` lists them, Enter is the menu; every
instrument is at hand. `give-up` ends without handing over.
The maker's procedure, local law and licensed practice
come before anything said here.
";

/// Why a typed session stops without a conclusion.
pub(super) enum Stop {
    /// `quit`, or the end of the input.
    Leave,
    /// `give-up`.
    GiveUp,
    /// Nothing is taken any more, and why.
    Over(String),
    /// The terminal fails.
    Broken(String),
}

/// Plays a typed session and returns its last words.
///
/// # Errors
/// A sentence when the terminal fails or the session cannot be graded.
pub fn practise(
    (bank, case): (&Bank, &Case),
    hands: &mut dyn Hands,
    system: UnitSystem,
    tours: &TourCache,
    streams: &mut Streams<'_>,
) -> Result<String, String> {
    let is_new = hands.bay().is_none_or(|bay| bay.actions().is_empty());
    let opening = if is_new { OPENING } else { GOING_ON };
    std::thread::scope(|scope| {
        let coach = Coach::start(scope, bank, case, tours);
        let desk = Desk {
            bank,
            case,
            coach: Some(&coach),
            system,
        };
        let opening = format!("{}\n{opening}", work_order(case, system));
        let mut stopped = say(streams, &opening);
        if stopped.is_ok() {
            stopped = desk.diagnose(hands, streams);
        }
        if stopped.is_ok() && !hands.bay().is_some_and(Bay::handed_over) {
            stopped = repair(&desk, hands, streams);
        }
        let bay = hands.bay().ok_or("the car is gone")?;
        match stopped {
            Ok(()) | Err(Stop::GiveUp) => {
                say(streams, "\nWeighing your readings ...\n").map_err(|_| "the terminal fails")?;
                let reader = coach.finish();
                debrief_of((bank, case), bay, reader, tours, system, streams)
            }
            Err(Stop::Leave) => {
                coach.leave();
                Ok(left(case, bay))
            }
            Err(Stop::Over(message) | Stop::Broken(message)) => {
                coach.leave();
                Err(message)
            }
        }
    })
}

/// What stands on the desk while somebody works at a car.
pub(super) struct Desk<'a, 'scope> {
    /// What the names mean.
    pub bank: &'a Bank,
    /// The case.
    pub case: &'a Case,
    /// Who answers when a hint is asked for; nobody where there are none.
    pub coach: Option<&'a Coach<'scope>>,
    /// Units shown.
    pub system: UnitSystem,
}

/// The repair, where it is wanted, up to the car's being given back.
fn repair(
    desk: &Desk<'_, '_>,
    hands: &mut dyn Hands,
    streams: &mut Streams<'_>,
) -> Result<(), Stop> {
    loop {
        // Whoever leaves here has concluded, and is owed the debrief.
        let answer = match ask(streams, REPAIR_QUESTION) {
            Err(Stop::Leave | Stop::GiveUp) => return Ok(()),
            answer => answer?,
        };
        match answer.to_lowercase().as_str() {
            "yes" | "y" => break,
            "no" | "n" | "" => return Ok(()),
            _ => {}
        }
    }
    say(streams, REPAIRING)?;
    desk.repair(hands, streams)
}

impl Desk<'_, '_> {
    /// The diagnosis, up to its conclusion.
    pub(super) fn diagnose(
        &self,
        hands: &mut dyn Hands,
        streams: &mut Streams<'_>,
    ) -> Result<(), Stop> {
        self.work(hands, streams, "bay", |bay| bay.conclusion().is_some())
    }

    /// The repair, up to the car's being given back.
    pub(super) fn repair(
        &self,
        hands: &mut dyn Hands,
        streams: &mut Streams<'_>,
    ) -> Result<(), Stop> {
        self.work(hands, streams, "repair", Bay::handed_over)
    }

    /// Takes what is typed until it is enough.
    fn work(
        &self,
        hands: &mut dyn Hands,
        streams: &mut Streams<'_>,
        place: &str,
        enough: impl Fn(&Bay) -> bool,
    ) -> Result<(), Stop> {
        let Self {
            bank, case, system, ..
        } = *self;
        while let Some(bay) = hands.bay()
            && !enough(bay)
        {
            let prompt = format!("\n{place} {} > ", show::clock(bay.clock_s()));
            let typed = ask(streams, &prompt)?;
            // Other words typed at a question are taken as if they had been typed here.
            let mut next = Some(typed);
            while let Some(typed) = next.take()
                && let Some(bay) = hands.bay()
            {
                let word = spelt(&typed);
                if word == "menu" || typed.is_empty() {
                    next = menu(streams)?;
                } else if typed == "?" {
                    next = Some("help".to_owned());
                } else if is_verb(&word) {
                    match fill_in(&word, bank, case, bay, system, streams)? {
                        Answer::Action(text) => self.act(hands, &text, streams)?,
                        Answer::Instead(words) => next = Some(words),
                        Answer::Nothing => {}
                    }
                } else if !aside(&typed, bank, case, bay, system, streams)? {
                    self.act(hands, &typed, streams)?;
                }
            }
        }
        Ok(())
    }

    fn act(
        &self,
        hands: &mut dyn Hands,
        text: &str,
        streams: &mut Streams<'_>,
    ) -> Result<(), Stop> {
        let system = self.system;
        let action = match Action::parse(text) {
            Ok(action) => action,
            Err(error) => {
                let first = text.split_whitespace().next().unwrap_or_default();
                let error = if is_verb(&first.to_lowercase()) {
                    error
                } else {
                    NotAnAction::no_verb(first, &aside_words())
                };
                return say(streams, &in_units(&format!("{error}\n"), system));
            }
        };
        let before = hands.bay().map(|bay| bay.setup().clone());
        match hands.act(&action) {
            Ok(outcome) => {
                let Some(bay) = hands.bay() else {
                    return Ok(());
                };
                let mut told = script::told(&outcome, bay, system);
                let coach = self.coach;
                if action == Action::Hint {
                    say(streams, "      thinking ...\n")?;
                    told.push_str(&coach.map_or(String::new(), |coach| coach.hint(bay)));
                } else if bay.conclusion().is_none() || matches!(action, Action::Conclude(_)) {
                    coach.inspect(|coach| coach.follow(bay));
                }
                let words = if told.is_empty() && Some(bay.setup()) != before.as_ref() {
                    format!("      now: {}\n", show::setup(bay.setup(), system))
                } else if told.is_empty() {
                    "      done\n".to_owned()
                } else {
                    told
                };
                say(streams, &words)
            }
            Err(Unable::NotTaken(why)) => say(streams, &in_units(&format!("{why}\n"), system)),
            Err(Unable::Over(why)) => Err(Stop::Over(why)),
            Err(Unable::NotKept(why)) => Err(Stop::Broken(why)),
        }
    }
}

/// Answers what takes no time on the shop clock; false where it is something else.
fn aside(
    typed: &str,
    bank: &Bank,
    case: &Case,
    bay: &Bay,
    system: UnitSystem,
    streams: &mut Streams<'_>,
) -> Result<bool, Stop> {
    let text = match spelt(typed).as_str() {
        "notes" => notes(bay, system),
        "suspects" => suspects(bay),
        "setup" => format!("{}\n", show::setup(bay.setup(), system)),
        "order" => work_order(case, system),
        "label" | "look-label" => label(case, system),
        "faults" => catalogue::faults(bank, streams.width),
        "tools" => catalogue::tools(system),
        "help" => in_units(&help::groups(streams.width), system),
        "give-up" => return Err(Stop::GiveUp),
        "quit" => return Err(Stop::Leave),
        _ => match about(typed, bank, system, streams.width) {
            Some(text) => text,
            None => return Ok(false),
        },
    };
    say(streams, &text)?;
    Ok(true)
}

/// `help clamp`, `tools clamp`, `faults fan-dead`: an aside about one word.
fn about(typed: &str, bank: &Bank, system: UnitSystem, width: usize) -> Option<String> {
    let (aside, word) = typed.split_once(char::is_whitespace)?;
    let word = spelt(word);
    let text = match aside.to_lowercase().as_str() {
        "help" => help::on(&word, width),
        "tools" => catalogue::tools_of(&word, system)
            .ok_or_else(|| format!("No tool is called `{word}`; `tools` tells of them all.")),
        "faults" => catalogue::browse(
            bank,
            &FaultsArgs {
                id: Some(word),
                component: None,
            },
            width,
        ),
        _ => return None,
    };
    Some(in_units(&text.unwrap_or_else(|error| error + "\n"), system))
}

pub(super) fn aside_words() -> Vec<&'static str> {
    ASIDES.iter().map(|(word, _)| *word).collect()
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

/// Every command: of the diagnosis, then of the repair.
pub(super) fn commands() -> impl Iterator<Item = &'static Command> {
    COMMANDS.iter().chain(WORK)
}

fn is_verb(word: &str) -> bool {
    commands().any(|command| command.verb == word)
}

/// What came of a question about an action.
pub(super) enum Answer {
    /// The whole action.
    Action(String),
    /// Other words altogether: whoever typed them has changed their mind.
    Instead(String),
    /// Going back.
    Nothing,
}

/// Whether words typed at a question are an action of their own, or an aside.
pub(super) fn is_something_else(words: &str) -> bool {
    let first = words.split_whitespace().next().unwrap_or_default();
    let known = |word: &str| is_verb(word) || aside_words().contains(&word);
    known(&spelt(first)) || known(&spelt(words))
}

/// Asks for what follows a first word.
fn fill_in(
    verb: &str,
    bank: &Bank,
    case: &Case,
    bay: &Bay,
    system: UnitSystem,
    streams: &mut Streams<'_>,
) -> Result<Answer, Stop> {
    if bay.conclusion().is_some() && matches!(verb, "conclude" | "suspect" | "hint") {
        say(streams, &format!("{}\n", NotTaken::Concluded))?;
        return Ok(Answer::Nothing);
    }
    match verb {
        "conclude" => return conclude(bank, case, bay, system, streams),
        "suspect" => return suspect(bank, case, bay, streams),
        "hint" | "service-data" | "call-in" | "turn-hub" | "hand-over" => {
            return Ok(Answer::Action(verb.to_owned()));
        }
        _ => {}
    }
    let choices: Vec<String> = choices(verb, bay)
        .iter()
        .map(|choice| in_units(choice, system))
        .collect();
    let follows = commands()
        .find(|command| command.verb == verb)
        .map_or("", |c| c.follows);
    let question = in_units(&format!("{verb}: {follows}"), system);
    let answer = if choices.is_empty() {
        Some(ask(streams, &format!("{question} > "))?).filter(|answer| !answer.is_empty())
    } else {
        let listed: Vec<_> = choices
            .iter()
            .map(|one| (one.clone(), one.clone()))
            .collect();
        choose(streams, &question, &listed, "to go back")?
    };
    let Some(answer) = answer else {
        return Ok(Answer::Nothing);
    };
    // What completes the action is meant so, whatever else it may be: `blower` is a spot, too.
    let whole = format!("{verb} {answer}");
    if Action::parse(&whole).is_err() && is_something_else(&answer) {
        return Ok(Answer::Instead(answer));
    }
    Ok(Answer::Action(whole))
}

/// The notebook.
pub(super) fn notes(bay: &Bay, system: UnitSystem) -> String {
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

/// Says something, its lines broken to fit.
pub(super) fn say(streams: &mut Streams<'_>, text: &str) -> Result<(), Stop> {
    streams
        .output
        .write_all(show::wrapped(text, streams.width).as_bytes())
        .and_then(|()| streams.output.flush())
        .map_err(|error| Stop::Broken(format!("the terminal cannot be written to: {error}")))
}

/// A line typed, without its end. Whoever wants to leave can do so at any question.
pub(super) fn ask(streams: &mut Streams<'_>, prompt: &str) -> Result<String, Stop> {
    // As it is: breaking lines would drop the space before the cursor.
    streams
        .output
        .write_all(prompt.as_bytes())
        .and_then(|()| streams.output.flush())
        .map_err(|error| Stop::Broken(format!("the terminal cannot be written to: {error}")))?;
    let mut line = String::new();
    match streams.input.read_line(&mut line) {
        Ok(0) => return Err(Stop::Leave),
        Ok(_) => {}
        // Bytes that are no text: an empty answer asks again.
        Err(error) if error.kind() == std::io::ErrorKind::InvalidData => line.clear(),
        Err(error) => {
            return Err(Stop::Broken(format!(
                "the terminal cannot be read: {error}"
            )));
        }
    }
    let typed = line.trim();
    if !streams.input_is_terminal {
        // What comes from a file nobody has seen typed.
        say(streams, &format!("{typed}\n"))?;
    }
    match spelt(typed).as_str() {
        "quit" | "exit" => Err(Stop::Leave),
        "give-up" => Err(Stop::GiveUp),
        _ => Ok(typed.to_owned()),
    }
}
