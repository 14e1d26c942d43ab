//! The bay: the car with its places, the controls, the tray, the notebook, the suspects.

use askama::Template;
use scenarios::units::{UnitSystem, format_temperature};
use scenarios::{Bank, Case, Component};
use sim_core::instruments::{Check, Gauge};

use crate::bay::{Bay, Note};
use crate::draw::Link;
use crate::draw::behind_dash::behind_dash;
use crate::draw::gauge::gauge;
use crate::draw::places::{Place, called};
use crate::draw::readout::readout;
use crate::draw::under_bonnet::under_bonnet;
use crate::page::offers::{Control, Kind, controls, kinds};
use crate::page::worker::Asked;
use crate::session::Gauges;
use crate::show;

/// A reading's line in the notebook.
pub(in crate::page) struct NoteLine {
    pub number: usize,
    pub clock: String,
    pub words: String,
    pub value: String,
    pub set_up: String,
}

/// The faults of a component.
pub(in crate::page) struct Faults {
    pub component: String,
    /// Id and name.
    pub modes: Vec<(String, String)>,
}

/// A line of the work order.
pub(in crate::page) struct OrderLine {
    pub label: &'static str,
    pub words: String,
}

/// The place that is worked at.
pub(in crate::page) struct AtPlace {
    pub id: &'static str,
    pub label: String,
    pub whereabouts: Option<String>,
    pub actions: Vec<String>,
}

/// What ends the work at a car.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::page) enum Ends {
    /// A debrief: practice.
    Debrief,
    /// The next task of a sitting.
    NextTask,
}

/// What a page of a car is made of.
pub(in crate::page) struct AtBay<'a> {
    pub bank: &'a Bank,
    /// How the addresses of this session begin.
    pub base: &'a str,
    pub token: &'a str,
    pub title: String,
    /// Steps taken so far, as the forms know them.
    pub steps: u64,
    pub bay: &'a Bay,
    pub case: &'a Case,
    pub units: UnitSystem,
    /// What the last step showed, or why it was not taken.
    pub said: &'a str,
    /// The hint that was asked for last.
    pub hint: Option<&'a Asked>,
    /// Hints may be asked for.
    pub hints: bool,
    /// Time left on the wall, s.
    pub left_s: Option<i64>,
    pub ends: Ends,
}

#[derive(Template)]
#[template(path = "bay.html")]
pub(in crate::page) struct BayPage<'a> {
    pub base: &'a str,
    pub token: &'a str,
    pub title: String,
    pub steps: u64,
    pub clock: String,
    pub left_s: Option<i64>,
    pub set_up: String,
    pub order: Vec<OrderLine>,
    pub said: &'a str,
    /// A hint in words, and whether it is still being worked out.
    pub hint: Option<(String, bool)>,
    /// What the last step gave, in a line that stays in sight.
    pub last: String,
    /// Pictures of the car: under the bonnet, and behind the dash.
    pub bonnet: String,
    pub dash: String,
    pub at: Option<AtPlace>,
    pub controls: Vec<Control>,
    /// Dials of the gauge set, while it is on the car.
    pub dials: Vec<String>,
    /// What the last step read.
    pub readouts: Vec<String>,
    pub kinds: Vec<Kind>,
    pub notes: Vec<NoteLine>,
    /// Name and percent.
    pub suspects: Vec<(String, String)>,
    pub faults: Vec<Faults>,
    pub is_concluded: bool,
    pub handed_over: bool,
    pub is_sitting: bool,
}

impl<'a> BayPage<'a> {
    /// The page of a session; `at` is the place that is worked at, as its address names it.
    pub fn of(of: AtBay<'a>, at: Option<&str>) -> Self {
        let AtBay {
            bank,
            base,
            bay,
            units,
            said,
            ..
        } = of;
        let vehicle = &of.case.vehicle;
        let linked = |place: &Place| {
            Some(Link {
                href: format!("{base}?at={}#at", place.id),
                chosen: at == Some(place.id),
            })
        };
        let place = called(vehicle, at);
        Self {
            base,
            token: of.token,
            title: of.title,
            steps: of.steps,
            clock: show::clock(bay.clock_s()),
            left_s: of.left_s,
            set_up: show::setup(bay.setup(), units),
            order: order(of.case, units),
            said,
            hint: of.hint.map(|hint| (hint.words(), hint.is_awaited())),
            last: last(bay, said, units),
            bonnet: under_bonnet(vehicle, &linked),
            dash: behind_dash(vehicle, &linked),
            at: place.map(|place| AtPlace {
                id: place.id,
                label: place.label,
                whereabouts: place.whereabouts,
                actions: place.actions,
            }),
            controls: controls(bay),
            dials: dials(bay, units),
            readouts: readouts(bay, units),
            kinds: kinds(bay, of.hints),
            notes: notes(bay, units),
            suspects: suspects(bank, bay),
            faults: faults(bank),
            is_concluded: bay.conclusion().is_some(),
            handed_over: bay.handed_over(),
            is_sitting: of.ends == Ends::NextTask,
        }
    }
}

fn order(case: &Case, units: UnitSystem) -> Vec<OrderLine> {
    let order = &case.scenario.work_order;
    let weather = case.weather();
    let line = |label, words: String| OrderLine { label, words };
    let mut lines = vec![
        line("Vehicle", case.vehicle.name.clone()),
        line("Customer", order.customer.clone()),
        line("Says", format!("\u{201c}{}\u{201d}", order.complaint)),
    ];
    lines.extend(order.history.iter().map(|one| line("History", one.clone())));
    let temperature = format_temperature(weather.temperature_k, units, 0);
    let humidity = 100.0 * weather.relative_humidity;
    lines.push(line(
        "Today",
        format!("{temperature}, {humidity:.0} % humidity"),
    ));
    lines
}

/// Both dials as they were last read. They show no more than the notebook holds: what somebody saw without writing it
/// down could not be weighed.
fn dials(bay: &Bay, units: UnitSystem) -> Vec<String> {
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
fn readouts(bay: &Bay, units: UnitSystem) -> Vec<String> {
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

fn last(bay: &Bay, said: &str, units: UnitSystem) -> String {
    let read = bay.notes().iter().filter(|note| is_new(note, bay));
    let read = read.map(|note| {
        format!(
            "{}: {}",
            note.words,
            show::value(&note.reading.value, units)
        )
    });
    let read: Vec<String> = read.collect();
    if read.is_empty() {
        return said.lines().next().unwrap_or_default().to_owned();
    }
    read.join("; ")
}

fn notes(bay: &Bay, units: UnitSystem) -> Vec<NoteLine> {
    let line = |note: &Note| NoteLine {
        number: note.number,
        clock: show::clock(note.at_s),
        words: note.words.clone(),
        value: show::value(&note.reading.value, units),
        set_up: show::setup(&note.setup, units),
    };
    // The last one first: it is what the eye looks for.
    bay.notes().iter().rev().map(line).collect()
}

fn suspects(bank: &Bank, bay: &Bay) -> Vec<(String, String)> {
    let line = |(id, confidence): (&String, &f64)| {
        let name = bank.catalogue().get(id).map_or(id, |mode| &mode.name);
        (name.clone(), format!("{:.0}", 100.0 * confidence))
    };
    bay.suspects().iter().map(line).collect()
}

fn faults(bank: &Bank) -> Vec<Faults> {
    let of = |component: &Component| Faults {
        component: component.name.clone(),
        modes: bank
            .catalogue()
            .modes()
            .filter(|mode| mode.component == *component)
            .map(|mode| (mode.id.clone(), mode.name.clone()))
            .collect(),
    };
    let all = bank.components().iter().map(of);
    all.filter(|one| !one.modes.is_empty()).collect()
}
