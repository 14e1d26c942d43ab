//! Files read beside a bank that is there: one of a kind, or those of a bundle.

use std::collections::BTreeMap;

use super::{Bank, BankErrors, SourceFile, taken};
use crate::LoadError;
use crate::bundle::Bundle;
use crate::fault::Catalogue;
use crate::scenario::{Known, Scenario};
use crate::vehicle::Vehicle;

/// What a bundle brings to a bank.
#[derive(Default)]
pub(crate) struct Added {
    vehicles: BTreeMap<String, Vehicle>,
    /// The bank's faults and the bundle's; none where it brings none.
    catalogue: Option<Catalogue>,
    cases: BTreeMap<String, Scenario>,
}

impl Bank {
    /// The same bank with a bundle beside it.
    ///
    /// # Errors
    /// [`BankErrors`] with the problems of every file, names that are taken among them.
    pub fn with(mut self, bundle: &Bundle) -> Result<Self, BankErrors> {
        let added = self.read_bundle(bundle)?;
        let catalogue = added.catalogue;
        self.vehicles.extend(added.vehicles);
        self.cases.extend(added.cases);
        self.catalogue = catalogue.unwrap_or(self.catalogue);
        Ok(self)
    }

    /// Reads a bundle against this bank, which stays as it is.
    pub(crate) fn read_bundle(&self, bundle: &Bundle) -> Result<Added, BankErrors> {
        let mut added = Added::default();
        let mut errors = Vec::new();
        for file in bundle.vehicles() {
            match self.read_vehicle(&file) {
                Ok(vehicle) => drop(added.vehicles.insert(vehicle.id.clone(), vehicle)),
                Err(error) => errors.push(error),
            }
        }
        for file in bundle.faults() {
            let catalogue = added
                .catalogue
                .get_or_insert_with(|| self.catalogue.clone());
            let read = catalogue.add(file.name, file.text, &self.components);
            errors.extend(read.err());
        }
        // A case of a broken vehicle or fault would only repeat that it is missing.
        if errors.is_empty() {
            for file in bundle.cases() {
                let known = Known {
                    vehicles: self.vehicles.values().chain(added.vehicles.values()),
                    catalogue: added.catalogue.as_ref().unwrap_or(&self.catalogue),
                    competencies: &self.competencies,
                };
                match self.read_case_of(&file, known) {
                    Ok(case) => drop(added.cases.insert(case.id.clone(), case)),
                    Err(error) => errors.push(error),
                }
            }
        }
        if errors.is_empty() {
            Ok(added)
        } else {
            Err(BankErrors(errors))
        }
    }

    /// The same bank with one more case, read from a file's text; returns the case's id too.
    ///
    /// # Errors
    /// A [`LoadError`] where the case is wrong or its name is taken.
    pub fn with_case(mut self, file_name: &str, text: &str) -> Result<(Self, String), LoadError> {
        let case = self.read_case(&SourceFile {
            name: file_name,
            text,
        })?;
        let id = case.id.clone();
        self.cases.insert(id.clone(), case);
        Ok((self, id))
    }

    /// Reads a case against this bank, which stays as it is.
    pub(crate) fn read_case(&self, file: &SourceFile<'_>) -> Result<Scenario, LoadError> {
        self.read_case_of(file, self.known())
    }

    fn read_case_of<'a>(
        &self,
        file: &SourceFile<'_>,
        known: Known<'a, impl Iterator<Item = &'a Vehicle> + Clone>,
    ) -> Result<Scenario, LoadError> {
        let id = file.id();
        if self.cases.contains_key(id) {
            return Err(taken("case", id, file));
        }
        Scenario::read(file.name, id, file.text, known)
    }

    /// Reads a vehicle against this bank, which stays as it is.
    pub(crate) fn read_vehicle(&self, file: &SourceFile<'_>) -> Result<Vehicle, LoadError> {
        let id = file.id();
        if self.vehicles.contains_key(id) {
            return Err(taken("vehicle", id, file));
        }
        Vehicle::read(file.name, id, file.text, &self.counter)
    }
}
