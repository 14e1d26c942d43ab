//! The debrief as a learner reads it.

use std::fmt::Write;

use scenarios::units::UnitSystem;
use scenarios::{Bank, Case};
use sim_core::instruments::Unit;

use crate::debrief::proof::{missed, proof};
use crate::debrief::repair::repair;
use crate::debrief::sureness::{efficiency, sureness, trace};
use crate::grade::{Grade, Repair};
use crate::show;

/// The debrief of a grade.
#[must_use]
pub fn text(bank: &Bank, case: &Case, grade: &Grade, system: UnitSystem) -> String {
    let mut page = String::new();
    heading(&mut page, "Debrief");
    diagnosis(&mut page, case, grade, system);
    proof(&mut page, bank, grade, system);
    missed(&mut page, bank, grade, system);
    trace(&mut page, bank, grade);
    sureness(&mut page, bank, grade);
    efficiency(&mut page, grade);
    safety(&mut page, grade);
    mark(&mut page, grade);
    if let Some(done) = &grade.repair {
        repair(&mut page, done, system);
    }
    say!(
        page,
        "This was practice: case `{}`, seed {}.",
        case.scenario.id,
        case.seed
    );
    page
}

/// What the readings prove, alone.
pub(crate) fn proof_text(bank: &Bank, grade: &Grade, system: UnitSystem) -> String {
    let mut page = String::new();
    proof(&mut page, bank, grade, system);
    below_heading(&page)
}

/// What came of the repair, alone.
pub(crate) fn repair_text(done: &Repair, system: UnitSystem) -> String {
    let mut page = String::new();
    repair(&mut page, done, system);
    below_heading(&page)
}

/// A part without its heading and the line under it, where a page sets headings its own way.
fn below_heading(part: &str) -> String {
    let lines: Vec<&str> = part.lines().skip(3).collect();
    lines.join("\n")
}

/// Writing to a string cannot fail; this spares every line its own handling.
macro_rules! say {
    ($page:expr, $($words:tt)*) => {{ let _ = writeln!($page, $($words)*); }};
}
pub(super) use say;

pub(super) fn heading(page: &mut String, words: &str) {
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

fn mark(page: &mut String, grade: &Grade) {
    heading(page, "Mark");
    let mark = &grade.mark;
    for (name, earned, of) in mark.parts(&grade.weights) {
        say!(page, "{name:<12}{earned:>5.1} of {of:.0}");
    }
    if grade.hints > 0 {
        say!(
            page,
            "{:<12}{:>5.1} for {} hint{}",
            "hints",
            mark.hints,
            grade.hints,
            if grade.hints == 1 { "" } else { "s" }
        );
    }
    if mark.safety < 0.0 {
        say!(
            page,
            "            what the slips cost beyond that comes off the rest"
        );
    }
    if grade.conclusion.is_none() {
        say!(
            page,
            "            without a conclusion nothing is earned for safety: the work was not done to its end"
        );
    }
    say!(
        page,
        "{:<12}{:>5.1} of 100, in {} min on the shop clock",
        "together",
        mark.total,
        show::clock(grade.bay.clock_s())
    );
}
