//! Rows into bytes.

use std::io::{Error, Write};

use clap::ValueEnum;
use serde::ser::{Serialize, SerializeMap, Serializer};

use crate::record::{Cell, Row};

/// How a table is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Comma-separated values: names in the first line, empty where there is nothing
    Csv,
    /// JSON lines: an object a row, null where there is nothing
    #[value(alias = "json")]
    Jsonl,
}

/// Writes a table; the first row given is the columns' names.
pub struct Writer<W: Write> {
    kind: Kind<W>,
}

enum Kind<W: Write> {
    Csv(Box<csv::Writer<W>>),
    Jsonl { out: W, names: Vec<String> },
}

impl<W: Write> Writer<W> {
    /// A table of a format.
    #[must_use]
    pub fn new(out: W, format: Format) -> Self {
        let kind = match format {
            Format::Csv => Kind::Csv(Box::new(csv::Writer::from_writer(out))),
            Format::Jsonl => Kind::Jsonl {
                out,
                names: Vec::new(),
            },
        };
        Self { kind }
    }

    /// Writes a row.
    ///
    /// # Errors
    /// Whatever keeps the bytes from being written.
    pub fn row(&mut self, row: &Row) -> Result<(), Error> {
        match &mut self.kind {
            Kind::Csv(out) => out
                .write_record(row.iter().map(Cell::text))
                .map_err(Error::other),
            Kind::Jsonl { names, .. } if names.is_empty() => {
                *names = row.iter().map(Cell::text).collect();
                Ok(())
            }
            Kind::Jsonl { out, names } => {
                serde_json::to_writer(&mut *out, &Named { names, row })?;
                out.write_all(b"\n")
            }
        }
    }

    /// Writes what is still held back.
    ///
    /// # Errors
    /// Whatever keeps the bytes from being written.
    pub fn finish(self) -> Result<(), Error> {
        match self.kind {
            Kind::Csv(mut out) => out.flush(),
            Kind::Jsonl { mut out, .. } => out.flush(),
        }
    }
}

/// A row as an object, its columns in their order.
struct Named<'a> {
    names: &'a [String],
    row: &'a Row,
}

impl Serialize for Named<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.row.len()))?;
        for (name, cell) in self.names.iter().zip(self.row) {
            map.serialize_entry(name, cell)?;
        }
        map.end()
    }
}
