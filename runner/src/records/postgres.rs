//! The store on a PostgreSQL server, for a school with many rooms: one schema, `coldtrail`, in any database.
//!
//! The connection is not encrypted, so the server has to be on this machine, or behind a tunnel that ends on it.

use std::collections::BTreeMap;
use std::error::Error as _;
use std::net::IpAddr;
use std::time::Duration;

use postgres::config::Host;
use postgres::error::SqlState;
use postgres::fallible_iterator::FallibleIterator;
use postgres::types::ToSql;
use postgres::{Client, Config, Error, NoTls, Statement, Transaction};

use super::migrate::{Tables, Types, known, migrate};
use super::sql::{self, Asked};
use super::store::{Batch, Erased, Filter, Person, See, Sitting, Store};
use super::{Entry, ResultRow, StoreError};

mod rows;

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

/// Host and database, and no password.
fn place(config: &Config) -> String {
    let host = config.get_hosts().first().map_or_else(
        || "localhost".to_owned(),
        |host| match host {
            Host::Tcp(name) => name.clone(),
            #[cfg(unix)]
            Host::Unix(path) => path.display().to_string(),
        },
    );
    let database = config.get_dbname().or(config.get_user()).unwrap_or("");
    format!("{database} on {host}")
}

/// The first host, by name or by address, that is not this machine.
fn beyond_this_machine(config: &Config) -> Option<String> {
    let by_name = config.get_hosts().iter().find_map(|host| match host {
        Host::Tcp(name) => {
            let here = name == "localhost"
                || name
                    .parse::<IpAddr>()
                    .is_ok_and(|address| address.is_loopback());
            (!here).then(|| name.clone())
        }
        #[cfg(unix)]
        Host::Unix(_) => None,
    });
    let by_address = config.get_hostaddrs().iter();
    let by_address = by_address.filter(|address| !address.is_loopback());
    by_name.or(by_address.map(IpAddr::to_string).next())
}

/// An error with what is behind it, which the crate's own text leaves out.
fn in_full(why: &Error) -> String {
    match why.source() {
        Some(source) => format!("{why}: {source}"),
        None => why.to_string(),
    }
}

/// What the server says, as a sentence of ours.
fn of_server(place: &str, why: &Error) -> StoreError {
    let Some(code) = why.code() else {
        let broken = |source: &(dyn std::error::Error + 'static)| source.is::<std::io::Error>();
        return if why.is_closed() || why.source().is_some_and(broken) {
            StoreError::Gone(in_full(why))
        } else {
            StoreError::Other(in_full(why))
        };
    };
    let lost = [
        SqlState::ADMIN_SHUTDOWN,
        SqlState::CRASH_SHUTDOWN,
        SqlState::CANNOT_CONNECT_NOW,
    ];
    let busy = [
        SqlState::LOCK_NOT_AVAILABLE,
        SqlState::T_R_DEADLOCK_DETECTED,
        SqlState::T_R_SERIALIZATION_FAILURE,
        SqlState::TOO_MANY_CONNECTIONS,
    ];
    let forbidden = [
        SqlState::INSUFFICIENT_PRIVILEGE,
        SqlState::READ_ONLY_SQL_TRANSACTION,
    ];
    if lost.contains(code) || code.code().starts_with("08") {
        StoreError::Gone(in_full(why))
    } else if busy.contains(code) {
        StoreError::Busy
    } else if forbidden.contains(code) {
        StoreError::ReadOnly(place.to_owned())
    } else if *code == SqlState::DISK_FULL {
        StoreError::Full
    } else if *code == SqlState::IO_ERROR || code.code().starts_with("XX") {
        StoreError::Damaged(in_full(why))
    } else {
        StoreError::Other(in_full(why))
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

    fn each_entry(&mut self, sitting: Option<&str>, see: See<'_, Entry>) -> Result<(), StoreError> {
        let text = sql::entries(sitting.is_some());
        match sitting {
            Some(sitting) => self.link.each(&text, &[&sitting], rows::entry, see),
            None => self.link.each(&text, &[], rows::entry, see),
        }
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

struct ServerBatch<'a> {
    tables: OnServer<'a>,
    statements: &'a mut BTreeMap<String, Statement>,
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
