//! Work that was done on a car, kept for whoever has no terminal to scroll back in.

use super::Opened;
use crate::action::Action;
use crate::workshop::Shown;

/// One step of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// Index of the action.
    pub action: usize,
    /// Shop clock when it was over, s.
    pub at_s: f64,
    /// What it showed.
    pub shown: Option<Shown>,
    /// What was heard where it opened the loop.
    pub opened: Option<Opened>,
}

/// Whether an action is work on the car, and not a look at it.
pub(super) fn is_work(action: &Action) -> bool {
    matches!(
        action,
        Action::Work(_)
            | Action::Recover(_)
            | Action::Evacuate(_)
            | Action::Charge(..)
            | Action::WarmCylinder(_)
            | Action::Loosen(_)
            | Action::AddDye
    )
}
