//! The result as JSON: SI numbers, stable names.

mod repair;

use scenarios::Case;
use serde::Serialize;
use sim_core::instruments::Value;

use crate::action::command_of;
use crate::debrief::json::repair::Repair;
use crate::evidence::plan::Path;
use crate::evidence::seen::{Seen, Swing};
use crate::grade::{Grade, Verdict};

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
    evidence: Evidence,
    belief_trace: Vec<Moment>,
    calibration: Calibration,
    efficiency: Efficiency,
    rivals: Vec<Rival>,
    hints: usize,
    slips: Vec<Slip>,
    refrigerant_lost_kg: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    gauges_off_pa: Option<f64>,
    mark: Mark,
    #[serde(skip_serializing_if = "Option::is_none")]
    repair: Option<Repair>,
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
struct Evidence {
    verdict: &'static str,
    relied_on: Vec<Reliance>,
    of_conclusion: f64,
    of_truth: f64,
    in_play: Vec<Believed>,
    counts_as_right: Vec<String>,
    proved_by_reading: Option<usize>,
    share: f64,
}

#[derive(Serialize)]
struct Reliance {
    number: usize,
    before: f64,
    after: f64,
    bits: f64,
}

#[derive(Serialize)]
struct Believed {
    faults: Vec<String>,
    probability: f64,
}

#[derive(Serialize)]
struct Moment {
    at_s: f64,
    action: usize,
    readings: Vec<usize>,
    likeliest: Vec<Believed>,
    of_truth: f64,
    open_bits: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    stated: Option<Statement>,
}

#[derive(Serialize)]
struct Statement {
    suspect: String,
    stated: f64,
    ideal: f64,
    is_so: bool,
}

#[derive(Serialize)]
struct Calibration {
    brier: Option<f64>,
    ideal_brier: Option<f64>,
    regret: f64,
    lean: f64,
    share: f64,
}

#[derive(Serialize)]
struct Efficiency {
    spent_s: f64,
    told_bits: f64,
    wanted_bits: f64,
    best_path_s: f64,
    best_path_proves: bool,
    best_path: Vec<PathStep>,
    share: f64,
}

/// A step of a best path.
#[derive(Serialize)]
pub(crate) struct PathStep {
    action: String,
    set_up: &'static str,
    seconds: f64,
    expected_bits: f64,
    told_bits: f64,
    of_truth: f64,
}

impl PathStep {
    /// Every step of a path, in its order.
    pub(crate) fn all(path: &Path) -> Vec<Self> {
        let steps = path.steps.iter().map(|step| Self {
            action: step.action.to_string(),
            set_up: step.set_up,
            seconds: step.seconds,
            expected_bits: step.expected_bits,
            told_bits: step.told_bits,
            of_truth: step.probability,
        });
        steps.collect()
    }
}

#[derive(Serialize)]
struct Rival {
    faults: Vec<Present>,
    probability: f64,
    concluded: bool,
    in_play: bool,
    missed_cues: Vec<Cue>,
}

#[derive(Serialize)]
struct Present {
    mode: String,
    severity: f64,
}

#[derive(Serialize)]
struct Cue {
    check: String,
    words: String,
    at_s: f64,
    this_car: Shown,
    rival: Shown,
    limit_of_error: Option<f64>,
    bits: f64,
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
    calibration: f64,
    efficiency: f64,
    safety: f64,
    hints: f64,
    total: f64,
}

impl From<&crate::safety::Slip> for Slip {
    fn from(slip: &crate::safety::Slip) -> Self {
        Self {
            kind: slip.kind.name(),
            at_s: slip.at_s,
            cost: slip.kind.cost(),
            caution: slip.kind.caution(),
        }
    }
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
            Seen::Range(low, high) | Seen::Swing(Swing([low, .., high])) => {
                Self::Range([*low, *high])
            }
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
        belief_trace: trace(grade),
        calibration: Calibration {
            brier: grade.calibration.brier,
            ideal_brier: grade.calibration.ideal_brier,
            regret: grade.calibration.regret,
            lean: grade.calibration.lean,
            share: grade.calibration.share,
        },
        efficiency: efficiency(grade),
        rivals: rivals(grade),
        hints: grade.hints,
        slips: grade.slips.iter().map(Slip::from).collect(),
        refrigerant_lost_kg: grade.bay.refrigerant_lost_kg(),
        gauges_off_pa: grade.bay.gauges_off_pa(),
        mark: Mark {
            diagnosis: grade.mark.diagnosis,
            evidence: grade.mark.evidence,
            calibration: grade.mark.calibration,
            efficiency: grade.mark.efficiency,
            safety: grade.mark.safety,
            hints: grade.mark.hints,
            total: grade.mark.total,
        },
        repair: grade.repair.as_ref().map(repair::of),
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

fn evidence(grade: &Grade) -> Evidence {
    let evidence = &grade.evidence;
    Evidence {
        verdict: match evidence.verdict {
            Verdict::Proved => "proved",
            Verdict::Likely => "likely",
            Verdict::Lucky => "lucky",
            Verdict::Misread => "misread",
            Verdict::Misled => "misled",
            Verdict::Guessed => "guessed",
            Verdict::GaveUp => "gave-up",
        },
        relied_on: evidence
            .relied_on
            .iter()
            .map(|one| Reliance {
                number: one.number,
                before: one.before,
                after: one.after,
                bits: one.bits(),
            })
            .collect(),
        of_conclusion: evidence.of_claim,
        of_truth: evidence.of_truth,
        in_play: evidence
            .in_play
            .iter()
            .map(|index| believed(grade, *index, evidence.belief.probabilities[*index]))
            .collect(),
        counts_as_right: grade.alike.clone(),
        proved_by_reading: evidence.proved_by,
        share: evidence.share,
    }
}

fn believed(grade: &Grade, index: usize, probability: f64) -> Believed {
    Believed {
        faults: grade.explanations[index].modes.clone(),
        probability,
    }
}

fn trace(grade: &Grade) -> Vec<Moment> {
    let moments = grade.trace.iter().map(|moment| Moment {
        at_s: moment.at_s,
        action: moment.action,
        readings: moment.notes.clone(),
        likeliest: moment
            .likeliest
            .iter()
            .map(|(index, probability)| believed(grade, *index, *probability))
            .collect(),
        of_truth: moment.of_truth,
        open_bits: moment.open_bits,
        stated: moment.stated.as_ref().map(|one| Statement {
            suspect: one.suspect.clone(),
            stated: one.stated,
            ideal: one.ideal,
            is_so: one.is_so,
        }),
    });
    moments.collect()
}

fn efficiency(grade: &Grade) -> Efficiency {
    let efficiency = &grade.efficiency;
    let best = &efficiency.best;
    Efficiency {
        spent_s: efficiency.spent_s,
        told_bits: efficiency.told_bits,
        wanted_bits: efficiency.wanted_bits,
        best_path_s: best.seconds(),
        best_path_proves: best.proved,
        best_path: PathStep::all(best),
        share: efficiency.share,
    }
}

fn rivals(grade: &Grade) -> Vec<Rival> {
    let rivals = grade.rivals.iter().map(|rival| Rival {
        faults: rival
            .faults
            .iter()
            .map(|(mode, severity)| Present {
                mode: mode.clone(),
                severity: *severity,
            })
            .collect(),
        probability: rival.probability,
        concluded: rival.is_claim,
        in_play: rival.in_play,
        missed_cues: rival.cues.iter().map(|cue| told(grade, cue)).collect(),
    });
    rivals.collect()
}

fn told(grade: &Grade, cue: &crate::evidence::cues::Cue) -> Cue {
    Cue {
        check: command_of(cue.check),
        words: grade.bay.words_of(cue.check),
        at_s: cue.at_s,
        this_car: Shown::from(&cue.truth),
        rival: Shown::from(&cue.rival),
        limit_of_error: cue.error.map(|(error, _)| error),
        bits: cue.bits,
        ignored_readings: cue.ignored_notes.clone(),
    }
}
