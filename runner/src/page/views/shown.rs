//! What instruments show now: dials, read-outs, and the line that stays in sight.

use scenarios::units::UnitSystem;
use sim_core::instruments::{Check, Gauge};

use crate::bay::{Bay, Note};
use crate::draw::gauge::gauge;
use crate::draw::readout::readout;
use crate::page::said::Said;
use crate::session::Gauges;
use crate::show;

/// Both dials as they were last read. They show no more than the notebook holds: what somebody saw without writing it
/// down could not be weighed.
pub(super) fn dials(bay: &Bay, units: UnitSystem) -> Vec<String> {
    if bay.gauges() == Gauges::Off {
        return Vec::new();
    }
    let dial = |(side, check): (Gauge, Check)| {
        let mut read = bay
            .notes()
            .iter()
            .filter(|note| note.reading.check == check);
        let last = read.next_back();
        let before = read.next_back().map(|note| &note.reading.value);
        let is_new = last.is_some_and(|note| is_new(note, bay));
        let conditions = last.map_or_else(String::new, |note| {
            format!(
                "{}, {}",
                show::clock(note.at_s),
                show::setup(&note.setup, units)
            )
        });
        gauge(
            side,
            last.map(|note| &note.reading.value),
            before.filter(|_| is_new),
            units,
            &conditions,
        )
    };
    [
        (Gauge::Low, Check::LowGauge),
        (Gauge::High, Check::HighGauge),
    ]
    .map(dial)
    .into()
}

/// Read-outs of what the last step read, but for what is on the dials.
pub(super) fn readouts(bay: &Bay, units: UnitSystem) -> Vec<String> {
    let last = bay.notes().iter().filter(|note| {
        is_new(note, bay) && !matches!(note.reading.check, Check::LowGauge | Check::HighGauge)
    });
    let shown = |note: &Note| {
        let set_up = show::setup(&note.setup, units);
        readout(&note.words, &note.reading.value, units, &set_up)
    };
    last.map(shown).collect()
}

/// Whether the last action took a note.
fn is_new(note: &Note, bay: &Bay) -> bool {
    note.action + 1 == bay.actions().len()
}

/// What the last step gave, in a line that stays in sight; a refusal and a caution whole, wherever the page stands.
pub(super) fn last(bay: &Bay, said: &Said, units: UnitSystem) -> String {
    if said.is_refusal {
        return said.words.clone();
    }
    let read = bay.notes().iter().filter(|note| is_new(note, bay));
    let read = read.map(|note| {
        let value = show::value(&note.reading.value, units);
        format!("{}: {value}", note.words)
    });
    let mut told: Vec<String> = read.collect();
    let (cautions, others): (Vec<&str>, Vec<&str>) =
        said.words.lines().partition(|line| is_caution(line));
    if told.is_empty() && cautions.is_empty() {
        told.extend(others.first().map(|line| (*line).to_owned()));
    }
    told.extend(cautions.iter().map(|line| (*line).to_owned()));
    told.join("; ")
}

/// Whether what was told last is to be heeded before anything else is done.
pub(super) fn warns(said: &Said) -> bool {
    said.is_refusal || said.words.lines().any(is_caution)
}

fn is_caution(line: &str) -> bool {
    line.starts_with("CAUTION")
}
