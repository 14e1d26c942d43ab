//! `coldtrail author check`: can a case be solved, how, and what is it taken for.

use std::fmt::Write as _;
use std::path::Path;

use clap::Args;
use scenarios::{Bank, Case};
use serde::Serialize;

use crate::author::versions::{Versions, versions};
use crate::author::{CaseCheck, Confusion, Unusable, check};
use crate::cache::TourCache;
use crate::cli::bar::Bar;
use crate::cli::which_car::case_of;
use crate::cli::{EXIT_FAILED, EXIT_OK, Output, Streams};
use crate::debrief::steps;
use crate::grade::name_of;
use crate::show;

/// What `coldtrail author check` is asked.
#[derive(Args, Clone, Debug)]
pub struct CheckArgs {
    /// Cases, as `coldtrail cases` names them, as TOML files or as folders of them; left out, all of
    /// the bank
    pub cases: Vec<String>,
    /// Number that makes the car
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
    /// Look at this many drawn versions more of a case that has ranges
    #[arg(long, default_value_t = 0, value_name = "N")]
    pub versions: u64,
    /// How to print the result
    #[arg(long, value_enum, default_value = "text")]
    pub format: Output,
}

/// Largest case file read, bytes.
const MOST_BYTES: u64 = 256 * 1024;

/// Checks cases; fails when one of them cannot be used.
///
/// # Errors
/// A sentence where a case cannot be read.
pub fn run(
    bank: &Bank,
    args: &CheckArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let all: Vec<String> = bank.cases().map(|case| case.id.clone()).collect();
    let asked = if args.cases.is_empty() {
        all
    } else {
        let files = args.cases.iter().map(|name| files_of(name));
        files.collect::<Result<Vec<_>, _>>()?.concat()
    };
    let tours = TourCache::new(streams.cache.clone());
    let bar = Bar::new("Taking cars on the tour");
    let mut checked = Vec::with_capacity(asked.len());
    for name in &asked {
        let (bank, case) = case_named(bank, name, args.seed)?;
        let result = check(&bank, &case, &tours, &bar);
        let dealt = versions(&bank, &case.scenario.id, args.versions, &tours, &bar);
        checked.push((bank, case, result, dealt));
    }
    for notice in tours.notices() {
        let _ = writeln!(streams.errors, "note: {notice}");
    }
    let usable = checked
        .iter()
        .all(|(_, _, result, dealt)| result.is_ok() && dealt.narrow.is_none());
    let page = match args.format {
        Output::Text => {
            let pages = checked.iter().map(|(bank, case, result, dealt)| {
                let page = match result {
                    Ok(found) => text(bank, case, found),
                    Err(why) => format!("{}\n  ERROR  {why}\n", heading(case)),
                };
                page + &of_versions(dealt)
            });
            show::wrapped(&pages.collect::<Vec<_>>().join("\n"), streams.width)
        }
        Output::Json => {
            let results = checked
                .iter()
                .map(|(_, case, result, dealt)| json(case, result, dealt));
            let results: Vec<_> = results.collect();
            serde_json::to_string_pretty(&results).map_err(|error| error.to_string())? + "\n"
        }
    };
    Ok((page, if usable { EXIT_OK } else { EXIT_FAILED }))
}

/// The TOML files of a folder in the order of their names; what is no folder, by itself.
fn files_of(name: &str) -> Result<Vec<String>, String> {
    if !Path::new(name).is_dir() {
        return Ok(vec![name.to_owned()]);
    }
    let unreadable = |error: std::io::Error| format!("the folder {name} cannot be read: {error}");
    let mut files = Vec::new();
    for entry in std::fs::read_dir(name).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        if path
            .extension()
            .is_some_and(|extension| extension == "toml")
        {
            files.push(path.display().to_string());
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(format!(
            "there is no case in the folder {name}: cases are files that end in `.toml`"
        ));
    }
    Ok(files)
}

/// A case of the bank, or one in a file with the bank's vehicles and faults.
fn case_named(bank: &Bank, name: &str, seed: u64) -> Result<(Bank, Case), String> {
    let path = Path::new(name);
    if path.extension().is_none_or(|extension| extension != "toml") {
        return Ok((bank.clone(), case_of(bank, name, seed)?));
    }
    let unreadable = |error: std::io::Error| format!("the case {name} cannot be read: {error}");
    if std::fs::metadata(path).map_err(unreadable)?.len() > MOST_BYTES {
        return Err(format!(
            "the case {name} is larger than {} KiB",
            MOST_BYTES / 1024
        ));
    }
    let text = std::fs::read_to_string(path).map_err(unreadable)?;
    let file_name = path.file_name().and_then(|name| name.to_str());
    let added = bank
        .clone()
        .with_case(file_name.unwrap_or(name), &text)
        .map_err(|error| error.to_string())?;
    let (bank, id) = added;
    let case = case_of(&bank, &id, seed)?;
    Ok((bank, case))
}

fn heading(case: &Case) -> String {
    let scenario = &case.scenario;
    format!(
        "{}: {} (level {}, {})",
        scenario.id, scenario.title, scenario.level, scenario.vehicle
    )
}

fn names(bank: &Bank, modes: &[String]) -> String {
    if modes.is_empty() {
        return "a healthy car".to_owned();
    }
    let names: Vec<String> = modes.iter().map(|mode| name_of(bank, mode)).collect();
    names.join(" with ")
}

fn text(bank: &Bank, case: &Case, found: &CaseCheck) -> String {
    let mut page = heading(case) + "\n";
    let path = &found.path;
    let truth: Vec<String> = case.truth().iter().map(|one| one.mode_id.clone()).collect();
    let _ = writeln!(
        page,
        "  In the car: {}. {}",
        names(bank, &truth),
        if path.proved {
            "It can be proved."
        } else if found.alike.is_empty() {
            "No path proves it within sixteen checks."
        } else {
            "It cannot be told from everything else."
        }
    );
    for modes in &found.alike {
        let _ = writeln!(
            page,
            "  Counts as right, since no check tells it apart: {}",
            names(bank, modes)
        );
    }
    let _ = writeln!(
        page,
        "  Best path: {:.1} bits in {} min, {:.2} bits a minute",
        path.bits(),
        show::clock(path.seconds()),
        found.bits_per_minute()
    );
    steps(&mut page, path);
    let _ = writeln!(page, "  Most easily taken for:");
    for one in &found.confusions {
        let _ = writeln!(page, "    {}: {}", names(bank, &one.modes), told(one));
    }
    if let Some(healthy) = &found.from_healthy {
        let _ = writeln!(page, "  A healthy car: {}", told(healthy));
    }
    let _ = writeln!(
        page,
        "  A blind guess scores {:.0} of 100 on average; naming the fault a shop meets most, {:.0}",
        found.blind_guess, found.likeliest_guess
    );
    page
}

fn of_versions(dealt: &Versions) -> String {
    let mut page = String::new();
    if !dealt.tried.is_empty() {
        let _ = writeln!(
            page,
            "  {} versions looked at: up to {:.2} bits a minute apart",
            dealt.tried.len(),
            dealt.apart()
        );
    }
    if let Some(narrow) = &dealt.narrow {
        let _ = writeln!(page, "  ERROR  {narrow}");
    }
    page
}

fn told(one: &Confusion) -> String {
    match &one.by {
        Some(by) => format!(
            "`{}` tells {:.2} of 1 bit ({})",
            by.action, by.bits, by.set_up
        ),
        None => "no single check tells them apart".to_owned(),
    }
}

#[derive(Serialize)]
struct Checked<'a> {
    case: &'a str,
    seed: u64,
    level: u8,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<String>,
    #[serde(flatten, skip_serializing_if = "Option::is_none")]
    found: Option<Found<'a>>,
    /// Bits per minute of each version looked at; absent where a case has no ranges.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    versions: Vec<Option<f64>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    narrow: Option<&'a str>,
}

#[derive(Serialize)]
struct Found<'a> {
    proved: bool,
    counts_as_right: &'a [Vec<String>],
    best_path_s: f64,
    best_path_bits: f64,
    wanted_bits: f64,
    bits_per_minute: f64,
    best_path: Vec<Step>,
    confusions: Vec<Taken<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    healthy: Option<Taken<'a>>,
    blind_guess: f64,
    likeliest_guess: f64,
}

#[derive(Serialize)]
struct Step {
    action: String,
    set_up: &'static str,
    seconds: f64,
    expected_bits: f64,
    told_bits: f64,
    of_truth: f64,
}

#[derive(Serialize)]
struct Taken<'a> {
    faults: &'a [(String, f64)],
    action: Option<String>,
    set_up: Option<&'static str>,
    bits: f64,
}

fn json<'a>(
    case: &'a Case,
    result: &'a Result<CaseCheck, Unusable>,
    dealt: &'a Versions,
) -> Checked<'a> {
    let taken = |one: &'a Confusion| Taken {
        faults: &one.faults,
        action: one.by.as_ref().map(|by| by.action.to_string()),
        set_up: one.by.as_ref().map(|by| by.set_up),
        bits: one.by.as_ref().map_or(0.0, |by| by.bits),
    };
    let found = result.as_ref().ok().map(|found| Found {
        proved: found.path.proved,
        counts_as_right: &found.alike,
        best_path_s: found.path.seconds(),
        best_path_bits: found.path.bits(),
        wanted_bits: found.path.wanted_bits,
        bits_per_minute: found.bits_per_minute(),
        best_path: found
            .path
            .steps
            .iter()
            .map(|step| Step {
                action: step.action.to_string(),
                set_up: step.set_up,
                seconds: step.seconds,
                expected_bits: step.expected_bits,
                told_bits: step.told_bits,
                of_truth: step.probability,
            })
            .collect(),
        confusions: found.confusions.iter().map(taken).collect(),
        healthy: found.from_healthy.as_ref().map(taken),
        blind_guess: found.blind_guess,
        likeliest_guess: found.likeliest_guess,
    });
    Checked {
        case: &case.scenario.id,
        seed: case.seed,
        level: case.scenario.level,
        error: result.as_ref().err().map(ToString::to_string),
        found,
        versions: dealt
            .tried
            .iter()
            .map(|one| one.bits_per_minute.as_ref().ok().copied())
            .collect(),
        narrow: dealt.narrow.as_deref(),
    }
}
