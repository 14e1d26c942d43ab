//! A case's car beside the same individual healthy, at the main set-ups of the tour.
//!
//! What is shown is true, before an instrument errs; what the instruments of the bay err by says only
//! which differences a learner can see.

use rayon::join;
use scenarios::{Bank, Case};
use sim_core::car::Car;
use sim_core::fluid::FluidError;
use sim_core::instruments::{Check, Line, Named, Room, ToolSpec, Unit, Vent, every_check};
use sim_core::setup::Setup;

use crate::action::{Action, Control};
use crate::author::derived::{Derived, derived};
use crate::evidence::replay::{Replay, Stage};
use crate::evidence::seen::{Seen, Swing};
use crate::evidence::tour::{Stop, act_of, stops};
use crate::grade::present;

/// Both cars at one set-up.
#[derive(Clone, Debug, PartialEq)]
pub struct SetUp {
    /// How the cars are set up, in words a learner knows.
    pub name: &'static str,
    /// The controls.
    pub setup: Setup,
    /// Numbers of both cars.
    pub numbers: Vec<Number>,
    /// What senses and scan tool find otherwise on the faulty car.
    pub findings: Vec<Finding>,
}

/// A number of both cars, each from its least to its greatest value over a moment, SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Number {
    /// What it is.
    pub words: String,
    /// Its quantity.
    pub of: Quantity,
    /// On the healthy car; `None` where it cannot be had.
    pub healthy: Option<(f64, f64)>,
    /// On the faulty one.
    pub faulty: Option<(f64, f64)>,
    /// They differ by more than the instrument may err by.
    pub differs: bool,
}

/// The quantity of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Of an instrument.
    Read(Unit),
    /// A difference of temperatures, K.
    Difference,
    /// A flow of air, m³/s.
    AirFlow,
}

/// A check that finds something else on the faulty car.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The act that finds it.
    pub action: Action,
    /// On the healthy car; empty where it cannot be had.
    pub healthy: String,
    /// On the faulty one.
    pub faulty: String,
}

/// Stops of the tour that are compared: as it came in, idling, held at 2000 rpm, a quarter of an hour on
/// recirculated air, and on the road.
const MAIN: [usize; 5] = [0, 1, 2, 5, 7];

/// Takes both cars on the tour and compares them at its main stops.
///
/// # Errors
/// [`FluidError`] when the car's refrigerant is not known.
pub fn compared(bank: &Bank, case: &Case) -> Result<Vec<SetUp>, FluidError> {
    let stage = Stage::new(bank, case)?;
    let stops = stops(&case.vehicle.spec);
    let faults = present(case);
    let (healthy, faulty) = join(
        || toured(stage.start(&case.healthy, &[]), &stops),
        || toured(stage.start(&case.healthy, &faults), &stops),
    );
    let both = healthy.into_iter().zip(faulty);
    Ok(both
        .map(|(healthy, faulty)| healthy.beside(faulty))
        .collect())
}

/// A car at one stop.
struct Stood {
    name: &'static str,
    car: Car,
    seen: Vec<Option<Seen>>,
    derived: Derived,
}

fn toured(mut replay: Replay, stops: &[Stop]) -> Vec<Stood> {
    let checks = every_check();
    let mut stood = Vec::new();
    for (index, stop) in stops.iter().enumerate() {
        for action in &stop.actions {
            replay.perform(action, &[]);
        }
        if MAIN.contains(&index) {
            stood.push(Stood {
                name: stop.name,
                car: replay.car().clone(),
                seen: replay.look_around(&checks),
                derived: derived(replay.session()),
            });
        }
    }
    stood
}

impl Stood {
    fn beside(self, faulty: Self) -> SetUp {
        let mut numbers = Vec::new();
        let mut more = Vec::new();
        let mut findings = Vec::new();
        let each = every_check()
            .into_iter()
            .zip(self.seen.iter().zip(&faulty.seen));
        for (check, (healthy, faulty)) in each {
            let Some(tool) = check.tool() else {
                findings.extend(finding(check, healthy.as_ref(), faulty.as_ref()));
                continue;
            };
            let spec = tool.spec();
            let (healthy, faulty) = (ends(healthy.as_ref()), ends(faulty.as_ref()));
            let number = Number {
                words: words(check, &self.car),
                of: Quantity::Read(spec.unit),
                healthy,
                faulty,
                differs: differ(healthy, faulty, |value| spec.limit_of_error(value)),
            };
            if !number.is_there() {
                continue;
            }
            if is_main(check, &self.car) {
                numbers.push(number);
            } else if number.is_apart(&spec) && !repeats(check) {
                more.push(number);
            }
        }
        if self.car.setup().engine_rev_s > 0.0 {
            numbers.extend(self.derived.beside(&faulty.derived));
        }
        numbers.extend(more);
        SetUp {
            name: self.name,
            setup: self.car.setup().clone(),
            numbers,
            findings,
        }
    }
}

impl Number {
    /// Whether one of the cars shows it.
    #[must_use]
    pub fn is_there(&self) -> bool {
        self.healthy.is_some() || self.faulty.is_some()
    }

    /// Whether it differs and no moment of one car shows what the other shows all the time: where a
    /// compressor comes and goes, so does every voltage of its circuit, and says no more than that.
    fn is_apart(&self, tool: &ToolSpec) -> bool {
        let within = |inner: (f64, f64), outer: (f64, f64)| {
            let error = tool.limit_of_error(inner.1);
            outer.0 - error <= inner.0 && inner.1 <= outer.1 + error
        };
        let same = match (self.healthy, self.faulty) {
            (Some(healthy), Some(faulty)) => within(healthy, faulty) || within(faulty, healthy),
            _ => false,
        };
        self.differs && !same
    }
}

/// What a number is, shorter than a notebook has it: its unit stands beside it.
fn words(check: Check, car: &Car) -> String {
    let place = |name: &str| name.replace('-', " ");
    match check {
        Check::LineTemperature(line) => format!("pipe: {}", place(line.name())),
        Check::VentTemperature(vent) => format!("air at the {}", place(vent.name())),
        Check::AirTemperature(room) => format!("air: {}", place(room.name())),
        other => other.words_on(car.spec()),
    }
}

/// What is shown whether it differs or not: both gauges, the lines, the air that comes out. At rest only
/// the pressures and the cabin say something.
fn is_main(check: Check, car: &Car) -> bool {
    let runs = car.setup().engine_rev_s > 0.0;
    match check {
        Check::LowGauge | Check::HighGauge | Check::AirTemperature(Room::Cabin) => true,
        Check::VentTemperature(vent) | Check::AirSpeed(vent) => runs && vent == Vent::Centre,
        Check::LineTemperature(line) => {
            runs && [
                Line::CompressorDischarge,
                Line::CondenserOutlet,
                Line::LiquidLine,
                Line::EvaporatorInlet,
                Line::EvaporatorOutlet,
                Line::CompressorSuction,
            ]
            .contains(&line)
        }
        _ => false,
    }
}

/// What only says again what another check says.
fn repeats(check: Check) -> bool {
    matches!(
        check,
        Check::Infrared(..) | Check::ScanPressure | Check::Humidity(_)
    )
}

fn finding(check: Check, healthy: Option<&Seen>, faulty: Option<&Seen>) -> Option<Finding> {
    let words = |seen: Option<&Seen>| match seen {
        Some(Seen::Findings(found)) => {
            let words: Vec<&str> = found.iter().map(|one| one.words).collect();
            words.join("; or ")
        }
        _ => String::new(),
    };
    let (healthy, faulty) = (words(healthy), words(faulty));
    (healthy != faulty).then(|| Finding {
        action: act_of(check),
        healthy,
        faulty,
    })
}

fn ends(seen: Option<&Seen>) -> Option<(f64, f64)> {
    match seen? {
        Seen::Range(low, high) => Some((*low, *high)),
        Seen::Swing(Swing([low, .., high])) => Some((*low, *high)),
        Seen::Findings(_) => None,
    }
}

/// Whether either end differs by more than an error; a number that only one car shows differs.
pub(super) fn differ(
    one: Option<(f64, f64)>,
    other: Option<(f64, f64)>,
    error: impl Fn(f64) -> f64,
) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => [(one.0, other.0), (one.1, other.1)]
            .into_iter()
            .any(|(one, other)| (one - other).abs() > error(one)),
        (one, other) => one != other,
    }
}

/// The controls that put a car where the tour idles: what a picture of its cycle is taken at.
#[must_use]
pub fn idling(case: &Case) -> Vec<Control> {
    let stops = stops(&case.vehicle.spec);
    let actions = stops.into_iter().nth(1).map(|stop| stop.actions);
    let controls = actions.into_iter().flatten();
    controls
        .filter_map(|action| match action {
            Action::Turn(control) => Some(control),
            _ => None,
        })
        .collect()
}
