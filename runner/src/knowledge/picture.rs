//! A question's chart as SVG: the data of the table beside it, as lines with a point for each.

use scenarios::question::{Chart, Cycle, Dealt};

use crate::chart::axis::Axis;
use crate::chart::labels::Labels;
use crate::chart::shown::{Shown, Units};
use crate::chart::svg::{Anchor, Place, Svg};

const PAGE: Place = (860.0, 620.0);
/// Left and right edge of the diagram, top and bottom, px.
const ACROSS: (f64, f64) = (92.0, 820.0);
const DOWN: (f64, f64) = (72.0, 540.0);
/// Pressures of a cycle's diagram, Pa: those of its text.
const CYCLE_PA: (f64, f64) = (150e3, 3500e3);
/// Room a letter takes beside its corner, px.
const LETTER: Place = (16.0, 16.0);

/// The chart of a question that has one, as a page of SVG. It tells no more than the text does.
#[must_use]
pub fn picture(dealt: &Dealt) -> Option<String> {
    let units = Units::of(dealt.units);
    let drawn = match dealt.chart.as_ref()? {
        Chart::Saturation { refrigerant, line } => {
            let name = units.pressure.name;
            // A pound per square inch is counted from the air around here, not from vacuum.
            let name = if name == "psia" { "psig" } else { name };
            let pressure = format!("gauge pressure at sea level, {name}");
            let title = format!("{}: boiling and condensing", refrigerant.name());
            curve(&title, line, &units, (units.pressure, &pressure))
        }
        Chart::HumidAir { line } => {
            let water = Shown {
                per_si: 1e3,
                offset: 0.0,
                name: "g/kg",
            };
            let words = "water in a kilogram of dry air at sea level, g/kg";
            curve("What air can hold", line, &units, (water, words))
        }
        Chart::Cycle {
            refrigerant,
            cycle,
            letters,
            dome,
        } => {
            let title = format!("{}: a cycle", refrigerant.name());
            self::cycle(&title, cycle, letters, dome, &units)
        }
    };
    Some(drawn)
}

/// One edge of a diagram with its lines.
struct Edge {
    axis: Axis,
    fine: Vec<f64>,
    named: Vec<f64>,
    words: String,
}

impl Edge {
    /// An even one that holds values, with round numbers at its ends.
    fn around(values: &[f64], px: (f64, f64), words: String) -> Self {
        let least = values.iter().copied().fold(f64::INFINITY, f64::min);
        let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let step = step_for(most - least);
        let axis = Axis {
            from: libm::floor(least / step) * step,
            to: libm::ceil(most / step) * step,
            from_px: px.0,
            to_px: px.1,
            logarithmic: false,
        };
        Self {
            fine: axis.multiples(step / 5.0),
            named: axis.multiples(step),
            axis,
            words,
        }
    }
}

/// Between named lines, so that there are four to ten of them: 1, 2 or 5 and zeros.
fn step_for(reach: f64) -> f64 {
    let mut step = 1.0;
    for next in [2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0] {
        if reach / step > 10.0 {
            step = next;
        }
    }
    step
}

/// A page with its two edges.
fn page(title: &str, description: &str, x: &Edge, y: &Edge) -> Svg {
    let mut page = Svg::new(PAGE.0, PAGE.1, title, description);
    page.text("title", (ACROSS.0, 34.0), Anchor::Start, title);
    page.group("grid", |page| {
        for (class, across, up) in [("fine", &x.fine, &y.fine), ("grid", &x.named, &y.named)] {
            for value in across {
                let at = x.axis.px(*value);
                page.line(class, (at, DOWN.0), (at, DOWN.1));
            }
            for value in up {
                let at = y.axis.px(*value);
                page.line(class, (ACROSS.0, at), (ACROSS.1, at));
            }
        }
    });
    page.group("across", |page| {
        for value in &x.named {
            let at = (x.axis.px(*value), DOWN.1 + 16.0);
            page.text("", at, Anchor::Middle, &format!("{value:.0}"));
        }
    });
    page.group("up", |page| {
        for value in &y.named {
            let at = (ACROSS.0 - 8.0, y.axis.px(*value));
            page.text("", at, Anchor::End, &format!("{value:.0}"));
        }
    });
    let size = (ACROSS.1 - ACROSS.0, DOWN.1 - DOWN.0);
    page.rect("frame", (ACROSS.0, DOWN.0), size);
    let middle = (0.5 * (ACROSS.0 + ACROSS.1), DOWN.1 + 46.0);
    page.text("head", middle, Anchor::Middle, &x.words);
    let middle = (ACROSS.0 - 62.0, 0.5 * (DOWN.0 + DOWN.1));
    page.upright("head", middle, &y.words);
    page
}

/// A line over temperature, K.
fn curve(title: &str, line: &[(f64, f64)], units: &Units, (shown, words): (Shown, &str)) -> String {
    let values = |of: &dyn Fn(&(f64, f64)) -> f64| line.iter().map(of).collect::<Vec<f64>>();
    let across = values(&|(k, _)| units.temperature.of(*k));
    let up = values(&|(_, value)| shown.of(*value));
    let temperature = format!("temperature, {}", units.temperature.name);
    let x = Edge::around(&across, ACROSS, temperature);
    let y = Edge::around(&up, (DOWN.1, DOWN.0), words.to_owned());
    let description = format!("{words}, over temperature");
    let mut page = page(title, &description, &x, &y);
    let places = across.iter().zip(&up);
    let places: Vec<Place> = places
        .map(|(across, up)| (x.axis.px(*across), y.axis.px(*up)))
        .collect();
    page.path("dome", &places, false);
    page.group("points", |page| {
        for place in &places {
            page.circle("critical", *place, 3.0);
        }
    });
    page.finish()
}

fn cycle(
    title: &str,
    cycle: &Cycle,
    letters: &[usize; 4],
    dome: &[(f64, f64, f64)],
    units: &Units,
) -> String {
    let enthalpy = |si: f64| units.enthalpy.of(si);
    let dome_ends = dome.iter().flat_map(|(_, wet, dry)| [*wet, *dry]);
    let all = dome_ends.chain(cycle.enthalpy_j_per_kg);
    let all: Vec<f64> = all.map(enthalpy).collect();
    let words = format!("enthalpy, {}", units.enthalpy.name);
    let x = Edge::around(&all, ACROSS, words);
    let axis = Axis {
        from: units.pressure.of(CYCLE_PA.0),
        to: units.pressure.of(CYCLE_PA.1),
        from_px: DOWN.1,
        to_px: DOWN.0,
        logarithmic: true,
    };
    let y = Edge {
        fine: axis.round_numbers(&[1., 2., 3., 4., 5., 6., 7., 8., 9.]),
        named: axis.round_numbers(&[1., 2., 5.]),
        axis,
        words: format!("absolute pressure, {}", units.pressure.name),
    };
    let description = "Pressure on a logarithmic scale over enthalpy, with the saturation dome and \
                       the four corners of a cycle.";
    let mut page = page(title, description, &x, &y);
    let place = |pressure_pa: f64, j_per_kg: f64| {
        let up = y.axis.px(units.pressure.of(pressure_pa));
        (x.axis.px(enthalpy(j_per_kg)), up)
    };
    let size = (ACROSS.1 - ACROSS.0, DOWN.1 - DOWN.0);
    page.clipped("dome", (ACROSS.0, DOWN.0), size, |page| {
        let wet: Vec<Place> = dome.iter().map(|(pa, wet, _)| place(*pa, *wet)).collect();
        let dry: Vec<Place> = dome.iter().map(|(pa, _, dry)| place(*pa, *dry)).collect();
        page.path("dome", &wet, false);
        page.path("dome", &dry, false);
    });
    let mut corners: Vec<Place> = cycle
        .pressure_pa
        .iter()
        .zip(cycle.enthalpy_j_per_kg)
        .map(|(pressure_pa, j_per_kg)| place(*pressure_pa, j_per_kg))
        .collect();
    let middle = corners.iter().fold((0.0, 0.0), |sum, at| {
        (sum.0 + 0.25 * at.0, sum.1 + 0.25 * at.1)
    });
    let mut marks: Vec<(usize, Place)> = letters
        .iter()
        .copied()
        .zip(corners.iter().copied())
        .collect();
    // In the order of the letters: that of the flow would tell which is which.
    marks.sort_by_key(|(letter, _)| *letter);
    let first = letters.iter().position(|letter| *letter == 0);
    corners.rotate_left(first.unwrap_or(0));
    page.path("car", &corners, true);
    page.group("points", |page| {
        for (_, at) in &marks {
            page.circle("car-mark", *at, 4.5);
        }
    });
    let mut labels = Labels::default();
    if let Some(first) = corners.first().copied() {
        labels.take_line(&[corners.as_slice(), &[first]].concat());
    }
    page.group("letters", |page| {
        for (letter, at) in &marks {
            let letter = char::from(b"ABCD"[letter % 4]).to_string();
            let beside = labels.beside(*at, LETTER, middle);
            page.text("car-text", beside, Anchor::Middle, &letter);
        }
    });
    page.finish()
}
