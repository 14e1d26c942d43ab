//! From an action to its text.

use std::fmt;

use sim_core::instruments::{Check, Named};

use crate::action::commands::{GAUGE_STEPS, METER, PHASES, SAMPLES, SCAN, WARMTHS};
use crate::action::tools::{leak_search_command, misuse_command};
use crate::action::{Action, Control, EngineSpeed, Gear, Request};

impl fmt::Display for Action {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Turn(control) => control.fmt(f),
            Self::Wait(seconds) => write!(f, "wait {} s", tidy(*seconds)),
            Self::Wear(Gear::Glasses) => f.write_str("wear glasses"),
            Self::Wear(Gear::Gloves) => f.write_str("wear gloves"),
            Self::Gauges(step) => write!(f, "gauges {}", word_of(GAUGE_STEPS, *step)),
            Self::Check(check) => f.write_str(&command_of(*check)),
            Self::Hygrometer(room) => write!(f, "hygrometer {}", room.name()),
            Self::Loosen(line) => write!(f, "loosen {}", line.name()),
            Self::HygrometerQuick(room) => write!(f, "hygrometer {} quick", room.name()),
            Self::Identify(sample) => write!(f, "identifier {}", word_of(SAMPLES, *sample)),
            Self::Recover(seconds) => write!(f, "recover {} s", tidy(*seconds)),
            Self::Evacuate(on) => write!(f, "evacuate {}", on_off(*on)),
            Self::Charge(phase, kg) => {
                write!(f, "charge {} {} kg", word_of(PHASES, *phase), tidy(*kg))
            }
            Self::Ventilate(on) => write!(f, "ventilation {}", on_off(*on)),
            Self::WarmCylinder(with) => write!(f, "warm-cylinder {}", word_of(WARMTHS, *with)),
            Self::AddDye => f.write_str("dye add"),
            Self::Wipe(spot) => write!(f, "wipe {}", spot.name()),
            Self::Suspect { mode, confidence } => {
                write!(f, "suspect {mode} {} %", tidy(confidence * 100.0))
            }
            Self::Hint => f.write_str("hint"),
            Self::Work(work) => work.fmt(f),
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

impl fmt::Display for Control {
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
        Check::CoilResistance
        | Check::CoilVoltage
        | Check::CoilCurrent
        | Check::Voltage(_)
        | Check::VoltageDrop(_)
        | Check::PartResistance(_) => format!("meter {}", word_of(METER, check)),
        Check::ClutchGap => "feeler clutch-gap".to_owned(),
        Check::ScanPressure
        | Check::ScanEvaporator
        | Check::ScanRequest
        | Check::ScanAmbient
        | Check::ScanReason
        | Check::ScanSpeed
        | Check::ScanInsulation => format!("scan {}", word_of(SCAN, check)),
        Check::Sense(sense, spot) => format!("{} {}", sense.name(), spot.name()),
        Check::LeakSearch(spot, scale) => leak_search_command(spot, scale),
        Check::Infrared(line, dull) => format!("infrared {} {}", line.name(), dull.name()),
        Check::CondenserAir(side) => format!("thermometer {}", side.name()),
        Check::ShaftSpeed(wheel) => format!("tachometer {}", wheel.name()),
        Check::BeltTension => "belt-tension right-span".to_owned(),
        Check::PulleyLine => "pulley-line grooves".to_owned(),
        Check::Soap(spot) => format!("soap {}", spot.name()),
        Check::Lamp(spot) => format!("lamp {}", spot.name()),
        Check::GasShare(_) => "identifier vapour".to_owned(),
        Check::Vacuum => "vacuum-gauge read".to_owned(),
        Check::RecoveredMass | Check::MachinePressure => "recover 900 s".to_owned(),
        Check::ChargedMass => "charge vapour 0.1 kg".to_owned(),
        Check::GaugeExtreme(..) => "gauges watch".to_owned(),
        Check::Misused(misuse) => misuse_command(misuse),
    }
}

pub(super) fn word_of<T: Copy + PartialEq>(
    choices: &[(&'static str, T)],
    value: T,
) -> &'static str {
    choices
        .iter()
        .find(|(_, one)| *one == value)
        .map_or("", |(word, _)| word)
}

pub(super) fn on_off(on: bool) -> &'static str {
    if on { "on" } else { "off" }
}

/// A number rounded to nine places, so that units turned to and fro keep one text.
pub(super) fn tidy(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}
