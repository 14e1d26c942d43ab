//! The learner's session followed on every car that could have stood there.

use rayon::prelude::*;
use sim_core::fluid::FluidError;
use sim_core::instruments::{Check, Value};
use sim_core::spec::CarSpec;
use sim_core::spread::individual;

use std::sync::Arc;

use scenarios::{Bank, Case, SenseSlips};

use crate::action::Action;
use crate::bay::Note;
use crate::evidence::belief::Weighed;
use crate::evidence::column::Column;
use crate::evidence::explanation::{Explanation, Grain, explanations};
use crate::evidence::layout::{CARS, Layout, Spread};
use crate::evidence::replay::{Replay, Stage};
use crate::evidence::seen::Seen;
use crate::evidence::table::Table;

/// Told how far a long search has come; called from several threads.
pub trait Progress: Sync {
    /// Called once with how many cars will be run.
    fn start(&self, cars: usize);
    /// Called after each.
    fn step(&self);
    /// Called at the end.
    fn finish(&self);
}

impl Progress for () {
    fn start(&self, _cars: usize) {}
    fn step(&self) {}
    fn finish(&self) {}
}

/// Seeds of the individuals that stand for a model's spread: the last there are, which nobody types.
const FIRST_INDIVIDUAL: u64 = u64::MAX - CARS as u64 + 1;

/// The individuals that stand for the healthy spread of a model.
pub fn individuals(model: &CarSpec) -> Vec<CarSpec> {
    (0..CARS as u64)
        .map(|number| individual(model, FIRST_INDIVIDUAL + number))
        .collect()
}

/// Cars in the order of their [`Layout`].
#[derive(Clone, Debug)]
pub struct Fleet {
    /// Every explanation of the case's car.
    pub explanations: Arc<Vec<Explanation>>,
    layout: Layout,
    replays: Vec<Replay>,
}

impl Fleet {
    /// Puts every car that could stand in the bay there.
    ///
    /// # Errors
    /// [`FluidError`] when the car's refrigerant is not known.
    pub fn new(bank: &Bank, case: &Case, grain: Grain, spread: Spread) -> Result<Self, FluidError> {
        let stage = Stage::new(bank, case)?;
        let explanations = explanations(bank, case, grain);
        let layout = Layout::new(&explanations, spread);
        let model = &case.vehicle.spec;
        let individuals = individuals(model);
        let mut cars: Vec<(&CarSpec, Vec<(String, f64)>)> = Vec::with_capacity(layout.cars());
        for (index, one) in explanations.iter().enumerate() {
            cars.extend((0..one.nodes()).map(|node| (model, one.faults(node))));
            for node in Layout::run_on(one, index, spread) {
                cars.extend(individuals.iter().map(|car| (car, one.faults(node))));
            }
        }
        let replays = cars
            .into_par_iter()
            .map(|(car, faults)| stage.start(car, &faults))
            .collect();
        Ok(Self {
            explanations: Arc::new(explanations),
            layout,
            replays,
        })
    }

    /// Number of cars.
    #[must_use]
    pub fn cars(&self) -> usize {
        self.replays.len()
    }

    /// Lets every car do a job; results come in the order of the cars, whatever the threads.
    pub fn each<R: Send>(
        &mut self,
        progress: &dyn Progress,
        job: impl Fn(&mut Replay) -> R + Sync,
    ) -> Vec<R> {
        self.replays
            .par_iter_mut()
            .map(|replay| {
                let result = job(replay);
                progress.step();
                result
            })
            .collect()
    }

    /// Sorts what the cars have shown, a row each, into a table.
    #[must_use]
    pub fn table(&self, checks: Vec<Check>, shown: &[impl AsRef<[Option<Seen>]> + Sync]) -> Table {
        let columns = (0..checks.len())
            .into_par_iter()
            .map(|column| {
                let seen = shown
                    .iter()
                    .map(|row| row.as_ref().get(column).and_then(Option::as_ref));
                Column::of(seen)
            })
            .collect();
        Table {
            checks,
            columns,
            layout: self.layout.clone(),
        }
    }
}

/// A session followed so far.
///
/// Cars that the readings have made less likely than one in a million are left standing where they
/// are: they cost time and change nothing. [`Follower::take_up`] carries on with those that fewer
/// readings would not have ruled out, and [`Follower::catch_up`] runs them ahead of that while nobody
/// waits: what they show then counts only once they are taken up, so that the belief is the same
/// however much time there was.
#[derive(Clone, Debug)]
pub struct Follower {
    fleet: Fleet,
    slips: SenseSlips,
    checks: Vec<Check>,
    values: Vec<Value>,
    shown: Vec<Vec<Option<Seen>>>,
    /// Actions each car has gone through.
    gone: Vec<usize>,
    /// For cars left standing, the readings they had shown until then.
    left_at: Vec<Option<usize>>,
    weighed: usize,
    followed: usize,
}

/// Share of the belief below which a car is left standing.
const LEFT_BELOW: f64 = 1e-6;
/// Actions from this length on are worth weighing the readings before, s.
const LONG_S: f64 = 60.0;

impl Follower {
    /// Follows a case from its beginning.
    ///
    /// # Errors
    /// [`FluidError`] when the car's refrigerant is not known.
    pub fn new(bank: &Bank, case: &Case, spread: Spread) -> Result<Self, FluidError> {
        let fleet = Fleet::new(bank, case, Grain::Fine, spread)?;
        Ok(Self {
            slips: bank.marks().slips,
            checks: Vec::new(),
            values: Vec::new(),
            shown: vec![Vec::new(); fleet.cars()],
            gone: vec![0; fleet.cars()],
            left_at: vec![None; fleet.cars()],
            weighed: 0,
            followed: 0,
            fleet,
        })
    }

    /// Number of actions followed.
    #[must_use]
    pub fn followed(&self) -> usize {
        self.followed
    }

    /// Number of readings followed.
    #[must_use]
    pub fn readings(&self) -> usize {
        self.values.len()
    }

    /// Number of cars, and how many of them have been left standing.
    #[must_use]
    pub fn cars(&self) -> (usize, usize) {
        let left = self.left_at.iter().flatten().count();
        (self.left_at.len(), left)
    }

    /// Every explanation of the case's car.
    #[must_use]
    pub fn explanations(&self) -> &Arc<Vec<Explanation>> {
        &self.fleet.explanations
    }

    /// Carries on to the end of a list of actions, of which the notebook says what each has read.
    pub fn follow(&mut self, actions: &[Action], notes: &[Note], progress: &dyn Progress) {
        while self.followed < actions.len() {
            let from = self.followed;
            if actions[from].seconds() >= LONG_S && self.weighed < self.values.len() {
                self.leave_the_unlikely();
            }
            // Up to the next long action.
            let short = actions[from + 1..]
                .iter()
                .take_while(|action| action.seconds() < LONG_S);
            let to = from + 1 + short.count();
            self.carry_on(&actions[..to], notes, progress);
            let read = notes
                .iter()
                .filter(|note| (from..to).contains(&note.action));
            for note in read {
                self.checks.push(note.reading.check);
                self.values.push(note.reading.value);
            }
            self.followed = to;
        }
    }

    /// Lets every car that has not been left standing go through the actions it has not seen yet.
    fn carry_on(&mut self, actions: &[Action], notes: &[Note], progress: &dyn Progress) {
        let cars: Vec<bool> = self.left_at.iter().map(Option::is_none).collect();
        self.run(&cars, actions, notes, progress);
    }

    /// Lets up to so many of the cars left standing go through what they have not seen yet, and tells
    /// whether others are still behind. Changes no belief: it saves [`Follower::take_up`] time.
    pub fn catch_up(&mut self, actions: &[Action], notes: &[Note], most: usize) -> bool {
        let mut behind = 0;
        let standing = self.left_at.iter().zip(&self.gone);
        let cars: Vec<bool> = standing
            .map(|(left, gone)| {
                let is_behind = left.is_some() && *gone < self.followed;
                behind += usize::from(is_behind);
                is_behind && behind <= most
            })
            .collect();
        self.run(&cars, &actions[..self.followed], notes, &());
        behind > most
    }

    /// Lets cars go through the actions they have not seen yet.
    fn run(&mut self, cars: &[bool], actions: &[Action], notes: &[Note], progress: &dyn Progress) {
        let made: Vec<Vec<Check>> = (0..actions.len())
            .map(|index| {
                let of_action = notes.iter().filter(|note| note.action == index);
                of_action.map(|note| note.reading.check).collect()
            })
            .collect();
        self.fleet
            .replays
            .par_iter_mut()
            .zip(&mut self.shown)
            .zip(&mut self.gone)
            .zip(cars)
            .for_each(|(((replay, shown), gone), goes)| {
                if !goes {
                    return;
                }
                for (action, checks) in actions.iter().zip(&made).skip(*gone) {
                    shown.extend(replay.perform(action, checks));
                }
                *gone = actions.len();
                progress.step();
            });
    }

    /// Leaves the cars standing that no component of any weight needs.
    fn leave_the_unlikely(&mut self) {
        self.weighed = self.values.len();
        let columns: Vec<usize> = (0..self.values.len()).collect();
        let wanted = self.wanted(&columns);
        for (left_at, wanted) in self.left_at.iter_mut().zip(wanted) {
            if left_at.is_none() && !wanted {
                *left_at = Some(self.weighed);
            }
        }
    }

    /// Which cars the belief after some readings rests on.
    fn wanted(&self, columns: &[usize]) -> Vec<bool> {
        let weighed = self.weigh(columns);
        let layout = &self.fleet.layout;
        let mut wanted = vec![false; self.left_at.len()];
        for one in weighed
            .components
            .iter()
            .filter(|one| one.weight() >= LEFT_BELOW)
        {
            let explanation = &self.fleet.explanations[one.explanation];
            for place in layout.rests_on((one.explanation, explanation), &one.place) {
                wanted[place] = true;
            }
        }
        wanted
    }

    /// Carries on with cars left standing that these readings alone leave possible.
    pub fn take_up(
        &mut self,
        columns: &[usize],
        actions: &[Action],
        notes: &[Note],
        progress: &dyn Progress,
    ) {
        // Cars left at one moment are judged by the readings relied on until then.
        let mut moments: Vec<usize> = self.left_at.iter().copied().flatten().collect();
        moments.sort_unstable();
        moments.dedup();
        for seen in moments {
            let until: Vec<usize> = columns.iter().copied().filter(|one| *one < seen).collect();
            if until.len() == seen {
                continue;
            }
            let wanted = self.wanted(&until);
            for (left_at, wanted) in self.left_at.iter_mut().zip(wanted) {
                if *left_at == Some(seen) && wanted {
                    *left_at = None;
                }
            }
        }
        self.carry_on(&actions[..self.followed], notes, progress);
    }

    /// What every car has shown, those left standing until then.
    #[must_use]
    pub fn table(&self) -> Table {
        let rows = self.shown.iter().zip(&self.left_at);
        let shown: Vec<&[Option<Seen>]> = rows
            .map(|(row, left_at)| &row[..left_at.unwrap_or(row.len())])
            .collect();
        self.fleet.table(self.checks.clone(), &shown)
    }

    /// Weighs readings by their number, counted from 0, in the order given.
    #[must_use]
    pub fn weigh(&self, columns: &[usize]) -> Weighed {
        Weighed::weigh(
            self.explanations(),
            &self.table(),
            columns,
            &self.values,
            &self.slips,
        )
    }
}
