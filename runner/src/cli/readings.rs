//! `coldtrail readings`: one run of a car as a table, true values beside what instruments show.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::Args;
use scenarios::Bank;
use scenarios::quantity::{Dimension, parse_as};
use sim_core::fluid::Fluid;

use crate::action::{Action, Control};
use crate::cli::script;
use crate::cli::set_up::SetUpArgs;
use crate::cli::which_car::CarArgs;
use crate::record::{Doing, Format, Plan, Step, Writer, record};

/// What the columns mean, as `coldtrail readings --help` ends with it.
const COLUMNS: &str = "\
Columns carry SI units. Those ending in _read are what the instrument at that place shows, with its
lag, its error and its resolution; those ending in _true are the model's own. Beside a reading that is
what the instrument would show without lag and error: a clamp's _true is the pipe as a clamp feels it,
drawn a little towards the air of the bay, and the scan tool's what the sensor sends, its fault included.
Pressures of gauges and scan tool are above the open air.

A cell is empty where the instrument cannot be used just then (a coil's resistance with the engine
running) or where the value is outside its range. Columns depend on the vehicle alone.

Each row is a fresh reading: all of its error is drawn anew, as in practice, and none stays the same from
row to row. The mean of many rows comes closer to the truth than that of a real gauge, which is off by
much the same all day.

The row at 0 s is the car as handed over, before anything is turned. In a script every action takes the
time it takes in practice.";

/// What `coldtrail readings` is asked.
#[derive(Args, Clone, Debug)]
#[command(after_long_help = COLUMNS)]
pub struct ReadingsArgs {
    /// The car to run
    #[command(flatten)]
    pub car: CarArgs,
    /// Time between rows, such as 1s or 500ms
    #[arg(long, value_name = "TIME", default_value = "1s")]
    pub every: String,
    /// Length of the run, such as 20min
    #[arg(long = "for", value_name = "TIME", default_value = "20min")]
    pub length: String,
    /// How to write the table
    #[arg(long, value_enum, default_value = "csv")]
    pub format: Format,
    /// How the car is set up
    #[command(flatten)]
    pub set_up: SetUpArgs,
    /// Instead, turn the controls from a file: lines as in practice, set-up and waits only, on a
    /// car handed over with the engine off
    #[arg(long, value_name = "FILE")]
    pub script: Option<PathBuf>,
    /// Add a last column that says what is wrong with the car
    #[arg(long)]
    pub truth: bool,
    /// Write to a file instead of the screen
    #[arg(long, visible_alias = "out", value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// Most rows of a table: a day and a bit at a row a second, and some 60 MB.
const MOST_ROWS: f64 = 100_000.0;
/// Longest run, s.
const LONGEST_S: f64 = 86_400.0;
/// Shortest time between rows, s: no part of the model moves faster.
const SHORTEST_S: f64 = 0.01;

/// Makes the table: the text to print, or nothing where it went to a file.
///
/// # Errors
/// A sentence that says what to change.
pub fn run(bank: &Bank, args: &ReadingsArgs) -> Result<String, String> {
    let case = args.car.case(bank)?;
    let (every_s, intervals) = span(&args.every, &args.length)?;
    let top_step = case.healthy.air_box.top_step();
    let (at_start, then) = steps(args, top_step)?;
    let plan = Plan {
        every_s,
        intervals,
        at_start,
        then,
        label: args.truth,
    };
    let fluid = Fluid::by_name(&case.healthy.refrigerant).map_err(|error| error.to_string())?;
    let mut bytes = Vec::new();
    let mut table = Writer::new(&mut bytes, args.format);
    record(&case, Arc::new(fluid), &plan, |row| table.row(&row))
        .map_err(|error| error.to_string())?;
    table.finish().map_err(|error| error.to_string())?;
    match &args.output {
        // Written in one go: a run that fails leaves no half table.
        Some(path) => save(path, &bytes).map(|()| String::new()),
        None => String::from_utf8(bytes).map_err(|error| error.to_string()),
    }
}

/// Writes a file.
///
/// # Errors
/// A sentence that names the file.
pub(super) fn save(path: &Path, bytes: &[u8]) -> Result<(), String> {
    std::fs::File::create(path)
        .and_then(|mut file| file.write_all(bytes))
        .map_err(|error| format!("{} cannot be written: {error}", path.display()))
}

/// Time between rows, s, and how many intervals fit into the run.
fn span(every: &str, length: &str) -> Result<(f64, usize), String> {
    let seconds = |option: &str, text: &str| {
        parse_as(text, Dimension::Duration).map_err(|error| format!("{option}: {error}"))
    };
    let every_s = seconds("--every", every)?;
    let length_s = seconds("--for", length)?;
    if !(SHORTEST_S..=LONGEST_S).contains(&every_s) {
        return Err(format!(
            "--every: `{every}` is not a time between rows; give 10 ms to 24 h"
        ));
    }
    if !(0.0..=LONGEST_S).contains(&length_s) {
        return Err(format!(
            "--for: `{length}` is not a length; give 0 s to 24 h"
        ));
    }
    // The last row is at the end where the interval goes into the length but for rounding.
    let intervals = libm::floor(length_s / every_s + 1e-9);
    if intervals + 1.0 > MOST_ROWS {
        return Err(format!(
            "a row every {every} for {length} makes {:.0} rows, and a table has at most {MOST_ROWS}: \
             make --every longer (at least {:.3} s) or --for shorter",
            intervals + 1.0,
            libm::ceil(length_s / (MOST_ROWS - 1.0) * 1e3) / 1e3
        ));
    }
    Ok((every_s, intervals as usize))
}

/// What is turned at the start, and what follows.
fn steps(args: &ReadingsArgs, top_step: usize) -> Result<(Vec<Control>, Vec<Step>), String> {
    let Some(path) = &args.script else {
        return Ok((args.set_up.controls(top_step)?, Vec::new()));
    };
    if let Some(option) = args.set_up.given() {
        return Err(format!(
            "{option} and --script both set the car up: leave {option} out, or the script"
        ));
    }
    scripted(&script::read(path)?).map(|steps| (Vec::new(), steps))
}

/// The lines of a script, all of them set-up or waiting.
fn scripted(text: &str) -> Result<Vec<Step>, String> {
    let mut steps = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let words = line.split('#').next().unwrap_or("").trim();
        if words.is_empty() {
            continue;
        }
        let number = index + 1;
        let action = Action::parse(words)
            .map_err(|error| format!("line {number}: `{words}` was not taken: {error}"))?;
        let what = match action {
            Action::Turn(control) => Doing::Turn(control),
            Action::Wait(seconds) => Doing::Wait(seconds),
            _ => {
                return Err(format!(
                    "line {number}: `{words}` is no set-up: the table has every instrument in it \
                     already; a script for it may hold engine, ac, blower, air, temperature, doors, \
                     road, shop-fan and wait"
                ));
            }
        };
        steps.push(Step { line: number, what });
    }
    Ok(steps)
}
