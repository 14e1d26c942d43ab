//! `coldtrail records`: the office that keeps sittings, and what it has kept.

mod class;
mod export;
mod learner;
mod password;
mod report;
mod rows;

pub(crate) use class::pages as class_pages;
pub(super) use rows::results;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use scenarios::Library;

use crate::cache::TourCache;
use crate::cli::assess;
use crate::cli::columns::table;
use crate::cli::{EXIT_FAILED, EXIT_OK, Streams};
use crate::invigilate::{marking, open};
use crate::records::entry::FINISHED;
use crate::records::exchange::bundle;
use crate::records::keys::KeysError;
use crate::records::office::now_ms;
use crate::records::store::Filter;
use crate::records::{Identity, Keys, Office, PublicKey, Sitting, StoreError, unhex};
use crate::show;

/// Where records are kept.
#[derive(Args, Clone, Debug)]
pub struct OfficeArgs {
    /// The folder of the office; left out, the one in the system's data folder
    #[arg(long, global = true, value_name = "FOLDER")]
    pub records: Option<PathBuf>,
    /// The address of a PostgreSQL store, postgres://..., in place of the file in the folder
    #[arg(long, global = true, value_name = "ADDRESS")]
    pub store: Option<String>,
}

impl OfficeArgs {
    /// The office's folder.
    ///
    /// # Errors
    /// A sentence where none is named and the system names none.
    pub(super) fn folder(&self, streams: &Streams<'_>) -> Result<PathBuf, String> {
        let folder = self.records.as_ref().or(streams.records.as_ref());
        folder.cloned().ok_or_else(|| {
            "the system names no folder for a program's data: name one with --records FOLDER"
                .to_owned()
        })
    }

    /// The office; none where nobody has set one up.
    ///
    /// # Errors
    /// A sentence on why it cannot be opened.
    pub(super) fn office(&self, streams: &Streams<'_>) -> Result<Option<Office>, String> {
        match self.records.as_ref().or(streams.records.as_ref()) {
            Some(folder) if Keys::are_in(folder) => {
                let office = Office::open(folder, self.store.as_deref());
                office.map(Some).map_err(|why| why.to_string())
            }
            _ => Ok(None),
        }
    }
}

/// What `coldtrail records` is asked.
#[derive(Args, Clone, Debug)]
pub struct RecordsArgs {
    #[command(subcommand)]
    what: What,
    #[command(flatten)]
    at: OfficeArgs,
}

#[derive(Clone, Debug, Subcommand)]
enum What {
    /// Set up an office: its keys and its store
    New,
    /// Set the password of whoever looks after sittings on the page
    Password,
    /// Print the office's public key and the recipient that others seal for; both may be known to anybody
    Keys,
    /// List the sittings it has kept
    List,
    /// Tell of one sitting: what was done, and what each program that marked it said
    Show {
        /// The sitting's id, as `list` has it
        sitting: String,
    },
    /// Mark a finished sitting again by this version of the program; earlier marks stay beside it
    Mark {
        /// The sitting's id, as `list` has it
        sitting: String,
    },
    /// Who stands where on a form, how far it can be relied on, and how its tasks did
    Class {
        /// The form's id
        form: String,
        /// Write the class table as a page of HTML, too
        #[arg(long, value_name = "FILE")]
        html: Option<PathBuf>,
    },
    /// Write a candidate's two sheets, to be printed
    Report {
        /// The sitting's id, as `list` has it
        sitting: String,
        #[command(flatten)]
        sheets: report::Sheets,
    },
    /// How a person does over time, how sure they are, and what to practise next
    Learner {
        /// The name, as it was given
        name: String,
        /// A day by which it has to be known, such as 2027-03-01
        #[arg(long, value_name = "DAY")]
        by: Option<jiff::civil::Date>,
    },
    /// Write records out: a file for sittings, entries, results and people each, or all of one person
    Export(export::ExportArgs),
    /// Write all sittings as one signed file that another office can take
    Bundle {
        /// The file to write
        file: PathBuf,
    },
    /// Take another office's signed file; taken twice it changes nothing
    Take {
        /// The file
        file: PathBuf,
        /// The public key of the office that signed it, as `new` printed it there
        #[arg(long, value_name = "KEY")]
        from: String,
    },
    /// Hold everything against chains, signatures and heads, and name what was changed or lost
    Verify,
    /// Erase a person: the name and every sitting
    Erase {
        /// The name, as it was given
        name: String,
    },
}

/// Does what is asked.
///
/// # Errors
/// A sentence on why it cannot be done.
pub fn run(
    library: &Library,
    args: &RecordsArgs,
    streams: &mut Streams<'_>,
) -> Result<(String, u8), String> {
    let folder = args.at.folder(streams)?;
    if matches!(args.what, What::New) {
        Office::create(&folder).map_err(|why| why.to_string())?;
        let text = format!(
            "The office stands in {}.\n{}Keep a copy of the folder where nobody else can read it: who has its keys can foresee\ntasks, sign records and open what is sealed for it, and without them nobody can.\n",
            folder.display(),
            keys(&folder)?
        );
        return Ok((text, EXIT_OK));
    }
    let missing = || {
        format!(
            "there is no office in {}: `coldtrail records new` sets one up",
            folder.display()
        )
    };
    if matches!(args.what, What::Keys) {
        if !Keys::are_in(&folder) {
            return Err(missing());
        }
        return Ok((keys(&folder)?, EXIT_OK));
    }
    let office = args.at.office(streams)?.ok_or_else(missing)?;
    let failed = |why: StoreError| why.to_string();
    match &args.what {
        What::New | What::Keys => Ok((String::new(), EXIT_OK)),
        What::Password => password::set(&office, streams).map(|text| (text, EXIT_OK)),
        What::List => list(&office, streams.width)
            .map(|text| (text, EXIT_OK))
            .map_err(failed),
        What::Show { sitting } => shown(library, &office, sitting).map(|text| {
            let text = show::wrapped(&text, streams.width);
            (text, EXIT_OK)
        }),
        What::Mark { sitting: id } => {
            let entries = office.store().entries(id).map_err(failed)?;
            let sitting = open::again(library, &office, &entries)?;
            let tours = TourCache::new(streams.cache.clone());
            let (marked, _) = assess::marked(&sitting, &tours)?;
            let count = marking::mark_again(&sitting, &office, id, &marked, now_ms())?;
            let text = match count {
                0 => "This version of the program has marked it before.\n".to_owned(),
                count => {
                    format!("{count} tasks marked; `coldtrail records show {id}` tells of them.\n")
                }
            };
            Ok((text, EXIT_OK))
        }
        What::Class { form: id, html } => {
            let form = assess::form_of(library, id)?;
            let pages = class_pages(library, &office, form)?;
            if let Some(file) = html {
                export::written(file, pages.class.as_bytes())?;
            }
            Ok((pages.text, EXIT_OK))
        }
        What::Report { sitting, sheets } => {
            let tours = TourCache::new(streams.cache.clone());
            let candidate = report::candidate(library, &office, sitting, &tours)?;
            sheets.write(&candidate).map(|text| (text, EXIT_OK))
        }
        What::Learner { name, by } => {
            let utc = jiff::tz::TimeZone::UTC;
            let day = by.map(|day| utc.to_timestamp(day.at(0, 0, 0, 0)));
            let day = day.transpose().map_err(|why| why.to_string())?;
            let by = day.map(jiff::Timestamp::as_second);
            let page = learner::page(library, &office, name, by)?;
            Ok((show::wrapped(&page, streams.width), EXIT_OK))
        }
        What::Export(args) => export::run(&office, args).map(|text| (text, EXIT_OK)),
        What::Bundle { file } => {
            let mut bytes = Vec::new();
            bundle(office.store().as_mut(), office.keys(), None, &mut bytes).map_err(failed)?;
            export::written(file, &bytes)?;
            Ok((format!("{} is written.\n", file.display()), EXIT_OK))
        }
        What::Take { file, from } => {
            let key = unhex(from.trim()).map(PublicKey);
            let key = key.ok_or("a public key has 64 digits, 0 to 9 and a to f")?;
            let bytes = std::fs::read(file)
                .map_err(|why| format!("{} cannot be read: {why}", file.display()))?;
            let taken = office.take(&bytes, &[key]).map_err(failed)?;
            let text = format!(
                "{} sittings: {} entries are new, {} were here; {} sittings were erased here and stay so.\n",
                taken.sittings, taken.added, taken.known, taken.erased
            );
            Ok((text, EXIT_OK))
        }
        What::Verify => {
            let report = office.verify().map_err(failed)?;
            let mut text = format!(
                "Looked at: sittings {}, entries {}, results {}.\n",
                report.sittings, report.entries, report.results
            );
            for fault in &report.faults {
                let _ = writeln!(text, "{fault}");
            }
            for line in &report.torn {
                let _ = writeln!(
                    text,
                    "Line {line} of the heads was torn while it was written: a program was stopped in that moment, before it told anybody."
                );
            }
            let clean = report.is_clean();
            text.push_str(if clean {
                "Everything is as it was written.\n"
            } else {
                "Something is not as it was written.\n"
            });
            let code = if clean { EXIT_OK } else { EXIT_FAILED };
            Ok((show::wrapped(&text, streams.width), code))
        }
        What::Erase { name } => {
            let known = export::person(&office, name)?;
            let count = office.erase(&known.id).map_err(failed)?;
            Ok((
                format!("{} and {count} sittings are erased.\n", known.name),
                EXIT_OK,
            ))
        }
    }
}

/// What others need of an office: the halves of its keys that anybody may have.
fn keys(folder: &Path) -> Result<String, String> {
    let failed = |why: KeysError| why.to_string();
    Ok(format!(
        "Its public key is {}.\nIts recipient is {}.\n",
        Keys::open(folder).map_err(failed)?.public_key(),
        Identity::open_or_make(folder).map_err(failed)?.recipient()
    ))
}

/// A moment as a person reads it, in universal time.
pub(crate) fn moment(wall_ms: i64) -> String {
    told_at(wall_ms, "%Y-%m-%d %H:%M UTC")
}

fn told_at(wall_ms: i64, form: &str) -> String {
    let moment = jiff::Timestamp::from_millisecond(wall_ms);
    moment.map_or_else(
        |_| wall_ms.to_string(),
        |moment| moment.strftime(form).to_string(),
    )
}

fn list(office: &Office, width: usize) -> Result<String, StoreError> {
    let mut store = office.store();
    let sittings: Vec<Sitting> = store.sittings()?;
    if sittings.is_empty() {
        return Ok("Nothing has been kept yet.\n".to_owned());
    }
    let people = store.people()?;
    let mut rows: Vec<[String; 5]> = Vec::new();
    for sitting in &sittings {
        let known = people.iter().find(|one| one.id == sitting.candidate);
        let entries = store.entries(&sitting.id)?;
        let verdict = entries.iter().rev().find(|entry| entry.kind == FINISHED);
        rows.push([
            sitting.id.clone(),
            known.map_or(&sitting.candidate, |one| &one.name).clone(),
            told_at(sitting.started_ms, "%Y-%m-%d"),
            verdict.map_or_else(
                || format!("open, {} steps", sitting.count),
                |entry| verdict_words(&entry.body),
            ),
            sitting.form.clone(),
        ]);
    }
    Ok(table(0, &rows, width))
}

/// What a sitting's last entry says.
fn verdict_words(body: &str) -> String {
    let body: serde_json::Value = serde_json::from_str(body).unwrap_or_default();
    let passed = body.get("passed").and_then(serde_json::Value::as_bool);
    let mark = body.get("mark").and_then(serde_json::Value::as_f64);
    match (passed, mark) {
        (Some(true), Some(mark)) => format!("passed, {mark:.0}"),
        (Some(false), Some(mark)) => format!("not passed, {mark:.0}"),
        _ => "cannot be read".to_owned(),
    }
}

/// A sitting's entries, and its marks by each program that gave any.
pub(crate) fn shown(library: &Library, office: &Office, id: &str) -> Result<String, String> {
    let failed = |why: StoreError| why.to_string();
    let mut store = office.store();
    let entries = store.entries(id).map_err(failed)?;
    if entries.is_empty() {
        return Err(format!(
            "no sitting is called `{id}`; `coldtrail records list` names them"
        ));
    }
    let mut text = format!("Sitting {id}\n\n");
    for entry in &entries {
        let said = assess::entry_words(entry);
        let _ = writeln!(
            text,
            "{:>4}  {}  {said}",
            entry.number,
            moment(entry.wall_ms)
        );
    }
    let filter = Filter {
        sitting: Some(id.to_owned()),
        ..Filter::default()
    };
    let rows = store.results(&filter).map_err(failed)?;
    let mut programs: Vec<&str> = rows.iter().map(|row| row.program.as_str()).collect();
    programs.sort_unstable();
    programs.dedup();
    for program in programs {
        let _ = writeln!(text, "\nMarked by {program}");
        for row in rows.iter().filter(|row| row.program == program) {
            let title = match library.bank.case(&row.item) {
                Some(case) => case.title.as_str(),
                None => row.item.as_str(),
            };
            let _ = writeln!(text, "  {:>3}  {:>3.0}  {title}", row.task, row.mark);
        }
    }
    Ok(text)
}
