//! Every vehicle, fault and case there is: those built in, and those beside them.

mod beside;

use std::collections::BTreeMap;
use std::fmt;

use include_dir::{Dir, include_dir};

use crate::competency::Competency;
use crate::counter::Counter;
use crate::fault::{Catalogue, Component, read_components};
use crate::marks::Marks;
use crate::scenario::{Known, Scenario};
use crate::together::Together;
use crate::vehicle::Vehicle;
use crate::{LoadError, Problem, nearest};

static VEHICLES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/vehicles");
static FAULTS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/faults");
static CASES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/bank");
const COMPONENTS: SourceFile<'_> = SourceFile {
    name: "components.toml",
    text: include_str!("../components.toml"),
};
const COMPETENCIES: SourceFile<'_> = SourceFile {
    name: "competencies.toml",
    text: include_str!("../competencies.toml"),
};
const TOGETHER: SourceFile<'_> = SourceFile {
    name: "together.toml",
    text: include_str!("../together.toml"),
};
const MARKS: SourceFile<'_> = SourceFile {
    name: "marks.toml",
    text: include_str!("../marks.toml"),
};
pub(crate) const COUNTER: SourceFile<'_> = SourceFile {
    name: "counter.toml",
    text: include_str!("../counter.toml"),
};

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
    pub(crate) fn id(&self) -> &str {
        let name = self.name.rsplit(['/', '\\']).next().unwrap_or(self.name);
        name.strip_suffix(".toml").unwrap_or(name)
    }
}

/// The files a bank is made of.
#[derive(Clone, Copy, Debug, Default)]
pub struct BankFiles<'a> {
    /// Lists of components.
    pub components: &'a [SourceFile<'a>],
    /// A vehicle each.
    pub vehicles: &'a [SourceFile<'a>],
    /// Failure modes, some in each.
    pub faults: &'a [SourceFile<'a>],
    /// Which faults travel together; none do where there is no such file.
    pub together: Option<SourceFile<'a>>,
    /// How a mark is made; as in the bank that is built in where there is no such file.
    pub marks: Option<SourceFile<'a>>,
    /// The parts counter; as in the bank that is built in where there is no such file.
    pub counter: Option<SourceFile<'a>>,
    /// What cases train; as in the bank that is built in where there is no such file.
    pub competencies: Option<SourceFile<'a>>,
    /// A case each.
    pub cases: &'a [SourceFile<'a>],
}

/// Vehicles, faults and cases together, checked against each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Bank {
    vehicles: BTreeMap<String, Vehicle>,
    components: Vec<Component>,
    catalogue: Catalogue,
    together: Vec<Together>,
    marks: Marks,
    counter: Counter,
    competencies: Vec<Competency>,
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
        let bank = Self::from_parts(&BankFiles {
            components: &[COMPONENTS],
            vehicles: &files(&vehicles),
            faults: &files(&faults),
            together: Some(TOGETHER),
            marks: Some(MARKS),
            counter: Some(COUNTER),
            competencies: Some(COMPETENCIES),
            cases: &files(&cases),
        });
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
    pub fn from_parts(parts: &BankFiles<'_>) -> Result<Self, BankErrors> {
        let mut errors = Vec::new();
        let mut components = Vec::new();
        for file in parts.components {
            match read_components(file.name, file.text) {
                Ok(mut more) => components.append(&mut more),
                Err(error) => errors.push(error),
            }
        }
        let file = parts.counter.unwrap_or(COUNTER);
        let counter = Counter::read(file.name, file.text);
        let counter = counter.map_err(|error| errors.push(error)).ok();
        let mut vehicles = BTreeMap::new();
        // A vehicle is read against the counter: without it nothing can be said of one.
        if let Some(counter) = &counter {
            for file in parts.vehicles {
                errors.extend(add_vehicle(&mut vehicles, file, counter).err());
            }
        }
        let mut catalogue = Catalogue::default();
        for file in parts.faults {
            errors.extend(catalogue.add(file.name, file.text, &components).err());
        }
        let file = parts.marks.unwrap_or(MARKS);
        let marks = Marks::read(file.name, file.text);
        let marks = marks.map_err(|error| errors.push(error)).ok();
        let file = parts.competencies.unwrap_or(COMPETENCIES);
        let competencies = Competency::read_all(file.name, file.text);
        let competencies = competencies.map_err(|error| errors.push(error));
        let competencies = competencies.unwrap_or_default();
        // A case of a broken vehicle or fault would only repeat that it is missing.
        let (Some(marks), Some(counter), true) = (marks, counter, errors.is_empty()) else {
            return Err(BankErrors(errors));
        };
        let mut bank = Self {
            vehicles,
            components,
            catalogue,
            together: Vec::new(),
            marks,
            counter,
            competencies,
            cases: BTreeMap::new(),
        };
        if let Some(file) = parts.together {
            match Together::read_all(file.name, file.text, &bank.catalogue) {
                Ok(together) => bank.together = together,
                Err(error) => errors.push(error),
            }
        }
        for file in parts.cases {
            match bank.read_case(file) {
                Ok(case) => drop(bank.cases.insert(case.id.clone(), case)),
                Err(error) => errors.push(error),
            }
        }
        if errors.is_empty() {
            Ok(bank)
        } else {
            Err(BankErrors(errors))
        }
    }

    /// What a case is read against.
    #[must_use]
    pub fn known(&self) -> Known<'_, impl Iterator<Item = &Vehicle> + Clone> {
        Known {
            vehicles: self.vehicles.values(),
            catalogue: &self.catalogue,
            competencies: &self.competencies,
        }
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
    pub fn vehicles(&self) -> impl Iterator<Item = &Vehicle> + Clone {
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

    /// Faults that travel together, in the order of their file.
    #[must_use]
    pub fn together(&self) -> &[Together] {
        &self.together
    }

    /// What cases train, in the order of their file.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// let known = |id: &String| bank.competencies().iter().any(|one| one.id == *id);
    /// assert!(bank.cases().all(|case| case.competencies.iter().all(known)));
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn competencies(&self) -> &[Competency] {
        &self.competencies
    }

    /// How a mark is made.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// assert!(bank.marks().weights.diagnosis > bank.marks().hint.cost);
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn marks(&self) -> &Marks {
        &self.marks
    }

    /// The parts counter.
    #[must_use]
    pub fn counter(&self) -> &Counter {
        &self.counter
    }
}

fn add_vehicle(
    vehicles: &mut BTreeMap<String, Vehicle>,
    file: &SourceFile<'_>,
    counter: &Counter,
) -> Result<(), LoadError> {
    let id = file.id();
    if vehicles.contains_key(id) {
        return Err(taken("vehicle", id, file));
    }
    let vehicle = Vehicle::read(file.name, id, file.text, counter)?;
    vehicles.insert(id.to_owned(), vehicle);
    Ok(())
}

pub(crate) fn taken(what: &str, id: &str, file: &SourceFile<'_>) -> LoadError {
    let problem = Problem::new(format!("there is a {what} called `{id}` already"))
        .label("give the file another name");
    LoadError::new(file.name, file.text, vec![problem])
}

/// Names and texts of a folder's files, in the order of their names.
pub(crate) fn embedded(
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

pub(crate) fn files<'a>(texts: &'a [(String, &'static str)]) -> Vec<SourceFile<'a>> {
    texts
        .iter()
        .map(|(name, text)| SourceFile { name, text })
        .collect()
}

#[cfg(test)]
mod tests;
