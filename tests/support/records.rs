//! Offices for tests, in a scratch folder, on both stores.

use postgres::NoTls;
use runner::records::entry::{FINISHED, GRADED, STARTED};
use runner::records::{Appended, Draft, Office, ResultRow, StoreError};

use crate::folder::Folder;
use crate::postgres as server;

/// An office's folder, and the database behind it.
#[derive(Debug)]
pub struct Stand {
    /// Its folder.
    pub folder: Folder,
    /// The server's address, where the store is not in the folder.
    pub address: Option<String>,
}

impl Stand {
    /// An office on SQLite.
    #[must_use]
    pub fn file() -> Self {
        Self {
            folder: Folder::new(),
            address: None,
        }
    }

    /// An office on PostgreSQL, in a database of its own, where there is one.
    #[must_use]
    pub fn server() -> Option<Self> {
        server::server().map(|server| Self {
            folder: Folder::new(),
            address: Some(server.database()),
        })
    }

    /// Opens the office, or sets it up.
    ///
    /// # Panics
    /// It does not open.
    #[must_use]
    pub fn office(&self) -> Office {
        self.try_office().unwrap_or_else(|why| panic!("{why}"))
    }

    /// Opens the office, or sets it up.
    ///
    /// # Errors
    /// It does not open.
    pub fn try_office(&self) -> Result<Office, runner::records::office::OfficeError> {
        Office::open_or_create(self.folder.path(), self.address.as_deref())
    }

    /// Changes the database behind the office's back, past its rules.
    ///
    /// # Panics
    /// The statements are wrong.
    pub fn tamper(&self, statements: &str) {
        match &self.address {
            None => {
                let file = self.folder.path().join("records.sqlite");
                let connection = rusqlite::Connection::open(file).expect("a file");
                let past = "PRAGMA foreign_keys = OFF;";
                connection.execute_batch(past).expect("no foreign keys");
                connection.execute_batch(statements).expect("a change");
            }
            Some(address) => {
                let mut client = postgres::Client::connect(address, NoTls).expect("a server");
                // No trigger runs, and triggers are what keeps foreign keys.
                let past = "SET session_replication_role = replica; SET search_path = coldtrail;";
                client.batch_execute(past).expect("no foreign keys");
                client.batch_execute(statements).expect("a change");
            }
        }
    }
}

/// Runs a test on an office in a file, and on one on a server where PostgreSQL is installed.
pub fn on_both(test: impl Fn(&Stand)) {
    test(&Stand::file());
    if let Some(stand) = Stand::server() {
        test(&stand);
    }
}

/// A draft whose time is that of its number, a second each.
#[must_use]
pub fn draft(sitting: &str, kind: &str, number: u32, body: &str) -> Draft {
    Draft {
        sitting: sitting.to_owned(),
        kind: kind.to_owned(),
        body: body.to_owned(),
        key: format!("{kind}-{number}"),
        wall_ms: 1_700_000_000_000 + i64::from(number) * 1000,
    }
}

/// The first draft of a sitting.
#[must_use]
pub fn start(sitting: &str) -> Draft {
    let body = r#"{"form":"yearly","candidate":"c-17","extra":1}"#;
    draft(sitting, STARTED, 1, body)
}

/// An action; what it says differs from number to number.
#[must_use]
pub fn action(sitting: &str, number: u32) -> Draft {
    let body = format!(r#"{{"action":"read gauges {number}"}}"#);
    draft(sitting, "acted", number, &body)
}

/// A result of a task.
#[must_use]
pub fn result(sitting: &str, task: u32, mark: f64) -> ResultRow {
    ResultRow {
        sitting: sitting.to_owned(),
        task,
        form: "yearly".to_owned(),
        candidate: "c-17".to_owned(),
        kind: "case".to_owned(),
        item: "warm-at-lights".to_owned(),
        answer: "a fan that stands, \"rear\"\n".to_owned(),
        right: mark > 50.0,
        mark,
        diagnosis: 70.1,
        evidence: 1.0 / 3.0,
        calibration: 1e-7,
        efficiency: 100.0,
        safety: 0.0,
        hints: 2,
        grave_slips: 0,
        key_cue: (task != 2).then_some(task == 1),
        competencies: "airflow,electrical".to_owned(),
        shop_s: 1830.5,
        program: "0.1.0".to_owned(),
        wall_ms: 1_700_000_100_000,
    }
}

/// A grade: the result and something besides.
///
/// # Panics
/// Never: a result is JSON.
#[must_use]
pub fn grade(number: u32, row: &ResultRow) -> Draft {
    let mut body = serde_json::to_value(row).expect("JSON");
    body["remark"] = "seen by two".into();
    draft(&row.sitting, GRADED, number, &body.to_string())
}

/// A whole sitting: a start, so many actions, two grades and its end.
///
/// # Errors
/// An entry was not kept.
pub fn sit(office: &Office, sitting: &str, actions: u32) -> Result<Vec<Appended>, StoreError> {
    let mut drafts = vec![start(sitting)];
    drafts.extend((2..actions + 2).map(|number| action(sitting, number)));
    drafts.push(grade(actions + 2, &result(sitting, 1, 81.0 + 1.0 / 7.0)));
    drafts.push(grade(actions + 3, &result(sitting, 2, 12.5)));
    drafts.push(draft(sitting, FINISHED, actions + 4, "{}"));
    let kept = drafts
        .into_iter()
        .map(|draft| office.journal().append(draft));
    kept.collect()
}
