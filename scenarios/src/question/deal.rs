//! A question dealt: its numbers drawn, its key computed, its options shuffled.

use std::collections::BTreeMap;

use sim_core::random::Draws;

use super::chart::Chart;
use super::formula::{Corner, Given};
use super::{Ask, Kind, Numeric, Question, Read, Shown};
use crate::units::UnitSystem;

/// A question as a learner gets it. The same seed and units deal the same one.
#[derive(Clone, Debug, PartialEq)]
pub struct Dealt {
    /// Its id.
    pub id: String,
    /// Its topic's id.
    pub topic: String,
    /// What kind it is.
    pub kind: Kind,
    /// What is asked, with its numbers.
    pub text: String,
    /// A chart that belongs to it.
    pub chart: Option<Chart>,
    /// What an answer is held against.
    pub body: Body,
    /// Why, with its numbers.
    pub explanation: String,
    /// Where that can be read up.
    pub source: String,
    /// Whether the source was not at hand.
    pub from_memory: bool,
    /// The units it was dealt in.
    pub units: UnitSystem,
}

/// What an answer is held against.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// Options in the order they are shown, and whether each is right.
    Choices {
        /// Text and whether it is right.
        options: Vec<(String, bool)>,
        /// Whether more than one may be right.
        many: bool,
    },
    /// A number.
    Number {
        /// The key, SI.
        key: f64,
        /// How it is shown.
        shown: Shown,
        /// How far off an answer may be, SI.
        tolerance: f64,
    },
    /// Steps as shown.
    Order {
        /// In the order shown.
        steps: Vec<String>,
        /// For each step shown, its place in the right order.
        places: Vec<usize>,
    },
}

impl Question {
    /// Deals the question. None only where a formula has no answer inside ranges at whose ends it has
    /// one; no formula is like that.
    #[must_use]
    pub fn deal(&self, seed: u64, units: UnitSystem) -> Option<Dealt> {
        let mut draws = Draws::new(seed, stream_of(&self.id));
        let mut filled = BTreeMap::new();
        let (mut chart, mut letters) = (None, [0, 1, 2, 3]);
        let body = match &self.ask {
            Ask::Choices { right, wrong, many } => {
                let right = right.iter().map(|text| (text.clone(), true));
                let wrong = wrong.iter().map(|text| (text.clone(), false));
                let mut options: Vec<_> = right.chain(wrong).collect();
                shuffle(&mut options, &mut draws);
                Body::Choices {
                    options,
                    many: *many,
                }
            }
            Ask::Order(steps) => {
                let mut places: Vec<usize> = (0..steps.len()).collect();
                // Shown in their order they would be no question.
                while places.is_sorted() {
                    shuffle(&mut places, &mut draws);
                }
                let steps = places.iter().filter_map(|place| steps.get(*place).cloned());
                Body::Order {
                    steps: steps.collect(),
                    places,
                }
            }
            Ask::Number(numeric) => numeric.deal(&mut draws, units, &mut filled)?.1,
            Ask::Chart(kind, Read::Number(numeric)) => {
                shuffle(&mut letters, &mut draws);
                let (given, body) = numeric.deal(&mut draws, units, &mut filled)?;
                chart = Some(Chart::of(*kind, &given, letters)?);
                body
            }
            Ask::Chart(kind, Read::Corner(numeric, corner)) => {
                shuffle(&mut letters, &mut draws);
                let (given, _) = numeric.deal(&mut draws, units, &mut filled)?;
                chart = Some(Chart::of(*kind, &given, letters)?);
                let at = Corner::ALL.iter().position(|one| one == corner)?;
                let right = *letters.get(at)?;
                filled.insert("answer", letter_of(right));
                let options =
                    (0..4).map(|index| (format!("point {}", letter_of(index)), index == right));
                Body::Choices {
                    options: options.collect(),
                    many: false,
                }
            }
        };
        Some(Dealt {
            id: self.id.clone(),
            topic: self.topic.clone(),
            kind: self.kind(),
            text: fill(&self.text, &filled),
            chart,
            body,
            explanation: fill(&self.explanation, &filled),
            source: self.source.clone(),
            from_memory: self.from_memory,
            units,
        })
    }
}

impl Numeric {
    fn deal(
        &self,
        draws: &mut Draws,
        units: UnitSystem,
        filled: &mut BTreeMap<&'static str, String>,
    ) -> Option<(Given, Body)> {
        let picked = (draws.uniform() * self.refrigerants.len() as f64) as usize;
        let mut between = BTreeMap::new();
        for input in self.formula.inputs {
            between.insert(input.name, draws.uniform());
        }
        let (given, key) = self.worked(picked, &between, units)?;
        for (name, shown) in self.formula.told() {
            filled.insert(name, shown.text(*given.values.get(name)?, units));
        }
        if let Some(refrigerant) = given.refrigerant {
            filled.insert("refrigerant", refrigerant.name().to_owned());
        }
        let shown = self.formula.answer;
        filled.insert("answer", shown.text(key, units));
        let tolerance = self.tolerance.of(key);
        let body = Body::Number {
            key,
            shown,
            tolerance,
        };
        Some((given, body))
    }

    /// Numbers as they are told and the key, with each input so far (0 to 1) between its ends.
    fn worked(
        &self,
        refrigerant: usize,
        between: &BTreeMap<&'static str, f64>,
        units: UnitSystem,
    ) -> Option<(Given, f64)> {
        let mut given = Given::new(self.refrigerants.get(refrigerant).copied());
        for input in self.formula.inputs {
            let (least, most) = *self.ranges.get(input.name)?;
            let value = least + (most - least) * *between.get(input.name)?;
            given
                .values
                .insert(input.name, input.shown.rounded(value, units));
        }
        for derived in self.formula.derived {
            let value = derived.shown.rounded((derived.value)(&given)?, units);
            given.values.insert(derived.name, value);
        }
        let key = (self.formula.compute)(&given).filter(|key| key.is_finite())?;
        Some((given, key))
    }
}

/// Most inputs whose ranges are tried at every corner; a cycle has more, and its key moves one way with
/// each of them, so that there the ends with one input at its other end are enough.
const ALL_CORNERS: usize = 4;

/// Keys at the corners of the ranges, for every refrigerant.
pub(super) fn corners(numeric: &Numeric) -> impl Iterator<Item = Option<f64>> + '_ {
    let inputs = numeric.formula.inputs;
    let refrigerants = numeric.refrigerants.len().max(1);
    let few = inputs.len() <= ALL_CORNERS;
    let tried = move |bits: &usize| {
        let ones = bits.count_ones() as usize;
        few || ones <= 1 || ones + 1 >= inputs.len()
    };
    let corners = (0..1_usize << inputs.len()).filter(tried);
    corners.flat_map(move |bits| {
        let ends = inputs.iter().enumerate().map(|(index, input)| {
            let most = bits >> index & 1 == 1;
            (input.name, f64::from(u8::from(most)))
        });
        let between: BTreeMap<_, _> = ends.collect();
        (0..refrigerants).map(move |refrigerant| {
            let worked = numeric.worked(refrigerant, &between, UnitSystem::Si);
            worked.map(|(_, key)| key)
        })
    })
}

/// The letter of an option: A for the first.
fn letter_of(index: usize) -> String {
    char::from(b'A' + u8::try_from(index).unwrap_or(25).min(25)).to_string()
}

/// A stream of its own for each question, so that a new question changes no other (FNV-1a, 64 bits).
pub(super) fn stream_of(id: &str) -> u64 {
    id.bytes().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// Fisher and Yates.
pub(super) fn shuffle<T>(items: &mut [T], draws: &mut Draws) {
    for last in (1..items.len()).rev() {
        let other = (draws.uniform() * (last + 1) as f64) as usize;
        items.swap(last, other.min(last));
    }
}

/// Names between braces, in their order.
pub(super) fn placeholders(text: &str) -> Vec<&str> {
    let pieces = text.split('{').skip(1);
    pieces
        .map(|piece| piece.split('}').next().unwrap_or(piece))
        .collect()
}

/// A text with its braces filled.
fn fill(text: &str, values: &BTreeMap<&'static str, String>) -> String {
    values.iter().fold(text.to_owned(), |text, (name, value)| {
        text.replace(&format!("{{{name}}}"), value)
    })
}
