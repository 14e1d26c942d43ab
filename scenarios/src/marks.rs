//! How a mark is made: what its parts count, what a hint costs, what the ideal reader assumes.

use std::ops::Range;

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, de::Error};

use crate::checked::{NotNegative, Positive, Version};
use crate::spanned::Spanned;
use crate::{LoadError, Problem, load};

/// How far numbers that have to add up may be off: decimals are not exact in binary.
const ROUNDING: f64 = 1e-9;

/// How a mark is made.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Marks {
    /// What each part of the mark counts, where a case does not say otherwise.
    pub weights: Weights,
    /// What a right answer earns of the diagnosis' part.
    pub diagnosis: DiagnosisShares,
    /// What a hint costs.
    pub hint: Hint,
    /// What the ideal reader assumes.
    pub reader: Reader,
    /// How often a person notes something else than what was to be noticed.
    pub slips: SenseSlips,
    /// What each part of a repair's mark counts.
    pub repair: RepairWeights,
}

/// What each part of a repair's mark counts, in marks: none is below 0, and they add up to 100.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct RepairWeights {
    /// For a car that cools as the sound one does.
    #[serde(deserialize_with = "not_negative")]
    pub cured: f64,
    /// For weeks in which nothing comes back.
    #[serde(deserialize_with = "not_negative")]
    pub lasting: f64,
    /// For the right parts, and no others.
    #[serde(deserialize_with = "not_negative")]
    pub parts: f64,
    /// For the steps of good work, in their order.
    #[serde(deserialize_with = "not_negative")]
    pub order: f64,
    /// For a bill no larger than it must be.
    #[serde(deserialize_with = "not_negative")]
    pub cost: f64,
    /// For refrigerant kept out of the air.
    #[serde(deserialize_with = "not_negative")]
    pub air: f64,
    /// For working safely.
    #[serde(deserialize_with = "not_negative")]
    pub safety: f64,
}

/// What each part of the mark counts, in marks: none is below 0, and they add up to 100.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Weights {
    /// For naming what is wrong.
    #[serde(deserialize_with = "not_negative")]
    pub diagnosis: f64,
    /// For readings that show it.
    #[serde(deserialize_with = "not_negative")]
    pub evidence: f64,
    /// For being as sure as the readings allow.
    #[serde(deserialize_with = "not_negative")]
    pub calibration: f64,
    /// For not spending more time than it takes.
    #[serde(deserialize_with = "not_negative")]
    pub efficiency: f64,
    /// For working safely.
    #[serde(deserialize_with = "not_negative")]
    pub safety: f64,
}

/// What a right answer earns of the diagnosis' part: shares, 0 to 1, that add up to 1.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct DiagnosisShares {
    /// For the component.
    #[serde(deserialize_with = "share")]
    pub component: f64,
    /// For what is wrong with it.
    #[serde(deserialize_with = "share")]
    pub mode: f64,
    /// For what led to it, where something did. Never all: not every car has a cause to name.
    #[serde(deserialize_with = "share")]
    pub cause: f64,
}

/// What a hint costs.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct Hint {
    /// Marks for each one asked for, 0 to 100.
    #[serde(deserialize_with = "marks")]
    pub cost: f64,
}

/// What the ideal reader of a learner's readings assumes.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Reader {
    /// How often a shop meets a complaint with nothing broken: above 0, on the scale of
    /// [`Mode::prior`](crate::Mode::prior).
    #[serde(deserialize_with = "positive")]
    pub nothing_broken: f64,
    /// Probability from which a diagnosis counts as proved, and that the set of faults still in
    /// play holds: above 0.5 and below 1.
    #[serde(deserialize_with = "sure")]
    pub sure: f64,
}

/// How often a person notes something else than what was to be noticed: shares of the times, above
/// 0 and below 1. Never 0, or one slip would rule out what is in the car for good.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq)]
#[serde(deny_unknown_fields)]
pub struct SenseSlips {
    /// Looking.
    #[serde(deserialize_with = "slip")]
    pub look: f64,
    /// Listening.
    #[serde(deserialize_with = "slip")]
    pub listen: f64,
    /// Feeling with the hand.
    #[serde(deserialize_with = "slip")]
    pub feel: f64,
    /// Smelling.
    #[serde(deserialize_with = "slip")]
    pub smell: f64,
    /// Leak detector, soap and lamp, and what a scan tool says in words.
    #[serde(deserialize_with = "slip")]
    pub detector: f64,
}

/// A file as written.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Written {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    weights: Spanned<Weights>,
    diagnosis: Spanned<DiagnosisShares>,
    hint: Hint,
    reader: Reader,
    #[serde(rename = "slips-of-the-senses")]
    slips: SenseSlips,
    repair: Spanned<RepairWeights>,
}

impl Marks {
    /// Reads how a mark is made from a file's text.
    ///
    /// # Errors
    /// A [`LoadError`] with what does not fit, each at its place.
    ///
    /// ```
    /// use scenarios::Marks;
    /// let error = Marks::read("marks.toml", "version = 1\n").unwrap_err();
    /// assert_eq!(error.problems()[0].message, "the field `weights` is missing");
    /// ```
    pub fn read(file_name: &str, text: &str) -> Result<Self, LoadError> {
        let written: Written = load::parse(file_name, text)?;
        let mut problems = Vec::new();
        Weights::check(&written.weights, &mut problems);
        DiagnosisShares::check(&written.diagnosis, &mut problems);
        adds_up(
            written.repair.get_ref().total(),
            written.repair.span(),
            &mut problems,
        );
        if !problems.is_empty() {
            return Err(LoadError::new(file_name, text, problems));
        }
        Ok(Self {
            weights: written.weights.into_inner(),
            diagnosis: written.diagnosis.into_inner(),
            hint: written.hint,
            reader: written.reader,
            slips: written.slips,
            repair: written.repair.into_inner(),
        })
    }
}

impl Weights {
    /// Sum of the parts, in marks.
    fn total(&self) -> f64 {
        self.diagnosis + self.evidence + self.calibration + self.efficiency + self.safety
    }

    /// Whether the parts make a whole mark.
    pub(crate) fn check(written: &Spanned<Self>, problems: &mut Vec<Problem>) {
        adds_up(written.get_ref().total(), written.span(), problems);
    }
}

impl RepairWeights {
    /// Sum of the parts, in marks.
    fn total(&self) -> f64 {
        self.cured + self.lasting + self.parts + self.order + self.cost + self.air + self.safety
    }
}

/// Notes weights that do not make a whole mark.
fn adds_up(total: f64, span: Range<usize>, problems: &mut Vec<Problem>) {
    if (total - 100.0).abs() > ROUNDING {
        let problem = Problem::new(format!("the weights add up to {}", rounded(total)));
        problems.push(problem.at(span).label("they must add up to 100"));
    }
}

impl DiagnosisShares {
    fn check(written: &Spanned<Self>, problems: &mut Vec<Problem>) {
        let Self {
            component,
            mode,
            cause,
        } = written.get_ref();
        let total = component + mode + cause;
        if (total - 1.0).abs() > ROUNDING {
            let message = format!("the shares of the diagnosis add up to {}", rounded(total));
            let problem = Problem::new(message);
            problems.push(problem.at(written.span()).label("they must add up to 1"));
        } else if component + mode <= ROUNDING {
            let problem = Problem::new("a car with one fault has no cause to earn marks with");
            let label = "give `component` or `mode` a share";
            problems.push(problem.at(written.span()).label(label));
        }
    }
}

/// A sum as a person would make it.
fn rounded(sum: f64) -> f64 {
    (sum * 1e9).round() / 1e9
}

fn not_negative<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    NotNegative::deserialize(deserializer).map(|number| number.0)
}

fn positive<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    Positive::deserialize(deserializer).map(|number| number.0)
}

fn share<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    let fits = |share| (0.0..=1.0).contains(&share);
    number(deserializer, fits, "this must lie between 0 and 1")
}

fn marks<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    let fits = |marks| (0.0..=100.0).contains(&marks);
    number(deserializer, fits, "this must lie between 0 and 100")
}

fn sure<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    let fits = |sure| 0.5 < sure && sure < 1.0;
    number(deserializer, fits, "this must be above 0.5 and below 1")
}

fn slip<'de, D: Deserializer<'de>>(deserializer: D) -> Result<f64, D::Error> {
    let fits = |slip| 0.0 < slip && slip < 1.0;
    number(deserializer, fits, "this must be above 0 and below 1")
}

/// A number that fits, or what it must be.
fn number<'de, D: Deserializer<'de>>(
    deserializer: D,
    fits: impl Fn(f64) -> bool,
    otherwise: &str,
) -> Result<f64, D::Error> {
    let number = f64::deserialize(deserializer)?;
    if fits(number) {
        Ok(number)
    } else {
        Err(D::Error::custom(otherwise))
    }
}

#[cfg(test)]
mod tests;
