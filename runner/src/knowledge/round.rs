//! A round: which questions it has, what was answered, and what came of it.

use scenarios::question::{Dealt, NotAnAnswer, Question, Questions};
use scenarios::units::UnitSystem;
use serde::Serialize;
use sim_core::random::Draws;

/// The stream of a seed that picks questions; those of the questions are hashes of their ids.
const PICKING: u64 = 0;
/// A grade counts as right from here: sums of shares come to one less a rounding.
const RIGHT_FROM: f64 = 0.999;

/// Questions dealt, with what was answered so far.
#[derive(Clone, Debug)]
pub struct Round {
    seed: u64,
    titles: Vec<(String, String)>,
    dealt: Vec<Dealt>,
    outcomes: Vec<Outcome>,
}

/// What came of one question.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outcome {
    /// The question's id.
    pub question: String,
    /// Its topic's id.
    pub topic: String,
    /// Its kind.
    pub kind: &'static str,
    /// What was typed.
    pub answer: String,
    /// The key, as it would be typed.
    pub key: String,
    /// How right it was, 0 to 1.
    pub grade: f64,
    /// Why nothing was graded: what was typed is no answer to this question.
    pub not_taken: Option<String>,
}

impl Outcome {
    /// Whether it was right in full.
    #[must_use]
    pub fn is_right(&self) -> bool {
        self.grade >= RIGHT_FROM
    }
}

/// What came of a topic's questions.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TopicResult {
    /// Its id.
    pub topic: String,
    /// Its title.
    pub title: String,
    /// Questions asked.
    pub asked: usize,
    /// Questions right in full.
    pub right: usize,
    /// Mean of the grades, 0 to 1.
    pub grade: f64,
}

/// What came of a round. A form that names the learner can be made of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoundResult {
    /// The seed it was dealt by.
    pub seed: u64,
    /// Questions dealt.
    pub asked: usize,
    /// Questions right in full.
    pub right: usize,
    /// Mean of the grades over all that was asked, 0 to 1; one not answered counts nothing.
    pub grade: f64,
    /// By topic, in the order of their files.
    pub topics: Vec<TopicResult>,
    /// Question by question, those that were answered.
    pub answers: Vec<Outcome>,
}

impl Round {
    /// Deals `count` questions, of one topic or of all, each at most once.
    ///
    /// # Errors
    /// A sentence where the topic is unknown, or a question cannot be dealt.
    pub fn deal(
        questions: &Questions,
        topic: Option<&str>,
        count: usize,
        seed: u64,
        units: UnitSystem,
    ) -> Result<Self, String> {
        if let Some(topic) = topic {
            let ids = questions.topics().iter().map(|one| one.id.as_str());
            if !ids.clone().any(|id| id == topic) {
                let all: Vec<_> = ids.collect();
                return Err(format!(
                    "no topic is called `{topic}`: there are {}",
                    all.join(", ")
                ));
            }
        }
        if count == 0 {
            return Err("a round has at least one question".to_owned());
        }
        let all = questions.all().iter();
        let mut pool: Vec<&Question> = all
            .filter(|question| topic.is_none_or(|topic| question.topic == topic))
            .collect();
        let mut draws = Draws::new(seed, PICKING);
        let mut dealt = Vec::new();
        while !pool.is_empty() && dealt.len() < count {
            let place = (draws.uniform() * pool.len() as f64) as usize;
            let question = pool.remove(place.min(pool.len() - 1));
            let one = question.deal(seed, units);
            let failed = || {
                format!(
                    "the question `{}` cannot be dealt by seed {seed}",
                    question.id
                )
            };
            dealt.push(one.ok_or_else(failed)?);
        }
        let titles = questions.topics().iter();
        Ok(Self {
            seed,
            titles: titles
                .map(|one| (one.id.clone(), one.title.clone()))
                .collect(),
            dealt,
            outcomes: Vec::new(),
        })
    }

    /// The questions, in the order they are asked.
    #[must_use]
    pub fn questions(&self) -> &[Dealt] {
        &self.dealt
    }

    /// The seed.
    #[must_use]
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// The question that waits for an answer, with its number from 1.
    #[must_use]
    pub fn next(&self) -> Option<(usize, &Dealt)> {
        let number = self.outcomes.len();
        self.dealt.get(number).map(|dealt| (number + 1, dealt))
    }

    /// A topic's title.
    #[must_use]
    pub fn title(&self, topic: &str) -> &str {
        let known = self.titles.iter().find(|(id, _)| id == topic);
        known.map_or("", |(_, title)| title)
    }

    /// Answers the question that waits. `None` where all have been answered.
    ///
    /// # Errors
    /// [`NotAnAnswer`] where what was typed is no answer to it; the question still waits.
    pub fn answer(&mut self, typed: &str) -> Result<Option<&Outcome>, NotAnAnswer> {
        let Some((_, dealt)) = self.next() else {
            return Ok(None);
        };
        let grade = dealt.grade(&dealt.read(typed)?);
        let outcome = outcome(dealt, typed, grade, None);
        self.outcomes.push(outcome);
        Ok(self.outcomes.last())
    }

    /// Passes over the question that waits: it counts nothing.
    pub fn pass(&mut self, typed: &str, why: Option<&NotAnAnswer>) -> Option<&Outcome> {
        let (_, dealt) = self.next()?;
        let outcome = outcome(dealt, typed, 0.0, why.map(|why| why.0.clone()));
        self.outcomes.push(outcome);
        self.outcomes.last()
    }

    /// What came of it so far.
    #[must_use]
    pub fn result(&self) -> RoundResult {
        let mean = |sum: f64, count: usize| if count == 0 { 0.0 } else { sum / count as f64 };
        let mut topics = Vec::new();
        for (id, title) in &self.titles {
            let asked = self.dealt.iter().filter(|one| one.topic == *id).count();
            let here = || self.outcomes.iter().filter(|one| one.topic == *id);
            if asked > 0 {
                topics.push(TopicResult {
                    topic: id.clone(),
                    title: title.clone(),
                    asked,
                    right: here().filter(|one| one.is_right()).count(),
                    grade: mean(here().map(|one| one.grade).sum(), asked),
                });
            }
        }
        let grades = self.outcomes.iter().map(|one| one.grade);
        RoundResult {
            seed: self.seed,
            asked: self.dealt.len(),
            right: self.outcomes.iter().filter(|one| one.is_right()).count(),
            grade: mean(grades.sum(), self.dealt.len()),
            topics,
            answers: self.outcomes.clone(),
        }
    }
}

fn outcome(dealt: &Dealt, typed: &str, grade: f64, not_taken: Option<String>) -> Outcome {
    Outcome {
        question: dealt.id.clone(),
        topic: dealt.topic.clone(),
        kind: dealt.kind.name(),
        answer: typed.trim().to_owned(),
        key: dealt.right_answer(),
        grade,
        not_taken,
    }
}
