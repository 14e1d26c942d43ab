//! A number asked for: its formula, the ranges of its inputs, its tolerance.

use std::collections::BTreeMap;

use super::Written;
use crate::Problem;
use crate::fault::unknown;
use crate::quantity::{Dimension, parse_as};
use crate::question::deal::corners;
use crate::question::formula::{Drawn, Formula, Refrigerant};
use crate::question::{Numeric, Shown, Tolerance};

/// Widest tolerance as a share: beyond it a guess is right.
const WIDEST_SHARE: f64 = 0.2;

impl Written {
    pub(super) fn number(&self, problems: &mut Vec<Problem>) -> Option<Numeric> {
        let Some(name) = &self.formula else {
            problems.push(Problem::new("this must name its `formula`").at(self.id.span()));
            return None;
        };
        let Some(formula) = Formula::by_name(name.get_ref()) else {
            let names = Formula::all().map(|formula| formula.name);
            problems.push(unknown("formula", name, names));
            return None;
        };
        let Some(written) = &self.tolerance else {
            problems.push(Problem::new("this must say its `tolerance`").at(self.id.span()));
            return None;
        };
        match tolerance(written.get_ref(), formula.answer) {
            Ok(tolerance) => self.drawn(formula, tolerance, problems),
            Err(message) => {
                problems.push(Problem::new(message).at(written.span()));
                None
            }
        }
    }

    /// A formula with ranges for all of its inputs, from every corner of which a key can be computed.
    pub(super) fn drawn(
        &self,
        formula: &'static Formula,
        tolerance: Tolerance,
        problems: &mut Vec<Problem>,
    ) -> Option<Numeric> {
        let before = problems.len();
        let mut ranges = BTreeMap::new();
        for (name, range) in &self.inputs {
            let input = formula.inputs.iter().find(|one| one.name == name.get_ref());
            let Some(input) = input else {
                let names = formula.inputs.iter().map(|one| one.name);
                problems.push(unknown("input", name, names));
                continue;
            };
            match read_range(range.get_ref(), input) {
                Ok(range) => drop(ranges.insert(input.name, range)),
                Err(message) => problems.push(Problem::new(message).at(range.span())),
            }
        }
        for input in formula.inputs {
            if !self.inputs.keys().any(|name| name.get_ref() == input.name) {
                let message = format!("`inputs` must say the range of `{}`", input.name);
                problems.push(Problem::new(message).at(self.id.span()));
            }
        }
        let mut refrigerants = Vec::new();
        for name in &self.refrigerants {
            match Refrigerant::by_name(name.get_ref()) {
                Some(refrigerant) => refrigerants.push(refrigerant),
                None => problems.push(unknown(
                    "refrigerant",
                    name,
                    Refrigerant::ALL.iter().map(|one| one.name()),
                )),
            }
        }
        if formula.of_refrigerant == self.refrigerants.is_empty() {
            let message = match formula.of_refrigerant {
                true => "this must list its `refrigerants`",
                false => "this formula is about no refrigerant",
            };
            problems.push(Problem::new(message).at(self.id.span()));
        }
        if problems.len() > before {
            return None;
        }
        let numeric = Numeric {
            formula,
            refrigerants,
            ranges,
            tolerance,
        };
        if corners(&numeric).any(|key| key.is_none()) {
            let message = format!("`{}` has no answer at an end of these ranges", formula.name);
            problems.push(Problem::new(message).at(self.id.span()));
            return None;
        }
        Some(numeric)
    }
}

fn read_range(range: &[String; 2], input: &Drawn) -> Result<(f64, f64), String> {
    let read = |text: &str| match input.shown.dimension {
        Some(dimension) => parse_as(text, dimension).map_err(|error| error.to_string()),
        None => text
            .parse::<f64>()
            .ok()
            .filter(|number| number.is_finite())
            .ok_or_else(|| format!("`{text}` is no number")),
    };
    let (least, most) = (read(&range[0])?, read(&range[1])?);
    if least < most {
        Ok((least, most))
    } else {
        Err("the first number must be less than the second".to_owned())
    }
}

fn tolerance(text: &str, answer: Shown) -> Result<Tolerance, String> {
    let share = |text: &str| parse_as(text, Dimension::Ratio).map_err(|error| error.to_string());
    if answer.dimension != Some(Dimension::Ratio) && text.trim_end().ends_with('%') {
        let share = share(text)?;
        return match share > 0.0 && share <= WIDEST_SHARE {
            true => Ok(Tolerance::Share(share)),
            false => Err("a tolerance is more than 0 % and at most 20 %".to_owned()),
        };
    }
    let off = match answer.dimension {
        // A gauge may be off by a pressure, a thermometer by a difference.
        Some(Dimension::GaugePressure | Dimension::AbsolutePressure) => {
            parse_as(text, Dimension::PressureDifference).map_err(|error| error.to_string())
        }
        Some(Dimension::Temperature) => {
            parse_as(text, Dimension::TemperatureDifference).map_err(|error| error.to_string())
        }
        Some(dimension) => parse_as(text, dimension).map_err(|error| error.to_string()),
        None => text.parse().map_err(|_| format!("`{text}` is no number")),
    }?;
    match off > 0.0 && off.is_finite() {
        true => Ok(Tolerance::Within(off)),
        false => Err("a tolerance is more than nothing".to_owned()),
    }
}
