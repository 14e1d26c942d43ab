//! Walks everything that is kept, and names what is not as it was written.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use super::entry::{FINISHED, GRADED, root};
use super::heads::{Head, Kept};
use super::keys::PublicKey;
use super::place::begun;
use super::store::{Erased, Filter, Sitting, Store};
use super::{Entry, ResultRow, StoreError, unhex};

/// Something that is not as it was written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// An entry does not follow from what stands before it: sitting, number, kind.
    Changed(String, u64, String),
    /// Entries are missing: sitting, the first and the last of them.
    Gap(String, u64, u64),
    /// An entry is older than the one before it: sitting, number, kind.
    Backwards(String, u64, String),
    /// The heads know a sitting that the store does not: sitting, how far it had come.
    MissingSitting(String, u64),
    /// The end of a sitting is missing: sitting, how far it had come, where the store ends.
    LostTail(String, u64, u64),
    /// The chain as a whole is another than the heads kept: sitting, number.
    OtherChain(String, u64),
    /// What the store lists of a sitting is not what its first entry says: sitting.
    OtherSitting(String),
    /// A result is not what its graded entry says: sitting, task, program, number of the entry.
    OtherResult(String, u32, String, u64),
    /// A graded entry has no result: sitting, number.
    NoResult(String, u64),
    /// A result has no graded entry: sitting, task, program.
    NoGrade(String, u32, String),
    /// A signature is not the office's: sitting, number.
    Forged(String, u64),
    /// A sitting is finished or graded and was never signed: sitting, number.
    Unsigned(String, u64),
    /// An erasure is not signed by the office: sitting.
    ForgedErasure(String),
    /// A line of the heads cannot be read: its number.
    HeadLine(usize),
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Changed(sitting, number, kind) => write!(
                out,
                "sitting {sitting:?}: the entry {number} ({kind}) does not follow from what stands before it: it was changed, or stands in another's place"
            ),
            Self::Gap(sitting, first, last) if first == last => {
                write!(out, "sitting {sitting:?}: the entry {first} is missing")
            }
            Self::Gap(sitting, first, last) => write!(
                out,
                "sitting {sitting:?}: the entries {first} to {last} are missing"
            ),
            Self::Backwards(sitting, number, kind) => write!(
                out,
                "sitting {sitting:?}: the entry {number} ({kind}) is older than the one before it"
            ),
            Self::MissingSitting(sitting, number) => write!(
                out,
                "sitting {sitting:?} is missing: the heads say that it had come to {number}"
            ),
            Self::LostTail(sitting, head, end) => write!(
                out,
                "sitting {sitting:?} has lost its end: the heads say that it had come to {head}, the store ends at {end}"
            ),
            Self::OtherChain(sitting, number) => write!(
                out,
                "sitting {sitting:?}: the entry {number} is not the one whose link the heads kept: it or one before it was written anew"
            ),
            Self::OtherSitting(sitting) => write!(
                out,
                "sitting {sitting:?}: its form, candidate or start is listed otherwise than its first entry says"
            ),
            Self::OtherResult(sitting, task, program, number) => write!(
                out,
                "sitting {sitting:?}: the result of task {task} by version {program} is not what its graded entry {number} says"
            ),
            Self::NoResult(sitting, number) => write!(
                out,
                "sitting {sitting:?}: the graded entry {number} has no result"
            ),
            Self::NoGrade(sitting, task, program) => write!(
                out,
                "sitting {sitting:?}: the result of task {task} by version {program} has no graded entry"
            ),
            Self::Forged(sitting, number) => write!(
                out,
                "sitting {sitting:?}: the signature at {number} is not the office's"
            ),
            Self::Unsigned(sitting, number) => write!(
                out,
                "sitting {sitting:?}: it comes to its end or a grade at {number}, and the heads hold no signature of that: the program was stopped in that moment, or somebody added it"
            ),
            Self::ForgedErasure(sitting) => write!(
                out,
                "sitting {sitting:?} is listed as erased, and the office has not signed that"
            ),
            Self::HeadLine(line) => write!(
                out,
                "line {line} of the heads cannot be read: it was changed, or spoilt when the power failed"
            ),
        }
    }
}

/// What was found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// Sittings looked at.
    pub sittings: u64,
    /// Entries looked at.
    pub entries: u64,
    /// Results looked at.
    pub results: u64,
    /// Sittings that were erased on request.
    pub erased: u64,
    /// Sittings whose end no head here tells: another office's, or begun in the moment of a stop.
    pub without_head: Vec<String>,
    /// Lines of the heads that were torn while they were written, which nobody was told of.
    pub torn: Vec<usize>,
    /// What is not as it was written.
    pub faults: Vec<Fault>,
}

impl Report {
    /// Whether everything is as it was written.
    #[must_use]
    pub fn is_clean(&self) -> bool {
        self.faults.is_empty()
    }
}

/// What is signed when a sitting is erased.
#[must_use]
pub fn erasure(sitting: &str, count: u64, wall_ms: i64) -> Vec<u8> {
    let mut message = b"coldtrail erased 1".to_vec();
    message.extend((sitting.len() as u64).to_be_bytes());
    message.extend(sitting.as_bytes());
    message.extend(count.to_be_bytes());
    message.extend(wall_ms.to_be_bytes());
    message
}

/// Holds a store against its chains, the office's signatures and the heads beside it.
///
/// The heads are read before the store, which may have gone on since: that is no fault.
///
/// # Errors
/// The store cannot be read.
pub fn verify(store: &mut dyn Store, key: &PublicKey, kept: &Kept) -> Result<Report, StoreError> {
    let mut report = Report {
        torn: kept.torn.clone(),
        ..Report::default()
    };
    let lines = kept.unreadable.iter();
    report
        .faults
        .extend(lines.map(|line| Fault::HeadLine(*line)));
    let mut heads: BTreeMap<&str, Vec<&Head>> = BTreeMap::new();
    for head in &kept.heads {
        heads.entry(&head.sitting).or_default().push(head);
    }
    let erased = erased(store.erased()?, key, &mut report);
    let shared = store.shared();
    let sittings = store.sittings()?;
    for sitting in &sittings {
        let of_it = heads.remove(sitting.id.as_str()).unwrap_or_default();
        let found = checked(store, sitting, &of_it, key, shared)?;
        // Somebody may have written between two readings; a fault is there twice.
        let found = if found.faults.is_empty() {
            found
        } else {
            checked(store, sitting, &of_it, key, shared)?
        };
        report.sittings += 1;
        report.entries += found.entries;
        report.results += found.results;
        report.without_head.extend(found.without_head);
        report.faults.extend(found.faults);
    }
    for (sitting, heads) in heads {
        let number = heads.iter().map(|head| head.number).max().unwrap_or(0);
        if !erased.contains(sitting) {
            let missing = Fault::MissingSitting(sitting.to_owned(), number);
            report.faults.push(missing);
        }
    }
    Ok(report)
}

/// Sittings that the office erased, by its signature.
fn erased(listed: Vec<Erased>, key: &PublicKey, report: &mut Report) -> BTreeSet<String> {
    let mut sittings = BTreeSet::new();
    for one in listed {
        let message = erasure(&one.sitting, one.count, one.wall_ms);
        let signed =
            unhex(&one.signature).is_some_and(|signature| key.has_signed(&message, &signature));
        if signed {
            report.erased += 1;
            sittings.insert(one.sitting);
        } else {
            report.faults.push(Fault::ForgedErasure(one.sitting));
        }
    }
    sittings
}

/// One sitting: its chain, its results, and what the heads say of it.
fn checked(
    store: &mut dyn Store,
    sitting: &Sitting,
    heads: &[&Head],
    key: &PublicKey,
    shared: bool,
) -> Result<Report, StoreError> {
    let filter = Filter {
        sitting: Some(sitting.id.clone()),
        ..Filter::default()
    };
    let mut rows = Vec::new();
    store.each_result(&filter, &mut |row| {
        rows.push(row);
        Ok(())
    })?;
    let entries = store.entries(&sitting.id)?;
    let mut report = Report {
        entries: entries.len() as u64,
        results: rows.len() as u64,
        ..Report::default()
    };
    let faults = &mut report.faults;
    chain(&sitting.id, &entries, faults);
    if entries.first().is_some_and(|first| first.number == 1) {
        listed(sitting, &entries[0], faults);
    }
    results(&entries, rows, faults);
    let last = entries.last().map_or(0, |entry| entry.number);
    against_heads(&sitting.id, &entries, heads, key, faults);
    // Who writes to a store that others share keeps heads of their own sittings only.
    let ends = |entry: &&Entry| entry.kind == FINISHED || entry.kind == GRADED;
    let signed = heads.iter().filter(|head| head.signature.is_some());
    let signed = signed.map(|head| head.number).max().unwrap_or(0);
    let end = entries.iter().rev().find(ends).map_or(0, |end| end.number);
    if end > signed && !(shared && heads.is_empty()) {
        faults.push(Fault::Unsigned(sitting.id.clone(), end));
    }
    if heads.is_empty() && last > 0 {
        report.without_head.push(sitting.id.clone());
    }
    Ok(report)
}

/// Each entry's link, number and time against those before it.
fn chain(sitting: &str, entries: &[Entry], faults: &mut Vec<Fault>) {
    let (mut number, mut link, mut wall_ms) = (0, Some(root(sitting)), i64::MIN);
    for entry in entries {
        let kind = || entry.kind.clone();
        if entry.number != number + 1 {
            let gap = Fault::Gap(
                sitting.to_owned(),
                number + 1,
                entry.number.saturating_sub(1),
            );
            faults.push(gap);
            // What it was linked to is gone.
            link = None;
        }
        if link.is_some_and(|link| entry.linked_to(&link) != entry.link) {
            faults.push(Fault::Changed(sitting.to_owned(), entry.number, kind()));
        }
        if entry.wall_ms < wall_ms {
            faults.push(Fault::Backwards(sitting.to_owned(), entry.number, kind()));
        }
        (number, link, wall_ms) = (entry.number, Some(entry.link), entry.wall_ms);
    }
}

/// What the store lists of a sitting against its first entry.
fn listed(sitting: &Sitting, first: &Entry, faults: &mut Vec<Fault>) {
    let same = begun(first).is_ok_and(|begun| {
        begun.form == sitting.form
            && begun.candidate == sitting.candidate
            && begun.started_ms == sitting.started_ms
    });
    if !same {
        faults.push(Fault::OtherSitting(sitting.id.clone()));
    }
}

/// Results against the graded entries that they come from.
fn results(entries: &[Entry], rows: Vec<(u64, ResultRow)>, faults: &mut Vec<Fault>) {
    let graded = entries.iter().filter(|entry| entry.kind == GRADED);
    let mut graded: BTreeMap<u64, &Entry> = graded.map(|entry| (entry.number, entry)).collect();
    for (number, row) in rows {
        let about = (row.sitting.clone(), row.task, row.program.clone());
        match graded.remove(&number) {
            None => faults.push(Fault::NoGrade(about.0, about.1, about.2)),
            Some(entry) if ResultRow::of(entry).is_ok_and(|said| said == row) => {}
            Some(_) => faults.push(Fault::OtherResult(about.0, about.1, about.2, number)),
        }
    }
    for (number, entry) in graded {
        faults.push(Fault::NoResult(entry.sitting.clone(), number));
    }
}

/// The chain against how far the heads say it had come, and their signatures.
fn against_heads(
    sitting: &str,
    entries: &[Entry],
    heads: &[&Head],
    key: &PublicKey,
    faults: &mut Vec<Fault>,
) {
    let last = entries.last().map_or(0, |entry| entry.number);
    let furthest = heads.iter().map(|head| head.number).max().unwrap_or(0);
    if furthest > last {
        faults.push(Fault::LostTail(sitting.to_owned(), furthest, last));
    }
    let links: BTreeMap<u64, [u8; 32]> = entries
        .iter()
        .map(|entry| (entry.number, entry.link))
        .collect();
    let mut others = BTreeSet::new();
    for head in heads {
        if links
            .get(&head.number)
            .is_some_and(|link| *link != head.link)
        {
            others.insert(head.number);
        }
        if head.signed_by(key) == Some(false) {
            faults.push(Fault::Forged(sitting.to_owned(), head.number));
        }
    }
    // All heads from the first that differs on differ, where a chain was written anew.
    if let Some(first) = others.first() {
        faults.push(Fault::OtherChain(sitting.to_owned(), *first));
    }
}
