//! Rasch difficulties: how hard tasks are whoever worked on them, so that forms of different candidates
//! lie on one scale.
//!
//! Conditional maximum likelihood (Andersen 1972; Fischer & Molenaar 1995; both from memory): given how many
//! a person has right, which ones does not depend on the person, so nobody's ability is guessed.

use std::collections::BTreeMap;
use std::fmt;

use super::enough::FAIR_FROM;
use super::rows::Sittings;

/// A task's difficulty.
#[derive(Clone, Debug, PartialEq)]
pub struct Difficulty {
    /// The item.
    pub item: String,
    /// How hard, logits: the mean of all items is 0, and who is as able as an item is hard has it right
    /// one time of two.
    pub logits: f64,
    /// Its standard error, logits.
    pub standard_error: f64,
    /// People who got it and had something right and something wrong, who alone tell of it.
    pub people: usize,
}

/// Why there are no difficulties.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoDifficulties {
    /// Too few people got an item.
    TooFew {
        /// The item.
        item: String,
        /// How many.
        people: usize,
    },
    /// Everybody had it right, or nobody.
    Extreme {
        /// The item.
        item: String,
    },
    /// There are fewer than two items.
    Items(usize),
    /// Items fall into groups that nobody links.
    NotLinked,
}

impl fmt::Display for NoDifficulties {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::TooFew { item, people } => write!(
                f,
                "`{item}`: {people} people tell of it; a Rasch difficulty needs {FAIR_FROM}. Leave it out, or wait"
            ),
            Self::Extreme { item } => write!(
                f,
                "`{item}`: everybody who tells of it had it right, or nobody; its difficulty has no end. Leave it out"
            ),
            Self::Items(count) => write!(
                f,
                "there are {count} items; difficulties are compared with each other and need two"
            ),
            Self::NotLinked => f.write_str(
                "some items were never right where others were wrong, or nobody got items of both groups, so nothing puts them on one scale. Take a form whose candidates share items",
            ),
        }
    }
}

impl std::error::Error for NoDifficulties {}

/// People who got the same items: how many had each count right.
struct Group {
    items: Vec<usize>,
    scores: Vec<f64>,
}

/// Everything the likelihood needs.
struct Counts<'a> {
    items: Vec<&'a str>,
    /// Times each was right.
    right: Vec<f64>,
    /// People who got each.
    people: Vec<usize>,
    groups: Vec<Group>,
}

/// Corrections stop below this many logits.
const SETTLED: f64 = 1e-10;
/// More corrections than this mean that something runs away.
const ROUNDS: usize = 500;
/// No task of a form is this much harder than another; an estimate out there runs away.
const FARTHEST: f64 = 15.0;

/// Difficulties of all items of some sittings, in the order of their ids. Work grows with the number of
/// different sets of items that people got, and with the fourth power of a set's size.
///
/// # Errors
///
/// An item that too few people tell of, or all with the same result; items that nobody links.
pub fn difficulties(sittings: &Sittings<'_>) -> Result<Vec<Difficulty>, NoDifficulties> {
    let counts = Counts::of(sittings);
    counts.check()?;
    let count = counts.items.len();
    let mut logits = vec![0.0; count];
    for _ in 0..ROUNDS {
        let (expected, information) = counts.expected(&logits);
        let mut moves = solve(&information, &difference(&expected, &counts.right))
            .ok_or(NoDifficulties::NotLinked)?;
        // A full step from afar may overshoot; a logit at a time does not.
        let longest = moves
            .iter()
            .fold(0.0_f64, |most, step| most.max(step.abs()));
        let share = if longest > 1.0 { 1.0 / longest } else { 1.0 };
        for (logit, step) in logits.iter_mut().zip(&mut moves) {
            *logit += share * *step;
        }
        let middle = logits.iter().sum::<f64>() / count as f64;
        for logit in &mut logits {
            *logit -= middle;
        }
        if logits.iter().any(|logit| logit.abs() > FARTHEST) {
            return Err(NoDifficulties::NotLinked);
        }
        if longest < SETTLED {
            return counts.told(&logits);
        }
    }
    Err(NoDifficulties::NotLinked)
}

fn difference(one: &[f64], other: &[f64]) -> Vec<f64> {
    one.iter().zip(other).map(|(a, b)| a - b).collect()
}

impl<'a> Counts<'a> {
    fn of(sittings: &Sittings<'a>) -> Self {
        let results = sittings.all().iter().flat_map(|one| &one.results);
        let mut index: BTreeMap<&str, usize> = results.map(|one| (one.item.as_str(), 0)).collect();
        for (place, number) in index.values_mut().enumerate() {
            *number = place;
        }
        let (mut right, mut people) = (vec![0.0; index.len()], vec![0; index.len()]);
        let mut groups: BTreeMap<Vec<usize>, Vec<f64>> = BTreeMap::new();
        for sitting in sittings.all() {
            let mut got: Vec<(usize, bool)> = sitting
                .results
                .iter()
                .filter_map(|one| Some((*index.get(one.item.as_str())?, one.right)))
                .collect();
            got.sort_unstable();
            // An item that came twice tells once, as wrong if it was wrong once: a second time is no
            // second person.
            got.dedup_by_key(|one| one.0);
            let score = got.iter().filter(|one| one.1).count();
            // Who has all right or all wrong tells nothing of which is harder.
            if score == 0 || score == got.len() {
                continue;
            }
            for (item, was_right) in &got {
                people[*item] += 1;
                right[*item] += f64::from(u8::from(*was_right));
            }
            let items: Vec<usize> = got.iter().map(|one| one.0).collect();
            let scores = groups
                .entry(items)
                .or_insert_with(|| vec![0.0; got.len() + 1]);
            scores[score] += 1.0;
        }
        let groups = groups.into_iter();
        Self {
            items: index.into_keys().collect(),
            right,
            people,
            groups: groups
                .map(|(items, scores)| Group { items, scores })
                .collect(),
        }
    }

    fn check(&self) -> Result<(), NoDifficulties> {
        if self.items.len() < 2 {
            return Err(NoDifficulties::Items(self.items.len()));
        }
        for ((item, people), right) in self.items.iter().zip(&self.people).zip(&self.right) {
            let item = (*item).to_owned();
            if *people < FAIR_FROM {
                return Err(NoDifficulties::TooFew {
                    item,
                    people: *people,
                });
            }
            if *right == 0.0 || *right == *people as f64 {
                return Err(NoDifficulties::Extreme { item });
            }
        }
        Ok(())
    }

    /// How often each item is expected right given everybody's count, and the information on the logits.
    fn expected(&self, logits: &[f64]) -> (Vec<f64>, Vec<Vec<f64>>) {
        let count = logits.len();
        let mut expected = vec![0.0; count];
        let mut information = vec![vec![0.0; count]; count];
        for group in &self.groups {
            let ease: Vec<f64> = group.items.iter().map(|i| libm::exp(-logits[*i])).collect();
            let whole = symmetric(&ease, &[]);
            // Chance of each item being right, given how many are.
            let alone: Vec<Vec<f64>> = (0..ease.len())
                .map(|a| {
                    let without = symmetric(&ease, &[a]);
                    let chance = |score: usize| ease[a] * without[score - 1] / whole[score];
                    (1..ease.len()).map(chance).collect()
                })
                .collect();
            for (a, one) in group.items.iter().enumerate() {
                // Scores from one right to one wrong: the others tell nothing.
                let of = |score: usize| group.scores[score];
                for (place, chance) in alone[a].iter().enumerate() {
                    expected[*one] += of(place + 1) * chance;
                    information[*one][*one] += of(place + 1) * chance * (1.0 - chance);
                }
                for (b, other) in group.items.iter().enumerate().skip(a + 1) {
                    let neither = symmetric(&ease, &[a, b]);
                    let mut shared = 0.0;
                    for score in 1..ease.len() {
                        let both = match score {
                            1 => 0.0,
                            _ => ease[a] * ease[b] * neither[score - 2] / whole[score],
                        };
                        let apart = alone[a][score - 1] * alone[b][score - 1];
                        shared += of(score) * (both - apart);
                    }
                    information[*one][*other] += shared;
                    information[*other][*one] += shared;
                }
            }
        }
        (expected, information)
    }

    fn told(&self, logits: &[f64]) -> Result<Vec<Difficulty>, NoDifficulties> {
        let (_, information) = self.expected(logits);
        let count = logits.len();
        let mut told = Vec::with_capacity(count);
        for (place, item) in self.items.iter().enumerate() {
            // The variance of one logit less the mean of all: a column of the inverse on that plane.
            let unit: Vec<f64> = (0..count)
                .map(|i| f64::from(u8::from(i == place)) - 1.0 / count as f64)
                .collect();
            let column = solve(&information, &unit).ok_or(NoDifficulties::NotLinked)?;
            told.push(Difficulty {
                item: (*item).to_owned(),
                logits: logits[place],
                standard_error: column[place].max(0.0).sqrt(),
                people: self.people[place],
            });
        }
        Ok(told)
    }
}

/// Elementary symmetric functions of all but some, the lowest order first. Sums of what is positive: no
/// digits are lost, as they are where functions are divided back.
fn symmetric(ease: &[f64], without: &[usize]) -> Vec<f64> {
    let mut found = vec![0.0; ease.len() + 1];
    found[0] = 1.0;
    let mut order = 0;
    for (place, value) in ease.iter().enumerate() {
        if without.contains(&place) {
            continue;
        }
        order += 1;
        for index in (1..=order).rev() {
            found[index] += value * found[index - 1];
        }
    }
    found
}

/// Solves a system whose rows and right side sum to nothing, for the solution that does, too: adding the
/// same to all logits changes nothing. By Cholesky's factors; `None` where more than that is open.
fn solve(matrix: &[Vec<f64>], right: &[f64]) -> Option<Vec<f64>> {
    let count = right.len();
    let size = matrix
        .iter()
        .enumerate()
        .map(|(i, row)| row[i])
        .sum::<f64>()
        / count as f64;
    // The plane's normal gets a stiffness of its own, of the others' size.
    let at = |i: usize, j: usize| matrix[i][j] + size / count as f64;
    let mut lower = vec![vec![0.0_f64; count]; count];
    for i in 0..count {
        for j in 0..=i {
            let done: f64 = (0..j).map(|k| lower[i][k] * lower[j][k]).sum();
            let left = at(i, j) - done;
            if i == j {
                if left <= 1e-12 * size {
                    return None;
                }
                lower[i][i] = left.sqrt();
            } else {
                lower[i][j] = left / lower[j][j];
            }
        }
    }
    let mut x = right.to_vec();
    for i in 0..count {
        let done: f64 = (0..i).map(|k| lower[i][k] * x[k]).sum();
        x[i] = (x[i] - done) / lower[i][i];
    }
    for i in (0..count).rev() {
        let done: f64 = (i + 1..count).map(|k| lower[k][i] * x[k]).sum();
        x[i] = (x[i] - done) / lower[i][i];
    }
    Some(x)
}
