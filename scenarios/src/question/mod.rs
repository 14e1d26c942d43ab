//! Questions of the knowledge round: read from TOML, dealt by a seed, and graded.
//!
//! Keys of numeric questions are not written anywhere: a question names a [`Formula`] and ranges, and
//! the key is computed from the numbers it was dealt. What is absent: terminals, and any text of a rule.

mod chart;
mod deal;
mod formula;
mod grade;
pub(crate) mod read;
mod shown;

use std::collections::BTreeMap;

pub use chart::{Chart, ChartKind};
pub use deal::{Body, Dealt};
pub use formula::{Corner, Cycle, Derived, Drawn, Formula, Given, Refrigerant};
pub use grade::{Answer, NotAnAnswer};
pub use shown::{GAUGE, Shown, TEMPERATURE};

use crate::bank::{embedded, files};
use crate::{BankErrors, Bundle, LoadError, SourceFile};
use include_dir::{Dir, include_dir};

static QUESTIONS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/questions");

/// What is asked for.
#[derive(
    Clone,
    Copy,
    Debug,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    serde::Deserialize,
    schemars::JsonSchema,
    serde::Serialize,
)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// One option is right.
    Single,
    /// Some options are right.
    Multiple,
    /// A number with its unit.
    Numeric,
    /// Steps in their order.
    Order,
    /// Something read off a chart.
    Chart,
}

impl Kind {
    /// Every kind.
    pub const ALL: [Self; 5] = [
        Self::Single,
        Self::Multiple,
        Self::Numeric,
        Self::Order,
        Self::Chart,
    ];

    /// Its name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Single => "single",
            Self::Multiple => "multiple",
            Self::Numeric => "numeric",
            Self::Order => "order",
            Self::Chart => "chart",
        }
    }
}

/// A question as its file has it, checked.
#[derive(Clone, Debug)]
pub struct Question {
    /// Its id, one in all files.
    pub id: String,
    /// The id of its topic: the name of its file.
    pub topic: String,
    /// What it asks; numbers stand between braces.
    pub text: String,
    /// What is asked for, with what the key follows from.
    pub ask: Ask,
    /// Why the answer is what it is.
    pub explanation: String,
    /// Where that can be read up, or `common practice, no source`.
    pub source: String,
    /// Whether the source was not at hand when this was written.
    pub from_memory: bool,
    /// What it is about, for the syllabus.
    pub tags: Vec<String>,
    /// Topics of the syllabus it is about whatever its tags, as `rule/topic`.
    pub syllabus: Vec<String>,
}

impl Question {
    /// What it asks for.
    #[must_use]
    pub fn kind(&self) -> Kind {
        match self.ask {
            Ask::Choices { many: false, .. } => Kind::Single,
            Ask::Choices { many: true, .. } => Kind::Multiple,
            Ask::Number(_) => Kind::Numeric,
            Ask::Order(_) => Kind::Order,
            Ask::Chart(..) => Kind::Chart,
        }
    }
}

/// What is asked for.
#[derive(Clone, Debug)]
pub enum Ask {
    /// Options, shown shuffled.
    Choices {
        /// What is right.
        right: Vec<String>,
        /// What is wrong.
        wrong: Vec<String>,
        /// Whether more than one may be right.
        many: bool,
    },
    /// A number.
    Number(Numeric),
    /// Steps in their right order, shown shuffled.
    Order(Vec<String>),
    /// A chart, and what is read off it.
    Chart(ChartKind, Read),
}

/// What is read off a chart.
#[derive(Clone, Debug)]
pub enum Read {
    /// A number.
    Number(Numeric),
    /// Which letter stands at a corner of a cycle.
    Corner(Numeric, Corner),
}

/// A number asked for: a formula and the ranges its inputs are drawn from.
#[derive(Clone, Debug)]
pub struct Numeric {
    /// What the key is computed by.
    pub formula: &'static Formula,
    /// One of these is drawn; none where the formula is about no refrigerant.
    pub refrigerants: Vec<Refrigerant>,
    /// Least and most of each input, SI.
    pub ranges: BTreeMap<&'static str, (f64, f64)>,
    /// How far off an answer may be.
    pub tolerance: Tolerance,
}

/// How far off an answer may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Tolerance {
    /// A share of the key.
    Share(f64),
    /// So much, in SI.
    Within(f64),
}

impl Tolerance {
    /// How far off an answer may be from a key, both in SI.
    #[must_use]
    pub fn of(self, key: f64) -> f64 {
        match self {
            Self::Share(share) => share * key.abs(),
            Self::Within(off) => off,
        }
    }
}

/// A file's topic.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Topic {
    /// The name of its file.
    pub id: String,
    /// What it is called on a screen.
    pub title: String,
}

/// Every question there is, in the order of topics and files.
#[derive(Clone, Debug, Default)]
pub struct Questions {
    topics: Vec<Topic>,
    questions: Vec<Question>,
}

impl Questions {
    /// The questions of the files in `scenarios/questions/`.
    ///
    /// # Errors
    /// [`BankErrors`] where a file is wrong; none is as shipped.
    ///
    /// ```
    /// let questions = scenarios::question::Questions::builtin()?;
    /// assert!(questions.all().len() >= 120);
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    pub fn builtin() -> Result<Self, BankErrors> {
        let mut errors = Vec::new();
        let texts = embedded("questions", &QUESTIONS, &mut errors);
        match Self::read(&files(&texts)) {
            Ok(questions) if errors.is_empty() => Ok(questions),
            Ok(_) => Err(BankErrors(errors)),
            Err(BankErrors(more)) => {
                errors.extend(more);
                Err(BankErrors(errors))
            }
        }
    }

    /// The questions of some files, a topic each.
    ///
    /// # Errors
    /// [`BankErrors`] with the problems of every file, each at its place.
    pub fn read(files: &[SourceFile<'_>]) -> Result<Self, BankErrors> {
        Self::default().and(files.iter().copied())
    }

    /// The same questions with those of a bundle beside them.
    ///
    /// # Errors
    /// [`BankErrors`] with the problems of every file, names that are taken among them.
    ///
    /// ```
    /// use scenarios::{Bundle, question::Questions};
    /// let mine = Bundle::from_text("mine.bundle", r#"
    /// -- questions/mine.toml --
    /// version = 1
    /// title = "Mine"
    /// [[question]]
    /// id = "which-glove"
    /// kind = "single"
    /// text = "Which glove is worn where refrigerant may splash?"
    /// right = ["One that liquid does not get through"]
    /// wrong = ["One of wool", "None"]
    /// explanation = "Liquid that boils on skin freezes it."
    /// source = "Common practice, no source"
    /// tags = ["cautions"]
    /// "#)?;
    /// let questions = Questions::builtin()?.with(&mine)?;
    /// assert_eq!(questions.question("which-glove").map(|one| one.topic.as_str()), Some("mine"));
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    pub fn with(self, bundle: &Bundle) -> Result<Self, BankErrors> {
        self.and(bundle.questions())
    }

    fn and<'a>(
        mut self,
        files: impl IntoIterator<Item = SourceFile<'a>>,
    ) -> Result<Self, BankErrors> {
        let mut errors = Vec::new();
        for file in files {
            match read::read(&file, &self) {
                Ok((topic, mut questions)) => {
                    self.topics.push(topic);
                    self.questions.append(&mut questions);
                }
                Err(error) => errors.push(error),
            }
        }
        if errors.is_empty() {
            Ok(self)
        } else {
            Err(BankErrors(errors))
        }
    }

    /// Reads a file beside these questions, which stay as they are.
    pub(crate) fn read_one(
        &self,
        file: &SourceFile<'_>,
    ) -> Result<(Topic, Vec<Question>), LoadError> {
        read::read(file, self)
    }

    /// Reads a bundle's files beside these questions and those of its files before.
    pub(crate) fn read_bundle(&self, bundle: &Bundle) -> Vec<LoadError> {
        // Most bundles bring a file or none: only a second one has something before it.
        let mut files = bundle.questions().peekable();
        let Some(first) = files.next() else {
            return Vec::new();
        };
        if files.peek().is_none() {
            return Vec::from_iter(self.read_one(&first).err());
        }
        let all = std::iter::once(first).chain(files);
        let read = self.clone().and(all);
        read.err().map_or(Vec::new(), |BankErrors(errors)| errors)
    }

    /// Every question.
    #[must_use]
    pub fn all(&self) -> &[Question] {
        &self.questions
    }

    /// Every topic.
    #[must_use]
    pub fn topics(&self) -> &[Topic] {
        &self.topics
    }

    /// The question of an id.
    #[must_use]
    pub fn question(&self, id: &str) -> Option<&Question> {
        self.questions.iter().find(|question| question.id == id)
    }
}

#[cfg(test)]
mod tests;
