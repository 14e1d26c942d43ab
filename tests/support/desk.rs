//! An office's desk, at which packs are sealed and opened.

use runner::records::{Identity, Keys, PublicKey, Recipient};

use crate::folder::Folder;
use crate::golden;

/// An office with keys and an identity, and no store: packs need none.
#[derive(Debug)]
pub struct Desk {
    /// Its folder.
    pub folder: Folder,
    /// Its keys.
    pub keys: Keys,
    /// Its identity.
    pub identity: Identity,
}

impl Desk {
    /// A new office.
    ///
    /// # Panics
    /// It cannot be made.
    #[must_use]
    pub fn new() -> Self {
        let folder = Folder::new();
        Self {
            keys: Keys::make(folder.path()).expect("keys"),
            identity: Identity::open_or_make(folder.path()).expect("an identity"),
            folder,
        }
    }

    /// Whom others seal for.
    #[must_use]
    pub fn recipient(&self) -> Recipient {
        self.identity.recipient()
    }

    /// The key by which others know what it signed.
    #[must_use]
    pub fn key(&self) -> PublicKey {
        self.keys.public_key()
    }
}

impl Default for Desk {
    fn default() -> Self {
        Self::new()
    }
}

/// A case of one's own.
#[must_use]
pub fn case() -> String {
    golden::text("scenarios/bank/school-run.toml").replace("Warm on the", "Ours on the")
}
