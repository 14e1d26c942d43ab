//! How far a pass or a fail would come out the same again.

use super::reliability::Reliability;
use super::special::{beta_below, ln_beta};

/// Reliability of the pass decision by the mark. Other gates, such as safety, are not in it.
///
/// After Livingston & Lewis (1995): true marks follow a beta distribution with the mean and the true
/// variance found, and a form is as good as so many tasks of right and wrong. Two parameters, where
/// they fit four (Hanson & Brennan 1990 compare both); papers from memory.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Decision {
    /// Tasks of right and wrong that would be as reliable.
    pub effective_tasks: u32,
    /// Share of people who would get the same verdict on another form of the same blueprint.
    pub consistency: f64,
    /// The same, beyond what chance alone would give (Cohen's kappa).
    pub kappa: f64,
    /// Share of people whose verdict is the one that their true mark deserves.
    pub accuracy: f64,
    /// Share of all people who pass and should not.
    pub false_pass: f64,
    /// Share of all people who fail and should not.
    pub false_fail: f64,
}

/// More tasks than this tell nothing more, and take time.
const MOST_TASKS: f64 = 1000.0;

/// The decision at a cut, a mark from 0 to 100 that passes. `None` where the form tells nobody apart
/// (no reliability above zero) or marks spread further than a beta distribution does.
#[must_use]
pub fn decision(form: &Reliability, cut: f64) -> Option<Decision> {
    let middle = form.mean_mark / 100.0;
    let spread = form.deviation * form.deviation / 1e4;
    let true_spread = form.alpha * spread;
    let room = middle * (1.0 - middle);
    if !(form.alpha > 0.0 && form.alpha < 1.0 && true_spread < room) {
        return None;
    }
    let effective = (room - true_spread) / (spread * (1.0 - form.alpha));
    let tasks = libm::round(effective.clamp(1.0, MOST_TASKS));
    let both = room / true_spread - 1.0;
    let (a, b) = (middle * both, (1.0 - middle) * both);
    let cut_share = (cut / 100.0).clamp(0.0, 1.0);
    // Thirteen of twenty is 65 %, whatever the last digit of the product says.
    let needed = libm::ceil(tasks * cut_share - 1e-9) as u32;
    let tasks = tasks as u32;
    let found = Betas { a, b, tasks };
    let pass: f64 = (needed..=tasks).map(|count| found.scores(count)).sum();
    let should_pass = 1.0 - beta_below(a, b, cut_share);
    let right_pass: f64 = (needed..=tasks)
        .map(|count| found.scores(count) * found.deserves(count, cut_share))
        .sum();
    let twice: f64 = found.twice_at_least(needed);
    let consistency = 1.0 - 2.0 * (pass - twice);
    let chance = pass * pass + (1.0 - pass) * (1.0 - pass);
    let (false_pass, false_fail) = (pass - right_pass, should_pass - right_pass);
    Some(Decision {
        effective_tasks: tasks,
        consistency,
        // Where all pass or all fail, chance alone would agree.
        kappa: if chance < 1.0 {
            (consistency - chance) / (1.0 - chance)
        } else {
            0.0
        },
        accuracy: 1.0 - false_pass - false_fail,
        false_pass,
        false_fail,
    })
}

/// True shares right, beta-distributed, and counts right of so many tasks.
struct Betas {
    a: f64,
    b: f64,
    tasks: u32,
}

impl Betas {
    /// Probability of a count right.
    fn scores(&self, count: u32) -> f64 {
        let (x, n) = (f64::from(count), f64::from(self.tasks));
        libm::exp(ln_choose(n, x) + ln_beta(self.a + x, self.b + n - x) - ln_beta(self.a, self.b))
    }

    /// Probability that who has a count right truly stands at the cut or above.
    fn deserves(&self, count: u32, cut: f64) -> f64 {
        let (x, n) = (f64::from(count), f64::from(self.tasks));
        1.0 - beta_below(self.a + x, self.b + n - x, cut)
    }

    /// Probability of so many or more right, twice.
    fn twice_at_least(&self, needed: u32) -> f64 {
        let n = f64::from(self.tasks);
        let whole = ln_beta(self.a, self.b);
        let mut sum = 0.0;
        for one in needed..=self.tasks {
            for other in needed..=self.tasks {
                let (x, y) = (f64::from(one), f64::from(other));
                let ways = ln_choose(n, x) + ln_choose(n, y);
                let together = ln_beta(self.a + x + y, self.b + 2.0 * n - x - y);
                sum += libm::exp(ways + together - whole);
            }
        }
        sum
    }
}

fn ln_choose(n: f64, k: f64) -> f64 {
    -libm::log(n + 1.0) - ln_beta(n - k + 1.0, k + 1.0)
}
