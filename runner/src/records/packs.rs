//! Packs: a bundle of cases on its way from one office to others, sealed and signed.
//!
//! Inside it is text: a line on who made it and for whom, the bundle as one text, and the signature over all of that.
//! Outside it is a file of the age format (age-encryption.org/v1) for the X25519 recipients that the first line names.
//! A recipient can open a pack and seal what was in it for somebody else; the names under the signature tell.

use std::collections::BTreeMap;
use std::fmt;
use std::io::{Read, Write};

use age::{DecryptError, Decryptor, Encryptor};
use scenarios::bundle::MOST_BYTES;
use scenarios::{BankErrors, Bundle};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::identity::{Identity, Recipient};
use super::keys::{Keys, PublicKey};
use super::{hex, unhex};

/// Most offices a pack is sealed for.
pub const MOST_RECIPIENTS: usize = 64;
/// Most bytes of a pack: a bundle's files, the lines that name them, and what seals them.
pub const LARGEST_PACK: usize = MOST_BYTES + 256 * 1024;
/// Most bytes before what is sealed begins. Each recipient takes about a hundred. The library reads these
/// by trying again with a byte more, so a long one that never ends would keep it for ever.
const LARGEST_HEADER: usize = 16 * 1024;
/// What every file of the age format begins with; the version follows.
const AGE: &[u8] = b"age-encryption.org/";
const VERSION: u32 = 1;

#[derive(Serialize, Deserialize)]
struct First {
    coldtrail_pack: u32,
    office: String,
    #[serde(rename = "for")]
    recipients: Vec<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Last {
    signature: String,
}

/// Why a pack cannot be sealed or opened.
#[derive(Debug)]
pub enum PackError {
    /// It is sealed for nobody, or for too many.
    Recipients(usize),
    /// It is larger than a pack may be.
    TooLarge,
    /// The bundle in it is none.
    Bundle(BankErrors),
    /// It is no pack.
    NotAPack,
    /// It cannot be opened with this office's identity.
    NotForUs,
    /// It is not as it was sealed.
    Changed,
    /// A newer program made it.
    Newer,
    /// Another office signed it: which it says.
    FromAnother(String),
    /// Its signature is not that of the key.
    NotSigned,
    /// Its author named other recipients.
    PassedOn,
    /// It cannot be sealed: why.
    NotSealed(String),
}

impl fmt::Display for PackError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Recipients(count) => write!(
                out,
                "a pack is sealed for one to {MOST_RECIPIENTS} offices, and not for {count}"
            ),
            Self::TooLarge => write!(
                out,
                "the pack is too large: a bundle holds at most {} MiB",
                MOST_BYTES / 1024 / 1024
            ),
            Self::Bundle(errors) => errors.fmt(out),
            Self::NotAPack => out.write_str(
                "it is no sealed pack: `coldtrail author seal` makes one; what is not sealed needs no unsealing",
            ),
            Self::NotForUs => out.write_str(
                "it is not sealed for this office: send its sender the recipient that `coldtrail records keys` prints; if that is whom it was sealed for, it was changed on its way",
            ),
            Self::Changed => {
                out.write_str("it was changed or cut short on its way: have it sent again")
            }
            Self::Newer => out.write_str("a newer program made it: use that to unseal it"),
            Self::FromAnother(office) => write!(
                out,
                "it says that the office {office} signed it, and that is not the key of --from"
            ),
            Self::NotSigned => out.write_str(
                "its signature is not of the key of --from: somebody else made it, or changed what is in it",
            ),
            Self::PassedOn => out.write_str(
                "its author sealed it for other offices, and one of them passed it on: ask its author to seal it for this one",
            ),
            Self::NotSealed(why) => write!(out, "the pack cannot be sealed: {why}"),
        }
    }
}

impl std::error::Error for PackError {}

/// Whether a file begins as what is sealed does.
#[must_use]
pub fn is_sealed(bytes: &[u8]) -> bool {
    bytes.starts_with(AGE)
}

/// What is signed: the text's hash under a label of its own.
fn message(text: &[u8]) -> Vec<u8> {
    let mut message = b"coldtrail pack 1".to_vec();
    message.extend(Sha256::digest(text));
    message
}

/// Signs a bundle and seals it for these offices; whether it can be played is the caller's to find out.
///
/// # Errors
/// [`PackError`] where there is no recipient or too many, or the bundle cannot be one text.
pub fn seal(bundle: &Bundle, keys: &Keys, recipients: &[Recipient]) -> Result<Vec<u8>, PackError> {
    let by_name: BTreeMap<String, &Recipient> = recipients
        .iter()
        .map(|one| (one.to_string(), one))
        .collect();
    if by_name.is_empty() || by_name.len() > MOST_RECIPIENTS {
        return Err(PackError::Recipients(by_name.len()));
    }
    let failed = |why: String| PackError::NotSealed(why);
    let line = |text: serde_json::Result<String>| match text {
        Ok(text) => Ok(text + "\n"),
        Err(why) => Err(failed(why.to_string())),
    };
    let mut text = line(serde_json::to_string(&First {
        coldtrail_pack: VERSION,
        office: keys.public_key().to_string(),
        recipients: by_name.keys().cloned().collect(),
    }))?;
    text.push_str(&bundle.to_text().map_err(PackError::Bundle)?);
    let signature = hex(&keys.sign(&message(text.as_bytes())));
    text.push_str(&line(serde_json::to_string(&Last { signature }))?);

    let sealed_for = by_name.values().map(|one| &one.0 as &dyn age::Recipient);
    let encryptor =
        Encryptor::with_recipients(sealed_for).map_err(|why| failed(why.to_string()))?;
    let mut bytes = Vec::new();
    let mut out = encryptor
        .wrap_output(&mut bytes)
        .map_err(|why| failed(why.to_string()))?;
    out.write_all(text.as_bytes())
        .and_then(|()| out.finish().map(|_| ()))
        .map_err(|why| failed(why.to_string()))?;
    if bytes.len() > LARGEST_PACK {
        return Err(PackError::TooLarge);
    }
    Ok(bytes)
}

/// Opens a pack and gives the bundle in it: sealed for this office by its author, whose key is trusted.
///
/// # Errors
/// [`PackError`] where it is not that, whole and as it was sealed.
pub fn unseal(bytes: &[u8], identity: &Identity, from: &PublicKey) -> Result<Bundle, PackError> {
    let text = opened(bytes, identity)?;
    let text = std::str::from_utf8(&text).map_err(|_| PackError::NotAPack)?;
    let last = text
        .strip_suffix('\n')
        .and_then(|text| text.rfind('\n'))
        .ok_or(PackError::NotAPack)?;
    let (signed, last) = text.split_at(last + 1);
    let (first, bundle) = signed.split_once('\n').ok_or(PackError::NotAPack)?;
    let first: serde_json::Value = serde_json::from_str(first).map_err(|_| PackError::NotAPack)?;
    // The version alone first: a newer line may hold anything else.
    match first.get("coldtrail_pack").and_then(|it| it.as_u64()) {
        Some(version) if version == u64::from(VERSION) => {}
        Some(_) => return Err(PackError::Newer),
        None => return Err(PackError::NotAPack),
    }
    let first: First = serde_json::from_value(first).map_err(|_| PackError::NotAPack)?;
    if PublicKey::read(&first.office) != Some(*from) {
        return Err(PackError::FromAnother(first.office));
    }
    let last: Last = serde_json::from_str(last).map_err(|_| PackError::NotSigned)?;
    let signature = unhex(&last.signature).ok_or(PackError::NotSigned)?;
    if !from.has_signed(&message(signed.as_bytes()), &signature) {
        return Err(PackError::NotSigned);
    }
    if !first.recipients.contains(&identity.recipient().to_string()) {
        return Err(PackError::PassedOn);
    }
    Bundle::from_packed("the pack", bundle).map_err(PackError::Bundle)
}

/// What is inside a sealed file.
fn opened(bytes: &[u8], identity: &Identity) -> Result<Vec<u8>, PackError> {
    if bytes.len() > LARGEST_PACK {
        return Err(PackError::TooLarge);
    }
    if !is_sealed(bytes) {
        return Err(PackError::NotAPack);
    }
    let start = &bytes[..bytes.len().min(LARGEST_HEADER)];
    if !start.windows(5).any(|at| at == b"\n--- ") {
        return Err(PackError::Changed);
    }
    let decryptor = Decryptor::new(bytes).map_err(|why| refused(&why))?;
    let own = std::iter::once(&identity.0 as &dyn age::Identity);
    let mut inside = decryptor.decrypt(own).map_err(|why| refused(&why))?;
    let mut text = Vec::new();
    // Nothing is taken of what was read until its last byte has proved whole.
    inside
        .read_to_end(&mut text)
        .map_err(|_| PackError::Changed)?;
    Ok(text)
}

fn refused(why: &DecryptError) -> PackError {
    match why {
        DecryptError::NoMatchingKeys => PackError::NotForUs,
        DecryptError::UnknownFormat => PackError::Newer,
        _ => PackError::Changed,
    }
}
