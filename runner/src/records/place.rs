//! Where a draft comes to stand in its sitting: the one place that numbers and links entries.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::entry::{GRADED, STARTED, root};
use super::journal::Appended;
use super::store::{Batch, Sitting};
use super::{Draft, Entry, ResultRow, StoreError};

/// How far a sitting has come, as this process knows.
#[derive(Clone, Debug)]
pub struct Known {
    number: u64,
    link: [u8; 32],
    wall_ms: i64,
    /// Another process has gone on with it.
    taken: bool,
}

impl Known {
    /// After the last entry of a sitting, or before its first.
    pub fn after(sitting: &str, last: Option<&Entry>) -> Self {
        Self {
            number: last.map_or(0, |entry| entry.number),
            link: last.map_or_else(|| root(sitting), |entry| entry.link),
            wall_ms: last.map_or(i64::MIN, |entry| entry.wall_ms),
            taken: false,
        }
    }
}

/// A draft that has its place.
#[derive(Clone, Debug)]
pub struct Placed {
    /// The entry it became, or had become before.
    pub entry: Entry,
    repeated: bool,
    clock_set_back: bool,
}

impl Placed {
    /// What its author is told.
    pub fn told(self) -> Appended {
        Appended {
            number: self.entry.number,
            link: self.entry.link,
            wall_ms: self.entry.wall_ms,
            repeated: self.repeated,
            clock_set_back: self.clock_set_back,
        }
    }
}

/// Adds a draft to its sitting. The outer error ends the batch, the inner one is about the draft alone.
///
/// # Errors
/// The store failed.
pub fn place(
    batch: &mut dyn Batch,
    known: &mut BTreeMap<String, Known>,
    draft: &Draft,
) -> Result<Result<Placed, StoreError>, StoreError> {
    let sitting = &draft.sitting;
    let before = match known.get(sitting) {
        Some(before) => before.clone(),
        None => Known::after(sitting, batch.last(sitting)?.as_ref()),
    };
    let starts = draft.kind == STARTED;
    let row = (draft.kind == GRADED).then_some(());
    // Where the draft could not be new, or must not be, its key decides first.
    if before.taken || row.is_some() || starts && before.number > 0 {
        if let Some(entry) = batch.under_key(sitting, &draft.key)? {
            return Ok(again(known, before, draft, entry));
        }
        if before.taken || starts {
            return Ok(Err(StoreError::Taken(sitting.clone())));
        }
    }
    let entry = next(&before, draft);
    let row = match row.map(|()| ResultRow::of(&entry)).transpose() {
        Ok(row) => row,
        Err(why) => return Ok(Err(why)),
    };
    if let Some(row) = &row
        && batch.is_graded(sitting, row.task, &row.program)?
    {
        let (task, program) = (row.task, row.program.clone());
        return Ok(Err(StoreError::GradedAlready(
            sitting.clone(),
            task,
            program,
        )));
    }
    if before.number == 0 {
        match begun(&entry) {
            Ok(begun) => batch.add_sitting(&begun)?,
            Err(why) => return Ok(Err(why)),
        }
    }
    if !batch.add(&entry)? {
        if let Some(entry) = batch.under_key(sitting, &draft.key)? {
            return Ok(again(known, before, draft, entry));
        }
        let taken = Known {
            taken: true,
            ..before
        };
        known.insert(sitting.clone(), taken);
        return Ok(Err(StoreError::Taken(sitting.clone())));
    }
    if let Some(row) = &row {
        batch.add_result(entry.number, row)?;
    }
    known.insert(sitting.clone(), Known::after(sitting, Some(&entry)));
    let clock_set_back = entry.wall_ms > draft.wall_ms;
    Ok(Ok(Placed {
        entry,
        repeated: false,
        clock_set_back,
    }))
}

/// Places drafts that all go on with sittings known here, without asking the store about each.
///
/// Nothing comes back where one of them needs more than that, or turns out not to be new: then the batch has to
/// be dropped, and each draft be placed by itself.
///
/// # Errors
/// The store failed.
pub fn place_all(
    batch: &mut dyn Batch,
    known: &mut BTreeMap<String, Known>,
    drafts: &[Draft],
) -> Result<Option<Vec<Placed>>, StoreError> {
    let mut entries = Vec::with_capacity(drafts.len());
    for draft in drafts {
        let before = known.get(&draft.sitting);
        let before = before.filter(|before| before.number > 0 && !before.taken);
        let Some(before) = before.filter(|_| draft.kind != GRADED && draft.kind != STARTED) else {
            return Ok(None);
        };
        let entry = next(before, draft);
        known.insert(
            draft.sitting.clone(),
            Known::after(&draft.sitting, Some(&entry)),
        );
        entries.push(entry);
    }
    if batch.add_all(&entries)? != entries.len() {
        return Ok(None);
    }
    let placed = entries
        .into_iter()
        .zip(drafts)
        .map(|(entry, draft)| Placed {
            clock_set_back: entry.wall_ms > draft.wall_ms,
            entry,
            repeated: false,
        });
    Ok(Some(placed.collect()))
}

/// The entry that a draft becomes.
fn next(before: &Known, draft: &Draft) -> Entry {
    let mut entry = Entry {
        sitting: draft.sitting.clone(),
        number: before.number + 1,
        kind: draft.kind.clone(),
        body: draft.body.clone(),
        key: draft.key.clone(),
        // A clock that was set back must not make an entry older than the one before it.
        wall_ms: draft.wall_ms.max(before.wall_ms),
        link: [0; 32],
    };
    entry.link = entry.linked_to(&before.link);
    entry
}

/// A draft whose key is known: the same entry again, or another under its key.
fn again(
    known: &mut BTreeMap<String, Known>,
    before: Known,
    draft: &Draft,
    entry: Entry,
) -> Result<Placed, StoreError> {
    let sitting = &draft.sitting;
    if entry.kind != draft.kind || entry.body != draft.body {
        let (key, number) = (draft.key.clone(), entry.number);
        return Err(StoreError::KeyRepeated(sitting.clone(), key, number));
    }
    // A commit whose answer was lost: the entry is our own, and we go on after it.
    let known_now = if !before.taken && entry.number == before.number + 1 {
        Known::after(sitting, Some(&entry))
    } else {
        before
    };
    known.insert(sitting.clone(), known_now);
    Ok(Placed {
        entry,
        repeated: true,
        clock_set_back: false,
    })
}

/// What the first entry says of its sitting.
///
/// # Errors
/// It does not say it.
pub fn begun(entry: &Entry) -> Result<Sitting, StoreError> {
    #[derive(Deserialize)]
    struct Start {
        form: String,
        candidate: String,
    }
    let bad = |why: String| {
        StoreError::BadDraft(format!(
            "a sitting begins with an entry `{STARTED}` that names its form and candidate: {why}"
        ))
    };
    if entry.kind != STARTED {
        return Err(bad(format!("this one is `{}`", entry.kind)));
    }
    let start: Start = serde_json::from_str(&entry.body).map_err(|why| bad(why.to_string()))?;
    if start.form.contains('\0') || start.candidate.contains('\0') {
        return Err(bad("a NUL character stands in them".to_owned()));
    }
    Ok(Sitting {
        id: entry.sitting.clone(),
        form: start.form,
        candidate: start.candidate,
        started_ms: entry.wall_ms,
        count: entry.number,
        link: entry.link,
    })
}
