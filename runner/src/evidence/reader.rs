//! The ideal reader: follows a session, holds a belief, and knows what it would check next.

use std::sync::Arc;

use scenarios::{Bank, Case, SenseSlips};
use sim_core::fluid::FluidError;
use sim_core::setup::Setup;

use crate::action::{Action, Control, EngineSpeed};
use crate::bay::{Bay, Note};
use crate::evidence::explanation::{Explanation, Grain};
use crate::evidence::follow::{Follower, Progress};
use crate::evidence::layout::Spread;
use crate::evidence::plan::{Standing, most_worth, worths_of};
use crate::evidence::tour::Tour;
use crate::session::Gauges;

/// Where tours come from: they take seconds and serve every session on the same vehicle and day.
pub trait Tours: Sync {
    /// The tour of a case.
    ///
    /// # Errors
    /// [`FluidError`] when the car's refrigerant is not known.
    fn tour(
        &self,
        bank: &Bank,
        case: &Case,
        progress: &dyn Progress,
    ) -> Result<Arc<Tour>, FluidError>;
}

/// Every tour is made when it is asked for.
impl Tours for () {
    fn tour(
        &self,
        bank: &Bank,
        case: &Case,
        progress: &dyn Progress,
    ) -> Result<Arc<Tour>, FluidError> {
        Tour::run(bank, case, Grain::Coarse, Spread::Healthy, progress).map(Arc::new)
    }
}

/// A reader of one session.
#[derive(Clone, Debug)]
pub struct Reader {
    follower: Follower,
    slips: SenseSlips,
}

/// What the reader would do next.
#[derive(Clone, Debug, PartialEq)]
pub struct Hint {
    /// The act.
    pub action: Action,
    /// The car first set up so, where it is not.
    pub set_up: Option<&'static str>,
    /// Bits it is expected to tell.
    pub bits: f64,
    /// Shop time with the way there, s.
    pub seconds: f64,
}

/// Cars run in one moment: a learner who acts meanwhile waits for no more than these.
const CARS_A_MOMENT: usize = 64;

impl Reader {
    /// A reader at the beginning of a session.
    ///
    /// # Errors
    /// [`FluidError`] when the car's refrigerant is not known.
    pub fn new(bank: &Bank, case: &Case) -> Result<Self, FluidError> {
        Ok(Self {
            follower: Follower::new(bank, case, Spread::Healthy)?,
            slips: bank.marks().slips,
        })
    }

    /// Follows a session to the end of its actions.
    pub fn follow(&mut self, actions: &[Action], notes: &[Note], progress: &dyn Progress) {
        self.follower.follow(actions, notes, progress);
    }

    /// Uses a moment in which nobody waits, a tenth of a second or two; tells whether there is more to
    /// do. It saves time at the end and changes no belief.
    pub fn use_a_moment(&mut self, actions: &[Action], notes: &[Note]) -> bool {
        self.follower.catch_up(actions, notes, CARS_A_MOMENT)
    }

    /// What it has followed.
    #[must_use]
    pub fn follower(&self) -> &Follower {
        &self.follower
    }

    /// The same, to carry on with.
    pub fn follower_mut(&mut self) -> &mut Follower {
        &mut self.follower
    }

    /// Every explanation of the case's car.
    #[must_use]
    pub fn explanations(&self) -> &[Explanation] {
        self.follower.explanations()
    }

    /// The check that promises most bits per minute, by the readings so far; none where none
    /// promises anything.
    #[must_use]
    pub fn hint(&self, bay: &Bay, tour: &Tour) -> Option<Hint> {
        let columns: Vec<usize> = (0..self.follower.readings()).collect();
        let mut weighed = self.follower.weigh(&columns);
        let fine = self.explanations();
        for one in &mut weighed.components {
            let index = one.explanation;
            one.place = fine[index].coarser(&one.place, &tour.explanations[index]);
        }
        let standing = standing(bay, tour);
        let taken = bay.notes().iter().filter(|note| note.setup == *bay.setup());
        let taken: Vec<_> = taken.map(|note| note.reading.check).collect();
        let new = |index: usize| {
            let offer = &tour.offers[index];
            let here = standing.stop == Some(offer.stop);
            let again = |column: &usize| taken.contains(&tour.table.checks[*column]);
            !(here && offer.columns.iter().any(again))
        };
        let worths = worths_of(tour, &weighed, &self.slips, standing, new);
        let best = most_worth(worths.iter())?;
        let offer = &tour.offers[best.offer];
        let set_up = (standing.stop != Some(offer.stop)).then(|| tour.stops[offer.stop].name);
        Some(Hint {
            action: offer.action.clone(),
            set_up,
            bits: best.bits,
            seconds: best.seconds,
        })
    }
}

/// Part by which engine speeds may differ and still count as the same.
const SAME_SPEED: f64 = 0.2;

/// Whether two set-ups serve for the same checks: doors and intake may stand as they like.
fn is_alike(stop: &Setup, now: &Setup) -> bool {
    if stop.engine_rev_s <= 0.0 || now.engine_rev_s <= 0.0 {
        return stop.engine_rev_s <= 0.0 && now.engine_rev_s <= 0.0;
    }
    let faster = (now.engine_rev_s / stop.engine_rev_s - 1.0).abs();
    faster <= SAME_SPEED
        && stop.ac_on == now.ac_on
        && stop.blower_step == now.blower_step
        && stop.shop_fan == now.shop_fan
        && (stop.road_speed_m_s > 0.0) == (now.road_speed_m_s > 0.0)
}

/// Where on the tour a session stands.
fn standing(bay: &Bay, tour: &Tour) -> Standing {
    let started = bay.actions().iter().any(|action| {
        matches!(action, Action::Turn(Control::Engine(speed)) if *speed != EngineSpeed::Off)
    });
    let stops = tour.setups.iter().enumerate();
    let mut alike = stops
        .filter(|(_, setup)| is_alike(setup, bay.setup()))
        .map(|(stop, _)| stop);
    // A car at rest that has not run yet is at the first stop, one that has at the last.
    let stop = if started && bay.setup().engine_rev_s <= 0.0 {
        alike.next_back()
    } else {
        alike.next()
    };
    Standing {
        stop,
        gauges_on: bay.gauges() == Gauges::Open,
    }
}
