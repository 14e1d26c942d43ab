//! Which cars are run for an explanation, and where they stand in a column.
//!
//! Brute force runs every severity on every individual of the model. It is enough to run the
//! severities on the model's typical car, and to take from [`CARS`] individuals how they differ from it:
//! see [`Spread`]. What that costs against brute force is measured in `benches/README.md`.

use crate::evidence::explanation::{Explanation, Place};

/// Individuals of the model that stand for its healthy spread.
pub const CARS: usize = 8;

/// From which cars an explanation takes how individuals of the model differ.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Spread {
    /// From healthy individuals: they differ with a fault as they do without.
    Healthy,
    /// From individuals with the fault at its middle severity.
    Each,
    /// From individuals at every severity: brute force.
    All,
}

/// Where the cars of each explanation stand in a column: its severities on the typical car, then its
/// individuals.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    spread: Spread,
    pub(super) firsts: Vec<usize>,
    cars: usize,
}

impl Layout {
    /// Places for the cars of the explanations; the first is the one with nothing broken.
    #[must_use]
    pub fn new(explanations: &[Explanation], spread: Spread) -> Self {
        let mut cars = 0;
        let mut firsts = Vec::with_capacity(explanations.len());
        for (index, one) in explanations.iter().enumerate() {
            firsts.push(cars);
            cars += one.nodes() + Self::run_on(one, index, spread).len() * CARS;
        }
        Self {
            spread,
            firsts,
            cars,
        }
    }

    /// The same with one more explanation at its end, of a single car; `None` where each explanation
    /// has individuals of its own.
    #[must_use]
    pub fn with_one(mut self) -> Option<Self> {
        if self.spread != Spread::Healthy {
            return None;
        }
        self.firsts.push(self.cars);
        self.cars += 1;
        Some(self)
    }

    /// The severities of an explanation at which individuals are run.
    #[must_use]
    pub fn run_on(explanation: &Explanation, index: usize, spread: Spread) -> Vec<usize> {
        match spread {
            Spread::Healthy if index > 0 => Vec::new(),
            Spread::Healthy | Spread::Each => vec![explanation.middle()],
            Spread::All => (0..explanation.nodes()).collect(),
        }
    }

    /// Number of cars.
    #[must_use]
    pub fn cars(&self) -> usize {
        self.cars
    }

    /// Places in a column of the cars that a component's expectations rest on: the nodes around it,
    /// and those the spread is taken from.
    pub fn rests_on(
        &self,
        (index, explanation): (usize, &Explanation),
        place: &Place,
    ) -> impl Iterator<Item = usize> {
        let first = self.firsts[index];
        let node = place.node;
        let beside = (0..explanation.dimensions()).flat_map(move |dimension| {
            let (milder, worse) = explanation.neighbours(node, dimension);
            [milder, worse]
        });
        let nodes = beside.flatten().chain([node, place.next]);
        let individuals = (0..CARS).flat_map(move |car| {
            let (individual, typical) = self.individual((first, explanation), node, car);
            [individual, typical]
        });
        nodes.map(move |node| first + node).chain(individuals)
    }

    /// Place of an individual that goes with a severity, and of the typical car it is set against.
    pub(super) fn individual(
        &self,
        (first, explanation): (usize, &Explanation),
        node: usize,
        car: usize,
    ) -> (usize, usize) {
        let own = first + explanation.nodes();
        match self.spread {
            // The explanation with nothing broken comes first: its one car, then the individuals.
            Spread::Healthy => (1 + car, 0),
            Spread::Each => (own + car, first + explanation.middle()),
            Spread::All => (own + node * CARS + car, first + node),
        }
    }

    /// From which cars explanations take the spread.
    #[must_use]
    pub fn spread(&self) -> Spread {
        self.spread
    }
}
