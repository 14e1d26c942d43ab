//! Lines of a refrigerant's equation of state: the dome, and constant temperature, entropy and quality.

use sim_core::fluid::{Equation, Input, Phase, Saturated, State};

/// Points of a line: specific enthalpy, J/kg, and absolute pressure, Pa.
pub type Line = Vec<(f64, f64)>;

/// Pressures a chart goes from and to, Pa absolute.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Lowest.
    pub low_pa: f64,
    /// Highest.
    pub high_pa: f64,
}

/// Points of a line in one phase.
const POINTS: usize = 100;

impl Span {
    /// Pressures from low to high, evenly in their logarithm, that lie between two.
    fn pressures(self, from_pa: f64, to_pa: f64) -> Vec<f64> {
        let (from, to) = (from_pa.max(self.low_pa), to_pa.min(self.high_pa));
        if from >= to {
            return Vec::new();
        }
        let ratio = libm::log(to / from);
        (0..=POINTS)
            .map(|index| match index {
                0 => from,
                POINTS => to,
                _ => from * libm::exp(ratio * index as f64 / POINTS as f64),
            })
            .collect()
    }
}

/// The critical point: its temperature, K, with enthalpy and pressure.
#[must_use]
pub fn critical(equation: &Equation) -> (f64, (f64, f64)) {
    let published = equation.coefficients();
    let state = equation.properties(
        published.critical_temperature_k,
        published.critical_density_kg_per_m3,
    );
    (
        published.critical_temperature_k,
        (state.enthalpy_j_per_kg, published.critical_pressure_pa),
    )
}

/// Saturation from a pressure to the critical point, coldest first, close together where the dome bends.
#[must_use]
pub fn saturation(equation: &Equation, low_pa: f64) -> Vec<Saturated> {
    let (critical_k, _) = critical(equation);
    let coldest_k = equation
        .saturation_at_pressure(low_pa)
        .map_or(equation.coefficients().temperature_min_k, |cold| {
            cold.temperature_k
        });
    let count = 3 * POINTS;
    (0..count)
        .filter_map(|index| {
            let left = (count - index) as f64 / count as f64;
            let temperature_k = critical_k - (critical_k - coldest_k) * left * left;
            equation.saturation_at_temperature(temperature_k).ok()
        })
        .collect()
}

/// Both saturation lines as one: up the liquid's, over the critical point, down the vapour's.
#[must_use]
pub fn dome(equation: &Equation, saturation: &[Saturated]) -> Line {
    let liquid = saturation
        .iter()
        .map(|at| (at.liquid.enthalpy_j_per_kg, at.pressure_pa));
    let vapour = saturation
        .iter()
        .rev()
        .map(|at| (at.vapour.enthalpy_j_per_kg, at.pressure_pa));
    let (_, top) = critical(equation);
    liquid.chain([top]).chain(vapour).collect()
}

/// A line of constant quality, from cold to close below the critical point.
#[must_use]
pub fn quality(saturation: &[Saturated], share: f64) -> Line {
    saturation
        .iter()
        .map(|at| {
            let (liquid, vapour) = (at.liquid.enthalpy_j_per_kg, at.vapour.enthalpy_j_per_kg);
            (liquid + share * (vapour - liquid), at.pressure_pa)
        })
        .collect()
}

/// A line of constant temperature, from high pressure to low.
#[must_use]
pub fn isotherm(equation: &Equation, temperature_k: f64, span: Span) -> Line {
    let state = |pressure_pa: f64| {
        equation
            .state(
                Input::Pressure(pressure_pa),
                Input::Temperature(temperature_k),
            )
            .ok()
            .map(|state| (state.enthalpy_j_per_kg, pressure_pa))
    };
    match equation.saturation_at_temperature(temperature_k) {
        Err(_) => {
            let mut pressures = span.pressures(span.low_pa, span.high_pa);
            pressures.reverse();
            pressures.into_iter().filter_map(state).collect()
        }
        Ok(boiling) => {
            let at = boiling.pressure_pa;
            // On the line itself a pressure does not say how much is vapour: stay off it.
            let mut liquid = span.pressures(at * 1.000_01, span.high_pa);
            // Close to the critical point vapour bends sharply where it leaves the dome.
            let bend = (0.85 * at).max(span.low_pa);
            let mut vapour = span.pressures(span.low_pa, bend);
            vapour.extend(span.pressures(bend, at * 0.999_99));
            liquid.reverse();
            vapour.reverse();
            let mut line: Line = liquid.into_iter().filter_map(state).collect();
            if at >= span.low_pa {
                line.push((boiling.liquid.enthalpy_j_per_kg, at));
                line.push((boiling.vapour.enthalpy_j_per_kg, at));
            }
            line.extend(vapour.into_iter().filter_map(state));
            line
        }
    }
}

/// A line of constant entropy in the vapour, from low pressure to high; in pieces where it dips
/// into the dome, as those of R-1234yf do.
#[must_use]
pub fn isentrope(equation: &Equation, entropy_j_per_kg_k: f64, span: Span) -> Vec<Line> {
    let (_, (critical_j_per_kg, _)) = critical(equation);
    let state = |pressure_pa: f64| {
        equation
            .state(
                Input::Pressure(pressure_pa),
                Input::Entropy(entropy_j_per_kg_k),
            )
            .ok()
            .filter(|state| is_vapour(state, critical_j_per_kg))
            .map(|state| (state.enthalpy_j_per_kg, pressure_pa))
    };
    let mut lines = Vec::new();
    let mut line = Line::new();
    let mut before: Option<f64> = None;
    for pressure_pa in span.pressures(span.low_pa, span.high_pa) {
        let here = state(pressure_pa);
        if let Some(before_pa) = before {
            let was = !line.is_empty();
            if was != here.is_some() {
                line.extend(edge(&state, before_pa, pressure_pa, was));
            }
        }
        match here {
            Some(point) => line.push(point),
            None if !line.is_empty() => lines.push(std::mem::take(&mut line)),
            None => {}
        }
        before = Some(pressure_pa);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

fn is_vapour(state: &State, critical_j_per_kg: f64) -> bool {
    match state.phase {
        Phase::Vapour => true,
        Phase::Supercritical => state.enthalpy_j_per_kg > critical_j_per_kg,
        Phase::Liquid | Phase::TwoPhase => false,
    }
}

/// The last point in the vapour between a pressure on one side of the dome's edge and one on the other.
fn edge(
    state: &impl Fn(f64) -> Option<(f64, f64)>,
    from_pa: f64,
    to_pa: f64,
    vapour_first: bool,
) -> Option<(f64, f64)> {
    let (mut low, mut high) = (from_pa, to_pa);
    for _ in 0..24 {
        let middle = (low * high).sqrt();
        if state(middle).is_some() == vapour_first {
            low = middle;
        } else {
            high = middle;
        }
    }
    state(if vapour_first { low } else { high })
}
