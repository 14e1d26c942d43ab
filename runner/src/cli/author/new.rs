//! `coldtrail author new`: a few questions, and a case with a remark above each line.

mod faults;
mod questions;

use std::io::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;
use scenarios::Bank;

use crate::author::draft::Draft;
use crate::author::versions::{Versions, versions};
use crate::author::{CaseCheck, Unusable, check};
use crate::bay::spelt;
use crate::cache::TourCache;
use crate::cli::author::bar::CasesBar;
use crate::cli::author::files::{case_named, id_of};
use crate::cli::author::found;
use crate::cli::prompt::{Stop, ask, say};
use crate::cli::{EXIT_FAILED, EXIT_OK, Streams};
use crate::show;

/// What `coldtrail author new` is asked. What no option answers is asked for, but for arrival, mileage
/// and shop: they have a line in the file to change.
#[derive(Args, Clone, Debug)]
pub struct NewArgs {
    /// The file to write; asked for where it is left out. None that is there is overwritten
    pub file: Option<PathBuf>,
    /// The car, as `coldtrail vehicles` names it
    #[arg(long, value_name = "ID")]
    pub vehicle: Option<String>,
    /// How hard it is: 1, 2 or 3
    #[arg(long)]
    pub level: Option<String>,
    /// A fault, as `coldtrail faults` names it, and how bad it is above 0 and up to 1; may be given
    /// more than once
    #[arg(long = "fault", value_name = "MODE=SEVERITY")]
    pub faults: Vec<String>,
    /// What led to the fault, likewise
    #[arg(long = "cause", value_name = "MODE=SEVERITY", requires = "faults")]
    pub causes: Vec<String>,
    /// The air, such as 30°C
    #[arg(long, allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// Its humidity, such as 50%
    #[arg(long)]
    pub humidity: Option<String>,
    /// Sunshine, such as 600W/m2
    #[arg(long)]
    pub sun: Option<String>,
    /// Who brings the car
    #[arg(long)]
    pub customer: Option<String>,
    /// What they say
    #[arg(long)]
    pub complaint: Option<String>,
    /// What the case is called in lists
    #[arg(long)]
    pub title: Option<String>,
    /// A line of the car's past; may be given more than once
    #[arg(long)]
    pub history: Vec<String>,
    /// How the car comes in: driven-in or cold
    #[arg(long)]
    pub arrival: Option<String>,
    /// Distance on its clock, such as 85000km
    #[arg(long)]
    pub mileage: Option<String>,
    /// The shop's name
    #[arg(long)]
    pub shop: Option<String>,
    /// Ask nothing: what no option answers is as usual, and nothing is broken without --fault
    #[arg(long)]
    pub defaults: bool,
    /// Write the file and leave the check out
    #[arg(long)]
    pub no_check: bool,
}

/// Writes a case, and says whether it can be used.
///
/// # Errors
/// A sentence where an option's answer does not fit, or the file cannot be written.
pub fn run(bank: &Bank, args: &NewArgs, streams: &mut Streams<'_>) -> Result<(String, u8), String> {
    // Before anything is asked: nobody answers a dozen questions for a name that is taken.
    let file = args.file.as_deref().map(|file| free(bank, file));
    let file = file.transpose()?;
    let mut draft = Draft::new(bank);
    questions::options(&mut draft, bank, args)?;
    let named = match (file, args.defaults) {
        (Some(file), true) => Ok(file),
        (None, true) => free(bank, &usual(&draft)).map_err(Stop::Broken),
        (file, false) => interview(&mut draft, bank, args, file, streams),
    };
    let file = match named {
        Ok(file) => file,
        Err(Stop::Broken(why) | Stop::Over(why)) => return Err(why),
        Err(Stop::Leave | Stop::GiveUp) => {
            return Err(
                "the answers ended before the case was whole: nothing has been written".to_owned(),
            );
        }
    };
    let name = file.display().to_string();
    write(&file, &draft.file(bank, id_of(&name)))?;
    let _ = writeln!(streams.output, "\n{name} is written.");
    if args.no_check {
        let page = format!("Check it with `coldtrail author check {name}`.\n");
        return Ok((show::wrapped(&page, streams.width), EXIT_OK));
    }
    let _ = writeln!(
        streams.output,
        "Checking it; the first time on a car and a day takes a while.\n"
    );
    let _ = streams.output.flush();
    checked(bank, &name, streams)
}

fn interview(
    draft: &mut Draft,
    bank: &Bank,
    args: &NewArgs,
    file: Option<PathBuf>,
    streams: &mut Streams<'_>,
) -> Result<PathBuf, Stop> {
    say(
        streams,
        "A new case. Enter takes what stands in brackets; `quit` leaves, and nothing is written.\n",
    )?;
    questions::ask_all(draft, bank, args, streams)?;
    if let Some(file) = file {
        return Ok(file);
    }
    let usual = usual(draft);
    loop {
        let answer = ask(
            streams,
            &format!("\nName of the file [{}] > ", usual.display()),
        )?;
        let asked = if answer.is_empty() {
            usual.clone()
        } else {
            PathBuf::from(answer)
        };
        match free(bank, &asked) {
            Ok(file) => return Ok(file),
            Err(why) => say(streams, &format!("{why}\n"))?,
        }
    }
}

/// A file named after the case.
fn usual(draft: &Draft) -> PathBuf {
    PathBuf::from(format!("{}.toml", spelt(&draft.title)))
}

/// The file, where a case can be written there under that name.
fn free(bank: &Bank, file: &Path) -> Result<PathBuf, String> {
    let mut file = file.to_owned();
    if file.extension().is_none_or(|extension| extension != "toml") {
        file.as_mut_os_string().push(".toml");
    }
    let name = file.display().to_string();
    if file.exists() {
        return Err(format!(
            "there is a file {name} already, and it is kept: give another name"
        ));
    }
    let id = id_of(&name);
    if bank.case(id).is_some() {
        return Err(format!(
            "there is a case called `{id}` already: give the file another name"
        ));
    }
    match Draft::new(bank).refused(bank, id) {
        Some(why) => Err(why),
        None => Ok(file),
    }
}

/// Writes a file that was not there, and the folders it is to be in.
fn write(file: &Path, text: &str) -> Result<(), String> {
    let folder = file.parent().unwrap_or(Path::new(""));
    if !folder.as_os_str().is_empty() {
        std::fs::create_dir_all(folder)
            .map_err(|error| format!("the folder {} cannot be made: {error}", folder.display()))?;
    }
    std::fs::File::create_new(file)
        .and_then(|mut file| file.write_all(text.as_bytes()))
        .map_err(|error| format!("{} cannot be written: {error}", file.display()))
}

fn checked(bank: &Bank, name: &str, streams: &mut Streams<'_>) -> Result<(String, u8), String> {
    let (bank, case) = case_named(bank, name, 1)?;
    let tours = TourCache::new(streams.cache.clone());
    let bar = CasesBar::new(1);
    bar.begin(id_of(name));
    let found = check(&bank, &case, &tours, &bar);
    let dealt = versions(&bank, &case.scenario.id, 0, &tours, &bar);
    bar.end();
    bar.clear();
    for notice in tours.notices() {
        let _ = writeln!(streams.errors, "note: {notice}");
    }
    let usable = found.is_ok() && dealt.narrow.is_none();
    let page = found::page(&bank, &case, &found, &dealt);
    let page = format!("{page}\n{}", verdict(name, &found, &dealt));
    let code = if usable { EXIT_OK } else { EXIT_FAILED };
    Ok((show::wrapped(&page, streams.width), code))
}

/// What came of the check, and what to do next: commands on lines of their own, to be copied.
fn verdict(name: &str, found: &Result<CaseCheck, Unusable>, dealt: &Versions) -> String {
    let what = match (found, &dealt.narrow) {
        (Ok(_), None) => "It passes. To look at it, and again on every save:",
        (Ok(_), Some(_)) => {
            "It does not pass yet: narrow the range named above. To see what that does:"
        }
        (Err(Unusable::LikeHealthy), _) => {
            "It does not pass yet: the fault is not felt. Change how bad it is, with a greater number up \
             to 1 behind `severity`, or choose a hotter day behind `temperature`. To see what that does:"
        }
        (Err(Unusable::NotTogether { .. }), _) => {
            "It does not pass yet: take one of the faults out, with the lines that belong to it. To see \
             what that does:"
        }
        (Err(Unusable::Fluid(_)), _) => "It does not pass. To see it:",
    };
    format!(
        "{what}\n  coldtrail author preview {name} --watch\nAnd to check it:\n  coldtrail author check {name}\n"
    )
}
