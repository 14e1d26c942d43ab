//! The store in a file: SQLite with a write-ahead log, made durable at every commit.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::types::ToSql;
use rusqlite::{Connection, ErrorCode, OpenFlags, Row, Transaction, TransactionBehavior, params};

use super::migrate::{Tables, Types, migrate};
use super::sql::{self, Asked};
use super::store::{Batch, Erased, Filter, Of, Person, See, Sitting, Store};
use super::{Entry, ResultRow, StoreError};

mod batch;
mod rows;

use batch::FileBatch;
use rows::{count, entry, result};

/// Written in the file's header, so that no other program's file is taken for a store: "CTrl".
const APPLICATION: i64 = 0x4354_726c;

/// How long somebody else may hold the file before we give up.
const PATIENCE: Duration = Duration::from_secs(10);

/// A store in a file.
#[derive(Debug)]
pub struct Sqlite {
    path: PathBuf,
    connection: Connection,
}

impl Sqlite {
    /// Opens the file, makes it where there is none, and brings it to the newest version.
    ///
    /// # Errors
    /// A sentence on why it cannot be used.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let shown = || path.display().to_string();
        let at = |error: rusqlite::Error| of_file(path, &error);
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut connection = Connection::open_with_flags(path, flags).map_err(at)?;
        connection.busy_timeout(PATIENCE).map_err(at)?;
        // Looked at before anything is written: a foreign file stays as it is.
        look(&connection, path)?;
        if connection.is_readonly("main").map_err(at)? {
            return Err(StoreError::ReadOnly(shown()));
        }
        let mode: String = connection
            .query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))
            .map_err(at)?;
        if mode != "wal" {
            return Err(StoreError::Unsafe(format!(
                "the disk of {} allows no write-ahead log; put the records on a local disk",
                shown()
            )));
        }
        connection
            .execute_batch(
                "PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON; PRAGMA secure_delete = ON;",
            )
            .map_err(at)?;
        bring_up(&mut connection, path)?;
        Ok(Self {
            path: path.to_owned(),
            connection,
        })
    }

    /// Lets the file grow to so many pages of 4 KiB and no further: what is beyond is a full disk.
    ///
    /// # Errors
    /// The file cannot be read.
    pub fn at_most_pages(&mut self, pages: u32) -> Result<(), StoreError> {
        self.connection
            .pragma_update(None, "max_page_count", pages)
            .map_err(|error| of_file(&self.path, &error))
    }

    fn failed(&self, error: &rusqlite::Error) -> StoreError {
        of_file(&self.path, error)
    }
}

fn bring_up(connection: &mut Connection, path: &Path) -> Result<(), StoreError> {
    let transaction = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(|error| of_file(path, &error))?;
    let mut tables = InFile { transaction, path };
    migrate(&mut tables)?;
    let InFile { transaction, .. } = tables;
    transaction.commit().map_err(|error| of_file(path, &error))
}

/// The version written in the file; nothing where the file is empty.
fn look(connection: &Connection, path: &Path) -> Result<Option<i64>, StoreError> {
    let number = |statement: &str| -> Result<i64, StoreError> {
        connection
            .query_row(statement, [], |row| row.get(0))
            .map_err(|error| of_file(path, &error))
    };
    let application = number("PRAGMA application_id")?;
    let tables = number("SELECT count(*) FROM sqlite_schema")?;
    if application == 0 && tables == 0 {
        return Ok(None);
    }
    if application != APPLICATION {
        return Err(StoreError::NotAStore(path.display().to_string()));
    }
    let version = number("PRAGMA user_version")?;
    super::migrate::known(version)?;
    Ok(Some(version))
}

/// What SQLite says, as a sentence of ours.
fn of_file(path: &Path, error: &rusqlite::Error) -> StoreError {
    let shown = path.display().to_string();
    match error.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => StoreError::Full,
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => StoreError::Busy,
        Some(ErrorCode::NotADatabase) => StoreError::NotAStore(shown),
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => StoreError::ReadOnly(shown),
        Some(ErrorCode::CannotOpen) => StoreError::CannotOpen(shown, error.to_string()),
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::SystemIoFailure) => {
            StoreError::Damaged(error.to_string())
        }
        _ => StoreError::Other(error.to_string()),
    }
}

struct InFile<'a> {
    transaction: Transaction<'a>,
    path: &'a Path,
}

impl Tables for InFile<'_> {
    fn types(&self) -> Types {
        Types {
            text: "TEXT",
            whole: "INTEGER",
            real: "REAL",
            flag: "INTEGER",
            bytes: "BLOB",
            strict: " STRICT",
        }
    }

    fn version(&mut self) -> Result<Option<i64>, StoreError> {
        look(&self.transaction, self.path)
    }

    fn run(&mut self, statements: &str) -> Result<(), StoreError> {
        self.transaction
            .execute_batch(statements)
            .map_err(|error| of_file(self.path, &error))
    }

    fn set_version(&mut self, version: i64) -> Result<(), StoreError> {
        self.run(&format!(
            "PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {version};"
        ))
    }
}

impl Store for Sqlite {
    fn place(&self) -> String {
        self.path.display().to_string()
    }

    fn shared(&self) -> bool {
        false
    }

    fn batch(&mut self) -> Result<Box<dyn Batch + '_>, StoreError> {
        let path = &self.path;
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(|error| of_file(path, &error))?;
        Ok(Box::new(FileBatch(InFile { transaction, path })))
    }

    fn revive(&mut self) -> Result<(), StoreError> {
        // A file has no connection to lose.
        Ok(())
    }

    fn each_entry(&mut self, of: Of<'_>, see: See<'_, Entry>) -> Result<(), StoreError> {
        let failed = |error| self.failed(&error);
        let (text, values) = sql::entries(of);
        let mut statement = self.connection.prepare_cached(&text).map_err(failed)?;
        let mut rows = statement
            .query(rusqlite::params_from_iter(values))
            .map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            see(entry(row).map_err(failed)?)?;
        }
        Ok(())
    }

    fn each_result(
        &mut self,
        filter: &Filter,
        see: See<'_, (u64, ResultRow)>,
    ) -> Result<(), StoreError> {
        let failed = |error| self.failed(&error);
        let (text, asked) = sql::results(filter);
        let values = asked.iter().map(|asked| match asked {
            Asked::Text(text) => *text as &dyn ToSql,
            Asked::Whole(whole) => *whole as &dyn ToSql,
        });
        let values: Vec<&dyn ToSql> = values.collect();
        let mut statement = self.connection.prepare_cached(&text).map_err(failed)?;
        let mut rows = statement.query(values.as_slice()).map_err(failed)?;
        while let Some(row) = rows.next().map_err(failed)? {
            see(result(row).map_err(failed)?)?;
        }
        Ok(())
    }

    fn sittings(&mut self) -> Result<Vec<Sitting>, StoreError> {
        self.all(sql::SITTINGS, |row| {
            Ok(Sitting {
                id: row.get(0)?,
                form: row.get(1)?,
                candidate: row.get(2)?,
                started_ms: row.get(3)?,
                count: count(row, 4)?,
                link: row.get(5)?,
            })
        })
    }

    fn people(&mut self) -> Result<Vec<Person>, StoreError> {
        self.all(sql::PEOPLE, |row| {
            Ok(Person {
                id: row.get(0)?,
                name: row.get(1)?,
            })
        })
    }

    fn name_person(&mut self, person: &Person) -> Result<(), StoreError> {
        self.connection
            .execute(sql::NAME_PERSON, params![person.id, person.name])
            .map(|_| ())
            .map_err(|error| self.failed(&error))
    }

    fn erase(&mut self, candidate: &str, sittings: &[Erased]) -> Result<(), StoreError> {
        let erase = |connection: &mut Connection| -> rusqlite::Result<()> {
            let transaction =
                connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
            transaction.execute(sql::ERASE_PERSON, [candidate])?;
            for erased in sittings {
                for statement in sql::ERASE_SITTING {
                    transaction.execute(statement, [&erased.sitting])?;
                }
                transaction.execute(
                    sql::ADD_ERASED,
                    params![
                        erased.sitting,
                        erased.count,
                        erased.wall_ms,
                        erased.signature
                    ],
                )?;
            }
            transaction.commit()?;
            // What was erased still stands in the log until it is written over.
            connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
        };
        erase(&mut self.connection).map_err(|error| of_file(&self.path, &error))
    }

    fn erased(&mut self) -> Result<Vec<Erased>, StoreError> {
        self.all(sql::ERASED, |row| {
            Ok(Erased {
                sitting: row.get(0)?,
                count: count(row, 1)?,
                wall_ms: row.get(2)?,
                signature: row.get(3)?,
            })
        })
    }
}

impl Sqlite {
    fn all<T>(
        &self,
        statement: &str,
        read: impl FnMut(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>, StoreError> {
        let mut statement = self
            .connection
            .prepare_cached(statement)
            .map_err(|error| self.failed(&error))?;
        statement
            .query_map([], read)
            .and_then(Iterator::collect)
            .map_err(|error| self.failed(&error))
    }
}
