//! A bundle on disk, a folder or one file, read within bounds and without following a link.

use std::fs::{self, File, Metadata};
use std::io::Read;
use std::path::Path;

use scenarios::Bundle;
use scenarios::bundle::{FOLDERS, MOST_FILES};
use scenarios::load::LARGEST_BYTES;

use crate::records::packs::is_sealed;

/// Reads a bundle.
///
/// # Errors
/// A sentence that names the file and what is wrong with it: it cannot be read, is a link, is too
/// large or no text, or is nothing that a bundle holds.
pub fn read(path: &Path) -> Result<Bundle, String> {
    let shown = name_of(path);
    let bundle = if kind_of(path)?.is_dir() {
        Bundle::from_files(&shown, folder(path)?)
    } else {
        Bundle::from_text(&shown, &text(path)?)
    };
    bundle.map_err(|errors| errors.to_string())
}

fn name_of(path: &Path) -> String {
    let name = path.file_name().unwrap_or(path.as_os_str());
    name.to_string_lossy().into_owned()
}

/// What stands at a path; a link is refused whatever it leads to.
fn kind_of(path: &Path) -> Result<Metadata, String> {
    let shown = path.display();
    let found = fs::symlink_metadata(path);
    let found = found.map_err(|error| format!("the bundle's {shown} cannot be read: {error}"))?;
    if found.is_symlink() {
        return Err(format!(
            "the bundle's {shown} is a link, and links are not followed: copy what it leads to"
        ));
    }
    if !found.is_dir() && !found.is_file() {
        return Err(format!(
            "the bundle's {shown} is neither a file nor a folder"
        ));
    }
    Ok(found)
}

/// The files of a bundle's folders with their names in it.
fn folder(path: &Path) -> Result<Vec<(String, String)>, String> {
    let mut files = Vec::new();
    for (name, inner) in entries(path)? {
        let kind = kind_of(&inner)?;
        // Notes to people, and what editors and versioning leave behind.
        if kind.is_file() && !name.ends_with(".toml") || name.starts_with('.') {
            continue;
        }
        if kind.is_file() {
            files.push((name, text(&inner)?));
            continue;
        }
        if !FOLDERS.contains(&name.as_str()) {
            // The name alone is told of, with the nearest that there is.
            files.push((format!("{name}/any.toml"), String::new()));
            continue;
        }
        for (file, inner) in entries(&inner)? {
            kind_of(&inner)?;
            if !file.starts_with('.') {
                files.push((format!("{name}/{file}"), text(&inner)?));
            }
        }
    }
    Ok(files)
}

/// What is in a folder, by name.
fn entries(folder: &Path) -> Result<Vec<(String, std::path::PathBuf)>, String> {
    let unreadable = |error: std::io::Error| {
        format!("the bundle's {} cannot be read: {error}", folder.display())
    };
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        found.push((name_of(&path), path));
        if found.len() > MOST_FILES {
            return Err(format!(
                "the bundle's {} holds more than {MOST_FILES} files",
                folder.display()
            ));
        }
    }
    found.sort();
    Ok(found)
}

/// A file's text; never more is read than a file may hold.
fn text(path: &Path) -> Result<String, String> {
    let shown = path.display();
    if !kind_of(path)?.is_file() {
        return Err(format!(
            "the bundle's {shown} is a folder where a file should be"
        ));
    }
    let most = LARGEST_BYTES as u64;
    let unreadable =
        |why: &dyn std::fmt::Display| format!("the bundle's {shown} cannot be read: {why}");
    let mut bytes = Vec::new();
    File::open(path)
        .and_then(|file| file.take(most + 1).read_to_end(&mut bytes))
        .map_err(|why| unreadable(&why))?;
    if is_sealed(&bytes) {
        return Err(format!(
            "{shown} is a sealed pack: unseal it first, with `coldtrail author unseal {shown} --from KEY --out FOLDER`"
        ));
    }
    if bytes.len() > LARGEST_BYTES {
        return Err(format!(
            "the bundle's {shown} is larger than {} KiB",
            most / 1024
        ));
    }
    String::from_utf8(bytes).map_err(|_| unreadable(&"it is no text"))
}
