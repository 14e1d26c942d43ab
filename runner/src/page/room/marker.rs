//! Marks what was handed in, one sitting after the other, and hands in what has run out of time.
//!
//! It works on half of the processors: those who still sit come first.

use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError, Weak};
use std::time::Duration;

use super::Room;
use super::progress::more_ms;
use crate::assess::{MORE_TIME, Marked, Step, Verdict};
use crate::invigilate::kept::{InOffice, Kept, take};
use crate::invigilate::marking::finish;
use crate::invigilate::open::again;
use crate::records::entry::FINISHED;
use crate::records::office::now_ms;
use crate::records::store::Of;
use crate::records::{Entry, StoreError};

/// How often it looks for sittings that nobody asked it to mark.
const LOOKS_EACH: Duration = Duration::from_secs(5);
/// How long a sitting that was handed in is left to the process that took it, ms.
const OTHERS_MS: i64 = 10 * 60_000;

/// Sittings to be marked.
#[derive(Debug, Default)]
pub(super) struct Marker {
    asked: Mutex<Option<Sender<String>>>,
    failed: Mutex<BTreeMap<String, String>>,
}

impl Marker {
    /// Has a sitting marked that was handed in.
    pub fn ask(&self, sitting: &str) {
        let asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(asked) = asked.as_ref() {
            // A marker that is gone is missed when its room is opened again.
            let _ = asked.send(sitting.to_owned());
        }
    }

    /// Why a sitting could not be marked.
    pub fn why_not(&self, sitting: &str) -> Option<String> {
        let failed = self.failed.lock().unwrap_or_else(PoisonError::into_inner);
        failed.get(sitting).cloned()
    }

    fn note(&self, sitting: &str, why: String) {
        let mut failed = self.failed.lock().unwrap_or_else(PoisonError::into_inner);
        failed.insert(sitting.to_owned(), why);
    }
}

/// Starts marking in a room; it ends with the room.
pub(super) fn start(room: &Arc<Room>) {
    let (asked, waiting) = channel();
    *room
        .marker
        .asked
        .lock()
        .unwrap_or_else(PoisonError::into_inner) = Some(asked);
    let room = Arc::downgrade(room);
    std::thread::spawn(move || work(&room, &waiting));
}

fn work(room: &Weak<Room>, waiting: &Receiver<String>) {
    let half = std::thread::available_parallelism().map_or(1, |all| all.get().div_ceil(2));
    let Ok(pool) = rayon::ThreadPoolBuilder::new().num_threads(half).build() else {
        return;
    };
    // What a program before this one left over is found at once.
    let mut others_ms = 0;
    loop {
        if let Some(room) = room.upgrade() {
            for sitting in left_over(&room, others_ms) {
                pool.install(|| room.mark(&sitting));
            }
        }
        others_ms = OTHERS_MS;
        match waiting.recv_timeout(LOOKS_EACH) {
            Ok(sitting) => {
                let Some(room) = room.upgrade() else { return };
                pool.install(|| room.mark(&sitting));
            }
            Err(RecvTimeoutError::Timeout) => {
                let Some(room) = room.upgrade() else { return };
                room.doors.limits.tidy();
            }
            Err(RecvTimeoutError::Disconnected) => return,
        }
    }
}

/// Sittings that have run out of time, and those handed in so long ago that nobody else marks them.
fn left_over(room: &Room, others_ms: i64) -> Vec<String> {
    let now_ms = now_ms();
    let wall_ms = (room.form.wall_s * 1000.0) as i64;
    let read = || -> Result<Vec<String>, StoreError> {
        let mut store = room.doors.office.store();
        let sittings = store.sittings()?.into_iter();
        let started: BTreeMap<String, i64> = sittings.map(|one| (one.id, one.started_ms)).collect();
        let mut found = Vec::new();
        store.each_entry(Of::LastOfForm(&room.form.id), &mut |entry| {
            let started_ms = started.get(&entry.sitting).copied().unwrap_or(now_ms);
            let is_over = now_ms - started_ms > wall_ms;
            let step = Step::read(&entry.kind, "");
            let is_handed_in = !matches!(
                step,
                Ok(Some(
                    Step::Act(_) | Step::Answer(_) | Step::Leave | Step::MoreTime(_)
                )) | Err(_)
            ) && entry.number > 1;
            let is_old = now_ms - entry.wall_ms >= others_ms;
            if entry.kind != FINISHED && ((is_handed_in && is_old) || (is_over && !is_handed_in)) {
                found.push(entry.sitting);
            }
            Ok(())
        })?;
        Ok(found)
    };
    // A store that cannot be read now is read again in a moment.
    read().unwrap_or_default()
}

impl Room {
    /// Hands a sitting in where it is not, marks it and writes that down.
    fn mark(&self, sitting: &str) {
        if let Err(why) = self.marked(sitting) {
            self.marker.note(sitting, why);
        }
    }

    /// Whether a sitting was handed in, or its time is over with all that was given it.
    fn is_over(&self, entries: &[Entry]) -> bool {
        let is_handed_in =
            |entry: &Entry| matches!(Step::read(&entry.kind, ""), Ok(Some(Step::HandIn)));
        let more = entries.iter().filter(|entry| entry.kind == MORE_TIME);
        let more_ms: i64 = more.map(more_ms).sum();
        let started_ms = entries.first().map_or(i64::MAX, |entry| entry.wall_ms);
        let wall_ms = (self.form.wall_s * 1000.0) as i64 + more_ms;
        entries.iter().any(is_handed_in) || now_ms().saturating_sub(started_ms) > wall_ms
    }

    fn marked(&self, id: &str) -> Result<(), String> {
        let entries = self.doors.office.journal().take_up(id);
        let entries = entries.map_err(|why| why.to_string())?;
        if entries.iter().any(|entry| entry.kind == FINISHED) {
            return Ok(());
        }
        if !self.is_over(&entries) {
            return Ok(());
        }
        let mut sitting = again(self.library, &self.doors.office, &entries)?;
        let mut kept = Kept::after(id.to_owned(), entries.len());
        if !sitting.is_handed_in() {
            let mut keeper = InOffice {
                office: &self.doors.office,
                kept: &mut kept,
            };
            let taken = take(&mut sitting, &mut keeper, &Step::HandIn, now_ms());
            taken.map_err(|_| "it was gone on with meanwhile".to_owned())?;
        }
        let bank = &self.library.bank;
        let marked = sitting.given().iter();
        let marked = marked.map(|given| Marked::of(bank, given, &self.tours, &()));
        let marked = marked.collect::<Result<Vec<_>, _>>();
        let marked = marked.map_err(|why| why.to_string())?;
        let verdict = Verdict::of(self.form, sitting.tasks(), &marked);
        finish(
            &self.doors.office,
            (&sitting, &mut kept),
            (&marked, &verdict),
            now_ms(),
        )
    }
}
