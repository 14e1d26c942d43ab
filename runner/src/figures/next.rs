//! What one person should practise next.

use std::collections::BTreeMap;

use super::memory::{Memory, Recall};
use super::rows::TaskResult;

/// Something that can be practised.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Subject {
    /// A competency, by its id.
    Competency(String),
    /// A failure mode, by its id.
    FailureMode(String),
}

/// Something practised before, with what another time would bring.
#[derive(Clone, Debug, PartialEq)]
pub struct Practice {
    /// What.
    pub subject: Subject,
    /// In how many sittings it came.
    pub times: usize,
    /// Mean mark of the last of them, 0 to 100.
    pub last_mark: f64,
    /// Its memory.
    pub memory: Memory,
    /// Probability that it is still known now.
    pub now: f64,
    /// The same on the day it is needed, if it is left alone until then.
    pub left_alone: f64,
    /// The same, if it is practised now and goes as it should.
    pub practised: f64,
}

impl Practice {
    /// What practising it now brings for the day it is needed.
    #[must_use]
    pub fn gain(&self) -> f64 {
        self.practised - self.left_alone
    }
}

/// What one person's results say of what to practise at a time, most urgent first: what is likeliest
/// forgotten or, where it is needed `by` a day such as an examination's, what gains most for that day.
/// Times are seconds since 1970-01-01 UTC. What never came is not in it.
#[must_use]
pub fn next<'a>(
    results: impl IntoIterator<Item = &'a TaskResult>,
    now_unix_s: i64,
    by_unix_s: Option<i64>,
) -> Vec<Practice> {
    let needed = by_unix_s.unwrap_or(now_unix_s).max(now_unix_s);
    let mut found: Vec<Practice> = times(results)
        .into_iter()
        .filter_map(|(subject, times)| practice(subject, &times, now_unix_s, needed))
        .collect();
    let urgency = |one: &Practice| match by_unix_s {
        Some(_) => -one.gain(),
        None => one.now,
    };
    // Sorting keeps the order of the subjects where two are as urgent.
    found.sort_by(|a, b| urgency(a).total_cmp(&urgency(b)));
    found
}

/// One sitting's results on a subject.
struct Time {
    ended_unix_s: i64,
    marks: Vec<f64>,
}

/// Results by subject and sitting: several tasks of one sitting are practice once.
fn times<'a>(results: impl IntoIterator<Item = &'a TaskResult>) -> BTreeMap<Subject, Vec<Time>> {
    let mut found: BTreeMap<(Subject, &str), Time> = BTreeMap::new();
    for result in results {
        let competencies = result.competencies.iter().cloned();
        let modes = result.failure_modes.iter().cloned();
        let subjects = competencies
            .map(Subject::Competency)
            .chain(modes.map(Subject::FailureMode));
        for subject in subjects {
            let time = found
                .entry((subject, &result.sitting))
                .or_insert_with(|| Time {
                    ended_unix_s: result.ended_unix_s,
                    marks: Vec::new(),
                });
            time.ended_unix_s = time.ended_unix_s.max(result.ended_unix_s);
            time.marks.push(result.mark);
        }
    }
    let mut by_subject: BTreeMap<Subject, Vec<Time>> = BTreeMap::new();
    for ((subject, _), time) in found {
        by_subject.entry(subject).or_default().push(time);
    }
    for times in by_subject.values_mut() {
        times.sort_by_key(|time| time.ended_unix_s);
    }
    by_subject
}

fn practice(subject: Subject, times: &[Time], now: i64, needed: i64) -> Option<Practice> {
    let mut memory: Option<Memory> = None;
    let mut last_mark = 0.0;
    for time in times {
        last_mark = time.marks.iter().sum::<f64>() / time.marks.len() as f64;
        let recall = Recall::of_mark(last_mark);
        memory = Some(match memory {
            Some(memory) => memory.practised(recall, time.ended_unix_s),
            None => Memory::first(recall, time.ended_unix_s),
        });
    }
    let memory = memory?;
    Some(Practice {
        subject,
        times: times.len(),
        last_mark,
        memory,
        now: memory.recall(now),
        left_alone: memory.recall(needed),
        practised: memory.practised(Recall::Good, now).recall(needed),
    })
}
