//! The words to say to a candidate: short sentences that whoever hands over the report can read out.

use super::candidate::{Candidate, CompetencyLine};
use super::told::REASONS;
use crate::figures::competency::ALIKE;

/// Mean of stated less true from which somebody is told: as in a debrief.
const LEANS_FROM: f64 = 0.15;
/// Fewest confidences of which that is said (common practice, no source).
const CONFIDENCES: usize = 10;
/// From here a competency is called a strength, below the other a thing to work on (common practice, no
/// source).
const STRONG_FROM: f64 = 75.0;
const WEAK_BELOW: f64 = 60.0;
/// Cars that are told of.
const CARS_TOLD: usize = 2;

/// What to say, in the order in which it is best said: the result first, since nobody hears anything
/// before it.
#[must_use]
pub fn to_say(candidate: &Candidate) -> Vec<String> {
    let mut words = vec![result(candidate)];
    if let Some(verdict) = &candidate.verdict {
        let told = verdict.reasons.iter().take(REASONS);
        words.extend(told.map(|one| sentence(one)));
    }
    words.extend(near(candidate));
    words.push(safety(candidate));
    words.extend(not_found_out(candidate));
    words.extend(competencies(candidate));
    words.extend(sureness(candidate));
    // What is to be worked on first is not said twice.
    let first = to_work_on(candidate).map(|one| &one.name);
    if let Some(next) = candidate.next.as_ref().filter(|next| first != Some(*next)) {
        words.push(format!("Practise next: {next}."));
    }
    words
}

fn result(candidate: &Candidate) -> String {
    let mark = candidate.mark;
    match &candidate.verdict {
        Some(verdict) if verdict.passes => {
            format!("You have passed, with {mark:.0} of 100 points.")
        }
        Some(_) => format!("You have not passed this time. Your mark is {mark:.0} of 100 points."),
        None => {
            format!("This was practice and gives no verdict. Your mark is {mark:.0} of 100 points.")
        }
    }
}

fn near(candidate: &Candidate) -> Option<String> {
    let standing = candidate.standing.filter(|it| it.is_near())?;
    // Where another rule decided, how near the mark was is no comfort.
    let verdict = candidate.verdict.as_ref()?;
    if verdict.passes != standing.passes {
        return None;
    }
    let words = if standing.passes {
        "Your mark is close above the pass mark: the points below deserve work all the same."
    } else {
        "Your mark is close below the pass mark: a second sitting may well turn out otherwise."
    };
    Some(words.to_owned())
}

fn safety(candidate: &Candidate) -> String {
    let grave = candidate.safety.iter().filter(|one| one.grave).count();
    match (grave, candidate.safety.len()) {
        (0, 0) => "No unsafe act of yours was seen.".to_owned(),
        (0, _) => "You had slips of safety, none of them grave. They are listed: go through them one by one.".to_owned(),
        _ => "You had slips that could have hurt somebody or let refrigerant out. No mark makes up for them: go through them first.".to_owned(),
    }
}

/// What was in the first cars that were not found out: a verdict that names no fault teaches nothing.
fn not_found_out(candidate: &Candidate) -> impl Iterator<Item = String> {
    let cars = candidate.tasks.iter().filter_map(|task| {
        let was = task.was.as_ref()?;
        let said = match task.answer.as_str() {
            "" => "you named nothing".to_owned(),
            answer => format!("you named: {answer}"),
        };
        Some(format!("Task {}, it was: {was}; {said}.", task.task))
    });
    cars.take(CARS_TOLD)
}

fn competencies(candidate: &Candidate) -> Vec<String> {
    let by_mark = |a: &&CompetencyLine, b: &&CompetencyLine| a.mark.total_cmp(&b.mark);
    let best = candidate.competencies.iter().max_by(by_mark);
    let best = best.filter(|one| one.mark >= STRONG_FROM && is_alone(one, candidate));
    let strength = best.map(|one| format!("Your strength: {}.", one.name));
    let first = to_work_on(candidate).map(|one| format!("Work on this first: {}.", one.name));
    strength.into_iter().chain(first).collect()
}

/// The competency that needs work most.
fn to_work_on(candidate: &Candidate) -> Option<&CompetencyLine> {
    let all = candidate.competencies.iter();
    let worst = all.min_by(|a, b| a.mark.total_cmp(&b.mark))?;
    (worst.mark < WEAK_BELOW && is_alone(worst, candidate)).then_some(worst)
}

/// Whether no other competency has the same mark. A task counts whole for each of its competencies: what shares its
/// mark does not stand out.
fn is_alone(one: &CompetencyLine, candidate: &Candidate) -> bool {
    let alike = |other: &&CompetencyLine| (other.mark - one.mark).abs() < ALIKE;
    candidate.competencies.iter().filter(alike).count() == 1
}

fn sureness(candidate: &Candidate) -> Option<String> {
    let curve = candidate.calibration.as_ref()?;
    if curve.count < CONFIDENCES || curve.lean.abs() < LEANS_FROM {
        return None;
    }
    let words = if curve.lean > 0.0 {
        "You were surer than it came true: before you name a cause, ask what else would show the same."
    } else {
        "You were less sure than it came true: you may trust your readings more."
    };
    Some(words.to_owned())
}

/// A reason as a sentence of its own.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first: String = letters
        .next()
        .map_or(String::new(), |first| first.to_uppercase().collect());
    let rest = letters.as_str().trim_end_matches('.');
    format!("{first}{rest}.")
}
