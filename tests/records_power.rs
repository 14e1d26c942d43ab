//! The power is pulled: whatever part of the write-ahead log reached the disk, the store opens as it once was or
//! not at all, and the heads tell what is missing. And a disk that is full.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use coldtrail_checks::folder::Folder;
use coldtrail_checks::records::{Stand, action, start};
use runner::records::sqlite::Sqlite;
use runner::records::store::Of;
use runner::records::verify::verify;
use runner::records::{Entry, Fault, Heads, Journal, Keys, Store, StoreError};
use sim_core::random::Draws;

/// An office in which every entry was a commit of its own, as it lies on the disk while it is open.
struct Lying {
    stand: Stand,
    office: runner::records::Office,
    /// The entries in the order in which they were committed.
    committed: Vec<Entry>,
    file: Vec<u8>,
    log: Vec<u8>,
}

fn lying() -> Lying {
    let stand = Stand::file();
    let office = stand.office();
    let mut order = Vec::new();
    for number in 1..16 {
        for sitting in ["a", "b", "c"] {
            let draft = if number == 1 {
                start(sitting)
            } else {
                action(sitting, number)
            };
            let told = office.journal().append(draft).unwrap();
            order.push((sitting.to_owned(), told.number));
        }
    }
    let mut entries = BTreeMap::new();
    let mut store = office.store();
    store
        .each_entry(Of::All, &mut |entry| {
            entries.insert((entry.sitting.clone(), entry.number), entry);
            Ok(())
        })
        .unwrap();
    drop(store);
    let committed = order.iter().map(|place| entries[place].clone()).collect();
    let bytes = |name: &str| std::fs::read(stand.folder.path().join(name)).unwrap();
    let (file, log) = (bytes("records.sqlite"), bytes("records.sqlite-wal"));
    assert!(log.len() > 45 * 4096, "{} bytes", log.len());
    Lying {
        stand,
        office,
        committed,
        file,
        log,
    }
}

/// Opens what is left; its entries, and what is found wrong with them.
fn opened(
    lying: &Lying,
    folder: &Path,
    file: &[u8],
    log: &[u8],
) -> Result<(Vec<Entry>, Vec<Fault>), StoreError> {
    let path = folder.join("records.sqlite");
    let _ = std::fs::remove_file(folder.join("records.sqlite-shm"));
    std::fs::write(&path, file).unwrap();
    std::fs::write(folder.join("records.sqlite-wal"), log).unwrap();
    let mut store = Sqlite::open(&path)?;
    let mut entries = Vec::new();
    store.each_entry(Of::All, &mut |entry| {
        entries.push(entry);
        Ok(())
    })?;
    let kept = Heads::read(&lying.stand.folder.path().join("heads.jsonl"))?;
    let report = verify(&mut store, &lying.office.keys().public_key(), &kept)?;
    Ok((entries, report.faults))
}

/// How far each sitting had come after so many commits.
fn ends(committed: &[Entry]) -> BTreeMap<&str, u64> {
    committed
        .iter()
        .map(|entry| (entry.sitting.as_str(), entry.number))
        .collect()
}

/// The store has to be what it was after some commit, and each sitting's loss has to be told.
fn held(lying: &Lying, entries: &[Entry], faults: &[Fault]) -> usize {
    let count = entries.len();
    let mut expected = lying.committed[..count].to_vec();
    expected.sort_by_key(|entry| (entry.sitting.clone(), entry.number));
    assert_eq!(entries, expected);
    let (now, once) = (ends(&lying.committed[..count]), ends(&lying.committed));
    let lost = once
        .iter()
        .filter_map(|(sitting, head)| match now.get(sitting) {
            None => Some(Fault::MissingSitting((*sitting).to_owned(), *head)),
            Some(end) if end < head => Some(Fault::LostTail((*sitting).to_owned(), *head, *end)),
            Some(_) => None,
        });
    let told = |faults: &[Fault]| {
        let mut told: Vec<String> = faults.iter().map(ToString::to_string).collect();
        told.sort();
        told
    };
    assert_eq!(told(faults), told(&lost.collect::<Vec<_>>()));
    count
}

#[test]
fn a_log_cut_or_flipped_anywhere() {
    let lying = lying();
    let all = lying.committed.len();
    let folder = Folder::new();
    let (entries, faults) = opened(&lying, folder.path(), &lying.file, &lying.log).unwrap();
    assert_eq!(held(&lying, &entries, &faults), all);
    let mut draws = Draws::new(11, 0);
    let mut counts = BTreeMap::new();
    let (mut opened_as, mut refused) = (0, 0);
    for round in 0..160 {
        let mut log = lying.log.clone();
        let at = (draws.uniform() * log.len() as f64) as usize;
        match round % 3 {
            0 => log.truncate(at),
            1 => log[at] ^= 1 << (round % 8),
            // Blocks that never reached the disk, with later ones that did.
            _ => {
                let end = log.len().min(at + 4096);
                log[at..end].fill(0);
            }
        }
        match opened(&lying, folder.path(), &lying.file, &log) {
            Ok((entries, faults)) => {
                opened_as += 1;
                *counts.entry(held(&lying, &entries, &faults)).or_insert(0) += 1;
            }
            Err(why) => {
                assert!(!matches!(why, StoreError::Other(_)), "{why}");
                refused += 1;
            }
        }
    }
    // The cuts have to have hit many different moments for this to say anything.
    assert!(
        counts.len() > 25,
        "{counts:?}, {refused} refused of {opened_as}"
    );
}

/// Pages of the file that a checkpoint had written, and others that it had not: the log makes all of them good.
#[test]
fn a_checkpoint_cut_short() {
    let lying = lying();
    let folder = Folder::new();
    let path = lying.stand.folder.path().join("records.sqlite");
    let connection = rusqlite::Connection::open(&path).unwrap();
    connection
        .query_row("PRAGMA wal_checkpoint(PASSIVE)", [], |_| Ok(()))
        .unwrap();
    let after = std::fs::read(&path).unwrap();
    assert_ne!(after, lying.file);
    let mut draws = Draws::new(13, 0);
    for _ in 0..40 {
        let mut file = after.clone();
        for (page, old) in file.chunks_mut(4096).zip(lying.file.chunks(4096)) {
            if draws.uniform() < 0.5 {
                page.copy_from_slice(old);
            }
        }
        let (entries, faults) = opened(&lying, folder.path(), &file, &lying.log).unwrap();
        assert_eq!(held(&lying, &entries, &faults), lying.committed.len());
    }
}

#[test]
fn a_full_disk_keeps_what_was_shown() {
    let stand = Stand::file();
    drop(stand.office());
    let path = stand.folder.path().join("records.sqlite");
    let keys = Arc::new(Keys::open(stand.folder.path()).unwrap());
    let journal = |pages: Option<u32>| {
        let mut store = Sqlite::open(&path).unwrap();
        if let Some(pages) = pages {
            store.at_most_pages(pages).unwrap();
        }
        let heads = Heads::open(&stand.folder.path().join("heads.jsonl")).unwrap();
        Journal::open(Box::new(store), heads, Arc::clone(&keys)).unwrap()
    };
    let tight = journal(Some(40));
    tight.append(start("s")).unwrap();
    let mut kept = 1;
    let refused = loop {
        match tight.append(action("s", kept + 1)) {
            Ok(told) => {
                kept += 1;
                assert_eq!(told.number, u64::from(kept));
            }
            Err(why) => break why,
        }
    };
    assert_eq!(refused, StoreError::Full);
    assert!(kept > 50, "{kept} entries");
    // Still full, and still there.
    assert_eq!(
        tight.append(action("s", kept + 1)).unwrap_err(),
        StoreError::Full
    );
    assert!(tight.append(action("s", kept)).unwrap().repeated);
    assert_eq!(tight.take_up("s").unwrap().len(), kept as usize);
    drop(tight);
    let roomy = journal(None);
    let told = roomy.append(action("s", kept + 1)).unwrap();
    assert_eq!((told.number, told.repeated), (u64::from(kept) + 1, false));
    drop(roomy);
    assert!(stand.office().verify().unwrap().is_clean());
}
