//! The bay: the car with its places, the controls, the tray, the notebook, the suspects.

use askama::Template;
use scenarios::units::{UnitSystem, format_temperature};
use scenarios::{Bank, Case, Component};

use crate::action::{Action, Conclusion, Gear, NO_FAULT, Work};
use crate::bay::{Bay, Note};
use crate::cli::service_page::{self, Service, service};
use crate::cli::vehicle_page::{Row, made_of, places};
use crate::draw::Link;
use crate::draw::behind_dash::behind_dash;
use crate::draw::places::{Place, called};
use crate::draw::under_bonnet::under_bonnet;
use crate::page::blanks::Sheet;
use crate::page::offers::{Control, Kind, controls, heed, kinds};
use crate::page::said::Said;
use crate::page::views::Clock;
use crate::page::views::bench::{OnBench, joints, on_bench, worked};
use crate::page::views::pressures::{Pressures, pressures};
use crate::page::views::shown::{dials, last, readouts, warns};
use crate::page::watch::{Watch, Watchable, watchable};
use crate::page::whereabouts::Where;
use crate::page::worker::Asked;
use crate::show;

/// How to go about a car that is not cold (common practice, no source).
const ADVISED: [&str; 7] = [
    "Read the work order: what was done to this car, and when did it begin?",
    "Put on glasses and gloves before anything at the loop. The maker's procedure and the law of the place come first.",
    "Look, listen and feel before anything is connected: belt, clutch, fans, filter, vents, and oil at the fittings.",
    "See that it is asked for: engine idling, air conditioning on, blower high, full cold. Give it some minutes before you judge a temperature.",
    "Read both pressures together, and each beside the temperature it belongs to; the table above says which.",
    "Say what you suspect, then look for the reading that would prove you wrong.",
    "Conclude when your readings leave nothing else, and tick those that do. Then repair what caused it, too, and prove that it holds.",
];

/// A reading's line in the notebook.
pub(in crate::page) struct NoteLine {
    pub number: usize,
    pub clock: String,
    pub words: String,
    pub value: String,
    pub set_up: String,
    /// It is among what the conclusion is to rest on.
    pub is_ticked: bool,
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
    /// In words, and as they are typed.
    pub actions: Vec<(String, String)>,
    /// What to heed before something is done there.
    pub heed: Option<&'static str>,
}

/// The vehicle's page.
pub(in crate::page) struct LookedUp<'a> {
    pub made_of: Vec<Row>,
    pub places: Vec<Row>,
    pub service: Service<'a>,
    /// It was looked up in the last step.
    pub is_new: bool,
}

/// A conclusion before anybody is held to it.
pub(in crate::page) struct Sure {
    /// As it would be typed.
    pub words: String,
    pub fault: String,
    pub cause: Option<String>,
    /// Readings it rests on: number, what, and value.
    pub because: Vec<(usize, String, String)>,
    /// Ids chosen: the fault, and its cause.
    pub chosen: (String, String),
}

/// What ends the work at a car.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::page) enum Ends {
    /// A debrief: practice.
    Debrief,
    /// The next task of a sitting.
    NextTask {
        /// The car is repaired, too.
        repair: bool,
        /// Longest on the shop clock, s.
        shop_s: f64,
    },
}

/// What a page of a car is made of.
pub(in crate::page) struct AtBay<'a> {
    pub bank: &'a Bank,
    /// How the addresses of this session begin.
    pub base: &'a str,
    pub token: &'a str,
    pub title: String,
    /// Who sits, in a sitting.
    pub who: Option<&'a str>,
    /// Steps taken so far, as the forms know them.
    pub steps: u64,
    pub bay: &'a Bay,
    pub case: &'a Case,
    pub units: UnitSystem,
    /// What the last step showed, or why it was not taken.
    pub said: &'a Said,
    /// The hint that was asked for last.
    pub hint: Option<&'a Asked>,
    /// Hints may be asked for.
    pub hints: bool,
    /// Time left on the wall.
    pub wall: Option<Clock>,
    pub ends: Ends,
}

#[derive(Template)]
#[template(path = "bay.html")]
pub(in crate::page) struct BayPage<'a> {
    pub base: &'a str,
    pub token: &'a str,
    pub title: String,
    pub who: Option<&'a str>,
    pub steps: u64,
    pub clock: String,
    /// Longest on the shop clock, min.
    pub shop_min: Option<String>,
    pub wall: Option<Clock>,
    pub set_up: String,
    /// Protection that is worn, in words.
    pub worn: String,
    /// What else is so around the car.
    pub around: Vec<&'static str>,
    pub order: Vec<OrderLine>,
    pub said: &'a Said,
    /// A hint in words, and whether it is still being worked out.
    pub hint: Option<(String, bool)>,
    /// What the last step gave, in lines that stay in sight.
    pub last: Vec<String>,
    /// They are to be heeded before anything else is done.
    pub warns: bool,
    /// Pictures of the car: under the bonnet, and behind the dash.
    pub bonnet: String,
    pub dash: String,
    pub at: Option<AtPlace>,
    pub controls: Vec<Control>,
    /// Dials of the gauge set, while it is on the car.
    pub dials: Vec<String>,
    /// What the last step read.
    pub readouts: Vec<String>,
    /// What can be watched, and what is being watched.
    pub watchable: Vec<Watchable>,
    pub watch: Option<Watch>,
    pub kinds: Vec<Kind>,
    /// Saturation pressures and temperatures of what the label says is in the loop.
    pub pressures: Pressures,
    /// The vehicle's service page, once it was looked up.
    pub looked_up: Option<LookedUp<'a>>,
    /// Parts that are off, and the joints of those put on here.
    pub bench: Vec<OnBench>,
    pub joints: Vec<(Sheet, String)>,
    /// The work that was done: when, what, and what it gave.
    pub worked: Vec<(String, String, String)>,
    pub notes: Vec<NoteLine>,
    /// Name and percent.
    pub suspects: Vec<(String, String)>,
    pub faults: Vec<Faults>,
    pub sure: Option<Sure>,
    /// How to go about it.
    pub advised: [&'static str; 7],
    pub is_concluded: bool,
    pub handed_over: bool,
    pub is_sitting: bool,
    /// Its repair is part of the work.
    pub is_repaired: bool,
}

impl<'a> BayPage<'a> {
    /// The page of a session; `at` is the place that is worked at, as its address names it.
    pub fn of(of: AtBay<'a>, whereabouts: &Where) -> Self {
        let AtBay {
            bank,
            base,
            bay,
            units,
            said,
            ..
        } = of;
        let at = whereabouts.at.as_deref();
        let vehicle = &of.case.vehicle;
        let sure = whereabouts.sure.as_deref();
        let sure = sure.and_then(|words| sure_of(bank, bay, units, words));
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
            who: of.who,
            steps: of.steps,
            clock: show::clock(bay.clock_s()),
            shop_min: match of.ends {
                Ends::Debrief => None,
                Ends::NextTask { shop_s, .. } => Some(format!("{:.0}", shop_s / 60.0)),
            },
            wall: of.wall,
            set_up: show::setup(bay.setup(), units),
            worn: worn(bay),
            around: around(bay),
            order: order(of.case, units),
            said,
            hint: of.hint.map(|hint| (hint.words(), hint.is_awaited())),
            last: last(bay, said, units),
            warns: warns(said),
            bonnet: under_bonnet(vehicle, &linked),
            dash: behind_dash(vehicle, &linked),
            at: place.map(|place| AtPlace {
                id: place.id,
                label: place.label,
                whereabouts: place.whereabouts,
                heed: (place.actions.iter()).find_map(|words| heed(words.split(' ').next()?)),
                actions: (place.actions.into_iter())
                    .map(|words| (words.replace('-', " "), words))
                    .collect(),
            }),
            controls: controls(bay, units),
            dials: dials(bay, units),
            readouts: readouts(bay, units),
            watchable: watchable(bay),
            watch: whereabouts.watch(of.steps),
            kinds: kinds(bay, of.hints, units),
            pressures: pressures(vehicle, bay.session().car().weather().pressure_pa(), units),
            looked_up: (bay.workshop().bench().read_data).then(|| LookedUp {
                made_of: made_of(vehicle, units),
                places: places(vehicle),
                service: service(vehicle, units),
                is_new: bay.actions().last() == Some(&Action::Work(Work::ServiceData)),
            }),
            bench: on_bench(bay),
            joints: joints(bay, units),
            worked: worked(bay, units),
            notes: notes(bay, units, sure.as_ref()),
            suspects: suspects(bank, bay),
            faults: faults(bank),
            sure,
            advised: ADVISED,
            is_concluded: bay.conclusion().is_some(),
            handed_over: bay.handed_over(),
            is_sitting: of.ends != Ends::Debrief,
            is_repaired: !matches!(of.ends, Ends::NextTask { repair: false, .. }),
        }
    }

    /// Whether something is chosen in a list already.
    fn picked(&self, list: &str, id: &str) -> bool {
        let chosen = self.sure.as_ref().map(|sure| match list {
            "fault" => sure.chosen.0.as_str(),
            "cause" => sure.chosen.1.as_str(),
            _ => "",
        });
        chosen == Some(id)
    }
}

fn worn(bay: &Bay) -> String {
    let name = |gear: &Gear| match gear {
        Gear::Glasses => "glasses",
        Gear::Gloves => "gloves",
    };
    let names: Vec<&str> = bay.worn().iter().map(name).collect();
    names.join(" and ")
}

fn around(bay: &Bay) -> Vec<&'static str> {
    let car = bay.session().car();
    let service = &car.state().service;
    let all = [
        (service.ventilated, "The bay is aired."),
        (service.pump_on, "The vacuum pump is drawing."),
        (car.is_pressed(), "The loop is under test gas."),
        (
            car.stands_open() && service.capped,
            "The loop stands open, its ends capped.",
        ),
        (
            car.stands_open() && !service.capped,
            "The loop stands open.",
        ),
    ];
    let so = all.into_iter().filter(|(is, _)| *is);
    so.map(|(_, words)| words).collect()
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

fn notes(bay: &Bay, units: UnitSystem, sure: Option<&Sure>) -> Vec<NoteLine> {
    let ticked = |number| sure.is_some_and(|sure| sure.because.iter().any(|one| one.0 == number));
    let line = |note: &Note| NoteLine {
        number: note.number,
        clock: show::clock(note.at_s),
        words: note.words.clone(),
        value: show::value(&note.reading.value, units),
        set_up: show::setup(&note.setup, units),
        is_ticked: ticked(note.number),
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

/// A conclusion as an address has it; none where it is none, or comes too late.
fn sure_of(bank: &Bank, bay: &Bay, units: UnitSystem, words: &str) -> Option<Sure> {
    let Ok(Action::Conclude(concluded)) = Action::parse(words) else {
        return None;
    };
    let Ok(Action::Conclude(concluded)) = bay.resolved(&Action::Conclude(concluded)) else {
        return None;
    };
    if bay.conclusion().is_some() {
        return None;
    }
    let Conclusion {
        fault,
        cause,
        because,
    } = &concluded;
    let rests_on = |note: &&Note| because.contains(&note.number);
    let because = bay.notes().iter().filter(rests_on).map(|note| {
        let value = show::value(&note.reading.value, units);
        (note.number, note.words.clone(), value)
    });
    Some(Sure {
        fault: name_of(bank, fault),
        cause: cause.as_ref().map(|cause| name_of(bank, cause)),
        because: because.collect(),
        chosen: (fault.clone(), cause.clone().unwrap_or_default()),
        words: Action::Conclude(concluded).to_string(),
    })
}

pub(super) fn name_of(bank: &Bank, id: &str) -> String {
    if id == NO_FAULT {
        return "nothing is broken".to_owned();
    }
    let component = bank.components().iter().find(|one| one.id == id);
    let component = component.map_or(id, |one| &one.name);
    (bank.catalogue().get(id)).map_or_else(|| component.to_owned(), |mode| mode.name.clone())
}
