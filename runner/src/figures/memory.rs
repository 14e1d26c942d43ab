//! How well something practised is still known: a memory that fades, and holds better each time it is
//! refreshed.
//!
//! The published update of FSRS-6 with its default parameters (github.com/open-spaced-repetition, the
//! algorithm's page; numbers as in its Python package `fsrs` 6.3.2). They were fitted to reviews of
//! cards; for work in a bay they are a starting point, not a measurement.

use std::fmt;

/// How well it went.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Recall {
    /// Not known any more.
    Again,
    /// With effort.
    Hard,
    /// As it should.
    Good,
    /// Without effort.
    Easy,
}

/// Marks from which a result counts as hard, good and easy (ours; common practice, no source).
const HARD_FROM: f64 = 50.0;
const GOOD_FROM: f64 = 70.0;
const EASY_FROM: f64 = 90.0;

impl Recall {
    /// What a mark, 0 to 100, says.
    #[must_use]
    pub fn of_mark(mark: f64) -> Self {
        if mark >= EASY_FROM {
            Self::Easy
        } else if mark >= GOOD_FROM {
            Self::Good
        } else if mark >= HARD_FROM {
            Self::Hard
        } else {
            Self::Again
        }
    }

    fn number(self) -> f64 {
        match self {
            Self::Again => 1.0,
            Self::Hard => 2.0,
            Self::Good => 3.0,
            Self::Easy => 4.0,
        }
    }
}

impl fmt::Display for Recall {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Again => "not known any more",
            Self::Hard => "known with effort",
            Self::Good => "known",
            Self::Easy => "known without effort",
        })
    }
}

/// Default parameters of FSRS-6, w0 to w20.
const W: [f64; 21] = [
    0.212, 1.2931, 2.3065, 8.2956, 6.4133, 0.8334, 3.0194, 0.001, 1.8722, 0.1666, 0.796, 1.4835,
    0.0614, 0.2629, 1.6483, 0.6014, 1.8729, 0.5425, 0.0912, 0.0658, 0.1542,
];
/// Least stability, days.
const STABILITY_MIN: f64 = 0.001;
const DAY_S: f64 = 86_400.0;

/// The memory of one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Memory {
    /// Days until it is recalled nine times of ten.
    pub stability_days: f64,
    /// How hard it is for this person, 1 to 10.
    pub difficulty: f64,
    /// When it was last practised, seconds since 1970-01-01 UTC.
    pub last_unix_s: i64,
}

impl Memory {
    /// After the first time.
    #[must_use]
    pub fn first(recall: Recall, at_unix_s: i64) -> Self {
        let stability = match recall {
            Recall::Again => W[0],
            Recall::Hard => W[1],
            Recall::Good => W[2],
            Recall::Easy => W[3],
        };
        Self {
            stability_days: stability.max(STABILITY_MIN),
            difficulty: first_difficulty(recall).clamp(1.0, 10.0),
            last_unix_s: at_unix_s,
        }
    }

    /// After another time. A time before the last one, as from a clock set back, counts as the last one.
    #[must_use]
    pub fn practised(&self, recall: Recall, at_unix_s: i64) -> Self {
        let days = self.days(at_unix_s);
        let stability = if days < 1.0 {
            self.same_day(recall)
        } else if recall == Recall::Again {
            self.forgotten(self.recall(at_unix_s))
        } else {
            self.recalled(recall, self.recall(at_unix_s))
        };
        Self {
            stability_days: stability.max(STABILITY_MIN),
            difficulty: self.next_difficulty(recall),
            last_unix_s: at_unix_s.max(self.last_unix_s),
        }
    }

    /// Probability that it is still known.
    #[must_use]
    pub fn recall(&self, at_unix_s: i64) -> f64 {
        let factor = libm::pow(0.9, -1.0 / W[20]) - 1.0;
        let days = self.days(at_unix_s);
        libm::pow(1.0 + factor * days / self.stability_days, -W[20])
    }

    fn days(&self, at_unix_s: i64) -> f64 {
        at_unix_s.saturating_sub(self.last_unix_s).max(0) as f64 / DAY_S
    }

    fn same_day(&self, recall: Recall) -> f64 {
        let growth = libm::exp(W[17] * (recall.number() - 3.0 + W[18]))
            * libm::pow(self.stability_days, -W[19]);
        let growth = match recall {
            Recall::Again => growth,
            Recall::Hard | Recall::Good | Recall::Easy => growth.max(1.0),
        };
        self.stability_days * growth
    }

    fn forgotten(&self, recall: f64) -> f64 {
        let long = W[11]
            * libm::pow(self.difficulty, -W[12])
            * (libm::pow(self.stability_days + 1.0, W[13]) - 1.0)
            * libm::exp((1.0 - recall) * W[14]);
        long.min(self.stability_days / libm::exp(W[17] * W[18]))
    }

    fn recalled(&self, how: Recall, recall: f64) -> f64 {
        let by_how = match how {
            Recall::Hard => W[15],
            Recall::Easy => W[16],
            Recall::Again | Recall::Good => 1.0,
        };
        let growth = libm::exp(W[8])
            * (11.0 - self.difficulty)
            * libm::pow(self.stability_days, -W[9])
            * (libm::exp((1.0 - recall) * W[10]) - 1.0)
            * by_how;
        self.stability_days * (1.0 + growth)
    }

    fn next_difficulty(&self, recall: Recall) -> f64 {
        let step = -W[6] * (recall.number() - 3.0);
        let moved = self.difficulty + (10.0 - self.difficulty) * step / 9.0;
        (W[7] * first_difficulty(Recall::Easy) + (1.0 - W[7]) * moved).clamp(1.0, 10.0)
    }
}

fn first_difficulty(recall: Recall) -> f64 {
    W[4] - libm::exp(W[5] * (recall.number() - 1.0)) + 1.0
}
