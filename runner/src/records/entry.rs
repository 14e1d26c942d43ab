//! An entry of the journal, and how it is linked to the one before.

use sha2::{Digest, Sha256};

use super::StoreError;

/// The kind of a sitting's first entry; its body names the form and the candidate, under `form` and `candidate`.
pub const STARTED: &str = "started";
/// The kind of an entry whose body is a [`super::ResultRow`] as JSON, and anything besides.
pub const GRADED: &str = "graded";
/// The kind of the entry that ends a sitting; grades may follow it.
pub const FINISHED: &str = "finished";

/// The longest sitting id, kind or key, bytes.
pub const LONGEST_NAME: usize = 200;
/// The longest body, bytes.
pub const LONGEST_BODY: usize = 1 << 20;

/// Something to be written down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// Which sitting it belongs to: an id that tells nothing of a person.
    pub sitting: String,
    /// What it is: a free word of lower-case letters and hyphens.
    pub kind: String,
    /// JSON text, kept byte for byte.
    pub body: String,
    /// Names the request. The same key and body again is the same entry, however often it is asked for.
    pub key: String,
    /// Unix time, ms.
    pub wall_ms: i64,
}

/// Something that was written down: a link of its sitting's chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Which sitting it belongs to.
    pub sitting: String,
    /// From 1, without gaps.
    pub number: u64,
    /// What it is.
    pub kind: String,
    /// JSON text, as it came.
    pub body: String,
    /// Names the request; there is one of it in a sitting.
    pub key: String,
    /// Unix time, ms; never less than that of the entry before.
    pub wall_ms: i64,
    /// SHA-256 over all of the above and the link before.
    pub link: [u8; 32],
}

impl Draft {
    /// Refuses what a store could not keep, or not keep alike in every store.
    ///
    /// # Errors
    /// A sentence on what is wrong with it.
    pub fn check(&self) -> Result<(), StoreError> {
        let bad = |why: String| Err(StoreError::BadDraft(why));
        for (what, text) in [("sitting's id", &self.sitting), ("key", &self.key)] {
            if text.is_empty() || text.len() > LONGEST_NAME || text.contains(char::is_control) {
                return bad(format!(
                    "its {what} {text:?} is empty, longer than {LONGEST_NAME} bytes or has control characters"
                ));
            }
        }
        let lower = |letter: char| letter.is_ascii_lowercase() || letter == '-';
        if self.kind.is_empty() || self.kind.len() > LONGEST_NAME || !self.kind.chars().all(lower) {
            return bad(format!("its kind {:?} is no lower-case word", self.kind));
        }
        if self.body.len() > LONGEST_BODY {
            return bad(format!("its body is longer than {LONGEST_BODY} bytes"));
        }
        match serde_json::from_str::<serde::de::IgnoredAny>(&self.body) {
            Ok(_) => Ok(()),
            Err(why) => bad(format!("its body is no JSON: {why}")),
        }
    }
}

impl Entry {
    /// What its link has to be, after the link before it.
    #[must_use]
    pub fn linked_to(&self, before: &[u8; 32]) -> [u8; 32] {
        let mut hasher = Sha256::new();
        // The label keeps this hash from ever being one made for another purpose.
        hasher.update(b"coldtrail entry 1");
        hasher.update(before);
        hasher.update(self.number.to_be_bytes());
        hasher.update(self.wall_ms.to_be_bytes());
        for text in [&self.sitting, &self.kind, &self.key, &self.body] {
            hash_field(&mut hasher, text.as_bytes());
        }
        hasher.finalize().into()
    }
}

/// A field with its length before it, so that no two lists of fields hash the same bytes.
pub(super) fn hash_field(hasher: &mut Sha256, field: &[u8]) {
    hasher.update((field.len() as u64).to_be_bytes());
    hasher.update(field);
}

/// What the first entry of a sitting is linked to.
#[must_use]
pub fn root(sitting: &str) -> [u8; 32] {
    Sha256::digest(sitting.as_bytes()).into()
}
