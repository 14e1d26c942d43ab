//! What can be wrong with a store, each with a sentence that says what to do.

use std::fmt;

/// Why a store could not do what it was asked.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StoreError {
    /// The file or server cannot be opened: which, and why.
    CannotOpen(String, String),
    /// It is no store of this program: which.
    NotAStore(String),
    /// A later version made it: its version, and the newest this program knows.
    Newer(i64, i64),
    /// It, or its folder, may not be written: which.
    ReadOnly(String),
    /// Another process has gone on with this sitting.
    Taken(String),
    /// The key is used for another entry of this sitting: sitting, key, number of that entry.
    KeyRepeated(String, String, u64),
    /// This program has graded this task before, under another key: sitting, task, program.
    GradedAlready(String, u32, String),
    /// What is to be written cannot be: a sentence on why.
    BadDraft(String),
    /// The disk is full.
    Full,
    /// Somebody else writes, and did not finish in time.
    Busy,
    /// The connection to the server was lost: why.
    Gone(String),
    /// The disk failed, or what is on it is damaged: why.
    Damaged(String),
    /// The heads beside the store cannot be written: why.
    Heads(String),
    /// The server's set-up would lose what it has said is kept: a sentence on that.
    Unsafe(String),
    /// The bundle is refused: a sentence on why.
    Refused(String),
    /// What was read cannot be written where it should go: why.
    Output(String),
    /// The journal's writer has ended.
    Closed,
    /// Anything else, in the words of the store.
    Other(String),
}

impl fmt::Display for StoreError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CannotOpen(which, why) => write!(
                out,
                "the store {which} cannot be opened: {why}; check that it is there, and yours to use"
            ),
            Self::NotAStore(which) => write!(
                out,
                "{which} is no store of this program; nothing in it was changed, name another folder or database"
            ),
            Self::Newer(found, known) => write!(
                out,
                "the store has version {found} and this program knows versions up to {known}: use the newer program; nothing was changed"
            ),
            Self::ReadOnly(which) => write!(
                out,
                "the store {which} may not be written: give yourself the right to write its folder, or name another"
            ),
            Self::Taken(sitting) => write!(
                out,
                "another process has gone on with the sitting {sitting:?}: end one of the two, and take the sitting up again"
            ),
            Self::KeyRepeated(sitting, key, number) => write!(
                out,
                "the key {key:?} stands for another entry of the sitting {sitting:?}, number {number}: that one is kept, and nothing was added"
            ),
            Self::GradedAlready(sitting, task, program) => write!(
                out,
                "the task {task} of the sitting {sitting:?} has been graded by version {program} before: that grade is kept"
            ),
            Self::BadDraft(why) => write!(out, "the entry cannot be kept: {why}"),
            Self::Full => out.write_str(
                "the disk is full: nothing was added, and all that was shown is kept; make room and go on",
            ),
            Self::Busy => out.write_str(
                "another program holds the store and did not let go in time: nothing was added; try again",
            ),
            Self::Gone(why) => write!(
                out,
                "the connection to the store was lost ({why}): ask again with the same key, what was kept is not added twice"
            ),
            Self::Damaged(why) => write!(
                out,
                "the store cannot be read or written ({why}): copy its folder before anything else, then verify it"
            ),
            Self::Heads(why) => write!(
                out,
                "the entry is kept, but the heads beside the store cannot be written ({why}): mend that and ask again with the same key"
            ),
            Self::Unsafe(why) => write!(out, "the store is not used: {why}"),
            Self::Refused(why) => write!(out, "the bundle is refused, and nothing was added: {why}"),
            Self::Output(why) => write!(out, "the export cannot be written: {why}"),
            Self::Closed => out.write_str("the journal has ended: open the office again"),
            Self::Other(why) => write!(out, "the store could not do it: {why}"),
        }
    }
}

impl std::error::Error for StoreError {}
