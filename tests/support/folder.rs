//! A folder to work in, gone when the test is over.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

use crate::golden;

/// A folder that is gone when the test is over.
#[derive(Debug)]
pub struct Folder(PathBuf);

impl Folder {
    /// An empty folder.
    ///
    /// # Panics
    /// It cannot be made.
    #[must_use]
    pub fn new() -> Self {
        static MADE: AtomicUsize = AtomicUsize::new(0);
        let number = MADE.fetch_add(1, Ordering::Relaxed);
        let name = format!("target/tmp/scratch-{}-{number}", std::process::id());
        let path = golden::path(&name);
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).expect("a scratch folder");
        Self(path)
    }

    /// Its path.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.0
    }

    /// Its path, as a command line takes it.
    ///
    /// # Panics
    /// It is not plain text.
    #[must_use]
    pub fn text(&self) -> &str {
        self.0.to_str().expect("a path of plain text")
    }
}

impl Default for Folder {
    fn default() -> Self {
        Self::new()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
