//! What was found of a case, in words and as JSON.

use std::fmt::Write as _;

use scenarios::{Bank, Case};
use serde::Serialize;

use crate::author::versions::Versions;
use crate::author::{CaseCheck, Confusion, Unusable};
use crate::debrief::{PathStep, steps};
use crate::grade::name_of;
use crate::show;

/// The line a case is told of by.
pub(super) fn heading(case: &Case) -> String {
    let scenario = &case.scenario;
    format!(
        "{}: {} (level {}, {})",
        scenario.id, scenario.title, scenario.level, scenario.vehicle
    )
}

/// Names of modes, as one thinks of them together.
fn names(bank: &Bank, modes: &[String]) -> String {
    if modes.is_empty() {
        return "a healthy car".to_owned();
    }
    let names: Vec<String> = modes.iter().map(|mode| name_of(bank, mode)).collect();
    names.join(" with ")
}

/// What was found of a case and its versions, as a page.
pub(crate) fn page(
    bank: &Bank,
    case: &Case,
    result: &Result<CaseCheck, Unusable>,
    dealt: &Versions,
) -> String {
    let page = match result {
        Ok(found) => text(bank, case, found),
        Err(why) => format!("{}\n  ERROR  {why}\n", heading(case)),
    };
    page + &of_versions(dealt)
}

fn text(bank: &Bank, case: &Case, found: &CaseCheck) -> String {
    let mut page = heading(case) + "\n";
    let given = case.scenario.gives_away(bank.catalogue());
    if !given.is_empty() {
        let _ = writeln!(
            page,
            "  NOTE   the title or the file's name says `{}`, which names what is in the car: learners read both first",
            given.join("`, `")
        );
    }
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

/// What was found of a case, for a program.
#[derive(Serialize)]
pub(super) struct Checked<'a> {
    case: &'a str,
    seed: u64,
    #[serde(skip_serializing_if = "Option::is_none")]
    level: Option<u8>,
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
    best_path: Vec<PathStep>,
    confusions: Vec<Taken<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    healthy: Option<Taken<'a>>,
    blind_guess: f64,
    likeliest_guess: f64,
}

#[derive(Serialize)]
struct Taken<'a> {
    faults: &'a [(String, f64)],
    action: Option<String>,
    set_up: Option<&'static str>,
    bits: f64,
}

impl<'a> Checked<'a> {
    /// What was found of a case and its versions.
    pub(super) fn of(
        case: &'a Case,
        result: &'a Result<CaseCheck, Unusable>,
        dealt: &'a Versions,
    ) -> Self {
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
            best_path: PathStep::all(&found.path),
            confusions: found.confusions.iter().map(taken).collect(),
            healthy: found.from_healthy.as_ref().map(taken),
            blind_guess: found.blind_guess,
            likeliest_guess: found.likeliest_guess,
        });
        Self {
            case: &case.scenario.id,
            seed: case.seed,
            level: Some(case.scenario.level),
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

    /// A case that could not be read, and why.
    pub(super) fn not_read(id: &'a str, seed: u64, why: &str) -> Self {
        Self {
            case: id,
            seed,
            level: None,
            error: Some(why.to_owned()),
            found: None,
            versions: Vec::new(),
            narrow: None,
        }
    }
}
