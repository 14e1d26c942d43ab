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
const POINTS: usize = 60;

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

/// A line of constant temperature, from high pressure to low; empty where the equation does not reach.
#[must_use]
pub fn isotherm(equation: &Equation, temperature_k: f64, span: Span) -> Line {
    let density = |pressure_pa: f64| {
        equation
            .state(
                Input::Pressure(pressure_pa),
                Input::Temperature(temperature_k),
            )
            .ok()
            .map(|state| state.density_kg_per_m3)
    };
    let (Some(high), Some(low)) = (density(span.high_pa), density(span.low_pa)) else {
        return Line::new();
    };
    let one_phase = |from, to| along(equation, temperature_k, from, to);
    match equation.saturation_at_temperature(temperature_k) {
        Ok(boiling) if boiling.pressure_pa > span.low_pa && boiling.pressure_pa < span.high_pa => {
            let mut line = one_phase(high, boiling.liquid.density_kg_per_m3);
            // Both ends at one pressure to the last bit, so that the line between them is level.
            if let Some(last) = line.last_mut() {
                last.1 = boiling.pressure_pa;
            }
            let mut vapour = one_phase(boiling.vapour.density_kg_per_m3, low);
            if let Some(first) = vapour.first_mut() {
                first.1 = boiling.pressure_pa;
            }
            line.append(&mut vapour);
            line
        }
        _ => one_phase(high, low),
    }
}

/// States of one temperature between two densities, evenly in their logarithm: near the critical
/// point density goes on where pressure all but stands still.
fn along(equation: &Equation, temperature_k: f64, from: f64, to: f64) -> Line {
    let (ratio, count) = (libm::log(to / from), 3 * POINTS);
    (0..=count)
        .map(|index| {
            let density = from * libm::exp(ratio * index as f64 / count as f64);
            let at = equation.properties(temperature_k, density);
            (at.enthalpy_j_per_kg, at.pressure_pa)
        })
        .collect()
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
