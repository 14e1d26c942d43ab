//! How much a reading tells, in bits (Shannon 1948).

use std::collections::BTreeMap;

use crate::evidence::normal::below;

/// What is open in a distribution: the sum of −p log₂ p.
///
/// ```
/// use runner::evidence::information::entropy_bits;
/// assert_eq!(entropy_bits(&[0.25; 4]), 2.0);
/// assert_eq!(entropy_bits(&[1.0, 0.0]), 0.0);
/// ```
#[must_use]
pub fn entropy_bits(probabilities: &[f64]) -> f64 {
    let term = |p: &f64| if *p > 0.0 { -p * libm::log2(*p) } else { 0.0 };
    probabilities.iter().map(term).sum()
}

/// What a reading is expected to tell of which hypothesis holds.
///
/// `joint` has a row for each hypothesis and a column for each thing that may be read; a cell is the
/// probability of both together. Cells add up to 1.
///
/// ```
/// use runner::evidence::information::mutual_bits;
/// // A channel that tells everything of two hypotheses tells one bit, one that tells nothing none.
/// assert_eq!(mutual_bits(&[vec![0.5, 0.0], vec![0.0, 0.5]]), 1.0);
/// assert_eq!(mutual_bits(&[vec![0.25, 0.25], vec![0.25, 0.25]]), 0.0);
/// ```
#[must_use]
pub fn mutual_bits(joint: &[Vec<f64>]) -> f64 {
    let columns = joint.iter().map(Vec::len).max().unwrap_or(0);
    let mut read = vec![0.0; columns];
    let mut together = 0.0;
    let mut hypotheses = Vec::with_capacity(joint.len());
    for row in joint {
        for (sum, cell) in read.iter_mut().zip(row) {
            *sum += cell;
        }
        together += entropy_bits(row);
        hypotheses.push(row.iter().sum::<f64>());
    }
    (entropy_bits(&read) + entropy_bits(&hypotheses) - together).max(0.0)
}

/// A normal distribution with its share of a mixture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bell {
    /// Share.
    pub weight: f64,
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub deviation: f64,
}

/// Most cells that the line of numbers is cut into.
const CELLS: usize = 64;

/// What a number is expected to tell of which hypothesis holds, each being a mixture of normals.
///
/// Weights of all mixtures together add up to 1. The line is cut into cells where the mixtures have
/// their mass; cutting loses a little and never adds (the data-processing inequality).
#[must_use]
pub fn number_bits(hypotheses: &[Vec<Bell>]) -> f64 {
    let edges = edges(hypotheses);
    // Most faults leave most readings alone: many bells are one and the same, cut once.
    let mut known: BTreeMap<(u64, u64), Cut> = BTreeMap::new();
    let joint: Vec<Vec<f64>> = hypotheses
        .iter()
        .map(|bells| {
            let mut cells = vec![0.0; edges.len() + 1];
            for bell in bells {
                let shape = (bell.mean.to_bits(), bell.deviation.to_bits());
                let cut = known.entry(shape).or_insert_with(|| Cut::of(bell, &edges));
                for (cell, part) in cells.iter_mut().skip(cut.first).zip(&cut.parts) {
                    *cell += bell.weight * part;
                }
            }
            cells
        })
        .collect();
    mutual_bits(&joint)
}

/// A bell of weight 1 in the cells where it has its mass; it has none in the others.
struct Cut {
    /// The first such cell.
    first: usize,
    /// Its parts in the cells from there on.
    parts: Vec<f64>,
}

impl Cut {
    /// Cuts at edges in their order.
    fn of(bell: &Bell, edges: &[f64]) -> Self {
        let at = |edge: &f64| (edge - bell.mean) / bell.deviation;
        let first = edges.partition_point(|edge| at(edge) < -FAR);
        let mut parts = Vec::with_capacity(edges.len() + 1 - first);
        let mut before = 0.0;
        for edge in &edges[first..] {
            let x = at(edge);
            let up_to = far_below(x);
            parts.push(up_to - before);
            before = up_to;
            if x > FAR {
                break;
            }
        }
        if first + parts.len() == edges.len() {
            parts.push(1.0 - before);
        }
        Self { first, parts }
    }
}

/// Standard deviations from which on a bell has no mass that counts.
const FAR: f64 = 6.0;

/// The same as [`below`] where it is not as good as 0 or 1.
fn far_below(x: f64) -> f64 {
    if x > FAR {
        1.0
    } else if x < -FAR {
        0.0
    } else {
        below(x)
    }
}

/// Where to cut: around every bell, thinned to what the mixtures' mass is worth.
fn edges(hypotheses: &[Vec<Bell>]) -> Vec<f64> {
    /// Cuts around a bell, in standard deviations, with the mass between them.
    const CUTS: [f64; 9] = [-2.5, -1.6, -1.0, -0.5, 0.0, 0.5, 1.0, 1.6, 2.5];
    let mut cuts: Vec<(f64, f64)> = hypotheses
        .iter()
        .flatten()
        .flat_map(|bell| {
            CUTS.map(|cut| {
                (
                    bell.mean + cut * bell.deviation,
                    bell.weight / CUTS.len() as f64,
                )
            })
        })
        .collect();
    cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
    if cuts.len() <= CELLS {
        let mut edges: Vec<f64> = cuts.into_iter().map(|(at, _)| at).collect();
        edges.dedup();
        return edges;
    }
    let whole: f64 = cuts.iter().map(|(_, mass)| mass).sum();
    let each = whole / CELLS as f64;
    let mut edges: Vec<f64> = Vec::with_capacity(CELLS);
    let mut mass = 0.0;
    for (at, more) in cuts {
        mass += more;
        if mass >= each {
            mass = 0.0;
            if edges.last() != Some(&at) {
                edges.push(at);
            }
        }
    }
    edges
}

/// What a number is expected to tell of two hypotheses at even odds: each a mean and a standard
/// deviation, or several that hold for the same share of the time.
///
/// ```
/// use runner::evidence::information::pair_bits;
/// assert!(pair_bits(&[(0.0, 1.0)], &[(0.0, 1.0)]) < 1e-12);
/// assert!((pair_bits(&[(0.0, 1.0)], &[(20.0, 1.0)]) - 1.0).abs() < 1e-6);
/// // Two that show the same for half of the time are told apart in the other half.
/// let bits = pair_bits(&[(0.0, 1.0), (60.0, 1.0)], &[(0.0, 1.0), (90.0, 1.0)]);
/// assert!((bits - 0.5).abs() < 0.02);
/// ```
#[must_use]
pub fn pair_bits(one: &[(f64, f64)], other: &[(f64, f64)]) -> f64 {
    let bells = |all: &[(f64, f64)]| -> Vec<Bell> {
        let weight = 0.5 / all.len() as f64;
        let bell = |(mean, deviation): &(f64, f64)| Bell {
            weight,
            mean: *mean,
            deviation: *deviation,
        };
        all.iter().map(bell).collect()
    };
    fine_bits(&[bells(one), bells(other)])
}

/// The same as [`number_bits`] with cuts a tenth of a standard deviation apart, or a quarter where many
/// bells cut the line anyway.
fn fine_bits(hypotheses: &[Vec<Bell>]) -> f64 {
    let many = hypotheses.iter().map(Vec::len).sum::<usize>() > 2;
    let (cuts, step) = if many { (20, 0.25) } else { (50, 0.1) };
    let mut edges: Vec<f64> = hypotheses
        .iter()
        .flatten()
        .flat_map(|bell| {
            (-cuts..=cuts).map(move |cut| bell.mean + step * f64::from(cut) * bell.deviation)
        })
        .collect();
    edges.sort_by(f64::total_cmp);
    let row = |bells: &Vec<Bell>| {
        let up_to = |edge: f64| -> f64 {
            bells
                .iter()
                .map(|bell| bell.weight * far_below((edge - bell.mean) / bell.deviation))
                .sum()
        };
        let mut before = 0.0;
        let mut cells: Vec<f64> = Vec::with_capacity(edges.len() + 1);
        for edge in &edges {
            let now = up_to(*edge);
            cells.push(now - before);
            before = now;
        }
        cells.push(bells.iter().map(|bell| bell.weight).sum::<f64>() - before);
        cells
    };
    let joint: Vec<Vec<f64>> = hypotheses.iter().map(row).collect();
    mutual_bits(&joint)
}
