//! The pressure-enthalpy chart: the dome, the lines of the refrigerant, and the cycles of cars.

use sim_core::fluid::{Equation, Fluid};

use crate::chart::axis::Axis;
use crate::chart::cycle::{Cycle, Stop};
use crate::chart::key;
use crate::chart::labels::Labels;
use crate::chart::lines::{self, Line, Span};
use crate::chart::shown::Units;
use crate::chart::svg::{Anchor, Place, Svg, tag_size, text_width};

/// A chart to draw.
#[derive(Clone, Debug)]
pub struct Chart<'a> {
    /// The refrigerant.
    pub fluid: &'a Fluid,
    /// Whose cycle it is, a line.
    pub car: String,
    /// The day and the controls, a line.
    pub conditions: String,
    /// When its cycle was taken.
    pub taken: String,
    /// What to know before reading them, a line each: where a cycle is still on its way.
    pub notes: Vec<String>,
    /// The car's cycle.
    pub cycle: Cycle,
    /// The same car healthy, where it is to be compared: when, and its cycle.
    pub healthy: Option<(String, Cycle)>,
    /// Units to label it in.
    pub units: Units,
}

const PAGE: Place = (1380.0, 880.0);
/// Left and right edge of the diagram, top and bottom, px.
const LEFT: f64 = 84.0;
const RIGHT: f64 = 936.0;
const TOP: f64 = 116.0;
const BOTTOM: f64 = 804.0;

/// Enthalpies and pressures a diagram shows at least: a car's loop in any weather.
const USUAL_J_PER_KG: f64 = 140e3;
const USUAL_PA: (f64, f64) = (40e3, 5e6);
/// Room to the right of the dome for superheated vapour, J/kg.
const BESIDE_J_PER_KG: f64 = 72e3;
/// Qualities whose lines are drawn; every second one is named.
const QUALITIES: [f64; 9] = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9];

/// Draws the chart.
#[must_use]
pub fn draw(chart: &Chart<'_>) -> String {
    let equation = chart.fluid.equation();
    let plane = Plane::around(chart);
    let name = chart.fluid.name();
    let mut page = Svg::new(
        PAGE.0,
        PAGE.1,
        &format!("{name}: pressure and enthalpy, {}", chart.car),
        "Pressure on a logarithmic scale over specific enthalpy, with the saturation dome, lines of \
         constant temperature, entropy and quality, and the running cycle of the car; the states of \
         the cycle are listed beside it.",
    );
    let title = format!("{name}: pressure and enthalpy");
    page.text("title", (LEFT, 34.0), Anchor::Start, &title);
    page.text("", (LEFT, 60.0), Anchor::Start, &chart.car);
    page.text("soft", (LEFT, 80.0), Anchor::Start, &chart.conditions);
    plane.axes(&mut page);
    let mut labels = plane.taken_by_cycles(chart);
    let numbers = plane.numbers(&chart.cycle, &mut labels);
    plane.refrigerant(&mut page, equation, &mut labels);
    plane.cycles(&mut page, chart, &numbers);
    let corner = (LEFT, TOP);
    page.rect("frame", corner, (RIGHT - LEFT, BOTTOM - TOP));
    key::draw(&mut page, chart, RIGHT + 58.0, TOP - 56.0);
    page.finish()
}

/// The diagram's two axes, in the units shown.
struct Plane {
    x: Axis,
    y: Axis,
    units: Units,
    span: Span,
}

impl Plane {
    /// Wide enough for the dome and for every point of the cycles.
    fn around(chart: &Chart<'_>) -> Self {
        let units = chart.units;
        let cycles = [Some(&chart.cycle), chart.healthy.as_ref().map(|(_, c)| c)];
        let points = cycles.into_iter().flatten().flat_map(|cycle| &cycle.path);
        let (mut low_pa, mut high_pa) = USUAL_PA;
        let dome = lines::saturation(chart.fluid.equation(), low_pa);
        let driest = dome
            .iter()
            .map(|at| at.vapour.enthalpy_j_per_kg)
            .fold(0.0, f64::max);
        let (mut least, mut most) = (USUAL_J_PER_KG, driest + BESIDE_J_PER_KG);
        for (enthalpy, pressure) in points {
            // Refrigerant in a vacuum of its own: the chart ends at a hundredth of a bar.
            low_pa = low_pa.min(0.8 * pressure).max(1e3);
            high_pa = high_pa.max(1.1 * pressure);
            least = least.min(enthalpy - 8e3);
            most = most.max(enthalpy + 8e3);
        }
        let (_, step) = units.enthalpy_steps;
        let outward = |value: f64, to: fn(f64) -> f64| to(units.enthalpy.of(value) / step) * step;
        Self {
            x: Axis {
                from: outward(least, libm::floor),
                to: outward(most, libm::ceil),
                from_px: LEFT,
                to_px: RIGHT,
                logarithmic: false,
            },
            y: Axis {
                from: units.pressure.of(low_pa),
                to: units.pressure.of(high_pa),
                from_px: BOTTOM,
                to_px: TOP,
                logarithmic: true,
            },
            units,
            span: Span { low_pa, high_pa },
        }
    }

    fn place(&self, (enthalpy, pressure): (f64, f64)) -> Place {
        (
            self.x.px(self.units.enthalpy.of(enthalpy)),
            self.y.px(self.units.pressure.of(pressure)),
        )
    }

    fn places(&self, line: &Line) -> Vec<Place> {
        line.iter().map(|point| self.place(*point)).collect()
    }

    fn axes(&self, page: &mut Svg) {
        let (labelled, every) = self.units.enthalpy_steps;
        page.group("grid", |page| {
            for value in self.x.multiples(every) {
                let x = self.x.px(value);
                page.line("fine", (x, TOP), (x, BOTTOM));
            }
            for value in self.y.round_numbers(&[1., 2., 3., 4., 5., 6., 7., 8., 9.]) {
                let y = self.y.px(value);
                page.line("fine", (LEFT, y), (RIGHT, y));
            }
            for value in self.x.multiples(labelled) {
                let x = self.x.px(value);
                page.line("grid", (x, TOP), (x, BOTTOM));
            }
            for value in self.y.round_numbers(&[1., 2., 5.]) {
                let y = self.y.px(value);
                page.line("grid", (LEFT, y), (RIGHT, y));
            }
        });
        page.group("enthalpies", |page| {
            for value in self.x.multiples(labelled) {
                let at = (self.x.px(value), BOTTOM + 16.0);
                page.text("", at, Anchor::Middle, &format!("{value:.0}"));
            }
        });
        page.group("pressures", |page| {
            for value in self.y.round_numbers(&[1., 2., 5.]) {
                let at = (LEFT - 8.0, self.y.px(value));
                page.text("", at, Anchor::End, &format!("{value:.0}"));
            }
        });
        let middle = (0.5 * (LEFT + RIGHT), BOTTOM + 42.0);
        let words = format!("specific enthalpy, {}", self.units.enthalpy.name);
        page.text("head", middle, Anchor::Middle, &words);
        let middle = (LEFT - 58.0, 0.5 * (TOP + BOTTOM));
        let words = match self.units.pressure.name {
            // A pound per square inch says already that it is counted from vacuum.
            "psia" => "absolute pressure, psia".to_owned(),
            name => format!("absolute pressure, {name}"),
        };
        page.upright("head", middle, &words);
    }

    fn refrigerant(&self, page: &mut Svg, equation: &Equation, labels: &mut Labels) {
        let saturation = lines::saturation(equation, self.span.low_pa);
        let isotherms: Vec<(f64, Line)> = self
            .temperatures(equation)
            .into_iter()
            .map(|shown| {
                let kelvin = self.units.temperature.si(shown);
                (shown, lines::isotherm(equation, kelvin, self.span))
            })
            .collect();
        let isentropes: Vec<(f64, Line)> = self
            .entropies()
            .into_iter()
            .flat_map(|shown| {
                let entropy = self.units.entropy.si(shown);
                let pieces = lines::isentrope(equation, entropy, self.span);
                pieces.into_iter().map(move |piece| (shown, piece))
            })
            .collect();
        let size = (RIGHT - LEFT, BOTTOM - TOP);
        page.clipped("lines", (LEFT, TOP), size, |page| {
            for share in QUALITIES {
                let line = lines::quality(&saturation, share);
                page.path("quality", &self.places(&line), false);
            }
            for (_, line) in &isotherms {
                page.path("isotherm", &self.places(line), false);
            }
            for (_, line) in &isentropes {
                page.path("isentrope", &self.places(line), false);
            }
        });
        let dome = self.places(&lines::dome(equation, &saturation));
        page.clipped("dome", (LEFT, TOP), size, |page| {
            page.path("dome", &dome, false);
        });
        let (_, top) = lines::critical(equation);
        page.circle("critical", self.place(top), 3.5);
        labels.take_line(&dome);
        page.group("names", |page| {
            self.name_isotherms(page, &isotherms, labels);
            self.name_isentropes(page, &isentropes, labels);
            for share in QUALITIES.into_iter().skip(1).step_by(2) {
                let line = self.places(&lines::quality(&saturation, share));
                let words = format!("x {share:.1}");
                if let Some(at) = crossing(&line, NAMES_PX)
                    && labels.free(at, tag_size(&words))
                {
                    page.tag("quality-text", at, &words);
                }
            }
        });
    }

    /// Temperatures whose lines are drawn, in the unit shown: from the coldest the diagram has
    /// boiling to the end of the equation's range.
    fn temperatures(&self, equation: &Equation) -> Vec<f64> {
        let published = equation.coefficients();
        let shown = self.units.temperature;
        let span = Axis {
            from: shown.of(published.temperature_min_k.max(213.15)),
            to: shown.of(published.temperature_max_k),
            ..self.x
        };
        span.multiples(self.units.temperature_step)
    }

    /// Entropies whose lines are drawn, in the unit shown: all the vapour of the diagram.
    fn entropies(&self) -> Vec<f64> {
        let shown = self.units.entropy;
        let span = Axis {
            from: shown.of(1450.0),
            to: shown.of(2500.0),
            ..self.x
        };
        span.multiples(self.units.entropy_step)
    }

    /// Each once while boiling, close to the liquid, and again where it leaves the diagram below.
    fn name_isotherms(&self, page: &mut Svg, isotherms: &[(f64, Line)], labels: &mut Labels) {
        for (shown, line) in isotherms {
            let places = self.places(line);
            let words = format!("{shown:.0} {}", self.units.temperature.name);
            let size = tag_size(&words);
            let boiling = places
                .windows(2)
                .find(|pair| pair[0].1 == pair[1].1 && pair[1].0 > pair[0].0)
                .filter(|pair| pair[0].1 < NAMES_PX - 12.0);
            if let Some([wet, dry]) = boiling {
                let first = wet.0 + 12.0 + 0.5 * size.0;
                let at = (0..)
                    .map(|count| (first + 10.0 * f64::from(count), wet.1))
                    .take_while(|at| at.0 + 0.5 * size.0 < dry.0 - 12.0)
                    .find(|at| labels.free(*at, size));
                if let Some(at) = at {
                    labels.take(at, size);
                    page.tag("isotherm-text", at, &words);
                }
            }
            let words = format!("{shown:.0}");
            let size = tag_size(&words);
            let below = crossing(&places, NAMES_PX).filter(|at| {
                // Liquid leaves on the left, unnamed: there its lines are too close together.
                let in_vapour = boiling.is_none_or(|pair| at.0 > pair[1].0);
                in_vapour && at.0 > LEFT + 0.5 * (RIGHT - LEFT) && at.0 + size.0 < RIGHT
            });
            if let Some(at) = below.filter(|at| labels.free(*at, size)) {
                labels.take(at, size);
                page.tag("isotherm-text", at, &words);
            }
        }
    }

    /// Each where it ends: above the diagram, on its right, or inside.
    fn name_isentropes(&self, page: &mut Svg, isentropes: &[(f64, Line)], labels: &Labels) {
        for (shown, line) in isentropes {
            let words = format!("{shown:.2}");
            let places = self.places(line);
            let beyond = places.windows(2).find(|pair| pair[1].0 > RIGHT);
            if let Some([inside, outside]) = beyond {
                if inside.0 > RIGHT {
                    continue;
                }
                let share = (RIGHT - inside.0) / (outside.0 - inside.0);
                let y = inside.1 + share * (outside.1 - inside.1);
                page.text("isentrope-text", (RIGHT + 5.0, y), Anchor::Start, &words);
            } else if let Some(end) = places.last() {
                // Some end inside, where the equation's range does.
                let above = (end.0, end.1 - 9.0);
                if end.1 < TOP + 18.0 {
                    let at = (end.0, TOP - 9.0);
                    page.text("isentrope-text", at, Anchor::Middle, &words);
                } else if labels.free(above, tag_size(&words))
                    && above.0 + 0.5 * tag_size(&words).0 < RIGHT
                {
                    page.tag("isentrope-text", above, &words);
                }
            }
        }
        let at = (RIGHT, TOP - 25.0);
        let words = format!("entropy, {}", self.units.entropy.name);
        page.text("isentrope-text", at, Anchor::End, &words);
    }

    /// The way round, where refrigerant goes round.
    fn round(&self, page: &mut Svg, class: &str, cycle: &Cycle) {
        if cycle.turning {
            page.path(class, &self.places(&cycle.path), true);
        }
    }

    /// Room that the cycles' lines and markers need.
    fn taken_by_cycles(&self, chart: &Chart<'_>) -> Labels {
        let mut labels = Labels::default();
        let cycles = [Some(&chart.cycle), chart.healthy.as_ref().map(|(_, c)| c)];
        for cycle in cycles.into_iter().flatten() {
            let mut path = self.places(&cycle.path);
            path.extend(path.first().copied());
            labels.take_line(&path);
            for stop in &cycle.stops {
                labels.take(self.stop(stop), (11.0, 11.0));
            }
        }
        labels
    }

    fn stop(&self, stop: &Stop) -> Place {
        self.place((stop.enthalpy_j_per_kg, stop.pressure_pa))
    }

    /// Where the stops of a cycle are numbered, outside it as far as can be.
    fn numbers(&self, cycle: &Cycle, labels: &mut Labels) -> Vec<(Place, String)> {
        let path = self.places(&cycle.path);
        let count = path.len().max(1) as f64;
        let sum = path
            .iter()
            .fold((0.0, 0.0), |sum, at| (sum.0 + at.0, sum.1 + at.1));
        let centre = (sum.0 / count, sum.1 / count);
        cycle
            .stops
            .iter()
            .enumerate()
            .map(|(index, stop)| {
                let words = (index + 1).to_string();
                let size = number_size(&words);
                (labels.beside(self.stop(stop), size, centre), words)
            })
            .collect()
    }

    fn cycles(&self, page: &mut Svg, chart: &Chart<'_>, numbers: &[(Place, String)]) {
        let edge = ((LEFT, TOP), (RIGHT - LEFT, BOTTOM - TOP));
        if let Some((_, cycle)) = &chart.healthy {
            page.clipped("healthy-cycle", edge.0, edge.1, |page| {
                self.round(page, "healthy", cycle);
                for stop in &cycle.stops {
                    page.square("healthy-mark", self.stop(stop), 8.0);
                }
            });
        }
        page.clipped("cycle", edge.0, edge.1, |page| {
            self.round(page, "car", &chart.cycle);
            for stop in &chart.cycle.stops {
                page.circle("car-mark", self.stop(stop), 5.0);
            }
        });
        page.group("numbers", |page| {
            for (at, words) in numbers {
                let size = number_size(words);
                page.rect("paper", (at.0 - 0.5 * size.0, at.1 - 0.5 * size.1), size);
                page.text("car-text", *at, Anchor::Middle, words);
            }
        });
    }
}

/// Width and height of a stop's number, px.
fn number_size(words: &str) -> Place {
    (text_width(words, 13.0) + 3.0, 14.0)
}

/// Height at which lines are named near the lower edge, px.
const NAMES_PX: f64 = BOTTOM - 12.0;

/// Where a line crosses a height on its way.
fn crossing(line: &[Place], y: f64) -> Option<Place> {
    line.windows(2).find_map(|pair| {
        let (from, to) = (pair[0], pair[1]);
        let crosses = (from.1 - y) * (to.1 - y) <= 0.0 && from.1 != to.1;
        crosses.then(|| {
            let share = (y - from.1) / (to.1 - from.1);
            (from.0 + share * (to.0 - from.0), y)
        })
    })
}
