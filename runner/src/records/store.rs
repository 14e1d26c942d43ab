//! What a store can do, whichever database is behind it.

use serde::{Deserialize, Serialize};

use super::{Entry, ResultRow, StoreError};

/// A sitting, as its first and last entries tell it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sitting {
    /// Its id.
    pub id: String,
    /// The form's id.
    pub form: String,
    /// The candidate's id.
    pub candidate: String,
    /// When it was started, Unix ms.
    pub started_ms: i64,
    /// How many entries it has.
    pub count: u64,
    /// The link of its last entry.
    pub link: [u8; 32],
}

/// A person's name behind the id that everything else uses.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Person {
    /// The id.
    pub id: String,
    /// The name, as it is written.
    pub name: String,
}

/// What stays of a sitting that was erased: enough to tell an erasure from a loss.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Erased {
    /// The sitting's id.
    pub sitting: String,
    /// How many entries it had.
    pub count: u64,
    /// When it was erased, Unix ms.
    pub wall_ms: i64,
    /// The office's signature over that, hexadecimal.
    pub signature: String,
}

/// Which results to read; what is not given does not matter.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filter {
    /// Those of this sitting.
    pub sitting: Option<String>,
    /// Those of this form.
    pub form: Option<String>,
    /// Those of this candidate.
    pub candidate: Option<String>,
    /// Those of this case or question.
    pub item: Option<String>,
    /// Those graded by this version of the program.
    pub program: Option<String>,
    /// Those graded at this time or later, Unix ms.
    pub from_ms: Option<i64>,
    /// Those graded before this time, Unix ms.
    pub until_ms: Option<i64>,
}

/// Whose entries to read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Of<'a> {
    /// All there are.
    All,
    /// Those of a sitting.
    Sitting(&'a str),
    /// Those of every sitting of a form.
    Form(&'a str),
    /// The last one of every sitting of a form.
    LastOfForm(&'a str),
    /// Those of one kind, of every sitting of a form.
    KindOfForm(&'a str, &'a str),
    /// Those of every sitting of a candidate.
    Candidate(&'a str),
}

/// Takes what is read, one at a time; its error ends the reading.
pub type See<'a, T> = &'a mut dyn FnMut(T) -> Result<(), StoreError>;

/// A database with the records of an office.
pub trait Store: Send {
    /// Where it is, without a password.
    fn place(&self) -> String;

    /// Whether several machines may write to it, each with heads of its own.
    fn shared(&self) -> bool;

    /// Starts a transaction in which entries are added.
    ///
    /// # Errors
    /// Somebody else writes, or the database is not there.
    fn batch(&mut self) -> Result<Box<dyn Batch + '_>, StoreError>;

    /// Connects again where the connection was lost.
    ///
    /// # Errors
    /// The database is not there.
    fn revive(&mut self) -> Result<(), StoreError>;

    /// Entries by sitting and number.
    ///
    /// # Errors
    /// They cannot be read, or `see` has had enough.
    fn each_entry(&mut self, of: Of<'_>, see: See<'_, Entry>) -> Result<(), StoreError>;

    /// Results by sitting, task and the number of the entry that gave them, which comes with them.
    ///
    /// # Errors
    /// They cannot be read, or `see` has had enough.
    fn each_result(
        &mut self,
        filter: &Filter,
        see: See<'_, (u64, ResultRow)>,
    ) -> Result<(), StoreError>;

    /// All sittings by id.
    ///
    /// # Errors
    /// They cannot be read.
    fn sittings(&mut self) -> Result<Vec<Sitting>, StoreError>;

    /// All people by id.
    ///
    /// # Errors
    /// They cannot be read.
    fn people(&mut self) -> Result<Vec<Person>, StoreError>;

    /// Writes a person's name down, in place of what stood there.
    ///
    /// # Errors
    /// It cannot be written.
    fn name_person(&mut self, person: &Person) -> Result<(), StoreError>;

    /// Erases a person, and these sittings of theirs with all that is in them.
    ///
    /// # Errors
    /// Nothing was erased.
    fn erase(&mut self, candidate: &str, sittings: &[Erased]) -> Result<(), StoreError>;

    /// What was erased, by sitting.
    ///
    /// # Errors
    /// It cannot be read.
    fn erased(&mut self) -> Result<Vec<Erased>, StoreError>;

    /// The entries of a sitting, in order.
    ///
    /// # Errors
    /// They cannot be read.
    fn entries(&mut self, sitting: &str) -> Result<Vec<Entry>, StoreError> {
        let mut found = Vec::new();
        self.each_entry(Of::Sitting(sitting), &mut |entry| {
            found.push(entry);
            Ok(())
        })?;
        Ok(found)
    }

    /// Results that a filter lets through, in order.
    ///
    /// # Errors
    /// They cannot be read.
    fn results(&mut self, filter: &Filter) -> Result<Vec<ResultRow>, StoreError> {
        let mut found = Vec::new();
        self.each_result(filter, &mut |(_, row)| {
            found.push(row);
            Ok(())
        })?;
        Ok(found)
    }
}

/// A transaction in which entries are added. Dropped without [`Batch::commit`] it leaves nothing behind.
pub trait Batch {
    /// The last entry of a sitting.
    ///
    /// # Errors
    /// It cannot be read.
    fn last(&mut self, sitting: &str) -> Result<Option<Entry>, StoreError>;

    /// The entry of a sitting under a key.
    ///
    /// # Errors
    /// It cannot be read.
    fn under_key(&mut self, sitting: &str, key: &str) -> Result<Option<Entry>, StoreError>;

    /// The entry of a sitting with a number.
    ///
    /// # Errors
    /// It cannot be read.
    fn at(&mut self, sitting: &str, number: u64) -> Result<Option<Entry>, StoreError>;

    /// Whether a program has graded a task.
    ///
    /// # Errors
    /// It cannot be read.
    fn is_graded(&mut self, sitting: &str, task: u32, program: &str) -> Result<bool, StoreError>;

    /// Adds a sitting's row, before its first entry; what stands there stays.
    ///
    /// # Errors
    /// It cannot be written.
    fn add_sitting(&mut self, sitting: &Sitting) -> Result<(), StoreError>;

    /// Adds an entry, and says whether its number and key were free.
    ///
    /// # Errors
    /// It cannot be written.
    fn add(&mut self, entry: &Entry) -> Result<bool, StoreError>;

    /// Adds entries, and says how many of their numbers and keys were free.
    ///
    /// # Errors
    /// They cannot be written.
    fn add_all(&mut self, entries: &[Entry]) -> Result<usize, StoreError> {
        let mut added = 0;
        for entry in entries {
            added += usize::from(self.add(entry)?);
        }
        Ok(added)
    }

    /// Adds what a "graded" entry of this number says.
    ///
    /// # Errors
    /// It cannot be written.
    fn add_result(&mut self, number: u64, row: &ResultRow) -> Result<(), StoreError>;

    /// Makes all of it durable.
    ///
    /// # Errors
    /// None of it is kept, unless the connection was lost in this very moment.
    fn commit(self: Box<Self>) -> Result<(), StoreError>;
}
