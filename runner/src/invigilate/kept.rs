//! The steps of a sitting as they go into an office's journal.

use serde::{Deserialize, Serialize};

use crate::assess::{Refused, Sitting, Step, Taken};
use crate::records::{Appended, Draft, Office};

/// The body of a step's entry.
#[derive(Debug, Deserialize, Serialize)]
pub struct Words {
    /// The task's number, from 1.
    pub task: usize,
    /// What was done, as typed.
    pub words: String,
}

/// Where a sitting stands in an office's journal.
#[derive(Clone, Debug)]
pub struct Kept {
    /// The sitting's id.
    pub sitting: String,
    /// Entries there are.
    pub entries: u64,
    /// Set when the clock on the wall was found set back.
    pub clock_set_back: bool,
    /// What was made known of the seed before the start.
    pub commitment: String,
}

/// Why a step was not taken, or not kept.
#[derive(Debug)]
pub enum NotTaken {
    /// It is refused; the sitting is as it was.
    Refused(Refused),
    /// It was taken and could not be kept: nothing may be shown of it, and the sitting has to be opened again.
    NotKept(String),
}

impl Kept {
    /// Goes on after so many entries of a sitting.
    #[must_use]
    pub fn after(sitting: String, entries: usize) -> Self {
        Self {
            sitting,
            entries: entries as u64,
            clock_set_back: false,
            commitment: String::new(),
        }
    }

    /// What a candidate is told of how the sitting is kept.
    #[must_use]
    pub fn told(&self) -> String {
        format!(
            "Sitting {}. Every step is kept before you see what it shows. The tasks were settled before the start, by a number with the fingerprint\n{}",
            self.sitting, self.commitment
        )
    }

    /// Appends an entry of any kind. Its key is its place: the same request again is the same entry.
    ///
    /// # Errors
    /// A sentence saying why it could not be kept.
    pub fn append(
        &mut self,
        office: &Office,
        kind: &str,
        body: String,
        wall_ms: i64,
    ) -> Result<Appended, String> {
        let draft = Draft {
            sitting: self.sitting.clone(),
            kind: kind.to_owned(),
            body,
            key: format!("{}", self.entries + 1),
            wall_ms,
        };
        let appended = office.journal().append(draft);
        let appended = appended.map_err(|why| why.to_string())?;
        self.entries = appended.number;
        self.clock_set_back |= appended.clock_set_back;
        Ok(appended)
    }
}

/// Keeps steps.
pub trait Keeper {
    /// Keeps a step of a task, by its number from 1; it is kept when this comes back.
    ///
    /// # Errors
    /// A sentence saying why it could not be kept: nothing may then be shown.
    fn keep(&mut self, task: usize, kind: &str, words: String, wall_ms: i64) -> Result<(), String>;
}

/// Keeps nothing: practice.
#[derive(Debug)]
pub struct NothingKept;

impl Keeper for NothingKept {
    fn keep(&mut self, _: usize, _: &str, _: String, _: i64) -> Result<(), String> {
        Ok(())
    }
}

/// Keeps steps in an office's journal.
#[derive(Debug)]
pub struct InOffice<'o> {
    /// The office.
    pub office: &'o Office,
    /// Where the sitting stands there.
    pub kept: &'o mut Kept,
}

impl Keeper for InOffice<'_> {
    fn keep(&mut self, task: usize, kind: &str, words: String, wall_ms: i64) -> Result<(), String> {
        let body = serde_json::to_string(&Words { task, words }).map_err(|why| why.to_string())?;
        self.kept.append(self.office, kind, body, wall_ms).map(drop)
    }
}

/// Takes a step and has it kept; only then may what came of it be shown.
///
/// # Errors
/// [`NotTaken`].
pub fn take(
    sitting: &mut Sitting<'_>,
    keeper: &mut dyn Keeper,
    step: &Step,
    wall_ms: i64,
) -> Result<Taken, NotTaken> {
    let task = sitting.at();
    let taken = sitting.take(step, wall_ms).map_err(NotTaken::Refused)?;
    let (kind, words) = sitting.written(step);
    keeper
        .keep(task, kind, words, wall_ms)
        .map_err(NotTaken::NotKept)?;
    Ok(taken)
}
