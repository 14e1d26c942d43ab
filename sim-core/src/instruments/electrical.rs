//! What a multimeter and a scan tool find out about the clutch circuit and the control. Without a
//! clutch the circuit feeds the coil of the compressor's control valve, or the inverter of its motor, and
//! the words say so.
//!
//! Voltages are taken with everything plugged in, resistances on parts that are not: an ohmmeter
//! sends its own current, and a live circuit's beside it makes nonsense of the reading.

use crate::car::Car;
use crate::instruments::senses::Finding;
use crate::instruments::truth::{Impossible, Truth};
use crate::parts::circuit::{Feeds, Link, OPEN_OHM, Point};
use crate::parts::controls::HoldOff;
use crate::spec::CarSpec;

/// What the compressor's circuit feeds, for the words of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fed {
    Clutch,
    ControlValve,
    Inverter,
}

impl Fed {
    pub(super) fn on(spec: &CarSpec) -> Self {
        match (&spec.clutch, spec.circuit.feeds) {
            (Some(_), _) => Self::Clutch,
            (None, Feeds::Winding) => Self::ControlValve,
            (None, Feeds::Electronics) => Self::Inverter,
        }
    }

    /// Its name.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::Clutch => "clutch",
            Self::ControlValve => "control valve",
            Self::Inverter => "inverter",
        }
    }

    /// What the current goes through.
    pub(super) fn load(self) -> &'static str {
        match self {
            Self::Clutch => "clutch coil",
            Self::ControlValve => "control valve coil",
            Self::Inverter => "inverter",
        }
    }
}

/// A part whose resistance is measured by itself, pulled or with its plug off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// The circuit's fuse, pulled.
    Fuse,
    /// The relay's own coil, relay pulled.
    RelayCoil,
    /// The relay's contacts at rest, relay pulled.
    RelayContacts,
    /// From the plug's ground pin to the battery's negative post, plug off.
    Ground,
}

impl Part {
    /// Every one.
    pub const ALL: [Self; 4] = [
        Self::Fuse,
        Self::RelayCoil,
        Self::RelayContacts,
        Self::Ground,
    ];

    /// Plain words for the measurement.
    pub(super) fn words(self, fed: Fed) -> String {
        match self {
            Self::Fuse => format!("resistance of the {} fuse, pulled", fed.name()),
            Self::RelayCoil => "resistance of the relay's coil, relay pulled".to_owned(),
            Self::RelayContacts => {
                "resistance of the relay's contacts at rest, relay pulled".to_owned()
            }
            Self::Ground => {
                "resistance from the plug's ground pin to the battery, plug off".to_owned()
            }
        }
    }

    /// Resistance between an ohmmeter's leads, Ω.
    pub(super) fn ohm(self, car: &Car) -> f64 {
        let circuit = &car.spec().circuit;
        let share = |link: Link| circuit.wiring_ohm * link.wiring_share();
        match self {
            Self::Fuse if !car.state().fuse_whole => OPEN_OHM,
            // The holder stays behind when the fuse is pulled.
            Self::Fuse => share(Link::Fuse) + circuit.condition.fuse_element_ohm,
            Self::RelayCoil => circuit.relay_coil_resistance_ohm(),
            Self::RelayContacts if circuit.relay_welded() => {
                share(Link::Relay) + circuit.condition.relay_contact_ohm
            }
            Self::RelayContacts => OPEN_OHM,
            Self::Ground => share(Link::Ground) + share(Link::Strap) + circuit.condition.ground_ohm,
        }
    }
}

/// Points a voltmeter's red lead is put on, its black lead on the battery's negative post.
pub const PROBED: [Point; 11] = [
    Point::BatteryPost,
    Point::FuseIn,
    Point::FuseOut,
    Point::RelayFeed,
    Point::RelayOutput,
    Point::PlugHarness,
    Point::PlugCoil,
    Point::CoilGround,
    Point::EngineGround,
    Point::RelayCoilFeed,
    Point::RelayControl,
];

/// Plain words for a point.
pub(super) fn point_words(point: Point, fed: Fed) -> String {
    let (name, load) = (fed.name(), fed.load());
    match point {
        Point::BatteryNegative => "battery's negative post".to_owned(),
        Point::BatteryPost => "battery".to_owned(),
        Point::FuseIn => format!("{name} fuse, feed side"),
        Point::FuseOut => format!("{name} fuse, far side"),
        Point::RelayFeed => "relay's feed".to_owned(),
        Point::RelayOutput => "relay's output".to_owned(),
        Point::PlugHarness => format!("{name} plug's feed pin, harness side"),
        Point::PlugCoil if fed == Fed::Inverter => {
            "inverter plug's feed pin, inverter side".to_owned()
        }
        Point::PlugCoil => format!("{name} plug's feed pin, coil side"),
        Point::CoilGround => format!("{load}'s ground side"),
        Point::EngineGround => "engine, against the battery's negative post".to_owned(),
        Point::RelayCoilFeed => "feed of the relay's coil".to_owned(),
        Point::RelayControl => "wire from the relay's coil to the control".to_owned(),
    }
}

/// Plain words for a link.
pub(super) fn link_words(link: Link, fed: Fed) -> String {
    let (name, load) = (fed.name(), fed.load());
    match link {
        Link::Feed => "cable from battery to fuse".to_owned(),
        Link::Fuse => format!("{name} fuse and its holder"),
        Link::FuseToRelay => "wire from fuse to relay".to_owned(),
        Link::Relay => "relay's contacts".to_owned(),
        Link::Harness => format!("wire from relay to {name} plug"),
        Link::Plug => format!("{name} plug's feed pin"),
        Link::Ground => format!("{load}'s ground"),
        Link::Strap => "ground strap from engine to battery".to_owned(),
    }
}

/// A resistance, which nobody gets from a live circuit.
pub(super) fn resistance(car: &Car, ohm: f64) -> Result<Truth, Impossible> {
    if car.setup().engine_rev_s > 0.0 {
        return Err(Impossible::Live);
    }
    Ok(Truth::Number(ohm))
}

/// Why the control holds the compressor off, as a scan tool shows it: the control's own view.
pub(super) fn reason(car: &Car) -> Finding {
    let why = car
        .spec()
        .controls
        .hold_off(&car.state().controls, &car.observed());
    let (key, words) = match why {
        None => ("none", "none"),
        Some(HoldOff::NotAsked) => ("not-asked", "engine, A/C switch or blower is off"),
        Some(HoldOff::Sensor) => ("sensor", "a sensor's signal is not plausible"),
        Some(HoldOff::Insulation) => ("insulation", "high voltage leaks to the body: shut off"),
        Some(HoldOff::LowPressure) => ("low-pressure", "pressure too low"),
        Some(HoldOff::HighPressure) => ("high-pressure", "pressure too high"),
        Some(HoldOff::Cycling) => ("cycling", "the low-side switch is open"),
        Some(HoldOff::Frost) => ("frost", "evaporator cold enough"),
        Some(HoldOff::Ambient) => ("ambient", "too cold outside"),
        Some(HoldOff::Resting) => ("resting", "a pause of some seconds"),
    };
    Finding { key, words }
}
