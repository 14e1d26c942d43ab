//! A form's file: from text to a form that can be drawn from.

use schemars::JsonSchema;
use serde::Deserialize;

use super::hardness::minutes_per_bit;
use super::{CaseSlot, Form, Need, NeedOf, Pass, QuestionSlot};
use crate::bank::taken;
use crate::checked::{Build, List, NotNegative, Positive, Share, Version};
use crate::counter::said;
use crate::fault::{is_kebab, unknown};
use crate::quantity::Duration;
use crate::question::Questions;
use crate::spanned::Spanned;
use crate::{Bank, LoadError, Problem, Scenario, SourceFile, load};

/// Most slots of a kind in a form.
const MOST_SLOTS: usize = 24;
/// Most cases that a slot draws: a day's work.
const MOST_CASES: usize = 12;
/// Most questions that a slot draws.
const MOST_QUESTIONS: usize = 100;
/// Longest time on the wall, s: a day. Who must be away longer sits another form.
const LONGEST_S: f64 = 24.0 * 3600.0;

/// A file as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct File {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    title: Spanned<String>,
    purpose: Spanned<String>,
    #[serde(default)]
    hints: bool,
    alike_within: Option<Spanned<Share>>,
    time: WrittenTime,
    #[serde(default)]
    cases: List<Spanned<WrittenCases>, MOST_SLOTS>,
    #[serde(default)]
    questions: List<Spanned<WrittenQuestions>, MOST_SLOTS>,
    pass: WrittenPass,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenTime {
    shop: Positive<Duration>,
    wall: Spanned<Positive<Duration>>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenCases {
    count: Spanned<u32>,
    level: Option<Spanned<u8>>,
    #[serde(default)]
    competencies: Vec<Spanned<String>>,
    #[serde(default)]
    from: Vec<Spanned<String>>,
    weight: Option<Positive<f64>>,
    #[serde(default)]
    repair: bool,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenQuestions {
    count: Spanned<u32>,
    #[serde(default)]
    topics: Vec<Spanned<String>>,
    #[serde(default)]
    from: Vec<Spanned<String>>,
    weight: Option<Positive<f64>>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenPass {
    mark: Spanned<f64>,
    standard: Spanned<String>,
    standard_error: Option<NotNegative<f64>>,
    #[serde(default)]
    grave_slips: u32,
    slips: Option<u32>,
    #[serde(default)]
    needs: List<Spanned<WrittenNeed>, MOST_SLOTS>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenNeed {
    competency: Option<Spanned<String>>,
    topic: Option<Spanned<String>>,
    mark: Spanned<f64>,
}

/// What a form is held against while it is read.
struct Against<'a> {
    bank: &'a Bank,
    questions: &'a Questions,
    problems: Vec<Problem>,
}

/// Reads a form; the ids of those in `before` are taken.
pub(crate) fn read(
    file: &SourceFile<'_>,
    before: &[Form],
    bank: &Bank,
    questions: &Questions,
) -> Result<Form, LoadError> {
    let id = file.id();
    if before.iter().any(|form| form.id == id) {
        return Err(taken("form", id, file));
    }
    let written: File = load::parse(file.name, file.text)?;
    let mut against = Against {
        bank,
        questions,
        problems: Vec::new(),
    };
    if !is_kebab(id) {
        let why = "a form's file is named with small letters, digits and single hyphens";
        against.problems.push(Problem::new(why));
    }
    for words in [&written.title, &written.purpose, &written.pass.standard] {
        said(words, &mut against.problems);
    }
    let wall_s = written.time.wall.build();
    if wall_s > LONGEST_S {
        let why = "an assessment takes a day at most";
        against
            .problems
            .push(Problem::new(why).at(written.time.wall.span()));
    }
    let cases = against.case_slots(&written.cases.0);
    let slots = against.question_slots(&written.questions.0);
    let alike_within = written.alike_within.as_ref();
    let alike_within = alike_within.map(|within| against.alike(within, &cases));
    if written.cases.0.is_empty() && written.questions.0.is_empty() {
        let why = "a form without `[[cases]]` and `[[questions]]` asks nothing";
        let problem = Problem::new(why).at(written.title.span());
        against.problems.push(problem);
    }
    let pass = against.pass(&written.pass, (&cases, &slots));
    if !against.problems.is_empty() {
        return Err(LoadError::new(file.name, file.text, against.problems));
    }
    Ok(Form {
        id: id.to_owned(),
        title: written.title.into_inner(),
        purpose: written.purpose.into_inner(),
        shop_s: written.time.shop.build(),
        wall_s,
        hints: written.hints,
        cases,
        alike_within,
        questions: slots,
        pass,
        text: file.text.to_owned(),
    })
}

impl Against<'_> {
    fn case_slots(&mut self, written: &[Spanned<WrittenCases>]) -> Vec<CaseSlot> {
        let mut slots: Vec<CaseSlot> = Vec::new();
        for one in written {
            let slot = one.get_ref();
            self.check_cases(slot);
            let is_in = |case: &Scenario| {
                let mut trains = case.competencies.iter();
                let level = slot.level.as_ref().map(Spanned::get_ref);
                level.is_none_or(|level| *level == case.level)
                    && named(&slot.from, &case.id)
                    && (slot.competencies.is_empty()
                        || trains.any(|one| named(&slot.competencies, one)))
            };
            let cases = self.bank.cases().filter(|case| is_in(case));
            let pool: Vec<String> = cases.map(|case| case.id.clone()).collect();
            let before = slots.iter().map(|slot| (slot.count, &*slot.pool));
            let taken = taken_before(&pool, before);
            let count = self.count(&slot.count, MOST_CASES, ("cases", pool.len(), taken));
            slots.push(CaseSlot {
                count,
                pool,
                weight: slot.weight.map_or(1.0, |weight| weight.build()),
                repair: slot.repair,
            });
        }
        slots
    }

    /// How alike the draws have to be: what that takes is known of the cases that are built in.
    fn alike(&mut self, written: &Spanned<Share>, slots: &[CaseSlot]) -> f64 {
        let mut pool = slots.iter().flat_map(|slot| &slot.pool);
        let why = match pool.find(|id| minutes_per_bit(id).is_none()) {
            Some(id) => Some(format!(
                "how hard `{id}` is nobody has measured, only of the built-in cases it is known: leave this out, and see with `coldtrail author parallel` how alike the draws are"
            )),
            None if slots.is_empty() => {
                Some("without `[[cases]]` there is nothing to be alike".to_owned())
            }
            None => None,
        };
        if let Some(why) = why {
            self.problems.push(Problem::new(why).at(written.span()));
        }
        written.get_ref().build()
    }

    fn check_cases(&mut self, slot: &WrittenCases) {
        let level = slot.level.as_ref();
        if let Some(level) = level.filter(|level| !(1..=3).contains(level.get_ref())) {
            let problem = Problem::new("a level is 1, 2 or 3").at(level.span());
            self.problems.push(problem);
        }
        for id in &slot.from {
            if self.bank.case(id.get_ref()).is_none() {
                let known = self.bank.cases().map(|case| case.id.as_str());
                self.problems.push(unknown("case", id, known));
            }
        }
        for id in &slot.competencies {
            self.known_competency(id);
        }
    }

    fn known_competency(&mut self, id: &Spanned<String>) {
        let known = || self.bank.competencies().iter().map(|one| one.id.as_str());
        if !known().any(|known| known == id.get_ref()) {
            self.problems.push(unknown("competency", id, known()));
        }
    }

    fn known_topic(&mut self, id: &Spanned<String>) {
        let known = || self.questions.topics().iter().map(|one| one.id.as_str());
        if !known().any(|known| known == id.get_ref()) {
            self.problems.push(unknown("topic", id, known()));
        }
    }

    fn question_slots(&mut self, written: &[Spanned<WrittenQuestions>]) -> Vec<QuestionSlot> {
        let mut slots: Vec<QuestionSlot> = Vec::new();
        for one in written {
            let slot = one.get_ref();
            for id in &slot.topics {
                self.known_topic(id);
            }
            for id in &slot.from {
                if self.questions.question(id.get_ref()).is_none() {
                    let known = self.questions.all().iter().map(|one| one.id.as_str());
                    self.problems.push(unknown("question", id, known));
                }
            }
            let all = self.questions.all().iter();
            let pool =
                all.filter(|one| named(&slot.topics, &one.topic) && named(&slot.from, &one.id));
            let pool: Vec<String> = pool.map(|one| one.id.clone()).collect();
            let before = slots.iter().map(|slot| (slot.count, &*slot.pool));
            let taken = taken_before(&pool, before);
            let count = self.count(
                &slot.count,
                MOST_QUESTIONS,
                ("questions", pool.len(), taken),
            );
            slots.push(QuestionSlot {
                count,
                pool,
                weight: slot.weight.map_or(1.0, |weight| weight.build()),
            });
        }
        slots
    }

    /// How many a slot draws, if there are enough whatever the slots before it draw.
    fn count(
        &mut self,
        written: &Spanned<u32>,
        most: usize,
        (what, pool, taken): (&str, usize, usize),
    ) -> usize {
        let count = *written.get_ref() as usize;
        let why = if count == 0 || count > most {
            Some(format!("a slot draws 1 to {most} {what}"))
        } else if pool < count + taken {
            let fit = format!("{pool} {what} fit this slot");
            Some(match taken {
                0 => format!("{fit}, and {count} are asked for"),
                _ => format!(
                    "{fit}; slots before it may draw {taken} of them, and {count} are asked for"
                ),
            })
        } else {
            None
        };
        if let Some(why) = why {
            self.problems.push(Problem::new(why).at(written.span()));
        }
        count
    }

    fn mark(&mut self, written: &Spanned<f64>) -> f64 {
        let mark = *written.get_ref();
        if !(0.0..=100.0).contains(&mark) {
            let problem = Problem::new("a mark lies between 0 and 100").at(written.span());
            self.problems.push(problem);
        }
        mark
    }

    fn pass(
        &mut self,
        written: &WrittenPass,
        (cases, questions): (&[CaseSlot], &[QuestionSlot]),
    ) -> Pass {
        let mut needs = Vec::new();
        for need in &written.needs.0 {
            let span = need.span();
            let need = need.get_ref();
            let mark = self.mark(&need.mark);
            let before = self.problems.len();
            let of = match (&need.competency, &need.topic) {
                (Some(id), None) => {
                    self.known_competency(id);
                    NeedOf::Competency(id.get_ref().clone())
                }
                (None, Some(id)) => {
                    self.known_topic(id);
                    NeedOf::Topic(id.get_ref().clone())
                }
                _ => {
                    let why = "a need names either a `competency` or a `topic`";
                    self.problems.push(Problem::new(why).at(span.clone()));
                    continue;
                }
            };
            if self.problems.len() == before && !self.always_asked(&of, cases, questions) {
                let why = "a candidate could be given no task that shows this";
                let label = "let a slot draw from tasks of this kind alone";
                self.problems.push(Problem::new(why).at(span).label(label));
            }
            needs.push(Need { of, mark });
        }
        Pass {
            mark: self.mark(&written.mark),
            standard_error: written.standard_error.map(|error| error.build()),
            standard: written.standard.get_ref().clone(),
            most_grave: written.grave_slips as usize,
            most_slips: written.slips.map_or(usize::MAX, |slips| slips as usize),
            needs,
        }
    }

    /// Whether everybody is given a task that shows it: a slot draws from such tasks alone.
    fn always_asked(&self, of: &NeedOf, cases: &[CaseSlot], questions: &[QuestionSlot]) -> bool {
        match of {
            NeedOf::Competency(id) => cases.iter().any(|slot| {
                let mut cases = slot.pool.iter().filter_map(|case| self.bank.case(case));
                cases.all(|case| case.competencies.contains(id))
            }),
            NeedOf::Topic(id) => questions.iter().any(|slot| {
                let all = slot.pool.iter();
                let mut all = all.filter_map(|one| self.questions.question(one));
                all.all(|one| one.topic == *id)
            }),
        }
    }
}

/// Whether a list names something; an empty list asks for nothing and names all.
fn named(list: &[Spanned<String>], id: &str) -> bool {
    list.is_empty() || list.iter().any(|one| one.get_ref() == id)
}

/// How many of a pool the slots before may have drawn.
fn taken_before<'a>(pool: &[String], before: impl Iterator<Item = (usize, &'a [String])>) -> usize {
    let shared = |other: &[String]| pool.iter().filter(|id| other.contains(id)).count();
    before.map(|(count, other)| count.min(shared(other))).sum()
}
