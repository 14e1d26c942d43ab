//! Which faults this car's checks cannot tell apart, and by which check each of the others is told.

use rayon::prelude::*;
use scenarios::SenseSlips;
use sim_core::instruments::Check;

use crate::evidence::belief::slip_of;
use crate::evidence::explanation::{Explanation, Place};
use crate::evidence::information::{mutual_bits, pair_bits};
use crate::evidence::plan::Path;
use crate::evidence::seen::{Seen, Shown, Swing};
use crate::evidence::tour::Tour;

/// Explanations besides the right ones that cannot be told from what is in a car: the best path got no
/// further than holding them possible, and no single check tells them apart. From a car with nothing
/// broken every fault that is slight enough is such a one, and none of them is right to repair.
#[must_use]
pub fn indistinguishable(
    path: &Path,
    (beside, apart): (&Beside<'_>, &[Apart]),
    right: &[usize],
    sure: f64,
) -> Vec<usize> {
    if path.proved || right.contains(&NOTHING_BROKEN) {
        return Vec::new();
    }
    let alike = |index: &usize| {
        let one = apart.iter().find(|one| one.explanation == *index);
        one.is_some_and(|one| beside.is_alike(one))
    };
    let likely = |index: &usize| path.belief.probabilities[*index] >= POSSIBLE_FROM;
    let mut all = path.belief.in_play(sure);
    all.retain(|index| !right.contains(index) && likely(index) && alike(index));
    all
}

/// Index of the explanation with nothing broken.
const NOTHING_BROKEN: usize = 0;
/// Probability from which an explanation left at the end of a path counts as possible.
const POSSIBLE_FROM: f64 = 0.05;

/// How one explanation stands to what a car shows on the tour.
#[derive(Clone, Debug, PartialEq)]
pub struct Apart {
    /// Its index.
    pub explanation: usize,
    /// The severities that come nearest.
    pub faults: Vec<(String, f64)>,
    /// How far apart all checks together are: a sum of squares in standard deviations of the
    /// instruments, each counted up to five deviations.
    pub distance: f64,
    /// Where those severities are.
    place: Place,
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

/// Bits below which one check does not tell two cars apart: two and a half standard deviations of an
/// instrument's error tell as much, and less would have to be read again and again.
pub const ALIKE_BELOW: f64 = 0.6;
/// Most that one check counts for in a distance.
const MOST_SQUARE: f64 = 25.0;
/// Square that another finding counts for, or a check that only one car allows.
const OTHER_FINDING: f64 = 16.0;
/// Bits below which a check is not listed.
const LISTED_FROM: f64 = 0.05;

/// A car on the tour, to be set beside every explanation, run on the model's typical car.
#[derive(Clone, Copy, Debug)]
pub struct Beside<'a> {
    /// The tour.
    pub tour: &'a Tour,
    /// What the typical car with the fault shows, so that differences between individuals are not taken
    /// for differences between faults.
    pub truth: &'a [Option<Seen>],
    /// How often a sense errs.
    pub slips: &'a SenseSlips,
}

impl Beside<'_> {
    /// Every explanation where it comes nearest to the car, the nearest first.
    #[must_use]
    pub fn nearest(&self) -> Vec<Apart> {
        let shows = self.shows();
        let all = self.tour.explanations.par_iter().enumerate();
        let mut all: Vec<Apart> = all.map(|one| self.against(&shows, one)).collect();
        all.sort_by(|a, b| {
            a.distance
                .total_cmp(&b.distance)
                .then(a.explanation.cmp(&b.explanation))
        });
        all
    }

    /// Every offered check that tells the car from an explanation, the most bits first.
    #[must_use]
    pub fn told_by(&self, one: &Apart) -> Vec<Separator> {
        let of = (one.explanation, &self.tour.explanations[one.explanation]);
        let mut by: Vec<Separator> = Vec::new();
        for (offer, offered) in self.tour.offers.iter().enumerate() {
            for column in &offered.columns {
                let part = self.tour.table.part(*column, of);
                let check = self.tour.table.checks[*column];
                let bits = match (self.shown(*column), part.shown(&one.place)) {
                    (Some(one), Some(other)) => seen_bits(check, &one, &other, 0.0, self.slips),
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
        by
    }

    /// No single check tells the car from an explanation by more than [`ALIKE_BELOW`].
    #[must_use]
    pub fn is_alike(&self, one: &Apart) -> bool {
        let by = self.told_by(one);
        by.first().is_none_or(|best| best.bits < ALIKE_BELOW)
    }

    fn shown(&self, column: usize) -> Option<Shown<'_>> {
        self.truth[column].as_ref().map(Shown::from)
    }

    /// What the car shows in every offered column.
    fn shows(&self) -> Vec<Shows<'_>> {
        let offered = self.tour.offers.iter().flat_map(|offer| &offer.columns);
        let shows = |column: &usize| Shows {
            column: *column,
            check: self.tour.table.checks[*column],
            shown: self.shown(*column),
        };
        offered.map(shows).collect()
    }

    fn against(&self, shows: &[Shows<'_>], (index, explanation): (usize, &Explanation)) -> Apart {
        let nearest = |places: Vec<Place>| {
            let mut nearest = (f64::INFINITY, Place::at(0));
            for place in places {
                let distance = self.distance(shows, (index, explanation), &place, nearest.0);
                if distance < nearest.0 {
                    nearest = (distance, place);
                }
            }
            nearest
        };
        let nodes = (0..explanation.nodes()).map(Place::at);
        let (_, near) = nearest(nodes.chain(explanation.places()).collect());
        // Where a fault bites only when it is nearly complete, a little of its severity is much.
        let (distance, place) = nearest(around(explanation, &near));
        Apart {
            explanation: index,
            faults: explanation.faults_at(&place),
            distance,
            place,
        }
    }

    /// How far a place of an explanation is from the car; where that is no less than a limit, anything
    /// that is no less either: most places are far off, and a few checks show it.
    fn distance(
        &self,
        shows: &[Shows<'_>],
        of: (usize, &Explanation),
        place: &Place,
        limit: f64,
    ) -> f64 {
        let table = &self.tour.table;
        let mut distance = 0.0;
        for own in shows {
            let part = table.part(own.column, of);
            // Of findings it matters only whether one is shared: no list of theirs is made.
            distance += match &own.shown {
                Some(Shown::Number(one)) => match part.shown(place) {
                    Some(Shown::Number(other)) => square(own.check, one, &other),
                    _ => OTHER_FINDING,
                },
                Some(Shown::Keys(ours)) if part.shares(place, ours) => 0.0,
                None if part.shown(place).is_none() => 0.0,
                _ => OTHER_FINDING,
            };
            if distance >= limit {
                break;
            }
        }
        distance
    }
}

/// What the car shows in a column.
struct Shows<'a> {
    column: usize,
    check: Check,
    shown: Option<Shown<'a>>,
}

/// Parts that a step between two severities is cut into around the nearest place.
const PARTS: usize = 64;

/// A place and those close around it.
fn around(explanation: &Explanation, near: &Place) -> Vec<Place> {
    let steps = |node: usize| {
        let (_, next) = explanation.neighbours(node, 0);
        let next = next.into_iter();
        next.flat_map(move |next| {
            (0..=PARTS).map(move |part| Place {
                node,
                next,
                share: part as f64 / PARTS as f64,
                width: 0.0,
                weight: 0.0,
            })
        })
    };
    let mut places = vec![near.clone()];
    if explanation.dimensions() > 0 {
        places.extend(steps(near.node));
        if near.node == near.next {
            let (milder, _) = explanation.neighbours(near.node, 0);
            places.extend(milder.into_iter().flat_map(steps));
        }
    }
    places
}

fn square(check: Check, one: &Swing, other: &Swing) -> f64 {
    let Some(tool) = check.tool() else { return 0.0 };
    let spec = tool.spec();
    let show = |value: f64| value.clamp(spec.least, spec.most);
    let ((low, high), (other_low, other_high)) = (one.ends(), other.ends());
    let gap = (show(low) - show(other_high)).max(show(other_low) - show(high));
    let deviation = 0.5 * spec.limit_of_error(show(0.5 * (low + high)));
    let distance = gap.max(0.0) / deviation;
    (distance * distance).min(MOST_SQUARE)
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
        (Shown::Number(one), Shown::Number(other)) => {
            let Some(tool) = check.tool() else { return 0.0 };
            let spec = tool.spec();
            let bell = |(middle, variance): (f64, f64)| {
                let mean = middle.clamp(spec.least, spec.most);
                let instrument = 0.5 * spec.limit_of_error(mean);
                let variance = instrument * instrument + variance + spread * spread;
                (mean, variance.sqrt())
            };
            // Whichever second one looks: a quarter of them each.
            let bells = |swing: &Swing| -> Vec<(f64, f64)> {
                let (low, high) = swing.ends();
                let quarters = swing.quarters();
                let told = if high > low { 4 } else { 1 };
                quarters[..told].iter().copied().map(bell).collect()
            };
            pair_bits(&bells(one), &bells(other))
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
