//! A file of questions: from text to checked questions.

mod number;

use std::collections::{BTreeMap, BTreeSet};

use crate::spanned::Spanned;
use schemars::JsonSchema;
use serde::Deserialize;

use super::chart::ChartKind;
use super::deal::placeholders;
use super::formula::{Corner, Formula};
use super::{Ask, Kind, Question, Questions, Read, Tolerance, Topic};
use crate::bank::taken;
use crate::checked::Version;
use crate::counter::said;
use crate::fault::{is_kebab, unknown};
use crate::syllabus::topic_names;
use crate::{LoadError, Problem, SourceFile, load};

/// Fewest options of a question: with two, a coin answers it.
const FEWEST_OPTIONS: usize = 3;
/// Most options and steps: what one screen and one answer's letters hold.
const MOST_OPTIONS: usize = 9;

/// A file as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct File {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    title: Spanned<String>,
    question: Vec<Written>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Written {
    id: Spanned<String>,
    kind: Kind,
    text: Spanned<String>,
    #[serde(default)]
    right: Vec<Spanned<String>>,
    #[serde(default)]
    wrong: Vec<Spanned<String>>,
    #[serde(default)]
    steps: Vec<Spanned<String>>,
    chart: Option<Spanned<String>>,
    corner: Option<Spanned<String>>,
    formula: Option<Spanned<String>>,
    #[serde(default)]
    refrigerants: Vec<Spanned<String>>,
    #[serde(default)]
    inputs: BTreeMap<Spanned<String>, Spanned<[String; 2]>>,
    tolerance: Option<Spanned<String>>,
    explanation: Spanned<String>,
    source: Spanned<String>,
    #[serde(default)]
    from_memory: bool,
    tags: Vec<Spanned<String>>,
    #[serde(default)]
    syllabus: Vec<Spanned<String>>,
}

/// Reads a file; its topic's id and the ids of questions in `before` are taken.
pub(super) fn read(
    file: &SourceFile<'_>,
    before: &Questions,
) -> Result<(Topic, Vec<Question>), LoadError> {
    let topic = file.id();
    if before.topics().iter().any(|known| known.id == topic) {
        return Err(taken("topic", topic, file));
    }
    let written: File = load::parse(file.name, file.text)?;
    let mut problems = Vec::new();
    said(&written.title, &mut problems);
    let mut questions: Vec<Question> = Vec::new();
    for one in &written.question {
        one.check_words(&mut problems);
        let id = one.id.get_ref();
        let taken = |known: &Question| known.id == *id;
        if before.all().iter().any(taken) || questions.iter().any(taken) {
            let problem = Problem::new(format!("there is a question called `{id}` already"));
            problems.push(problem.at(one.id.span()));
        }
        if let Some(question) = one.check(topic, &mut problems) {
            questions.push(question);
        }
    }
    if !problems.is_empty() {
        return Err(LoadError::new(file.name, file.text, problems));
    }
    let topic = Topic {
        id: topic.to_owned(),
        title: written.title.get_ref().clone(),
    };
    Ok((topic, questions))
}

impl Written {
    fn check_words(&self, problems: &mut Vec<Problem>) {
        for text in [&self.text, &self.explanation, &self.source] {
            said(text, problems);
        }
        for name in std::iter::once(&self.id).chain(&self.tags) {
            if !is_kebab(name.get_ref()) {
                let message = "a name is made of small letters, digits and single hyphens";
                problems.push(Problem::new(message).at(name.span()));
            }
        }
        for name in &self.syllabus {
            if !topic_names().contains(name.get_ref()) {
                let known = topic_names().iter().map(String::as_str);
                problems.push(unknown("topic of the syllabus", name, known));
            }
        }
        if self.tags.is_empty() {
            let problem = Problem::new("a question needs at least one tag");
            problems.push(
                problem
                    .at(self.id.span())
                    .label("`tags` says what it is about"),
            );
        }
    }

    fn check(&self, topic: &str, problems: &mut Vec<Problem>) -> Option<Question> {
        self.check_fields(problems);
        let ask = match self.kind {
            Kind::Single => self.choices(false, problems),
            Kind::Multiple => self.choices(true, problems),
            Kind::Order => self.order(problems),
            Kind::Numeric => self.number(problems).map(Ask::Number),
            Kind::Chart => self.chart(problems),
        };
        let ask = ask?;
        self.check_braces(&ask, problems);
        Some(Question {
            id: self.id.get_ref().clone(),
            topic: topic.to_owned(),
            text: self.text.get_ref().trim().to_owned(),
            ask,
            explanation: self.explanation.get_ref().trim().to_owned(),
            source: self.source.get_ref().trim().to_owned(),
            from_memory: self.from_memory,
            tags: texts(&self.tags),
            syllabus: texts(&self.syllabus),
        })
    }

    /// Fields that a question of another kind has would be read by nobody.
    fn check_fields(&self, problems: &mut Vec<Problem>) {
        let choices = matches!(self.kind, Kind::Single | Kind::Multiple);
        let numbers = matches!(self.kind, Kind::Numeric | Kind::Chart);
        let chart = self.kind == Kind::Chart;
        let first = |list: &[Spanned<String>]| list.first().map(Spanned::span);
        let at = |one: &Option<Spanned<String>>| one.as_ref().map(Spanned::span);
        let fields = [
            ("right", first(&self.right), choices),
            ("wrong", first(&self.wrong), choices),
            ("steps", first(&self.steps), self.kind == Kind::Order),
            ("chart", at(&self.chart), chart),
            ("corner", at(&self.corner), chart),
            (
                "formula",
                at(&self.formula),
                numbers && self.corner.is_none(),
            ),
            (
                "tolerance",
                at(&self.tolerance),
                numbers && self.corner.is_none(),
            ),
            ("refrigerants", first(&self.refrigerants), numbers),
            (
                "inputs",
                self.inputs.values().next().map(Spanned::span),
                numbers,
            ),
        ];
        for (name, span, allowed) in fields {
            if let (Some(span), false) = (span, allowed) {
                let kind = self.kind.name();
                let message = format!("`{name}` has no meaning in this `{kind}` question");
                problems.push(Problem::new(message).at(span));
            }
        }
    }

    fn choices(&self, many: bool, problems: &mut Vec<Problem>) -> Option<Ask> {
        let before = problems.len();
        let (right, wrong) = (self.right.len(), self.wrong.len());
        let message = match (right, many) {
            (0, _) => Some("a question needs its right answer in `right`".to_owned()),
            (2.., false) => Some("a `single` question has one right answer".to_owned()),
            (1, true) => Some("a `multiple` question has at least two right answers".to_owned()),
            _ => None,
        };
        let message = message.or_else(|| {
            (!(FEWEST_OPTIONS..=MOST_OPTIONS).contains(&(right + wrong)) || wrong == 0).then(|| {
                format!(
                    "a question has {FEWEST_OPTIONS} to {MOST_OPTIONS} options, one at least wrong"
                )
            })
        });
        if let Some(message) = message {
            problems.push(Problem::new(message).at(self.id.span()));
        }
        let options: Vec<_> = self.right.iter().chain(&self.wrong).collect();
        no_two_alike(&options, problems);
        (problems.len() == before).then(|| Ask::Choices {
            right: texts(&self.right),
            wrong: texts(&self.wrong),
            many,
        })
    }

    fn order(&self, problems: &mut Vec<Problem>) -> Option<Ask> {
        let before = problems.len();
        if !(FEWEST_OPTIONS..=MOST_OPTIONS).contains(&self.steps.len()) {
            let message = format!("`steps` must list {FEWEST_OPTIONS} to {MOST_OPTIONS}");
            problems.push(Problem::new(message).at(self.id.span()));
        }
        let steps: Vec<_> = self.steps.iter().collect();
        no_two_alike(&steps, problems);
        (problems.len() == before).then(|| Ask::Order(texts(&self.steps)))
    }

    fn chart(&self, problems: &mut Vec<Problem>) -> Option<Ask> {
        let Some(name) = &self.chart else {
            problems.push(Problem::new("this must name its `chart`").at(self.id.span()));
            return None;
        };
        let Some(chart) = ChartKind::by_name(name.get_ref()) else {
            let names = ChartKind::ALL.iter().map(|kind| kind.name());
            problems.push(unknown("chart", name, names));
            return None;
        };
        let read = match &self.corner {
            None => Read::Number(self.number(problems)?),
            Some(corner) => {
                let known = Corner::ALL
                    .into_iter()
                    .find(|one| one.name() == corner.get_ref());
                let Some(known) = known else {
                    let names = Corner::ALL.iter().map(|one| one.name());
                    problems.push(unknown("corner", corner, names));
                    return None;
                };
                let drawn = Formula::by_name(CORNERS_DRAWN_BY)?;
                Read::Corner(self.drawn(drawn, Tolerance::Within(0.0), problems)?, known)
            }
        };
        let (Read::Number(numeric) | Read::Corner(numeric, _)) = &read;
        if !chart.shows(numeric) {
            let message = format!("a `{}` chart does not show this", chart.name());
            problems.push(Problem::new(message).at(name.span()));
            return None;
        }
        Some(Ask::Chart(chart, read))
    }

    /// Whether every number that is told stands in the text, and nothing else in braces.
    fn check_braces(&self, ask: &Ask, problems: &mut Vec<Problem>) {
        let (numeric, in_chart) = match ask {
            Ask::Number(numeric) => (Some(numeric), false),
            Ask::Chart(chart, Read::Number(numeric) | Read::Corner(numeric, _)) => {
                (Some(numeric), *chart == ChartKind::Cycle)
            }
            Ask::Choices { .. } | Ask::Order(_) => (None, false),
        };
        let mut names: BTreeSet<&str> = BTreeSet::new();
        if let Some(numeric) = numeric {
            names.extend(numeric.formula.told().map(|(name, _)| name));
        }
        let text = placeholders(self.text.get_ref());
        // A cycle's chart tells its numbers itself.
        for name in names.iter().filter(|_| !in_chart) {
            if !text.iter().any(|one| one == name) {
                let message = format!("the text must tell `{{{name}}}`: the answer hangs on it");
                problems.push(Problem::new(message).at(self.text.span()));
            }
        }
        if numeric.is_some_and(|numeric| numeric.formula.of_refrigerant) {
            names.insert("refrigerant");
        }
        let mut allow = |text: &Spanned<String>, names: &BTreeSet<&str>| {
            for name in placeholders(text.get_ref()) {
                if !names.contains(name) {
                    let message = format!("nothing called `{{{name}}}` can stand here");
                    problems.push(Problem::new(message).at(text.span()));
                }
            }
        };
        allow(&self.text, &names);
        if numeric.is_some() {
            names.insert("answer");
        }
        allow(&self.explanation, &names);
    }
}

/// The formula whose inputs a question for a corner is drawn by.
const CORNERS_DRAWN_BY: &str = "cycle-superheat";

fn texts(list: &[Spanned<String>]) -> Vec<String> {
    list.iter().map(|text| text.get_ref().clone()).collect()
}

fn no_two_alike(texts: &[&Spanned<String>], problems: &mut Vec<Problem>) {
    let plain = |text: &str| text.trim().to_lowercase();
    for (index, text) in texts.iter().enumerate() {
        said(text, problems);
        let words = plain(text.get_ref());
        if texts
            .iter()
            .take(index)
            .any(|one| plain(one.get_ref()) == words)
        {
            problems.push(Problem::new("this is said twice").at(text.span()));
        }
    }
}
