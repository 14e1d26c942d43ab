//! An assessment form: how many cases and questions of which kind a candidate is given, in what time, and
//! what passes.
//!
//! A form is a blueprint: its slots say what is drawn, and a seed draws ([`Form::draw`]), so that every
//! candidate has tasks of their own and all have the same kind. What is absent: people, clocks and
//! verdicts.

mod drawn;
mod hardness;
pub(crate) mod read;

pub use drawn::{Item, Task};
pub use hardness::minutes_per_bit;

use crate::bank::{embedded, files};
use crate::{Bank, BankErrors, Bundle, SourceFile, question::Questions};
use include_dir::{Dir, include_dir};

static FORMS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/forms");

/// A form as its file has it, checked against bank and questions.
#[derive(Clone, Debug, PartialEq)]
pub struct Form {
    /// Its file's name without `.toml`.
    pub id: String,
    /// What it is called on a page.
    pub title: String,
    /// Whom it is for, and what may be decided by it.
    pub purpose: String,
    /// Time on the shop clock for each case, s.
    pub shop_s: f64,
    /// Time on the wall for all of it, s.
    pub wall_s: f64,
    /// Whether hints may be asked for.
    pub hints: bool,
    /// What is drawn of cases, in the order it is given.
    pub cases: Vec<CaseSlot>,
    /// How far one candidate's cars may be from the mean of all draws, as a share of how hard they are together;
    /// anything where it is not said.
    pub alike_within: Option<f64>,
    /// What is drawn of questions.
    pub questions: Vec<QuestionSlot>,
    /// What passes.
    pub pass: Pass,
    /// Its text, which a record keeps a hash of: a form that has changed is another form.
    pub text: String,
}

/// Cases drawn from a pool.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseSlot {
    /// How many.
    pub count: usize,
    /// Ids of the cases that can be drawn, in the bank's order.
    pub pool: Vec<String>,
    /// What each counts beside the other tasks.
    pub weight: f64,
    /// Whether the car is repaired and given back, too.
    pub repair: bool,
}

/// Questions drawn from a pool.
#[derive(Clone, Debug, PartialEq)]
pub struct QuestionSlot {
    /// How many.
    pub count: usize,
    /// Ids of the questions that can be drawn, in their order.
    pub pool: Vec<String>,
    /// What each counts beside the other tasks.
    pub weight: f64,
}

/// What passes.
#[derive(Clone, Debug, PartialEq)]
pub struct Pass {
    /// The least mark, 0 to 100.
    pub mark: f64,
    /// What the panel that set it was off by, in marks: its standard error, where it is known.
    pub standard_error: Option<f64>,
    /// How it was set.
    pub standard: String,
    /// Unsafe acts that end in a fail whatever the marks: more grave ones than this.
    pub most_grave: usize,
    /// More slips than this in all, grave or not.
    pub most_slips: usize,
    /// What single competencies and topics need.
    pub needs: Vec<Need>,
}

/// What a competency or a topic of questions needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Need {
    /// Of what.
    pub of: NeedOf,
    /// The least mark, 0 to 100.
    pub mark: f64,
}

/// What a mark is needed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NeedOf {
    /// A competency that cases train, by its id.
    Competency(String),
    /// A topic of questions, by its id.
    Topic(String),
}

impl Form {
    /// Every form in `scenarios/forms/`, held against bank and questions.
    ///
    /// # Errors
    /// [`BankErrors`] where a file is wrong; none is as shipped.
    pub(crate) fn builtin(bank: &Bank, questions: &Questions) -> Result<Vec<Self>, BankErrors> {
        let mut errors = Vec::new();
        let texts = embedded("forms", &FORMS, &mut errors);
        let texts = files(&texts);
        let forms = Self::read_all(Vec::new(), texts.iter().copied(), bank, questions);
        match forms {
            Ok(forms) if errors.is_empty() => Ok(forms),
            forms => {
                errors.extend(forms.err().into_iter().flat_map(|BankErrors(more)| more));
                Err(BankErrors(errors))
            }
        }
    }

    /// Forms that are there already, with those of a bundle beside them.
    ///
    /// # Errors
    /// [`BankErrors`] with the problems of every file, names that are taken among them.
    pub(crate) fn beside(
        known: Vec<Self>,
        bundle: &Bundle,
        bank: &Bank,
        questions: &Questions,
    ) -> Result<Vec<Self>, BankErrors> {
        Self::read_all(known, bundle.forms(), bank, questions)
    }

    fn read_all<'a>(
        mut forms: Vec<Self>,
        files: impl Iterator<Item = SourceFile<'a>>,
        bank: &Bank,
        questions: &Questions,
    ) -> Result<Vec<Self>, BankErrors> {
        let mut errors = Vec::new();
        for file in files {
            match read::read(&file, &forms, bank, questions) {
                Ok(form) => forms.push(form),
                Err(error) => errors.push(error),
            }
        }
        if errors.is_empty() {
            Ok(forms)
        } else {
            Err(BankErrors(errors))
        }
    }

    /// Tasks in all.
    #[must_use]
    pub fn tasks(&self) -> usize {
        let cases = self.cases.iter().map(|slot| slot.count);
        let questions = self.questions.iter().map(|slot| slot.count);
        cases.chain(questions).sum()
    }
}

#[cfg(test)]
mod tests;
