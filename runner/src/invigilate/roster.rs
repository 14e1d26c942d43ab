//! Who is to sit a form: ids of candidates in a file of the office's folder, a line each.
//!
//! It says whom an instructor's page lists. Who may sit is decided by the code alone.

use std::fs::OpenOptions;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Largest file read, bytes: more people than any room holds.
const MOST_BYTES: u64 = 1024 * 1024;

/// Who is to sit a form.
#[derive(Clone, Debug)]
pub struct Roster {
    file: PathBuf,
}

impl Roster {
    /// The roster of a form in an office's folder.
    #[must_use]
    pub fn of(office: &Path, form: &str) -> Self {
        Self {
            file: office.join("rosters").join(form),
        }
    }

    /// Ids of the candidates on it, in the order they were put there.
    ///
    /// # Errors
    /// A sentence where the file cannot be read.
    pub fn candidates(&self) -> Result<Vec<String>, String> {
        match std::fs::metadata(&self.file) {
            Err(why) if why.kind() == std::io::ErrorKind::NotFound => return Ok(Vec::new()),
            Ok(found) if found.len() > MOST_BYTES => {
                return Err(format!("{} is too large", self.file.display()));
            }
            _ => {}
        }
        let text = std::fs::read_to_string(&self.file);
        let text = text.map_err(|why| format!("{} cannot be read: {why}", self.file.display()))?;
        let mut ids: Vec<String> = Vec::new();
        for id in text.lines().filter(|line| !line.is_empty()) {
            if !ids.iter().any(|known| known == id) {
                ids.push(id.to_owned());
            }
        }
        Ok(ids)
    }

    /// Takes a candidate off it.
    ///
    /// # Errors
    /// A sentence where the file cannot be read or written.
    pub fn remove(&self, candidate: &str) -> Result<(), String> {
        let failed = |why| format!("{} cannot be written: {why}", self.file.display());
        let mut left = self.candidates()?;
        left.retain(|id| id != candidate);
        let lines: String = left.iter().map(|id| format!("{id}\n")).collect();
        // Beside it first: a list that is half written names too few.
        let beside = self.file.with_extension("new");
        let written = std::fs::write(&beside, lines);
        written
            .and_then(|()| std::fs::rename(&beside, &self.file))
            .map_err(failed)
    }

    /// Puts candidates on it.
    ///
    /// # Errors
    /// A sentence where the file cannot be written.
    pub fn add(&self, candidates: &[String]) -> Result<(), String> {
        let failed = |why| format!("{} cannot be written: {why}", self.file.display());
        if let Some(folder) = self.file.parent() {
            std::fs::create_dir_all(folder).map_err(failed)?;
        }
        let lines: String = candidates.iter().map(|id| format!("{id}\n")).collect();
        let file = OpenOptions::new()
            .append(true)
            .create(true)
            .open(&self.file);
        file.and_then(|mut file| {
            file.write_all(lines.as_bytes())?;
            file.sync_all()
        })
        .map_err(failed)
    }
}
