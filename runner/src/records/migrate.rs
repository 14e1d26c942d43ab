//! Steps from one version of the tables to the next: a short list, in order, each in one transaction.
//!
//! A published step never changes; a new version is a new step at the end.

use super::StoreError;

/// The steps. Names in braces are types that the two databases write differently.
const STEPS: &[&str] = &[r#"
CREATE TABLE sitting (
    id {text} PRIMARY KEY,
    form {text} NOT NULL,
    candidate {text} NOT NULL,
    started_ms {whole} NOT NULL
){strict};
CREATE INDEX sitting_candidate ON sitting (candidate);
CREATE TABLE entry (
    sitting {text} NOT NULL REFERENCES sitting (id),
    number {whole} NOT NULL,
    kind {text} NOT NULL,
    body {text} NOT NULL,
    key {text} NOT NULL,
    wall_ms {whole} NOT NULL,
    link {bytes} NOT NULL,
    PRIMARY KEY (sitting, number),
    UNIQUE (sitting, key)
){strict};
CREATE TABLE result (
    sitting {text} NOT NULL,
    number {whole} NOT NULL,
    task {whole} NOT NULL,
    form {text} NOT NULL,
    candidate {text} NOT NULL,
    kind {text} NOT NULL,
    item {text} NOT NULL,
    answer {text} NOT NULL,
    is_right {flag} NOT NULL,
    mark {real} NOT NULL,
    diagnosis {real} NOT NULL,
    evidence {real} NOT NULL,
    calibration {real} NOT NULL,
    efficiency {real} NOT NULL,
    safety {real} NOT NULL,
    hints {whole} NOT NULL,
    grave_slips {whole} NOT NULL,
    key_cue {flag},
    competencies {text} NOT NULL,
    shop_s {real} NOT NULL,
    program {text} NOT NULL,
    wall_ms {whole} NOT NULL,
    PRIMARY KEY (sitting, task, program),
    FOREIGN KEY (sitting, number) REFERENCES entry (sitting, number)
){strict};
CREATE INDEX result_form ON result (form);
CREATE INDEX result_candidate ON result (candidate);
CREATE TABLE person (
    id {text} PRIMARY KEY,
    name {text} NOT NULL
){strict};
CREATE TABLE erased (
    sitting {text} PRIMARY KEY,
    count {whole} NOT NULL,
    wall_ms {whole} NOT NULL,
    signature {text} NOT NULL
){strict};
"#];

/// How a database writes the types.
#[derive(Clone, Copy, Debug)]
pub struct Types {
    /// Text, ordered by its bytes: both stores have to list in one order.
    pub text: &'static str,
    /// A whole number of 64 bits.
    pub whole: &'static str,
    /// A double.
    pub real: &'static str,
    /// Yes or no.
    pub flag: &'static str,
    /// Bytes.
    pub bytes: &'static str,
    /// What follows a table's columns.
    pub strict: &'static str,
}

/// What the migrator asks of a database. All of it happens in one transaction that nobody else shares.
pub trait Tables {
    /// How it writes types.
    fn types(&self) -> Types;

    /// The version written in it; nothing where it holds nothing at all.
    ///
    /// # Errors
    /// It is another program's, or cannot be read.
    fn version(&mut self) -> Result<Option<i64>, StoreError>;

    /// Runs statements.
    ///
    /// # Errors
    /// One of them failed.
    fn run(&mut self, statements: &str) -> Result<(), StoreError>;

    /// Writes the version down.
    ///
    /// # Errors
    /// It cannot be written.
    fn set_version(&mut self, version: i64) -> Result<(), StoreError>;
}

/// The newest version this program knows.
#[must_use]
pub fn newest() -> i64 {
    STEPS.len() as i64
}

/// Refuses a version that is newer than this program's.
///
/// # Errors
/// It is newer.
pub fn known(found: i64) -> Result<(), StoreError> {
    if found > newest() {
        return Err(StoreError::Newer(found, newest()));
    }
    Ok(())
}

/// Brings the tables to the newest version.
///
/// # Errors
/// The store is from a newer version, another program's, or cannot be written.
pub fn migrate(tables: &mut dyn Tables) -> Result<(), StoreError> {
    let found = tables.version()?.unwrap_or(0);
    known(found)?;
    let done = usize::try_from(found).unwrap_or(0);
    let types = tables.types();
    for step in STEPS.iter().skip(done) {
        let statements = step
            .replace("{text}", types.text)
            .replace("{whole}", types.whole)
            .replace("{real}", types.real)
            .replace("{flag}", types.flag)
            .replace("{bytes}", types.bytes)
            .replace("{strict}", types.strict);
        tables.run(&statements)?;
    }
    if found < newest() {
        tables.set_version(newest())?;
    }
    Ok(())
}
