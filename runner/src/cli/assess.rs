//! `coldtrail assess`: a form's tasks one after the other, every step written down before it is shown.

use std::path::Path;

use clap::Args;
use scenarios::form::Form;
use scenarios::{Case, Library};

use crate::action::Action;
use crate::assess::{Given, Marked, Refused, Sitting, Step, Taken, Verdict};
use crate::assess::{rules_page, verdict_page};
use crate::bay::{Bay, Outcome};
use crate::cache::TourCache;
use crate::cli::bar::Bar;
use crate::cli::coach::Coach;
use crate::cli::columns::table;
use crate::cli::hands::{Hands, Unable};
use crate::cli::prompt::{Desk, Stop, ask, say};
use crate::cli::records::OfficeArgs;
use crate::cli::work_order::work_order;
use crate::cli::{EXIT_OK, Streams, Units};
use crate::invigilate::kept::{InOffice, Keeper, Kept, NotTaken, NothingKept, Words, take};
use crate::invigilate::{marking, open};
use crate::records::office::now_ms;
use crate::records::{Entry, Office};
use crate::{knowledge, show};

/// What `coldtrail assess` is asked.
#[derive(Args, Clone, Debug)]
pub struct AssessArgs {
    /// The form, by its id or as a TOML file; left out, all there are are listed
    pub form: Option<String>,
    /// Who sits it
    #[arg(long, value_name = "NAME")]
    pub candidate: Option<String>,
    /// Units to show
    #[arg(long, value_enum, default_value = "si")]
    pub units: Units,
    /// Number that deals the tasks when it is for practice; the same number deals them again
    #[arg(long, conflicts_with = "candidate")]
    pub seed: Option<u64>,
    /// Deal another sitting to a candidate who has finished this form
    #[arg(long, requires = "candidate")]
    pub again: bool,
    /// Where records are kept
    #[command(flatten)]
    pub at: OfficeArgs,
}

/// What is said where a sitting is on a machine of the candidate's own.
const PRACTICE: &str = "\
This is practice: it is dealt and marked on this machine, where its
answers are, so it earns no verdict and nothing is kept.
";

const OPENING: &str = "\
You are in the bay, the car is parked with its engine off.
Type an action, or press Enter for a menu; `help` lists what
there is. `suspect` says how sure you are. `conclude` what is
wrong, because of the readings that show it. The maker's
procedure, local law and licensed practice come first.
";

const REPAIRING: &str = "
Put the car right, prove it, and give it back with `hand-over`.
`service-data` is the vehicle's service page; `help repair` lists
the work. `give-up` goes on without giving it back. The maker's
procedure, local law and licensed practice come first.
";

/// Sits a form, or lists them.
///
/// # Errors
/// A sentence saying why it cannot be sat.
pub fn run(
    library: &Library,
    args: &AssessArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let Some(name) = &args.form else {
        return Ok((list(library, streams.width), EXIT_OK));
    };
    let own = with_own(library, name)?;
    let library = own.as_ref().map_or(library, |(library, _)| library);
    let id = own.as_ref().map_or(name.as_str(), |(_, id)| id);
    let form = form_of(library, id)?;
    let office = args.at.office(streams)?;
    let tours = TourCache::new(streams.cache.clone());
    match (office, &args.candidate) {
        (Some(office), Some(name)) => {
            let sits = (name.as_str(), args.again);
            let (mut sitting, mut kept) =
                open::open((library, form), &office, sits, args.units.into(), now_ms())?;
            kept_sitting((&mut sitting, &mut kept), &office, &tours, streams)
        }
        (None, Some(_)) if args.at.records.is_some() => Err(
            "there is no office in that folder: `coldtrail records new --records FOLDER` sets one up"
                .to_owned(),
        ),
        _ => practice((library, form), args, &tours, streams),
    }
}

/// A sitting that is kept.
fn kept_sitting(
    (sitting, kept): (&mut Sitting<'_>, &mut Kept),
    office: &Office,
    tours: &TourCache,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let form = sitting.form();
    let told = show::filled(&kept.told(), streams.width);
    let rules = format!("{}\n{told}", rules_page(form, streams.width));
    let ended = {
        let mut sat = Sat {
            sitting,
            keeper: &mut InOffice { office, kept },
        };
        sit(&mut sat, &rules, tours, streams)
    };
    if kept.clock_set_back {
        let _ = writeln!(
            streams.errors,
            "note: the clock on the wall was set back during this sitting; its entries keep the later time"
        );
    }
    match ended {
        Ok(()) => {}
        Err(Stop::Leave | Stop::GiveUp) => {
            let said = "\nYou left. All you did is kept: the same command goes on where you are, and the clock on the wall runs on.\n";
            return Ok((show::wrapped(said, streams.width), EXIT_OK));
        }
        Err(Stop::Over(why) | Stop::Broken(why)) => return Err(why),
    }
    let (marked, verdict) = marked(sitting, tours)?;
    let told = (&*marked, &verdict);
    marking::finish(office, (sitting, kept), told, now_ms())?;
    let page = verdict_page(sitting.library(), form, sitting.tasks(), told, true);
    Ok((show::wrapped(&format!("\n{page}"), streams.width), EXIT_OK))
}

/// A sitting that nobody keeps.
fn practice(
    (library, form): (&Library, &Form),
    args: &AssessArgs,
    tours: &TourCache,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let seed = args.seed.unwrap_or(streams.fresh_seed);
    let sitting = Sitting::new(library, form, (seed, args.units.into()), now_ms());
    let mut sitting = sitting.map_err(|error| error.to_string())?;
    let mut sat = Sat {
        sitting: &mut sitting,
        keeper: &mut NothingKept,
    };
    let rules = format!("{}\n{PRACTICE}", rules_page(form, streams.width));
    match sit(&mut sat, &rules, tours, streams) {
        Ok(()) => {}
        Err(Stop::Leave | Stop::GiveUp) => {
            return Ok(("\nYou left. Nothing was kept.\n".to_owned(), EXIT_OK));
        }
        Err(Stop::Over(why) | Stop::Broken(why)) => return Err(why),
    }
    let (marked, verdict) = marked(&sitting, tours)?;
    let told = (&*marked, &verdict);
    let page = verdict_page(library, form, sitting.tasks(), told, false);
    Ok((show::wrapped(&format!("\n{page}"), streams.width), EXIT_OK))
}

/// The library with a form of a file beside it, and its id; none where the name is not a file's.
pub(super) fn with_own(library: &Library, name: &str) -> Result<Option<(Library, String)>, String> {
    let path = Path::new(name);
    if path.extension().is_none_or(|ending| ending != "toml") {
        return Ok(None);
    }
    let text = crate::cli::script::read(path)?;
    let (library, id) = library
        .clone()
        .with_form(name, &text)
        .map_err(|error| error.to_string())?;
    Ok(Some((library, id)))
}

/// A form by its id.
pub(super) fn form_of<'l>(library: &'l Library, id: &str) -> Result<&'l Form, String> {
    let ids = library.forms.iter().map(|form| form.id.as_str());
    library
        .form(id)
        .ok_or_else(|| match scenarios::nearest(id, ids) {
            Some(near) => format!("no form is called `{id}`; did you mean `{near}`?"),
            None => format!("no form is called `{id}`; `coldtrail assess` lists them"),
        })
}

fn list(library: &Library, width: usize) -> String {
    let row = |form: &Form| {
        let cases: usize = form.cases.iter().map(|slot| slot.count).sum();
        let questions: usize = form.questions.iter().map(|slot| slot.count).sum();
        let time = format!("{:.0} min", form.wall_s / 60.0);
        let tasks = format!("{cases} cars, {questions} questions");
        [form.id.clone(), tasks, time, form.title.clone()]
    };
    let rows: Vec<[String; 4]> = library.forms.iter().map(row).collect();
    let mut text = format!("Forms\n{}", table(2, &rows, width));
    text.push_str("\nSit one with `coldtrail assess FORM --candidate NAME`.\n");
    text
}

/// A sitting, and who keeps it.
struct Sat<'s, 'a> {
    sitting: &'s mut Sitting<'a>,
    keeper: &'s mut dyn Keeper,
}

impl Sat<'_, '_> {
    /// Takes a step and has it kept before anybody is shown what came of it.
    fn step(&mut self, step: &Step) -> Result<Taken, Unable> {
        let taken = take(self.sitting, self.keeper, step, now_ms());
        taken.map_err(|why| match why {
            NotTaken::Refused(why @ (Refused::WallTimeOver | Refused::HandedIn)) => {
                Unable::Over(why.to_string())
            }
            NotTaken::Refused(why) => Unable::NotTaken(why.to_string()),
            NotTaken::NotKept(why) => Unable::NotKept(format!(
                "{why}. All before this step is kept: the same command goes on there"
            )),
        })
    }

    /// Takes a step that goes on: to the next task or to the end.
    fn go_on(&mut self, step: &Step) -> Result<(), Stop> {
        match self.step(step) {
            Ok(_) => Ok(()),
            Err(Unable::NotTaken(why) | Unable::Over(why)) => Err(Stop::Over(why)),
            Err(Unable::NotKept(why)) => Err(Stop::Broken(why)),
        }
    }
}

impl Hands for Sat<'_, '_> {
    fn bay(&self) -> Option<&Bay> {
        self.sitting.bay()
    }

    fn act(&mut self, action: &Action) -> Result<Outcome, Unable> {
        match self.step(&Step::Act(action.clone()))? {
            Taken::Acted(outcome) => Ok(*outcome),
            Taken::Answered | Taken::Left | Taken::HandedIn | Taken::MoreTime(_) => {
                Err(Unable::Over("an action showed nothing".to_owned()))
            }
        }
    }
}

/// An entry of a sitting in words.
pub(super) fn entry_words(entry: &Entry) -> String {
    let words: Option<Words> = serde_json::from_str(&entry.body).ok();
    match words {
        Some(words) if words.words.is_empty() => format!("task {}: {}", words.task, entry.kind),
        Some(words) => format!("task {}: {} {}", words.task, entry.kind, words.words),
        None => entry.kind.clone(),
    }
}

/// What is asked before a task is left: a word typed by mistake must not cost it.
const SURE: &str = "\
Nobody comes back to a task that was left. Leave it as it stands? yes, or no to stay: ";

/// Goes through the tasks that wait, and hands in.
fn sit(
    sat: &mut Sat<'_, '_>,
    rules: &str,
    tours: &TourCache,
    streams: &mut Streams<'_>,
) -> Result<(), Stop> {
    say(streams, rules)?;
    let system = sat.sitting.units();
    let count = sat.sitting.given().len();
    loop {
        let left_ms = sat.sitting.left_ms(now_ms());
        if left_ms < 0 && !sat.sitting.is_handed_in() {
            let why = Refused::WallTimeOver.to_string();
            say(streams, &format!("\n{}\n", knowledge::sentence(&why)))?;
            break;
        }
        let waits = sat.sitting.waits();
        let waits = waits.map_err(|error| Stop::Broken(error.to_string()))?;
        let Some((number, given)) = waits.map(|(number, given)| (number, given.clone())) else {
            break;
        };
        let minutes = left_ms / 60_000;
        let heading = |what: &str| format!("Task {number} of {count}: {what}, {minutes} min left");
        let done = match &given {
            Given::Case {
                case,
                repair,
                actions,
            } => {
                let opening = format!("\n{}\n\n{}\n", heading("a car"), work_order(case, system));
                let begun = match actions.is_empty() {
                    true => OPENING,
                    false => "It goes on where it broke off; `notes` is the notebook.\n",
                };
                say(streams, &format!("{opening}{begun}"))?;
                case_of(sat, (case, *repair), tours, streams)
            }
            Given::Question { dealt, .. } => {
                let page = knowledge::screen(&heading("a question"), dealt, WIDEST);
                say(streams, &format!("\n{page}"))?;
                question(sat, streams)
            }
        };
        let done = match done {
            Err(Stop::GiveUp) => match ask(streams, SURE) {
                // Said twice, it is meant.
                Err(Stop::GiveUp) => sat.go_on(&Step::Leave),
                Ok(answer) if ["yes", "y"].contains(&answer.to_lowercase().as_str()) => {
                    sat.go_on(&Step::Leave)
                }
                Ok(_) => continue,
                Err(stop) => Err(stop),
            },
            done => done,
        };
        match done {
            Ok(()) => {}
            Err(Stop::Over(why)) => {
                say(streams, &format!("\n{}\n", knowledge::sentence(&why)))?;
                break;
            }
            Err(stop) => return Err(stop),
        }
    }
    if sat.sitting.is_handed_in() {
        return Ok(());
    }
    sat.go_on(&Step::HandIn)
}

/// Widest line of a question.
const WIDEST: usize = 78;

/// A car, up to the end of what is asked at it.
fn case_of(
    sat: &mut Sat<'_, '_>,
    (case, repair): (&Case, bool),
    tours: &TourCache,
    streams: &mut Streams<'_>,
) -> Result<(), Stop> {
    let bank = &sat.sitting.library().bank;
    let hints = sat.sitting.form().hints;
    std::thread::scope(|scope| {
        let coach = hints.then(|| Coach::start(scope, bank, case, tours));
        let desk = Desk {
            bank,
            case,
            coach: coach.as_ref(),
            system: sat.sitting.units(),
        };
        let mut done = desk.diagnose(sat, streams);
        if done.is_ok() && repair {
            done = say(streams, REPAIRING).and_then(|()| desk.repair(sat, streams));
        }
        if let Some(coach) = coach {
            coach.leave();
        }
        done
    })
}

/// A question, up to its answer.
fn question(sat: &mut Sat<'_, '_>, streams: &mut Streams<'_>) -> Result<(), Stop> {
    loop {
        let typed = ask(streams, "> ")?;
        if typed.is_empty() {
            say(streams, "`give-up` goes on without an answer.\n")?;
            continue;
        }
        match sat.step(&Step::Answer(typed)) {
            Ok(_) => return Ok(()),
            Err(Unable::NotTaken(why)) => {
                say(streams, &format!("{}\n", knowledge::sentence(&why)))?
            }
            Err(Unable::Over(why)) => return Err(Stop::Over(why)),
            Err(Unable::NotKept(why)) => return Err(Stop::Broken(why)),
        }
    }
}

/// Marks every task, and judges.
pub(super) fn marked(
    sitting: &Sitting<'_>,
    tours: &TourCache,
) -> Result<(Vec<Marked>, Verdict), String> {
    let bar = Bar::new("Marking");
    let bank = &sitting.library().bank;
    let marked = sitting.given().iter();
    let marked = marked.map(|given| Marked::of(bank, given, tours, &bar));
    let marked = marked.collect::<Result<Vec<_>, _>>();
    let marked = marked.map_err(|error| error.to_string())?;
    let verdict = Verdict::of(sitting.form(), sitting.tasks(), &marked);
    Ok((marked, verdict))
}

#[cfg(test)]
mod tests;
