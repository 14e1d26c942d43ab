//! What rules and training units ask for, in our own words, and what of it is covered here.

use std::sync::LazyLock;

use crate::spanned::Spanned;
use schemars::JsonSchema;
use serde::Deserialize;

use crate::checked::Version;
use crate::counter::said;
use crate::fault::{is_kebab, unknown};
use crate::{Library, LoadError, Problem, load};

const SYLLABUS: &str = include_str!("../syllabus.toml");

/// A rule, standard or training unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rule {
    /// Its id.
    pub id: String,
    /// Its name as published.
    pub name: String,
    /// Whether its text was not at hand when its topics were written.
    pub from_memory: bool,
    /// What it asks for.
    pub topics: Vec<RuleTopic>,
}

/// Something a rule asks a person to know or do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleTopic {
    /// Its id, one in a rule.
    pub id: String,
    /// The rule's id and its own, as a question names it: `rule/topic`.
    pub path: String,
    /// What it asks, in our own words.
    pub words: String,
    /// Tags of questions about it.
    pub tags: Vec<String>,
    /// Competencies of cases that practise it.
    pub competencies: Vec<String>,
    /// Components whose failure modes practise it.
    pub components: Vec<String>,
    /// Safety slips that are counted where it is not heeded.
    pub slips: Vec<String>,
    /// Steps of good work that a repair's mark asks for.
    pub steps: Vec<String>,
    /// Parts of a mark that weigh it.
    pub parts: Vec<String>,
    /// Parts of a repair's mark that weigh it.
    pub repair_parts: Vec<String>,
}

/// How much there is on a topic.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Coverage {
    /// Questions with one of its tags, or that name it.
    pub questions: usize,
    /// Cases with one of its competencies.
    pub cases: usize,
    /// Failure modes of its components.
    pub faults: usize,
    /// Slips that are counted.
    pub slips: usize,
    /// Steps of a repair that are marked.
    pub steps: usize,
    /// Parts of a mark, and of a repair's.
    pub parts: usize,
}

/// Names of what a grade looks at; this crate grades nothing.
#[derive(Clone, Copy, Debug, Default)]
pub struct Marked<'a> {
    /// Safety slips.
    pub slips: &'a [&'a str],
    /// Steps of a repair.
    pub steps: &'a [&'a str],
    /// Parts of a mark.
    pub parts: &'a [&'a str],
    /// Parts of a repair's mark.
    pub repair_parts: &'a [&'a str],
}

impl Coverage {
    /// Whether there is anything at all.
    #[must_use]
    pub fn is_covered(self) -> bool {
        self != Self::default()
    }
}

/// Every rule, in the order of the file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Syllabus {
    /// The rules.
    pub rules: Vec<Rule>,
}

/// A file as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct File {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    rule: Vec<WrittenRule>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenRule {
    id: Spanned<String>,
    name: Spanned<String>,
    #[serde(default)]
    from_memory: bool,
    topic: Vec<WrittenTopic>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenTopic {
    id: Spanned<String>,
    words: Spanned<String>,
    #[serde(default)]
    tags: Vec<Spanned<String>>,
    #[serde(default)]
    competencies: Vec<Spanned<String>>,
    #[serde(default)]
    components: Vec<Spanned<String>>,
    #[serde(default)]
    slips: Vec<Spanned<String>>,
    #[serde(default)]
    steps: Vec<Spanned<String>>,
    #[serde(default)]
    parts: Vec<Spanned<String>>,
    #[serde(default)]
    repair_parts: Vec<Spanned<String>>,
}

/// What a syllabus may name.
struct Known<'a> {
    tags: Vec<&'a str>,
    competencies: Vec<&'a str>,
    components: Vec<&'a str>,
    marked: &'a Marked<'a>,
}

impl Syllabus {
    /// The syllabus built in, held against what there is and what a grade looks at.
    ///
    /// # Errors
    /// A [`LoadError`] where it names what there is not; as shipped it names nothing of that kind.
    pub fn builtin(library: &Library, marked: &Marked<'_>) -> Result<Self, LoadError> {
        Self::read("syllabus.toml", SYLLABUS, library, marked)
    }

    /// Reads a syllabus from its file's text.
    ///
    /// # Errors
    /// A [`LoadError`] with every name there is not, each at its place.
    pub fn read(
        file_name: &str,
        text: &str,
        library: &Library,
        marked: &Marked<'_>,
    ) -> Result<Self, LoadError> {
        let file: File = load::parse(file_name, text)?;
        let bank = &library.bank;
        let questions = library.questions.all().iter();
        let known = Known {
            tags: questions
                .flat_map(|one| one.tags.iter().map(String::as_str))
                .collect(),
            competencies: (bank.competencies().iter())
                .map(|one| one.id.as_str())
                .collect(),
            components: bank
                .components()
                .iter()
                .map(|one| one.id.as_str())
                .collect(),
            marked,
        };
        let mut problems = Vec::new();
        let mut ids: Vec<&Spanned<String>> = Vec::new();
        for rule in &file.rule {
            check_id(&rule.id, &ids, &mut problems);
            ids.push(&rule.id);
            said(&rule.name, &mut problems);
            let mut topics: Vec<&Spanned<String>> = Vec::new();
            for topic in &rule.topic {
                check_id(&topic.id, &topics, &mut problems);
                topics.push(&topic.id);
                topic.check(&known, &mut problems);
            }
        }
        if !problems.is_empty() {
            return Err(LoadError::new(file_name, text, problems));
        }
        let rules = file.rule.into_iter().map(WrittenRule::build);
        Ok(Self {
            rules: rules.collect(),
        })
    }
}

fn path(rule: &str, topic: &str) -> String {
    format!("{rule}/{topic}")
}

/// Every topic of the syllabus built in, as `rule/topic`, for questions that name one. None where its
/// file cannot be read, which [`Syllabus::builtin`] tells of.
pub(crate) fn topic_names() -> &'static [String] {
    static NAMES: LazyLock<Vec<String>> = LazyLock::new(|| {
        let file: Option<File> = load::parse("syllabus.toml", SYLLABUS).ok();
        let rules = file.into_iter().flat_map(|file| file.rule);
        let names = rules.flat_map(|rule| {
            let topics = rule.topic.iter();
            let names = topics.map(|topic| path(rule.id.get_ref(), topic.id.get_ref()));
            names.collect::<Vec<_>>()
        });
        names.collect()
    });
    &NAMES
}

fn check_id(id: &Spanned<String>, before: &[&Spanned<String>], problems: &mut Vec<Problem>) {
    if !is_kebab(id.get_ref()) {
        let message = "an id is made of small letters, digits and single hyphens";
        problems.push(Problem::new(message).at(id.span()));
    }
    if before.iter().any(|known| known.get_ref() == id.get_ref()) {
        let problem = Problem::new(format!("`{}` is here already", id.get_ref()));
        problems.push(problem.at(id.span()));
    }
}

impl WrittenRule {
    fn build(self) -> Rule {
        let plain =
            |list: Vec<Spanned<String>>| list.into_iter().map(Spanned::into_inner).collect();
        let rule = self.id.into_inner();
        let topics = self.topic.into_iter().map(|topic| RuleTopic {
            path: path(&rule, topic.id.get_ref()),
            id: topic.id.into_inner(),
            words: topic.words.into_inner(),
            tags: plain(topic.tags),
            competencies: plain(topic.competencies),
            components: plain(topic.components),
            slips: plain(topic.slips),
            steps: plain(topic.steps),
            parts: plain(topic.parts),
            repair_parts: plain(topic.repair_parts),
        });
        Rule {
            topics: topics.collect(),
            id: rule,
            name: self.name.into_inner(),
            from_memory: self.from_memory,
        }
    }
}

impl WrittenTopic {
    fn check(&self, known: &Known<'_>, problems: &mut Vec<Problem>) {
        said(&self.words, problems);
        let lists = [
            ("tag of a question", &self.tags, known.tags.as_slice()),
            (
                "competency of a case",
                &self.competencies,
                &known.competencies,
            ),
            ("component", &self.components, &known.components),
            ("slip", &self.slips, known.marked.slips),
            ("step of a repair", &self.steps, known.marked.steps),
            ("part of a mark", &self.parts, known.marked.parts),
            (
                "part of a repair's mark",
                &self.repair_parts,
                known.marked.repair_parts,
            ),
        ];
        for (what, names, known) in lists {
            for name in names {
                if !known.contains(&name.get_ref().as_str()) {
                    problems.push(unknown(what, name, known.iter().copied()));
                }
            }
        }
    }
}

impl RuleTopic {
    /// How much there is on it.
    #[must_use]
    pub fn coverage(&self, library: &Library) -> Coverage {
        let any = |mine: &[String], theirs: &[String]| theirs.iter().any(|one| mine.contains(one));
        let Library {
            bank, questions, ..
        } = library;
        let questions = questions.all().iter();
        let modes = bank.catalogue().modes();
        Coverage {
            questions: questions
                .filter(|one| any(&self.tags, &one.tags) || one.syllabus.contains(&self.path))
                .count(),
            cases: bank
                .cases()
                .filter(|case| any(&self.competencies, &case.competencies))
                .count(),
            faults: modes
                .filter(|mode| self.components.contains(&mode.component.id))
                .count(),
            slips: self.slips.len(),
            steps: self.steps.len(),
            parts: self.parts.len() + self.repair_parts.len(),
        }
    }
}
