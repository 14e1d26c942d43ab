//! What a learner can do in the bay: one enum with one text form, used by
//! terminal, scripts and records alike.

mod commands;
mod fold;
mod kinds;
mod parse;
mod tools;
mod words;
mod work;

pub use commands::{COMMANDS, Command};
pub(crate) use commands::{METER, PHASES, SCAN};
pub use kinds::{KINDS, WorkKind, group_of};
pub use parse::NotAnAction;
pub use words::command_of;
pub(crate) use work::GASES;
pub use work::{WORK, Work, letter_of};

use sim_core::car::Phase;
use sim_core::instruments::{Check, Line, Room, Spot};

/// One thing a learner does.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Turn a control.
    Turn(Control),
    /// Let time pass, s.
    Wait(f64),
    /// Put protection on.
    Wear(Gear),
    /// Handle the gauge set.
    Gauges(GaugeStep),
    /// Check one thing.
    Check(Check),
    /// Read temperature and humidity of the air.
    Hygrometer(Room),
    /// Loosen a fitting of the loop.
    Loosen(Line),
    /// Read temperature and humidity of the air before the instrument has settled.
    HygrometerQuick(Room),
    /// Draw a sample for the refrigerant identifier.
    Identify(Sample),
    /// Draw refrigerant out with the recovery machine for so long, s.
    Recover(f64),
    /// Vacuum pump at the service ports: start it, or shut its valve and stop it.
    Evacuate(bool),
    /// Charge a mass from the cylinder, kg.
    Charge(Phase, f64),
    /// Open the bay's doors and run its extractor, or shut and stop them.
    Ventilate(bool),
    /// Warm the charging cylinder.
    WarmCylinder(Warmth),
    /// Put leak dye into the loop.
    AddDye,
    /// Wipe a spot clean of dye.
    Wipe(Spot),
    /// State how sure one is of a failure mode, 0 to 1.
    Suspect {
        /// Failure mode's id.
        mode: String,
        /// Confidence, 0 to 1.
        confidence: f64,
    },
    /// Ask which check is worth making next; it costs marks.
    Hint,
    /// Name the fault and end the diagnosis.
    Conclude(Conclusion),
    /// Repair the car; but for the service data only after a conclusion.
    Work(Work),
}

/// A control that sets the car up, and what it is turned to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Control {
    /// Engine off, idling or held at a speed.
    Engine(EngineSpeed),
    /// Air-conditioning switch.
    AirConditioning(bool),
    /// Blower step.
    Blower(usize),
    /// Intake door: recirculating or fresh.
    Recirculate(bool),
    /// Temperature asked for.
    Temperature(Request),
    /// Doors open or closed.
    Doors(bool),
    /// Road speed on the test track, m/s.
    Road(f64),
    /// Workshop fan in front of the condenser.
    ShopFan(bool),
}

/// Engine speed asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum EngineSpeed {
    /// Off.
    Off,
    /// Idle.
    Idle,
    /// Held at a speed, turns per second.
    Held(f64),
}

/// Temperature asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Request {
    /// Full cold.
    Cold,
    /// Full hot.
    Hot,
    /// A cabin temperature, K.
    Cabin(f64),
}

/// Protection.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gear {
    /// Safety glasses or a face shield.
    Glasses,
    /// Insulating gloves.
    Gloves,
}

/// A sample for the refrigerant identifier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sample {
    /// Vapour from the low side, the instrument warm.
    Vapour,
    /// The same before it has warmed up.
    Cold,
    /// From the liquid line.
    Liquid,
}

/// What a charging cylinder is warmed with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Warmth {
    /// A bath of water of at most 40 °C.
    Water,
    /// A flame or a hot-air gun.
    Flame,
}

/// A step with the gauge set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum GaugeStep {
    /// Put both couplings on the service ports, their valves shut.
    Connect,
    /// Open the couplings' valves.
    Open,
    /// Read both gauges.
    Read,
    /// Shut the couplings' valves.
    Close,
    /// Take the couplings off.
    Disconnect,
    /// Zero both gauges in the air, couplings off.
    Zero,
    /// Watch both gauges for a minute.
    Watch,
}

/// What the learner says is wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conclusion {
    /// Id of a failure mode, of a component where the mode is left open, or `no-fault`.
    pub fault: String,
    /// Id of the failure mode behind it, where one is named.
    pub cause: Option<String>,
    /// Numbers of the readings relied on.
    pub because: Vec<usize>,
}

/// Id that stands for a car with nothing wrong.
pub const NO_FAULT: &str = "no-fault";
