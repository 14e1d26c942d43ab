//! Why an action was not taken, in a sentence that says what would be.

use std::fmt;

use crate::session::Refusal;
use crate::workshop::NotDone;

/// Why the bay did not take an action; the session is as it was.
#[derive(Clone, Debug, PartialEq)]
pub enum NotTaken {
    /// The car or the tools do not allow it.
    Refused(Refusal),
    /// No failure mode, component or `no-fault` of that name.
    UnknownFault {
        /// Name given.
        name: String,
        /// Nearest known name.
        nearest: Option<String>,
    },
    /// A reading relied on that is not in the notebook.
    NoSuchNote {
        /// Number given.
        number: usize,
        /// Notes there are.
        count: usize,
    },
    /// The diagnosis has been concluded.
    Concluded,
    /// Nobody repairs before it is said what is wrong.
    NotConcluded,
    /// The car has been given back.
    HandedOver,
    /// A step of the repair cannot be done as the car stands.
    NotDone(NotDone),
}

impl fmt::Display for NotTaken {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(refusal) => refusal.fmt(f),
            Self::UnknownFault { name, nearest } => {
                write!(f, "no fault is called `{name}`")?;
                match nearest {
                    Some(near) => write!(f, "; did you mean `{near}`?")?,
                    None => f.write_str(".")?,
                }
                f.write_str(" `faults` lists them all.")
            }
            Self::NoSuchNote { number, count: 0 } => {
                write!(f, "there is no reading {number}: the notebook is empty")
            }
            Self::NoSuchNote { number, count: 1 } => {
                write!(
                    f,
                    "there is no reading {number}: the notebook has only reading 1"
                )
            }
            Self::NoSuchNote { number, count } => {
                write!(
                    f,
                    "there is no reading {number}: the notebook has 1 to {count}"
                )
            }
            Self::Concluded => f.write_str(
                "the diagnosis has been concluded; what is left is the repair, and `hand-over`",
            ),
            Self::NotConcluded => f.write_str(
                "nobody repairs before it is said what is wrong: `conclude` first; `service-data` can be read at any time",
            ),
            Self::HandedOver => {
                f.write_str("the car has been given back; nothing more can be done")
            }
            Self::NotDone(why) => why.fmt(f),
        }
    }
}

impl std::error::Error for NotTaken {}
