//! The learner's actions once more, on another car.

use std::sync::Arc;

use scenarios::{Bank, Case};
use sim_core::fluid::Fluid;
use sim_core::instruments::{Check, Room, every_check};
use sim_core::setup::Setup;

use crate::action::{Action, GaugeStep};
use crate::evidence::hypothesis::Hypothesis;
use crate::evidence::swing::{Seen, SwingWatcher};
use crate::ports::GAUGE_EXTREMES;
use crate::session::Session;

/// A reading as a car would have given it.
#[derive(Clone, Debug, PartialEq)]
pub struct Predicted {
    /// Index of the action that took it.
    pub action: usize,
    /// What was checked.
    pub check: Check,
    /// What it would have shown.
    pub seen: Seen,
}

/// All the checks possible at one moment.
#[derive(Clone, Debug, PartialEq)]
pub struct Panel {
    /// Index of the action it ends.
    pub action: usize,
    /// Shop clock, s.
    pub at_s: f64,
    /// How the car was set up.
    pub setup: Setup,
    /// How long it had been set up so, s.
    pub settled_s: f64,
    /// What each possible check would have shown.
    pub seen: Vec<(Check, Seen)>,
}

/// What a session on a hypothetical car would have shown, with everything that could have been read.
#[derive(Clone, Debug, PartialEq)]
pub struct Trail {
    /// What each reading taken would have been.
    pub readings: Vec<Predicted>,
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
    watcher: SwingWatcher,
    /// What each reading so far would have been.
    pub readings: Vec<Predicted>,
}

impl Replay {
    /// Carries out the action of an index; true when it took a reading.
    pub fn perform(&mut self, stage: &Stage<'_>, index: usize) -> bool {
        let Some(action) = stage.actions.get(index) else {
            return false;
        };
        // What this car does not allow it simply does not show.
        let truths = self
            .session
            .perform(action, &mut self.watcher)
            .unwrap_or_default();
        let read = !truths.is_empty();
        for (check, truth) in truths {
            let mut seen = Seen::of(truth);
            // An instrument used the wrong way shows what it shows at that moment and nothing else.
            if !check.is_misuse()
                && let Some(lately) = self.watcher.lately(self.session.car(), check)
            {
                seen.join(&lately);
            }
            self.readings.push(Predicted {
                action: index,
                check,
                seen,
            });
        }
        read
    }
}

impl Replay {
    /// What each possible check has shown lately, and would show while it is being made: a hand's
    /// feel or a sound may change before it has been noticed.
    fn seen_soon(&self) -> Vec<(Check, Seen)> {
        let mut seen: Vec<(Check, Seen)> = self.watcher.seen(self.session.car()).collect();
        let mut soon = self.clone();
        // Only a car that cannot go on refuses, and it shows what it has shown.
        if soon
            .session
            .perform(&Action::Wait(LONGEST_LOOK_S), &mut soon.watcher)
            .is_ok()
        {
            for (check, later) in soon.watcher.seen(soon.session.car()) {
                if let Some((_, seen)) = seen.iter_mut().find(|(one, _)| *one == check) {
                    seen.join(&later);
                }
            }
        }
        seen
    }
}

impl Stage<'_> {
    /// Puts a hypothetical car in the bay, watched for the checks the learner makes.
    #[must_use]
    pub fn start(&self, hypothesis: &Hypothesis) -> Replay {
        self.start_watching(hypothesis, self.checks_made())
    }

    fn start_watching(&self, hypothesis: &Hypothesis, checks: Vec<Check>) -> Replay {
        let modes = hypothesis.modes(self.bank);
        let car = self.case.car_with(Arc::clone(&self.fluid), &modes);
        Replay {
            session: Session::new(car),
            watcher: SwingWatcher::new(checks),
            readings: Vec::new(),
        }
    }

    /// Replays the whole session for the readings taken.
    #[must_use]
    pub fn readings(&self, hypothesis: &Hypothesis) -> Vec<Predicted> {
        let mut replay = self.start(hypothesis);
        for index in 0..self.actions.len() {
            replay.perform(self, index);
        }
        replay.readings
    }

    /// Replays the whole session and notes everything that could have been read along the way.
    #[must_use]
    pub fn panels(&self, hypothesis: &Hypothesis) -> Trail {
        let mut replay = self.start_watching(hypothesis, every_check());
        let mut panels = Vec::new();
        for index in 0..self.actions.len() {
            let before_s = replay.session.car().state().time_s;
            replay.perform(self, index);
            let car = replay.session.car();
            let at_s = car.state().time_s;
            if at_s - before_s >= SHORTEST_LOOK_S {
                panels.push(Panel {
                    action: index,
                    at_s,
                    setup: car.setup().clone(),
                    settled_s: replay.watcher.settled_s(),
                    seen: replay.seen_soon(),
                });
            }
        }
        Trail {
            readings: replay.readings,
            panels,
        }
    }

    /// Every check the learner makes, once.
    fn checks_made(&self) -> Vec<Check> {
        let mut checks = Vec::new();
        for action in self.actions {
            let made = match action {
                Action::Check(check) => vec![*check],
                Action::Hygrometer(room) => both(*room),
                Action::Gauges(GaugeStep::Read) => vec![Check::LowGauge, Check::HighGauge],
                Action::Gauges(GaugeStep::Watch) => GAUGE_EXTREMES.to_vec(),
                Action::Recover(_) => vec![Check::RecoveredMass, Check::MachinePressure],
                Action::Charge(..) => vec![Check::ChargedMass],
                _ => Vec::new(),
            };
            checks.extend(made);
        }
        checks.sort_unstable();
        checks.dedup();
        checks
    }
}

fn both(room: Room) -> Vec<Check> {
    vec![Check::AirTemperature(room), Check::Humidity(room)]
}

/// Time in which most checks are made, s: a minute of listening is the longest of the senses.
const LONGEST_LOOK_S: f64 = 60.0;
/// Actions shorter than this leave no time to read anything else, s; clocks add up to within round-off.
const SHORTEST_LOOK_S: f64 = 9.5;
