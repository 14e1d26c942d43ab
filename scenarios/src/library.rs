//! All there is: the bank, the questions and the forms of assessments, and a bundle beside them.

use crate::form::{Form, read};
use crate::question::Questions;
use crate::schema::Kind;
use crate::syllabus::{Marked, Syllabus};
use crate::{
    Bank, BankErrors, Bundle, Competency, Counter, LoadError, Marks, SourceFile, Together, fault,
};

/// The bank, the questions and the forms.
#[derive(Clone, Debug)]
pub struct Library {
    /// Vehicles, faults and cases.
    pub bank: Bank,
    /// Questions of the knowledge round.
    pub questions: Questions,
    /// Forms of assessments.
    pub forms: Vec<Form>,
}

impl Library {
    /// What is built in.
    ///
    /// # Errors
    /// [`BankErrors`] where a file is wrong; none is as shipped.
    pub fn builtin() -> Result<Self, BankErrors> {
        let (bank, questions) = both(Bank::builtin(), Questions::builtin())?;
        let forms = Form::builtin(&bank, &questions)?;
        Ok(Self {
            bank,
            questions,
            forms,
        })
    }

    /// The same with a bundle beside it.
    ///
    /// # Errors
    /// [`BankErrors`] with the problems of every file, names that are taken among them.
    pub fn with(self, bundle: &Bundle) -> Result<Self, BankErrors> {
        let (bank, questions) = both(self.bank.with(bundle), self.questions.with(bundle))?;
        let forms = Form::beside(self.forms, bundle, &bank, &questions)?;
        Ok(Self {
            bank,
            questions,
            forms,
        })
    }

    /// Reads one file of a kind as it would stand beside all there is; nothing is read again for it, and
    /// nothing is added. `marked` is what a syllabus may name.
    ///
    /// # Errors
    /// A [`LoadError`] with what is wrong with the file, a name that is taken among it.
    ///
    /// ```
    /// use scenarios::{Library, SourceFile, schema::Kind, syllabus::Marked};
    /// let library = Library::builtin()?;
    /// let file = SourceFile { name: "cases/mine.toml", text: "versoin = 1" };
    /// let error = library.check(Kind::Case, &file, &Marked::default()).unwrap_err();
    /// assert!(error.to_string().contains("did you mean `version`?"));
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    pub fn check(
        &self,
        kind: Kind,
        file: &SourceFile<'_>,
        marked: &Marked<'_>,
    ) -> Result<(), LoadError> {
        let (name, text) = (file.name, file.text);
        let bank = &self.bank;
        match kind {
            Kind::Case => bank.read_case(file).map(drop),
            Kind::Vehicle => bank.read_vehicle(file).map(drop),
            Kind::Faults => {
                let read = bank.catalogue().read(name, text, bank.components());
                read.map(drop)
            }
            Kind::Components => fault::read_components(name, text).map(drop),
            Kind::Together => Together::read_all(name, text, bank.catalogue()).map(drop),
            Kind::Competencies => Competency::read_all(name, text).map(drop),
            Kind::Marks => Marks::read(name, text).map(drop),
            Kind::Counter => Counter::read(name, text).map(drop),
            Kind::Questions => self.questions.read_one(file).map(drop),
            Kind::Form => read::read(file, &self.forms, bank, &self.questions).map(drop),
            Kind::Syllabus => Syllabus::read(name, text, self, marked).map(drop),
        }
    }

    /// The same for a bundle.
    ///
    /// # Errors
    /// [`BankErrors`] with the problems of every file, as [`Library::with`] would tell of them.
    pub fn check_bundle(&self, bundle: &Bundle) -> Result<(), BankErrors> {
        let read = self.bank.read_bundle(bundle).err();
        let mut errors = read.map_or(Vec::new(), |BankErrors(errors)| errors);
        errors.append(&mut self.questions.read_bundle(bundle));
        if !errors.is_empty() {
            return Err(BankErrors(errors));
        }
        // A form may ask for what the bundle brings: only where it has one is all of it put together.
        if bundle.forms().next().is_some() {
            self.clone().with(bundle)?;
        }
        Ok(())
    }

    /// The same with one more form, read from a file's text; returns the form's id too.
    ///
    /// # Errors
    /// A [`LoadError`] where the form is wrong or its name is taken.
    pub fn with_form(mut self, file_name: &str, text: &str) -> Result<(Self, String), LoadError> {
        let file = SourceFile {
            name: file_name,
            text,
        };
        let form = read::read(&file, &self.forms, &self.bank, &self.questions)?;
        let id = form.id.clone();
        self.forms.push(form);
        Ok((self, id))
    }

    /// The form of an id.
    #[must_use]
    pub fn form(&self, id: &str) -> Option<&Form> {
        self.forms.iter().find(|form| form.id == id)
    }
}

/// Both, or all that is wrong with either.
fn both(
    bank: Result<Bank, BankErrors>,
    questions: Result<Questions, BankErrors>,
) -> Result<(Bank, Questions), BankErrors> {
    match (bank, questions) {
        (Ok(bank), Ok(questions)) => Ok((bank, questions)),
        (bank, questions) => {
            let errors = [bank.err(), questions.err()].into_iter().flatten();
            Err(BankErrors(errors.flat_map(|one| one.0).collect()))
        }
    }
}

#[cfg(test)]
mod tests;
