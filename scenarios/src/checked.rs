//! Numbers that must lie in a range, checked where they are read so that the place is known.

mod schema;

use serde::de::{Deserialize, Deserializer, Error};

use crate::quantity::{Ratio, RotationalSpeed};
use crate::spanned::Spanned;

/// What is read from a file, turned into what sim-core takes.
pub(crate) trait Build {
    /// What sim-core takes.
    type Built;

    /// Turns it; nothing can go wrong any more.
    fn build(&self) -> Self::Built;
}

impl<T: Build> Build for Option<T> {
    type Built = Option<T::Built>;

    fn build(&self) -> Self::Built {
        self.as_ref().map(Build::build)
    }
}

/// A quantity or number more than zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Positive<Q>(
    /// The quantity.
    pub Q,
);

impl<'de, Q: Deserialize<'de> + Copy + Into<f64>> Deserialize<'de> for Positive<Q> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let quantity = Q::deserialize(deserializer)?;
        if quantity.into() > 0.0 {
            Ok(Self(quantity))
        } else {
            Err(D::Error::custom("this must be more than zero"))
        }
    }
}

impl<Q: Copy + Into<f64>> Build for Positive<Q> {
    type Built = f64;

    fn build(&self) -> f64 {
        self.0.into()
    }
}

/// A quantity or number that is zero or more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NotNegative<Q>(
    /// The quantity.
    pub Q,
);

impl<'de, Q: Deserialize<'de> + Copy + Into<f64>> Deserialize<'de> for NotNegative<Q> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let quantity = Q::deserialize(deserializer)?;
        if quantity.into() >= 0.0 {
            Ok(Self(quantity))
        } else {
            Err(D::Error::custom("this must not be less than zero"))
        }
    }
}

impl<Q: Copy + Into<f64>> Build for NotNegative<Q> {
    type Built = f64;

    fn build(&self) -> f64 {
        self.0.into()
    }
}

/// A part of a whole, written `"60 %"`: from 0 to 1.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share(
    /// The part, 0 to 1.
    pub f64,
);

impl<'de> Deserialize<'de> for Share {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let Ratio(share) = Ratio::deserialize(deserializer)?;
        if (0.0..=1.0).contains(&share) {
            Ok(Self(share))
        } else {
            Err(D::Error::custom("this must lie between 0 % and 100 %"))
        }
    }
}

impl Build for Share {
    type Built = f64;

    fn build(&self) -> f64 {
        self.0
    }
}

/// A list of no more than `MOST` things.
#[derive(Clone, Debug, PartialEq)]
pub struct List<T, const MOST: usize>(
    /// What is in it.
    pub Vec<T>,
);

impl<T, const MOST: usize> Default for List<T, MOST> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

impl<'de, T: Deserialize<'de>, const MOST: usize> Deserialize<'de> for List<T, MOST> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let items = Vec::deserialize(deserializer)?;
        if items.len() <= MOST {
            Ok(Self(items))
        } else {
            Err(D::Error::custom(format!(
                "there are {} of these, and at most {MOST} can be read",
                items.len()
            )))
        }
    }
}

impl<T: Build> Build for Spanned<T> {
    type Built = T::Built;

    fn build(&self) -> T::Built {
        self.get_ref().build()
    }
}

impl Build for bool {
    type Built = Self;

    fn build(&self) -> Self {
        *self
    }
}

/// A speed of rotation more than zero, written `"850 rpm"`, held in turns per second.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TurnsPerSecond(
    /// Turns per second.
    pub f64,
);

impl<'de> Deserialize<'de> for TurnsPerSecond {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let Positive(RotationalSpeed(radians)) = Positive::deserialize(deserializer)?;
        Ok(Self(radians / (2.0 * std::f64::consts::PI)))
    }
}

impl Build for TurnsPerSecond {
    type Built = f64;

    fn build(&self) -> f64 {
        self.0
    }
}

/// The version of a file's form; there is one so far.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Version;

impl<'de> Deserialize<'de> for Version {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        match u32::deserialize(deserializer)? {
            1 => Ok(Self),
            other => Err(D::Error::custom(format!(
                "this is a file of version {other}, but only version 1 can be read"
            ))),
        }
    }
}
