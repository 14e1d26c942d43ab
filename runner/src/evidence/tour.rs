//! A tour of set-ups in which every check could be made: what a hint, the best path and an author's
//! check choose from.
//!
//! Every car that could stand in the bay is taken on the same tour, and at each stop everything that
//! can be read is noted without spending time on it. What a check costs in minutes is added where a
//! path takes it.

use scenarios::{Bank, Case};
use sim_core::fluid::FluidError;
use sim_core::instruments::{Check, every_check};
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;
use std::sync::Arc;

use crate::action::{Action, Control, EngineSpeed, GaugeStep, Gear, Request, Sample};
use crate::evidence::column::Column;
use crate::evidence::explanation::{Explanation, Grain, PLACES};
use crate::evidence::follow::{Fleet, Progress};
use crate::evidence::layout::{Layout, Spread};
use crate::evidence::replay::{Replay, Stage};
use crate::evidence::seen::Seen;
use crate::evidence::table::Table;
use crate::safety::slips_of;
use crate::session::possible_on_the_road;

/// A stop of the tour.
#[derive(Clone, Debug, PartialEq)]
pub struct Stop {
    /// How the car is set up there, in words a learner knows.
    pub name: &'static str,
    /// What brings it there from the stop before.
    pub actions: Vec<Action>,
}

impl Stop {
    /// Shop time to get there, s.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        self.actions.iter().map(Action::seconds).sum()
    }
}

/// The stops, in the order of the tour.
#[must_use]
pub fn stops(model: &CarSpec) -> Vec<Stop> {
    let turn = Action::Turn;
    let minutes = |minutes: f64| Action::Wait(60.0 * minutes);
    let stop = |name, actions| Stop { name, actions };
    let top = model.air_box.top_step();
    vec![
        stop("as it came in, engine off", vec![Action::Wait(10.0)]),
        stop(
            "idling with the air conditioning on, doors open, blower full on, coldest, fresh air",
            vec![
                turn(Control::Doors(true)),
                turn(Control::Engine(EngineSpeed::Idle)),
                turn(Control::AirConditioning(true)),
                turn(Control::Blower(top)),
                turn(Control::Temperature(Request::Cold)),
                minutes(5.0),
            ],
        ),
        stop(
            "held at 2000 rpm, doors open, blower full on, fresh air",
            vec![
                turn(Control::Engine(EngineSpeed::Held(2000.0 / 60.0))),
                minutes(3.0),
            ],
        ),
        stop(
            "held at 3500 rpm, doors open, blower full on, fresh air",
            vec![
                turn(Control::Engine(EngineSpeed::Held(3500.0 / 60.0))),
                minutes(1.0),
            ],
        ),
        stop(
            "idling, doors open, the workshop fan in front",
            vec![
                turn(Control::Engine(EngineSpeed::Idle)),
                turn(Control::ShopFan(true)),
                minutes(3.0),
            ],
        ),
        stop(
            "idling for a quarter of an hour on recirculated air, doors closed",
            vec![
                turn(Control::ShopFan(false)),
                turn(Control::Doors(false)),
                turn(Control::Recirculate(true)),
                minutes(15.0),
            ],
        ),
        stop(
            "idling on recirculated air, doors closed, blower on its lowest step",
            vec![turn(Control::Blower(1)), minutes(3.0)],
        ),
        stop(
            "on the road at 60 km/h, blower full on",
            vec![
                turn(Control::Blower(top)),
                turn(Control::Road(60.0 / 3.6)),
                minutes(3.0),
            ],
        ),
        stop(
            "back in the bay, just switched off",
            vec![
                turn(Control::Road(0.0)),
                turn(Control::Engine(EngineSpeed::Off)),
                Action::Wait(30.0),
            ],
        ),
        stop("at rest for five minutes", vec![minutes(5.0)]),
    ]
}

/// Checks that one act makes together.
#[derive(Clone, Debug, PartialEq)]
pub struct Offer {
    /// Index of the stop.
    pub stop: usize,
    /// The act.
    pub action: Action,
    /// Columns it fills.
    pub columns: Vec<usize>,
}

impl Offer {
    /// Shop time of the act by itself, s.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        self.action.seconds()
    }

    /// Whether the gauge set has to be on for it.
    #[must_use]
    pub fn wants_gauges(&self) -> bool {
        self.action == Action::Gauges(GaugeStep::Read)
    }
}

/// Shop time to protect oneself and put the gauge set on, s.
#[must_use]
pub fn gauges_on_s() -> f64 {
    let protect = [Gear::Glasses, Gear::Gloves].map(Action::Wear);
    let on = [GaugeStep::Connect, GaugeStep::Open].map(Action::Gauges);
    protect.iter().chain(&on).map(Action::seconds).sum()
}

/// What every car shows on the tour.
#[derive(Clone, Debug, PartialEq)]
pub struct Tour {
    /// Every explanation of the case's car, at the tour's grain.
    pub explanations: Arc<Vec<Explanation>>,
    /// The stops.
    pub stops: Vec<Stop>,
    /// How the car is set up at each.
    pub setups: Vec<Setup>,
    /// What can be done at them without a slip.
    pub offers: Vec<Offer>,
    /// Columns: the checks of the first stop, then of the next.
    pub table: Table,
}

impl Tour {
    /// Takes every car on the tour.
    ///
    /// # Errors
    /// [`FluidError`] when the car's refrigerant is not known.
    pub fn run(
        bank: &Bank,
        case: &Case,
        grain: Grain,
        spread: Spread,
        progress: &dyn Progress,
    ) -> Result<Self, FluidError> {
        let mut fleet = Fleet::new(bank, case, grain, spread)?;
        let checks = every_check();
        let stops = stops(&case.vehicle.spec);
        progress.start(stops.len() * fleet.cars());
        let mut columns: Vec<Column> = Vec::with_capacity(stops.len() * checks.len());
        for stop in &stops {
            let shown = fleet.each(progress, |replay| at_stop(replay, stop, &checks));
            let table = fleet.table(checks.clone(), &shown);
            columns.extend(table.columns);
        }
        progress.finish();
        let layout = Layout::new(&fleet.explanations, spread);
        Self::of_columns(bank, case, &fleet.explanations, layout, columns)
    }

    /// A tour whose columns are known already.
    ///
    /// # Errors
    /// [`FluidError`] when the car's refrigerant is not known.
    pub fn of_columns(
        bank: &Bank,
        case: &Case,
        explanations: &Arc<Vec<Explanation>>,
        layout: Layout,
        columns: Vec<Column>,
    ) -> Result<Self, FluidError> {
        let checks = every_check();
        let stops = stops(&case.vehicle.spec);
        let (setups, offers) = offers(bank, case, &stops, &checks, &columns)?;
        Ok(Self {
            setups,
            table: Table {
                checks: stops.iter().flat_map(|_| checks.clone()).collect(),
                columns,
                layout,
            },
            explanations: Arc::clone(explanations),
            stops,
            offers,
        })
    }

    /// What one more car shows on the tour, column by column.
    #[must_use]
    pub fn walk(
        &self,
        stage: &Stage<'_>,
        car: &CarSpec,
        faults: &[(String, f64)],
    ) -> Vec<Option<Seen>> {
        let checks = every_check();
        let mut replay = stage.start(car, faults);
        let stops = self.stops.iter();
        stops
            .flat_map(|stop| at_stop(&mut replay, stop, &checks))
            .collect()
    }

    /// The same with a car that has walked it as one more explanation, the last: what a reader believes
    /// who looks as closely at an explanation's severities as its car needs. It stands for the cars
    /// nearest to it. `None` where the spread is not that of healthy cars.
    #[must_use]
    pub fn with(&self, explanation: usize, walked: &[Option<Seen>]) -> Option<Self> {
        let layout = self.table.layout.clone().with_one()?;
        let mut explanations = self.explanations.to_vec();
        let exact = explanations
            .get_mut(explanation)?
            .split_off(1.0 / PLACES as f64);
        explanations.push(exact);
        let columns = self.table.columns.iter().zip(walked);
        let columns = columns.map(|(column, seen)| column.clone().with(seen.as_ref()));
        Some(Self {
            explanations: Arc::new(explanations),
            table: Table {
                checks: self.table.checks.clone(),
                columns: columns.collect(),
                layout,
            },
            stops: self.stops.clone(),
            setups: self.setups.clone(),
            offers: self.offers.clone(),
        })
    }

    /// Shop time from one stop to another, both ways there included, s.
    #[must_use]
    pub fn way_s(&self, from: usize, to: usize) -> f64 {
        let stops = self.stops.iter().enumerate();
        stops
            .filter(|(index, _)| (from..=to).contains(index))
            .map(|(_, stop)| stop.seconds())
            .sum()
    }

    /// Number of columns a tour of this model has.
    #[must_use]
    pub fn width(model: &CarSpec) -> usize {
        stops(model).len() * every_check().len()
    }
}

fn at_stop(replay: &mut Replay, stop: &Stop, checks: &[Check]) -> Vec<Option<Seen>> {
    for action in &stop.actions {
        replay.perform(action, &[]);
    }
    replay.look_around(checks)
}

/// How each stop is set up and what can be done there, safely, on a healthy car of the model.
fn offers(
    bank: &Bank,
    case: &Case,
    stops: &[Stop],
    checks: &[Check],
    columns: &[Column],
) -> Result<(Vec<Setup>, Vec<Offer>), FluidError> {
    let stage = Stage::new(bank, case)?;
    let mut replay = stage.start(&case.vehicle.spec, &[]);
    let mut offers: Vec<Offer> = Vec::new();
    let mut setups = Vec::with_capacity(stops.len());
    for (stop, way) in stops.iter().enumerate() {
        for action in &way.actions {
            replay.perform(action, &[]);
        }
        setups.push(replay.car().setup().clone());
        let driving = replay.car().setup().road_speed_m_s > 0.0;
        for (index, check) in checks.iter().enumerate() {
            let column = stop * checks.len() + index;
            let action = act_of(*check);
            if columns[column].is_empty() || driving && !possible_on_the_road(*check) {
                continue;
            }
            // What goes on in the same act is one offer.
            if let Some(known) = offers
                .iter_mut()
                .find(|offer| offer.stop == stop && offer.action == action)
            {
                known.columns.push(column);
                continue;
            }
            let worn = [Gear::Glasses, Gear::Gloves];
            if slips_of(&action, replay.session(), &worn).is_empty() {
                offers.push(Offer {
                    stop,
                    action,
                    columns: vec![column],
                });
            }
        }
    }
    Ok((setups, offers))
}

/// The act that makes a check.
#[must_use]
pub fn act_of(check: Check) -> Action {
    match check {
        Check::LowGauge | Check::HighGauge => Action::Gauges(GaugeStep::Read),
        Check::AirTemperature(room) | Check::Humidity(room) => Action::Hygrometer(room),
        Check::GasShare(_) => Action::Identify(Sample::Vapour),
        other => Action::Check(other),
    }
}
