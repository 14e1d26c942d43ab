//! `coldtrail records export`: what an office has kept, for other programs and for the person it is about.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use serde_json::{Value, json};

use crate::records::entry::FINISHED;
use crate::records::export::{ALL, Format, What, export};
use crate::records::store::Filter;
use crate::records::xapi::{self, Decided};
use crate::records::{Entry, Office, Person, Sitting, StoreError};

/// What `coldtrail records export` is asked.
#[derive(Args, Clone, Debug)]
pub(super) struct ExportArgs {
    /// The folder to write into
    folder: PathBuf,
    /// How
    #[arg(long, value_enum, default_value = "csv")]
    format: ExportFormat,
    /// All there is of one person, by the name, as one JSON file
    #[arg(long, value_name = "NAME", conflicts_with = "format")]
    of: Option<String>,
}

/// How records are written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum ExportFormat {
    /// A line of names, then a line each, with commas between
    Csv,
    /// A JSON object a line
    Json,
    /// Statements in the form of IEEE 9274.1.1 (xAPI), about tasks and sittings
    Xapi,
}

/// Writes records out, and names the files.
pub(super) fn run(office: &Office, args: &ExportArgs) -> Result<String, String> {
    let folder = &args.folder;
    std::fs::create_dir_all(folder)
        .map_err(|why| format!("{} cannot be made: {why}", folder.display()))?;
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    match (&args.of, args.format) {
        (Some(name), _) => files.push(("person.json".to_owned(), all_of(office, name)?)),
        (None, ExportFormat::Xapi) => {
            let statements = statements(office).map_err(|why| why.to_string())?;
            let text = serde_json::to_string_pretty(&statements).map_err(|why| why.to_string())?;
            files.push(("statements.json".to_owned(), (text + "\n").into_bytes()));
        }
        (None, ExportFormat::Csv) => files.extend(lines(office, Format::Csv, "csv")?),
        (None, ExportFormat::Json) => files.extend(lines(office, Format::JsonLines, "jsonl")?),
    }
    let mut text = String::new();
    for (name, bytes) in files {
        let file = folder.join(name);
        written(&file, &bytes)?;
        let _ = writeln!(text, "{}", file.display());
    }
    Ok(text)
}

/// Everything, a file for each kind.
fn lines(office: &Office, format: Format, ending: &str) -> Result<Vec<(String, Vec<u8>)>, String> {
    let mut files = Vec::new();
    for what in ALL {
        let name = match what {
            What::Sittings => "sittings",
            What::Entries => "entries",
            What::Results => "results",
            What::People => "people",
        };
        let mut bytes = Vec::new();
        export(office.store().as_mut(), what, format, &mut bytes).map_err(|why| why.to_string())?;
        files.push((format!("{name}.{ending}"), bytes));
    }
    Ok(files)
}

/// A person by the name.
pub(super) fn person(office: &Office, name: &str) -> Result<Person, String> {
    let people = office.store().people().map_err(|why| why.to_string())?;
    let known = people.into_iter().find(|one| one.name == name.trim());
    known.ok_or_else(|| format!("nobody here is called `{}`", name.trim()))
}

/// All there is of a person: what somebody is given who asks what is known of them.
fn all_of(office: &Office, name: &str) -> Result<Vec<u8>, String> {
    let person = person(office, name)?;
    let mut store = office.store();
    let failed = |why: StoreError| why.to_string();
    let mut sittings = Vec::new();
    for sitting in store.sittings().map_err(failed)? {
        if sitting.candidate == person.id {
            let entries = store.entries(&sitting.id).map_err(failed)?;
            sittings.push(told(&sitting, &entries));
        }
    }
    let filter = Filter {
        candidate: Some(person.id.clone()),
        ..Filter::default()
    };
    let all = json!({
        "person": person,
        "sittings": sittings,
        "results": store.results(&filter).map_err(failed)?,
    });
    let text = serde_json::to_string_pretty(&all).map_err(|why| why.to_string())?;
    Ok((text + "\n").into_bytes())
}

fn told(sitting: &Sitting, entries: &[Entry]) -> Value {
    let entries = entries.iter().map(|entry| {
        json!({
            "number": entry.number,
            "kind": entry.kind,
            "body": serde_json::from_str(&entry.body).unwrap_or(Value::String(entry.body.clone())),
            "wall_ms": entry.wall_ms,
        })
    });
    json!({
        "id": sitting.id,
        "form": sitting.form,
        "started_ms": sitting.started_ms,
        "entries": entries.collect::<Vec<_>>(),
    })
}

/// A statement for each marked task and each finished sitting.
fn statements(office: &Office) -> Result<Vec<Value>, StoreError> {
    let key = office.keys().public_key();
    let mut store = office.store();
    let mut statements = Vec::new();
    for row in store.results(&Filter::default())? {
        statements.push(xapi::of_task(&key, &row)?);
    }
    for sitting in store.sittings()? {
        let entries = store.entries(&sitting.id)?;
        let last = entries.iter().rev().find(|entry| entry.kind == FINISHED);
        let body = last.and_then(|last| serde_json::from_str::<Value>(&last.body).ok());
        let (Some(last), Some(body)) = (last, body) else {
            continue;
        };
        let decided = (body["passed"].as_bool(), body["mark"].as_f64());
        if let (Some(passed), Some(mark)) = decided {
            statements.push(xapi::of_sitting(
                &key,
                &Decided {
                    sitting: sitting.id,
                    form: sitting.form,
                    candidate: sitting.candidate,
                    passed,
                    mark,
                    wall_ms: last.wall_ms,
                },
            )?);
        }
    }
    Ok(statements)
}

/// Writes a file, or says why it cannot be.
pub(super) fn written(file: &Path, bytes: &[u8]) -> Result<(), String> {
    std::fs::write(file, bytes)
        .map_err(|why| format!("{} cannot be written: {why}", file.display()))
}
