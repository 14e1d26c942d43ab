//! Instruments that take a way of being used, to and from text: the right way, or a wrong one.
//!
//! `clamp liquid-line` is the right use; `clamp liquid-line quick` a wrong one that can be played
//! like any other action. What it then shows comes out of the model.

use sim_core::instruments::{
    Check, CondenserSide, Dull, LEAK_SPOTS, LeakScale, Line, Misuse, Named, Room, Spot, Vent, Wheel,
};

use crate::action::Action;
use crate::action::commands::{METER, SAMPLES, SCAN};
use crate::action::parse::{NotAnAction, named, pick};
use crate::action::words::command_of;

/// First words of the actions read here.
pub(super) const TOOL_VERBS: [&str; 18] = [
    "clamp",
    "thermometer",
    "air-speed",
    "hygrometer",
    "feeler",
    "scan",
    "leak-search",
    "infrared",
    "tachometer",
    "belt-tension",
    "pulley-line",
    "dye",
    "lamp",
    "wipe",
    "soap",
    "identifier",
    "vacuum-gauge",
    "meter",
];

/// Reads an action of one of the verbs above.
pub(super) fn parse(verb: &str, rest: &str) -> Result<Action, NotAnAction> {
    let (what, how) = rest
        .split_once(char::is_whitespace)
        .map_or((rest, ""), |(what, how)| (what, how.trim()));
    let check = match verb {
        "clamp" => clamp(what, how)?,
        "thermometer" => thermometer(what, how)?,
        "air-speed" => {
            let vent = named::<Vent>("a vent", what)?;
            let rightly = Check::AirSpeed(vent);
            way(how, rightly, &[("askew", Misuse::AirSpeedAskew(vent))])?
        }
        "hygrometer" => {
            let room = named::<Room>("a place for the hygrometer", what)?;
            if how.is_empty() {
                return Ok(Action::Hygrometer(room));
            }
            let wrongly = [("quick", Action::HygrometerQuick as fn(Room) -> Action)];
            return pick("a way to use it", how, &wrongly).map(|action| action(room));
        }
        "feeler" => {
            let gap = pick("a gap", what, &[("clutch-gap", Check::ClutchGap)])?;
            way(how, gap, &[("one-place", Misuse::FeelerOnePlace)])?
        }
        "meter" => meter(what, how)?,
        "scan" => scan(what, how)?,
        "leak-search" => leak_search(what, how)?,
        "infrared" => infrared(what, how)?,
        "tachometer" => {
            let wheel = named::<Wheel>("a thing that turns", what)?;
            let rightly = Check::ShaftSpeed(wheel);
            way(how, rightly, &[("unmarked", Misuse::SpeedUnmarked(wheel))])?
        }
        "belt-tension" => pick(
            "a length to tell the gauge",
            rest,
            &[
                ("right-span", Check::BeltTension),
                ("wrong-span", Check::Misused(Misuse::TensionWrongSpan)),
            ],
        )?,
        "pulley-line" => pick(
            "where to lay the straight edge",
            rest,
            &[
                ("grooves", Check::PulleyLine),
                ("rims", Check::Misused(Misuse::LineOnRims)),
            ],
        )?,
        "dye" => {
            return pick("something to do with dye", rest, &[("add", ())]).map(|()| Action::AddDye);
        }
        "wipe" => return spot("a spot to wipe", rest).map(Action::Wipe),
        "lamp" => Check::Lamp(spot("a spot for the lamp", rest)?),
        "soap" => Check::Soap(spot("a spot for soap", rest)?),
        "identifier" => return pick("a sample", rest, SAMPLES).map(Action::Identify),
        _ => pick(
            "a step with the vacuum gauge",
            rest,
            &[("read", Check::Vacuum)],
        )?,
    };
    Ok(Action::Check(check))
}

/// The right use, or the wrong one that a word stands for.
fn way(how: &str, rightly: Check, wrongly: &[(&str, Misuse)]) -> Result<Check, NotAnAction> {
    if how.is_empty() {
        return Ok(rightly);
    }
    if wrongly.is_empty() {
        return Err(NotAnAction::new(format!(
            "nothing can follow here; leave `{how}` out."
        )));
    }
    pick("a way to use it", how, wrongly).map(Check::Misused)
}

fn clamp(what: &str, how: &str) -> Result<Check, NotAnAction> {
    let line = named::<Line>("a line of the loop", what)?;
    let wrongly = [
        ("quick", Misuse::ClampQuick(line)),
        ("bare", Misuse::ClampBare(line)),
    ];
    way(how, Check::LineTemperature(line), &wrongly)
}

fn thermometer(what: &str, how: &str) -> Result<Check, NotAnAction> {
    if let Some(side) = CondenserSide::by_name(what) {
        let wrongly = [
            ("quick", Misuse::CondenserAirQuick(side)),
            ("on-fins", Misuse::CondenserAirOnFins(side)),
        ];
        return way(how, Check::CondenserAir(side), &wrongly);
    }
    let Some(vent) = Vent::by_name(what) else {
        let mut names: Vec<&str> = Vent::ALL.iter().map(|vent| vent.name()).collect();
        names.extend(CondenserSide::ALL.iter().map(|side| side.name()));
        return Err(NotAnAction::not_one_of("a place in the air", what, &names));
    };
    let rightly = Check::VentTemperature(vent);
    way(how, rightly, &[("quick", Misuse::VentQuick(vent))])
}

fn scan(what: &str, how: &str) -> Result<Check, NotAnAction> {
    let rightly = pick("a value the scan tool shows", what, SCAN)?;
    match rightly {
        Check::ScanPressure => way(how, rightly, &[("slow", Misuse::ScanPressureSlow)]),
        Check::ScanEvaporator => way(how, rightly, &[("slow", Misuse::ScanEvaporatorSlow)]),
        Check::ScanAmbient => way(how, rightly, &[("soaked", Misuse::ScanAmbientSoaked)]),
        _ => way(how, rightly, &[]),
    }
}

fn meter(what: &str, how: &str) -> Result<Check, NotAnAction> {
    let rightly = pick("a measurement on the compressor's circuit", what, METER)?;
    let wrongly = match rightly {
        Check::Voltage(point) => [("ac-range", Misuse::VoltageOnAc(point))],
        Check::VoltageDrop(link) => [("ac-range", Misuse::VoltageDropOnAc(link))],
        Check::CoilVoltage => [("ac-range", Misuse::CoilVoltageOnAc)],
        Check::PartResistance(part) => [("unzeroed", Misuse::PartResistanceUnzeroed(part))],
        Check::CoilResistance => [("unzeroed", Misuse::CoilResistanceUnzeroed)],
        Check::CoilCurrent => [("unzeroed", Misuse::CoilCurrentUnzeroed)],
        _ => return way(how, rightly, &[]),
    };
    way(how, rightly, &wrongly)
}

fn leak_search(what: &str, how: &str) -> Result<Check, NotAnAction> {
    let spot = spot("a spot for the leak detector", what)?;
    let mut scale = LeakScale::Usual;
    let mut above = false;
    for word in how.split_whitespace() {
        match LeakScale::by_name(word) {
            Some(named) => scale = named,
            None if word == "above" => above = true,
            None => {
                let allowed = ["4-g", "7-g", "14-g", "above"];
                return Err(NotAnAction::not_one_of("a way to use it", word, &allowed));
            }
        }
    }
    Ok(if above {
        Check::Misused(Misuse::LeakAbove(spot, scale))
    } else {
        Check::LeakSearch(spot, scale)
    })
}

fn infrared(what: &str, how: &str) -> Result<Check, NotAnAction> {
    let line = named::<Line>("a line of the loop", what)?;
    let surfaces = [
        ("tape", Check::Infrared(line, Dull::Tape)),
        ("hose", Check::Infrared(line, Dull::Hose)),
        ("bare", Check::Misused(Misuse::InfraredBare(line))),
        ("far", Check::Misused(Misuse::InfraredFar(line))),
    ];
    pick("a surface to point it at", how, &surfaces)
}

fn spot(what: &str, word: &str) -> Result<Spot, NotAnAction> {
    let spots = LEAK_SPOTS.map(|spot| (spot.name(), spot));
    pick(what, word, &spots)
}

/// The command that makes a wrong use.
pub(super) fn misuse_command(misuse: Misuse) -> String {
    match misuse {
        Misuse::ShutGauge(_) => "gauges read".to_owned(),
        Misuse::ClampQuick(line) => format!("clamp {} quick", line.name()),
        Misuse::ClampBare(line) => format!("clamp {} bare", line.name()),
        Misuse::InfraredBare(line) => format!("infrared {} bare", line.name()),
        Misuse::InfraredFar(line) => format!("infrared {} far", line.name()),
        Misuse::VentQuick(vent) => format!("thermometer {} quick", vent.name()),
        Misuse::AirQuick(room) | Misuse::HumidityQuick(room) => {
            format!("hygrometer {} quick", room.name())
        }
        Misuse::AirSpeedAskew(vent) => format!("air-speed {} askew", vent.name()),
        Misuse::FeelerOnePlace => "feeler clutch-gap one-place".to_owned(),
        Misuse::ScanPressureSlow => "scan pressure slow".to_owned(),
        Misuse::ScanEvaporatorSlow => "scan evaporator slow".to_owned(),
        Misuse::LeakAbove(spot, scale) => format!("{} above", leak_search_command(spot, scale)),
        Misuse::SpeedUnmarked(wheel) => format!("tachometer {} unmarked", wheel.name()),
        Misuse::TensionWrongSpan => "belt-tension wrong-span".to_owned(),
        Misuse::LineOnRims => "pulley-line rims".to_owned(),
        Misuse::GasShareCold(_) => "identifier cold".to_owned(),
        Misuse::GasFromLiquid => "identifier liquid".to_owned(),
        Misuse::CondenserAirQuick(side) => format!("thermometer {} quick", side.name()),
        Misuse::CondenserAirOnFins(side) => format!("thermometer {} on-fins", side.name()),
        Misuse::ScanAmbientSoaked => "scan ambient soaked".to_owned(),
        Misuse::VoltageOnAc(_) | Misuse::VoltageDropOnAc(_) | Misuse::CoilVoltageOnAc => {
            meter_command(misuse, "ac-range")
        }
        Misuse::PartResistanceUnzeroed(_)
        | Misuse::CoilResistanceUnzeroed
        | Misuse::CoilCurrentUnzeroed => meter_command(misuse, "unzeroed"),
    }
}

/// The command of a meter's right use, with a wrong way of it.
fn meter_command(misuse: Misuse, how: &str) -> String {
    let rightly = misuse.rightly().map(command_of).unwrap_or_default();
    format!("{rightly} {how}")
}

/// The command that searches a spot on a scale; the usual one goes without saying.
pub(super) fn leak_search_command(spot: Spot, scale: LeakScale) -> String {
    match scale {
        LeakScale::Usual => format!("leak-search {}", spot.name()),
        other => format!("leak-search {} {}", spot.name(), other.name()),
    }
}
