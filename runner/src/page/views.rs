//! What stands on each page.

use askama::Template;
use scenarios::units::{UnitSystem, format_temperature};
use scenarios::{Bank, Case};

use super::desk::Desk;
use super::offers::{Kind, kinds};
use crate::bay::Bay;
use crate::show;

/// A case in the list.
pub(super) struct CaseLine {
    pub id: String,
    pub title: String,
    pub vehicle: String,
    pub says: String,
}

/// A session that can be gone on with.
pub(super) struct Begun {
    pub id: String,
    pub title: String,
}

#[derive(Template)]
#[template(path = "home.html")]
pub(super) struct Home<'a> {
    pub token: &'a str,
    /// Level and its cases.
    pub levels: Vec<(u8, Vec<CaseLine>)>,
    pub begun: Vec<Begun>,
}

impl<'a> Home<'a> {
    pub fn of(bank: &Bank, token: &'a str, begun: Vec<Begun>) -> Self {
        let level = |level| {
            let cases = bank.cases().filter(|case| case.level == level);
            let line = |case: &scenarios::Scenario| CaseLine {
                id: case.id.clone(),
                title: case.title.clone(),
                vehicle: (bank.vehicle(&case.vehicle))
                    .map_or_else(|| case.vehicle.clone(), |one| one.name.clone()),
                says: case.work_order.complaint.clone(),
            };
            (level, cases.map(line).collect())
        };
        Self {
            token,
            levels: [1, 2, 3].map(level).into(),
            begun,
        }
    }
}

/// A reading's line in the notebook.
pub(super) struct NoteLine {
    pub number: usize,
    pub clock: String,
    pub words: String,
    pub value: String,
    pub set_up: String,
}

/// The faults of a component.
pub(super) struct Faults {
    pub component: String,
    /// Id and name.
    pub modes: Vec<(String, String)>,
}

/// A line of the work order.
pub(super) struct OrderLine {
    pub label: &'static str,
    pub words: String,
}

#[derive(Template)]
#[template(path = "bay.html")]
pub(super) struct BayPage<'a> {
    pub id: &'a str,
    pub token: &'a str,
    pub title: &'a str,
    pub steps: usize,
    pub clock: String,
    pub set_up: String,
    pub order: Vec<OrderLine>,
    pub said: &'a str,
    pub kinds: Vec<Kind>,
    pub notes: Vec<NoteLine>,
    /// Name and percent.
    pub suspects: Vec<(String, String)>,
    pub faults: Vec<Faults>,
    pub is_concluded: bool,
    pub handed_over: bool,
}

impl<'a> BayPage<'a> {
    pub fn of(bank: &Bank, (id, token): (&'a str, &'a str), desk: &'a Desk) -> Self {
        let bay = &desk.bay;
        Self {
            id,
            token,
            title: &desk.case.scenario.title,
            steps: bay.actions().len(),
            clock: show::clock(bay.clock_s()),
            set_up: show::setup(bay.setup(), desk.units),
            order: order(&desk.case, desk.units),
            said: &desk.said,
            kinds: kinds(bay),
            notes: notes(bay, desk.units),
            suspects: suspects(bank, bay),
            faults: faults(bank),
            is_concluded: bay.conclusion().is_some(),
            handed_over: bay.handed_over(),
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

fn notes(bay: &Bay, units: UnitSystem) -> Vec<NoteLine> {
    let line = |note: &crate::bay::Note| NoteLine {
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
    let of = |component: &scenarios::Component| Faults {
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

#[derive(Template)]
#[template(path = "debrief.html")]
pub(super) struct DebriefPage<'a> {
    pub id: &'a str,
    pub title: &'a str,
    /// The debrief, once it is made.
    pub text: Option<String>,
    /// Why there is none.
    pub failed: Option<String>,
}

#[derive(Template)]
#[template(path = "sorry.html")]
pub(super) struct Sorry<'a> {
    pub why: &'a str,
}
