//! An office: a folder with keys and heads, and the store beside it or on a server.

use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{SystemTime, UNIX_EPOCH};

use serde::Deserialize;

use super::exchange::{Taken, take};
use super::heads::Heads;
use super::identity::Identity;
use super::journal::Journal;
use super::keys::{Keys, KeysError, PublicKey};
use super::postgres::Postgres;
use super::sqlite::Sqlite;
use super::store::{Erased, Store};
use super::verify::{Report, erasure, verify};
use super::{StoreError, hex};

const FILE: &str = "records.sqlite";
const HEADS: &str = "heads.jsonl";
/// The folder of what people practise in a class.
const PRACTISED: &str = "practice";
const CONFIG: &str = "office.toml";
const SCHEMES: [&str; 2] = ["postgres://", "postgresql://"];
/// More than any set-up needs.
const LARGEST_CONFIG: u64 = 64 * 1024;

/// Why an office cannot be opened.
#[derive(Debug, PartialEq, Eq)]
pub enum OfficeError {
    /// Its keys cannot be used.
    Keys(KeysError),
    /// Its store cannot be used.
    Store(StoreError),
    /// Its folder cannot be used: which, and why.
    Folder(PathBuf, String),
    /// Its set-up file says something that is not understood: which, and what.
    Config(PathBuf, String),
    /// The platform names no folder for data.
    NoFolder,
}

impl fmt::Display for OfficeError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Keys(why) => why.fmt(out),
            Self::Store(why) => why.fmt(out),
            Self::Folder(folder, why) => write!(
                out,
                "the records' folder {} cannot be used: {why}",
                folder.display()
            ),
            Self::Config(file, why) => write!(
                out,
                "{} cannot be understood: {why}; it may hold one line, store = \"postgres://...\"",
                file.display()
            ),
            Self::NoFolder => out.write_str(
                "the system names no folder for a program's data: name one with --records FOLDER",
            ),
        }
    }
}

impl std::error::Error for OfficeError {}

impl From<KeysError> for OfficeError {
    fn from(why: KeysError) -> Self {
        Self::Keys(why)
    }
}

impl From<StoreError> for OfficeError {
    fn from(why: StoreError) -> Self {
        Self::Store(why)
    }
}

/// An office, open.
pub struct Office {
    folder: PathBuf,
    address: Option<String>,
    keys: Arc<Keys>,
    journal: Journal,
    store: Mutex<Box<dyn Store>>,
}

impl fmt::Debug for Office {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Office in {}", self.folder.display())
    }
}

/// The wall clock, Unix ms.
#[must_use]
pub fn now_ms() -> i64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    since.map_or(0, |since| {
        i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
    })
}

/// Where records lie when nobody says otherwise.
///
/// # Errors
/// The system names no folder for data.
pub fn usual_folder() -> Result<PathBuf, OfficeError> {
    let data = dirs::data_dir().ok_or(OfficeError::NoFolder)?;
    Ok(data.join("coldtrail"))
}

impl Office {
    /// Sets up an office in a folder, which is made, and opens it.
    ///
    /// # Errors
    /// It has keys already, or cannot be written.
    pub fn create(folder: &Path) -> Result<Self, OfficeError> {
        make_folder(folder)?;
        Keys::make(folder)?;
        Identity::open_or_make(folder)?;
        Self::open(folder, None)
    }

    /// Opens an office; its store is at the address, or where its set-up file says, or in its folder.
    ///
    /// # Errors
    /// A sentence on what is missing or wrong.
    pub fn open(folder: &Path, store: Option<&str>) -> Result<Self, OfficeError> {
        let keys = Arc::new(Keys::open(folder)?);
        let address = match store {
            Some(address) => Some(address.to_owned()),
            None => configured(&folder.join(CONFIG))?,
        };
        let reading = open_store(folder, address.as_deref())?;
        let writing = open_store(folder, address.as_deref())?;
        let heads = Heads::open(&folder.join(HEADS))?;
        Ok(Self {
            folder: folder.to_owned(),
            address,
            journal: Journal::open(writing, heads, Arc::clone(&keys))?,
            keys,
            store: Mutex::new(reading),
        })
    }

    /// Opens an office, or sets it up where the folder has none.
    ///
    /// # Errors
    /// A sentence on what is wrong.
    pub fn open_or_create(folder: &Path, store: Option<&str>) -> Result<Self, OfficeError> {
        if !Keys::are_in(folder) {
            make_folder(folder)?;
            Keys::make(folder)?;
        }
        Self::open(folder, store)
    }

    /// Its folder.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Its keys.
    #[must_use]
    pub fn keys(&self) -> &Keys {
        &self.keys
    }

    /// Its journal, which writes from any thread.
    #[must_use]
    pub fn journal(&self) -> &Journal {
        &self.journal
    }

    /// Its store, to read from; one at a time.
    pub fn store(&self) -> MutexGuard<'_, Box<dyn Store>> {
        // Who panicked while reading has broken nothing in the store.
        self.store.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Another connection to its store.
    ///
    /// # Errors
    /// A sentence on why it cannot be opened.
    pub fn another_store(&self) -> Result<Box<dyn Store>, StoreError> {
        open_store(&self.folder, self.address.as_deref())
    }

    /// Holds everything against chains, signatures and heads.
    ///
    /// # Errors
    /// The store or the heads cannot be read.
    pub fn verify(&self) -> Result<Report, StoreError> {
        let kept = Heads::read(&self.folder.join(HEADS))?;
        verify(self.store().as_mut(), &self.keys.public_key(), &kept)
    }

    /// Takes a bundle of sittings from an office whose key is trusted, and keeps heads of them.
    ///
    /// # Errors
    /// It is refused whole, and nothing was added.
    pub fn take(&self, bundle: &[u8], trusted: &[PublicKey]) -> Result<Taken, StoreError> {
        let (taken, mut ends) = take(self.store().as_mut(), bundle, trusted)?;
        for head in &mut ends {
            head.sign(&self.keys);
        }
        Heads::open(&self.folder.join(HEADS))?.add(&ends, true)?;
        Ok(taken)
    }

    /// Erases a person, their sittings and what they practised in a class here, and says how many sittings those were.
    /// What stays of a sitting is its id, how many entries it had, and the office's signature that it was erased.
    ///
    /// # Errors
    /// Nothing was erased.
    pub fn erase(&self, candidate: &str) -> Result<usize, StoreError> {
        let mut store = self.store();
        let of_them = store.sittings()?.into_iter();
        let wall_ms = now_ms();
        let erased: Vec<Erased> = of_them
            .filter(|sitting| sitting.candidate == candidate)
            .map(|sitting| {
                let message = erasure(&sitting.id, sitting.count, wall_ms);
                Erased {
                    count: sitting.count,
                    wall_ms,
                    signature: hex(&self.keys.sign(&message)),
                    sitting: sitting.id,
                }
            })
            .collect();
        self.erase_practised(candidate)?;
        store.erase(candidate, &erased)?;
        Ok(erased.len())
    }
}

impl Office {
    /// Where what people practised in a class is kept, a folder each.
    #[must_use]
    pub fn practised(&self) -> PathBuf {
        self.folder.join(PRACTISED)
    }

    fn erase_practised(&self, candidate: &str) -> Result<(), StoreError> {
        // An id that came from elsewhere may be any text; ours are figures and letters, and no way out of the folder.
        let is_ours = candidate.bytes().all(|byte| byte.is_ascii_hexdigit());
        if candidate.is_empty() || !is_ours {
            return Ok(());
        }
        let folder = self.practised().join(candidate);
        match std::fs::remove_dir_all(&folder) {
            Err(why) if why.kind() != std::io::ErrorKind::NotFound => Err(StoreError::Damaged(
                format!("{} cannot be erased: {why}", folder.display()),
            )),
            _ => Ok(()),
        }
    }
}

fn make_folder(folder: &Path) -> Result<(), OfficeError> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder
        .create(folder)
        .map_err(|why| OfficeError::Folder(folder.to_owned(), why.to_string()))
}

/// The store's address in the set-up file, where there is one.
fn configured(file: &Path) -> Result<Option<String>, OfficeError> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Config {
        store: Option<String>,
    }
    let wrong = |why: String| OfficeError::Config(file.to_owned(), why);
    let size = match std::fs::metadata(file) {
        Ok(found) => found.len(),
        Err(why) if why.kind() == std::io::ErrorKind::NotFound => return Ok(None),
        Err(why) => return Err(wrong(why.to_string())),
    };
    if size > LARGEST_CONFIG {
        return Err(wrong(format!("it is larger than {LARGEST_CONFIG} bytes")));
    }
    let text = std::fs::read_to_string(file).map_err(|why| wrong(why.to_string()))?;
    // The place alone: the line itself may hold a password.
    let config: Config = toml::from_str(&text).map_err(|why| wrong(why.message().to_owned()))?;
    Ok(config.store)
}

fn open_store(folder: &Path, address: Option<&str>) -> Result<Box<dyn Store>, StoreError> {
    match address {
        None => Ok(Box::new(Sqlite::open(&folder.join(FILE))?)),
        Some(address) if SCHEMES.iter().any(|scheme| address.starts_with(scheme)) => {
            Ok(Box::new(Postgres::open(address)?))
        }
        // The address itself may hold a password.
        Some(_) => Err(StoreError::CannotOpen(
            "at the given address".to_owned(),
            "an address begins with postgres://".to_owned(),
        )),
    }
}
