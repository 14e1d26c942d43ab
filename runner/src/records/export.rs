//! Everything that is kept, as CSV or JSON lines, in an order that does not depend on the store.
//!
//! A spreadsheet takes a cell that begins with `=` or the like for a formula and runs it, and a candidate chooses
//! a name. So in CSV a text that begins so stands behind an apostrophe, as OWASP has it (ASVS 5.0, 1.2.10).
//! Numbers are numbers, and JSON lines hold each text as it is.

use std::io::Write;

use serde::{Deserialize, Serialize};

use super::store::{Filter, Of, Store};
use super::{Entry, Person, ResultRow, Sitting, StoreError, hex, unhex};

/// What is written out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum What {
    /// Sittings, by id.
    Sittings,
    /// Entries, by sitting and number.
    Entries,
    /// Results, by sitting, task and the order in which they were graded.
    Results,
    /// People, by id. The only export with names in it.
    People,
}

/// All there is to write out.
pub const ALL: [What; 4] = [What::Sittings, What::Entries, What::Results, What::People];

/// How it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// A line of names, then a line each, with commas between values.
    Csv,
    /// A JSON object a line.
    JsonLines,
}

/// An entry as its line is written.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct EntryLine {
    sitting: String,
    number: u64,
    kind: String,
    key: String,
    wall_ms: i64,
    link: String,
    body: String,
}

impl EntryLine {
    pub(super) fn of(entry: Entry) -> Self {
        Self {
            sitting: entry.sitting,
            number: entry.number,
            kind: entry.kind,
            key: entry.key,
            wall_ms: entry.wall_ms,
            link: hex(&entry.link),
            body: entry.body,
        }
    }

    /// The entry; nothing where its link is none.
    pub(super) fn entry(self) -> Option<Entry> {
        Some(Entry {
            link: unhex(&self.link)?,
            sitting: self.sitting,
            number: self.number,
            kind: self.kind,
            key: self.key,
            wall_ms: self.wall_ms,
            body: self.body,
        })
    }
}

#[derive(Serialize)]
struct SittingLine {
    sitting: String,
    form: String,
    candidate: String,
    started_ms: i64,
    count: u64,
    link: String,
}

impl SittingLine {
    fn of(sitting: Sitting) -> Self {
        Self {
            sitting: sitting.id,
            form: sitting.form,
            candidate: sitting.candidate,
            started_ms: sitting.started_ms,
            count: sitting.count,
            link: hex(&sitting.link),
        }
    }
}

/// What a spreadsheet may take for the beginning of a formula.
const FORMULA: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\n'];

/// Lines whose texts can be put out of a spreadsheet's reach.
trait Texts {
    /// The texts in it that may be anything.
    fn texts(&mut self) -> Vec<&mut String>;
}

impl Texts for SittingLine {
    fn texts(&mut self) -> Vec<&mut String> {
        vec![&mut self.sitting, &mut self.form, &mut self.candidate]
    }
}

impl Texts for EntryLine {
    fn texts(&mut self) -> Vec<&mut String> {
        vec![
            &mut self.sitting,
            &mut self.kind,
            &mut self.key,
            &mut self.body,
        ]
    }
}

impl Texts for ResultRow {
    fn texts(&mut self) -> Vec<&mut String> {
        vec![
            &mut self.sitting,
            &mut self.form,
            &mut self.candidate,
            &mut self.kind,
            &mut self.item,
            &mut self.answer,
            &mut self.competencies,
            &mut self.program,
        ]
    }
}

impl Texts for Person {
    fn texts(&mut self) -> Vec<&mut String> {
        vec![&mut self.id, &mut self.name]
    }
}

/// Writes lines in one of the formats.
enum Lines<'a> {
    Csv(Box<csv::Writer<&'a mut dyn Write>>),
    Json(&'a mut dyn Write),
}

impl Lines<'_> {
    fn write(&mut self, mut line: impl Serialize + Texts) -> Result<(), StoreError> {
        let failed = |why: String| StoreError::Output(why);
        match self {
            Self::Csv(lines) => {
                for text in line.texts() {
                    if text.starts_with(FORMULA) {
                        text.insert(0, '\'');
                    }
                }
                lines.serialize(line).map_err(|why| failed(why.to_string()))
            }
            Self::Json(out) => {
                serde_json::to_writer(&mut **out, &line).map_err(|why| failed(why.to_string()))?;
                out.write_all(b"\n").map_err(|why| failed(why.to_string()))
            }
        }
    }

    fn end(self) -> Result<(), StoreError> {
        let ended = match self {
            Self::Csv(mut lines) => lines.flush(),
            Self::Json(out) => out.flush(),
        };
        ended.map_err(|why| StoreError::Output(why.to_string()))
    }
}

/// Writes out one kind of what is kept; entries and results one after the other, however many.
///
/// # Errors
/// The store cannot be read, or the lines cannot be written.
pub fn export(
    store: &mut dyn Store,
    what: What,
    format: Format,
    out: &mut dyn Write,
) -> Result<(), StoreError> {
    let mut lines = match format {
        Format::Csv => Lines::Csv(Box::new(csv::Writer::from_writer(out))),
        Format::JsonLines => Lines::Json(out),
    };
    match what {
        What::Sittings => {
            for sitting in store.sittings()? {
                lines.write(SittingLine::of(sitting))?;
            }
        }
        What::Entries => {
            store.each_entry(Of::All, &mut |entry| lines.write(EntryLine::of(entry)))?;
        }
        What::Results => {
            store.each_result(&Filter::default(), &mut |(_, row)| lines.write(row))?;
        }
        What::People => {
            for person in store.people()? {
                lines.write(person)?;
            }
        }
    }
    lines.end()
}
