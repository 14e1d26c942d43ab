//! The learner's actions once more, on another car.

use std::sync::Arc;

use scenarios::{Bank, Case};
use sim_core::fluid::Fluid;
use sim_core::instruments::{Check, Truth};

use crate::action::Action;
use crate::evidence::hypothesis::Hypothesis;
use crate::evidence::panel::{Panel, PanelWatcher};
use crate::session::{Nobody, Session};

/// What a session on a hypothetical car would have shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Trail {
    /// The car.
    pub hypothesis: Hypothesis,
    /// What each reading would have been, by the index of its action and in the order taken.
    pub readings: Vec<(usize, Check, Truth)>,
    /// Everything that could have been read, where asked for.
    pub panels: Vec<Panel>,
    /// False when the replay was stopped early.
    pub complete: bool,
}

/// Everything a replay needs besides the hypothesis.
#[derive(Clone, Debug)]
pub struct Stage<'a> {
    /// Where the failure modes are.
    pub bank: &'a Bank,
    /// The case: the individual car and the weather.
    pub case: &'a Case,
    /// Refrigerant, made once.
    pub fluid: Arc<Fluid>,
    /// The learner's actions.
    pub actions: &'a [Action],
}

impl Stage<'_> {
    fn session(&self, hypothesis: &Hypothesis) -> Session {
        let modes = hypothesis.modes(self.bank);
        Session::new(self.case.car_with(Arc::clone(&self.fluid), &modes))
    }

    /// Replays without looking beyond the readings; `go_on` is asked after each reading taken.
    #[must_use]
    pub fn readings(
        &self,
        hypothesis: &Hypothesis,
        mut go_on: impl FnMut(&[(usize, Check, Truth)]) -> bool,
    ) -> Trail {
        let mut session = self.session(hypothesis);
        let mut trail = Trail {
            hypothesis: hypothesis.clone(),
            readings: Vec::new(),
            panels: Vec::new(),
            complete: true,
        };
        for (index, action) in self.actions.iter().enumerate() {
            // What this car does not allow it simply does not show.
            let truths = session.perform(action, &mut Nobody).unwrap_or_default();
            if truths.is_empty() {
                continue;
            }
            trail.readings.extend(truths.into_iter().map(|(check, truth)| (index, check, truth)));
            if !go_on(&trail.readings) {
                trail.complete = false;
                break;
            }
        }
        trail
    }

    /// Replays and notes everything that could have been read along the way.
    #[must_use]
    pub fn panels(&self, hypothesis: &Hypothesis) -> Trail {
        let mut session = self.session(hypothesis);
        let mut watcher = PanelWatcher::default();
        let mut trail = Trail {
            hypothesis: hypothesis.clone(),
            readings: Vec::new(),
            panels: Vec::new(),
            complete: true,
        };
        let mut changed_s = 0.0;
        for (index, action) in self.actions.iter().enumerate() {
            let setup = session.setup().clone();
            let before_s = session.car().state().time_s;
            let truths = session.perform(action, &mut watcher).unwrap_or_default();
            trail.readings.extend(truths.into_iter().map(|(check, truth)| (index, check, truth)));
            let now_s = session.car().state().time_s;
            if *session.setup() != setup {
                changed_s = now_s;
            }
            if now_s - before_s >= SHORTEST_LOOK_S {
                trail.panels.push(watcher.panel(session.car(), index, now_s - changed_s));
            }
        }
        trail
    }
}

/// Actions shorter than this leave no time to read anything else, s.
const SHORTEST_LOOK_S: f64 = 10.0;
