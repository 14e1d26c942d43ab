//! `coldtrail chart`: pressure-enthalpy and pressure-temperature charts as SVG.

use std::path::PathBuf;
use std::sync::Arc;

use clap::{Args, Subcommand};
use scenarios::quantity::{Dimension, parse_as};
use scenarios::units::{UnitSystem, format_temperature};
use scenarios::{Bank, Case};
use sim_core::car::Car;
use sim_core::fluid::Fluid;

use crate::action::{Action, Control};
use crate::chart::cycle::Cycle;
use crate::chart::shown::Units as ShownUnits;
use crate::chart::{ph, pt};
use crate::cli::set_up::SetUpArgs;
use crate::cli::which_car::{CarArgs, altitude_m};
use crate::cli::{Units, readings};
use crate::session::{Session, Watcher};
use crate::show;

/// What `coldtrail chart` is asked.
#[derive(Args, Clone, Debug)]
pub struct ChartArgs {
    #[command(subcommand)]
    chart: Kind,
}

#[derive(Subcommand, Clone, Debug)]
enum Kind {
    /// Pressure and enthalpy, with the running cycle of a car
    Ph(Box<PhArgs>),
    /// Pressure and temperature of saturation, in both units
    Pt(PtArgs),
}

/// What `coldtrail chart ph` is asked.
#[derive(Args, Clone, Debug)]
pub struct PhArgs {
    /// The car whose cycle is drawn
    #[command(flatten)]
    pub car: CarArgs,
    /// Draw the same car without its faults beside it
    #[arg(long)]
    pub compare_healthy: bool,
    /// How long it has run, such as 10min
    #[arg(long = "for", value_name = "TIME", default_value = "10min")]
    pub length: String,
    /// How it is set up
    #[command(flatten)]
    pub set_up: SetUpArgs,
    /// Units to label it in
    #[arg(long, value_enum, default_value = "si")]
    pub units: Units,
    /// Write to a file instead of the screen
    #[arg(long, visible_alias = "output", value_name = "FILE.svg")]
    pub out: Option<PathBuf>,
}

/// What `coldtrail chart pt` is asked.
#[derive(Args, Clone, Debug)]
pub struct PtArgs {
    /// The refrigerant: R-134a or R-1234yf
    pub fluid: String,
    /// Height above the sea of the gauges it is for, such as 1500m [default: 0 m]
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    pub altitude: Option<String>,
    /// Write to a file instead of the screen
    #[arg(long, visible_alias = "output", value_name = "FILE.svg")]
    pub out: Option<PathBuf>,
}

/// Longest run before a chart, s.
const LONGEST_S: f64 = 86_400.0;
/// How long to wait for a clutch that has just let go, s.
const PATIENCE_S: f64 = 300.0;
/// A clutch that switched less long ago is told of, s: pressures are still on their way.
const LATELY_S: f64 = 30.0;
/// How long the compressor is to have turned by then, s.
const TURNING_S: f64 = 10.0;

/// Draws the chart: the text to print, or nothing where it went to a file.
///
/// # Errors
/// A sentence that says what to change.
pub fn run(bank: &Bank, args: &ChartArgs) -> Result<String, String> {
    let (svg, out) = match &args.chart {
        Kind::Ph(args) => (pressure_enthalpy(bank, args)?, &args.out),
        Kind::Pt(args) => {
            let fluid = Fluid::by_name(&args.fluid).map_err(|error| error.to_string())?;
            let altitude_m = altitude_m(args.altitude.as_deref())?;
            (pt::draw(&fluid, altitude_m), &args.out)
        }
    };
    match out {
        Some(path) => readings::save(path, svg.as_bytes()).map(|()| String::new()),
        None => Ok(svg),
    }
}

fn pressure_enthalpy(bank: &Bank, args: &PhArgs) -> Result<String, String> {
    let case = args.car.case(bank)?;
    let length_s =
        parse_as(&args.length, Dimension::Duration).map_err(|error| format!("--for: {error}"))?;
    if !(0.0..=LONGEST_S).contains(&length_s) {
        return Err(format!(
            "--for: `{}` is not a length of a run; give 0 s to 24 h",
            args.length
        ));
    }
    let controls = args.set_up.controls(case.healthy.air_box.top_step())?;
    let cycles = Cycles::of(&case, &controls, length_s, args.compare_healthy)?;
    Ok(cycles.svg(name(&case, args), UnitSystem::from(args.units)))
}

/// The running cycle of a case's car, and that of the same car healthy where it is to be compared.
pub(crate) struct Cycles<'a> {
    case: &'a Case,
    car: (Session, Switched),
    healthy: Option<(Session, Switched)>,
}

impl<'a> Cycles<'a> {
    /// Runs the car, or both, with these controls for a time.
    ///
    /// # Errors
    /// A sentence where it cannot be run.
    pub(crate) fn of(
        case: &'a Case,
        controls: &[Control],
        length_s: f64,
        compare_healthy: bool,
    ) -> Result<Self, String> {
        let fluid = Fluid::by_name(&case.healthy.refrigerant).map_err(|error| error.to_string())?;
        let fluid = Arc::new(fluid);
        let car = ran(case.car(Arc::clone(&fluid)), controls, length_s)?;
        let healthy = if compare_healthy {
            let car = case.car_with(fluid, &[]);
            Some(ran(car, controls, length_s)?)
        } else {
            None
        };
        Ok(Self { case, car, healthy })
    }

    /// The car's cycle.
    pub(super) fn car(&self) -> Cycle {
        Cycle::of(self.car.0.car())
    }

    /// That of the same car healthy.
    pub(super) fn healthy(&self) -> Option<Cycle> {
        let healthy = self.healthy.as_ref();
        healthy.map(|(session, _)| Cycle::of(session.car()))
    }

    /// What to know before reading them: where a cycle is still on its way.
    pub(super) fn notes(&self) -> Vec<String> {
        let (session, switched) = &self.car;
        let mut notes = Vec::from_iter(switched.words(session));
        if let Some((session, switched)) = &self.healthy {
            let words = switched.words(session);
            notes.extend(words.map(|words| format!("Healthy: {words}")));
        }
        notes
    }

    /// The day and the controls, a line.
    pub(super) fn conditions(&self, system: UnitSystem) -> String {
        let weather = self.case.weather();
        format!(
            "{}, {:.0} % humidity{}; {}",
            format_temperature(weather.temperature_k, system, 0),
            100.0 * weather.relative_humidity,
            show::height(weather.altitude_m, system),
            show::setup(self.car.0.setup(), system)
        )
    }

    /// The picture; `car` says whose cycle it is.
    pub(crate) fn svg(&self, car: String, system: UnitSystem) -> String {
        let session = &self.car.0;
        ph::draw(&ph::Chart {
            fluid: session.car().fluid(),
            car,
            conditions: self.conditions(system),
            taken: taken(session),
            notes: self.notes(),
            cycle: self.car(),
            healthy: self
                .healthy
                .as_ref()
                .map(|(session, _)| (taken(session), Cycle::of(session.car()))),
            units: ShownUnits::of(system),
        })
    }
}

/// Whose cycle it is. A case does not tell its fault; what was asked for is no secret.
fn name(case: &Case, args: &PhArgs) -> String {
    let seed = case.seed;
    let vehicle = &case.vehicle.name;
    match (&args.car.case, args.car.faults.is_empty()) {
        (Some(id), _) => format!("{vehicle}, case {id}, seed {seed}"),
        (None, true) => format!("{vehicle}, seed {seed}, healthy"),
        (None, false) => {
            let faults: Vec<String> = case
                .present()
                .map(|(mode, severity)| format!("{} ({})", mode.name, mode.severity.show(severity)))
                .collect();
            format!("{vehicle}, seed {seed}, with {}", faults.join(" and "))
        }
    }
}

fn taken(session: &Session) -> String {
    format!("after {} min", show::clock(session.car().state().time_s))
}

/// When a compressor last began to turn or came to rest.
#[derive(Clone, Copy, Debug)]
struct Switched {
    turns: bool,
    at_s: f64,
}

impl Watcher for Switched {
    fn watch(&mut self, car: &Car, step_s: f64) {
        let turns = car.state().compressor_rev_s > 0.0;
        if turns != self.turns {
            // It switches at the start of a step.
            let at_s = car.state().time_s - step_s;
            *self = Self { turns, at_s };
        }
    }
}

impl Switched {
    /// What to say of a loop that is still on its way, or nothing.
    fn words(&self, session: &Session) -> Option<String> {
        let car = session.car();
        let ago_s = car.state().time_s - self.at_s;
        if ago_s >= LATELY_S {
            return None;
        }
        let what = match (car.spec().clutch.is_some(), self.turns) {
            (true, true) => "The clutch pulled in",
            (true, false) => "The clutch let go",
            (false, true) => "The compressor began to turn",
            (false, false) => "The compressor came to rest",
        };
        let ago = if ago_s < 0.5 {
            "a moment".to_owned()
        } else {
            format!("{ago_s:.0} s")
        };
        Some(format!("{what} {ago} ago: nothing is steady yet."))
    }
}

/// A car run for a time and then, where its clutch has let go, until the compressor turns again.
fn ran(car: Car, controls: &[Control], length_s: f64) -> Result<(Session, Switched), String> {
    let mut session = Session::new(car);
    let mut switched = Switched {
        turns: false,
        at_s: f64::NEG_INFINITY,
    };
    for control in controls {
        session
            .turn(control)
            .map_err(|refusal| refusal.to_string())?;
    }
    let mut pass = |session: &mut Session, seconds: f64| {
        session
            .perform(&Action::Wait(seconds), &mut switched)
            .map(|_| switched)
            .map_err(|refusal| refusal.to_string())
    };
    let last = pass(&mut session, length_s)?;
    if length_s == 0.0 || session.car().state().compressor_rev_s > 0.0 {
        return Ok((session, last));
    }
    // Where it comes on for moments only, the end of the longest shows most.
    let mut longest = (0.0, session.clone(), last);
    let mut turned_s = 0.0;
    for _ in 0..PATIENCE_S as usize {
        let last = pass(&mut session, 1.0)?;
        turned_s = if session.car().state().compressor_rev_s > 0.0 {
            turned_s + 1.0
        } else {
            0.0
        };
        if turned_s > longest.0 {
            longest = (turned_s, session.clone(), last);
        }
        if turned_s >= TURNING_S {
            break;
        }
    }
    Ok((longest.1, longest.2))
}
