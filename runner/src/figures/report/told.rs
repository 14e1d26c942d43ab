//! What a candidate's two sheets tell, worded and cut to what fits. HTML and PDF only set it.

use super::candidate::{Candidate, SafetyLine};
use super::trace::Trace;
use super::wall;
use super::words::to_say;
use crate::show;

/// Reasons told of a verdict.
pub(super) const REASONS: usize = 3;
/// Lines that fit the first page, and pictures that fit the second.
const TASKS: usize = 10;
const COMPETENCIES: usize = 8;
const SLIPS: usize = 4;
const TRACES: usize = 4;
const SAID: usize = 10;
/// Letters of something that gets one line, and of something that gets two.
const LINE: usize = 70;
const TWO_LINES: usize = 150;
/// Letters of what is said of the record: the office's key is 64 of them, and half a key tells nobody apart.
const NOTICE: usize = 220;
/// Letters of a name in the heading.
const NAME: usize = 50;

pub(super) const TASKS_HEAD: &str = "Tasks";
/// Heads of the columns of tasks: number, task, answer, right or wrong, mark, time.
pub(super) const TASK_COLUMNS: [&str; 6] = ["", "task", "answer", "", "mark", "min"];
pub(super) const COMPETENCIES_HEAD: &str = "Competencies";
pub(super) const SAFETY_HEAD: &str = "Safety record";
pub(super) const NO_SLIPS: &str = "No slips.";
/// Stands before a grave slip.
pub(super) const GRAVE: &str = "Grave.";
pub(super) const TRACES_HEAD: &str = "What could be believed, reading by reading";
pub(super) const TRACES_FOOT: &str = "Line: how likely what was in the car was by the readings taken. Dashed: the \
     likeliest explanation; where it runs above the line, the readings pointed elsewhere. Discs: \
     what the candidate stated and was so; squares: what was not so.";
pub(super) const CALIBRATION_HEAD: &str = "How sure, and how often so";
/// Stands at the foot of what people will file.
pub(super) const CAUTION: &str = "This certifies nobody, and licenses nobody to handle refrigerant. The maker's procedure, \
     local codes and licensed practice come first.";
pub(super) const SAID_HEAD: &str = "What to say to the candidate";

/// The sheets' words.
pub(super) struct Told<'a> {
    /// The file's title, whole.
    pub title: String,
    pub name: String,
    /// Form, date and sitting.
    pub under: String,
    pub verdict: &'static str,
    pub mark: String,
    /// Sentences below the verdict.
    pub reasons: Vec<String>,
    pub tasks: List<[String; 6]>,
    pub competencies: List<ToldCompetency>,
    pub slips: List<ToldSlip>,
    pub traces: List<&'a Trace>,
    /// What stands beside the calibration curve.
    pub calibration: Option<String>,
    pub said: Vec<String>,
    pub notice: String,
}

/// A list cut where the page ends, and the sentence on what is left out.
pub(super) struct List<T> {
    pub rows: Vec<T>,
    pub more: Option<String>,
}

pub(super) struct ToldCompetency {
    pub name: String,
    /// Length of its bar, 0 to 100.
    pub percent: f64,
    pub mark: String,
    pub needed: String,
    pub tasks: String,
}

pub(super) struct ToldSlip {
    pub grave: bool,
    pub words: String,
}

impl<T> List<T> {
    /// The first `most` of `count` rows.
    fn of(rows: impl Iterator<Item = T>, count: usize, most: usize, what: &str) -> Self {
        Self {
            rows: rows.take(most).collect(),
            more: (count > most)
                .then(|| format!("In the records besides these: {} {what}.", count - most)),
        }
    }
}

impl<'a> Told<'a> {
    pub fn of(candidate: &'a Candidate) -> Self {
        Self {
            title: format!("{}: {}", candidate.name, candidate.form),
            name: short(&candidate.name, NAME),
            under: format!(
                "{} · {} · sitting {}",
                short(&candidate.form, LINE),
                short(&candidate.date, LINE),
                short(&candidate.sitting, LINE)
            ),
            verdict: match &candidate.verdict {
                Some(verdict) if verdict.passes => "Pass",
                Some(_) => "Not passed",
                None => "Practice: no verdict",
            },
            mark: format!("{:.1} of 100", candidate.mark),
            reasons: reasons(candidate),
            tasks: tasks(candidate),
            competencies: competencies(candidate),
            slips: slips(candidate),
            traces: List::of(
                candidate.traces.iter(),
                candidate.traces.len(),
                TRACES,
                "cases",
            ),
            calibration: calibration(candidate),
            said: to_say(candidate)
                .iter()
                .take(SAID)
                .map(|words| short(words, TWO_LINES))
                .collect(),
            notice: short(&candidate.notice, NOTICE),
        }
    }
}

fn reasons(candidate: &Candidate) -> Vec<String> {
    let mut told = Vec::new();
    let Some(verdict) = &candidate.verdict else {
        return told;
    };
    if let Some(standing) = &candidate.standing {
        told.push(format!("The mark is {standing}."));
    }
    let reasons = verdict.reasons.iter().take(REASONS);
    told.extend(reasons.map(|reason| short(reason, TWO_LINES)));
    told
}

fn tasks(candidate: &Candidate) -> List<[String; 6]> {
    let rows = candidate.tasks.iter().map(|one| {
        let answer = match one.answer.as_str() {
            "" => "no answer",
            answer => answer,
        };
        [
            one.task.to_string(),
            short(&one.title, LINE),
            short(answer, LINE),
            if one.right { "right" } else { "wrong" }.to_owned(),
            format!("{:.0}", one.mark),
            wall(one.wall_ms),
        ]
    });
    List::of(rows, candidate.tasks.len(), TASKS, "tasks")
}

fn competencies(candidate: &Candidate) -> List<ToldCompetency> {
    let rows = candidate.competencies.iter().map(|one| ToldCompetency {
        name: short(&one.name, LINE),
        percent: one.mark.clamp(0.0, 100.0),
        mark: format!("{:.0}", one.mark),
        needed: match one.needed {
            Some(needed) if one.mark < needed => format!("below the {needed:.0} needed"),
            Some(needed) => format!("{needed:.0} needed"),
            None => String::new(),
        },
        tasks: format!(
            "{} task{}",
            one.tasks,
            if one.tasks == 1 { "" } else { "s" }
        ),
    });
    let count = candidate.competencies.len();
    List::of(rows, count, COMPETENCIES, "competencies")
}

fn slips(candidate: &Candidate) -> List<ToldSlip> {
    // Grave ones first, so that they are not what is cut.
    let mut slips: Vec<&SafetyLine> = candidate.safety.iter().collect();
    slips.sort_by_key(|one| !one.grave);
    let count = slips.len();
    let rows = slips.into_iter().map(|one| ToldSlip {
        grave: one.grave,
        words: format!(
            "Task {}, {} min: {}",
            one.task,
            show::clock(one.at_s).trim(),
            short(&one.words, TWO_LINES)
        ),
    });
    List::of(rows, count, SLIPS, "slips")
}

fn calibration(candidate: &Candidate) -> Option<String> {
    let curve = candidate.calibration.as_ref()?;
    let leans = if curve.lean >= 0.0 {
        "surer"
    } else {
        "less sure"
    };
    Some(format!(
        "{} confidence{}. Brier score {:.2}: 0 is best, and 0.25 is what calling everything \
         fifty-fifty gives. On average {:.0} points {leans} than came true.",
        curve.count,
        if curve.count == 1 { "" } else { "s" },
        curve.brier,
        100.0 * curve.lean.abs(),
    ))
}

fn short(words: &str, letters: usize) -> String {
    let mut kept: String = words.chars().take(letters).collect();
    if kept.len() < words.len() {
        kept.push('…');
    }
    kept
}
