//! What every car that could stand in the bay would show, reading by reading, and what that lets an
//! explanation expect.

use sim_core::instruments::{Check, Tool, ToolSpec};

use crate::evidence::column::{Cells, Column};
use crate::evidence::explanation::{Explanation, Place};
use crate::evidence::layout::{CARS, Layout};
use crate::evidence::seen::{Shown, Swing};

/// Most modes an explanation has.
const MOST_MODES: usize = 3;
/// What a component does not know of its car and learns from readings: how far it lies towards each
/// individual, where each severity lies exactly, how far what it shows bends on the way there, and by
/// what the shop's scales err.
pub const UNKNOWNS: usize = CARS + 2 * MOST_MODES + 1;
/// Place of the first severity's bend among the unknowns.
const BENDS: usize = CARS + MOST_MODES;
/// Place of the scales among the unknowns.
const SCALES: usize = CARS + 2 * MOST_MODES;

/// What lies around a severity that is run does not lie on a straight line. Of the second difference of
/// three neighbours it is off by this much: between what a parabola gives (0.04) and a kink (0.07).
/// Every reading bends by the same share of its own second difference.
const BEND_SPREAD: f64 = 0.06;

/// Part of the spread that is left around an individual. The other part lies in the individuals
/// themselves, drawn together so that all of them have the spread of the model (Liu & West 2001,
/// "Combined parameter and state estimation in simulation-based filtering", shrunk kernels).
const AROUND: f64 = 0.5;
/// Part of the spread around an individual that is taken as each reading's own: eight cars tell how
/// two readings go together only roughly (the shrinkage towards a diagonal of Ledoit & Wolf 2004;
/// the share is a choice of ours, see `coldtrail author calibrate`).
const OWN: f64 = 0.3;

/// Predictions for all explanations.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What was checked, a column each.
    pub checks: Vec<Check>,
    /// What the cars show.
    pub columns: Vec<Column>,
    /// Where each explanation's cars stand.
    pub layout: Layout,
}

/// What a component expects of a reading.
#[derive(Clone, Debug, PartialEq)]
#[allow(
    clippy::large_enum_variant,
    reason = "made and used up one at a time, millions of times: a box would cost more"
)]
pub enum Expected<'a> {
    /// A number: its mean, how it moves with each unknown (of variance 1), and the variance left.
    Number {
        /// Mean, SI.
        mean: f64,
        /// Per unknown.
        towards: [f64; UNKNOWNS],
        /// The reading's own variance, without the swing.
        variance: f64,
        /// Where the swing is beside the mean, each quarter of its time as middle and variance; `None`
        /// where there is none.
        swing: Option<[(f64, f64); 4]>,
        /// The instrument.
        spec: ToolSpec,
    },
    /// One of these findings, by key, with its probability.
    Findings(Vec<(&'a str, f64)>),
    /// The check cannot be made on this car.
    Nothing,
}

/// One explanation's part of a column.
#[derive(Clone, Copy, Debug)]
pub struct Part<'a> {
    column: &'a Column,
    check: Check,
    explanation: &'a Explanation,
    first: usize,
    layout: &'a Layout,
}

impl Table {
    /// What an explanation's cars show in a column.
    #[must_use]
    pub fn part<'a>(
        &'a self,
        column: usize,
        (index, explanation): (usize, &'a Explanation),
    ) -> Part<'a> {
        Part {
            column: &self.columns[column],
            check: self.checks[column],
            explanation,
            first: self.layout.firsts[index],
            layout: &self.layout,
        }
    }
}

impl<'a> Part<'a> {
    /// What the components of a place expect together, by the weights of their individuals: the
    /// same without telling them apart.
    #[must_use]
    pub fn pooled(&self, place: &Place, weights: &[f64; CARS]) -> Expected<'a> {
        match &self.column.cells {
            Cells::Numbers(all) => self.number(all, place, weights),
            Cells::Findings { keys, sets } => {
                let heaviest = (0..CARS).max_by(|a, b| weights[*a].total_cmp(&weights[*b]));
                self.findings(keys, sets, place, heaviest.unwrap_or(0))
            }
            Cells::Nothing => Expected::Nothing,
        }
    }

    /// What one component, a place and an individual, expects.
    #[must_use]
    pub fn expected(&self, place: &Place, car: usize) -> Expected<'a> {
        match &self.column.cells {
            Cells::Numbers(all) => {
                let mut weights = [0.0; CARS];
                weights[car] = 1.0;
                self.number(all, place, &weights)
            }
            Cells::Findings { keys, sets } => self.findings(keys, sets, place, car),
            Cells::Nothing => Expected::Nothing,
        }
    }

    /// What the typical car shows at a place: numbers in a straight line, findings of either end.
    #[must_use]
    pub fn shown(&self, place: &Place) -> Option<Shown<'a>> {
        let (one, other) = (self.typical(place.node)?, self.typical(place.next)?);
        Some(match (one, other) {
            (Shown::Number(Swing(here)), Shown::Number(Swing(next))) => {
                let way = |at: usize| here[at] + place.share * (next[at] - here[at]);
                Shown::Number(Swing(std::array::from_fn(way)))
            }
            (Shown::Keys(mut keys), Shown::Keys(others)) => {
                for key in others {
                    if !keys.contains(&key) {
                        keys.push(key);
                    }
                }
                Shown::Keys(keys)
            }
            (one, _) => one,
        })
    }

    /// Whether the typical car shows one of these findings at a place, by key: the same as with
    /// [`Part::shown`], without a list.
    #[must_use]
    pub fn shares(&self, place: &Place, ours: &[&str]) -> bool {
        let Cells::Findings { keys, sets } = &self.column.cells else {
            return false;
        };
        let [here, next] = [place.node, place.next].map(|node| sets[self.first + node]);
        let mut noticed = keys.iter().enumerate().filter(|(bit, _)| {
            let one = 1 << bit;
            (here | next) & one != 0
        });
        here != 0 && next != 0 && noticed.any(|(_, key)| ours.contains(&key.as_str()))
    }

    /// What the typical car shows at a node.
    fn typical(&self, node: usize) -> Option<Shown<'a>> {
        match &self.column.cells {
            Cells::Numbers(all) => {
                let swing = |values: [f32; 5]| Shown::Number(Swing(values.map(f64::from)));
                all[self.first + node].map(swing)
            }
            Cells::Findings { keys, sets } => {
                let set = sets[self.first + node];
                let noticed = keys.iter().enumerate();
                let noticed = noticed.filter(|(bit, _)| set & (1 << bit) != 0);
                (set != 0).then(|| Shown::Keys(noticed.map(|(_, key)| key.as_str()).collect()))
            }
            Cells::Nothing => None,
        }
    }

    fn individual(&self, node: usize, car: usize) -> (usize, usize) {
        self.layout
            .individual((self.first, self.explanation), node, car)
    }

    fn number(
        &self,
        all: &[Option<[f32; 5]>],
        place: &Place,
        weights: &[f64; CARS],
    ) -> Expected<'a> {
        let at = |node: usize| all[self.first + node].map(|swing| swing.map(f64::from));
        let (Some(tool), Some(here)) = (self.check.tool(), at(place.node)) else {
            return Expected::Nothing;
        };
        let spec = tool.spec();
        let next = at(place.next).unwrap_or(here);
        let mut on_the_way: [f64; 5] =
            std::array::from_fn(|at| here[at] + place.share * (next[at] - here[at]));
        let swings = on_the_way[4] > on_the_way[0];
        let mut towards = [0.0; UNKNOWNS];
        let mut variance = 0.0;
        // How the individuals differ from the typical car.
        let around = AROUND / CARS as f64;
        let (mut shift, mut square) = (0.0, 0.0);
        for index in 0..CARS {
            let (individual, typical) = self.individual(place.node, index);
            let (Some(theirs), Some(typical)) = (all[individual], all[typical]) else {
                continue;
            };
            let apart = apart(&theirs, &typical);
            if swings {
                // One that comes and goes does so in its own way, at either end of the swing.
                for (at, value) in on_the_way.iter_mut().enumerate() {
                    let off = f64::from(theirs[at]) - f64::from(typical[at]);
                    *value += weights[index] * (1.0 - AROUND).sqrt() * off;
                }
            } else {
                shift += weights[index] * apart;
                square += weights[index] * apart * apart;
            }
            towards[index] = apart * (around * (1.0 - OWN)).sqrt();
            variance += around * OWN * apart * apart;
        }
        on_the_way.sort_by(f64::total_cmp);
        let mean = Swing(on_the_way).mean() + (1.0 - AROUND).sqrt() * shift;
        let swing = swing_of(on_the_way);
        variance += (1.0 - AROUND) * (square - shift * shift).max(0.0);
        // The severity of the first mode lies anywhere in the part that the place stands for.
        towards[CARS] = place.width * (mean_of(next) - mean_of(here)) / 12.0_f64.sqrt();
        // That of another lies anywhere between half the way to either neighbour.
        for dimension in 1..self.explanation.dimensions() {
            let (milder, worse) = self.explanation.neighbours(place.node, dimension);
            let at = |node: Option<usize>| node.and_then(at).map(mean_of);
            let mid = mean_of(here);
            let (milder, worse) = (at(milder).unwrap_or(mid), at(worse).unwrap_or(mid));
            towards[CARS + dimension] = 0.5 * (worse - milder) / 12.0_f64.sqrt();
            let bend = milder - 2.0 * mid + worse;
            towards[BENDS + dimension] = BEND_SPREAD * bend;
        }
        let instrument = 0.5 * spec.accuracy_at(mean);
        if tool == Tool::Scales {
            towards[SCALES] = instrument;
        } else {
            variance += instrument * instrument;
        }
        variance += uniform_variance(spec.resolution_at(mean));
        Expected::Number {
            mean,
            towards,
            variance,
            swing,
            spec,
        }
    }

    /// Findings of both ends of the way, and of the individual where it makes a difference.
    fn findings(
        &self,
        keys: &'a [String],
        sets: &[u32],
        place: &Place,
        car: usize,
    ) -> Expected<'a> {
        let own = [place.node, place.next].map(|node| sets[self.first + node]);
        if own == [0, 0] {
            return Expected::Nothing;
        }
        let (individual, typical) = self.individual(place.node, car);
        let (individual, typical) = (sets[individual], sets[typical]);
        // Where the fault changes what is noticed, the individual's answer is that of another car.
        let here = own.map(|set| {
            if set == typical && individual != 0 {
                individual
            } else {
                set
            }
        });
        let share = |set: u32, bit: usize| {
            if set & (1 << bit) == 0 {
                0.0
            } else {
                1.0 / f64::from(set.count_ones())
            }
        };
        let findings = keys.iter().enumerate().map(|(bit, key)| {
            let [near, far] = here.map(|set| share(set, bit));
            (key.as_str(), near + place.share * (far - near))
        });
        Expected::Findings(
            findings
                .filter(|(_, probability)| *probability > 0.0)
                .collect(),
        )
    }
}

fn mean_of(swing: [f64; 5]) -> f64 {
    Swing(swing).mean()
}

/// The quarters of a swing beside its mean.
fn swing_of(swing: [f64; 5]) -> Option<[(f64, f64); 4]> {
    let swing = Swing(swing);
    let (least, greatest) = swing.ends();
    let beside = |(middle, variance): (f64, f64)| (middle - swing.mean(), variance);
    (greatest > least).then(|| swing.quarters().map(beside))
}

/// Variance of a swing over its time.
#[must_use]
pub fn swing_variance(swing: Option<&[(f64, f64); 4]>) -> f64 {
    let quarters = swing.into_iter().flatten();
    quarters
        .map(|(off, variance)| 0.25 * (off * off + variance))
        .sum()
}

/// How far an individual is from the typical car. Where one of them swings and the other stands still at
/// the moment, that is no difference between them that a fault keeps: what lies nearest counts.
fn apart(individual: &[f32; 5], typical: &[f32; 5]) -> f64 {
    let each = individual.iter().zip(typical);
    let off = each.map(|(theirs, typical)| f64::from(*theirs) - f64::from(*typical));
    off.min_by(|a, b| a.abs().total_cmp(&b.abs()))
        .unwrap_or_default()
}

/// Variance of a value that lies anywhere within a width.
fn uniform_variance(width: f64) -> f64 {
    width * width / 12.0
}
