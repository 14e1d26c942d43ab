//! The commands of `coldtrail`, one file each.

pub mod assess;
pub mod author;
mod bar;
pub mod catalogue;
pub mod chart;
pub(crate) mod choices;
pub(crate) mod coach;
mod columns;
pub(crate) mod examples;
pub mod fluid;
mod hands;
mod help;
pub mod knowledge;
mod menu;
mod naming;
pub mod practice;
mod prompt;
pub mod readings;
pub mod records;
pub(crate) mod repair_told;
pub(crate) mod script;
pub mod serve;
pub(crate) mod service_page;
pub mod set_up;
pub mod syllabus;
pub(crate) mod vehicle_page;
pub mod vehicles;
pub mod which_car;
mod work_order;

use std::io::{BufRead, IsTerminal, Write};
use std::path::{Path, PathBuf};

use clap::{Parser, Subcommand, ValueEnum};
use scenarios::units::UnitSystem;
use scenarios::{Bank, Library};

use crate::bundle;

/// Everything went as asked.
pub const EXIT_OK: u8 = 0;
/// The command could not be carried out.
pub const EXIT_FAILED: u8 = 1;
/// The command line was not understood (clap's own).
pub const EXIT_USAGE: u8 = 2;
/// The session was played to its end, but some lines of the script were not taken.
pub const EXIT_LINES_NOT_TAKEN: u8 = 3;

/// Practise diagnosing vehicle air conditioning on cars that are really simulated
#[derive(Debug, Parser)]
#[command(name = "coldtrail", version, about, max_term_width = 100)]
pub struct Cli {
    /// A folder or file with vehicles, faults, cases and questions of your own, beside those built in
    #[arg(long, global = true, value_name = "PATH")]
    bundle: Option<PathBuf>,
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Take a car into the bay and find out what is wrong with it
    Practice(practice::PracticeArgs),
    /// List the cases to practise on
    Cases(catalogue::CasesArgs),
    /// List the faults a car can have, by component, or tell all about one
    Faults(catalogue::FaultsArgs),
    /// List the vehicles and what their loops are made of, or tell all about one
    Vehicles(vehicles::VehiclesArgs),
    /// Show a refrigerant's state from any two of its properties
    Fluid(fluid::FluidArgs),
    /// Write one run of a car as a table: true values beside what instruments show
    Readings(readings::ReadingsArgs),
    /// Write, preview and check cases, and measure the reader that grades them
    Author(author::AuthorArgs),
    /// Draw a chart as SVG: a car's cycle on pressure and enthalpy, or saturation
    Chart(chart::ChartArgs),
    /// Answer short questions on physics, rules, safety and practice
    Knowledge(knowledge::KnowledgeArgs),
    /// Sit an assessment of cars and questions, or list the forms there are
    Assess(assess::AssessArgs),
    /// Set up an office that keeps sittings; list, show, verify and erase what it has kept
    Records(records::RecordsArgs),
    /// Open the page: a car in the bay in a browser, or a room in which people sit a form
    Serve(serve::ServeArgs),
    /// Show which topics of rules and training units are covered here
    Syllabus(syllabus::SyllabusArgs),
}

/// Units a session is shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// °F, psig
    Us,
    /// °C, kPa
    Si,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Us => Self::Us,
            Units::Si => Self::Si,
        }
    }
}

/// How a result is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Output {
    /// Words
    Text,
    /// JSON in SI units
    Json,
}

/// Where a command reads and writes.
pub struct Streams<'a> {
    /// What the person types.
    pub input: &'a mut dyn BufRead,
    /// Whether a person can type there.
    pub input_is_terminal: bool,
    /// What the command says.
    pub output: &'a mut dyn Write,
    /// What it says of errors and progress.
    pub errors: &'a mut dyn Write,
    /// Width lines are broken at.
    pub width: usize,
    /// A number to seed a session with when none is asked for.
    pub fresh_seed: u64,
    /// Folder for what may be deleted at any time; none to keep nothing.
    pub cache: Option<PathBuf>,
    /// Folder of the office that keeps records, where nobody names another; it need not be there.
    pub records: Option<PathBuf>,
}

/// Runs the program on the process' own arguments and streams; returns its exit code.
#[must_use]
pub fn main() -> u8 {
    let cli = Cli::parse();
    let stdin = std::io::stdin();
    // Seeds are typed back by people: six digits are enough.
    let fresh_seed = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .map_or(1, |since| 1 + since.as_secs() % 999_983);
    let mut streams = Streams {
        input_is_terminal: stdin.is_terminal(),
        input: &mut stdin.lock(),
        output: &mut std::io::stdout().lock(),
        errors: &mut std::io::stderr(),
        width: width_of(
            terminal_size::terminal_size_of(std::io::stdout())
                .map(|(columns, _)| usize::from(columns.0)),
        ),
        fresh_seed,
        cache: cache_folder(),
        records: crate::records::office::usual_folder().ok(),
    };
    run(&cli, &mut streams)
}

/// Where caches go: `COLDTRAIL_CACHE` where that is set, else the platform's place for them.
fn cache_folder() -> Option<PathBuf> {
    let set = std::env::var_os("COLDTRAIL_CACHE").map(PathBuf::from);
    set.or_else(|| dirs::cache_dir().map(|folder| folder.join("coldtrail")))
}

/// Width lines are broken at, by the columns of the terminal: where there is none, or a very wide one,
/// what fits a hundred, which is about as far as an eye follows a line back.
#[must_use]
pub fn width_of(columns: Option<usize>) -> usize {
    columns.unwrap_or(100).clamp(60, 100) - 2
}

/// Runs a parsed command on given streams; returns its exit code.
pub fn run(cli: &Cli, streams: &mut Streams<'_>) -> u8 {
    let width = streams.width;
    let bundle = cli.bundle.as_deref();
    let with_bank = |then: &mut dyn FnMut(&Bank) -> Ran| with_bank(bundle, then);
    let with_questions = |then: &mut dyn FnMut(&Library) -> Ran| with_library(bundle, then);
    let result = match &cli.command {
        Command::Fluid(args) => fluid::run(args).map(|text| (text, EXIT_OK)),
        Command::Practice(args) => with_bank(&mut |bank| practice::run(bank, args, streams)),
        Command::Author(args) => with_questions(&mut |library| author::run(library, args, streams)),
        Command::Vehicles(args) => {
            with_bank(&mut |bank| vehicles::browse(bank, args, width).map(|text| (text, EXIT_OK)))
        }
        Command::Cases(args) => {
            with_bank(&mut |bank| Ok((catalogue::cases(bank, args, width)?, EXIT_OK)))
        }
        Command::Faults(args) => {
            with_bank(&mut |bank| catalogue::browse(bank, args, width).map(|text| (text, EXIT_OK)))
        }
        Command::Readings(args) => {
            with_bank(&mut |bank| readings::run(bank, args).map(|text| (text, EXIT_OK)))
        }
        Command::Chart(args) => {
            with_bank(&mut |bank| chart::run(bank, args).map(|text| (text, EXIT_OK)))
        }
        Command::Knowledge(args) => {
            with_questions(&mut |library| knowledge::run(&library.questions, args, streams))
        }
        Command::Assess(args) => with_questions(&mut |library| assess::run(library, args, streams)),
        Command::Records(args) => {
            with_questions(&mut |library| records::run(library, args, streams))
        }
        Command::Serve(args) => with_questions(&mut |library| serve::run(library, args, streams)),
        Command::Syllabus(args) => with_questions(&mut |library| {
            syllabus::run(library, args, width).map(|text| (text, EXIT_OK))
        }),
    };
    match result {
        Ok((text, code)) => match streams.output.write_all(text.as_bytes()) {
            // A reader that has gone away, such as `head`, is no fault of ours.
            Ok(()) | Err(_) => code,
        },
        Err(message) => {
            let _ = writeln!(streams.errors, "error: {message}");
            EXIT_FAILED
        }
    }
}

/// What a command has to say, and its exit code.
type Ran = Result<(String, u8), String>;

/// Runs a command that asks no questions. With a bundle its questions are read all the same: what is
/// wrong with them is told with the rest.
fn with_bank(bundle: Option<&Path>, then: &mut dyn FnMut(&Bank) -> Ran) -> Ran {
    match bundle {
        None => then(&Bank::builtin().map_err(|errors| errors.to_string())?),
        Some(_) => with_library(bundle, &mut |library| then(&library.bank)),
    }
}

/// Runs a command with what is built in and, where there is one, a bundle beside it.
fn with_library(bundle: Option<&Path>, then: &mut dyn FnMut(&Library) -> Ran) -> Ran {
    let mut library = Library::builtin().map_err(|errors| errors.to_string())?;
    if let Some(path) = bundle {
        let added = library.with(&bundle::read(path)?);
        library = added.map_err(|errors| errors.to_string())?;
    }
    then(&library)
}
