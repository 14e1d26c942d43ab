//! What a learner can do in the bay: one enum with one text form, used by
//! terminal, scripts and records alike.

use std::fmt;

use scenarios::nearest;
use scenarios::quantity::{Dimension, parse_as};
use sim_core::instruments::{Check, Line, Named, Room, Sense, Spot, Vent, sensible};

/// One thing a learner does.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
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
    /// State how sure one is of a failure mode, 0 to 1.
    Suspect {
        /// Failure mode's id.
        mode: String,
        /// Confidence, 0 to 1.
        confidence: f64,
    },
    /// Name the fault and end the diagnosis.
    Conclude(Conclusion),
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

const fn command(verb: &'static str, follows: &'static str, does: &'static str) -> Command {
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
        "gauges",
        "connect | open | read | close | disconnect",
        "handle the gauge set",
    ),
    command(
        "clamp",
        "a line, such as liquid-line",
        "clamp a thermometer on a line",
    ),
    command(
        "thermometer",
        "left-vent | centre-vent | right-vent",
        "air temperature in a vent",
    ),
    command(
        "air-speed",
        "left-vent | centre-vent | right-vent",
        "air speed at a vent",
    ),
    command(
        "hygrometer",
        "outside | cabin",
        "temperature and humidity of the air",
    ),
    command(
        "meter",
        "coil-ohms | coil-volts | coil-amps",
        "multimeter on the clutch coil",
    ),
    command(
        "feeler",
        "clutch-gap",
        "feeler gauge between plate and pulley",
    ),
    command("scan", "pressure | evaporator | request", "scan tool"),
    command("look", "a spot, such as clutch-hub", "look at it"),
    command(
        "listen",
        "compressor | expansion-valve | blower",
        "listen to it",
    ),
    command("feel", "a spot, such as suction-hose", "put a hand on it"),
    command("smell", "clutch-hub | vents", "smell it"),
    command(
        "leak-search",
        "a spot, such as condenser-face",
        "electronic leak detector",
    ),
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
        "conclude",
        "a fault [cause a fault] [because 3 5 8]",
        "name the fault and end",
    ),
];

/// Why a text is not an action, and what would be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotAnAction {
    message: String,
}

impl NotAnAction {
    fn new(message: impl Into<String>) -> Self {
        Self {
            message: message.into(),
        }
    }

    /// A word that is not one of those allowed.
    fn not_one_of(what: &str, word: &str, allowed: &[&str]) -> Self {
        let hint = nearest(word, allowed.iter().copied())
            .map(|near| format!(" Did you mean `{near}`?"))
            .unwrap_or_default();
        Self::new(format!(
            "`{word}` is not {what}. Allowed: {}.{hint}",
            allowed.join(", ")
        ))
    }
}

impl fmt::Display for NotAnAction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for NotAnAction {}

/// Highest engine speed that can be asked for, rpm.
const MOST_RPM: f64 = 6000.0;
/// Highest road speed on the test track, m/s (130 km/h).
const MOST_ROAD_M_S: f64 = 130.0 / 3.6;
/// Longest single wait, s.
const MOST_WAIT_S: f64 = 3600.0;

impl Action {
    /// Reads an action from its text form.
    ///
    /// # Errors
    /// [`NotAnAction`] with what is allowed.
    ///
    /// ```
    /// use runner::action::Action;
    /// assert_eq!(Action::parse("wait 5 min").unwrap().to_string(), "wait 300 s");
    /// assert!(Action::parse("wayt 5 min").unwrap_err().to_string().contains("`wait`"));
    /// ```
    pub fn parse(text: &str) -> Result<Self, NotAnAction> {
        let text = text.trim();
        let (verb, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        let rest = rest.trim();
        match verb {
            "engine" => engine(rest),
            "ac" => pick(
                "a position of the switch",
                rest,
                &[("on", true), ("off", false)],
            )
            .map(Self::AirConditioning),
            "blower" => blower(rest),
            "air" => pick(
                "a position of the intake door",
                rest,
                &[("recirculate", true), ("fresh", false)],
            )
            .map(Self::Recirculate),
            "temperature" => temperature(rest),
            "doors" => pick(
                "a position of the doors",
                rest,
                &[("open", true), ("closed", false)],
            )
            .map(Self::Doors),
            "road" => quantity(rest, Dimension::Speed, 0.0, MOST_ROAD_M_S, "0 to 130 km/h")
                .map(Self::Road),
            "shop-fan" => pick(
                "a position of the fan's switch",
                rest,
                &[("on", true), ("off", false)],
            )
            .map(Self::ShopFan),
            "wait" => quantity(rest, Dimension::Duration, 1.0, MOST_WAIT_S, "1 s to 60 min")
                .map(Self::Wait),
            "wear" => pick(
                "protection",
                rest,
                &[("glasses", Gear::Glasses), ("gloves", Gear::Gloves)],
            )
            .map(Self::Wear),
            "gauges" => pick("a step with the gauge set", rest, GAUGE_STEPS).map(Self::Gauges),
            "clamp" => named::<Line>("a line of this trade", rest)
                .map(|line| Self::Check(Check::LineTemperature(line))),
            "thermometer" => {
                named::<Vent>("a vent", rest).map(|v| Self::Check(Check::VentTemperature(v)))
            }
            "air-speed" => named::<Vent>("a vent", rest).map(|v| Self::Check(Check::AirSpeed(v))),
            "hygrometer" => named::<Room>("a place for the hygrometer", rest).map(Self::Hygrometer),
            "meter" => pick("a measurement on the clutch coil", rest, METER).map(Self::Check),
            "feeler" => pick("a gap", rest, &[("clutch-gap", Check::ClutchGap)]).map(Self::Check),
            "scan" => pick("a value the scan tool shows", rest, SCAN).map(Self::Check),
            "look" | "listen" | "feel" | "smell" => sense(verb, rest),
            "leak-search" => leak_search(rest),
            "loosen" => named::<Line>("a line of this trade", rest).map(Self::Loosen),
            "suspect" => suspect(rest),
            "conclude" => conclude(rest).map(Self::Conclude),
            _ => {
                let verbs: Vec<&str> = COMMANDS.iter().map(|command| command.verb).collect();
                Err(NotAnAction::not_one_of("an action", verb, &verbs))
            }
        }
    }
}

const GAUGE_STEPS: &[(&str, GaugeStep)] = &[
    ("connect", GaugeStep::Connect),
    ("open", GaugeStep::Open),
    ("read", GaugeStep::Read),
    ("close", GaugeStep::Close),
    ("disconnect", GaugeStep::Disconnect),
];

const METER: &[(&str, Check)] = &[
    ("coil-ohms", Check::CoilResistance),
    ("coil-volts", Check::CoilVoltage),
    ("coil-amps", Check::CoilCurrent),
];

const SCAN: &[(&str, Check)] = &[
    ("pressure", Check::ScanPressure),
    ("evaporator", Check::ScanEvaporator),
    ("request", Check::ScanRequest),
];

/// The value that goes with a word.
fn pick<T: Copy>(what: &str, word: &str, choices: &[(&str, T)]) -> Result<T, NotAnAction> {
    choices
        .iter()
        .find(|(name, _)| *name == word)
        .map(|(_, value)| *value)
        .ok_or_else(|| {
            let names: Vec<&str> = choices.iter().map(|(name, _)| *name).collect();
            NotAnAction::not_one_of(what, word, &names)
        })
}

/// A place by its name.
fn named<T: Named>(what: &str, word: &str) -> Result<T, NotAnAction> {
    T::by_name(word).ok_or_else(|| {
        let names: Vec<&str> = T::ALL.iter().map(|one| one.name()).collect();
        NotAnAction::not_one_of(what, word, &names)
    })
}

/// A quantity with its unit, within limits said in words.
fn quantity(
    text: &str,
    dimension: Dimension,
    least: f64,
    most: f64,
    limits: &str,
) -> Result<f64, NotAnAction> {
    let value = parse_as(text, dimension).map_err(|error| NotAnAction::new(error.to_string()))?;
    // Rounding of units must not refuse the limit itself.
    let slack = 1e-9 * most.abs();
    if value < least - slack || value > most + slack {
        return Err(NotAnAction::new(format!(
            "`{text}` is beyond what can be asked for: {limits}."
        )));
    }
    Ok(value)
}

fn engine(rest: &str) -> Result<Action, NotAnAction> {
    match rest {
        "off" => Ok(Action::Engine(EngineSpeed::Off)),
        "idle" => Ok(Action::Engine(EngineSpeed::Idle)),
        _ if !rest.starts_with(|c: char| c.is_ascii_digit()) => Err(NotAnAction::not_one_of(
            "an engine speed",
            rest,
            &["off", "idle", "1500 rpm"],
        )),
        _ => {
            let turn = 2.0 * std::f64::consts::PI;
            let most = MOST_RPM / 60.0 * turn;
            let least = 500.0 / 60.0 * turn;
            let speed = quantity(
                rest,
                Dimension::RotationalSpeed,
                least,
                most,
                "off, idle, or 500 to 6000 rpm",
            )?;
            Ok(Action::Engine(EngineSpeed::Held(speed / turn)))
        }
    }
}

fn blower(rest: &str) -> Result<Action, NotAnAction> {
    rest.parse::<usize>().map(Action::Blower).map_err(|_| {
        NotAnAction::new(format!(
            "`{rest}` is not a blower step. Write a whole number, 0 for off, such as `blower 3`."
        ))
    })
}

fn temperature(rest: &str) -> Result<Action, NotAnAction> {
    match rest {
        "cold" => Ok(Action::Temperature(Request::Cold)),
        "hot" => Ok(Action::Temperature(Request::Hot)),
        _ if !rest.starts_with(|c: char| c.is_ascii_digit()) => Err(NotAnAction::not_one_of(
            "a temperature to ask for",
            rest,
            &["cold", "hot", "22 °C"],
        )),
        _ => quantity(
            rest,
            Dimension::Temperature,
            289.15,
            305.15,
            "cold, hot, or 16 to 32 °C",
        )
        .map(|k| Action::Temperature(Request::Cabin(k))),
    }
}

fn sense(verb: &str, rest: &str) -> Result<Action, NotAnAction> {
    let sense = Sense::by_name(verb).unwrap_or(Sense::Look);
    let spots: Vec<Spot> = Spot::ALL
        .iter()
        .copied()
        .filter(|spot| sensible(sense, *spot))
        .collect();
    match spots.iter().find(|spot| spot.name() == rest) {
        Some(spot) => Ok(Action::Check(Check::Sense(sense, *spot))),
        None => {
            let names: Vec<&str> = spots.iter().map(|spot| spot.name()).collect();
            Err(NotAnAction::not_one_of(
                &format!("a spot to {verb} at"),
                rest,
                &names,
            ))
        }
    }
}

fn leak_search(rest: &str) -> Result<Action, NotAnAction> {
    let spots = sim_core::instruments::LEAK_SPOTS;
    spots
        .iter()
        .find(|spot| spot.name() == rest)
        .map(|spot| Action::Check(Check::LeakSearch(*spot)))
        .ok_or_else(|| {
            let names: Vec<&str> = spots.iter().map(|spot| spot.name()).collect();
            NotAnAction::not_one_of("a spot for the leak detector", rest, &names)
        })
}

fn suspect(rest: &str) -> Result<Action, NotAnAction> {
    let (mode, share) = rest.split_once(char::is_whitespace).ok_or_else(|| {
        NotAnAction::new("Write a fault and how sure you are, such as `suspect undercharge 40 %`.")
    })?;
    let confidence = quantity(share.trim(), Dimension::Ratio, 0.0, 1.0, "0 % to 100 %")?;
    Ok(Action::Suspect {
        mode: mode.to_owned(),
        confidence,
    })
}

fn conclude(rest: &str) -> Result<Conclusion, NotAnAction> {
    let mut words = rest.split_whitespace();
    let Some(fault) = words.next() else {
        return Err(NotAnAction::new(
            "Write what is wrong, such as `conclude undercharge cause leak-condenser because 3 5`; `faults` lists the names.",
        ));
    };
    let mut conclusion = Conclusion {
        fault: fault.to_owned(),
        cause: None,
        because: Vec::new(),
    };
    while let Some(word) = words.next() {
        match word {
            "cause" => {
                let cause = words.next().ok_or_else(|| {
                    NotAnAction::new("`cause` wants the name of a fault behind it.")
                })?;
                conclusion.cause = Some(cause.to_owned());
            }
            "because" => {
                for number in words.by_ref() {
                    let number = number.trim_matches(',');
                    let reading = number.parse::<usize>().map_err(|_| {
                        NotAnAction::new(format!(
                            "`{number}` is not the number of a reading; `notes` lists them."
                        ))
                    })?;
                    if !conclusion.because.contains(&reading) {
                        conclusion.because.push(reading);
                    }
                }
            }
            _ => {
                return Err(NotAnAction::not_one_of(
                    "part of a conclusion",
                    word,
                    &["cause", "because"],
                ));
            }
        }
    }
    Ok(conclusion)
}

impl fmt::Display for Action {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Engine(EngineSpeed::Off) => f.write_str("engine off"),
            Self::Engine(EngineSpeed::Idle) => f.write_str("engine idle"),
            Self::Engine(EngineSpeed::Held(rev_s)) => {
                write!(f, "engine {} rpm", tidy(rev_s * 60.0))
            }
            Self::AirConditioning(on) => write!(f, "ac {}", on_off(*on)),
            Self::Blower(step) => write!(f, "blower {step}"),
            Self::Recirculate(true) => f.write_str("air recirculate"),
            Self::Recirculate(false) => f.write_str("air fresh"),
            Self::Temperature(Request::Cold) => f.write_str("temperature cold"),
            Self::Temperature(Request::Hot) => f.write_str("temperature hot"),
            Self::Temperature(Request::Cabin(k)) => write!(f, "temperature {} K", tidy(*k)),
            Self::Doors(true) => f.write_str("doors open"),
            Self::Doors(false) => f.write_str("doors closed"),
            Self::Road(m_s) => write!(f, "road {} km/h", tidy(m_s * 3.6)),
            Self::ShopFan(on) => write!(f, "shop-fan {}", on_off(*on)),
            Self::Wait(seconds) => write!(f, "wait {} s", tidy(*seconds)),
            Self::Wear(Gear::Glasses) => f.write_str("wear glasses"),
            Self::Wear(Gear::Gloves) => f.write_str("wear gloves"),
            Self::Gauges(step) => write!(f, "gauges {}", word_of(GAUGE_STEPS, *step)),
            Self::Check(check) => f.write_str(&command_of(*check)),
            Self::Hygrometer(room) => write!(f, "hygrometer {}", room.name()),
            Self::Loosen(line) => write!(f, "loosen {}", line.name()),
            Self::Suspect { mode, confidence } => {
                write!(f, "suspect {mode} {} %", tidy(confidence * 100.0))
            }
            Self::Conclude(conclusion) => {
                write!(f, "conclude {}", conclusion.fault)?;
                if let Some(cause) = &conclusion.cause {
                    write!(f, " cause {cause}")?;
                }
                if !conclusion.because.is_empty() {
                    f.write_str(" because")?;
                    for number in &conclusion.because {
                        write!(f, " {number}")?;
                    }
                }
                Ok(())
            }
        }
    }
}

/// The command that makes a check.
#[must_use]
pub fn command_of(check: Check) -> String {
    match check {
        Check::LowGauge | Check::HighGauge => "gauges read".to_owned(),
        Check::LineTemperature(line) => format!("clamp {}", line.name()),
        Check::VentTemperature(vent) => format!("thermometer {}", vent.name()),
        Check::AirSpeed(vent) => format!("air-speed {}", vent.name()),
        Check::AirTemperature(room) | Check::Humidity(room) => {
            format!("hygrometer {}", room.name())
        }
        Check::CoilResistance | Check::CoilVoltage | Check::CoilCurrent => {
            format!("meter {}", word_of(METER, check))
        }
        Check::ClutchGap => "feeler clutch-gap".to_owned(),
        Check::ScanPressure | Check::ScanEvaporator | Check::ScanRequest => {
            format!("scan {}", word_of(SCAN, check))
        }
        Check::Sense(sense, spot) => format!("{} {}", sense.name(), spot.name()),
        Check::LeakSearch(spot) => format!("leak-search {}", spot.name()),
    }
}

fn word_of<T: Copy + PartialEq>(choices: &[(&'static str, T)], value: T) -> &'static str {
    choices
        .iter()
        .find(|(_, one)| *one == value)
        .map_or("", |(word, _)| word)
}

fn on_off(on: bool) -> &'static str {
    if on { "on" } else { "off" }
}

/// A number rounded to nine places, so that units turned to and fro keep one text.
fn tidy(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}
