//! What a check shows on a car, swings included.

use sim_core::instruments::{Finding, Truth};

/// Everything a check shows over a moment: a car whose clutch comes and goes shows a swing of pressures
/// or several findings, whichever second one looks.
#[derive(Clone, Debug, PartialEq)]
pub enum Seen {
    /// Least and greatest value, SI.
    Range(f64, f64),
    /// A value that comes and goes.
    Swing(Swing),
    /// What is noticed, each once.
    Findings(Vec<Finding>),
}

/// Values that a swing stays below for none, a quarter, half, three quarters and all of its time, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing(pub [f64; 5]);

impl Swing {
    /// The swing of values that were shown for so many seconds each; `None` without any.
    ///
    /// ```
    /// use runner::evidence::seen::Swing;
    /// let swing = Swing::of(vec![(1.0, 30.0), (9.0, 10.0), (2.0, 0.0)]).unwrap();
    /// assert_eq!(swing.0, [1.0, 1.0, 1.0, 1.0, 9.0]);
    /// assert_eq!(Swing::of(Vec::new()), None);
    /// ```
    #[must_use]
    pub fn of(mut shown: Vec<(f64, f64)>) -> Option<Self> {
        shown.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (least, greatest) = (shown.first()?.0, shown.last()?.0);
        let whole: f64 = shown.iter().map(|(_, seconds)| seconds).sum();
        let below = |share: f64| {
            let mut passed = 0.0;
            let reached = shown.iter().find(|(_, seconds)| {
                passed += seconds;
                passed >= share * whole
            });
            reached.map_or(greatest, |(value, _)| *value)
        };
        Some(Self([
            least,
            below(0.25),
            below(0.5),
            below(0.75),
            greatest,
        ]))
    }

    /// Anywhere between two ends, as likely here as there.
    #[must_use]
    pub fn even(low: f64, high: f64) -> Self {
        let at = |share: f64| low + share * (high - low);
        Self([low, at(0.25), at(0.5), at(0.75), high])
    }

    /// Least and greatest.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        (self.0[0], self.0[4])
    }

    /// Mean over its time, each quarter of it taken as even.
    #[must_use]
    pub fn mean(&self) -> f64 {
        let Self([least, one, two, three, greatest]) = self;
        (0.5 * (least + greatest) + one + two + three) / 4.0
    }

    /// Middle and variance of each quarter of its time.
    #[must_use]
    pub fn quarters(&self) -> [(f64, f64); 4] {
        std::array::from_fn(|quarter| {
            let (from, to) = (self.0[quarter], self.0[quarter + 1]);
            (0.5 * (from + to), (to - from) * (to - from) / 12.0)
        })
    }
}

impl Seen {
    /// A number with its swing, SI.
    #[must_use]
    pub fn number(&self) -> Option<Swing> {
        match self {
            Self::Range(low, high) => Some(Swing::even(*low, *high)),
            Self::Swing(swing) => Some(*swing),
            Self::Findings(_) => None,
        }
    }

    /// What one truth shows.
    #[must_use]
    pub fn of(truth: Truth) -> Self {
        match truth {
            Truth::Number(value) => Self::Range(value, value),
            Truth::Finding(finding) => Self::Findings(vec![finding]),
        }
    }

    /// Takes in what else is shown.
    pub fn take_in(&mut self, truth: Truth) {
        match (self, truth) {
            (Self::Range(low, high), Truth::Number(value)) => {
                *low = low.min(value);
                *high = high.max(value);
            }
            (Self::Findings(known), Truth::Finding(finding)) if !known.contains(&finding) => {
                known.push(finding);
            }
            _ => {}
        }
    }
}

/// The same with findings by key, as tables keep them.
#[derive(Clone, Debug, PartialEq)]
pub enum Shown<'a> {
    /// A number with its swing, SI.
    Number(Swing),
    /// Keys of what is noticed.
    Keys(Vec<&'a str>),
}

impl<'a> From<&'a Seen> for Shown<'a> {
    fn from(seen: &'a Seen) -> Self {
        match seen {
            Seen::Range(low, high) => Self::Number(Swing::even(*low, *high)),
            Seen::Swing(swing) => Self::Number(*swing),
            Seen::Findings(findings) => {
                Self::Keys(findings.iter().map(|finding| finding.key).collect())
            }
        }
    }
}
