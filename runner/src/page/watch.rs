//! Watching: one reading again and again while the car runs. Each look is two ordinary steps, that time passes and that
//! it is read, so that a watch can be typed at a terminal, too, and every pointer that moves is a reading in the notebook.

use serde::Deserialize;
use sim_core::instruments::Value;

use super::answers::No;
use crate::action::{Action, GaugeStep};
use crate::bay::Bay;
use crate::session::Gauges;

/// From one look to the next, s.
const EACH_S: f64 = 30.0;
/// Looks in a minute.
const IN_A_MINUTE: u32 = 2;
/// Minutes to choose from.
const MINUTES: [u32; 3] = [1, 3, 5];
/// Most looks that are still to come.
const MOST_LOOKS: u32 = 10;

/// A watch that is kept.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Watch {
    read: Action,
    /// Looks still to come.
    pub left: u32,
}

/// The form that looks once more.
#[derive(Deserialize)]
pub(super) struct Look {
    pub token: String,
    pub steps: u64,
    /// What is read.
    pub words: String,
    /// Looks still to come, this one among them.
    pub left: u32,
    /// The place one stands at.
    pub at: Option<String>,
}

/// What can be watched, and for how long.
pub(super) struct Watchable {
    pub words: String,
    /// Minutes, and the looks that they are.
    pub lengths: Vec<(u32, u32)>,
}

impl Watch {
    /// A watch as a form or an address asks for it; none where nothing of the kind can be watched.
    pub fn asked(words: &str, left: u32) -> Option<Self> {
        let read = Action::parse(words).ok()?;
        let moves = match &read {
            Action::Gauges(step) => *step == GaugeStep::Read,
            Action::Check(_) | Action::Hygrometer(_) => true,
            _ => false,
        };
        (moves && (1..=MOST_LOOKS).contains(&left)).then_some(Self { read, left })
    }

    /// A watch as a form asks for it.
    ///
    /// # Errors
    /// A sentence, where nothing of the kind can be watched.
    pub fn of_form(form: &Look) -> Result<Self, No> {
        let why = || {
            No::Wrong(format!(
                "A reading can be watched, for {MOST_LOOKS} looks at most."
            ))
        };
        Self::asked(&form.words, form.left).ok_or_else(why)
    }

    /// What is read.
    pub fn words(&self) -> String {
        self.read.to_string()
    }

    /// The steps of the next look.
    pub fn look(&self) -> Vec<Action> {
        let rest_s = EACH_S - self.read.seconds();
        let wait = (rest_s > 0.0).then_some(Action::Wait(rest_s));
        wait.into_iter().chain([self.read.clone()]).collect()
    }

    /// The watch after that look; none after the last.
    pub fn after(&self) -> Option<Self> {
        Self::asked(&self.words(), self.left - 1)
    }
}

/// What can be watched as the car stands: the gauges while they are open, and what was read last where it is a number.
pub(super) fn watchable(bay: &Bay) -> Vec<Watchable> {
    let gauges = (bay.gauges() == Gauges::Open).then_some(Action::Gauges(GaugeStep::Read));
    let read = bay.notes().last().filter(|note| {
        note.action + 1 == bay.actions().len() && matches!(note.reading.value, Value::Number { .. })
    });
    let read = read
        .and_then(|note| bay.actions().get(note.action))
        .cloned();
    let read = read.filter(|action| Some(action) != gauges.as_ref());
    let words = gauges.into_iter().chain(read).map(|one| one.to_string());
    words
        .filter(|words| Watch::asked(words, 1).is_some())
        .map(|words| Watchable {
            words,
            lengths: MINUTES.map(|one| (one, one * IN_A_MINUTE)).into(),
        })
        .collect()
}
