//! Sittings carried from one office to another: a bundle that is signed and only ever adds.
//!
//! A bundle is text: a line on who made it, a line for each entry, and the signature over all of that.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Write;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::entry::{GRADED, root};
use super::export::EntryLine;
use super::heads::Head;
use super::keys::{Keys, PublicKey};
use super::place::begun;
use super::store::{Batch, Of, Store};
use super::{Entry, ResultRow, StoreError, hex, unhex};

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct First {
    coldtrail_bundle: u32,
    office: String,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Last {
    signature: String,
}

/// What a bundle added.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Taken {
    /// Sittings in it.
    pub sittings: u64,
    /// Entries that were new.
    pub added: u64,
    /// Entries that were there before.
    pub known: u64,
    /// Sittings left out, because this office has erased them.
    pub erased: u64,
}

/// What is signed: the text's hash under a label of its own.
fn message(text: &[u8]) -> Vec<u8> {
    let mut message = b"coldtrail bundle 1".to_vec();
    message.extend(Sha256::digest(text));
    message
}

fn line(value: &impl Serialize) -> Result<String, StoreError> {
    serde_json::to_string(value)
        .map(|text| text + "\n")
        .map_err(|why| StoreError::Output(why.to_string()))
}

/// Writes a bundle of these sittings, or of all.
///
/// # Errors
/// The store cannot be read, or the bundle cannot be written.
pub fn bundle(
    store: &mut dyn Store,
    keys: &Keys,
    sittings: Option<&[String]>,
    out: &mut dyn Write,
) -> Result<(), StoreError> {
    let mut text = line(&First {
        coldtrail_bundle: 1,
        office: keys.public_key().to_string(),
    })?;
    let mut add = |entry| {
        text.push_str(&line(&EntryLine::of(entry))?);
        Ok(())
    };
    match sittings {
        None => store.each_entry(Of::All, &mut add)?,
        Some(sittings) => {
            for sitting in sittings {
                store.each_entry(Of::Sitting(sitting), &mut add)?;
            }
        }
    }
    let signature = keys.sign(&message(text.as_bytes()));
    text.push_str(&line(&Last {
        signature: hex(&signature),
    })?);
    out.write_all(text.as_bytes())
        .map_err(|why| StoreError::Output(why.to_string()))
}

/// Reads a bundle, and checks its signature and each chain in it.
fn read(bytes: &[u8], trusted: &[PublicKey]) -> Result<BTreeMap<String, Vec<Entry>>, StoreError> {
    let refused = |why: &str| StoreError::Refused(why.to_owned());
    let text = std::str::from_utf8(bytes).map_err(|_| refused("it is no text"))?;
    let body = text
        .strip_suffix('\n')
        .and_then(|text| text.rfind('\n'))
        .map(|end| text.split_at(end + 1))
        .ok_or_else(|| refused("it is not whole"))?;
    let mut lines = body.0.lines();
    let first = lines.next().unwrap_or_default();
    let first: First =
        serde_json::from_str(first).map_err(|_| refused("it does not begin as a bundle does"))?;
    if first.coldtrail_bundle != 1 {
        return Err(refused("a newer program made it: use that to take it"));
    }
    let office = PublicKey::read(&first.office).ok_or_else(|| refused("its office has no key"))?;
    if !trusted.contains(&office) {
        return Err(StoreError::Refused(format!(
            "it is from an office whose key {office} is not trusted here"
        )));
    }
    let last: Last = serde_json::from_str(body.1)
        .map_err(|_| refused("it has no signature: it is not whole"))?;
    let signed = unhex(&last.signature)
        .is_some_and(|signature| office.has_signed(&message(body.0.as_bytes()), &signature));
    if !signed {
        return Err(refused(
            "its signature does not match: it was changed on its way",
        ));
    }
    let mut sittings: BTreeMap<String, Vec<Entry>> = BTreeMap::new();
    for (index, line) in lines.enumerate() {
        let entry = serde_json::from_str::<EntryLine>(line).ok();
        let entry = entry
            .and_then(EntryLine::entry)
            .ok_or_else(|| StoreError::Refused(format!("its line {} is no entry", index + 2)))?;
        sittings
            .entry(entry.sitting.clone())
            .or_default()
            .push(entry);
    }
    for (sitting, entries) in &sittings {
        whole(sitting, entries)?;
    }
    Ok(sittings)
}

/// Refuses a chain that is not one: an office may sign nonsense, and its store may have been changed.
fn whole(sitting: &str, entries: &[Entry]) -> Result<(), StoreError> {
    let (mut number, mut link, mut wall_ms) = (0, root(sitting), i64::MIN);
    for entry in entries {
        let follows = entry.number == number + 1
            && entry.linked_to(&link) == entry.link
            && entry.wall_ms >= wall_ms;
        if !follows {
            return Err(StoreError::Refused(format!(
                "entry {} of the sitting {sitting:?} does not follow from what stands before it",
                entry.number
            )));
        }
        (number, link, wall_ms) = (entry.number, entry.link, entry.wall_ms);
    }
    Ok(())
}

/// Takes a bundle in one transaction. Taken twice, it adds nothing the second time.
///
/// What it returns besides is where each sitting ends now, as the bundle has it.
///
/// # Errors
/// It is refused whole: not signed by a trusted office, changed, or at odds with what is here.
pub fn take(
    store: &mut dyn Store,
    bytes: &[u8],
    trusted: &[PublicKey],
) -> Result<(Taken, Vec<Head>), StoreError> {
    let mut sittings = read(bytes, trusted)?;
    let erased: BTreeSet<String> = store.erased()?.into_iter().map(|one| one.sitting).collect();
    let before = sittings.len();
    sittings.retain(|sitting, _| !erased.contains(sitting));
    let mut taken = Taken {
        sittings: sittings.len() as u64,
        erased: (before - sittings.len()) as u64,
        ..Taken::default()
    };
    let mut ends = Vec::new();
    let mut batch = store.batch()?;
    for entry in sittings.values().flatten() {
        if add(batch.as_mut(), entry)? {
            taken.added += 1;
        } else {
            taken.known += 1;
        }
    }
    batch.commit()?;
    for entry in sittings.values().filter_map(|entries| entries.last()) {
        ends.push(Head {
            sitting: entry.sitting.clone(),
            number: entry.number,
            link: entry.link,
            signature: None,
        });
    }
    Ok((taken, ends))
}

/// Adds an entry as it is, and says whether it was new.
fn add(batch: &mut dyn Batch, entry: &Entry) -> Result<bool, StoreError> {
    let at_odds = || {
        StoreError::Refused(format!(
            "the sitting {:?} has another entry {} here: one of the two was changed, or two offices used one id",
            entry.sitting, entry.number
        ))
    };
    let row = (entry.kind == GRADED).then(|| ResultRow::of(entry));
    let row = row.transpose()?;
    if let Some(here) = batch.at(&entry.sitting, entry.number)? {
        return if here == *entry {
            Ok(false)
        } else {
            Err(at_odds())
        };
    }
    if entry.number == 1 {
        batch.add_sitting(&begun(entry)?)?;
    }
    if let Some(row) = &row
        && batch.is_graded(&row.sitting, row.task, &row.program)?
    {
        return Err(at_odds());
    }
    if !batch.add(entry)? {
        return Err(at_odds());
    }
    if let Some(row) = &row {
        batch.add_result(entry.number, row)?;
    }
    Ok(true)
}
