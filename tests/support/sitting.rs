//! What sittings are tried on: a short form, and folders that are gone when a test is over.

use std::path::PathBuf;

/// A car and two questions; the day is one that other tests work on, too.
pub const FORM: &str = r#"
version = 1
title = "One car, two questions"
purpose = "A test."

[time]
shop = "50 min"
wall = "60 min"

[[cases]]
count = 1
from = ["freezes-on-long-trips"]
repair = true

[[questions]]
count = 2
topics = ["safety"]
weight = 0.5

[pass]
mark = 50
standard = "A test."
"#;

/// A folder that is gone when the test is over.
pub struct Folder(
    /// Where it is.
    pub PathBuf,
);

impl Folder {
    /// A name for a folder that is not there yet.
    #[must_use]
    pub fn new(name: &str) -> Self {
        let name = format!("coldtrail-{name}-{}", std::process::id());
        let path = std::env::temp_dir().join(name);
        let _ = std::fs::remove_dir_all(&path);
        Self(path)
    }

    /// Where it is.
    ///
    /// # Panics
    /// Where that is not plain text.
    #[must_use]
    pub fn path(&self) -> &str {
        self.0.to_str().expect("a path of plain text")
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}
