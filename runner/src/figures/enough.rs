//! Whether enough people were counted to say something.

use std::fmt;

/// How far a figure about a task can be trusted, by how many people worked on it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Enough {
    /// Fewer than ten: a correlation of 0.3 could as well be -0.4 or 0.8. No discrimination is told.
    TooFew(usize),
    /// Ten to thirty.
    Hint(usize),
    /// Thirty to sixty: what a Rasch difficulty to about one logit asks for (Linacre 1994, from memory).
    Fair(usize),
    /// Sixty and more.
    Good(usize),
}

/// Fewest people of whom a discrimination is told. Common practice, no source.
pub const FEWEST: usize = 10;
/// Fewest people of whom it is more than a hint, and of whom a Rasch difficulty is told.
pub const FAIR_FROM: usize = 30;
/// From here the figure is told without a word.
pub const GOOD_FROM: usize = 60;

impl Enough {
    /// Whether so many are enough.
    #[must_use]
    pub fn of(people: usize) -> Self {
        match people {
            0..FEWEST => Self::TooFew(people),
            FEWEST..FAIR_FROM => Self::Hint(people),
            FAIR_FROM..GOOD_FROM => Self::Fair(people),
            _ => Self::Good(people),
        }
    }

    /// How many people that were.
    #[must_use]
    pub fn people(self) -> usize {
        match self {
            Self::TooFew(people) | Self::Hint(people) | Self::Fair(people) | Self::Good(people) => {
                people
            }
        }
    }
}

impl fmt::Display for Enough {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::TooFew(_) => "too few people",
            Self::Hint(_) => "a hint only",
            Self::Fair(_) => "fair",
            Self::Good(_) => "good",
        })
    }
}
