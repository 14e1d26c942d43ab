//! What a seed draws from a form.

use sim_core::random::Draws;

use super::hardness::minutes_per_bit;
use super::{CaseSlot, Form};

/// Stream of a seed that picks what stands in the slots.
const PICKING: u64 = 0;
/// First stream of the seeds of tasks; a stream each.
const TASKS: u64 = 1;
/// Seeds of tasks are below this: as many as a double tells apart.
const SEEDS: f64 = 9_007_199_254_740_992.0;

/// Most draws that are tried for one that is as hard as the others.
const MOST_DRAWS: usize = 64;

/// Something a candidate is given.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What.
    pub item: Item,
    /// The seed it is dealt by.
    pub seed: u64,
    /// What it counts beside the other tasks.
    pub weight: f64,
}

/// What a task is about.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Item {
    /// A car in the bay.
    Case {
        /// The case's id.
        id: String,
        /// Whether it is repaired and given back, too.
        repair: bool,
    },
    /// A short question, by its id.
    Question(String),
}

impl Item {
    /// The id of the case or question.
    #[must_use]
    pub fn id(&self) -> &str {
        match self {
            Self::Case { id, .. } | Self::Question(id) => id,
        }
    }
}

impl Form {
    /// The tasks that a seed draws: cases in the order of their slots, then questions. None comes twice.
    ///
    /// ```
    /// let library = scenarios::Library::builtin()?;
    /// let form = library.form("before-you-touch-refrigerant").unwrap();
    /// let tasks = form.draw(7);
    /// assert_eq!(tasks.len(), form.tasks());
    /// assert_eq!(tasks, form.draw(7));
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn draw(&self, seed: u64) -> Vec<Task> {
        let items = self.items(&mut Draws::new(seed, PICKING));
        let numbered = items.into_iter().zip(TASKS..);
        let tasks = numbered.map(|((item, weight), stream)| Task {
            item,
            seed: (Draws::new(seed, stream).uniform() * SEEDS) as u64,
            weight,
        });
        tasks.collect()
    }

    /// What stands in the slots, drawn again until the cars are as hard as the form wants them; where no draw
    /// is, the nearest.
    fn items(&self, draws: &mut Draws) -> Vec<(Item, f64)> {
        let Some(within) = self.alike_within else {
            return self.picked(draws);
        };
        let mut nearest = (f64::INFINITY, Vec::new());
        for _ in 0..MOST_DRAWS {
            let items = self.picked(draws);
            let off = self.off(&items);
            if off < nearest.0 {
                nearest = (off, items);
            }
            if nearest.0 <= within {
                break;
            }
        }
        nearest.1
    }

    /// How far these cars together are from the middle of the slots' pools, as a share of that. The middle is the
    /// median: a few very hard cases would draw a mean to where hardly any car is.
    fn off(&self, items: &[(Item, f64)]) -> f64 {
        let hard = |id: &str| minutes_per_bit(id).unwrap_or_default();
        let middle = |slot: &CaseSlot| {
            let mut pool: Vec<f64> = slot.pool.iter().map(|id| hard(id)).collect();
            pool.sort_by(f64::total_cmp);
            slot.count as f64 * pool.get(pool.len() / 2).copied().unwrap_or_default()
        };
        let expected: f64 = self.cases.iter().map(middle).sum();
        let cars = items.iter().filter_map(|(item, _)| match item {
            Item::Case { id, .. } => Some(hard(id)),
            Item::Question(_) => None,
        });
        (cars.sum::<f64>() / expected - 1.0).abs()
    }

    fn picked(&self, draws: &mut Draws) -> Vec<(Item, f64)> {
        let mut items: Vec<(Item, f64)> = Vec::new();
        for slot in &self.cases {
            let taken: Vec<&str> = items.iter().map(|(item, _)| item.id()).collect();
            for id in picked(&slot.pool, slot.count, &taken, draws) {
                let repair = slot.repair;
                items.push((Item::Case { id, repair }, slot.weight));
            }
        }
        let cases = items.len();
        for slot in &self.questions {
            let taken: Vec<&str> = items[cases..].iter().map(|(item, _)| item.id()).collect();
            for id in picked(&slot.pool, slot.count, &taken, draws) {
                items.push((Item::Question(id), slot.weight));
            }
        }
        items
    }
}

/// `count` of a pool, none of them taken and none twice.
fn picked(pool: &[String], count: usize, taken: &[&str], draws: &mut Draws) -> Vec<String> {
    let free = pool.iter().filter(|id| !taken.contains(&id.as_str()));
    let mut free: Vec<&String> = free.collect();
    let mut picked = Vec::new();
    while picked.len() < count && !free.is_empty() {
        let place = (draws.uniform() * free.len() as f64) as usize;
        picked.push(free.remove(place.min(free.len() - 1)).clone());
    }
    picked
}
