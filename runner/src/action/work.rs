//! Work on the car once it is known what is wrong: what it is, to and from text.

use std::fmt;

use scenarios::SealSize;
use scenarios::quantity::{Dimension, parse_as};
use sim_core::car::TestGas;
use sim_core::repair::{JOBS, Job, Kind};

use crate::action::Action;
use crate::action::commands::{Command, command};
use crate::action::parse::{NotAnAction, pick, quantity};
use crate::action::words::{on_off, tidy, word_of};

/// One step of a repair.
#[derive(Clone, Debug, PartialEq)]
pub enum Work {
    /// Read the vehicle's service data.
    ServiceData,
    /// Take a part off.
    Remove(Job),
    /// Lay the old part beside those at the counter.
    Compare(Job),
    /// Put a part on: the one of a letter, counted from 0.
    Fit(Job, usize),
    /// Clean or set what is there.
    Mend(Job),
    /// Take over from the old part what a new one comes without.
    CarryOver(Job),
    /// Give a part's joints new seals of a size.
    Seal(Job, SealSize),
    /// Make a part's joints to a torque, N m.
    Torque(Job, f64),
    /// Have someone qualified for high voltage isolate the car and do the work on its compressor.
    CallIn,
    /// Put caps on open ends, or take them off.
    Caps(bool),
    /// Flush a part.
    Flush(Job),
    /// Put oil in, m³, of a kind.
    AddOil(f64, String),
    /// Pour oil out, m³.
    DrainOil(f64),
    /// Turn the compressor's hub by hand.
    TurnHub,
    /// Press a gas into the empty loop to a pressure above the air's, Pa.
    Press(TestGas, f64),
    /// Let that gas out.
    LetOut,
    /// Give the car back.
    HandOver,
}

/// Every step of a repair, in the order help shows them.
pub const WORK: &[Command] = &[
    command(
        "service-data",
        "",
        "the vehicle's service page: charge, oil, torques, seals, notes",
    ),
    command("remove", "a part, such as condenser", "take a part off"),
    command(
        "compare",
        "a part, such as condenser",
        "what the page asks for beside the parts at the counter",
    ),
    command(
        "fit",
        "a part and a letter, such as condenser B",
        "put the part of that letter on",
    ),
    command(
        "carry-over",
        "a part, such as condenser",
        "take over what a new part comes without",
    ),
    command(
        "seal",
        "a part and a size, such as condenser 10.8 x 1.8 mm",
        "give its joints new seals, oiled",
    ),
    command(
        "torque",
        "a part and a torque, such as condenser 12 N m",
        "make its joints",
    ),
    command(
        "mend",
        "a task, such as condenser-face",
        "clean or set what is there",
    ),
    command(
        "call-in",
        "",
        "have someone qualified for high voltage isolate the car and work on its compressor",
    ),
    command("caps", "on | off", "caps on the ends that stand open"),
    command("flush", "a part, such as discharge-hose", "flush it"),
    command(
        "oil",
        "add 40 cm3 pag-46 | drain 30 cm3",
        "put compressor oil in, or pour some out of the new compressor",
    ),
    command("turn-hub", "", "turn the compressor by hand, three turns"),
    command(
        "press",
        "nitrogen 10 bar | tracer 10 bar | air 8 bar | off",
        "press the empty loop to find leaks, or let the gas out",
    ),
    command(
        "hand-over",
        "",
        "give the car back to its owner and see the debrief",
    ),
];

/// Words for the gases a loop is pressed with.
pub(crate) const GASES: &[(&str, TestGas)] = &[
    ("nitrogen", TestGas::Nitrogen),
    ("tracer", TestGas::Tracer),
    ("air", TestGas::Air),
];

/// Most a seal measures, m.
const MOST_SEAL_M: f64 = 0.1;
/// Most torque, N m.
const MOST_TORQUE_N_M: f64 = 200.0;
/// Most oil at once, m³.
const MOST_OIL_M3: f64 = 0.5e-3;
/// Most and least a loop is pressed with, Pa.
const LEAST_PRESS_PA: f64 = 50e3;
/// See above.
const MOST_PRESS_PA: f64 = 2e6;

/// Whether a first word is one of a repair's.
pub(super) fn is_work(verb: &str) -> bool {
    WORK.iter().any(|command| command.verb == verb)
}

/// Reads a step of a repair.
pub(super) fn parse(verb: &str, rest: &str) -> Result<Action, NotAnAction> {
    let (first, more) = rest
        .split_once(char::is_whitespace)
        .map_or((rest, ""), |(first, more)| (first, more.trim()));
    let part = || job("a part", first, |kind| kind != Kind::Care);
    let work = match verb {
        "service-data" => alone(verb, rest, Work::ServiceData)?,
        "turn-hub" => alone(verb, rest, Work::TurnHub)?,
        "call-in" => alone(verb, rest, Work::CallIn)?,
        "hand-over" => alone(verb, rest, Work::HandOver)?,
        "remove" => Work::Remove(job("a part", rest, |kind| kind != Kind::Care)?),
        "compare" => Work::Compare(job("a part", rest, |kind| kind != Kind::Care)?),
        "carry-over" => Work::CarryOver(job("a part", rest, |kind| kind != Kind::Care)?),
        "mend" => Work::Mend(job("a task", rest, |kind| kind == Kind::Care)?),
        "flush" => Work::Flush(job("a part of the loop", rest, |kind| {
            kind == Kind::InLoop
        })?),
        "fit" => Work::Fit(part()?, letter(more)?),
        "seal" => Work::Seal(
            job("a part of the loop", first, |kind| kind == Kind::InLoop)?,
            size(more)?,
        ),
        "torque" => {
            let job = job("a part of the loop", first, |kind| kind == Kind::InLoop)?;
            let limits = "up to 200 N m";
            let torque = quantity(more, Dimension::Torque, 0.1, MOST_TORQUE_N_M, limits);
            Work::Torque(job, torque?)
        }
        "caps" => Work::Caps(pick(
            "a state of the caps",
            rest,
            &[("on", true), ("off", false)],
        )?),
        "oil" => oil(first, more)?,
        _ => press(first, more)?,
    };
    Ok(Action::Work(work))
}

fn alone(verb: &str, rest: &str, work: Work) -> Result<Work, NotAnAction> {
    if rest.is_empty() {
        Ok(work)
    } else {
        Err(NotAnAction::new(format!("`{verb}` stands alone.")))
    }
}

fn job(what: &str, word: &str, fits: impl Fn(Kind) -> bool) -> Result<Job, NotAnAction> {
    let known = Job::by_name(word).filter(|job| fits(job.info().kind));
    known.ok_or_else(|| {
        let all = JOBS.iter().filter(|info| fits(info.kind));
        let names: Vec<&str> = all.map(|info| info.name).collect();
        NotAnAction::not_one_of(what, word, &names)
    })
}

/// A letter as a number from 0.
fn letter(word: &str) -> Result<usize, NotAnAction> {
    let bytes = word.as_bytes();
    match bytes {
        [one] if one.is_ascii_alphabetic() => Ok(usize::from(one.to_ascii_lowercase() - b'a')),
        _ => Err(NotAnAction::new(
            "Write the letter of a part at the counter, such as `fit condenser B`; `compare condenser` shows them.",
        )),
    }
}

/// The letter of a number from 0.
#[must_use]
pub fn letter_of(index: usize) -> char {
    u8::try_from(index)
        .ok()
        .and_then(|index| b'A'.checked_add(index))
        .map_or('?', char::from)
}

/// `10.8 x 1.8 mm`, or without its unit.
fn size(text: &str) -> Result<SealSize, NotAnAction> {
    let wrong = || {
        NotAnAction::new(
            "Write inner diameter and thickness, such as `seal condenser 10.8 x 1.8 mm`; `service-data` names the sizes.",
        )
    };
    let bare = text.trim_end_matches("mm").trim();
    let (inner, section) = bare.split_once(['x', '×']).ok_or_else(wrong)?;
    let metres = |part: &str| {
        let mm = part.trim().parse::<f64>().ok();
        mm.map(|mm| mm * 1e-3)
            .filter(|m| *m > 0.0 && *m < MOST_SEAL_M)
            .ok_or_else(wrong)
    };
    Ok(SealSize {
        inner_m: metres(inner)?,
        section_m: metres(section)?,
    })
}

fn oil(first: &str, more: &str) -> Result<Work, NotAnAction> {
    let limits = "1 to 500 cm3";
    let volume = |text: &str| quantity(text, Dimension::Volume, 1e-6, MOST_OIL_M3, limits);
    match first {
        "drain" => Ok(Work::DrainOil(volume(more)?)),
        "add" => {
            // The amount and its unit, then the kind.
            let words: Vec<&str> = more.split_whitespace().collect();
            let amount_ends = words
                .iter()
                .position(|word| word.starts_with("pag") || word.starts_with("poe"))
                .unwrap_or(words.len());
            let (amount, kind) = words.split_at(amount_ends);
            if kind.is_empty() {
                return Err(NotAnAction::new(
                    "Write an amount and the kind of oil, such as `oil add 40 cm3 pag-46`; `service-data` names the right one.",
                ));
            }
            Ok(Work::AddOil(volume(&amount.join(" "))?, kind.join("-")))
        }
        _ => Err(NotAnAction::not_one_of(
            "something to do with oil",
            first,
            &["add", "drain"],
        )),
    }
}

fn press(first: &str, more: &str) -> Result<Work, NotAnAction> {
    if first == "off" {
        return Ok(Work::LetOut);
    }
    let gas = pick("a gas to press with, or `off`", first, GASES)?;
    // A test pressure is read on a gauge, whatever unit it is given in.
    let gauge = parse_as(more, Dimension::GaugePressure).is_ok();
    let dimension = if gauge {
        Dimension::GaugePressure
    } else {
        Dimension::PressureDifference
    };
    let limits = "0.5 to 20 bar";
    let pa = quantity(more, dimension, LEAST_PRESS_PA, MOST_PRESS_PA, limits)?;
    Ok(Work::Press(gas, pa))
}

impl fmt::Display for Work {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = |job: &Job| job.info().name;
        match self {
            Self::ServiceData => f.write_str("service-data"),
            Self::Remove(job) => write!(f, "remove {}", name(job)),
            Self::Compare(job) => write!(f, "compare {}", name(job)),
            Self::Fit(job, index) => write!(f, "fit {} {}", name(job), letter_of(*index)),
            Self::Mend(job) => write!(f, "mend {}", name(job)),
            Self::CarryOver(job) => write!(f, "carry-over {}", name(job)),
            Self::Seal(job, size) => write!(f, "seal {} {size}", name(job)),
            Self::Torque(job, n_m) => write!(f, "torque {} {} N m", name(job), tidy(*n_m)),
            Self::Caps(on) => write!(f, "caps {}", on_off(*on)),
            Self::Flush(job) => write!(f, "flush {}", name(job)),
            Self::AddOil(m3, kind) => write!(f, "oil add {} cm3 {kind}", tidy(m3 * 1e6)),
            Self::DrainOil(m3) => write!(f, "oil drain {} cm3", tidy(m3 * 1e6)),
            Self::CallIn => f.write_str("call-in"),
            Self::TurnHub => f.write_str("turn-hub"),
            Self::Press(gas, pa) => {
                write!(f, "press {} {} kPa", word_of(GASES, *gas), tidy(pa / 1e3))
            }
            Self::LetOut => f.write_str("press off"),
            Self::HandOver => f.write_str("hand-over"),
        }
    }
}
