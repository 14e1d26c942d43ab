//! What could be wrong with a car: nothing, one failure mode, or modes that travel together.
//!
//! Nobody tells how bad a fault is, so every explanation is a set of cars, from the mildest that counts
//! to the worst, each standing for the severities around it.

use scenarios::{Bank, Case, Mode, NOTHING_BROKEN, Severity};

use crate::action::NO_FAULT;

/// How finely severities are taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Grain {
    /// Twelve severities of a fault: what beliefs are held by.
    Fine,
    /// Half as many: enough to choose the next check by.
    Coarse,
}

impl Grain {
    /// Steps of severity for each of so many modes: their product is the number of nodes.
    fn steps(self, modes: usize) -> &'static [usize] {
        const FINE: [&[usize]; 3] = [&[12], &[6, 3], &[3, 2, 2]];
        const COARSE: [&[usize]; 3] = [&[6], &[5, 3], &[3, 2, 2]];
        let of = match self {
            Self::Fine => FINE,
            Self::Coarse => COARSE,
        };
        of[modes.clamp(1, of.len()) - 1]
    }
}

/// Failure modes that are in a car together; none for a car with nothing broken.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// Ids of the modes, the one a shop meets first.
    pub modes: Vec<String>,
    /// How likely it is before anything has been read, 0 to 1.
    pub prior: f64,
    /// For each mode the severities it is run at, mildest first.
    steps: Vec<Vec<f64>>,
}

impl Explanation {
    /// Whether a failure mode is part of it; `no-fault` is part of a car with nothing broken.
    #[must_use]
    pub fn holds(&self, mode: &str) -> bool {
        if self.modes.is_empty() {
            mode == NO_FAULT
        } else {
            self.modes.iter().any(|one| one == mode)
        }
    }

    /// Number of nodes: one where nothing is broken.
    #[must_use]
    pub fn nodes(&self) -> usize {
        self.steps.iter().map(Vec::len).product()
    }

    /// Number of modes.
    #[must_use]
    pub fn dimensions(&self) -> usize {
        self.steps.len()
    }

    /// Takes a share of its cars off into an explanation by themselves, of one severity that nobody has
    /// to guess between others.
    pub(super) fn split_off(&mut self, share: f64) -> Self {
        let exact = Self {
            modes: self.modes.clone(),
            prior: self.prior * share,
            steps: Vec::new(),
        };
        self.prior *= 1.0 - share;
        exact
    }

    /// The faults of a node, each with its severity.
    #[must_use]
    pub fn faults(&self, node: usize) -> Vec<(String, f64)> {
        let mut left = node;
        let mut faults = Vec::with_capacity(self.modes.len());
        for (mode, steps) in self.modes.iter().zip(&self.steps) {
            faults.push((mode.clone(), steps[left % steps.len()]));
            left /= steps.len();
        }
        faults
    }

    /// Where components lie: each step between two severities of the first mode is cut into parts, of
    /// the other modes each severity stands for those nearer to it than to another.
    #[must_use]
    pub fn places(&self) -> Vec<Place> {
        let Some(steps) = self.steps.first() else {
            return vec![Place::at(0)];
        };
        let intervals = steps.len() - 1;
        // About as many for every grain.
        let parts = PLACES.div_ceil(intervals);
        let mut places = Vec::with_capacity(self.nodes() / steps.len() * intervals * parts);
        for node in 0..self.nodes() {
            let (_, Some(next)) = self.neighbours(node, 0) else {
                continue;
            };
            let weight = self.share_of_others(node) / (intervals * parts) as f64;
            places.extend((0..parts).map(|part| Place {
                node,
                next,
                share: (part as f64 + 0.5) / parts as f64,
                width: 1.0 / parts as f64,
                weight,
            }));
        }
        places
    }

    /// Share of the severities of all modes but the first that a node stands for.
    fn share_of_others(&self, node: usize) -> f64 {
        let (mut left, mut share) = (node, 1.0);
        for (mode, steps) in self.steps.iter().enumerate() {
            let (step, last) = (left % steps.len(), steps.len() - 1);
            left /= steps.len();
            if mode > 0 {
                let part = if step == 0 || step == last { 0.5 } else { 1.0 };
                share *= part / last as f64;
            }
        }
        share
    }

    /// The faults of a place, each with its severity.
    #[must_use]
    pub fn faults_at(&self, place: &Place) -> Vec<(String, f64)> {
        let ends = self.faults(place.node).into_iter();
        let ends = ends.zip(self.faults(place.next));
        ends.map(|((mode, from), (_, to))| (mode, from + place.share * (to - from)))
            .collect()
    }

    /// The same place on a coarser version of the explanation.
    #[must_use]
    pub fn coarser(&self, place: &Place, coarse: &Self) -> Place {
        let Some(steps) = self.steps.first() else {
            return place.clone();
        };
        let (mut left, mut stride, mut node) = (place.node, 1, 0);
        let mut share = place.share;
        for (mode, (fine, coarse)) in self.steps.iter().zip(&coarse.steps).enumerate() {
            let along = (left % fine.len()) as f64;
            left /= fine.len();
            let scale = (coarse.len() - 1) as f64 / (fine.len() - 1) as f64;
            if mode == 0 {
                let at = (along + place.share) * scale;
                let step = (at as usize).min(coarse.len() - 2);
                share = at - step as f64;
                node += stride * step;
            } else {
                // To the nearest step.
                node += stride * (along * scale + 0.5) as usize;
            }
            stride *= coarse.len();
        }
        let scale = (coarse.steps[0].len() - 1) as f64 / (steps.len() - 1) as f64;
        Place {
            node,
            next: node + 1,
            share,
            width: place.width * scale,
            weight: place.weight,
        }
    }

    /// The node in the middle of all severities.
    #[must_use]
    pub fn middle(&self) -> usize {
        let mut stride = 1;
        let mut node = 0;
        for steps in &self.steps {
            node += stride * (steps.len() / 2);
            stride *= steps.len();
        }
        node
    }

    /// The nodes next to one with the severity of one mode lower and higher, where there are any.
    #[must_use]
    pub fn neighbours(&self, node: usize, dimension: usize) -> (Option<usize>, Option<usize>) {
        let stride: usize = self.steps[..dimension].iter().map(Vec::len).product();
        let count = self.steps[dimension].len();
        let step = node / stride % count;
        (
            (step > 0).then(|| node - stride),
            (step + 1 < count).then(|| node + stride),
        )
    }
}

/// Parts that the severities of an explanation are cut into, at the least.
pub(super) const PLACES: usize = 20;

/// A severity part of the way from one node to the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// The milder node.
    pub node: usize,
    /// The worse one, of the first mode; the same where nothing is broken.
    pub next: usize,
    /// Part of the way from the milder.
    pub share: f64,
    /// Part of the way that the place stands for.
    pub width: f64,
    /// Share of the cars with the explanation.
    pub weight: f64,
}

impl Place {
    /// A node itself.
    #[must_use]
    pub fn at(node: usize) -> Self {
        Self {
            node,
            next: node,
            share: 0.0,
            width: 0.0,
            weight: 1.0,
        }
    }
}

/// Every explanation for a case's car, with priors that add up to 1.
///
/// Priors are the catalogue's, or the case's own where it states some. Modes of parts the car lacks
/// are left out. Of the cars with a fault that has companions, the catalogue says how many have them.
#[must_use]
pub fn explanations(bank: &Bank, case: &Case, grain: Grain) -> Vec<Explanation> {
    let own = &case.scenario.prior;
    let weight = |id: &str, usual: f64| own.get(id).copied().unwrap_or(usual);
    let concerned = |mode: &&Mode| mode.concerns(&case.vehicle.spec);
    let groups: Vec<_> = bank
        .together()
        .iter()
        .filter(|group| {
            group.modes.iter().all(|id| {
                let mode = bank.catalogue().get(id);
                mode.is_some_and(|mode| concerned(&mode))
            })
        })
        .collect();
    let nothing = weight(NOTHING_BROKEN, bank.marks().reader.nothing_broken);
    let mut all = vec![Explanation {
        modes: Vec::new(),
        prior: nothing,
        steps: Vec::new(),
    }];
    for mode in bank.catalogue().modes().filter(concerned) {
        let accompanied: f64 = groups
            .iter()
            .filter(|group| group.modes.first() == Some(&mode.id))
            .map(|group| group.share)
            .sum();
        all.push(Explanation {
            modes: vec![mode.id.clone()],
            prior: weight(&mode.id, mode.prior) * (1.0 - accompanied),
            steps: steps(&[mode], grain),
        });
    }
    for group in groups {
        let modes: Vec<&Mode> = group
            .modes
            .iter()
            .filter_map(|id| bank.catalogue().get(id))
            .collect();
        let Some(first) = modes.first() else { continue };
        all.push(Explanation {
            modes: group.modes.clone(),
            prior: weight(&first.id, first.prior) * group.share,
            steps: steps(&modes, grain),
        });
    }
    let sum: f64 = all.iter().map(|one| one.prior).sum();
    for one in &mut all {
        one.prior /= sum;
    }
    all
}

fn steps(modes: &[&Mode], grain: Grain) -> Vec<Vec<f64>> {
    modes
        .iter()
        .zip(grain.steps(modes.len()))
        .map(|(mode, count)| {
            let part = |step: usize| step as f64 / (*count - 1) as f64;
            (0..*count)
                .map(|step| quantile(&mode.severity, part(step)))
                .collect()
        })
        .collect()
}

/// Severity that a share of the cars with a mode do not exceed.
///
/// A triangle from the least severity that counts to 1 with its peak at the usual one: the least
/// that can be said of how severities spread from those three numbers (common practice, no source).
///
/// ```
/// use runner::evidence::explanation::quantile;
/// let bank = scenarios::Bank::builtin()?;
/// let severity = &bank.catalogue().get("undercharge").unwrap().severity;
/// assert_eq!(quantile(severity, 0.0), severity.least);
/// assert_eq!(quantile(severity, 1.0), 1.0);
/// let peak_share = (severity.typical - severity.least) / (1.0 - severity.least);
/// assert!((quantile(severity, peak_share) - severity.typical).abs() < 1e-12);
/// # Ok::<(), scenarios::BankErrors>(())
/// ```
#[must_use]
pub fn quantile(severity: &Severity, share: f64) -> f64 {
    let (least, peak) = (severity.least, severity.typical);
    let (width, rise, fall) = (1.0 - least, peak - least, 1.0 - peak);
    if width <= 0.0 {
        return 1.0;
    }
    if share * width < rise {
        least + (share * width * rise).sqrt()
    } else {
        1.0 - ((1.0 - share) * width * fall).sqrt()
    }
}
