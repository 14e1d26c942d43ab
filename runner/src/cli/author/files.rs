//! The cases an author names: the bank's, files, and folders of files.

use std::path::Path;

use scenarios::load::LARGEST_BYTES;
use scenarios::{Bank, Case, LoadError, Scenario};

use crate::cli::which_car::case_of;

/// The cases named, each as the bank calls it or as a file; all of the bank where none is named.
///
/// # Errors
/// A sentence where there is nothing of a name: no such case, file or folder.
pub(super) fn named(bank: &Bank, names: &[String]) -> Result<Vec<String>, String> {
    if names.is_empty() {
        return Ok(bank.cases().map(|case| case.id.clone()).collect());
    }
    let mut cases = Vec::new();
    for name in names {
        if Path::new(name).is_dir() {
            cases.extend(files_of(name)?);
            continue;
        }
        if is_file(name) {
            std::fs::metadata(name).map_err(|error| unreadable(name, &error))?;
        } else {
            case_of(bank, name, 1)?;
        }
        cases.push(name.clone());
    }
    Ok(cases)
}

/// The TOML files of a folder in the order of their names.
fn files_of(name: &str) -> Result<Vec<String>, String> {
    let unreadable = |error: std::io::Error| format!("the folder {name} cannot be read: {error}");
    let mut files = Vec::new();
    for entry in std::fs::read_dir(name).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        if path
            .extension()
            .is_some_and(|extension| extension == "toml")
        {
            files.push(path.display().to_string());
        }
    }
    files.sort();
    if files.is_empty() {
        return Err(format!(
            "there is no case in the folder {name}: cases are files that end in `.toml`"
        ));
    }
    Ok(files)
}

/// Whether a name is that of a file and not of a case of the bank.
pub(super) fn is_file(name: &str) -> bool {
    Path::new(name)
        .extension()
        .is_some_and(|extension| extension == "toml")
}

/// The id of a case that is named as a file, or as the bank calls it.
pub(super) fn id_of(name: &str) -> &str {
    let path = Path::new(name);
    let stem = path.file_stem().and_then(|stem| stem.to_str());
    stem.filter(|_| is_file(name)).unwrap_or(name)
}

fn unreadable(name: &str, error: &std::io::Error) -> String {
    format!("the case {name} cannot be read: {error}")
}

/// The text of a case's file.
///
/// # Errors
/// A sentence where it cannot be read.
pub(super) fn text_of(name: &str) -> Result<String, String> {
    let path = Path::new(name);
    let size = std::fs::metadata(path).map_err(|error| unreadable(name, &error))?;
    if size.len() > LARGEST_BYTES as u64 {
        return Err(format!(
            "the case {name} is larger than {} KiB",
            LARGEST_BYTES / 1024
        ));
    }
    std::fs::read_to_string(path).map_err(|error| unreadable(name, &error))
}

/// A case of the bank, or one in a file with the bank's vehicles and faults.
///
/// # Errors
/// A sentence, or the file's mistakes, each drawn at its place.
pub(super) fn case_named(bank: &Bank, name: &str, seed: u64) -> Result<(Bank, Case), String> {
    if !is_file(name) {
        return Ok((bank.clone(), case_of(bank, name, seed)?));
    }
    let text = text_of(name)?;
    let (bank, id) = with_file(bank, name, &text).map_err(|error| error.to_string())?;
    let case = case_of(&bank, &id, seed)?;
    Ok((bank, case))
}

/// The bank with the case of a file's text in it. A file that says what a case of that name in the
/// bank says is that case: whoever keeps the bank's files checks them like any others.
///
/// # Errors
/// The file's mistakes, a name that is taken among them.
pub(super) fn with_file(bank: &Bank, name: &str, text: &str) -> Result<(Bank, String), LoadError> {
    let path = Path::new(name).file_name().and_then(|name| name.to_str());
    let (file_name, id) = (path.unwrap_or(name), id_of(name));
    let known = bank.case(id).is_some_and(|known| {
        let read = Scenario::read(file_name, id, text, bank.known());
        read.is_ok_and(|read| read == *known)
    });
    if known {
        return Ok((bank.clone(), id.to_owned()));
    }
    bank.clone().with_case(file_name, text)
}
