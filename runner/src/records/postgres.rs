//! The store on a PostgreSQL server, for a school with many rooms: one schema, `coldtrail`, in any database.
//!
//! The connection is not encrypted, so the server has to be on this machine, or behind a tunnel that ends on it.

use std::collections::BTreeMap;
use std::time::Duration;

use postgres::fallible_iterator::FallibleIterator;
use postgres::types::ToSql;
use postgres::{Client, Config, Error, NoTls, Statement, Transaction};

use super::migrate::{Tables, Types, known, migrate};
use super::sql::{self, Asked};
use super::store::{Batch, Erased, Filter, Of, Person, See, Sitting, Store};
use super::{Entry, ResultRow, StoreError};

mod batch;
mod rows;
mod said;

use batch::ServerBatch;
use said::{beyond_this_machine, in_full, of_server, place};

/// A number of our own for the lock under which one process at a time changes tables: "CTrl".
const MIGRATING: i64 = 0x4354_726c;

/// How long to wait for a server, or for somebody else's transaction.
const PATIENCE: Duration = Duration::from_secs(10);

/// A store on a server.
pub struct Postgres {
    config: Config,
    link: Link,
}

/// The connection, with the statements it has seen before.
struct Link {
    place: String,
    client: Client,
    statements: BTreeMap<String, Statement>,
}

impl Postgres {
    /// Connects to an address such as `postgres://user@localhost/database`, and brings its tables to the newest
    /// version.
    ///
    /// # Errors
    /// A sentence on why it cannot be used. No error holds a password.
    pub fn open(address: &str) -> Result<Self, StoreError> {
        let unread = || "at the given address".to_owned();
        let mut config: Config = address
            .parse()
            .map_err(|why: Error| StoreError::CannotOpen(unread(), in_full(&why)))?;
        config.connect_timeout(PATIENCE);
        config.application_name("coldtrail");
        let place = place(&config);
        if let Some(host) = beyond_this_machine(&config) {
            return Err(StoreError::Unsafe(format!(
                "{host} is not this machine, and the connection would not be encrypted; lead it through a tunnel that ends on localhost"
            )));
        }
        let link = Link::make(&config, place)?;
        Ok(Self { config, link })
    }
}

impl Link {
    fn make(config: &Config, place: String) -> Result<Self, StoreError> {
        let client = config
            .connect(NoTls)
            .map_err(|why| StoreError::CannotOpen(place.clone(), in_full(&why)))?;
        let mut link = Self {
            place,
            client,
            statements: BTreeMap::new(),
        };
        link.set_up()?;
        Ok(link)
    }

    fn set_up(&mut self) -> Result<(), StoreError> {
        let patience = PATIENCE.as_millis();
        let set_up = format!("SET lock_timeout = {patience}; SET search_path = coldtrail;");
        self.client
            .batch_execute(&set_up)
            .map_err(|why| of_server(&self.place, &why))?;
        if self.shown("SHOW server_encoding")? != "UTF8" {
            return Err(StoreError::Unsafe(
                "the database's encoding is not UTF8; make one with `createdb -E UTF8 -T template0`"
                    .to_owned(),
            ));
        }
        if self.shown("SHOW fsync")? != "on" {
            return Err(StoreError::Unsafe(
                "the server runs with `fsync = off`, and would lose answers when its power fails; set it to `on`"
                    .to_owned(),
            ));
        }
        if ["off", "local"].contains(&self.shown("SHOW synchronous_commit")?.as_str()) {
            self.client
                .batch_execute("SET synchronous_commit = on")
                .map_err(|why| of_server(&self.place, &why))?;
        }
        let place = &self.place;
        let failed = |why: Error| of_server(place, &why);
        let transaction = self.client.transaction().map_err(failed)?;
        let mut tables = OnServer { transaction, place };
        tables.run(&format!("SELECT pg_advisory_xact_lock({MIGRATING})"))?;
        migrate(&mut tables)?;
        tables.transaction.commit().map_err(failed)
    }

    fn shown(&mut self, statement: &str) -> Result<String, StoreError> {
        self.client
            .query_one(statement, &[])
            .and_then(|row| row.try_get(0))
            .map_err(|why| of_server(&self.place, &why))
    }

    fn failed(&self, why: &Error) -> StoreError {
        of_server(&self.place, why)
    }

    fn statement(&mut self, text: &str) -> Result<Statement, StoreError> {
        if let Some(known) = self.statements.get(text) {
            return Ok(known.clone());
        }
        let statement = self
            .client
            .prepare(text)
            .map_err(|why| of_server(&self.place, &why))?;
        self.statements.insert(text.to_owned(), statement.clone());
        Ok(statement)
    }

    /// Rows one after the other as the server sends them: never all of them at once.
    fn each<T>(
        &mut self,
        text: &str,
        values: &[&(dyn ToSql + Sync)],
        read: impl Fn(&postgres::Row) -> Result<T, Error>,
        see: See<'_, T>,
    ) -> Result<(), StoreError> {
        let statement = self.statement(text)?;
        let place = &self.place;
        let failed = |why: Error| of_server(place, &why);
        let values = values.iter().copied();
        let mut rows = self.client.query_raw(&statement, values).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            see(read(&row).map_err(failed)?)?;
        }
        Ok(())
    }

    fn all<T>(
        &mut self,
        text: &str,
        read: impl Fn(&postgres::Row) -> Result<T, Error>,
    ) -> Result<Vec<T>, StoreError> {
        let mut found = Vec::new();
        self.each(text, &[], read, &mut |one| {
            found.push(one);
            Ok(())
        })?;
        Ok(found)
    }
}

struct OnServer<'a> {
    transaction: Transaction<'a>,
    place: &'a str,
}

impl OnServer<'_> {
    fn yes(&mut self, question: &str) -> Result<bool, StoreError> {
        self.transaction
            .query_one(question, &[])
            .and_then(|row| row.try_get(0))
            .map_err(|why| of_server(self.place, &why))
    }
}

impl Tables for OnServer<'_> {
    fn types(&self) -> Types {
        Types {
            text: "TEXT COLLATE \"C\"",
            whole: "BIGINT",
            real: "DOUBLE PRECISION",
            flag: "BOOLEAN",
            bytes: "BYTEA",
            strict: "",
        }
    }

    fn version(&mut self) -> Result<Option<i64>, StoreError> {
        if !self.yes("SELECT to_regnamespace('coldtrail') IS NOT NULL")? {
            self.run("CREATE SCHEMA coldtrail")?;
            return Ok(None);
        }
        if self.yes("SELECT to_regclass('coldtrail.store_version') IS NULL")? {
            let used = "SELECT EXISTS (SELECT FROM pg_class WHERE relnamespace = 'coldtrail'::regnamespace)";
            return if self.yes(used)? {
                Err(StoreError::NotAStore(self.place.to_owned()))
            } else {
                Ok(None)
            };
        }
        let version = self
            .transaction
            .query_one("SELECT version FROM coldtrail.store_version", &[])
            .and_then(|row| row.try_get(0))
            .map_err(|why| of_server(self.place, &why))?;
        known(version)?;
        Ok(Some(version))
    }

    fn run(&mut self, statements: &str) -> Result<(), StoreError> {
        self.transaction
            .batch_execute(statements)
            .map_err(|why| of_server(self.place, &why))
    }

    fn set_version(&mut self, version: i64) -> Result<(), StoreError> {
        self.run(&format!(
            "CREATE TABLE IF NOT EXISTS store_version (version BIGINT NOT NULL); DELETE FROM store_version; INSERT INTO store_version VALUES ({version});"
        ))
    }
}

impl Store for Postgres {
    fn place(&self) -> String {
        self.link.place.clone()
    }

    fn shared(&self) -> bool {
        true
    }

    fn batch(&mut self) -> Result<Box<dyn Batch + '_>, StoreError> {
        let Link {
            place,
            client,
            statements,
        } = &mut self.link;
        let transaction = client.transaction().map_err(|why| of_server(place, &why))?;
        Ok(Box::new(ServerBatch {
            tables: OnServer { transaction, place },
            statements,
        }))
    }

    fn revive(&mut self) -> Result<(), StoreError> {
        if self.link.client.is_valid(PATIENCE).is_err() {
            self.link = Link::make(&self.config, self.link.place.clone())?;
        }
        Ok(())
    }

    fn each_entry(&mut self, of: Of<'_>, see: See<'_, Entry>) -> Result<(), StoreError> {
        let (text, values) = sql::entries(of);
        let values: Vec<&(dyn ToSql + Sync)> = values
            .iter()
            .map(|one| one as &(dyn ToSql + Sync))
            .collect();
        self.link.each(&text, &values, rows::entry, see)
    }

    fn each_result(
        &mut self,
        filter: &Filter,
        see: See<'_, (u64, ResultRow)>,
    ) -> Result<(), StoreError> {
        let (text, asked) = sql::results(filter);
        let values = asked.iter().map(|asked| match asked {
            Asked::Text(text) => *text as &(dyn ToSql + Sync),
            Asked::Whole(whole) => *whole as &(dyn ToSql + Sync),
        });
        let values: Vec<&(dyn ToSql + Sync)> = values.collect();
        self.link.each(&text, &values, rows::result, see)
    }

    fn sittings(&mut self) -> Result<Vec<Sitting>, StoreError> {
        self.link.all(sql::SITTINGS, rows::sitting)
    }

    fn people(&mut self) -> Result<Vec<Person>, StoreError> {
        self.link.all(sql::PEOPLE, rows::person)
    }

    fn name_person(&mut self, person: &Person) -> Result<(), StoreError> {
        self.link
            .client
            .execute(sql::NAME_PERSON, &[&person.id, &person.name])
            .map(|_| ())
            .map_err(|why| self.link.failed(&why))
    }

    fn erase(&mut self, candidate: &str, sittings: &[Erased]) -> Result<(), StoreError> {
        let erase = |client: &mut Client| -> Result<(), Error> {
            let mut transaction = client.transaction()?;
            transaction.execute(sql::ERASE_PERSON, &[&candidate])?;
            for erased in sittings {
                for statement in sql::ERASE_SITTING {
                    transaction.execute(statement, &[&erased.sitting])?;
                }
                transaction.execute(
                    sql::ADD_ERASED,
                    &[
                        &erased.sitting,
                        &rows::whole(erased.count),
                        &erased.wall_ms,
                        &erased.signature,
                    ],
                )?;
            }
            transaction.commit()
        };
        erase(&mut self.link.client).map_err(|why| self.link.failed(&why))
    }

    fn erased(&mut self) -> Result<Vec<Erased>, StoreError> {
        self.link.all(sql::ERASED, rows::erased)
    }
}
