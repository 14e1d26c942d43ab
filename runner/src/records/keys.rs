//! The office's keys: one that signs, and a secret that candidates' seeds come from.
//!
//! They lie in files beside the store, for their owner's eyes only, and never in the database: who
//! copies or changes the database alone can neither sign nor foresee a seed.

use std::fmt;
use std::fs::{File, OpenOptions};
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};
use hmac::{Hmac, Mac};
use sha2::{Digest, Sha256};

use super::{hex, unhex};

const SIGNING: &str = "signing.key";
const SECRET: &str = "seeds.key";
const PUBLIC: &str = "public.key";

/// The keys of an office.
pub struct Keys {
    signing: SigningKey,
    secret: [u8; 32],
}

impl fmt::Debug for Keys {
    // Nothing that is printed may hold a secret.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Keys of {}", self.public_key())
    }
}

/// The half of the signing key that anybody may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PublicKey(pub [u8; 32]);

impl fmt::Display for PublicKey {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&hex(&self.0))
    }
}

impl PublicKey {
    /// Reads a key as it is shown and kept in `public.key`.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        unhex(text.trim()).map(Self)
    }

    /// Whether these bytes were signed with the other half.
    #[must_use]
    pub fn has_signed(&self, bytes: &[u8], signature: &[u8; 64]) -> bool {
        // The strict check also refuses keys for which several signatures would pass.
        VerifyingKey::from_bytes(&self.0).is_ok_and(|key| {
            key.verify_strict(bytes, &Signature::from_bytes(signature))
                .is_ok()
        })
    }
}

/// A candidate's seed for a form, and what can be made known of it before the start.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seed {
    /// The seed.
    pub seed: u64,
    /// SHA-256 over what the seed is taken from, hexadecimal: it tells nothing, and cannot be met afterwards by
    /// another seed.
    pub commitment: String,
}

/// Why the keys cannot be used.
#[derive(Debug, PartialEq, Eq)]
pub enum KeysError {
    /// There are none: the file that is missing.
    Missing(PathBuf),
    /// There are some already: the file.
    Exist(PathBuf),
    /// Others may read it: the file.
    Open(PathBuf),
    /// It is no key: the file.
    Damaged(PathBuf),
    /// It cannot be read or written: the file, and why.
    Unreadable(PathBuf, String),
    /// The system gives no random bytes: why.
    NoChance(String),
}

impl fmt::Display for KeysError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Missing(file) => write!(
                out,
                "the office has no key {}: set it up first, or bring the file back from a copy",
                file.display()
            ),
            Self::Exist(file) => write!(
                out,
                "the office has a key {} already, and what it signed would be worth nothing with another: it is kept",
                file.display()
            ),
            Self::Open(file) => write!(
                out,
                "others may read the key {}: run `chmod 600` on it, and think about who has read it",
                file.display()
            ),
            Self::Damaged(file) => write!(
                out,
                "the key {} is damaged: bring it back from a copy",
                file.display()
            ),
            Self::Unreadable(file, why) => {
                write!(out, "the key {} cannot be used: {why}", file.display())
            }
            Self::NoChance(why) => write!(
                out,
                "the system gives no random bytes ({why}), and no key is made without"
            ),
        }
    }
}

impl std::error::Error for KeysError {}

impl Keys {
    /// Makes keys and writes them down in a folder.
    ///
    /// # Errors
    /// The folder has some already or cannot be written.
    pub fn make(folder: &Path) -> Result<Self, KeysError> {
        let (mut signing, mut secret) = ([0; 32], [0; 32]);
        for bytes in [&mut signing, &mut secret] {
            getrandom::fill(bytes).map_err(|why| KeysError::NoChance(why.to_string()))?;
        }
        let keys = Self {
            signing: SigningKey::from_bytes(&signing),
            secret,
        };
        write_new(&folder.join(SIGNING), &hex(&signing), 0o600)?;
        write_new(&folder.join(SECRET), &hex(&secret), 0o600)?;
        write_new(&folder.join(PUBLIC), &hex(&keys.public_key().0), 0o644)?;
        keep_names(folder);
        Ok(keys)
    }

    /// Reads the keys in a folder.
    ///
    /// # Errors
    /// They are missing, damaged, or not for their owner's eyes only.
    pub fn open(folder: &Path) -> Result<Self, KeysError> {
        Ok(Self {
            signing: SigningKey::from_bytes(&read(&folder.join(SIGNING))?),
            secret: read(&folder.join(SECRET))?,
        })
    }

    /// Whether a folder has keys, or part of them.
    #[must_use]
    pub fn are_in(folder: &Path) -> bool {
        [SIGNING, SECRET]
            .iter()
            .any(|name| folder.join(name).exists())
    }

    /// A candidate's seed for a form: the first eight bytes of HMAC-SHA256 under the office's secret.
    ///
    /// The form's hash is in it, so that a form that was changed deals other cases.
    #[must_use]
    pub fn seed(&self, form: &str, form_hash: &[u8], candidate: &str) -> Seed {
        let bytes = self.under_secret(b"coldtrail seed 1", |mac| {
            for field in [form.as_bytes(), form_hash, candidate.as_bytes()] {
                mac.update(&(field.len() as u64).to_be_bytes());
                mac.update(field);
            }
        });
        let mut hasher = Sha256::new();
        hasher.update(b"coldtrail commitment 1");
        hasher.update(bytes);
        let mut first = [0; 8];
        first.copy_from_slice(&bytes[..8]);
        Seed {
            seed: u64::from_be_bytes(first),
            commitment: hex(&hasher.finalize()),
        }
    }

    /// Bytes that only this office's secret gives for a purpose, so that every process with its keys has the same.
    #[must_use]
    pub fn derived(&self, purpose: &str, of: &[&str]) -> [u8; 32] {
        self.under_secret(b"coldtrail derived 1", |mac| {
            for field in [purpose].iter().chain(of) {
                mac.update(&(field.len() as u64).to_be_bytes());
                mac.update(field.as_bytes());
            }
        })
    }

    fn under_secret(&self, what: &[u8], fields: impl FnOnce(&mut Hmac<Sha256>)) -> [u8; 32] {
        // A key of any length is taken: there is no error to meet.
        let Ok(mut mac) = Hmac::<Sha256>::new_from_slice(&self.secret) else {
            return [0; 32];
        };
        mac.update(what);
        fields(&mut mac);
        mac.finalize().into_bytes().into()
    }

    /// Signs bytes.
    #[must_use]
    pub fn sign(&self, bytes: &[u8]) -> [u8; 64] {
        self.signing.sign(bytes).to_bytes()
    }

    /// The half that anybody may have.
    #[must_use]
    pub fn public_key(&self) -> PublicKey {
        PublicKey(self.signing.verifying_key().to_bytes())
    }
}

/// The names of a folder's files have to last as well as what is in them.
pub(super) fn keep_names(folder: &Path) {
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
}

pub(super) fn unreadable(file: &Path) -> impl Fn(std::io::Error) -> KeysError + '_ {
    move |error| match error.kind() {
        std::io::ErrorKind::NotFound => KeysError::Missing(file.to_owned()),
        std::io::ErrorKind::AlreadyExists => KeysError::Exist(file.to_owned()),
        _ => KeysError::Unreadable(file.to_owned(), error.to_string()),
    }
}

/// Writes a key's line into a file that is not there yet, and has it on disk.
pub(super) fn write_new(path: &Path, key: &str, mode: u32) -> Result<(), KeysError> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, mode);
    #[cfg(not(unix))]
    let _ = mode;
    let mut file = options.open(path).map_err(unreadable(path))?;
    file.write_all(format!("{key}\n").as_bytes())
        .and_then(|()| file.sync_all())
        .map_err(unreadable(path))
}

fn read(path: &Path) -> Result<[u8; 32], KeysError> {
    unhex(read_secret(path)?.trim()).ok_or_else(|| KeysError::Damaged(path.to_owned()))
}

/// The text of a key's file, which only its owner may read.
pub(super) fn read_secret(path: &Path) -> Result<String, KeysError> {
    let file = File::open(path).map_err(unreadable(path))?;
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = file
            .metadata()
            .map_err(unreadable(path))?
            .permissions()
            .mode();
        if mode & 0o077 != 0 {
            return Err(KeysError::Open(path.to_owned()));
        }
    }
    let mut bytes = Vec::new();
    file.take(1024)
        .read_to_end(&mut bytes)
        .map_err(unreadable(path))?;
    String::from_utf8(bytes).map_err(|_| KeysError::Damaged(path.to_owned()))
}
