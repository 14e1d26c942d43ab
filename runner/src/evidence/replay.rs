//! The learner's actions once more, on another car.

use std::sync::Arc;

use scenarios::{Bank, Case};
use sim_core::fluid::Fluid;
use sim_core::instruments::{Check, Truth};

use crate::action::Action;
use crate::evidence::hypothesis::Hypothesis;
use crate::evidence::panel::{Panel, PanelWatcher};
use crate::session::{Nobody, Session, Watcher};

/// What a session on a hypothetical car would have shown, with everything that could have been read.
#[derive(Clone, Debug, PartialEq)]
pub struct Trail {
    /// What each reading taken would have been, by the index of its action.
    pub readings: Vec<(usize, Check, Truth)>,
    /// Everything that could have been read, moment by moment.
    pub panels: Vec<Panel>,
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

/// A session being replayed, action by action.
#[derive(Clone, Debug)]
pub struct Replay {
    session: Session,
    /// What each reading so far would have been, by the index of its action.
    pub readings: Vec<(usize, Check, Truth)>,
}

impl Replay {
    /// Carries out the action of an index; true when it took a reading.
    pub fn perform(&mut self, stage: &Stage<'_>, index: usize) -> bool {
        self.perform_watched(stage, index, &mut Nobody)
    }

    fn perform_watched(
        &mut self,
        stage: &Stage<'_>,
        index: usize,
        watcher: &mut dyn Watcher,
    ) -> bool {
        let Some(action) = stage.actions.get(index) else { return false };
        // What this car does not allow it simply does not show.
        let truths = self.session.perform(action, watcher).unwrap_or_default();
        let read = !truths.is_empty();
        self.readings.extend(truths.into_iter().map(|(check, truth)| (index, check, truth)));
        read
    }
}

impl Stage<'_> {
    /// Puts a hypothetical car in the bay.
    #[must_use]
    pub fn start(&self, hypothesis: &Hypothesis) -> Replay {
        let modes = hypothesis.modes(self.bank);
        let car = self.case.car_with(Arc::clone(&self.fluid), &modes);
        Replay { session: Session::new(car), readings: Vec::new() }
    }

    /// Replays the whole session and notes everything that could have been read along the way.
    #[must_use]
    pub fn panels(&self, hypothesis: &Hypothesis) -> Trail {
        let mut replay = self.start(hypothesis);
        let mut watcher = PanelWatcher::default();
        let mut panels = Vec::new();
        let mut changed_s = 0.0;
        for index in 0..self.actions.len() {
            let setup = replay.session.setup().clone();
            let before_s = replay.session.car().state().time_s;
            replay.perform_watched(self, index, &mut watcher);
            let now_s = replay.session.car().state().time_s;
            if *replay.session.setup() != setup {
                changed_s = now_s;
            }
            if now_s - before_s >= SHORTEST_LOOK_S {
                panels.push(watcher.panel(replay.session.car(), index, now_s - changed_s));
            }
        }
        Trail { readings: replay.readings, panels }
    }
}

/// Actions shorter than this leave no time to read anything else, s.
const SHORTEST_LOOK_S: f64 = 10.0;
