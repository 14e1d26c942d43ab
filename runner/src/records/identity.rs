//! The office's identity for what is sealed for it: an age X25519 key, beside the keys that sign.
//!
//! Its file is what the `age` program calls an identity file. An office has one from its making, or, where it was
//! made before there were any, from the first time that it is needed.

use std::fmt;
use std::path::Path;
use std::str::FromStr;

use age::secrecy::ExposeSecret;

use super::hex;
use super::keys::{KeysError, keep_names, read_secret, unreadable, write_new};

const IDENTITY: &str = "age.key";

/// The half of an identity that anybody may have: who seals names it.
#[derive(Clone)]
pub struct Recipient(pub(super) age::x25519::Recipient);

impl fmt::Display for Recipient {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(out)
    }
}

impl fmt::Debug for Recipient {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(out)
    }
}

impl Recipient {
    /// Reads a recipient as it is shown, `age1...`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        age::x25519::Recipient::from_str(text.trim()).ok().map(Self)
    }
}

/// The half that stays in the office.
pub struct Identity(pub(super) age::x25519::Identity);

impl fmt::Debug for Identity {
    // Nothing that is printed may hold a secret.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Identity of {}", self.recipient())
    }
}

impl Identity {
    /// The identity in an office's folder; where there is none it is made, and written down before it is told of.
    ///
    /// # Errors
    /// It is damaged or not for its owner's eyes only, or the folder cannot be written.
    pub fn open_or_make(folder: &Path) -> Result<Self, KeysError> {
        let path = folder.join(IDENTITY);
        match read(&path) {
            Err(KeysError::Missing(_)) => make(folder, &path),
            read => read,
        }
    }

    /// The half that anybody may have.
    #[must_use]
    pub fn recipient(&self) -> Recipient {
        Recipient(self.0.to_public())
    }
}

fn read(path: &Path) -> Result<Identity, KeysError> {
    let text = read_secret(path)?;
    // `age-keygen` writes remarks above a key.
    let key = text.lines().find(|line| !line.starts_with('#'));
    let key = key.and_then(|key| age::x25519::Identity::from_str(key.trim()).ok());
    key.map(Identity)
        .ok_or_else(|| KeysError::Damaged(path.to_owned()))
}

/// Makes an identity under a name of its own, whole and on disk, and only then under the name it is looked for:
/// a program that is stopped leaves no half of one, and of two programs both take what the first has made.
fn make(folder: &Path, path: &Path) -> Result<Identity, KeysError> {
    let mut own = [0; 8];
    getrandom::fill(&mut own).map_err(|why| KeysError::NoChance(why.to_string()))?;
    let made = folder.join(format!("{IDENTITY}.{}", hex(&own)));
    let identity = age::x25519::Identity::generate();
    write_new(&made, identity.to_string().expose_secret(), 0o600)?;
    let linked = std::fs::hard_link(&made, path);
    let named = match linked {
        Err(why) if why.kind() != std::io::ErrorKind::AlreadyExists && !path.exists() => {
            // Some disks, such as those of cameras and keys on a ring, know no second name of a file.
            std::fs::rename(&made, path).map_err(unreadable(path))
        }
        _ => std::fs::remove_file(&made).map_err(unreadable(&made)),
    };
    named?;
    keep_names(folder);
    read(path)
}
