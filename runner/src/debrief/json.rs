//! The result as JSON: SI numbers, stable names.

use scenarios::Case;
use serde::Serialize;
use sim_core::instruments::Value;

use crate::action::command_of;
use crate::evidence::swing::Seen;
use crate::grade::{Grade, Support};

/// The result of a session.
#[derive(Serialize)]
struct SessionResult<'a> {
    case: &'a str,
    seed: u64,
    actions: Vec<String>,
    lines_not_taken: Vec<Line<'a>>,
    clock_s: f64,
    readings: Vec<Reading>,
    suspects: Vec<Suspect<'a>>,
    diagnosis: Diagnosis<'a>,
    evidence: Evidence<'a>,
    rival: Option<&'a str>,
    missed_cues: Vec<Cue>,
    slips: Vec<Slip>,
    refrigerant_lost_kg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    gauges_off_pa: Option<f64>,
    mark: Mark,
}

#[derive(Serialize)]
struct Line<'a> {
    line: usize,
    message: &'a str,
}

#[derive(Serialize)]
struct Reading {
    number: usize,
    at_s: f64,
    check: String,
    words: String,
    #[serde(flatten)]
    value: Shown,
}

#[derive(Serialize)]
#[serde(rename_all = "snake_case")]
enum Shown {
    Value(f64),
    Range([f64; 2]),
    OutOfRange(&'static str),
    Finding(&'static str),
    Findings(Vec<&'static str>),
}

#[derive(Serialize)]
struct Suspect<'a> {
    mode: &'a str,
    confidence: f64,
}

#[derive(Serialize)]
struct Diagnosis<'a> {
    concluded: Option<&'a str>,
    concluded_cause: Option<&'a str>,
    true_mode: &'a str,
    true_cause: Option<&'a str>,
    component_right: bool,
    mode_right: bool,
    cause_right: Option<bool>,
    reasons: &'a [String],
}

#[derive(Serialize)]
struct Evidence<'a> {
    relied_on: Vec<Reliance>,
    rivals: usize,
    still_possible: &'a [String],
    share: f64,
}

#[derive(Serialize)]
struct Reliance {
    number: usize,
    support: &'static str,
    rules_out: usize,
    of: usize,
    predicted: Option<Shown>,
}

#[derive(Serialize)]
struct Cue {
    check: String,
    words: String,
    at_s: f64,
    this_car: Shown,
    rival: Shown,
    limit_of_error: Option<f64>,
    apart: f64,
    ignored_readings: Vec<usize>,
}

#[derive(Serialize)]
struct Slip {
    kind: &'static str,
    at_s: f64,
    cost: f64,
    caution: &'static str,
}

#[derive(Serialize)]
struct Mark {
    diagnosis: f64,
    evidence: f64,
    safety: f64,
    total: f64,
}

impl From<&Value> for Shown {
    fn from(value: &Value) -> Self {
        match value {
            Value::Number { shown, .. } => Self::Value(*shown),
            Value::OutOfRange(true) => Self::OutOfRange("above"),
            Value::OutOfRange(false) => Self::OutOfRange("below"),
            Value::Finding { key, .. } => Self::Finding(key),
        }
    }
}

impl From<&Seen> for Shown {
    fn from(seen: &Seen) -> Self {
        match seen {
            Seen::Range(low, high) => Self::Range([*low, *high]),
            Seen::Findings(findings) => {
                Self::Findings(findings.iter().map(|finding| finding.key).collect())
            }
        }
    }
}

/// The result of a session as JSON text, with the lines of its script that were not taken.
///
/// # Errors
/// The message of the JSON library, should a number not be representable.
pub fn json(
    case: &Case,
    grade: &Grade,
    not_taken: &[(usize, String)],
) -> Result<String, serde_json::Error> {
    let result = SessionResult {
        case: &case.scenario.id,
        seed: case.seed,
        actions: grade
            .bay
            .actions()
            .iter()
            .map(ToString::to_string)
            .collect(),
        lines_not_taken: not_taken
            .iter()
            .map(|(line, message)| Line {
                line: *line,
                message,
            })
            .collect(),
        clock_s: grade.bay.clock_s(),
        readings: readings(grade),
        suspects: grade
            .bay
            .suspects()
            .iter()
            .map(|(mode, confidence)| Suspect {
                mode,
                confidence: *confidence,
            })
            .collect(),
        diagnosis: diagnosis(grade),
        evidence: evidence(grade),
        rival: grade.rival.as_ref().map(|rival| rival.hypothesis.name()),
        missed_cues: cues(grade),
        slips: grade
            .slips
            .iter()
            .map(|slip| Slip {
                kind: slip.kind.name(),
                at_s: slip.at_s,
                cost: slip.kind.cost(),
                caution: slip.kind.caution(),
            })
            .collect(),
        refrigerant_lost_kg: grade.bay.refrigerant_lost_kg(),
        gauges_off_pa: grade.bay.gauges_off_pa(),
        mark: Mark {
            diagnosis: grade.mark.diagnosis,
            evidence: grade.mark.evidence,
            safety: grade.mark.safety,
            total: grade.mark.total,
        },
    };
    serde_json::to_string_pretty(&result)
}

fn readings(grade: &Grade) -> Vec<Reading> {
    grade
        .bay
        .notes()
        .iter()
        .map(|note| Reading {
            number: note.number,
            at_s: note.at_s,
            check: command_of(note.reading.check),
            words: note.words.clone(),
            value: Shown::from(&note.reading.value),
        })
        .collect()
}

fn diagnosis(grade: &Grade) -> Diagnosis<'_> {
    let conclusion = grade.conclusion.as_ref();
    Diagnosis {
        concluded: conclusion.map(|conclusion| conclusion.fault.as_str()),
        concluded_cause: conclusion.and_then(|conclusion| conclusion.cause.as_deref()),
        true_mode: &grade.diagnosis.true_mode,
        true_cause: grade.diagnosis.true_cause.as_deref(),
        component_right: grade.diagnosis.component,
        mode_right: grade.diagnosis.mode,
        cause_right: grade.diagnosis.cause,
        reasons: &grade.diagnosis.reasons,
    }
}

fn evidence(grade: &Grade) -> Evidence<'_> {
    let relied_on = grade
        .evidence
        .relied_on
        .iter()
        .map(|reliance| {
            let (support, rules_out, of) = match reliance.support {
                Support::Supports { ruled_out, of } => ("supports", ruled_out, of),
                Support::Confirms => ("confirms", 0, 0),
                Support::TellsNothing { of } => ("tells-nothing", 0, of),
                Support::SpeaksAgainst => ("speaks-against", 0, 0),
                Support::NotCompared => ("not-compared", 0, 0),
            };
            Reliance {
                number: reliance.number,
                support,
                rules_out,
                of,
                predicted: reliance.predicted.as_ref().map(Shown::from),
            }
        })
        .collect();
    Evidence {
        relied_on,
        rivals: grade.evidence.rivals,
        still_possible: &grade.evidence.standing,
        share: grade.evidence.share,
    }
}

fn cues(grade: &Grade) -> Vec<Cue> {
    grade
        .cues
        .iter()
        .map(|cue| Cue {
            check: command_of(cue.check),
            words: grade.bay.words_of(cue.check),
            at_s: cue.at_s,
            this_car: Shown::from(&cue.truth),
            rival: Shown::from(&cue.rival),
            limit_of_error: cue.error.map(|(error, _)| error),
            apart: cue.apart,
            ignored_readings: cue.ignored_notes.clone(),
        })
        .collect()
}
