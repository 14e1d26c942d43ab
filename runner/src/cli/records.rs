//! `coldtrail records`: the office that keeps sittings, and what it has kept.

use std::fmt::Write as _;
use std::path::PathBuf;

use clap::{Args, Subcommand};
use scenarios::Library;

use crate::cli::columns::Columns;
use crate::cli::{EXIT_FAILED, EXIT_OK, Streams};
use crate::records::entry::FINISHED;
use crate::records::store::Filter;
use crate::records::{Keys, Office, Sitting, StoreError};
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
    /// List the sittings it has kept
    List,
    /// Tell of one sitting: what was done, and what each program that marked it said
    Show {
        /// The sitting's id, as `list` has it
        sitting: String,
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
        let office = Office::create(&folder).map_err(|why| why.to_string())?;
        let text = format!(
            "The office stands in {}.\nIts public key is {}.\nKeep a copy of the folder where nobody else can read it: who has its keys can foresee\ntasks and sign records, and without them nobody can.\n",
            folder.display(),
            office.keys().public_key()
        );
        return Ok((text, EXIT_OK));
    }
    let office = args.at.office(streams)?.ok_or_else(|| {
        format!(
            "there is no office in {}: `coldtrail records new` sets one up",
            folder.display()
        )
    })?;
    let failed = |why: StoreError| why.to_string();
    match &args.what {
        What::New => Ok((String::new(), EXIT_OK)),
        What::List => list(&office, streams.width)
            .map(|text| (text, EXIT_OK))
            .map_err(failed),
        What::Show { sitting } => shown(library, &office, sitting).map(|text| {
            let text = show::wrapped(&text, streams.width);
            (text, EXIT_OK)
        }),
        What::Verify => {
            let report = office.verify().map_err(failed)?;
            let mut text = format!(
                "{} sittings, {} entries, {} results looked at\n",
                report.sittings, report.entries, report.results
            );
            for fault in &report.faults {
                let _ = writeln!(text, "{fault}");
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
            let people = office.store().people().map_err(failed)?;
            let known = people.iter().find(|one| one.name == name.trim());
            let known = known.ok_or_else(|| format!("nobody here is called `{}`", name.trim()))?;
            let count = office.erase(&known.id).map_err(failed)?;
            Ok((
                format!("{} and {count} sittings are erased.\n", known.name),
                EXIT_OK,
            ))
        }
    }
}

/// A moment as a person reads it, in universal time.
fn moment(wall_ms: i64) -> String {
    let moment = jiff::Timestamp::from_millisecond(wall_ms);
    moment.map_or_else(
        |_| wall_ms.to_string(),
        |moment| moment.strftime("%Y-%m-%d %H:%M UTC").to_string(),
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
            moment(sitting.started_ms),
            sitting.form.clone(),
            verdict.map_or_else(
                || format!("open, {} entries", sitting.count),
                |entry| verdict_words(&entry.body),
            ),
            known.map_or(&sitting.candidate, |one| &one.name).clone(),
        ]);
    }
    fn cells(row: &[String; 5]) -> [&str; 5] {
        row.each_ref().map(String::as_str)
    }
    let columns = Columns::of(0, rows.iter().map(cells), width);
    let rows = rows.iter().map(|row| columns.row(cells(row)) + "\n");
    Ok(rows.collect())
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
fn shown(library: &Library, office: &Office, id: &str) -> Result<String, String> {
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
        let said = super::assess::entry_words(entry);
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
