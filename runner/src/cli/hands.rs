//! Who carries out what is typed: a bay alone, or a sitting that writes every step down first.

use crate::action::Action;
use crate::bay::{Bay, Outcome};
use crate::kept::Kept;

/// Carries actions out.
pub(super) trait Hands {
    /// The car in the bay, and the notebook; none where no car is left to work at.
    fn bay(&self) -> Option<&Bay>;

    /// Carries an action out.
    ///
    /// # Errors
    /// [`Unable`]; nothing has then happened that anybody was shown.
    fn act(&mut self, action: &Action) -> Result<Outcome, Unable>;
}

/// Why an action was not carried out.
#[derive(Debug)]
pub(super) enum Unable {
    /// It is not taken; something else may be.
    NotTaken(String),
    /// Nothing is taken any more.
    Over(String),
    /// It could not be kept: whatever came of it is shown to nobody.
    NotKept(String),
}

/// A bay whose every action is written down before anybody is shown what came of it.
pub(super) struct KeptBay {
    /// The bay.
    pub bay: Bay,
    /// The file.
    pub kept: Kept,
}

impl Hands for KeptBay {
    fn bay(&self) -> Option<&Bay> {
        Some(&self.bay)
    }

    fn act(&mut self, action: &Action) -> Result<Outcome, Unable> {
        let outcome = Hands::act(&mut self.bay, action)?;
        // As the bay keeps it: with every fault by its id.
        if let Some(action) = self.bay.actions().last() {
            let kept = self.kept.add(action);
            kept.map_err(|why| Unable::NotKept(why.to_string()))?;
        }
        Ok(outcome)
    }
}

impl Hands for Bay {
    fn bay(&self) -> Option<&Bay> {
        Some(self)
    }

    fn act(&mut self, action: &Action) -> Result<Outcome, Unable> {
        Bay::act(self, action).map_err(|why| Unable::NotTaken(why.to_string()))
    }
}
