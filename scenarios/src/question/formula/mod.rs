//! What a numeric question computes its key from: a short list, each with its source.
//!
//! A formula draws its inputs, rounds them as they are shown, and computes the answer from the rounded
//! ones: who works with the numbers on the page gets the key. Nothing here is written down as an answer.

mod air;
mod circuit;
mod cycle;
mod refrigerant;
mod shop;

use std::cell::OnceCell;
use std::collections::BTreeMap;
use std::sync::LazyLock;

use sim_core::fluid::{Equation, Input as Property, Saturated, State};

use super::Shown;

pub use cycle::{Corner, Cycle};

/// Something a formula draws.
#[derive(Clone, Copy, Debug)]
pub struct Drawn {
    /// Its name in a file and between braces.
    pub name: &'static str,
    /// How it is shown.
    pub shown: Shown,
    /// Whether only what follows from it is told.
    pub hidden: bool,
}

/// Something that follows from what is drawn, told to the learner.
#[derive(Clone, Copy, Debug)]
pub struct Derived {
    /// Its name between braces.
    pub name: &'static str,
    /// How it is shown.
    pub shown: Shown,
    /// Its value in SI.
    pub value: fn(&Given) -> Option<f64>,
}

/// A way from numbers told to a number asked for.
#[derive(Clone, Copy, Debug)]
pub struct Formula {
    /// Its name in a file.
    pub name: &'static str,
    /// Where it is from.
    pub source: &'static str,
    /// Whether it is about a refrigerant.
    pub of_refrigerant: bool,
    /// What is drawn.
    pub inputs: &'static [Drawn],
    /// What follows and is told.
    pub derived: &'static [Derived],
    /// How the answer is shown.
    pub answer: Shown,
    /// The answer in SI, from what is told.
    pub compute: fn(&Given) -> Option<f64>,
}

impl Formula {
    /// The formula of a name.
    ///
    /// ```
    /// use scenarios::question::Formula;
    /// assert!(Formula::by_name("superheat").is_some());
    /// assert!(Formula::by_name("luck").is_none());
    /// ```
    #[must_use]
    pub fn by_name(name: &str) -> Option<&'static Self> {
        Self::all().find(|formula| formula.name == name)
    }

    /// Every formula.
    pub fn all() -> impl Iterator<Item = &'static Self> {
        let lists = [
            refrigerant::FORMULAS,
            cycle::FORMULAS,
            air::FORMULAS,
            circuit::FORMULAS,
            shop::FORMULAS,
        ];
        lists.into_iter().flatten()
    }

    /// Names that may stand between braces in a question's text, and must, with how each is shown.
    pub fn told(&self) -> impl Iterator<Item = (&'static str, Shown)> {
        let drawn = self.inputs.iter().filter(|input| !input.hidden);
        let drawn = drawn.map(|input| (input.name, input.shown));
        let derived = self
            .derived
            .iter()
            .map(|derived| (derived.name, derived.shown));
        drawn.chain(derived)
    }
}

/// A refrigerant a question can be about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Refrigerant {
    /// R-134a.
    R134a,
    /// R-1234yf.
    R1234yf,
}

impl Refrigerant {
    /// Every one.
    pub const ALL: [Self; 2] = [Self::R134a, Self::R1234yf];

    /// The refrigerant of a name, in any usual spelling.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        // Not by `Fluid::by_name`: it makes the fluid's table, which nobody here looks into.
        let plain = |name: &str| name.replace('-', "").to_lowercase();
        Self::ALL
            .into_iter()
            .find(|one| plain(one.name()) == plain(name))
    }

    /// Its name.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::R134a => "R-134a",
            Self::R1234yf => "R-1234yf",
        }
    }

    /// Its equation of state, made once.
    #[must_use]
    pub fn equation(self) -> &'static Equation {
        static R134A: LazyLock<Equation> = LazyLock::new(Equation::r134a);
        static R1234YF: LazyLock<Equation> = LazyLock::new(Equation::r1234yf);
        match self {
            Self::R134a => &R134A,
            Self::R1234yf => &R1234YF,
        }
    }
}

/// Numbers a question was dealt, in SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Given {
    /// By their names.
    pub values: BTreeMap<&'static str, f64>,
    /// The refrigerant, where it is about one.
    pub refrigerant: Option<Refrigerant>,
    /// The cycle that follows from what was drawn, worked out when first asked for: several numbers of
    /// a question follow from it, and numbers that follow change nothing of it.
    cycle: OnceCell<Option<Cycle>>,
}

impl Given {
    /// Numbers so far, of a refrigerant or none. What a cycle is drawn from must be there before its
    /// first number is asked for.
    pub(super) fn new(refrigerant: Option<Refrigerant>) -> Self {
        Self {
            values: BTreeMap::new(),
            refrigerant,
            cycle: OnceCell::new(),
        }
    }

    fn of(&self, name: &str) -> Option<f64> {
        self.values.get(name).copied()
    }

    /// Boiling at a temperature, K.
    fn boiling_at_k(&self, temperature_k: f64) -> Option<Saturated> {
        let equation = self.refrigerant?.equation();
        equation.saturation_at_temperature(temperature_k).ok()
    }

    /// Boiling at an absolute pressure, Pa.
    fn boiling_at_pa(&self, pressure_pa: f64) -> Option<Saturated> {
        let equation = self.refrigerant?.equation();
        equation.saturation_at_pressure(pressure_pa).ok()
    }

    fn state(&self, first: Property, second: Property) -> Option<State> {
        self.refrigerant?.equation().state(first, second).ok()
    }
}

const fn drawn(name: &'static str, shown: Shown) -> Drawn {
    Drawn {
        name,
        shown,
        hidden: false,
    }
}

const fn hidden(name: &'static str, shown: Shown) -> Drawn {
    Drawn {
        name,
        shown,
        hidden: true,
    }
}

#[cfg(test)]
mod tests;
