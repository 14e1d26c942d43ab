//! The learner's actions once more, on another car.

use std::collections::VecDeque;
use std::sync::Arc;

use scenarios::{Bank, Case, Mode};
use sim_core::car::Car;
use sim_core::fluid::{Fluid, FluidError};
use sim_core::instruments::{Check, Truth, Watch, truth};
use sim_core::parts::condenser::FanStage;
use sim_core::setup::Setup;
use sim_core::spec::CarSpec;

use crate::action::Action;
use crate::evidence::seen::{Seen, Swing};
use crate::session::{Session, Watcher};

/// Everything a replay needs besides the car.
#[derive(Clone, Debug)]
pub struct Stage<'a> {
    /// Where the failure modes are.
    pub bank: &'a Bank,
    /// The case: vehicle, weather and how the car came in.
    pub case: &'a Case,
    /// Refrigerant, made once.
    pub fluid: Arc<Fluid>,
}

impl<'a> Stage<'a> {
    /// The stage of a case.
    ///
    /// # Errors
    /// [`FluidError`] when the car's refrigerant is not known.
    pub fn new(bank: &'a Bank, case: &'a Case) -> Result<Self, FluidError> {
        let fluid = Arc::new(Fluid::by_name(&case.healthy.refrigerant)?);
        Ok(Self { bank, case, fluid })
    }

    /// Puts a car in the bay: an individual of the model with faults in it; unknown ids are left out.
    #[must_use]
    pub fn start(&self, individual: &CarSpec, faults: &[(String, f64)]) -> Replay {
        let modes: Vec<(&Mode, f64)> = faults
            .iter()
            .filter_map(|(id, severity)| Some((self.bank.catalogue().get(id)?, *severity)))
            .collect();
        let car = self
            .case
            .individual_with(Arc::clone(&self.fluid), individual, &modes);
        Replay {
            pulse: Pulse::of(&car),
            session: Session::new(car),
        }
    }
}

/// A session on a hypothetical car.
#[derive(Clone, Debug)]
pub struct Replay {
    session: Session,
    pulse: Pulse,
}

impl Replay {
    /// Carries an action out and tells what each of the checks it is to make shows; `None` for what
    /// this car does not allow.
    pub fn perform(&mut self, action: &Action, checks: &[Check]) -> Vec<Option<Seen>> {
        // What this car does not allow it simply does not show.
        let truths = self
            .session
            .perform(action, &mut self.pulse)
            .unwrap_or_default();
        if checks.is_empty() {
            return Vec::new();
        }
        let mut seen: Vec<Option<Seen>> = checks
            .iter()
            .enumerate()
            .map(|(index, check)| {
                let (made, truth) = truths.get(index)?;
                (made == check).then(|| Seen::of(*truth))
            })
            .collect();
        self.look_ahead(checks, &mut seen);
        seen
    }

    /// What each of many checks would show as the car stands, without time passing.
    #[must_use]
    pub fn look_around(&self, checks: &[Check]) -> Vec<Option<Seen>> {
        let car = self.session.car();
        let watch = self.pulse.lately(car.state().time_s);
        let mut seen: Vec<Option<Seen>> = checks
            .iter()
            .map(|check| truth(car, *check, watch).ok().map(Seen::of))
            .collect();
        self.look_ahead(checks, &mut seen);
        seen
    }

    /// Adds what the checks would show a little later, on a car that comes and goes.
    fn look_ahead(&self, checks: &[Check], seen: &mut [Option<Seen>]) {
        let Some(period_s) = self.pulse.period_s() else {
            return;
        };
        if checks.iter().all(|check| tells_the_minute(*check)) {
            return;
        }
        let mut later = Later {
            checks,
            swings: vec![Vec::new(); checks.len()],
            seen,
            pulse: self.pulse.clone(),
        };
        let mut session = self.session.clone();
        // Only a car that cannot go on refuses, and it shows what it has shown.
        let _ = session.perform(&Action::Wait(period_s), &mut later);
        let swings = later.swings.into_iter().map(Swing::of);
        for (seen, swing) in seen.iter_mut().zip(swings) {
            if let (Some(Seen::Range(low, high)), Some(swing)) = (&seen, swing) {
                let Swing([least, .., greatest]) = swing;
                if low.min(least) < high.max(greatest) {
                    *seen = Some(Seen::Swing(swing));
                }
            }
        }
    }

    /// The session.
    #[must_use]
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// The car.
    #[must_use]
    pub fn car(&self) -> &Car {
        self.session.car()
    }

    /// How long the controls have been left alone, s.
    #[must_use]
    pub fn settled_s(&self) -> f64 {
        self.pulse.settled_s
    }
}

/// Whether a check takes in a whole minute by itself, or is no matter of the moment.
fn tells_the_minute(check: Check) -> bool {
    matches!(
        check,
        Check::GaugeExtreme(..) | Check::RecoveredMass | Check::ChargedMass
    ) || check.is_misuse()
}

/// Follows whether clutch and fan come and go by themselves.
#[derive(Clone, Debug)]
struct Pulse {
    setup: Setup,
    settled_s: f64,
    engaged: bool,
    stage: FanStage,
    /// Times at which one of them last switched, s, with whether the clutch pulled in.
    switched_s: VecDeque<(f64, bool)>,
}

/// Time over which switching counts, s.
const PULSE_S: f64 = 300.0;
/// Longest time to come and go that is watched for, s.
const LONGEST_S: f64 = 90.0;
/// Time over which a clutch is listened to, s.
const LISTENED_S: f64 = 60.0;

impl Pulse {
    fn of(car: &Car) -> Self {
        Self {
            setup: car.setup().clone(),
            settled_s: 0.0,
            engaged: car.state().clutch.engaged,
            stage: car.state().fan_stage,
            switched_s: VecDeque::new(),
        }
    }

    /// How long it takes to come and go, s, where it does with the controls left alone.
    fn period_s(&self) -> Option<f64> {
        let mut latest = self.switched_s.iter().rev();
        let (last_s, _) = latest.next()?;
        let (before_s, _) = latest.next()?;
        let start_s = latest
            .next()
            .map_or(*before_s - (last_s - before_s), |one| one.0);
        Some((last_s - start_s).clamp(5.0, LONGEST_S))
    }

    fn lately(&self, now_s: f64) -> Watch {
        let lately = |(at_s, pulled_in): &&(f64, bool)| *pulled_in && now_s - at_s <= LISTENED_S;
        Watch {
            engagements: self.switched_s.iter().filter(lately).count() as u32,
            seconds: LISTENED_S,
        }
    }
}

impl Watcher for Pulse {
    fn watch(&mut self, car: &Car, step_s: f64) {
        let state = car.state();
        if *car.setup() != self.setup {
            self.setup = car.setup().clone();
            self.switched_s.clear();
            self.settled_s = 0.0;
            self.engaged = state.clutch.engaged;
            self.stage = state.fan_stage;
        }
        self.settled_s += step_s;
        let engaged = state.clutch.engaged;
        if engaged != self.engaged || state.fan_stage != self.stage {
            let pulled_in = engaged && !self.engaged;
            self.switched_s.push_back((state.time_s, pulled_in));
            self.engaged = engaged;
            self.stage = state.fan_stage;
        }
        while let Some((at_s, _)) = self.switched_s.front()
            && state.time_s - at_s > PULSE_S
        {
            self.switched_s.pop_front();
        }
    }
}

/// Takes in what checks show while time passes.
struct Later<'a> {
    checks: &'a [Check],
    seen: &'a mut [Option<Seen>],
    /// Numbers, each with how long it was shown, s.
    swings: Vec<Vec<(f64, f64)>>,
    pulse: Pulse,
}

impl Watcher for Later<'_> {
    fn watch(&mut self, car: &Car, step_s: f64) {
        self.pulse.watch(car, step_s);
        let watch = self.pulse.lately(car.state().time_s);
        let each = self.checks.iter().zip(&mut *self.seen);
        for ((check, seen), swing) in each.zip(&mut self.swings) {
            if let Some(seen) = seen
                && !tells_the_minute(*check)
                && let Ok(now) = truth(car, *check, watch)
            {
                match now {
                    Truth::Number(value) => swing.push((value, step_s)),
                    Truth::Finding(_) => seen.take_in(now),
                }
            }
        }
    }
}
