//! A transaction in which entries are added on the server.

use std::collections::BTreeMap;

use postgres::Statement;
use postgres::types::ToSql;

use super::super::store::{Batch, Sitting};
use super::super::{Entry, ResultRow, StoreError, sql};
use super::said::of_server;
use super::{OnServer, rows};

/// A transaction on the server.
pub struct ServerBatch<'a> {
    pub(super) tables: OnServer<'a>,
    pub(super) statements: &'a mut BTreeMap<String, Statement>,
}

impl ServerBatch<'_> {
    fn statement(&mut self, text: &str) -> Result<Statement, StoreError> {
        if let Some(known) = self.statements.get(text) {
            return Ok(known.clone());
        }
        let statement = self
            .tables
            .transaction
            .prepare(text)
            .map_err(|why| of_server(self.tables.place, &why))?;
        self.statements.insert(text.to_owned(), statement.clone());
        Ok(statement)
    }

    fn one(
        &mut self,
        text: &str,
        values: &[&(dyn ToSql + Sync)],
    ) -> Result<Option<Entry>, StoreError> {
        let statement = self.statement(text)?;
        self.tables
            .transaction
            .query_opt(&statement, values)
            .and_then(|row| row.as_ref().map(rows::entry).transpose())
            .map_err(|why| of_server(self.tables.place, &why))
    }

    fn write(&mut self, text: &str, values: &[&(dyn ToSql + Sync)]) -> Result<u64, StoreError> {
        let statement = self.statement(text)?;
        self.tables
            .transaction
            .execute(&statement, values)
            .map_err(|why| of_server(self.tables.place, &why))
    }
}

impl Batch for ServerBatch<'_> {
    fn last(&mut self, sitting: &str) -> Result<Option<Entry>, StoreError> {
        self.one(sql::LAST, &[&sitting])
    }

    fn under_key(&mut self, sitting: &str, key: &str) -> Result<Option<Entry>, StoreError> {
        self.one(sql::UNDER_KEY, &[&sitting, &key])
    }

    fn at(&mut self, sitting: &str, number: u64) -> Result<Option<Entry>, StoreError> {
        self.one(sql::AT, &[&sitting, &rows::whole(number)])
    }

    fn is_graded(&mut self, sitting: &str, task: u32, program: &str) -> Result<bool, StoreError> {
        let statement = self.statement(sql::IS_GRADED)?;
        self.tables
            .transaction
            .query_opt(&statement, &[&sitting, &i64::from(task), &program])
            .map(|row| row.is_some())
            .map_err(|why| of_server(self.tables.place, &why))
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
        let (number, link) = (rows::whole(*number), link.as_slice());
        let values: [&(dyn ToSql + Sync); 7] = [sitting, &number, kind, body, key, wall_ms, &link];
        Ok(self.write(sql::ADD_ENTRY, &values)? == 1)
    }

    fn add_all(&mut self, entries: &[Entry]) -> Result<usize, StoreError> {
        let text = |of: fn(&Entry) -> &String| entries.iter().map(of).collect::<Vec<_>>();
        let number = entries.iter().map(|entry| rows::whole(entry.number));
        let number: Vec<i64> = number.collect();
        let wall_ms: Vec<i64> = entries.iter().map(|entry| entry.wall_ms).collect();
        let link: Vec<&[u8]> = entries.iter().map(|entry| entry.link.as_slice()).collect();
        let values: [&(dyn ToSql + Sync); 7] = [
            &text(|entry| &entry.sitting),
            &number,
            &text(|entry| &entry.kind),
            &text(|entry| &entry.body),
            &text(|entry| &entry.key),
            &wall_ms,
            &link,
        ];
        let added = self.write(sql::ADD_ENTRIES, &values)?;
        Ok(usize::try_from(added).unwrap_or(usize::MAX))
    }

    fn add_result(&mut self, number: u64, row: &ResultRow) -> Result<(), StoreError> {
        rows::with_values(number, row, |values| {
            self.write(sql::ADD_RESULT, values).map(|_| ())
        })
    }

    fn commit(self: Box<Self>) -> Result<(), StoreError> {
        let OnServer { transaction, place } = self.tables;
        transaction.commit().map_err(|why| of_server(place, &why))
    }
}
