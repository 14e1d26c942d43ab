//! A transaction in which entries are added to the file.

use rusqlite::types::ToSql;
use rusqlite::{OptionalExtension, params};

use super::super::store::{Batch, Sitting};
use super::super::{Entry, ResultRow, StoreError, sql};
use super::rows::entry;
use super::{InFile, of_file};

/// A transaction on the file.
pub struct FileBatch<'a>(pub(super) InFile<'a>);

impl FileBatch<'_> {
    fn failed(&self, error: &rusqlite::Error) -> StoreError {
        of_file(self.0.path, error)
    }

    fn one(&self, statement: &str, values: &[&dyn ToSql]) -> Result<Option<Entry>, StoreError> {
        self.0
            .transaction
            .prepare_cached(statement)
            .and_then(|mut statement| statement.query_row(values, entry).optional())
            .map_err(|error| self.failed(&error))
    }

    fn write(&self, statement: &str, values: &[&dyn ToSql]) -> Result<usize, StoreError> {
        self.0
            .transaction
            .prepare_cached(statement)
            .and_then(|mut statement| statement.execute(values))
            .map_err(|error| self.failed(&error))
    }
}

impl Batch for FileBatch<'_> {
    fn last(&mut self, sitting: &str) -> Result<Option<Entry>, StoreError> {
        self.one(sql::LAST, &[&sitting])
    }

    fn under_key(&mut self, sitting: &str, key: &str) -> Result<Option<Entry>, StoreError> {
        self.one(sql::UNDER_KEY, &[&sitting, &key])
    }

    fn at(&mut self, sitting: &str, number: u64) -> Result<Option<Entry>, StoreError> {
        self.one(sql::AT, &[&sitting, &number])
    }

    fn is_graded(&mut self, sitting: &str, task: u32, program: &str) -> Result<bool, StoreError> {
        self.0
            .transaction
            .prepare_cached(sql::IS_GRADED)
            .and_then(|mut statement| statement.exists(params![sitting, task, program]))
            .map_err(|error| self.failed(&error))
    }

    fn add_sitting(&mut self, sitting: &Sitting) -> Result<(), StoreError> {
        let Sitting {
            id,
            form,
            candidate,
            started_ms,
            ..
        } = sitting;
        self.write(sql::ADD_SITTING, &[id, form, candidate, started_ms])
            .map(|_| ())
    }

    fn add(&mut self, entry: &Entry) -> Result<bool, StoreError> {
        let Entry {
            sitting,
            number,
            kind,
            body,
            key,
            wall_ms,
            link,
        } = entry;
        let values: [&dyn ToSql; 7] = [sitting, number, kind, body, key, wall_ms, link];
        Ok(self.write(sql::ADD_ENTRY, &values)? == 1)
    }

    fn add_result(&mut self, number: u64, row: &ResultRow) -> Result<(), StoreError> {
        let values: [&dyn ToSql; 22] = [
            &row.sitting,
            &number,
            &row.task,
            &row.form,
            &row.candidate,
            &row.kind,
            &row.item,
            &row.answer,
            &row.right,
            &row.mark,
            &row.diagnosis,
            &row.evidence,
            &row.calibration,
            &row.efficiency,
            &row.safety,
            &row.hints,
            &row.grave_slips,
            &row.key_cue,
            &row.competencies,
            &row.shop_s,
            &row.program,
            &row.wall_ms,
        ];
        self.write(sql::ADD_RESULT, &values).map(|_| ())
    }

    fn commit(self: Box<Self>) -> Result<(), StoreError> {
        let InFile { transaction, path } = self.0;
        transaction.commit().map_err(|error| of_file(path, &error))
    }
}
