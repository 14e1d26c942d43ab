//! Notes that come with a job whoever does it and however well: they cost no marks, and each is shown
//! once a session, when it first matters. The usual ones (common practice, no source); the maker's
//! procedure, local law and licensed practice come first.

use sim_core::instruments::{Check, Sense, Spot};
use sim_core::repair::Kind;

use crate::action::{Action, GaugeStep, Work};
use crate::session::Session;
use crate::workshop::high_voltage;

/// A note: a caution without a slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Advice {
    /// Something is put on the service ports of a loop labelled with a refrigerant that burns.
    FlammableAtPorts,
    /// Refrigerant that burns goes into or out of a machine.
    FlammableAtMachine,
    /// A loop that holds refrigerant that burns is opened.
    FlammableOpened,
    /// A gas bottle is put on the loop.
    BottleAtLoop,
    /// A fitting of the loop is loosened.
    GasOut,
    /// Hands or a scan tool come near a compressor that runs on high voltage.
    HighVoltageNear,
}

impl Advice {
    /// The caution in the usual words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::FlammableAtPorts => {
                "The label says R-1234yf, which burns, though not easily (class A2L). Work on it where the air moves, away from flames, sparks and hot metal, and by the maker's procedure."
            }
            Self::FlammableOpened => {
                "What is left of R-1234yf in oil and hoses burns (class A2L): no flame, no soldering and no spark near an opened loop, air the bay, and follow the maker's procedure."
            }
            Self::BottleAtLoop => {
                "A bottle holds two hundred bar: never press without a regulator, never above what the maker allows for the low side, and wear glasses."
            }
            Self::GasOut => {
                "Refrigerant is heavier than air: it lies at the floor and in pits and takes the air's place, and it breaks down at flames and hot metal to acid and poisonous gases. No flame, nobody in a pit, air the bay, and follow the maker's procedure and your local rules."
            }
            Self::HighVoltageNear => {
                "This compressor runs on hundreds of volts, and its inverter holds them after the car is off. Keep off orange cables and their plugs; what has to be done at them is for somebody qualified for high voltage, by the maker's procedure and local law."
            }
            Self::FlammableAtMachine => {
                "Recover, evacuate and charge a refrigerant that burns only with a machine and cylinder made for it, in a bay that is aired, with no flame or spark near; follow the maker's procedure and your local rules."
            }
        }
    }
}

/// What is to be said with an action, with the session as it stands before it.
#[must_use]
pub fn advice_of(action: &Action, session: &Session) -> Option<Advice> {
    let advice = match action {
        Action::Gauges(GaugeStep::Connect)
        | Action::Identify(_)
        | Action::AddDye
        | Action::Check(Check::Vacuum) => Advice::FlammableAtPorts,
        Action::Recover(_) | Action::Evacuate(true) | Action::Charge(..) => {
            Advice::FlammableAtMachine
        }
        Action::Work(Work::Press(..)) => return Some(Advice::BottleAtLoop),
        Action::Loosen(_) => return Some(Advice::GasOut),
        Action::Check(Check::ScanInsulation | Check::Sense(Sense::Feel, Spot::Compressor))
            if high_voltage(session) =>
        {
            return Some(Advice::HighVoltageNear);
        }
        Action::Work(Work::Remove(job)) if job.info().kind == Kind::InLoop => {
            Advice::FlammableOpened
        }
        _ => return None,
    };
    // By the label, which anyone can read: what is really in the loop is for the learner to find out.
    (session.car().spec().refrigerant == "R-1234yf").then_some(advice)
}
