//! The end of each chain, kept outside the database in a file that only grows.
//!
//! A database whose log was cut opens without a word as it was some time ago. The file beside it still
//! says how far each sitting had come. It is a witness as long as nobody changes both; a copy of it on another
//! machine is a better one.

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::keys::{Keys, PublicKey};
use super::{StoreError, hex, unhex};

/// How far a sitting had come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Head {
    /// The sitting's id.
    pub sitting: String,
    /// The number of an entry.
    pub number: u64,
    /// Its link.
    pub link: [u8; 32],
    /// The office's signature, where a sitting ends and where it is graded.
    pub signature: Option<[u8; 64]>,
}

impl Head {
    /// What is signed.
    #[must_use]
    pub fn message(sitting: &str, number: u64, link: &[u8; 32]) -> Vec<u8> {
        let mut message = b"coldtrail head 1".to_vec();
        message.extend((sitting.len() as u64).to_be_bytes());
        message.extend(sitting.as_bytes());
        message.extend(number.to_be_bytes());
        message.extend(link);
        message
    }

    /// Signs it.
    pub fn sign(&mut self, keys: &Keys) {
        let message = Self::message(&self.sitting, self.number, &self.link);
        self.signature = Some(keys.sign(&message));
    }

    /// Whether its signature is that of this key; nothing where it has none.
    #[must_use]
    pub fn signed_by(&self, key: &PublicKey) -> Option<bool> {
        let message = Self::message(&self.sitting, self.number, &self.link);
        self.signature
            .map(|signature| key.has_signed(&message, &signature))
    }
}

/// A head as its line is written.
#[derive(Serialize, Deserialize)]
struct Line {
    sitting: String,
    number: u64,
    link: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    signature: Option<String>,
}

impl Line {
    fn of(head: &Head) -> Self {
        Self {
            sitting: head.sitting.clone(),
            number: head.number,
            link: hex(&head.link),
            signature: head.signature.map(|signature| hex(&signature)),
        }
    }

    fn head(self) -> Option<Head> {
        let signature = match self.signature {
            Some(text) => Some(unhex(&text)?),
            None => None,
        };
        Some(Head {
            sitting: self.sitting,
            number: self.number,
            link: unhex(&self.link)?,
            signature,
        })
    }
}

/// What the file says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Kept {
    /// The heads, as they were written.
    pub heads: Vec<Head>,
    /// Lines that end before they say anything, from 1: who wrote them was stopped in that moment, and told nobody
    /// that they were written. They prove no less than a line taken out would.
    pub torn: Vec<usize>,
    /// Other lines that cannot be read, from 1.
    pub unreadable: Vec<usize>,
}

/// The file, open to be written.
#[derive(Debug)]
pub struct Heads {
    path: PathBuf,
    file: File,
}

impl Heads {
    /// Opens the file, or makes it where there is none.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn open(path: &Path) -> Result<Self, StoreError> {
        let failed = |why| failed(path, &why);
        let mut options = OpenOptions::new();
        options.read(true).append(true).create(true);
        #[cfg(unix)]
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        let file = options.open(path).map_err(failed)?;
        Ok(Self {
            path: path.to_owned(),
            file,
        })
    }

    /// Adds heads, and has them on disk before it returns when `synced`.
    ///
    /// # Errors
    /// They cannot be written.
    pub fn add(&mut self, heads: &[Head], synced: bool) -> Result<(), StoreError> {
        let mut lines = String::new();
        for head in heads {
            let line = serde_json::to_string(&Line::of(head))
                .map_err(|why| StoreError::Heads(why.to_string()))?;
            // Its end stands before it: a line that a kill or a power cut tore must not swallow the next.
            lines.push('\n');
            lines.push_str(&line);
        }
        // One write: several processes may add to one file.
        self.file
            .write_all(lines.as_bytes())
            .and_then(|()| {
                if synced {
                    self.file.sync_data()
                } else {
                    Ok(())
                }
            })
            .map_err(|why| failed(&self.path, &why))
    }

    /// Reads a file; one that is not there says nothing.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn read(path: &Path) -> Result<Kept, StoreError> {
        let bytes = match std::fs::read(path) {
            Ok(bytes) => bytes,
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => Vec::new(),
            Err(why) => return Err(failed(path, &why)),
        };
        let mut kept = Kept::default();
        for (index, line) in bytes.split(|byte| *byte == b'\n').enumerate() {
            if line.is_empty() {
                continue;
            }
            match serde_json::from_slice::<Line>(line) {
                Ok(line) => match line.head() {
                    Some(head) => kept.heads.push(head),
                    None => kept.unreadable.push(index + 1),
                },
                Err(why) if why.is_eof() => kept.torn.push(index + 1),
                Err(_) => kept.unreadable.push(index + 1),
            }
        }
        Ok(kept)
    }
}

fn failed(path: &Path, why: &std::io::Error) -> StoreError {
    StoreError::Heads(format!("{}: {why}", path.display()))
}
