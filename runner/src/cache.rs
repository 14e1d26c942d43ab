//! Tours kept on disk: they take seconds to make and serve every session on the same vehicle and day.
//!
//! A file may be deleted at any time. One that is damaged is made again, and that is said. Its key
//! covers the vehicle, the day, the catalogue and the simulator's version, so that a file never
//! serves a car it was not made for.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError, Weak};

use scenarios::{Bank, Case};
use sha2::{Digest, Sha256};
use sim_core::fluid::FluidError;

use crate::evidence::column::Column;
use crate::evidence::explanation::{Grain, explanations};
use crate::evidence::follow::Progress;
use crate::evidence::layout::{Layout, Spread};
use crate::evidence::reader::Tours;
use crate::evidence::tour::Tour;

/// Tours in a folder, or in memory only where there is none.
#[derive(Debug, Default)]
pub struct TourCache {
    folder: Option<PathBuf>,
    known: Mutex<Vec<(String, Arc<Tour>)>>,
    notices: Mutex<Vec<String>>,
}

/// Tours kept in memory: enough for a class on one vehicle, and no more than some tens of megabytes.
const MOST_KNOWN: usize = 4;

impl TourCache {
    /// Keeps tours in a folder, which is made when the first one is.
    #[must_use]
    pub fn new(folder: Option<PathBuf>) -> Self {
        Self {
            folder,
            ..Self::default()
        }
    }

    /// What was found wrong with files, a sentence each; told once.
    pub fn notices(&self) -> Vec<String> {
        self.notices
            .lock()
            .map(|mut notices| std::mem::take(&mut *notices))
            .unwrap_or_default()
    }

    fn note(&self, notice: String) {
        if let Ok(mut notices) = self.notices.lock() {
            notices.push(notice);
        }
    }

    /// The file a case's tour is kept in.
    #[must_use]
    pub fn file(&self, bank: &Bank, case: &Case) -> Option<PathBuf> {
        let name = format!("{}.tour", key(bank, case));
        self.folder.as_ref().map(|folder| folder.join(name))
    }

    fn load(&self, bank: &Bank, case: &Case, file: &Path) -> Result<Option<Tour>, FluidError> {
        let Ok(bytes) = std::fs::read(file) else {
            return Ok(None);
        };
        let explanations = Arc::new(explanations(bank, case, Grain::Coarse));
        let layout = Layout::new(&explanations, Spread::Healthy);
        let columns = unpacked(&bytes).filter(|columns| {
            let whole = |column: &Column| column.is_empty() || column.cars() == layout.cars();
            columns.len() == Tour::width(&case.vehicle.spec) && columns.iter().all(whole)
        });
        let Some(columns) = columns else {
            self.note(format!(
                "the cache file {} was damaged; it has been made again",
                file.display()
            ));
            return Ok(None);
        };
        Tour::of_columns(bank, case, &explanations, layout, columns).map(Some)
    }

    fn keep(&self, file: &Path, tour: &Tour) {
        let written = packed(&tour.table.columns).and_then(|bytes| write(file, &bytes));
        if let Err(why) = written {
            self.note(format!(
                "the cache file {} cannot be written ({why}); everything works without it, only slower",
                file.display()
            ));
        }
    }

    fn remembered(&self, key: &str) -> Option<Arc<Tour>> {
        let known = self.known.lock().ok()?;
        let tour = known.iter().find(|(known, _)| known == key);
        tour.map(|(_, tour)| Arc::clone(tour))
    }

    fn remember(&self, key: String, tour: &Arc<Tour>) {
        if let Ok(mut known) = self.known.lock() {
            if known.len() == MOST_KNOWN {
                known.remove(0);
            }
            known.push((key, Arc::clone(tour)));
        }
    }
}

impl Tours for TourCache {
    fn tour(
        &self,
        bank: &Bank,
        case: &Case,
        progress: &dyn Progress,
    ) -> Result<Arc<Tour>, FluidError> {
        let key = key(bank, case);
        if let Some(tour) = self.remembered(&key) {
            return Ok(tour);
        }
        let file = self.file(bank, case);
        // Whoever comes second waits for what is being made, and finds it.
        let turn = turn_at(&self.folder, &key);
        let _turn = turn.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(tour) = self.remembered(&key) {
            return Ok(tour);
        }
        let loaded = match &file {
            Some(file) => self.load(bank, case, file)?,
            None => None,
        };
        let tour = match loaded {
            Some(tour) => Arc::new(tour),
            None => {
                let tour = ().tour(bank, case, progress)?;
                if let Some(file) = &file {
                    self.keep(file, &tour);
                }
                tour
            }
        };
        self.remember(key, &tour);
        Ok(tour)
    }
}

/// What whoever loads or makes a tour holds: a class that begins on one car makes its tour once.
///
/// It is the same for all caches of a folder in this program. Making a tour waits for the pool of threads, so
/// no thread of the pool may wait for a turn.
fn turn_at(folder: &Option<PathBuf>, key: &str) -> Arc<Mutex<()>> {
    type Turns = BTreeMap<(Option<PathBuf>, String), Weak<Mutex<()>>>;
    static TURNS: Mutex<Turns> = Mutex::new(BTreeMap::new());
    let mut turns = TURNS.lock().unwrap_or_else(PoisonError::into_inner);
    // Those that nobody holds are over.
    turns.retain(|_, turn| turn.strong_count() > 0);
    let place = (folder.clone(), key.to_owned());
    if let Some(turn) = turns.get(&place).and_then(Weak::upgrade) {
        return turn;
    }
    let turn = Arc::default();
    turns.insert(place, Arc::downgrade(&turn));
    turn
}

/// Everything a tour depends on, hashed.
fn key(bank: &Bank, case: &Case) -> String {
    let mut hasher = Sha256::new();
    let scenario = &case.scenario;
    // Their debug text holds every number in full.
    hasher.update(env!("SIMULATOR_VERSION"));
    hasher.update(format!("{:?}", case.vehicle.spec));
    hasher.update(format!(
        "{:?} {:?} {:?} {:?}",
        scenario.weather, scenario.arrival, scenario.dyed_for_s, scenario.prior
    ));
    hasher.update(format!("{:?} {:?}", bank.catalogue(), bank.together()));
    hex(&hasher.finalize()[..16])
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// Length of the checksum at the end of a file.
const SUM: usize = 32;

fn packed(columns: &[Column]) -> Result<Vec<u8>, String> {
    let mut bytes = postcard::to_stdvec(columns).map_err(|error| error.to_string())?;
    let sum = Sha256::digest(&bytes);
    bytes.extend(sum);
    Ok(bytes)
}

fn unpacked(bytes: &[u8]) -> Option<Vec<Column>> {
    let (content, sum) = bytes.split_at_checked(bytes.len().checked_sub(SUM)?)?;
    (Sha256::digest(content).as_slice() == sum).then_some(())?;
    postcard::from_bytes(content).ok()
}

/// Writes beside the file first, so that nobody meets half of one; each writer under a name of its own.
fn write(file: &Path, bytes: &[u8]) -> Result<(), String> {
    static WRITTEN: AtomicUsize = AtomicUsize::new(0);
    let number = WRITTEN.fetch_add(1, Ordering::Relaxed);
    let folder = file.parent().unwrap_or(Path::new("."));
    let beside = file.with_extension(format!("{}-{number}.part", std::process::id()));
    std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(&beside, bytes))
        .and_then(|()| std::fs::rename(&beside, file))
        .map_err(|error| error.to_string())
}
