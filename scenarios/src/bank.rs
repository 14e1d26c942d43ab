//! Every vehicle, fault and case there is: those built in, and one more from a file.

use std::collections::BTreeMap;
use std::fmt;

use include_dir::{Dir, include_dir};

use crate::fault::{Catalogue, Component, read_components};
use crate::scenario::Scenario;
use crate::vehicle::Vehicle;
use crate::{LoadError, Problem, nearest};

static VEHICLES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/vehicles");
static FAULTS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/faults");
static CASES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/bank");
const COMPONENTS: &str = include_str!("../components.toml");

/// A file's name and text.
#[derive(Clone, Copy, Debug)]
pub struct SourceFile<'a> {
    /// Its name with folders, for messages; the part between the last `/` and `.toml` is an id.
    pub name: &'a str,
    /// What is in it.
    pub text: &'a str,
}

impl SourceFile<'_> {
    /// The name without folders and `.toml`.
    fn id(&self) -> &str {
        let name = self.name.rsplit(['/', '\\']).next().unwrap_or(self.name);
        name.strip_suffix(".toml").unwrap_or(name)
    }
}

/// Vehicles, faults and cases together, checked against each other.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bank {
    vehicles: BTreeMap<String, Vehicle>,
    components: Vec<Component>,
    catalogue: Catalogue,
    cases: BTreeMap<String, Scenario>,
}

/// All that is wrong with the files of a bank.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BankErrors(
    /// A file each.
    pub Vec<LoadError>,
);

impl fmt::Display for BankErrors {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, error) in self.0.iter().enumerate() {
            if index > 0 {
                f.write_str("\n\n")?;
            }
            error.fmt(f)?;
        }
        Ok(())
    }
}

impl std::error::Error for BankErrors {}

impl Bank {
    /// The bank of the files in `scenarios/`: adding a file there is all it takes.
    ///
    /// # Errors
    /// [`BankErrors`] where a file is wrong; none is as shipped.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// assert!(bank.cases().count() >= 9);
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    pub fn builtin() -> Result<Self, BankErrors> {
        let mut errors = Vec::new();
        let vehicles = embedded("vehicles", &VEHICLES, &mut errors);
        let faults = embedded("faults", &FAULTS, &mut errors);
        let cases = embedded("bank", &CASES, &mut errors);
        let components = [SourceFile {
            name: "components.toml",
            text: COMPONENTS,
        }];
        let bank = Self::from_parts(
            &components,
            &files(&vehicles),
            &files(&faults),
            &files(&cases),
        );
        match bank {
            Ok(bank) if errors.is_empty() => Ok(bank),
            Ok(_) => Err(BankErrors(errors)),
            Err(BankErrors(more)) => {
                errors.extend(more);
                Err(BankErrors(errors))
            }
        }
    }

    /// A bank of the files given.
    ///
    /// # Errors
    /// [`BankErrors`] with the problems of every file.
    pub fn from_parts(
        components: &[SourceFile<'_>],
        vehicles: &[SourceFile<'_>],
        faults: &[SourceFile<'_>],
        cases: &[SourceFile<'_>],
    ) -> Result<Self, BankErrors> {
        let mut bank = Self::default();
        let mut errors = Vec::new();
        for file in components {
            match read_components(file.name, file.text) {
                Ok(mut more) => bank.components.append(&mut more),
                Err(error) => errors.push(error),
            }
        }
        for file in vehicles {
            errors.extend(bank.add_vehicle(file).err());
        }
        for file in faults {
            errors.extend(
                bank.catalogue
                    .add(file.name, file.text, &bank.components)
                    .err(),
            );
        }
        // A case of a broken vehicle or fault would only repeat that it is missing.
        if !errors.is_empty() {
            return Err(BankErrors(errors));
        }
        for file in cases {
            errors.extend(bank.add_case(file).err());
        }
        if errors.is_empty() {
            Ok(bank)
        } else {
            Err(BankErrors(errors))
        }
    }

    /// The same bank with one more case, read from a file's text; returns the case's id too.
    ///
    /// # Errors
    /// A [`LoadError`] where the case is wrong or its name is taken.
    pub fn with_case(mut self, file_name: &str, text: &str) -> Result<(Self, String), LoadError> {
        let id = self.add_case(&SourceFile {
            name: file_name,
            text,
        })?;
        Ok((self, id))
    }

    fn add_vehicle(&mut self, file: &SourceFile<'_>) -> Result<(), LoadError> {
        let id = file.id();
        let vehicle = Vehicle::read(file.name, id, file.text)?;
        match self.vehicles.insert(id.to_owned(), vehicle) {
            None => Ok(()),
            Some(_) => Err(taken("vehicle", id, file)),
        }
    }

    fn add_case(&mut self, file: &SourceFile<'_>) -> Result<String, LoadError> {
        let id = file.id();
        if self.cases.contains_key(id) {
            return Err(taken("case", id, file));
        }
        let vehicles = self.vehicles.keys().map(String::as_str);
        let case = Scenario::read(file.name, id, file.text, vehicles, &self.catalogue)?;
        self.cases.insert(id.to_owned(), case);
        Ok(id.to_owned())
    }

    /// Every case, in the order of their ids.
    pub fn cases(&self) -> impl Iterator<Item = &Scenario> {
        self.cases.values()
    }

    /// The case of an id.
    #[must_use]
    pub fn case(&self, id: &str) -> Option<&Scenario> {
        self.cases.get(id)
    }

    /// The case id somebody probably meant.
    #[must_use]
    pub fn nearest_case(&self, id: &str) -> Option<&str> {
        nearest(id, self.cases.keys().map(String::as_str))
    }

    /// Every vehicle, in the order of their ids.
    pub fn vehicles(&self) -> impl Iterator<Item = &Vehicle> {
        self.vehicles.values()
    }

    /// The vehicle of an id.
    #[must_use]
    pub fn vehicle(&self, id: &str) -> Option<&Vehicle> {
        self.vehicles.get(id)
    }

    /// Every component a fault can be at, in the order of their file.
    #[must_use]
    pub fn components(&self) -> &[Component] {
        &self.components
    }

    /// Every failure mode.
    #[must_use]
    pub fn catalogue(&self) -> &Catalogue {
        &self.catalogue
    }
}

fn taken(what: &str, id: &str, file: &SourceFile<'_>) -> LoadError {
    let problem = Problem::new(format!("there is a {what} called `{id}` already"))
        .label("give the file another name");
    LoadError::new(file.name, file.text, vec![problem])
}

/// Names and texts of a folder's files, in the order of their names.
fn embedded(
    folder: &str,
    files: &'static Dir<'_>,
    errors: &mut Vec<LoadError>,
) -> Vec<(String, &'static str)> {
    let mut texts = Vec::new();
    for file in files.files() {
        let name = format!("{folder}/{}", file.path().display());
        if !name.ends_with(".toml") {
            continue;
        }
        match file.contents_utf8() {
            Some(text) => texts.push((name, text)),
            None => {
                let problem = Problem::new("the file is not UTF-8 text");
                errors.push(LoadError::new(&name, "", vec![problem]));
            }
        }
    }
    texts.sort();
    texts
}

fn files<'a>(texts: &'a [(String, &'static str)]) -> Vec<SourceFile<'a>> {
    texts
        .iter()
        .map(|(name, text)| SourceFile { name, text })
        .collect()
}

#[cfg(test)]
mod tests;
