//! A bundle: an instructor's own vehicles, faults, cases, questions and forms, to stand beside those built in.
//!
//! It is a folder with `vehicles/`, `faults/`, `cases/`, `questions/` and `forms/`, or one text file in which a line
//! `-- cases/warm-at-noon.toml --` begins each of the files. A text file is read as it is: there is
//! nothing to unpack that could grow, and an editor and a comparison of versions show all of it.
//! This module opens no file: it is given names and texts.

use crate::bank::SourceFile;
use crate::fault::is_kebab;
use crate::load::{LARGEST_BYTES, is_hidden};
use crate::{BankErrors, LoadError, Problem, nearest};

/// Folders of a bundle.
pub const FOLDERS: [&str; 5] = ["vehicles", "faults", "cases", "questions", "forms"];
/// Most files in a bundle.
pub const MOST_FILES: usize = 512;
/// Most bytes of a bundle's files together.
pub const MOST_BYTES: usize = 8 * 1024 * 1024;

/// Files of a bundle, by the folder they are in; their names are checked and their texts not yet.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bundle {
    vehicles: Vec<BundleFile>,
    faults: Vec<BundleFile>,
    cases: Vec<BundleFile>,
    questions: Vec<BundleFile>,
    forms: Vec<BundleFile>,
}

/// A file of a bundle.
#[derive(Clone, Debug, PartialEq, Eq)]
struct BundleFile {
    /// Its name with its folder and the bundle's, for messages.
    name: String,
    text: String,
}

impl Bundle {
    /// A bundle of files, each with its name in the bundle, such as `cases/warm-at-noon.toml`;
    /// `bundle_name` is for messages only.
    ///
    /// # Errors
    /// [`BankErrors`] where a name does not stay in one of the [`FOLDERS`], stands twice, or is not
    /// made of small letters, digits and hyphens; and where there is more than a bundle may hold.
    ///
    /// ```
    /// use scenarios::Bundle;
    /// let files = [("cases/../../secret.toml".to_owned(), String::new())];
    /// let errors = Bundle::from_files("mine", files).unwrap_err();
    /// assert!(errors.to_string().contains("leaves the bundle"));
    /// ```
    pub fn from_files(
        bundle_name: &str,
        files: impl IntoIterator<Item = (String, String)>,
    ) -> Result<Self, BankErrors> {
        let mut bundle = Self::default();
        let mut errors = Vec::new();
        let (mut count, mut bytes) = (0, 0);
        for (name, text) in files {
            count += 1;
            bytes += text.len();
            if count > MOST_FILES || bytes > MOST_BYTES {
                let problem = Problem::new("the bundle is too large").label(format!(
                    "at most {MOST_FILES} files and {} MiB are read",
                    MOST_BYTES / 1024 / 1024
                ));
                errors.push(LoadError::new(bundle_name, "", vec![problem]));
                break;
            }
            let shown = format!("{bundle_name}/{name}");
            match bundle.folder(&name) {
                Ok(folder) if folder.iter().any(|file| file.name == shown) => {
                    let problem = Problem::new(format!("`{name}` stands in the bundle twice"));
                    errors.push(LoadError::new(&shown, "", vec![problem]));
                }
                Ok(folder) => folder.push(BundleFile { name: shown, text }),
                Err(problem) => errors.push(LoadError::new(&shown, "", vec![problem])),
            }
        }
        if errors.is_empty() {
            Ok(bundle)
        } else {
            Err(BankErrors(errors))
        }
    }

    /// A bundle in one text. Places in it are told by the lines of the whole.
    ///
    /// # Errors
    /// As [`Bundle::from_files`]; and a [`LoadError`] in it where the text is larger than
    /// [`LARGEST_BYTES`] or does not begin with a line that names a file.
    ///
    /// ```
    /// use scenarios::Bundle;
    /// let text = "# Mine.\n-- cases/warm-at-noon.toml --\nversion = 1\n";
    /// assert!(Bundle::from_text("mine.bundle", text).is_ok());
    /// ```
    pub fn from_text(bundle_name: &str, text: &str) -> Result<Self, BankErrors> {
        let refuse = |problem| {
            let text = if text.len() > LARGEST_BYTES { "" } else { text };
            Err(BankErrors(vec![LoadError::new(
                bundle_name,
                text,
                vec![problem],
            )]))
        };
        if text.len() > LARGEST_BYTES {
            let problem = Problem::new("the bundle is too large for one file");
            let kib = LARGEST_BYTES / 1024;
            return refuse(problem.label(format!("at most {kib} KiB; make it a folder")));
        }
        match split(text, true) {
            Ok(files) => Self::from_files(bundle_name, files),
            Err(problem) => refuse(problem),
        }
    }

    /// A bundle in one text as [`Bundle::to_text`] makes it: as long as all files of a bundle may be together, and
    /// nothing is told by the lines of the whole, which nobody has before them.
    ///
    /// # Errors
    /// As [`Bundle::from_files`]; and a [`LoadError`] in it where no line names a file.
    pub fn from_packed(bundle_name: &str, text: &str) -> Result<Self, BankErrors> {
        match split(text, false) {
            Ok(files) => Self::from_files(bundle_name, files),
            Err(problem) => Err(BankErrors(vec![LoadError::new(
                bundle_name,
                "",
                vec![problem],
            )])),
        }
    }

    /// Its files, each with its name in the bundle, in the order of [`FOLDERS`] and then of names.
    #[must_use]
    pub fn files(&self) -> Vec<(String, &str)> {
        let folders = [
            &self.vehicles,
            &self.faults,
            &self.cases,
            &self.questions,
            &self.forms,
        ];
        let mut files = Vec::new();
        for (folder, held) in FOLDERS.iter().zip(folders) {
            let of_folder = held.iter().map(|file| {
                let name = file.name.rsplit('/').next().unwrap_or_default();
                // What a text with several files put before each for the sake of line numbers is no part of it.
                let text = file.text.trim_start_matches('\n');
                (format!("{folder}/{name}"), text)
            });
            let before = files.len();
            files.extend(of_folder);
            files[before..].sort();
        }
        files
    }

    /// The bundle in one text, the same for the same files however they were read.
    ///
    /// # Errors
    /// [`BankErrors`] where a file has a line that would begin another one there.
    pub fn to_text(&self) -> Result<String, BankErrors> {
        let mut text = String::new();
        let mut errors = Vec::new();
        for (name, body) in self.files() {
            if body.lines().any(|line| named(line.trim_end()).is_some()) {
                let problem = Problem::new(
                    "a line that looks like `-- cases/warm-at-noon.toml --` would begin another file",
                );
                let problem =
                    problem.label("write it in another way, or the bundle stays a folder");
                errors.push(LoadError::new(&name, "", vec![problem]));
            }
            text.push_str(&format!("-- {name} --\n{body}"));
            if !text.ends_with('\n') {
                text.push('\n');
            }
        }
        if errors.is_empty() {
            Ok(text)
        } else {
            Err(BankErrors(errors))
        }
    }

    /// The folder a name belongs to.
    fn folder(&mut self, name: &str) -> Result<&mut Vec<BundleFile>, Problem> {
        let shown: String = name.chars().filter(|c| !is_hidden(*c)).collect();
        let leaves = name.contains('\\')
            || name.contains(':')
            || name.split('/').any(|part| matches!(part, "" | "." | ".."));
        if leaves {
            return Err(Problem::new(format!(
                "the name `{shown}` leaves the bundle"
            )));
        }
        let Some((folder, file)) = name.split_once('/') else {
            let label = format!("put it in one of `{}/`", FOLDERS.join("/`, `"));
            return Err(Problem::new(format!("`{shown}` is in no folder")).label(label));
        };
        let id = file.strip_suffix(".toml").filter(|id| is_kebab(id));
        // A file of faults is named as its component is, with an underscore for a space.
        let id = id.or_else(|| file.strip_suffix(".toml").filter(|id| is_snake(id)));
        if id.is_none() {
            return Err(
                Problem::new(format!("no file of a bundle is called `{shown}`"))
                    .label("small letters, digits and hyphens, then `.toml`"),
            );
        }
        match folder {
            "vehicles" => Ok(&mut self.vehicles),
            "faults" => Ok(&mut self.faults),
            "cases" => Ok(&mut self.cases),
            "questions" => Ok(&mut self.questions),
            "forms" => Ok(&mut self.forms),
            other => {
                let other: String = other.chars().filter(|c| !is_hidden(*c)).collect();
                let problem = Problem::new(format!("a bundle has no folder `{other}`"));
                Err(match nearest(&other, FOLDERS) {
                    Some(near) => problem.label(format!("did you mean `{near}`?")),
                    None => problem.label(format!("there are `{}`", FOLDERS.join("`, `"))),
                })
            }
        }
    }

    pub(crate) fn vehicles(&self) -> impl Iterator<Item = SourceFile<'_>> {
        sources(&self.vehicles)
    }

    pub(crate) fn faults(&self) -> impl Iterator<Item = SourceFile<'_>> {
        sources(&self.faults)
    }

    pub(crate) fn cases(&self) -> impl Iterator<Item = SourceFile<'_>> {
        sources(&self.cases)
    }

    pub(crate) fn questions(&self) -> impl Iterator<Item = SourceFile<'_>> {
        sources(&self.questions)
    }

    pub(crate) fn forms(&self) -> impl Iterator<Item = SourceFile<'_>> {
        sources(&self.forms)
    }
}

fn is_snake(id: &str) -> bool {
    is_kebab(&id.replace('_', "-"))
}

fn sources(files: &[BundleFile]) -> impl Iterator<Item = SourceFile<'_>> {
    files.iter().map(|file| SourceFile {
        name: &file.name,
        text: &file.text,
    })
}

/// The files of one text. When `padded`, the lines before a file stay in it, empty, so that a problem's line is
/// that of the whole.
fn split(text: &str, padded: bool) -> Result<Vec<(String, String)>, Problem> {
    let mut files: Vec<(String, String)> = Vec::new();
    let mut at = 0;
    for (index, line) in text.split_inclusive('\n').enumerate() {
        let words = line.trim_end();
        if let Some(name) = named(words) {
            let before = if padded { index + 1 } else { 0 };
            files.push((name.to_owned(), "\n".repeat(before)));
        } else if let Some((_, body)) = files.last_mut() {
            body.push_str(line);
        } else if !words.is_empty() && !words.starts_with('#') {
            let problem = Problem::new("a bundle begins with a line that names its first file");
            let label = "for example `-- cases/warm-at-noon.toml --`";
            return Err(problem.at(at..at + words.len()).label(label));
        }
        at += line.len();
    }
    if files.is_empty() {
        return Err(Problem::new("there is no file in this bundle"));
    }
    Ok(files)
}

/// The file that a line begins.
fn named(line: &str) -> Option<&str> {
    Some(line.strip_prefix("-- ")?.strip_suffix(" --")?.trim())
}

#[cfg(test)]
mod tests;
