//! What an ideal reader believes: the probability of every explanation, reading after reading.
//!
//! Each explanation is a mixture of components, one for each severity and individual. A component
//! expects a reading with a normal error of its own and with unknowns it shares with other readings
//! (which car of the spread, which severity between its neighbours, by what the scales err). The
//! unknowns are learned from the readings as a Kalman filter learns a state that does not change
//! (Kalman 1960), so that a second reading of the same gauge does not count as fresh proof.

use rayon::prelude::*;
use scenarios::SenseSlips;
use sim_core::instruments::{Check, Sense, ToolSpec, Value};

use crate::evidence::explanation::{Explanation, Place};
use crate::evidence::layout::CARS;
use crate::evidence::normal::{below, density};
use crate::evidence::table::{Expected, Table, UNKNOWNS, swing_variance};

/// Probability that a number has nothing to do with what was to be read: a slip of hand or eye
/// (common practice, no source), or a car that has just switched where none of those tried has. It then
/// shows what any car of the shop might have shown, and no single reading rules anything out for good.
const NUMBER_SLIP: f64 = 0.01;
/// Part of the slips that show anything the instrument can.
const ANYTHING: f64 = 0.1;
/// Findings among which a slip is spread.
const SLIP_FINDINGS: f64 = 3.0;

/// The state of one component after some readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Component {
    /// Index of its explanation.
    pub explanation: usize,
    /// Its severity.
    pub place: Place,
    /// Its individual.
    pub car: usize,
    /// Logarithm of its share of the explanation, times the likelihood of the readings.
    pub log_weight: f64,
    mean: [f64; UNKNOWNS],
    covariance: [[f64; UNKNOWNS]; UNKNOWNS],
}

impl Component {
    fn new(explanation: usize, place: Place, car: usize) -> Self {
        let mut covariance = [[0.0; UNKNOWNS]; UNKNOWNS];
        for (index, row) in covariance.iter_mut().enumerate() {
            row[index] = 1.0;
        }
        Self {
            explanation,
            car,
            log_weight: libm::log(place.weight / CARS as f64),
            place,
            mean: [0.0; UNKNOWNS],
            covariance,
        }
    }

    /// Its share of all explanations.
    #[must_use]
    pub fn weight(&self) -> f64 {
        libm::exp(self.log_weight)
    }

    /// Mean and variance of a number after what has been learned.
    #[must_use]
    pub fn foresee(&self, mean: f64, towards: &[f64; UNKNOWNS], variance: f64) -> (f64, f64) {
        let gain = self.spread(towards);
        let shift: f64 = towards.iter().zip(&self.mean).map(|(t, m)| t * m).sum();
        let shared: f64 = towards.iter().zip(&gain).map(|(t, g)| t * g).sum();
        (mean + shift, shared + variance)
    }

    fn spread(&self, towards: &[f64; UNKNOWNS]) -> [f64; UNKNOWNS] {
        let mut gain = [0.0; UNKNOWNS];
        for (gain, row) in gain.iter_mut().zip(&self.covariance) {
            *gain = row.iter().zip(towards).map(|(c, t)| c * t).sum();
        }
        gain
    }

    /// Takes a reading in.
    fn read(&mut self, expected: &Expected<'_>, taken: &Taken<'_>) {
        let by_slip = taken.by_slip;
        let likelihood = match (expected, taken.value) {
            (
                Expected::Number {
                    mean,
                    towards,
                    variance,
                    swing,
                    ..
                },
                Value::Number { shown, .. },
            ) => match swing {
                None => self.number((*mean, *variance), towards, *shown, by_slip),
                Some(swing) => {
                    let foreseen = self.foresee(*mean, towards, *variance);
                    (1.0 - NUMBER_SLIP) * swinging(foreseen, swing, *shown) + by_slip
                }
            },
            (
                Expected::Number {
                    mean,
                    towards,
                    variance,
                    swing,
                    spec,
                },
                Value::OutOfRange(above),
            ) => {
                let variance = variance + swing_variance(swing.as_ref());
                let foreseen = self.foresee(*mean, towards, variance);
                (1.0 - NUMBER_SLIP) * beyond(foreseen, spec, *above) + by_slip
            }
            (Expected::Findings(findings), Value::Finding { key, .. }) => {
                let noticed = findings.iter().find(|(known, _)| known == key);
                let noticed = noticed.map_or(0.0, |(_, probability)| *probability);
                (1.0 - taken.slip) * noticed + by_slip
            }
            // What this car would not have shown at all was a slip of some kind.
            _ => by_slip,
        };
        self.log_weight += libm::log(likelihood);
    }

    fn number(
        &mut self,
        (mean, variance): (f64, f64),
        towards: &[f64; UNKNOWNS],
        shown: f64,
        by_slip: f64,
    ) -> f64 {
        let (mean, total) = self.foresee(mean, towards, variance);
        let off = shown - mean;
        let deviation = total.sqrt();
        let meant = (1.0 - NUMBER_SLIP) * density(off / deviation) / deviation;
        // A reading that is more likely a slip teaches nothing of the car.
        if meant > by_slip {
            let gain = self.spread(towards);
            for (mean, gain) in self.mean.iter_mut().zip(&gain) {
                *mean += gain * off / total;
            }
            for (row, one) in self.covariance.iter_mut().zip(&gain) {
                for (cell, other) in row.iter_mut().zip(&gain) {
                    *cell -= one * other / total;
                }
            }
        }
        meant + by_slip
    }
}

/// Density of what a swing shows at some second. Nothing is learned of the car from it: which second it
/// was is not known either.
fn swinging((mean, variance): (f64, f64), swing: &[(f64, f64); 4], shown: f64) -> f64 {
    let quarters = swing.iter().map(|(off, more)| {
        let deviation = (variance + more).sqrt();
        0.25 * density((shown - mean - off) / deviation) / deviation
    });
    quarters.sum()
}

/// Probability that an instrument shows "over range", or below it, for a number foreseen so.
fn beyond((mean, variance): (f64, f64), spec: &ToolSpec, above: bool) -> f64 {
    if above {
        below((mean - spec.most) / variance.sqrt())
    } else {
        below((spec.least - mean) / variance.sqrt())
    }
}

/// Density or probability with which a slip shows a reading.
///
/// A number is then what any car might have shown, by the priors; cars left standing do not count.
fn by_slip(
    explanations: &[Explanation],
    table: &Table,
    (column, value): (usize, &Value),
    slips: &SenseSlips,
) -> f64 {
    let check = table.checks[column];
    let shown = match value {
        Value::Finding { .. } => return slip_of(slips, check) / SLIP_FINDINGS,
        Value::OutOfRange(_) => return NUMBER_SLIP,
        Value::Number { shown, .. } => *shown,
    };
    let of_each = explanations.par_iter().enumerate().map(|one| {
        let part = table.part(column, one);
        let (mut weight, mut sum) = (0.0, 0.0);
        for place in one.1.places() {
            if let Expected::Number {
                mean,
                towards,
                variance,
                swing,
                ..
            } = part.pooled(&place, &[1.0 / CARS as f64; CARS])
            {
                let shared: f64 = towards.iter().map(|t| t * t).sum();
                let deviation = (variance + shared + swing_variance(swing.as_ref())).sqrt();
                let share = one.1.prior * place.weight;
                weight += share;
                sum += share * density((shown - mean) / deviation) / deviation;
            }
        }
        (weight, sum)
    });
    // Summed in the order of the explanations, whatever the threads.
    let each: Vec<(f64, f64)> = of_each.collect();
    let weight: f64 = each.iter().map(|(weight, _)| weight).sum();
    let sum: f64 = each.iter().map(|(_, sum)| sum).sum();
    let others = if weight > 0.0 { sum / weight } else { 0.0 };
    NUMBER_SLIP * ((1.0 - ANYTHING) * others + ANYTHING / span(check))
}

/// Width of what an instrument can show.
fn span(check: Check) -> f64 {
    check.tool().map_or(1.0, |tool| {
        let spec = tool.spec();
        spec.most - spec.least
    })
}

/// How often a person notes something else than a check was to show.
pub(super) fn slip_of(slips: &SenseSlips, check: Check) -> f64 {
    match check {
        Check::Sense(Sense::Look, _) => slips.look,
        Check::Sense(Sense::Listen, _) => slips.listen,
        Check::Sense(Sense::Feel, _) => slips.feel,
        Check::Sense(Sense::Smell, _) => slips.smell,
        _ => slips.detector,
    }
}

/// What a notebook says of each explanation.
#[derive(Clone, Debug, PartialEq)]
pub struct Weighed {
    /// For each explanation the logarithm of prior times likelihood, before the first reading and
    /// after each one that was weighed.
    logs: Vec<Vec<f64>>,
    /// Components that still matter, after all readings.
    pub components: Vec<Component>,
}

/// Components lighter than this share of all are not kept.
const NEGLIGIBLE: f64 = 1e-7;

impl Weighed {
    /// Weighs the readings of the columns named, in that order.
    #[must_use]
    pub fn weigh(
        explanations: &[Explanation],
        table: &Table,
        columns: &[usize],
        values: &[Value],
        slips: &SenseSlips,
    ) -> Self {
        let mut weighing = Weighing::new(explanations, table, slips);
        weighing.read(columns, values);
        weighing.weighed()
    }

    /// Number of readings weighed.
    #[must_use]
    pub fn readings(&self) -> usize {
        self.logs.first().map_or(0, |log| log.len() - 1)
    }

    /// The belief after so many readings.
    #[must_use]
    pub fn after(&self, readings: usize) -> Belief {
        let logs = self.logs.iter().map(|log| log[readings.min(log.len() - 1)]);
        let logs: Vec<f64> = logs.collect();
        let whole = log_sum(logs.iter().copied());
        Belief {
            probabilities: logs.iter().map(|log| libm::exp(log - whole)).collect(),
        }
    }

    /// The belief after all of them.
    #[must_use]
    pub fn belief(&self) -> Belief {
        self.after(self.readings())
    }

    /// The heaviest component of an explanation, where one is left.
    #[must_use]
    pub fn best_component(&self, explanation: usize) -> Option<&Component> {
        self.components
            .iter()
            .filter(|one| one.explanation == explanation)
            .max_by(|a, b| a.log_weight.total_cmp(&b.log_weight))
    }
}

/// Readings weighed as they come: one more costs no more than itself.
pub(super) struct Weighing<'a> {
    explanations: &'a [Explanation],
    table: &'a Table,
    slips: &'a SenseSlips,
    each: Vec<Following>,
}

/// An explanation with the readings so far, without its prior.
struct Following {
    logs: Vec<f64>,
    components: Vec<Component>,
}

impl<'a> Weighing<'a> {
    /// Nothing has been read.
    pub fn new(explanations: &'a [Explanation], table: &'a Table, slips: &'a SenseSlips) -> Self {
        let begun = |(index, explanation): (usize, &Explanation)| Following {
            logs: vec![0.0],
            components: explanation
                .places()
                .into_iter()
                .flat_map(|place| {
                    (0..CARS).map(move |car| Component::new(index, place.clone(), car))
                })
                .collect(),
        };
        Self {
            explanations,
            table,
            slips,
            each: explanations.iter().enumerate().map(begun).collect(),
        }
    }

    /// Weighs the readings of the columns named, in that order, after those before.
    pub fn read(&mut self, columns: &[usize], values: &[Value]) {
        let Self {
            explanations,
            table,
            slips,
            each,
        } = self;
        let taken = |column: &usize| Taken {
            column: *column,
            value: &values[*column],
            slip: slip_of(slips, table.checks[*column]),
            by_slip: by_slip(explanations, table, (*column, &values[*column]), slips),
        };
        let readings: Vec<Taken<'_>> = columns.iter().map(taken).collect();
        each.par_iter_mut()
            .zip(explanations.par_iter().enumerate())
            .for_each(|(following, explanation)| following.read(explanation, table, &readings));
    }

    /// What the readings so far say.
    pub fn weighed(&self) -> Weighed {
        let priors = self.explanations.iter().map(|one| libm::log(one.prior));
        let priors: Vec<f64> = priors.collect();
        let each = self.each.iter().zip(&priors);
        let logs = each.clone().map(|(one, prior)| {
            let logs = one.logs.iter().map(|log| log + prior);
            logs.collect()
        });
        let components = each.flat_map(|(one, prior)| {
            let components = one.components.iter();
            components.map(move |component| (component, component.log_weight + prior))
        });
        let whole = log_sum(components.clone().map(|(_, log_weight)| log_weight));
        let kept = components
            .filter(|(_, log_weight)| log_weight - whole > libm::log(NEGLIGIBLE))
            .map(|(component, log_weight)| Component {
                log_weight: log_weight - whole,
                ..component.clone()
            });
        Weighed {
            logs: logs.collect(),
            components: kept.collect(),
        }
    }
}

impl Following {
    fn read(&mut self, explanation: (usize, &Explanation), table: &Table, readings: &[Taken<'_>]) {
        for taken in readings {
            let part = table.part(taken.column, explanation);
            for one in &mut self.components {
                let expected = part.expected(&one.place, one.car);
                one.read(&expected, taken);
            }
            let weights = self.components.iter().map(|one| one.log_weight);
            self.logs.push(log_sum(weights));
        }
    }
}

/// A reading to be weighed.
struct Taken<'a> {
    column: usize,
    value: &'a Value,
    /// How often a finding is a slip.
    slip: f64,
    /// Density or probability with which a slip shows it.
    by_slip: f64,
}

/// Logarithm of a sum of exponentials.
fn log_sum(logs: impl Iterator<Item = f64> + Clone) -> f64 {
    let most = logs.clone().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + libm::log(logs.map(|log| libm::exp(log - most)).sum())
}

/// Probabilities of all explanations; they add up to 1.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    /// In the order of the explanations.
    pub probabilities: Vec<f64>,
}

impl Belief {
    /// Probability that a car has a failure mode, alone or with others; `no-fault` is a mode here.
    #[must_use]
    pub fn of_mode(&self, explanations: &[Explanation], mode: &str) -> f64 {
        self.of(explanations, |one| one.holds(mode))
    }

    /// Probability of all explanations picked.
    #[must_use]
    pub fn of(&self, explanations: &[Explanation], pick: impl Fn(&Explanation) -> bool) -> f64 {
        let picked = explanations.iter().zip(&self.probabilities);
        picked
            .filter(|(one, _)| pick(one))
            .map(|(_, probability)| probability)
            .sum()
    }

    /// Indices of explanations, likeliest first; equals in the order of the explanations.
    #[must_use]
    pub fn ranked(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.probabilities.len()).collect();
        order.sort_by(|a, b| self.probabilities[*b].total_cmp(&self.probabilities[*a]));
        order
    }

    /// The smallest set of explanations that holds a share of the probability, likeliest first.
    #[must_use]
    pub fn in_play(&self, share: f64) -> Vec<usize> {
        let mut held = 0.0;
        let mut set = Vec::new();
        for index in self.ranked() {
            if held >= share {
                break;
            }
            held += self.probabilities[index];
            set.push(index);
        }
        set
    }

    /// What is still open, in bits.
    #[must_use]
    pub fn entropy_bits(&self) -> f64 {
        crate::evidence::information::entropy_bits(&self.probabilities)
    }
}
