//! The commands: one table for help, prompts and error messages, and the words that several share.

use sim_core::car::Phase;
use sim_core::instruments::{Check, Part};
use sim_core::parts::circuit::{Link, Point};

use crate::action::{GaugeStep, Sample, Warmth};

/// One command: the source of help, prompts and error messages.
#[derive(Clone, Copy, Debug)]
pub struct Command {
    /// First word.
    pub verb: &'static str,
    /// What follows it.
    pub follows: &'static str,
    /// What it does.
    pub does: &'static str,
}

pub(super) const fn command(
    verb: &'static str,
    follows: &'static str,
    does: &'static str,
) -> Command {
    Command {
        verb,
        follows,
        does,
    }
}

/// Every action a learner can type, in the order help shows them.
pub const COMMANDS: &[Command] = &[
    command(
        "engine",
        "off | idle | 1500 rpm",
        "start, stop or hold the engine",
    ),
    command("ac", "on | off", "air-conditioning switch"),
    command("blower", "0 to the top step", "blower step"),
    command("air", "recirculate | fresh", "intake door"),
    command("temperature", "cold | hot | 22 °C", "temperature asked for"),
    command("doors", "open | closed", "doors and windows"),
    command("road", "50 km/h | 0 km/h", "road speed, on the test track"),
    command(
        "shop-fan",
        "on | off",
        "workshop fan in front of the condenser",
    ),
    command("wait", "5 min", "let time pass"),
    command("wear", "glasses | gloves", "put protection on"),
    command(
        "ventilation",
        "on | off",
        "the bay's doors open and its extractor at the floor running",
    ),
    command(
        "gauges",
        "zero | connect | open | read | watch | close | disconnect",
        "handle the gauge set",
    ),
    command(
        "clamp",
        "a line, such as liquid-line [quick | bare]",
        "clamp a thermometer on a line",
    ),
    command(
        "thermometer",
        "a vent [quick] | condenser-front | condenser-behind [quick | on-fins]",
        "air temperature in a vent or at the condenser",
    ),
    command(
        "air-speed",
        "left-vent | centre-vent | right-vent [askew]",
        "air speed at a vent",
    ),
    command(
        "hygrometer",
        "outside | cabin [quick]",
        "temperature and humidity of the air",
    ),
    command(
        "meter",
        "coil-volts, fuse-drop and others [ac-range], relay-coil-ohms, coil-amps and others [unzeroed]",
        "multimeter on the compressor's circuit",
    ),
    command(
        "feeler",
        "clutch-gap [one-place]",
        "feeler gauge between plate and pulley",
    ),
    command(
        "scan",
        "pressure | evaporator [slow] | ambient [soaked] | request | reason | speed | insulation",
        "scan tool",
    ),
    command("look", "a spot, such as clutch-hub", "look at it"),
    command(
        "listen",
        "compressor | expansion-valve | orifice-tube | blower",
        "listen to it",
    ),
    command("feel", "a spot, such as suction-hose", "put a hand on it"),
    command("smell", "clutch-hub | vents", "smell it"),
    command(
        "leak-search",
        "a spot [4-g | 7-g | 14-g] [above]",
        "electronic leak detector",
    ),
    command(
        "infrared",
        "a line and tape | hose | bare | far",
        "infrared thermometer",
    ),
    command(
        "tachometer",
        "pulley | hub [unmarked]",
        "speed by a light beam",
    ),
    command(
        "belt-tension",
        "right-span | wrong-span",
        "belt tension gauge",
    ),
    command(
        "pulley-line",
        "grooves | rims",
        "straight edge over the pulleys",
    ),
    command("dye", "add", "put leak dye into the loop"),
    command(
        "lamp",
        "a spot, such as compressor",
        "ultraviolet lamp for leak dye",
    ),
    command("wipe", "a spot, such as compressor", "wipe old dye off"),
    command(
        "soap",
        "a spot, such as liquid-line",
        "brush soap solution on",
    ),
    command(
        "identifier",
        "vapour | cold | liquid",
        "refrigerant identifier at the low side, or at the liquid line",
    ),
    command("recover", "15 min", "recovery machine: draw out and weigh"),
    command(
        "evacuate",
        "on | off",
        "vacuum pump on both service ports: start it, shut it off",
    ),
    command(
        "charge",
        "liquid 450 g | vapour 100 g",
        "charge by mass: liquid at the high side, vapour at the low side",
    ),
    command(
        "warm-cylinder",
        "water | flame",
        "warm the charging cylinder, so that it gives more",
    ),
    command("vacuum-gauge", "read", "vacuum gauge on the low-side port"),
    command(
        "loosen",
        "a line, such as liquid-line",
        "open a fitting of the loop",
    ),
    command(
        "suspect",
        "a fault and a share, such as undercharge 40 %",
        "say how sure you are",
    ),
    command(
        "hint",
        "",
        "ask which check is worth making next; costs marks",
    ),
    command(
        "conclude",
        "a fault [cause a fault] [because 3 5 8]",
        "name the fault and end",
    ),
];

/// Words for the steps with the gauge set.
pub(super) const GAUGE_STEPS: &[(&str, GaugeStep)] = &[
    ("connect", GaugeStep::Connect),
    ("open", GaugeStep::Open),
    ("read", GaugeStep::Read),
    ("close", GaugeStep::Close),
    ("disconnect", GaugeStep::Disconnect),
    ("zero", GaugeStep::Zero),
    ("watch", GaugeStep::Watch),
];

/// Words for the measurements on the clutch coil and its circuit.
pub(crate) const METER: &[(&str, Check)] = &[
    ("coil-ohms", Check::CoilResistance),
    ("coil-volts", Check::CoilVoltage),
    ("coil-amps", Check::CoilCurrent),
    ("battery-volts", Check::Voltage(Point::BatteryPost)),
    ("fuse-in-volts", Check::Voltage(Point::FuseIn)),
    ("fuse-out-volts", Check::Voltage(Point::FuseOut)),
    ("relay-feed-volts", Check::Voltage(Point::RelayFeed)),
    ("relay-output-volts", Check::Voltage(Point::RelayOutput)),
    ("relay-coil-volts", Check::Voltage(Point::RelayCoilFeed)),
    ("relay-control-volts", Check::Voltage(Point::RelayControl)),
    ("plug-harness-volts", Check::Voltage(Point::PlugHarness)),
    ("plug-coil-volts", Check::Voltage(Point::PlugCoil)),
    ("coil-ground-volts", Check::Voltage(Point::CoilGround)),
    ("engine-ground-volts", Check::Voltage(Point::EngineGround)),
    ("feed-drop", Check::VoltageDrop(Link::Feed)),
    ("fuse-drop", Check::VoltageDrop(Link::Fuse)),
    ("fuse-to-relay-drop", Check::VoltageDrop(Link::FuseToRelay)),
    ("relay-drop", Check::VoltageDrop(Link::Relay)),
    ("harness-drop", Check::VoltageDrop(Link::Harness)),
    ("plug-drop", Check::VoltageDrop(Link::Plug)),
    ("ground-drop", Check::VoltageDrop(Link::Ground)),
    ("strap-drop", Check::VoltageDrop(Link::Strap)),
    ("fuse-ohms", Check::PartResistance(Part::Fuse)),
    ("relay-coil-ohms", Check::PartResistance(Part::RelayCoil)),
    (
        "relay-contacts-ohms",
        Check::PartResistance(Part::RelayContacts),
    ),
    ("ground-ohms", Check::PartResistance(Part::Ground)),
];

/// Words for what the scan tool shows.
pub(crate) const SCAN: &[(&str, Check)] = &[
    ("pressure", Check::ScanPressure),
    ("evaporator", Check::ScanEvaporator),
    ("request", Check::ScanRequest),
    ("ambient", Check::ScanAmbient),
    ("reason", Check::ScanReason),
    ("speed", Check::ScanSpeed),
    ("insulation", Check::ScanInsulation),
];

/// Words for what a charging cylinder gives.
pub(crate) const PHASES: &[(&str, Phase)] = &[("liquid", Phase::Liquid), ("vapour", Phase::Vapour)];

/// Words for what a charging cylinder is warmed with.
pub(super) const WARMTHS: &[(&str, Warmth)] = &[("water", Warmth::Water), ("flame", Warmth::Flame)];

/// Words for the samples an identifier can be given.
pub(super) const SAMPLES: &[(&str, Sample)] = &[
    ("vapour", Sample::Vapour),
    ("cold", Sample::Cold),
    ("liquid", Sample::Liquid),
];
