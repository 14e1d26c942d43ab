//! One instrument left at one place for a whole run.

use sim_core::car::Car;
use sim_core::instruments::{
    Check, Impossible, Probe, Tool, Truth, Unit, Value, Watch, every_check, read, truth,
};
use sim_core::random::Draws;

use crate::record::Cell;

/// One instrument left at one place for a whole run.
///
/// Its tip lies at the place from the start and follows with the instrument's lag. Each row is a
/// reading of its own, as in practice: [`read`] draws the whole error afresh, so the error of a
/// column is noise without a part that stays. A real gauge is off by much the same all day; the
/// mean of many rows is therefore better here than on a car. What is true is what the tip would
/// come to: a clamp's is the pipe with its share of the air around, as [`truth`] has it.
#[derive(Clone, Debug)]
pub struct Channel {
    check: Check,
    tool: Tool,
    tip: Option<Probe>,
}

impl Channel {
    /// Every instrument that shows a number, at every place this car has.
    #[must_use]
    pub fn all(car: &Car) -> Vec<Self> {
        let absent = |check| matches!(look(car, check), Err(Impossible::NoSuchPlace { .. }));
        every_check()
            .into_iter()
            .filter(|check| !absent(*check))
            .filter_map(|check| {
                let mut channel = Self {
                    check,
                    tool: check.tool()?,
                    tip: None,
                };
                channel.follow(car, 0.0);
                Some(channel)
            })
            .collect()
    }

    /// The column's name without `_true` or `_read`, such as `line_temperature_liquid_line_k`.
    ///
    /// It is the check's own name, so that a new check has its columns with no line here.
    #[must_use]
    pub fn name(&self) -> String {
        let unit = match self.tool.spec().unit {
            Unit::GaugePressure | Unit::AbsolutePressure => "pa",
            Unit::Temperature => "k",
            Unit::RelativeHumidity | Unit::Share => "share",
            Unit::AirSpeed => "m_per_s",
            Unit::Resistance => "ohm",
            Unit::Voltage => "v",
            Unit::Current => "a",
            Unit::Length => "m",
            Unit::Turning => "turns_per_s",
            Unit::Force => "n",
            Unit::Mass => "kg",
        };
        format!("{}_{unit}", snake(&format!("{:?}", self.check)))
    }

    /// Lets the tip follow the car for a step, or lie aside where nothing can be measured.
    pub fn follow(&mut self, car: &Car, step_s: f64) {
        match (look(car, self.check), &mut self.tip) {
            (Ok(Truth::Number(value)), Some(tip)) => tip.follow(value, step_s),
            (Ok(Truth::Number(value)), tip) => {
                *tip = Some(Probe::new(value, self.tool.spec().lag_s));
            }
            (_, tip) => *tip = None,
        }
    }

    /// What is true now and what the instrument shows.
    pub fn cells(&self, car: &Car, draws: &mut Draws) -> [Cell; 2] {
        let (Ok(Truth::Number(now)), Some(tip)) = (look(car, self.check), self.tip) else {
            return [Cell::Empty, Cell::Empty];
        };
        let shown = match read(self.check, Truth::Number(tip.value()), draws).value {
            Value::Number { shown, .. } => Cell::number(shown),
            Value::OutOfRange(_) | Value::Finding { .. } => Cell::Empty,
        };
        [Cell::number(now), shown]
    }
}

fn look(car: &Car, check: Check) -> Result<Truth, Impossible> {
    truth(car, check, Watch::default())
}

/// `LineTemperature(LiquidLine)` as `line_temperature_liquid_line`.
fn snake(name: &str) -> String {
    let mut snake = String::with_capacity(name.len() + 8);
    for letter in name.chars() {
        if letter.is_ascii_uppercase() || letter == '(' {
            if !snake.is_empty() && !snake.ends_with('_') {
                snake.push('_');
            }
            if letter == '(' {
                continue;
            }
        }
        if letter.is_ascii_alphanumeric() {
            snake.push(letter.to_ascii_lowercase());
        }
    }
    snake
}

#[cfg(test)]
mod tests {
    use super::*;
    use sim_core::instruments::Line;

    #[test]
    fn names_are_those_of_the_checks() {
        let name = |check: Check| snake(&format!("{check:?}"));
        assert_eq!(name(Check::LowGauge), "low_gauge");
        assert_eq!(
            name(Check::LineTemperature(Line::LiquidLine)),
            "line_temperature_liquid_line"
        );
    }

    #[test]
    fn no_two_checks_share_a_name() {
        let mut names: Vec<String> = every_check()
            .into_iter()
            .map(|check| snake(&format!("{check:?}")))
            .collect();
        let count = names.len();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), count);
    }
}
