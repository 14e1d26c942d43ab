//! Which faults this car's checks cannot tell apart, and by which check each of the others is told.

use rayon::prelude::*;
use scenarios::SenseSlips;
use sim_core::instruments::Check;

use crate::evidence::belief::slip_of;
use crate::evidence::explanation::Explanation;
use crate::evidence::information::{mutual_bits, pair_bits};
use crate::evidence::seen::{Seen, Shown};
use crate::evidence::tour::Tour;

/// How one explanation stands to what a car shows on the tour.
#[derive(Clone, Debug, PartialEq)]
pub struct Apart {
    /// Its index.
    pub explanation: usize,
    /// The severity, one of its nodes, that comes nearest.
    pub node: usize,
    /// How far apart all checks together are: a sum of squares in standard deviations of the
    /// instruments, each counted up to [`MOST_SQUARE`].
    pub distance: f64,
    /// Every offered check that tells the two apart, the most bits first.
    pub by: Vec<Separator>,
}

/// A check that tells two cars apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Separator {
    /// Index of the offer.
    pub offer: usize,
    /// Column.
    pub column: usize,
    /// Bits it tells at even odds.
    pub bits: f64,
}

impl Apart {
    /// No single check tells the two apart by more than a fifth of a bit: about one standard
    /// deviation and a half of the instrument's error.
    #[must_use]
    pub fn is_alike(&self) -> bool {
        self.by.first().is_none_or(|best| best.bits < ALIKE_BELOW)
    }
}

/// Bits below which one check does not tell two cars apart.
pub const ALIKE_BELOW: f64 = 0.2;
/// Most that one check counts for in a distance.
const MOST_SQUARE: f64 = 25.0;
/// Square that another finding counts for, or a check that only one car allows.
const OTHER_FINDING: f64 = 16.0;
/// Bits below which a check is not listed.
const LISTED_FROM: f64 = 0.05;

/// Sets a car on the tour against every explanation, run on the model's typical car, nearest first.
///
/// `truth` is what the typical car with the fault shows, so that differences between individuals are
/// not taken for differences between faults.
#[must_use]
pub fn apart(tour: &Tour, truth: &[Option<Seen>], slips: &SenseSlips) -> Vec<Apart> {
    let mut all: Vec<Apart> = tour
        .explanations
        .par_iter()
        .enumerate()
        .map(|one| against(one, tour, truth, slips))
        .collect();
    all.sort_by(|a, b| {
        a.distance
            .total_cmp(&b.distance)
            .then(a.explanation.cmp(&b.explanation))
    });
    all
}

fn against(
    (index, explanation): (usize, &Explanation),
    tour: &Tour,
    truth: &[Option<Seen>],
    slips: &SenseSlips,
) -> Apart {
    let columns = || tour.offers.iter().flat_map(|offer| &offer.columns);
    let seen = |node: usize, column: usize| {
        let part = tour.table.part(column, (index, explanation));
        part.typical(node)
    };
    let truth = |column: usize| truth[column].as_ref().map(Shown::from);
    let distance = |node: usize| -> f64 {
        columns()
            .map(|column| {
                let check = tour.table.checks[*column];
                square(check, truth(*column), seen(node, *column))
            })
            .sum()
    };
    let nodes = (0..explanation.nodes()).map(|node| (node, distance(node)));
    let (node, distance) = nodes
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .unwrap_or((0, f64::INFINITY));
    let mut by: Vec<Separator> = Vec::new();
    for (offer, one) in tour.offers.iter().enumerate() {
        for column in &one.columns {
            let check = tour.table.checks[*column];
            let bits = match (truth(*column), seen(node, *column)) {
                (Some(one), Some(other)) => seen_bits(check, &one, &other, 0.0, slips),
                _ => 0.0,
            };
            if bits >= LISTED_FROM {
                by.push(Separator {
                    offer,
                    column: *column,
                    bits,
                });
            }
        }
    }
    by.sort_by(|a, b| b.bits.total_cmp(&a.bits).then(a.offer.cmp(&b.offer)));
    Apart {
        explanation: index,
        node,
        distance,
        by,
    }
}

fn square(check: Check, one: Option<Shown<'_>>, other: Option<Shown<'_>>) -> f64 {
    match (one, other) {
        (Some(Shown::Range(low, high)), Some(Shown::Range(other_low, other_high))) => {
            let Some(tool) = check.tool() else { return 0.0 };
            let spec = tool.spec();
            let show = |value: f64| value.clamp(spec.least, spec.most);
            let gap = (show(low) - show(other_high)).max(show(other_low) - show(high));
            let deviation = 0.5 * spec.limit_of_error(show(0.5 * (low + high)));
            let distance = gap.max(0.0) / deviation;
            (distance * distance).min(MOST_SQUARE)
        }
        (Some(Shown::Keys(ours)), Some(Shown::Keys(theirs))) => {
            let shared = ours.iter().any(|one| theirs.contains(one));
            if shared { 0.0 } else { OTHER_FINDING }
        }
        (None, None) => 0.0,
        _ => OTHER_FINDING,
    }
}

/// What one check tells of which of two cars stands there, at even odds: cars that show this and that,
/// with a spread between individuals.
#[must_use]
pub fn seen_bits(
    check: Check,
    one: &Shown<'_>,
    other: &Shown<'_>,
    spread: f64,
    slips: &SenseSlips,
) -> f64 {
    match (one, other) {
        (Shown::Range(low, high), Shown::Range(other_low, other_high)) => {
            let Some(tool) = check.tool() else { return 0.0 };
            let spec = tool.spec();
            let bell = |low: f64, high: f64| {
                let mean = (0.5 * (low + high)).clamp(spec.least, spec.most);
                let instrument = 0.5 * spec.limit_of_error(mean);
                let swing = (high - low) / 12.0_f64.sqrt();
                let variance = instrument * instrument + swing * swing + spread * spread;
                (mean, variance.sqrt())
            };
            pair_bits(bell(*low, *high), bell(*other_low, *other_high))
        }
        (Shown::Keys(ours), Shown::Keys(theirs)) => {
            let mut keys: Vec<&str> = Vec::new();
            for key in ours.iter().chain(theirs) {
                if !keys.contains(key) {
                    keys.push(key);
                }
            }
            let slip = slip_of(slips, check);
            let row = |noticed: &[&str]| -> Vec<f64> {
                let share = |key: &&str| {
                    if noticed.contains(key) {
                        1.0 / noticed.len() as f64
                    } else {
                        0.0
                    }
                };
                keys.iter()
                    .map(|key| 0.5 * ((1.0 - slip) * share(key) + slip / keys.len() as f64))
                    .collect()
            };
            mutual_bits(&[row(ours), row(theirs)])
        }
        _ => 0.0,
    }
}
