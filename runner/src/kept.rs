//! A practice session on disk: a script that says whose car it is and grows by a line for each action, before
//! anybody is shown what came of it, so that it goes on later where it broke off.

use std::fmt;
use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

use scenarios::units::UnitSystem;

use crate::action::Action;

/// Largest file read, bytes: a day in the bay takes a few kilobytes.
const MOST_BYTES: u64 = 256 * 1024;
/// How such a file begins.
const HEAD: &str = "# A practice session of coldtrail. What is done stands below, a line each.";

/// Whose session it is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Whose {
    /// The case's id.
    pub case: String,
    /// The seed that dealt it.
    pub seed: u64,
    /// The units it is shown in.
    pub units: UnitSystem,
}

/// A session's file, open to be written to.
#[derive(Debug)]
pub struct Kept {
    path: PathBuf,
    file: File,
}

/// Why a session cannot be kept or gone on with.
#[derive(Debug)]
pub enum KeptError {
    /// The system says no.
    Io(PathBuf, std::io::Error),
    /// The file is no session's, and why.
    NoSession(PathBuf, String),
}

impl fmt::Display for KeptError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Io(path, why) => write!(out, "{} cannot be kept: {why}", path.display()),
            Self::NoSession(path, why) => {
                write!(out, "{} is no practice session: {why}", path.display())
            }
        }
    }
}

impl std::error::Error for KeptError {}

impl Kept {
    /// Begins a file; there must be none yet.
    ///
    /// # Errors
    /// It is there already, or cannot be written.
    pub fn begin(path: &Path, whose: &Whose) -> Result<Self, KeptError> {
        let failed = |why| KeptError::Io(path.to_owned(), why);
        if let Some(folder) = path.parent().filter(|one| !one.as_os_str().is_empty()) {
            std::fs::create_dir_all(folder).map_err(failed)?;
        }
        let mut options = OpenOptions::new();
        let mut file = options
            .append(true)
            .create_new(true)
            .open(path)
            .map_err(failed)?;
        let head = format!(
            "{HEAD}\n# case {}\n# seed {}\n# units {}\n",
            whose.case,
            whose.seed,
            units_name(whose.units)
        );
        file.write_all(head.as_bytes())
            .and_then(|()| file.sync_all())
            .map_err(failed)?;
        Ok(Self {
            path: path.to_owned(),
            file,
        })
    }

    /// Goes on with a file: whose it is, and what was done. A last line that was cut off is taken off: nobody was
    /// shown what came of it.
    ///
    /// # Errors
    /// It cannot be read or written, or is no session's.
    pub fn go_on(path: &Path) -> Result<(Self, Whose, Vec<Action>), KeptError> {
        let failed = |why| KeptError::Io(path.to_owned(), why);
        let no_session = |why: &str| KeptError::NoSession(path.to_owned(), why.to_owned());
        let mut options = OpenOptions::new();
        let file = options.read(true).append(true).open(path).map_err(failed)?;
        if file.metadata().map_err(failed)?.len() > MOST_BYTES {
            return Err(no_session("it is too large"));
        }
        let bytes = std::fs::read(path).map_err(failed)?;
        let whole = bytes
            .iter()
            .rposition(|byte| *byte == b'\n')
            .map_or(0, |end| end + 1);
        if whole < bytes.len() {
            file.set_len(whole as u64).map_err(failed)?;
        }
        let text = std::str::from_utf8(&bytes[..whole]).map_err(|_| no_session("it is no text"))?;
        let (whose, actions) = read(text).map_err(|why| no_session(&why))?;
        let kept = Self {
            path: path.to_owned(),
            file,
        };
        Ok((kept, whose, actions))
    }

    /// The file.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Adds an action, and has it on disk before it returns.
    ///
    /// # Errors
    /// It cannot be written.
    pub fn add(&mut self, action: &Action) -> Result<(), KeptError> {
        self.file
            .write_all(format!("{action}\n").as_bytes())
            .and_then(|()| self.file.sync_data())
            .map_err(|why| KeptError::Io(self.path.clone(), why))
    }
}

/// Whose session a text is, and what was done.
///
/// # Errors
/// A sentence on what is missing, or which line is no action.
pub fn read(text: &str) -> Result<(Whose, Vec<Action>), String> {
    let mut lines = text.lines().enumerate();
    let (mut case, mut seed, mut units) = (None, None, UnitSystem::Si);
    let mut actions = Vec::new();
    if lines.next().is_none_or(|(_, first)| first != HEAD) {
        return Err("it does not begin as one does".to_owned());
    }
    for (index, line) in lines {
        let Some(said) = line.strip_prefix('#') else {
            let action = Action::parse(line);
            actions.push(action.map_err(|why| format!("line {}: {why}", index + 1))?);
            continue;
        };
        match said.trim().split_once(' ') {
            Some(("case", id)) => case = Some(id.to_owned()),
            Some(("seed", number)) => seed = number.parse().ok(),
            Some(("units", name)) if name == units_name(UnitSystem::Us) => units = UnitSystem::Us,
            _ => {}
        }
    }
    let case = case.ok_or("it names no case")?;
    let seed = seed.ok_or("it names no seed")?;
    Ok((Whose { case, seed, units }, actions))
}

fn units_name(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Si => "si",
        UnitSystem::Us => "us",
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    #[test]
    fn a_session_goes_on_behind_the_last_whole_line() {
        let folder = std::env::temp_dir().join(format!("coldtrail-kept-{}", std::process::id()));
        let path = folder.join("one.session");
        let whose = Whose {
            case: "school-run".to_owned(),
            seed: 3,
            units: UnitSystem::Us,
        };
        let mut kept = Kept::begin(&path, &whose).unwrap();
        let done: Vec<Action> = ["engine idle", "look clutch-hub"]
            .map(|words| Action::parse(words).unwrap())
            .to_vec();
        for action in &done {
            kept.add(action).unwrap();
        }
        let twice = Kept::begin(&path, &whose).unwrap_err();
        assert!(twice.to_string().contains("cannot be kept"), "{twice}");
        drop(kept);
        let mut torn = std::fs::read(&path).unwrap();
        torn.extend(b"wait 5 m");
        std::fs::write(&path, &torn).unwrap();
        let (mut kept, read, actions) = Kept::go_on(&path).unwrap();
        assert_eq!((read, &actions), (whose, &done));
        kept.add(&done[1]).unwrap();
        let (_, _, actions) = Kept::go_on(&path).unwrap();
        assert_eq!(actions.len(), 3);
        std::fs::write(&path, "engine idle\n").unwrap();
        let other = Kept::go_on(&path).unwrap_err();
        assert!(other.to_string().contains("does not begin"), "{other}");
        std::fs::remove_dir_all(&folder).unwrap();
    }
}
