//! A read-out: what an instrument shows, and how the car was set up then.

use scenarios::units::UnitSystem;
use sim_core::instruments::Value;

use crate::chart::svg::{Anchor, Svg, text_width};
use crate::show;

const WIDTH_PX: f64 = 320.0;
const EDGE_PX: f64 = 12.0;
/// Letters of the name and the conditions, of a number, and of a finding's sentence, px: with `draw.css`
/// in step.
const SMALL_PX: f64 = 12.0;
const NUMBER_PX: f64 = 30.0;
const SENTENCE_PX: f64 = 16.0;

/// A value as the terminal tells it, under its name and above the conditions it was read in.
///
/// ```
/// use runner::draw::readout::readout;
/// use scenarios::units::UnitSystem;
/// use sim_core::instruments::{Unit, Value};
/// let cold = Value::Number { shown: 279.75, error: 0.5, unit: Unit::Temperature };
/// let shown = readout("air temperature at the centre vent", &cold, UnitSystem::Si, "1500 rpm");
/// assert!(shown.contains(">6.6 °C</text>"));
/// ```
#[must_use]
pub fn readout(name: &str, value: &Value, system: UnitSystem, conditions: &str) -> String {
    let told = show::value(value, system);
    let (class, letters_px) = match value {
        Value::Number { .. } => ("number", NUMBER_PX),
        Value::OutOfRange(_) | Value::Finding { .. } => ("sentence", SENTENCE_PX),
    };
    let blocks = [
        ("label", SMALL_PX, lines(name, SMALL_PX)),
        (class, letters_px, lines(&told, letters_px)),
        ("small", SMALL_PX, lines(conditions, SMALL_PX)),
    ];
    let heights = blocks
        .iter()
        .map(|(_, px, lines)| 1.3 * px * lines.len() as f64);
    let height = 2.0 * EDGE_PX + heights.sum::<f64>();
    let heard = format!("{name}: {told}; {conditions}");
    let mut page = Svg::in_page("draw readout", (WIDTH_PX, height), "img", &heard);
    page.rounded("body", (1.0, 1.0), (WIDTH_PX - 2.0, height - 2.0), 6.0);
    let mut y = EDGE_PX;
    for (class, px, lines) in blocks {
        for line in lines {
            page.text(class, (EDGE_PX, y + 0.65 * px), Anchor::Start, &line);
            y += 1.3 * px;
        }
    }
    page.finish()
}

/// A text in lines that fit the box.
fn lines(words: &str, letters_px: f64) -> Vec<String> {
    let fit = libm::floor((WIDTH_PX - 2.0 * EDGE_PX) / text_width("x", letters_px)) as usize;
    textwrap::wrap(words, fit)
        .into_iter()
        .map(|line| line.into_owned())
        .collect()
}
