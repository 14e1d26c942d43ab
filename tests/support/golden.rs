//! Expectations kept in files. `COLDTRAIL_BLESS=1` rewrites them; a person reads the difference.

use std::path::{Path, PathBuf};

/// A path below the root of the workspace.
#[must_use]
pub fn path(below_root: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(below_root)
}

/// The text of a file below the root of the workspace.
#[must_use]
pub fn text(below_root: &str) -> String {
    let path = path(below_root);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Compares a text with what a file expects, byte for byte.
///
/// # Panics
/// Where they differ, naming the first line that does and the switch that rewrites the file.
pub fn expect(below_root: &str, found: &str) {
    let path = path(below_root);
    if std::env::var_os("COLDTRAIL_BLESS").is_some_and(|value| value == "1") {
        std::fs::write(&path, found).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        return;
    }
    let expected = std::fs::read_to_string(&path).unwrap_or_default();
    if expected == found {
        return;
    }
    let line = expected
        .lines()
        .zip(found.lines())
        .position(|(ours, theirs)| ours != theirs)
        .unwrap_or_else(|| expected.lines().count().min(found.lines().count()));
    panic!(
        "{below_root}, line {}:\n  expected {:?}\n  found    {:?}\nCOLDTRAIL_BLESS=1 rewrites the file; read the difference.",
        line + 1,
        expected.lines().nth(line),
        found.lines().nth(line)
    );
}
