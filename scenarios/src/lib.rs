//! From text to a case: vehicles, faults and cases in TOML, checked and built into cars; and questions.

mod bank;
pub mod bundle;
mod case;
pub mod checked;
mod competency;
pub mod counter;
mod error;
pub mod fault;
pub mod form;
mod library;
pub mod load;
mod marks;
mod nearest;
pub mod quantity;
pub mod question;
mod ranges;
pub mod scenario;
pub mod schema;
mod spanned;
pub mod syllabus;
mod together;
pub mod units;
pub mod vehicle;

pub use bank::{Bank, BankErrors, BankFiles, SourceFile};
pub use bundle::Bundle;
pub use case::{Case, DealError};
pub use competency::Competency;
pub use counter::{Candidate, Counter, OtherOutcome, SealSize};
pub use error::{LoadError, Problem};
pub use fault::{Catalogue, Component, Mode, Onset, Severity};
pub use form::Form;
pub use library::Library;
pub use marks::{DiagnosisShares, Hint, Marks, Reader, RepairWeights, SenseSlips, Weights};
pub use nearest::nearest;
pub use ranges::{CHARGE, MIDDLE, Range, Reach, Varied};
pub use scenario::{
    ALTITUDES_M, Arrival, FaultPresent, FaultRole, Known, NOTHING_BROKEN, Scenario, WorkOrder,
};
pub use together::Together;
pub use vehicle::{ServiceData, Vehicle};
