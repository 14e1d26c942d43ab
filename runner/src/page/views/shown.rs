//! What instruments show now: dials, read-outs, and the line that stays in sight.

use scenarios::units::UnitSystem;
use sim_core::instruments::{Check, Gauge, Value};

use crate::bay::{Bay, Note};
use crate::draw::gauge::{Pointed, gauge};
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
    [Gauge::Low, Gauge::High]
        .map(|side| dial(side, bay, units))
        .into()
}

/// One dial. Where the gauges were watched, its pointer goes between the least and the greatest that were noted.
fn dial(side: Gauge, bay: &Bay, units: UnitSystem) -> String {
    let reads = |note: &&Note| match note.reading.check {
        Check::LowGauge => side == Gauge::Low,
        Check::HighGauge => side == Gauge::High,
        Check::GaugeExtreme(of, _) => of == side,
        _ => false,
    };
    let mut read = bay.notes().iter().filter(reads);
    let last = read.next_back();
    let before = read.next_back();
    let is_new = last.is_some_and(|note| is_new(note, bay));
    // Both ends of a watch are noted by one action, the least first.
    let swung = last.zip(before).is_some_and(|(last, before)| {
        matches!(last.reading.check, Check::GaugeExtreme(..)) && last.action == before.action
    });
    let conditions = last.map_or_else(String::new, |note| {
        let stood = if is_new { "" } else { "as it stood at " };
        format!(
            "{stood}{}, {}",
            show::clock(note.at_s),
            show::setup(&note.setup, units)
        )
    });
    let value = |note: &Note| note.reading.value;
    let (mut last, mut before) = (last.map(value), before.map(value));
    // Each end has an error of its own: on a gauge that stands still, either may be the lower one.
    if swung && number(before) > number(last) {
        std::mem::swap(&mut last, &mut before);
    }
    let pointed = Pointed {
        value: last.as_ref(),
        from: before.as_ref().filter(|_| is_new || swung),
        swung,
        is_old: !is_new,
    };
    gauge(side, pointed, units, &conditions)
}

fn number(value: Option<Value>) -> Option<f64> {
    match value {
        Some(Value::Number { shown, .. }) => Some(shown),
        _ => None,
    }
}

/// Read-outs of what the last step read, but for what is on the dials.
pub(super) fn readouts(bay: &Bay, units: UnitSystem) -> Vec<String> {
    let last = bay.notes().iter().filter(|note| {
        is_new(note, bay)
            && !matches!(
                note.reading.check,
                Check::LowGauge | Check::HighGauge | Check::GaugeExtreme(..)
            )
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

/// What the last step gave, in lines that stay in sight, cautions first; a refusal alone.
pub(super) fn last(bay: &Bay, said: &Said, units: UnitSystem) -> Vec<String> {
    if said.is_refusal {
        return vec![said.words.clone()];
    }
    let (cautions, others): (Vec<&str>, Vec<&str>) =
        said.words.lines().partition(|line| is_caution(line));
    let mut told: Vec<String> = cautions.iter().map(|line| (*line).to_owned()).collect();
    let read = bay.notes().iter().filter(|note| is_new(note, bay));
    let read: Vec<String> = read
        .map(|note| {
            let value = show::value(&note.reading.value, units);
            format!("{}: {value}", note.words)
        })
        .collect();
    if !read.is_empty() {
        told.push(read.join("; "));
    } else if told.is_empty() {
        told.extend(others.first().map(|line| (*line).to_owned()));
    }
    told
}

/// Whether what was told last is to be heeded before anything else is done.
pub(super) fn warns(said: &Said) -> bool {
    said.is_refusal || said.words.lines().any(is_caution)
}

fn is_caution(line: &str) -> bool {
    line.starts_with("CAUTION") || line.starts_with("NOTE")
}
