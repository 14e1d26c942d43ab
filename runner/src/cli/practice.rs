//! `coldtrail practice`: a car in the bay, typed at or played from a file.

use std::path::{Path, PathBuf};

use clap::Args;
use scenarios::units::UnitSystem;
use scenarios::{Bank, Case};

use crate::bay::Bay;
use crate::cache::TourCache;
use crate::cli::bar::Bar;
use crate::cli::coach::hint_now;
use crate::cli::hands::KeptBay;
use crate::cli::which_car::case_of;
use crate::cli::{
    EXIT_LINES_NOT_TAKEN, EXIT_OK, Output, Streams, Units, prompt, script, work_order,
};
use crate::debrief;
use crate::evidence::reader::Reader;
use crate::grade::{Grade, grade};
use crate::kept::{Kept, Whose};
use crate::show;

/// What `coldtrail practice` is asked.
#[derive(Args, Clone, Debug)]
pub struct PracticeArgs {
    /// The case, as `coldtrail cases` names it; left out, the seed deals one
    pub case: Option<String>,
    /// Be dealt a case of this level: 1 is where to begin
    #[arg(long, conflicts_with = "case", value_parser = clap::value_parser!(u8).range(1..=3))]
    pub level: Option<u8>,
    /// Number that makes the car and every reading; the same number gives the same session again
    #[arg(long)]
    pub seed: Option<u64>,
    /// Units to show
    #[arg(long, value_enum, default_value = "si")]
    pub units: Units,
    /// Keep the session in this file, and go on with the one that is in it
    #[arg(long, value_name = "FILE", conflicts_with = "script")]
    pub keep: Option<PathBuf>,
    /// Play the session from a file of actions, one a line, as they would be typed
    #[arg(long, value_name = "FILE")]
    pub script: Option<PathBuf>,
    /// How to print the result; json wants a script
    #[arg(long, value_enum, default_value = "text")]
    pub format: Output,
}

/// Runs a practice session.
///
/// # Errors
/// A sentence saying why it could not be opened, played or graded.
pub fn run(
    bank: &Bank,
    args: &PracticeArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    if let Some(path) = args.keep.as_deref().filter(|path| path.exists()) {
        return go_on(bank, (path, args), streams);
    }
    let system = UnitSystem::from(args.units);
    let seed = args.seed.unwrap_or(streams.fresh_seed);
    let id = match &args.case {
        Some(id) => id.clone(),
        None => dealt(bank, args.level, seed)?,
    };
    let case = case_of(bank, &id, seed)?;
    let tours = TourCache::new(streams.cache.clone());
    let (page, code) = match &args.script {
        Some(path) => {
            let text = script::read(path)?;
            let show = (system, streams.width);
            play((bank, &case), &text, &tours, show, args.format)?
        }
        None if args.format == Output::Json => {
            return Err(
                "--format json prints the result of a script: give one with --script FILE"
                    .to_owned(),
            );
        }
        None if !streams.input_is_terminal => {
            return Err(NO_TERMINAL.to_owned());
        }
        None => {
            let bay = Bay::new(bank, &case).map_err(|error| error.to_string())?;
            let whose = Whose {
                case: id,
                seed,
                units: system,
            };
            let kept = args.keep.as_deref().map(|path| Kept::begin(path, &whose));
            let kept = kept.transpose().map_err(|why| why.to_string())?;
            let page = typed((bank, &case), (bay, kept), system, &tours, streams)?;
            (page, EXIT_OK)
        }
    };
    told(&tours, streams);
    Ok((page, code))
}

/// A typed session, kept or not.
fn typed(
    on: (&Bank, &Case),
    (mut bay, kept): (Bay, Option<Kept>),
    system: UnitSystem,
    tours: &TourCache,
    streams: &mut Streams<'_>,
) -> Result<String, String> {
    match kept {
        None => prompt::practise(on, &mut bay, system, tours, streams),
        Some(kept) => {
            let path = kept.path().display().to_string();
            let mut hands = KeptBay { bay, kept };
            let page = prompt::practise(on, &mut hands, system, tours, streams)?;
            let goes_on = match hands.bay.conclusion() {
                None => format!("`coldtrail practice --keep {path}` goes on where you left.\n"),
                Some(_) => String::new(),
            };
            Ok(page + &show::wrapped(&goes_on, streams.width))
        }
    }
}

fn told(tours: &TourCache, streams: &mut Streams<'_>) {
    for notice in tours.notices() {
        let _ = writeln!(streams.errors, "note: {notice}");
    }
}

/// Goes on with a session that was kept.
fn go_on(
    bank: &Bank,
    (path, args): (&Path, &PracticeArgs),
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    if !streams.input_is_terminal {
        return Err(NO_TERMINAL.to_owned());
    }
    let (kept, whose, actions) = Kept::go_on(path).map_err(|why| why.to_string())?;
    let other_case = args.case.as_ref().is_some_and(|id| *id != whose.case);
    if other_case || args.seed.is_some_and(|seed| seed != whose.seed) {
        return Err(format!(
            "{} holds a session of case `{}`, seed {}: leave case and seed out to go on with it, or name another file",
            path.display(),
            whose.case,
            whose.seed
        ));
    }
    let case = case_of(bank, &whose.case, whose.seed)?;
    let mut bay = Bay::new(bank, &case).map_err(|error| error.to_string())?;
    for action in &actions {
        bay.act(action)
            .map_err(|why| format!("`{action}` of {} was not taken: {why}", path.display()))?;
    }
    let tours = TourCache::new(streams.cache.clone());
    let on = (bank, &case);
    let page = typed(on, (bay, Some(kept)), whose.units, &tours, streams)?;
    told(&tours, streams);
    Ok((page, EXIT_OK))
}

const NO_TERMINAL: &str = "practice is typed at a terminal, and standard input is not one: play a file of actions with `coldtrail practice --script FILE`, or run it in a terminal";

/// Grades a session and puts the result into words.
pub(super) fn debrief_of(
    (bank, case): (&Bank, &Case),
    bay: &Bay,
    reader: Option<Reader>,
    tours: &TourCache,
    system: UnitSystem,
    streams: &Streams<'_>,
) -> Result<String, String> {
    let grade = graded((bank, case), bay, reader, tours)?;
    let page = debrief::text(bank, case, &grade, system);
    Ok(show::wrapped(&page, streams.width))
}

fn graded(
    (bank, case): (&Bank, &Case),
    bay: &Bay,
    reader: Option<Reader>,
    tours: &TourCache,
) -> Result<Grade, String> {
    let bar = Bar::new(RUNNING);
    let grade = grade(bank, case, bay.actions(), reader, tours, &bar);
    grade.map_err(|error| error.to_string())
}

/// What a bar says while a session is graded.
const RUNNING: &str = "Running your session on other cars";

/// The case a seed deals when none is asked for, of a level or of any.
fn dealt(bank: &Bank, level: Option<u8>, seed: u64) -> Result<String, String> {
    let cases = bank.cases();
    let cases = cases.filter(|case| level.is_none_or(|level| case.level == level));
    let ids: Vec<&str> = cases.map(|case| case.id.as_str()).collect();
    let count = ids.len() as u64;
    if count == 0 {
        return Err("there is no case to practise on".to_owned());
    }
    // Spread neighbouring seeds over the cases (Knuth's multiplicative hash).
    let index = (seed.wrapping_mul(2_654_435_761) >> 16) % count;
    ids.get(index as usize)
        .map(|id| (*id).to_owned())
        .ok_or_else(|| "no case was dealt".to_owned())
}

fn play(
    (bank, case): (&Bank, &Case),
    text: &str,
    tours: &TourCache,
    (system, width): (UnitSystem, usize),
    format: Output,
) -> Result<(String, u8), String> {
    let mut bay = Bay::new(bank, case).map_err(|error| error.to_string())?;
    let mut reader = None;
    let bar = Bar::new(RUNNING);
    let played = script::play(&mut bay, text, system, &mut |bay| {
        hint_now((bank, case), &mut reader, tours, &bar, bay)
    })?;
    let code = if played.not_taken.is_empty() {
        EXIT_OK
    } else {
        EXIT_LINES_NOT_TAKEN
    };
    let grade = graded((bank, case), &bay, reader, tours)?;
    let page = match format {
        Output::Json => {
            let not_taken: Vec<_> = played
                .not_taken
                .iter()
                .map(|line| (line.number, line.message.clone()))
                .collect();
            debrief::json(case, &grade, &not_taken).map_err(|error| error.to_string())? + "\n"
        }
        Output::Text => {
            let order = work_order::work_order(case, system);
            let debrief = debrief::text(bank, case, &grade, system);
            show::wrapped(&format!("{order}\n{}{debrief}", played.log), width)
        }
    };
    Ok((page, code))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    #[test]
    fn a_level_is_dealt_when_it_is_asked_for() {
        let bank = Bank::builtin().unwrap();
        for level in 1..=3 {
            let mut dealt_ids: Vec<String> = Vec::new();
            for seed in 0..40 {
                let id = dealt(&bank, Some(level), seed).unwrap();
                assert_eq!(bank.case(&id).unwrap().level, level, "{id}");
                dealt_ids.push(id);
            }
            dealt_ids.sort();
            dealt_ids.dedup();
            assert!(dealt_ids.len() > 5, "{dealt_ids:?}");
        }
    }
}
