//! The journal: what is written down is on disk before anybody is told so.
//!
//! One thread writes. While it waits for the disk, others queue; it then takes all that wait into one
//! transaction, so that many cost little more than one.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, SyncSender, channel, sync_channel};
use std::thread::JoinHandle;

use super::entry::{FINISHED, GRADED, STARTED};
use super::heads::{Head, Heads};
use super::keys::Keys;
use super::place::{Known, Placed, place, place_all};
use super::store::Store;
use super::{Draft, Entry, StoreError};

/// The most entries in one transaction: a burst is kept in a few, and none of them takes long.
const MOST_AT_ONCE: usize = 1000;

/// An entry that is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Appended {
    /// Its number in the sitting.
    pub number: u64,
    /// Its link.
    pub link: [u8; 32],
    /// The time it was written down with, Unix ms.
    pub wall_ms: i64,
    /// It was there before: the same key with the same body.
    pub repeated: bool,
    /// The clock stood before that of the last entry, whose time was taken.
    pub clock_set_back: bool,
}

type Answer<T> = SyncSender<Result<T, StoreError>>;

enum Request {
    Append(Draft, Answer<Appended>),
    TakeUp(String, Answer<Vec<Entry>>),
}

/// Writes entries from any number of threads.
#[derive(Debug)]
pub struct Journal {
    requests: Option<Sender<Request>>,
    writer: Option<JoinHandle<()>>,
}

impl Journal {
    /// Starts the journal's writer on a store of its own.
    ///
    /// # Errors
    /// The system gives no thread.
    pub fn open(store: Box<dyn Store>, heads: Heads, keys: Arc<Keys>) -> Result<Self, StoreError> {
        let (requests, waiting) = channel();
        let mut writer = Writer {
            store,
            heads,
            keys,
            known: BTreeMap::new(),
        };
        let writer = std::thread::Builder::new()
            .name("journal".to_owned())
            .spawn(move || writer.run(&waiting))
            .map_err(|why| StoreError::Other(why.to_string()))?;
        Ok(Self {
            requests: Some(requests),
            writer: Some(writer),
        })
    }

    /// Writes an entry down, and returns when it is durable.
    ///
    /// # Errors
    /// A sentence on why it is not kept. Asking again with the same key is always safe.
    pub fn append(&self, draft: Draft) -> Result<Appended, StoreError> {
        draft.check()?;
        self.ask(|answer| Request::Append(draft, answer))
    }

    /// The entries of a sitting, to go on from: after this, the journal adds to what was just read.
    ///
    /// Where another process has gone on with a sitting, nothing is added to it until it is taken up.
    ///
    /// # Errors
    /// They cannot be read.
    pub fn take_up(&self, sitting: &str) -> Result<Vec<Entry>, StoreError> {
        self.ask(|answer| Request::TakeUp(sitting.to_owned(), answer))
    }

    fn ask<T>(&self, request: impl FnOnce(Answer<T>) -> Request) -> Result<T, StoreError> {
        let (answer, answered) = sync_channel(1);
        let requests = self.requests.as_ref().ok_or(StoreError::Closed)?;
        requests
            .send(request(answer))
            .map_err(|_| StoreError::Closed)?;
        answered.recv().map_err(|_| StoreError::Closed)?
    }
}

impl Drop for Journal {
    fn drop(&mut self) {
        // The writer ends when nobody can ask any more.
        self.requests = None;
        if let Some(writer) = self.writer.take() {
            let _ = writer.join();
        }
    }
}

struct Writer {
    store: Box<dyn Store>,
    heads: Heads,
    keys: Arc<Keys>,
    known: BTreeMap<String, Known>,
}

impl Writer {
    fn run(&mut self, waiting: &Receiver<Request>) {
        while let Ok(first) = waiting.recv() {
            let mut drafts = Vec::new();
            let mut next = Some(first);
            while let Some(request) = next {
                match request {
                    Request::Append(draft, answer) => drafts.push((draft, answer)),
                    Request::TakeUp(sitting, answer) => {
                        // What was asked before is written before.
                        self.write(std::mem::take(&mut drafts));
                        let _ = answer.send(self.take_up(&sitting));
                    }
                }
                next = (drafts.len() < MOST_AT_ONCE)
                    .then(|| waiting.try_recv().ok())
                    .flatten();
            }
            self.write(drafts);
        }
    }

    fn take_up(&mut self, sitting: &str) -> Result<Vec<Entry>, StoreError> {
        let entries = match self.store.entries(sitting) {
            Err(StoreError::Gone(_)) => {
                self.store.revive()?;
                self.store.entries(sitting)?
            }
            other => other?,
        };
        self.known
            .insert(sitting.to_owned(), Known::after(sitting, entries.last()));
        Ok(entries)
    }

    fn write(&mut self, asked: Vec<(Draft, Answer<Appended>)>) {
        if asked.is_empty() {
            return;
        }
        let (drafts, answers): (Vec<Draft>, Vec<_>) = asked.into_iter().unzip();
        let mut placed = self.commit(&drafts);
        if let Err(StoreError::Gone(_)) = placed
            && self.store.revive().is_ok()
        {
            // What the lost connection may have kept is found by its keys.
            placed = self.commit(&drafts);
        }
        let outcomes = placed.and_then(|placed| self.keep_heads(&placed).map(|()| placed));
        match outcomes {
            Ok(placed) => {
                for (answer, outcome) in answers.iter().zip(placed) {
                    // Who has gone away asks again with the same key.
                    let _ = answer.send(outcome.map(|placed| placed.told()));
                }
            }
            Err(why) => {
                for answer in answers {
                    let _ = answer.send(Err(why.clone()));
                }
            }
        }
    }

    fn commit(&mut self, drafts: &[Draft]) -> Result<Vec<Result<Placed, StoreError>>, StoreError> {
        // What is learned counts only once it is kept.
        let mut known = self.known_of(drafts);
        let mut batch = self.store.batch()?;
        if let Some(placed) = place_all(batch.as_mut(), &mut known, drafts)? {
            batch.commit()?;
            self.known.extend(known);
            return Ok(placed.into_iter().map(Ok).collect());
        }
        drop(batch);
        let mut known = self.known_of(drafts);
        let mut batch = self.store.batch()?;
        let mut outcomes = Vec::with_capacity(drafts.len());
        for draft in drafts {
            outcomes.push(place(batch.as_mut(), &mut known, draft)?);
        }
        batch.commit()?;
        self.known.extend(known);
        Ok(outcomes)
    }

    /// What is known of the sittings of these drafts.
    fn known_of(&self, drafts: &[Draft]) -> BTreeMap<String, Known> {
        let known = drafts.iter().filter_map(|draft| {
            let known = self.known.get(&draft.sitting)?;
            Some((draft.sitting.clone(), known.clone()))
        });
        known.collect()
    }

    /// Writes how far each sitting has come; its start, its end and its grades are also on disk.
    fn keep_heads(&mut self, placed: &[Result<Placed, StoreError>]) -> Result<(), StoreError> {
        let mut heads: BTreeMap<&str, (Head, bool)> = BTreeMap::new();
        let mut synced = false;
        for entry in placed.iter().flatten().map(|placed| &placed.entry) {
            let ends = entry.kind == FINISHED || entry.kind == GRADED;
            synced |= ends || entry.kind == STARTED;
            let head = Head {
                sitting: entry.sitting.clone(),
                number: entry.number,
                link: entry.link,
                signature: None,
            };
            let kept = heads.entry(&entry.sitting).or_insert((head.clone(), false));
            if kept.0.number < head.number {
                kept.0 = head;
            }
            kept.1 |= ends;
        }
        let heads: Vec<Head> = heads
            .into_values()
            .map(|(mut head, ends)| {
                if ends {
                    head.sign(&self.keys);
                }
                head
            })
            .collect();
        if heads.is_empty() {
            return Ok(());
        }
        self.heads.add(&heads, synced)
    }
}
