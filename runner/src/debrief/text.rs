//! The debrief as a learner reads it.

use std::fmt::Write;

use scenarios::units::UnitSystem;
use scenarios::{Bank, Case};
use sim_core::instruments::Unit;

use crate::action::{NO_FAULT, command_of};
use crate::debrief::{CUES_TOLD, STANDING_TOLD};
use crate::evidence::cues::Cue;
use crate::grade::name_of;
use crate::grade::{Grade, Reliance, Support, Weights};
use crate::show;

/// The debrief of a grade.
#[must_use]
pub fn text(
    bank: &Bank,
    case: &Case,
    grade: &Grade,
    weights: &Weights,
    system: UnitSystem,
) -> String {
    let mut page = String::new();
    heading(&mut page, "Debrief");
    diagnosis(&mut page, case, grade, system);
    proof(&mut page, bank, grade, system);
    missed(&mut page, bank, grade, system);
    safety(&mut page, grade);
    mark(&mut page, case, grade, weights);
    page
}

/// Writing to a string cannot fail; this spares every line its own handling.
macro_rules! say {
    ($page:expr, $($words:tt)*) => {{ let _ = writeln!($page, $($words)*); }};
}

fn heading(page: &mut String, words: &str) {
    say!(page, "\n{words}\n{}", "-".repeat(words.chars().count()));
}

fn diagnosis(page: &mut String, case: &Case, grade: &Grade, system: UnitSystem) {
    for reason in &grade.diagnosis.reasons {
        say!(page, "{reason}");
    }
    for (mode, severity) in case.present() {
        say!(
            page,
            "In this car: {}. {}\nHow bad: {} ({}).",
            mode.name,
            mode.effect,
            mode.severity.show(severity),
            mode.severity.meaning
        );
        say!(page, "What cures it: {}", mode.cure);
    }
    let lost_g = grade.bay.refrigerant_lost_kg() * 1e3;
    if lost_g >= 1.0 {
        say!(
            page,
            "Refrigerant let into the air during your session: {lost_g:.0} g."
        );
    }
    if let Some(off_pa) = grade.bay.gauges_off_pa() {
        let how = if off_pa > 0.0 { "less" } else { "more" };
        say!(
            page,
            "The gauge set was last zeroed at sea level and not in this bay: it showed {} {how} than it should.",
            show::tolerance(off_pa.abs(), Unit::GaugePressure, system)
        );
    }
}

fn proof(page: &mut String, bank: &Bank, grade: &Grade, system: UnitSystem) {
    heading(page, "What your readings prove");
    let evidence = &grade.evidence;
    if evidence.relied_on.is_empty() {
        say!(
            page,
            "You named no reading you relied on, so nothing is proved{}.",
            if grade.diagnosis.is_right() {
                ": a right answer without evidence is a guess"
            } else {
                ""
            }
        );
        return;
    }
    for reliance in &evidence.relied_on {
        relied(page, grade, reliance, system);
    }
    let standing = evidence.standing.len();
    if standing == 0 {
        say!(
            page,
            "Together they rule out every one of the {} other explanations tried, cars with one fault or none.",
            evidence.rivals
        );
    } else {
        say!(
            page,
            "Together they rule out {} of {} other explanations, cars with one fault or none. Still possible:",
            evidence.rivals - standing,
            evidence.rivals
        );
        for id in evidence.standing.iter().take(STANDING_TOLD) {
            say!(page, "  - {}", name_of(bank, id));
        }
        if standing > STANDING_TOLD {
            say!(page, "  - and {} more", standing - STANDING_TOLD);
        }
    }
}

fn relied(page: &mut String, grade: &Grade, reliance: &Reliance, system: UnitSystem) {
    let Some(note) = grade
        .bay
        .notes()
        .iter()
        .find(|note| note.number == reliance.number)
    else {
        return;
    };
    let unit = note.reading.check.tool().map(|tool| tool.spec().unit);
    let verdict = match reliance.support {
        Support::Supports {
            ruled_out: 1,
            of: 1,
        } => "supports your conclusion; it rules out the one other explanation left".to_owned(),
        Support::Supports { ruled_out, of } if ruled_out == of && of < grade.evidence.rivals => {
            format!("supports your conclusion; it rules out all {of} others left")
        }
        Support::Supports { ruled_out, of } if of < grade.evidence.rivals => {
            format!("supports your conclusion; it rules out {ruled_out} of the {of} others left")
        }
        Support::Supports { ruled_out, of } => {
            format!("supports your conclusion; it rules out {ruled_out} of {of} other explanations")
        }
        Support::Confirms => {
            "fits your conclusion; readings before it had already ruled the others out".to_owned()
        }
        Support::TellsNothing { of: 1 } => {
            "fits your conclusion, and fits the one other explanation left just as well".to_owned()
        }
        Support::TellsNothing { of } => {
            format!("fits your conclusion, and fits the {of} others left just as well")
        }
        Support::SpeaksAgainst => "does not fit your conclusion".to_owned(),
        Support::NotCompared => "cannot be weighed: no failure mode was named".to_owned(),
    };
    say!(page, "{}", show::note(note, system));
    match (&reliance.predicted, reliance.support) {
        (Some(predicted), Support::SpeaksAgainst) => say!(
            page,
            "             {verdict}: with it, this would have been {}",
            show::seen(predicted, unit, system)
        ),
        _ => say!(page, "             {verdict}"),
    }
}

fn missed(page: &mut String, bank: &Bank, grade: &Grade, system: UnitSystem) {
    heading(page, "Missed cues");
    let Some(rival) = &grade.rival else {
        say!(page, "There is nothing to set your session against.");
        return;
    };
    let with = |id: &str| match id {
        NO_FAULT => "a sound car".to_owned(),
        _ => format!("a car with {}", name_of(bank, id)),
    };
    let rival_car = with(rival.hypothesis.name());
    let true_car = with(&grade.diagnosis.true_mode);
    let named = grade
        .conclusion
        .as_ref()
        .map(|conclusion| conclusion.fault.as_str());
    if named == Some(rival.hypothesis.name()) {
        say!(
            page,
            "Your session was run again with what you named, on {rival_car}."
        );
    } else {
        say!(
            page,
            "The closest rival was {rival_car}: your session was run again on one."
        );
    }
    if !rival.ruling_notes.is_empty() && named != Some(rival.hypothesis.name()) {
        say!(
            page,
            "It does not come very close: {} of your {} readings cannot come from one.",
            rival.ruling_notes.len(),
            grade.bay.notes().len()
        );
    }
    for (mode, severity) in rival.hypothesis.modes(bank) {
        say!(
            page,
            "How bad it was taken to be, to fit your readings best: {} ({}).",
            mode.severity.show(severity),
            mode.severity.meaning
        );
    }
    if grade.cues.is_empty() {
        say!(
            page,
            "No check in the set-ups you used would have told the two cars apart beyond what you relied on."
        );
        return;
    }
    say!(
        page,
        "These would have told it from {true_car}, best first:"
    );
    for cue in grade.cues.iter().take(CUES_TOLD) {
        tell_cue(page, cue, &grade.bay.words_of(cue.check), system);
    }
}

fn tell_cue(page: &mut String, cue: &Cue, words: &str, system: UnitSystem) {
    let unit = cue.error.map(|(_, unit)| unit);
    let numbers = |notes: &[usize]| {
        let words: Vec<String> = notes.iter().map(ToString::to_string).collect();
        format!(
            "reading{} {}",
            if notes.len() == 1 { "" } else { "s" },
            words.join(", ")
        )
    };
    let taken = match (cue.ignored_notes.as_slice(), cue.other_notes.as_slice()) {
        ([], []) => "not taken".to_owned(),
        ([], other) => {
            format!(
                "you took it ({}), but when it could not tell them apart",
                numbers(other)
            )
        }
        (told, _) => format!("you took it ({}) and did not use it", numbers(told)),
    };
    say!(page, "  `{}`  {words}: {taken}", command_of(cue.check));
    say!(
        page,
        "      at {}, {}",
        show::clock(cue.at_s),
        show::setup(&cue.setup, system)
    );
    say!(
        page,
        "      this car:   {}",
        show::seen(&cue.truth, unit, system)
    );
    say!(
        page,
        "      the rival:  {}",
        show::seen(&cue.rival, unit, system)
    );
    if let Some((error, unit)) = cue.error {
        say!(
            page,
            "      the instrument errs by at most {}",
            show::tolerance(error, unit, system)
        );
    }
}

fn safety(page: &mut String, grade: &Grade) {
    heading(page, "Safety and environment");
    if grade.slips.is_empty() {
        say!(page, "No slips.");
    }
    for slip in &grade.slips {
        say!(
            page,
            "{:>6}  {:>3.0}  {}",
            show::clock(slip.at_s),
            -slip.kind.cost(),
            slip.kind.caution()
        );
    }
}

fn mark(page: &mut String, case: &Case, grade: &Grade, weights: &Weights) {
    heading(page, "Mark");
    let mark = &grade.mark;
    say!(
        page,
        "diagnosis  {:>5.1} of {:.0}",
        mark.diagnosis,
        weights.diagnosis
    );
    say!(
        page,
        "evidence   {:>5.1} of {:.0}",
        mark.evidence,
        weights.evidence
    );
    say!(
        page,
        "safety     {:>5.1} of {:.0}",
        mark.safety,
        weights.safety
    );
    if mark.safety < 0.0 {
        say!(
            page,
            "           what the slips cost beyond that comes off the rest"
        );
    }
    say!(
        page,
        "together   {:>5.1} of 100, in {} min on the shop clock",
        mark.total,
        show::clock(grade.bay.clock_s())
    );
    say!(
        page,
        "This was practice: case `{}`, seed {}.",
        case.scenario.id,
        case.seed
    );
}
