//! The next best check, and the path of a reader who always takes it.

use std::collections::BTreeMap;

use rayon::prelude::*;
use scenarios::SenseSlips;
use sim_core::instruments::{Check, Value};

use crate::action::Action;
use crate::evidence::belief::{Belief, Component, Weighed, Weighing, slip_of};
use crate::evidence::explanation::{Explanation, Place};
use crate::evidence::information::{Bell, mutual_bits, number_bits};
use crate::evidence::layout::CARS;
use crate::evidence::seen::{Seen, Swing};
use crate::evidence::table::{Expected, Table, swing_variance};
use crate::evidence::tour::{Offer, Tour, gauges_on_s};

/// Where a reader stands on the tour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The stop; `None` where the car is set up like none of them.
    pub stop: Option<usize>,
    /// The gauge set is on.
    pub gauges_on: bool,
}

/// An offer with what it is expected to tell and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Worth {
    /// Index of the offer.
    pub offer: usize,
    /// Bits expected.
    pub bits: f64,
    /// Shop time with the way there, s.
    pub seconds: f64,
}

impl Worth {
    /// Bits expected per minute of shop time.
    #[must_use]
    pub fn bits_per_minute(&self) -> f64 {
        60.0 * self.bits / self.seconds.max(1.0)
    }
}

/// Every offer still to be had with its worth, the most bits per minute first.
#[must_use]
pub fn worths(
    tour: &Tour,
    weighed: &Weighed,
    slips: &SenseSlips,
    standing: Standing,
) -> Vec<Worth> {
    worths_of(tour, weighed, slips, standing, |_| true)
}

/// The same of the offers that are open, by their index: what an offer is worth takes a while to find.
pub(super) fn worths_of(
    tour: &Tour,
    weighed: &Weighed,
    slips: &SenseSlips,
    standing: Standing,
    open: impl Fn(usize) -> bool + Sync,
) -> Vec<Worth> {
    let groups = groups(weighed);
    // The tour is one way. A car that has been set up in some other way is on it, past the first stop.
    let first = standing.stop.unwrap_or(1);
    let mut worths: Vec<Worth> = tour
        .offers
        .par_iter()
        .enumerate()
        .filter(|(index, offer)| offer.stop >= first && open(*index))
        .map(|(index, offer)| {
            // Readings of one act go together; the best of them is what the act tells at the least.
            let each = offer.columns.iter().map(|column| {
                column_bits(&tour.explanations, &tour.table, *column, &groups, slips)
            });
            Worth {
                offer: index,
                bits: each.fold(0.0, f64::max),
                seconds: cost_s(tour, offer, standing),
            }
        })
        .collect();
    worths.sort_by(|a, b| {
        b.bits_per_minute()
            .total_cmp(&a.bits_per_minute())
            .then(a.offer.cmp(&b.offer))
    });
    worths
}

/// Shop time of an offer with the way there, s.
fn cost_s(tour: &Tour, offer: &Offer, standing: Standing) -> f64 {
    let way = tour.way_s(standing.stop.map_or(0, |stop| stop + 1), offer.stop);
    let gauges = if offer.wants_gauges() && !standing.gauges_on {
        gauges_on_s()
    } else {
        0.0
    };
    way + gauges + offer.seconds()
}

/// Components of one explanation and severity, whichever the individual.
struct Group<'a> {
    explanation: usize,
    place: &'a Place,
    /// Share of all groups.
    weight: f64,
    /// Shares of the individuals within it.
    cars: [f64; CARS],
    /// The heaviest component: what it has learned stands for all.
    heaviest: &'a Component,
}

/// Heaviest groups that are looked at.
const MOST_GROUPS: usize = 720;

fn groups(weighed: &Weighed) -> Vec<Group<'_>> {
    let mut groups: BTreeMap<(usize, usize, u64), Group<'_>> = BTreeMap::new();
    for one in &weighed.components {
        let place = &one.place;
        let group = groups
            .entry((one.explanation, place.node, place.share.to_bits()))
            .or_insert_with(|| Group {
                explanation: one.explanation,
                place,
                weight: 0.0,
                cars: [0.0; CARS],
                heaviest: one,
            });
        group.weight += one.weight();
        group.cars[one.car] += one.weight();
        if one.log_weight > group.heaviest.log_weight {
            group.heaviest = one;
        }
    }
    let mut groups: Vec<Group<'_>> = groups.into_values().collect();
    if groups.len() > MOST_GROUPS {
        // In between, every few of one explanation are much alike: one of them stands for its part.
        let every = groups.len().div_ceil(MOST_GROUPS);
        groups = thinned(groups, every);
    }
    let whole: f64 = groups.iter().map(|group| group.weight).sum();
    for group in &mut groups {
        let cars: f64 = group.cars.iter().sum();
        for car in &mut group.cars {
            *car /= cars;
        }
        group.weight /= whole;
    }
    groups
}

/// Of every few groups of one explanation the heaviest, with the weight of all of them.
fn thinned(groups: Vec<Group<'_>>, every: usize) -> Vec<Group<'_>> {
    let mut kept: Vec<Group<'_>> = Vec::with_capacity(MOST_GROUPS);
    let mut taken = 0;
    for group in groups {
        match kept.last_mut() {
            Some(last) if last.explanation == group.explanation && taken < every => {
                taken += 1;
                let weight = last.weight + group.weight;
                if group.heaviest.log_weight > last.heaviest.log_weight {
                    *last = group;
                }
                last.weight = weight;
            }
            _ => {
                taken = 1;
                kept.push(group);
            }
        }
    }
    kept
}

/// What the reading of a column is expected to tell of the explanations.
fn column_bits(
    explanations: &[Explanation],
    table: &Table,
    column: usize,
    groups: &[Group<'_>],
    slips: &SenseSlips,
) -> f64 {
    if table.columns[column].is_empty() {
        return 0.0;
    }
    let check = table.checks[column];
    if check.tool().is_some() {
        numbers_bits(explanations, table, column, groups)
    } else {
        findings_bits(explanations, table, column, groups, slip_of(slips, check))
    }
}

fn numbers_bits(
    explanations: &[Explanation],
    table: &Table,
    column: usize,
    groups: &[Group<'_>],
) -> f64 {
    let mut hypotheses: Vec<(usize, Vec<Bell>)> = Vec::new();
    for group in groups {
        let index = group.explanation;
        let part = table.part(column, (index, &explanations[index]));
        let Expected::Number {
            mean,
            towards,
            variance,
            swing,
            ..
        } = part.pooled(group.place, &group.cars)
        else {
            continue;
        };
        let variance = variance + swing_variance(swing.as_ref());
        let (mean, variance) = group.heaviest.foresee(mean, &towards, variance);
        let bell = Bell {
            weight: group.weight,
            mean,
            deviation: variance.sqrt(),
        };
        match hypotheses.last_mut() {
            Some((last, bells)) if *last == index => bells.push(bell),
            _ => hypotheses.push((index, vec![bell])),
        }
    }
    // Cars on which it cannot be read learn nothing from it.
    let can: f64 = hypotheses
        .iter()
        .flat_map(|(_, bells)| bells)
        .map(|bell| bell.weight)
        .sum();
    if can <= 0.0 {
        return 0.0;
    }
    let bells: Vec<Vec<Bell>> = hypotheses
        .into_iter()
        .map(|(_, bells)| {
            let bells = bells.into_iter();
            bells
                .map(|bell| Bell {
                    weight: bell.weight / can,
                    ..bell
                })
                .collect()
        })
        .collect();
    can * number_bits(&bells)
}

fn findings_bits(
    explanations: &[Explanation],
    table: &Table,
    column: usize,
    groups: &[Group<'_>],
    slip: f64,
) -> f64 {
    let mut keys: Vec<&str> = Vec::new();
    let mut joint: Vec<(usize, Vec<f64>)> = Vec::new();
    for group in groups {
        let index = group.explanation;
        let part = table.part(column, (index, &explanations[index]));
        if joint.last().is_none_or(|(last, _)| *last != index) {
            joint.push((index, Vec::new()));
        }
        let Some((_, row)) = joint.last_mut() else {
            continue;
        };
        let Expected::Findings(findings) = part.pooled(group.place, &group.cars) else {
            continue;
        };
        for (key, probability) in findings {
            let known = keys.iter().position(|one| *one == key);
            let place = known.unwrap_or_else(|| {
                keys.push(key);
                keys.len() - 1
            });
            if row.len() <= place {
                row.resize(place + 1, 0.0);
            }
            row[place] += group.weight * probability;
        }
    }
    let count = keys.len().max(1);
    let can: f64 = joint.iter().flat_map(|(_, row)| row).sum();
    if can <= 0.0 {
        return 0.0;
    }
    let rows: Vec<Vec<f64>> = joint
        .into_iter()
        .map(|(_, mut row)| {
            row.resize(count, 0.0);
            let sum: f64 = row.iter().sum();
            row.iter()
                .map(|cell| ((1.0 - slip) * cell + slip * sum / count as f64) / can)
                .collect()
        })
        .collect();
    can * mutual_bits(&rows)
}

/// One step of a path.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The act.
    pub action: Action,
    /// How the car is set up for it.
    pub set_up: &'static str,
    /// Shop time with the way there, s.
    pub seconds: f64,
    /// Bits it was expected to tell.
    pub expected_bits: f64,
    /// Bits it told of what is in the car: by how much more that was believed after it.
    pub told_bits: f64,
    /// Probability of what is in the car after it.
    pub probability: f64,
}

/// The path of a reader who always takes the check that promises most bits per minute.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    /// Its steps.
    pub steps: Vec<Step>,
    /// Bits that were wanted: by how much what is in the car has to be believed more than before.
    pub wanted_bits: f64,
    /// It got there.
    pub proved: bool,
    /// The belief at its end.
    pub belief: Belief,
}

impl Path {
    /// Shop time, s.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        self.steps.iter().map(|step| step.seconds).sum()
    }

    /// Bits told.
    #[must_use]
    pub fn bits(&self) -> f64 {
        self.steps.iter().map(|step| step.told_bits).sum()
    }
}

/// Most steps of a path.
const MOST_STEPS: usize = 16;

/// Finds the path on a car that shows this on the tour, until what is in it is believed enough.
///
/// `right` are the explanations that count as what is in the car. The first of them is looked at as
/// closely as need be: a fault that bites or does not bite is no straight line between severities.
#[must_use]
pub fn best_path(
    tour: &Tour,
    truth: &[Option<Seen>],
    right: &[usize],
    sure: f64,
    slips: &SenseSlips,
) -> Path {
    let closely = right
        .first()
        .filter(|first| tour.explanations[**first].dimensions() > 0)
        .and_then(|first| Some((*first, tour.with(*first, truth)?)));
    let Some((first, sharp)) = closely else {
        return walked_path(tour, truth, right, sure, slips);
    };
    let mut right = right.to_vec();
    right.push(tour.explanations.len());
    let mut path = walked_path(&sharp, truth, &right, sure, slips);
    let exactly = path.belief.probabilities.pop().unwrap_or_default();
    path.belief.probabilities[first] += exactly;
    path
}

fn walked_path(
    tour: &Tour,
    truth: &[Option<Seen>],
    right: &[usize],
    sure: f64,
    slips: &SenseSlips,
) -> Path {
    let of_right =
        |belief: &Belief| -> f64 { right.iter().map(|index| belief.probabilities[*index]).sum() };
    let values: Vec<Value> = tour
        .table
        .checks
        .iter()
        .zip(truth)
        .map(|(check, seen)| plainly(*check, seen.as_ref()))
        .collect();
    let mut standing = Standing {
        stop: Some(0),
        gauges_on: false,
    };
    let mut taken: Vec<usize> = Vec::new();
    let mut weighing = Weighing::new(&tour.explanations, &tour.table, slips);
    let mut weighed = weighing.weighed();
    let mut belief = weighed.belief();
    let mut believed = of_right(&belief);
    let wanted_bits = libm::log2(sure / believed).max(0.0);
    let mut steps = Vec::new();
    while believed < sure && steps.len() < MOST_STEPS {
        let open = |index: usize| {
            let offer = &tour.offers[index];
            let shows = offer.columns.iter().any(|column| truth[*column].is_some());
            shows && !taken.contains(&index)
        };
        let worths = worths_of(tour, &weighed, slips, standing, open);
        let Some(best) = most_worth(worths.iter()) else {
            break;
        };
        let offer = &tour.offers[best.offer];
        let columns = offer.columns.iter().copied();
        let shown: Vec<usize> = columns.filter(|one| truth[*one].is_some()).collect();
        taken.push(best.offer);
        standing = Standing {
            stop: Some(offer.stop),
            gauges_on: standing.gauges_on || offer.wants_gauges(),
        };
        weighing.read(&shown, &values);
        weighed = weighing.weighed();
        belief = weighed.belief();
        let now = of_right(&belief);
        steps.push(Step {
            action: offer.action.clone(),
            set_up: tour.stops[offer.stop].name,
            seconds: best.seconds,
            expected_bits: best.bits,
            told_bits: libm::log2(now / believed),
            probability: now,
        });
        believed = now;
    }
    Path {
        steps,
        wanted_bits,
        proved: believed >= sure,
        belief,
    }
}

/// Bits below which the best check left promises nothing.
const LEAST_BITS: f64 = 0.02;
/// Part of what the most telling check promises that another has to promise to be worth its seconds:
/// a quick look that tells next to nothing is not a way to get on.
const WORTH_FROM: f64 = 0.25;

/// The check that promises most bits a minute, of those that promise something that counts.
pub(super) fn most_worth<'a>(worths: impl Iterator<Item = &'a Worth> + Clone) -> Option<Worth> {
    let most = worths.clone().map(|worth| worth.bits).fold(0.0, f64::max);
    if most < LEAST_BITS {
        return None;
    }
    let mut counts = worths.filter(|worth| worth.bits >= WORTH_FROM * most);
    counts.next().cloned()
}

/// What a car shows as its instruments would show it without an error; of a swing what it is above and
/// below for as long.
#[must_use]
pub fn plainly(check: Check, seen: Option<&Seen>) -> Value {
    match (seen, check.tool()) {
        (Some(Seen::Range(value, _) | Seen::Swing(Swing([_, _, value, _, _]))), Some(tool)) => {
            let spec = tool.spec();
            let value = *value;
            if value > spec.most {
                Value::OutOfRange(true)
            } else if value < spec.least {
                Value::OutOfRange(false)
            } else {
                Value::Number {
                    shown: value,
                    error: spec.limit_of_error(value),
                    unit: spec.unit,
                }
            }
        }
        (Some(Seen::Findings(findings)), _) if !findings.is_empty() => Value::Finding {
            key: findings[0].key,
            words: findings[0].words,
        },
        _ => Value::OutOfRange(true),
    }
}
