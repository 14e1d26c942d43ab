//! Why a step of a repair was not done.

use std::fmt;

use scenarios::SealSize;
use sim_core::repair::Job;

use crate::action::letter_of;
use crate::session::Refusal;

/// Why a step of a repair was not done. Nothing has changed and no time has passed.
#[derive(Clone, Debug, PartialEq)]
pub enum NotDone {
    /// This car has no such part.
    NoSuchPart(Job),
    /// The part is not off yet.
    StillOn(Job),
    /// The part is off.
    Off(Job),
    /// A part is off: the car cannot run or leave.
    PartOff(Job),
    /// The counter has no part of that letter; how many it has.
    NoSuchCandidate(Job, usize),
    /// The box holds no seal of that size; those it holds.
    NoSuchSeal(SealSize, Vec<SealSize>),
    /// The shelf has no such oil; those it has.
    NoSuchOil(String, Vec<String>),
    /// A new part comes with all that it needs.
    NothingToCarry(Job),
    /// The loop is closed: nothing can be flushed.
    Closed,
    /// A gas is still pressed into the loop.
    StillPressed,
    /// The compressor has no motor at high voltage.
    NoHighVoltage,
    /// The compressor has no hub to turn.
    NoHub,
    /// The engine runs.
    EngineOn,
    /// The vacuum pump draws at the loop.
    PumpOn,
    /// The loop is not empty and closed.
    NotEmpty,
    /// The loop stands open where this part is off.
    OpenAt(Job),
    /// A fitting at this part is loose.
    LooseAt(Job),
    /// No gas is pressed in.
    NothingPressed,
    /// The simulation could not follow.
    Refused(Box<Refusal>),
}

impl From<Refusal> for NotDone {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(Box::new(refusal))
    }
}

impl fmt::Display for NotDone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchPart(job) => {
                write!(f, "this car has no part `{}`", job.info().name)
            }
            Self::StillOn(job) => {
                let name = job.info().name;
                write!(f, "`{name}` is still on the car: `remove {name}` first")
            }
            Self::Off(job) => {
                let name = job.info().name;
                write!(
                    f,
                    "`{name}` is off: `compare {name}`, then `fit {name}` with a letter, first"
                )
            }
            Self::PartOff(job) => {
                let name = job.info().name;
                write!(f, "`{name}` is off the car: `fit {name}` with a letter first")
            }
            Self::NoSuchCandidate(job, count) => write!(
                f,
                "the counter has no `{}` of that letter; it has A to {}",
                job.info().name,
                letter_of(count.saturating_sub(1))
            ),
            Self::NoSuchSeal(size, sizes) => {
                let sizes: Vec<String> = sizes.iter().map(SealSize::to_string).collect();
                write!(
                    f,
                    "the box holds no seal of {size}; it holds {}",
                    sizes.join(", ")
                )
            }
            Self::NoSuchOil(kind, known) => {
                write!(f, "no oil here is `{kind}`; there is {}", known.join(", "))
            }
            Self::NothingToCarry(job) => write!(
                f,
                "nothing has to be taken over from the old part: `{}` comes with all it needs",
                job.info().name
            ),
            Self::Closed => f.write_str(
                "a pipe is flushed through its open ends: take the parts beside it off first",
            ),
            Self::StillPressed => f.write_str(
                "gas is still pressed into the loop: let it out first, with `press off`",
            ),
            Self::NoHighVoltage => f.write_str(
                "a belt drives this car's compressor: there is no high voltage at it",
            ),
            Self::NoHub => f.write_str(
                "this compressor has its motor inside and no hub: the inverter starts it slowly",
            ),
            Self::EngineOn => f.write_str(
                "parts come off and go on with the engine off: set `engine off` first",
            ),
            Self::PumpOn => f.write_str(
                "the vacuum pump is drawing at both service ports: `evacuate off` first",
            ),
            Self::NotEmpty => f.write_str(
                "a loop is pressed when it is closed and its refrigerant has been recovered and evacuated, or lost: `recover` and `evacuate on` first, and put on what is off",
            ),
            Self::OpenAt(job) => {
                let name = job.info().name;
                write!(
                    f,
                    "the loop stands open where `{name}` is off, and what is pressed in blows out: put on what is off (`fit {name}` with a letter), and press then"
                )
            }
            Self::LooseAt(job) => {
                let name = job.info().name;
                write!(
                    f,
                    "a fitting at `{name}` is loose, and what is pressed in blows out: make its joints (`torque {name}` with the torque on the service page), and press then"
                )
            }
            Self::NothingPressed => f.write_str("no gas is pressed into the loop"),
            Self::Refused(refusal) => refusal.fmt(f),
        }
    }
}

impl std::error::Error for NotDone {}
