//! Who keeps a sitting's steps: nobody, where it is practice, or an office.

use serde::{Deserialize, Serialize};

use crate::records::{Appended, Draft, Entry, Office};

/// Keeps steps.
pub(super) trait Keeper {
    /// Keeps a step of a task, by its number from 1; it is kept when this comes back.
    ///
    /// # Errors
    /// A sentence saying why it could not be kept: nothing may then be shown.
    fn keep(&mut self, task: usize, kind: &str, words: &str, wall_ms: i64) -> Result<(), String>;
}

/// Keeps nothing: practice.
pub(super) struct NothingKept;

impl Keeper for NothingKept {
    fn keep(&mut self, _: usize, _: &str, _: &str, _: i64) -> Result<(), String> {
        Ok(())
    }
}

/// The body of a step's entry.
#[derive(Debug, Deserialize, Serialize)]
pub(crate) struct Words {
    /// The task's number, from 1.
    pub task: usize,
    /// What was done, as typed.
    pub words: String,
}

/// Keeps steps in an office's journal.
pub(super) struct Kept<'o> {
    pub office: &'o Office,
    /// The sitting's id.
    pub sitting: String,
    /// Entries there are.
    pub entries: u64,
    /// Set when the clock on the wall was found set back.
    pub clock_set_back: bool,
    /// What was made known of the seed before the start.
    pub commitment: String,
}

impl<'o> Kept<'o> {
    /// Goes on after these entries of a sitting.
    pub(super) fn of(office: &'o Office, sitting: String, entries: &[Entry]) -> Self {
        Self {
            office,
            sitting,
            entries: entries.len() as u64,
            clock_set_back: false,
            commitment: String::new(),
        }
    }

    /// What a candidate is told of how the sitting is kept.
    pub(super) fn told(&self) -> String {
        format!(
            "Sitting {}. Every step is kept before you see what it shows. The tasks were settled before the start, by a number with the fingerprint\n{}",
            self.sitting, self.commitment
        )
    }

    /// Appends an entry of any kind. Its key is its place: the same request again is the same entry.
    pub(super) fn append(
        &mut self,
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
        let appended = self.office.journal().append(draft);
        let appended = appended.map_err(|why| why.to_string())?;
        self.entries = appended.number;
        self.clock_set_back |= appended.clock_set_back;
        Ok(appended)
    }
}

impl Keeper for Kept<'_> {
    fn keep(&mut self, task: usize, kind: &str, words: &str, wall_ms: i64) -> Result<(), String> {
        let words = Words {
            task,
            words: words.to_owned(),
        };
        let body = serde_json::to_string(&words).map_err(|why| why.to_string())?;
        self.append(kind, body, wall_ms).map(drop)
    }
}
