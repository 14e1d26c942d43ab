//! A car in the bay under a learner's hands: actions applied, nothing judged, nothing noisy.
//!
//! The same code runs the learner's own car and, for the grade, the cars with
//! other faults that could have stood there instead.

use std::fmt;

use scenarios::Case;
use sim_core::air;
use sim_core::car::{Car, Stalled};
use sim_core::instruments::{Check, Impossible, Line, Misuse, Named, Truth, Watch, truth};
use sim_core::setup::{Setup, Temperature};
use sim_core::spec::Leak;

use crate::action::{Action, Control, EngineSpeed, Request};
use crate::followed::Followed;

/// Where the gauge set is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gauges {
    /// On the trolley.
    Off,
    /// Couplings on, their valves shut.
    Connected,
    /// Couplings on and open.
    Open,
}

/// Why an action was not carried out. Nothing has changed and no time has passed.
#[derive(Clone, Debug, PartialEq)]
pub enum Refusal {
    /// The check cannot be made on this car as it stands.
    Impossible(Impossible),
    /// The blower has no such step.
    NoSuchStep {
        /// Step asked for.
        asked: usize,
        /// Highest step.
        top: usize,
    },
    /// The gauge set is not where the step needs it.
    GaugesAre(Gauges),
    /// A car on the road cannot be had with the doors open or with work going on under the bonnet.
    OnTheRoad,
    /// Nothing of the kind here.
    NoSuchLine {
        /// Line asked for.
        line: &'static str,
        /// Lines the car has.
        has: Vec<&'static str>,
    },
    /// The gauge set is on the ports.
    PortsTaken,
    /// Nobody drives off with the gauge set on the ports.
    GaugesInTheWay,
    /// The recovery machine works on a standing engine.
    EngineOn,
    /// A loop is evacuated with the engine off.
    EngineOnAtPump,
    /// The vacuum pump is on the ports and draws.
    PumpDraws,
    /// No vacuum pump draws.
    NoPump,
    /// A part of the loop is off.
    LoopOpen,
    /// The loop is under the pressure of a test gas.
    UnderGas,
    /// A bath would not warm the cylinder: it is as warm already.
    CylinderIsWarm,
    /// Pressure has ruined the vacuum gauge.
    VacuumGaugeRuined,
    /// The simulation could not follow.
    Stalled(Stalled),
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Impossible(why) => why.fmt(f),
            Self::NoSuchStep { asked, top } => {
                write!(f, "the blower has no step {asked}; it has 0 (off) to {top}")
            }
            Self::GaugesAre(Gauges::Off) => f.write_str(
                "the gauge set is not on the car: `gauges connect`, then `gauges open`, then `gauges read`",
            ),
            Self::GaugesAre(Gauges::Connected) => f.write_str(
                "the couplings are on but shut: `gauges open` to watch them, `gauges disconnect` to take them off",
            ),
            Self::GaugesAre(Gauges::Open) => {
                f.write_str("the couplings are on and open already: `gauges read` or `gauges close`")
            }
            Self::OnTheRoad => f.write_str(
                "the car is on the road: stop it with `road 0 km/h` first; only the vents, the cabin air and the scan tool can be read while driving",
            ),
            Self::NoSuchLine { line, has } => {
                write!(f, "this car has no {line} to loosen; it has {}", has.join(", "))
            }
            Self::PortsTaken => f.write_str(
                "the gauge set is on the service ports: `gauges close` and `gauges disconnect` first",
            ),
            Self::GaugesInTheWay => f.write_str(
                "the gauge set is on the service ports, and its hoses would catch in belt and fan or tear off and spray: `gauges close` and `gauges disconnect` before driving",
            ),
            Self::EngineOn => f.write_str(
                "refrigerant is recovered with the engine off: set `engine off` first",
            ),
            Self::EngineOnAtPump => f.write_str(
                "a loop is evacuated with the engine off: set `engine off` first",
            ),
            Self::PumpDraws => f.write_str(
                "the vacuum pump is drawing at both service ports: `evacuate off` first",
            ),
            Self::LoopOpen => f.write_str(
                "the loop stands open: what goes in comes out again, and a pump draws the shop's air; put on what is off first",
            ),
            Self::UnderGas => f.write_str(
                "the loop is under the pressure of the gas it was pressed with: let it out first, with `press off`",
            ),
            Self::NoPump => f.write_str("no vacuum pump is drawing: `evacuate on` starts it"),
            Self::CylinderIsWarm => f.write_str(
                "the cylinder is as warm as such a bath already: water goes no higher than 40 °C",
            ),
            Self::VacuumGaugeRuined => f.write_str(
                "the vacuum gauge has been ruined by the pressure it was put on; there is no other in the shop",
            ),
            Self::Stalled(stalled) => stalled.fmt(f),
        }
    }
}

impl std::error::Error for Refusal {}

/// A car, its controls and the gauge set.
#[derive(Clone, Debug)]
pub struct Session {
    pub(crate) car: Car,
    pub(crate) setup: Setup,
    pub(crate) gauges: Gauges,
    pub(crate) vacuum_gauge_ruined: bool,
}

/// What is watched while an action takes its time.
pub trait Watcher {
    /// Called after each step of the integrator.
    fn watch(&mut self, car: &Car, step_s: f64);
}

/// Watches nothing.
pub struct Nobody;

impl Watcher for Nobody {
    fn watch(&mut self, _car: &Car, _step_s: f64) {}
}

/// What an action gave: truths, before an instrument errs.
pub type Truths = Vec<(Check, Truth)>;

/// Time to change a control, s.
const CONTROL_S: f64 = 5.0;
/// Time to write a suspect or a conclusion down, s.
const THINK_S: f64 = 5.0;
/// Time to put protection on, s.
const WEAR_S: f64 = 15.0;
/// Time to open the bay's doors and start the extractor, s.
const VENTILATION_S: f64 = 30.0;
/// Time to bring the car to a road speed or back, s.
const DRIVE_S: f64 = 20.0;
/// Time to loosen a fitting, s.
const LOOSEN_S: f64 = 60.0;
/// Flow area of a loosened fitting, m² (from memory).
const LOOSE_AREA_M2: f64 = 1e-6;

impl Session {
    /// A session on a car as it was handed over.
    #[must_use]
    pub fn new(mut car: Car) -> Self {
        // The gauge set was last zeroed somewhere at sea level.
        car.zero_gauges(air::atmospheric_pressure_pa(0.0));
        Self {
            car,
            setup: Setup::parked(),
            gauges: Gauges::Off,
            vacuum_gauge_ruined: false,
        }
    }

    /// The car of a case as it stands.
    #[must_use]
    pub fn of(case: &Case, fluid: std::sync::Arc<sim_core::fluid::Fluid>) -> Self {
        Self::new(case.car(fluid))
    }

    /// Zeroes the gauge set in the air around the car, without letting time pass.
    pub fn zero_gauges(&mut self) {
        self.car.zero_gauges(self.car.weather().pressure_pa());
    }

    /// The car.
    #[must_use]
    pub fn car(&self) -> &Car {
        &self.car
    }

    /// The controls.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// The gauge set.
    #[must_use]
    pub fn gauges(&self) -> Gauges {
        self.gauges
    }

    /// Carries an action out.
    ///
    /// # Errors
    /// [`Refusal`]; the session is then as it was before.
    pub fn perform(
        &mut self,
        action: &Action,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        match action {
            Action::Check(Check::Vacuum) => self.read_vacuum(watcher),
            Action::Check(check) => self.check(&[*check], watcher),
            Action::HygrometerQuick(room) => {
                let wrongly = [Misuse::AirQuick(*room), Misuse::HumidityQuick(*room)];
                self.check(&wrongly.map(Check::Misused), watcher)
            }
            Action::Identify(sample) => self.identify(*sample, watcher),
            Action::Recover(seconds) => self.recover(*seconds, watcher),
            Action::Evacuate(on) => self.evacuate(*on, watcher),
            Action::Charge(phase, kg) => self.charge(*phase, *kg, watcher),
            Action::Ventilate(on) => {
                self.car.ventilate(*on);
                self.pass(VENTILATION_S, watcher)
            }
            Action::WarmCylinder(with) => self.warm_cylinder(*with, watcher),
            Action::AddDye => self.add_dye(watcher),
            Action::Wipe(spot) => self.wipe(*spot, watcher),
            Action::Hygrometer(room) => self.check(
                &[Check::AirTemperature(*room), Check::Humidity(*room)],
                watcher,
            ),
            Action::Gauges(step) => self.handle_gauges(*step, watcher),
            Action::Loosen(line) => self.loosen(*line, watcher),
            Action::Wait(seconds) => self.pass(*seconds, watcher),
            Action::Wear(_) => self.pass(WEAR_S, watcher),
            Action::Suspect { .. } | Action::Hint | Action::Conclude(_) => {
                self.pass(THINK_S, watcher)
            }
            Action::Turn(control) => {
                let seconds = self.turn(control)?;
                self.pass(seconds, watcher)
            }
            // What work does to the car is the workshop's; by itself it is time that passes.
            Action::Work(work) => self.pass(work.seconds(), watcher),
        }
    }

    pub(crate) fn pass(
        &mut self,
        seconds: f64,
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        self.car
            .advance_watched(&self.setup, seconds, |car, step_s| {
                watcher.watch(car, step_s)
            })
            .map_err(Refusal::Stalled)?;
        Ok(Vec::new())
    }

    /// Turns a control without letting time pass; returns the time it takes, s.
    ///
    /// # Errors
    /// [`Refusal`]; the controls are then as they were.
    pub fn turn(&mut self, control: &Control) -> Result<f64, Refusal> {
        let mut setup = self.setup.clone();
        let mut seconds = CONTROL_S;
        match control {
            Control::Engine(speed) => {
                if *speed == EngineSpeed::Off && setup.road_speed_m_s > 0.0 {
                    return Err(Refusal::OnTheRoad);
                }
                setup.engine_rev_s = match speed {
                    EngineSpeed::Off => 0.0,
                    EngineSpeed::Idle => self.car.spec().bay.idle_rev_s,
                    EngineSpeed::Held(rev_s) => *rev_s,
                };
            }
            Control::AirConditioning(on) => setup.ac_on = *on,
            Control::Blower(step) => {
                let top = self.car.spec().air_box.top_step();
                if *step > top {
                    return Err(Refusal::NoSuchStep { asked: *step, top });
                }
                setup.blower_step = *step;
            }
            Control::Recirculate(on) => setup.recirculate = *on,
            Control::Temperature(request) => {
                setup.temperature = match request {
                    Request::Cold => Temperature::Cold,
                    Request::Hot => Temperature::Hot,
                    Request::Cabin(k) => Temperature::Cabin(*k),
                };
            }
            Control::Doors(open) => {
                if setup.road_speed_m_s > 0.0 {
                    return Err(Refusal::OnTheRoad);
                }
                setup.doors_open = *open;
            }
            Control::Road(speed) => {
                seconds = DRIVE_S;
                if *speed > 0.0 && self.car.state().service.pump_on {
                    return Err(Refusal::PumpDraws);
                }
                if *speed > 0.0 && self.gauges != Gauges::Off {
                    return Err(Refusal::GaugesInTheWay);
                }
                setup.road_speed_m_s = *speed;
                if *speed > 0.0 {
                    // Nobody drives with the doors open, a workshop fan in tow, or the engine off.
                    setup.doors_open = false;
                    setup.shop_fan = false;
                    setup.engine_rev_s = setup.engine_rev_s.max(driving_rev_s(*speed));
                }
            }
            Control::ShopFan(on) => {
                if setup.road_speed_m_s > 0.0 {
                    return Err(Refusal::OnTheRoad);
                }
                setup.shop_fan = *on;
            }
        }
        self.setup = setup;
        Ok(seconds)
    }

    fn loosen(&mut self, line: Line, watcher: &mut dyn Watcher) -> Result<Truths, Refusal> {
        if self.setup.road_speed_m_s > 0.0 {
            return Err(Refusal::OnTheRoad);
        }
        match line.role(self.car.layout()) {
            Some(role) => {
                self.car.set_opening(Leak::in_part(role, LOOSE_AREA_M2));
                self.pass(LOOSEN_S, watcher)
            }
            None => Err(Refusal::NoSuchLine {
                line: line.name(),
                has: Line::ALL
                    .iter()
                    .filter(|line| line.role(self.car.layout()).is_some())
                    .map(|line| line.name())
                    .collect(),
            }),
        }
    }

    /// Makes checks that share one act, such as both gauges; the instruments lag behind the truth.
    pub(crate) fn check(
        &mut self,
        checks: &[Check],
        watcher: &mut dyn Watcher,
    ) -> Result<Truths, Refusal> {
        let mut seconds: f64 = 0.0;
        let mut probes = Vec::with_capacity(checks.len());
        for check in checks {
            if self.setup.road_speed_m_s > 0.0 && !possible_on_the_road(*check) {
                return Err(Refusal::OnTheRoad);
            }
            let now = truth(&self.car, *check, Watch::default()).map_err(Refusal::Impossible)?;
            seconds = seconds.max(check.time_s());
            probes.push(Followed::from_start(&self.car, *check, now));
        }
        let engagements = self.car.state().clutch_engagements;
        self.car
            .advance_watched(&self.setup, seconds, |car, step_s| {
                for (check, probe) in checks.iter().zip(&mut probes) {
                    if let (Some(probe), Ok(Truth::Number(value))) =
                        (probe, truth(car, *check, Watch::default()))
                    {
                        probe.follow(value, step_s);
                    }
                }
                watcher.watch(car, step_s);
            })
            .map_err(Refusal::Stalled)?;
        let watch = Watch {
            engagements: self.car.state().clutch_engagements - engagements,
            seconds,
        };
        checks
            .iter()
            .zip(probes)
            .map(|(check, probe)| {
                let found = truth(&self.car, *check, watch).map_err(Refusal::Impossible)?;
                let shown = probe.map_or(found, |probe| Truth::Number(probe.shown(*check)));
                Ok((*check, shown))
            })
            .collect()
    }
}

impl Action {
    /// Shop time the action takes, s.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        match self {
            Self::Check(check) => check.time_s(),
            Self::Hygrometer(room) => Check::Humidity(*room).time_s(),
            Self::HygrometerQuick(room) => Check::Misused(Misuse::HumidityQuick(*room)).time_s(),
            Self::Wait(seconds) => *seconds,
            Self::Wear(_) => WEAR_S,
            Self::Ventilate(_) => VENTILATION_S,
            Self::Turn(Control::Road(_)) => DRIVE_S,
            Self::Turn(_) => CONTROL_S,
            Self::Loosen(_) => LOOSEN_S,
            Self::Suspect { .. } | Self::Hint | Self::Conclude(_) => THINK_S,
            Self::Work(work) => work.seconds(),
            at_ports => at_ports.seconds_at_ports(),
        }
    }
}

/// Engine speed on the road, turns per second: a gear for each speed (common practice, no source).
fn driving_rev_s(road_m_s: f64) -> f64 {
    (1500.0 + 30.0 * road_m_s) / 60.0
}

/// What can be read from the driver's seat.
pub(crate) fn possible_on_the_road(check: Check) -> bool {
    match check {
        Check::VentTemperature(_)
        | Check::AirSpeed(_)
        | Check::AirTemperature(_)
        | Check::Humidity(_)
        | Check::ScanPressure
        | Check::ScanEvaporator
        | Check::ScanRequest
        | Check::ScanAmbient
        | Check::ScanReason
        | Check::ScanSpeed
        | Check::ScanInsulation => true,
        Check::Misused(misuse) => misuse.rightly().is_some_and(possible_on_the_road),
        Check::Sense(_, spot) => {
            matches!(
                spot,
                sim_core::instruments::Spot::Vents | sim_core::instruments::Spot::Blower
            )
        }
        Check::LowGauge
        | Check::HighGauge
        | Check::LineTemperature(_)
        | Check::CoilResistance
        | Check::CoilVoltage
        | Check::CoilCurrent
        | Check::ClutchGap
        | Check::LeakSearch(..)
        | Check::Voltage(_)
        | Check::VoltageDrop(_)
        | Check::PartResistance(_)
        | Check::Infrared(..)
        | Check::CondenserAir(_)
        | Check::ShaftSpeed(_)
        | Check::BeltTension
        | Check::PulleyLine
        | Check::Soap(_)
        | Check::Lamp(_)
        | Check::GasShare(_)
        | Check::Vacuum
        | Check::RecoveredMass
        | Check::ChargedMass
        | Check::MachinePressure
        | Check::GaugeExtreme(..) => false,
    }
}
