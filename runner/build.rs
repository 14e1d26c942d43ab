//! Gives the program the version of its simulator: a hash of every source file that decides what a
//! car shows, so that a cache made by another version is never taken for one of this.

use std::collections::hash_map::DefaultHasher;
use std::hash::{Hash, Hasher};
use std::path::{Path, PathBuf};

/// Sources, from this folder.
const SOURCES: [&str; 7] = [
    "../sim-core/src",
    "../scenarios/src",
    "src/evidence",
    "src/session.rs",
    "src/ports.rs",
    "src/filling.rs",
    "src/action",
];

/// Sources among them that ask, list and describe, and decide no reading.
const BESIDE: [&str; 7] = [
    "../scenarios/src/bundle",
    "../scenarios/src/competency",
    "../scenarios/src/form",
    "../scenarios/src/library",
    "../scenarios/src/question",
    "../scenarios/src/schema",
    "../scenarios/src/syllabus",
];

fn main() {
    let mut files = Vec::new();
    for source in SOURCES {
        println!("cargo::rerun-if-changed={source}");
        gather(Path::new(source), &mut files);
    }
    files.retain(|file| {
        let name = file.to_string_lossy();
        !BESIDE.iter().any(|beside| {
            let rest = name.strip_prefix(beside);
            rest.is_some_and(|rest| rest.starts_with(['/', '\\', '.']))
        })
    });
    files.sort();
    let mut hasher = DefaultHasher::new();
    for file in files {
        file.hash(&mut hasher);
        std::fs::read(&file).unwrap_or_default().hash(&mut hasher);
    }
    println!(
        "cargo::rustc-env=SIMULATOR_VERSION={:016x}",
        hasher.finish()
    );
}

fn gather(path: &Path, files: &mut Vec<PathBuf>) {
    match std::fs::read_dir(path) {
        Ok(entries) => {
            for entry in entries.flatten() {
                gather(&entry.path(), files);
            }
        }
        Err(_) => files.push(path.to_owned()),
    }
}
