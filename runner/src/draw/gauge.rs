//! A round gauge of the gauge set: dial, pointer, and the value in words below.
//!
//! A dial shows what the instrument can show, [`Tool::spec`]: the low side goes below the air's pressure,
//! and the upper part of its scale is drawn together. Numbers on it are in the units the terminal tells a
//! pressure in. It has no scale of saturation temperatures, since the terminal's gauges have none.

use scenarios::units::{UnitSystem, format_gauge_pressure};
use sim_core::instruments::{Gauge, Named, Tool, Value};

use crate::chart::svg::{Anchor, Place as At, Svg, number};
use crate::show;

const SIZE_PX: At = (240.0, 306.0);
const MIDDLE: At = (120.0, 116.0);
const RIM_PX: f64 = 108.0;
const TICKS_PX: f64 = 100.0;
const NUMBERS_PX: f64 = 73.0;
/// The pointer's angle at either end of the scale, degrees clockwise from straight up.
const END_DEGREES: f64 = 135.0;
/// Share of the sweep that is left for the part of a scale that is drawn together.
const RETARDED_SHARE: f64 = 0.14;
/// Steps between numbers that a dial may have, in the units shown; the first that leaves few enough is taken.
const STEPS: [f64; 7] = [10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];
/// Most steps between numbers: on the whole scale, and on the part drawn together.
const MOST_STEPS: f64 = 8.0;
const MOST_RETARDED_STEPS: f64 = 2.0;
/// NIST SP 811 (2008), appendix B.8.
const INCH_OF_MERCURY_PA: f64 = 3386.389;
/// Small steps between two numbers.
const BETWEEN: f64 = 5.0;

/// The dial's instrument.
fn tool(side: Gauge) -> Tool {
    match side {
        Gauge::Low => Tool::LowGauge,
        Gauge::High => Tool::HighGauge,
    }
}

/// Where the pointer stands at a gauge pressure, degrees clockwise from straight up. It stops at both ends
/// of the scale.
///
/// ```
/// use runner::draw::gauge::angle_degrees;
/// use sim_core::instruments::Gauge;
/// assert_eq!(angle_degrees(Gauge::High, 0.0), -135.0);
/// assert_eq!(angle_degrees(Gauge::High, 9e6), 135.0);
/// ```
#[must_use]
pub fn angle_degrees(side: Gauge, gauge_pa: f64) -> f64 {
    let spec = tool(side).spec();
    let pa = gauge_pa.clamp(spec.least, spec.most);
    let (bend, bend_share) = match spec.retarded {
        Some(part) => (part.from, 1.0 - RETARDED_SHARE),
        None => (spec.most, 1.0),
    };
    let share = if pa <= bend {
        bend_share * (pa - spec.least) / (bend - spec.least)
    } else {
        bend_share + (1.0 - bend_share) * (pa - bend) / (spec.most - bend)
    };
    END_DEGREES * (2.0 * share - 1.0)
}

/// What a dial shows.
#[derive(Clone, Copy, Debug, Default)]
pub struct Pointed<'a> {
    /// The value; nothing where it has not been read.
    pub value: Option<&'a Value>,
    /// Where the pointer comes from, for those who want things to move.
    pub from: Option<&'a Value>,
    /// It was seen to go to and fro between the two.
    pub swung: bool,
    /// Something was done since it was read: it stands elsewhere by now.
    pub is_old: bool,
}

impl Pointed<'_> {
    fn told(&self, system: UnitSystem) -> String {
        let told = self.value.map(|value| show::value(value, system));
        let told = told.unwrap_or_else(|| "not read".to_owned());
        let Some(from) = self.from.filter(|_| self.swung) else {
            return told;
        };
        let least = show::value(from, system);
        // Of two values in one unit it is told once.
        let least = match (least.split_once(' '), told.split_once(' ')) {
            (Some((number, unit)), Some((_, same))) if unit == same => number.to_owned(),
            _ => least,
        };
        format!("{least} to {told}")
    }
}

/// A gauge with what it shows and how the car was set up then.
#[must_use]
pub fn gauge(side: Gauge, pointed: Pointed<'_>, system: UnitSystem, conditions: &str) -> String {
    let Pointed { value, from, .. } = pointed;
    let told = pointed.told(system);
    let heard = format!("{} gauge: {told}; {conditions}", side.name());
    let class = match side {
        Gauge::Low => "draw gauge low-gauge",
        Gauge::High => "draw gauge high-gauge",
    };
    let mut page = Svg::in_page(class, SIZE_PX, "img", &heard);
    page.circle("rim", MIDDLE, RIM_PX);
    let scale = Scale::of(side, system);
    let degrees = |value: f64| angle_degrees(side, value * unit_pa(system));
    for value in scale.marks() {
        mark(&mut page, "tick", degrees(value), 6.0);
    }
    for value in scale.numbers() {
        mark(&mut page, "tick long", degrees(value), 11.0);
    }
    let (head, unit) = match side {
        Gauge::Low if system == UnitSystem::Us => ("LOW SIDE", "psig, inHg below 0".to_owned()),
        Gauge::Low => ("LOW SIDE", unit(system)),
        Gauge::High => ("HIGH SIDE", unit(system)),
    };
    page.text("head", (MIDDLE.0, MIDDLE.1 + 70.0), Anchor::Middle, head);
    page.text("small", (MIDDLE.0, MIDDLE.1 + 86.0), Anchor::Middle, &unit);
    if let Some(degrees) = value.and_then(|value| pointed_at(side, value)) {
        // What is over moves no more.
        let from = from.filter(|_| !pointed.is_old);
        let from = from.and_then(|value| pointed_at(side, value));
        let mut class = from.map_or("pointer".to_owned(), |from| {
            format!(
                "pointer swings from-{} to-{}",
                mark_of(from),
                mark_of(degrees)
            )
        });
        if pointed.is_old {
            class.push_str(" old");
        } else if pointed.swung {
            class.push_str(" to-and-fro");
        }
        turned(&mut page, &class, degrees, |page| {
            let (x, y) = MIDDLE;
            let tip = [(x - 4.0, y + 20.0), (x, y - 92.0), (x + 4.0, y + 20.0)];
            page.path("needle", &tip, true);
        });
        page.circle("solid", MIDDLE, 7.0);
    }
    // Over the pointer, so that it hides none.
    for value in scale.numbers() {
        name(&mut page, degrees(value), &scale.label(value));
    }
    // Two values take more room than one.
    let class = if pointed.swung { "value two" } else { "value" };
    page.text(class, (MIDDLE.0, 240.0), Anchor::Middle, &told);
    for (line, y) in textwrap::wrap(conditions, SHORT_LETTERS)
        .iter()
        .zip(CONDITIONS_PX)
    {
        page.text("small", (MIDDLE.0, y), Anchor::Middle, line);
    }
    page.finish()
}

/// Where a value moves the pointer; a sentence moves none.
fn pointed_at(side: Gauge, value: &Value) -> Option<f64> {
    match value {
        Value::Number { shown, .. } => Some(angle_degrees(side, *shown)),
        Value::OutOfRange(above) => Some(if *above { END_DEGREES } else { -END_DEGREES }),
        Value::Finding { .. } => None,
    }
}

/// An angle in whole degrees from the lower end of the scale: what a class of the style sheet is called by.
fn mark_of(degrees: f64) -> i64 {
    libm::round(degrees + END_DEGREES) as i64
}

/// The rest of the style sheet: angles that a pointer comes from and goes to. A page that allows no style of an
/// element's own can tell them by class alone.
#[must_use]
pub fn swings() -> String {
    let last = libm::round(2.0 * END_DEGREES) as i64;
    let angle = |mark: i64| mark as f64 - END_DEGREES;
    let line = |mark| {
        let degrees = number(angle(mark));
        format!(".from-{mark}{{--from:{degrees}deg}}.to-{mark}{{--to:{degrees}deg}}\n")
    };
    (0..=last).map(line).collect()
}

/// Letters of the conditions in a line below a dial.
const SHORT_LETTERS: usize = 36;
/// Their lines, px from the top: the longest conditions there are take three.
const CONDITIONS_PX: [f64; 3] = [264.0, 280.0, 296.0];

/// What a pressure's number is followed by.
fn unit(system: UnitSystem) -> String {
    let zero = format_gauge_pressure(0.0, system, 0);
    let unit = zero.split_once(' ').map_or("", |(_, unit)| unit);
    unit.to_owned()
}

/// The pressure that is one unit on the dial, Pa.
fn unit_pa(system: UnitSystem) -> f64 {
    match system {
        UnitSystem::Si => 1e3,
        // NIST SP 811 (2008), appendix B.8.
        UnitSystem::Us => 6894.757,
    }
}

/// Marks and numbers of a dial, in its unit.
struct Scale {
    /// Ends of what the dial shows, and where the part drawn together begins.
    least: f64,
    bend: f64,
    most: f64,
    /// Steps between numbers on either part.
    step: f64,
    together: f64,
    /// What the dial counts in below the pressure of the air where it is another unit: that unit in the dial's own, and
    /// the number that is written.
    below: Option<(f64, f64)>,
}

impl Scale {
    fn of(side: Gauge, system: UnitSystem) -> Self {
        let spec = tool(side).spec();
        let one_pa = unit_pa(system);
        let bend = spec.retarded.map_or(spec.most, |part| part.from);
        let (least, bend, most) = (spec.least / one_pa, bend / one_pa, spec.most / one_pa);
        Self {
            least,
            bend,
            most,
            step: step(bend - least, MOST_STEPS),
            together: step(most - bend, MOST_RETARDED_STEPS),
            below: (system == UnitSystem::Us).then_some((INCH_OF_MERCURY_PA / one_pa, 20.0)),
        }
    }

    fn numbers(&self) -> Vec<f64> {
        // Below the pressure of the air there is room for one number: half a step, or a round one of mercury.
        let vacuum = self
            .below
            .map_or(-0.5 * self.step, |(one, inches)| -inches * one);
        let vacuum = Some(vacuum).filter(|vacuum| self.least <= *vacuum);
        let mut numbers: Vec<f64> = vacuum.into_iter().collect();
        numbers.extend(multiples(self.step, self.least, self.bend));
        if self.bend < self.most {
            // Its first number would run into the last one before it.
            let from = self.bend + 0.5 * self.together;
            numbers.extend(multiples(self.together, from, self.most));
        }
        numbers
    }

    fn label(&self, value: f64) -> String {
        let shown = match self.below {
            Some((one, _)) if value < 0.0 => -value / one,
            _ => value,
        };
        format!("{}", libm::round(shown) as i64)
    }

    fn marks(&self) -> Vec<f64> {
        let mut marks = vec![self.least, self.most];
        marks.extend(multiples(self.step / BETWEEN, self.least, self.bend));
        marks.extend(multiples(self.together / BETWEEN, self.bend, self.most));
        marks
    }
}

fn step(span: f64, most: f64) -> f64 {
    let fitting = STEPS.into_iter().find(|step| span / step <= most);
    fitting.unwrap_or(span)
}

/// Whole multiples of a step from one number to another.
fn multiples(step: f64, from: f64, to: f64) -> impl Iterator<Item = f64> {
    let first = libm::ceil(from / step - 1e-9) as i64;
    let last = libm::floor(to / step + 1e-9) as i64;
    (first..=last).map(move |count| count as f64 * step)
}

/// A mark at an angle, so long.
fn mark(page: &mut Svg, class: &str, degrees: f64, length_px: f64) {
    turned(page, "mark", degrees, |page| {
        let (x, y) = MIDDLE;
        page.line(class, (x, y - TICKS_PX), (x, y - TICKS_PX + length_px));
    });
}

/// A number inside its mark.
fn name(page: &mut Svg, degrees: f64, words: &str) {
    let turn = degrees.to_radians();
    let at = (
        MIDDLE.0 + NUMBERS_PX * libm::sin(turn),
        MIDDLE.1 - NUMBERS_PX * libm::cos(turn),
    );
    page.text("dial", at, Anchor::Middle, words);
}

/// What `draw` draws, turned about the middle.
fn turned(page: &mut Svg, class: &str, degrees: f64, draw: impl FnOnce(&mut Svg)) {
    let (x, y) = (number(MIDDLE.0), number(MIDDLE.1));
    let turn = format!("rotate({} {x} {y})", number(degrees));
    page.inside("g", &[("class", class), ("transform", &turn)], draw);
}
