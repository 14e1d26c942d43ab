//! The debrief: what was wrong, what the readings prove, what was missed, the way taken, and what came of the repair.

use askama::Template;
use scenarios::Bank;
use scenarios::units::UnitSystem;

use crate::action::command_of;
use crate::debrief::{self, CUES_TOLD, percent, words_of};
use crate::evidence::cues::Cue;
use crate::grade::{Grade, Rival};
use crate::page::practice::desk::{Desk, Told};
use crate::show;

/// A part of the mark.
pub(in crate::page) struct Part {
    pub name: &'static str,
    pub earned: String,
    pub of: String,
}

/// What another fault would have shown.
pub(in crate::page) struct RivalTold {
    pub words: String,
    pub likely: String,
    pub cues: Vec<CueTold>,
}

/// A check that would have told it.
pub(in crate::page) struct CueTold {
    pub action: String,
    pub words: String,
    pub at: String,
    pub this_car: String,
    pub rival: String,
    pub bits: String,
    pub taken: &'static str,
}

/// A step of a way through the case.
pub(in crate::page) struct WayStep {
    pub at: String,
    pub words: String,
    pub shown: String,
}

/// A debrief that is made.
pub(in crate::page) struct Made {
    pub mark: String,
    pub parts: Vec<Part>,
    pub reasons: Vec<String>,
    /// Safety slips: shop clock, marks they cost, and the caution.
    pub slips: Vec<(String, String, &'static str)>,
    /// Name and cure of what was in the car.
    pub in_the_car: Vec<(String, String)>,
    pub proof: Vec<Proof>,
    pub has_trace: bool,
    pub has_cycle: bool,
    pub rivals: Vec<RivalTold>,
    pub taken: Vec<WayStep>,
    pub best: Vec<WayStep>,
    pub best_proves: bool,
    pub repair: Option<String>,
    /// All of it in words.
    pub text: String,
}

#[derive(Template)]
#[template(path = "debrief.html")]
pub(in crate::page) struct DebriefPage<'a> {
    pub id: &'a str,
    pub title: &'a str,
    pub made: Option<Made>,
    /// Why there is none.
    pub failed: Option<String>,
}

impl Made {
    pub fn of(bank: &Bank, desk: &Desk, told: &Told) -> Self {
        let (grade, units) = (&told.grade, desk.units);
        Self {
            mark: format!("{:.0}", grade.mark.total),
            parts: parts(grade),
            reasons: grade.diagnosis.reasons.clone(),
            slips: (grade.slips.iter())
                .map(|slip| {
                    let cost = format!("{:.0}", -slip.kind.cost());
                    (show::clock(slip.at_s), cost, slip.kind.caution())
                })
                .collect(),
            in_the_car: (desk.case.present())
                .map(|(mode, severity)| {
                    let name = format!("{}, {}", mode.name, mode.severity.show(severity));
                    (name, mode.cure.clone())
                })
                .collect(),
            proof: (debrief::proof_text(bank, grade, units).lines())
                .filter_map(Proof::of)
                .collect(),
            has_trace: !grade.trace.is_empty(),
            has_cycle: told.cycle.is_some(),
            rivals: (grade.rivals.iter())
                .map(|rival| rival_told(bank, grade, rival, units))
                .collect(),
            taken: taken(grade, units),
            best: best(grade),
            best_proves: grade.efficiency.best.proved,
            repair: (grade.repair.as_ref()).map(|done| debrief::repair_text(done, units)),
            text: debrief::text(bank, &desk.case, grade, units),
        }
    }
}

/// A line of what the readings prove.
pub(in crate::page) struct Proof {
    /// What kind of line it is, as the style sheet knows it.
    pub class: &'static str,
    pub words: String,
}

impl Proof {
    /// A line as a terminal sets it: sentences at its edge, lists and readings further in.
    fn of(line: &str) -> Option<Self> {
        let words = line.trim();
        let first = words.chars().next()?;
        let further_in = line.len() - line.trim_start().len();
        let (class, words) = match words.strip_prefix("- ") {
            Some(item) => ("item", item.to_owned()),
            None if further_in == 0 => ("says", words.to_owned()),
            None if first.is_ascii_digit() => ("reading", words.to_owned()),
            None => ("of-reading", words.to_owned()),
        };
        Some(Self { class, words })
    }
}

fn parts(grade: &Grade) -> Vec<Part> {
    let part = |(name, earned, of): (&'static str, f64, f64)| Part {
        name,
        earned: format!("{earned:.1}"),
        of: format!("{of:.0}"),
    };
    let parts = grade.mark.parts(&grade.weights).into_iter();
    let cost = Part {
        name: "hints",
        earned: format!("{:.1}", grade.mark.hints),
        of: String::new(),
    };
    let hints = (grade.hints > 0).then_some(cost);
    parts.map(part).chain(hints).collect()
}

fn rival_told(bank: &Bank, grade: &Grade, rival: &Rival, units: UnitSystem) -> RivalTold {
    let told = |cue: &Cue| CueTold {
        action: command_of(cue.check),
        words: grade.bay.words_of(cue.check),
        at: format!(
            "{}, {}",
            show::clock(cue.at_s),
            show::setup(&cue.setup, units)
        ),
        this_car: show::seen(&cue.truth, cue.error.map(|(_, unit)| unit), units),
        rival: show::seen(&cue.rival, cue.error.map(|(_, unit)| unit), units),
        bits: format!("{:.2}", cue.bits),
        taken: match (cue.ignored_notes.is_empty(), cue.other_notes.is_empty()) {
            (false, _) => "you read it",
            (true, false) => "you read it, but when it told nothing",
            (true, true) => "you did not read it",
        },
    };
    RivalTold {
        words: words_of(bank, &grade.explanations[rival.explanation]),
        likely: percent(rival.probability),
        cues: rival.cues.iter().take(CUES_TOLD).map(told).collect(),
    }
}

fn taken(grade: &Grade, units: UnitSystem) -> Vec<WayStep> {
    let step = |note: &crate::bay::Note| WayStep {
        at: show::clock(note.at_s),
        words: note.words.clone(),
        shown: show::value(&note.reading.value, units),
    };
    grade.bay.notes().iter().map(step).collect()
}

fn best(grade: &Grade) -> Vec<WayStep> {
    let mut clock_s = 0.0;
    let steps = grade.efficiency.best.steps.iter().map(|step| {
        clock_s += step.seconds;
        WayStep {
            at: show::clock(clock_s),
            words: format!("{} ({})", step.action, step.set_up),
            shown: percent(step.probability),
        }
    });
    steps.collect()
}
