//! Filling the fast table: the equation of state at every node.

use super::axis::PressureAxis;
use super::equation::{Equation, Properties};
use super::phase_grid::{Node, PhaseGrid};
use super::saturation::Saturated;
use super::saturation_line::{Line, LineNode, QUANTITIES};

/// The liquid of the table reaches down to this temperature, or to the coldest of the
/// equation where that is warmer.
const LIQUID_MIN_K: f64 = 165.0;

/// A state at a node with its derivatives in pressure and enthalpy.
struct Slopes {
    temperature: [f64; 3],
    volume: [f64; 3],
    entropy: [f64; 3],
}

/// Value, derivative in pressure at constant enthalpy, derivative in enthalpy.
fn slopes(properties: &Properties) -> Slopes {
    let density = properties.density_kg_per_m3;
    let temperature = properties.temperature_k;
    let volume = 1.0 / density;
    let (p_t, p_d) = (properties.pressure_dt, properties.pressure_drho);
    let (h_t, h_d) = (properties.enthalpy_dt(), properties.enthalpy_drho());
    let determinant = p_t * h_d - p_d * h_t;
    let density_dp = -h_t / determinant;
    let density_dh = p_t / determinant;
    Slopes {
        temperature: [temperature, h_d / determinant, -p_d / determinant],
        volume: [
            volume,
            -volume * volume * density_dp,
            -volume * volume * density_dh,
        ],
        entropy: [
            properties.entropy_j_per_kg_k,
            -volume / temperature,
            1.0 / temperature,
        ],
    }
}

/// How enthalpy changes with pressure along a line on which temperature changes by
/// `temperature_dp`.
fn enthalpy_along(properties: &Properties, temperature_dp: f64) -> f64 {
    let density_dp = (1.0 - properties.pressure_dt * temperature_dp) / properties.pressure_drho;
    properties.enthalpy_dt() * temperature_dp + properties.enthalpy_drho() * density_dp
}

/// One edge of a phase: a saturation line, or the isotherm at the far end.
#[derive(Clone, Copy)]
struct Edge {
    properties: Properties,
    enthalpy_dp: f64,
}

/// Which side of the dome a grid lies on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Side {
    /// Volume itself is tabulated.
    Liquid,
    /// Pressure times volume is tabulated, which hardly changes with pressure.
    Vapour,
}

/// The saturation line and both phases on an axis.
pub(super) fn build(equation: &Equation, axis: &PressureAxis) -> (Line, PhaseGrid, PhaseGrid) {
    let published = equation.coefficients();
    let cold_k = published.temperature_min_k.max(LIQUID_MIN_K);
    let hot_k = published.temperature_max_k;
    let mut line = Vec::with_capacity(axis.nodes());
    let mut liquid = PhaseGrid::with_capacity(Side::Liquid, axis.nodes());
    let mut vapour = PhaseGrid::with_capacity(Side::Vapour, axis.nodes());
    let mut guess_k = equation.guess_temperature_k(axis.pressure_pa(0));
    for node in 0..axis.nodes() {
        let pressure_pa = axis.pressure_pa(node);
        let per_place = 1.0 / axis.slope_per_pa(node);
        let saturated = equation.saturated_at_pressure(pressure_pa, guess_k);
        guess_k = saturated.temperature_k + per_place / saturated.pressure_dt();
        guess_k = guess_k.min(equation.saturation_temperature_max_k());
        let temperature_dp = 1.0 / saturated.pressure_dt();
        let edge = |properties: Properties, temperature_dp: f64| Edge {
            properties,
            enthalpy_dp: enthalpy_along(&properties, temperature_dp),
        };
        let wet = edge(saturated.liquid, temperature_dp);
        let dry = edge(saturated.vapour, temperature_dp);
        let cold = edge(equation.at_pressure_temperature(pressure_pa, cold_k), 0.0);
        let hot = edge(equation.at_pressure_temperature(pressure_pa, hot_k), 0.0);
        fill(equation, &mut liquid, pressure_pa, per_place, wet, cold);
        fill(equation, &mut vapour, pressure_pa, per_place, dry, hot);
        line.push(line_node(
            &saturated,
            pressure_pa,
            per_place,
            [wet, dry, cold, hot],
        ));
    }
    liquid.finish();
    vapour.finish();
    (Line::new(line), liquid, vapour)
}

fn line_node(
    saturated: &Saturated,
    pressure_pa: f64,
    per_place: f64,
    edges: [Edge; 4],
) -> LineNode {
    let [wet, dry, cold, hot] = edges;
    let temperature_dp = 1.0 / saturated.pressure_dt();
    // A property's value and its derivative along the line.
    let along =
        |edge: &Edge, values: [f64; 3]| [values[0], values[1] + values[2] * edge.enthalpy_dp];
    let (liquid, vapour) = (slopes(&wet.properties), slopes(&dry.properties));
    let dry_volume = along(&dry, vapour.volume);
    let pairs: [[f64; 2]; QUANTITIES] = [
        [saturated.temperature_k, temperature_dp],
        [wet.properties.enthalpy_j_per_kg, wet.enthalpy_dp],
        [dry.properties.enthalpy_j_per_kg, dry.enthalpy_dp],
        along(&wet, liquid.volume),
        [
            pressure_pa * dry_volume[0],
            dry_volume[0] + pressure_pa * dry_volume[1],
        ],
        along(&wet, liquid.entropy),
        along(&dry, vapour.entropy),
        [cold.properties.enthalpy_j_per_kg, cold.enthalpy_dp],
        [hot.properties.enthalpy_j_per_kg, hot.enthalpy_dp],
    ];
    pairs.map(|[value, slope]| [value, slope * per_place])
}

/// One row of a phase: the nodes at one pressure, from the saturation line outward.
fn fill(
    equation: &Equation,
    grid: &mut PhaseGrid,
    pressure_pa: f64,
    per_place: f64,
    near: Edge,
    far: Edge,
) {
    let start = near.properties.enthalpy_j_per_kg;
    let span = far.properties.enthalpy_j_per_kg - start;
    let span_dp = far.enthalpy_dp - near.enthalpy_dp;
    let mut here = near.properties;
    for outward in grid.places() {
        let enthalpy = start + outward * span;
        if outward == 1.0 {
            here = far.properties;
        } else if outward > 0.0 {
            here = at_pressure_enthalpy(equation, here, pressure_pa, enthalpy);
        }
        let at = slopes(&here);
        let enthalpy_dp = near.enthalpy_dp + outward * span_dp;
        let entry = |[value, dp, dh]: [f64; 3]| {
            [value, dh * span, (dp + dh * enthalpy_dp) * per_place, 0.0]
        };
        let volume = match grid.side() {
            Side::Liquid => at.volume,
            Side::Vapour => [
                pressure_pa * at.volume[0],
                at.volume[0] + pressure_pa * at.volume[1],
                pressure_pa * at.volume[2],
            ],
        };
        let node: Node = [entry(at.temperature), entry(volume), entry(at.entropy)];
        grid.push(node);
    }
}

/// The single-phase state at a pressure and enthalpy by Newton's iteration from a
/// neighbour on the same isobar.
fn at_pressure_enthalpy(
    equation: &Equation,
    from: Properties,
    pressure_pa: f64,
    enthalpy: f64,
) -> Properties {
    let mut here = from;
    for _ in 0..12 {
        let (p_t, p_d) = (here.pressure_dt, here.pressure_drho);
        let (h_t, h_d) = (here.enthalpy_dt(), here.enthalpy_drho());
        let determinant = p_t * h_d - p_d * h_t;
        let p_miss = pressure_pa - here.pressure_pa;
        let h_miss = enthalpy - here.enthalpy_j_per_kg;
        let temperature_step = (h_d * p_miss - p_d * h_miss) / determinant;
        let density_step = (p_t * h_miss - h_t * p_miss) / determinant;
        // Far below one in relation to the values, so that density stays positive.
        let ratio = (temperature_step / here.temperature_k).abs()
            + (density_step / here.density_kg_per_m3).abs();
        let scale = if ratio > 0.2 { 0.2 / ratio } else { 1.0 };
        here = equation.properties(
            here.temperature_k + scale * temperature_step,
            here.density_kg_per_m3 + scale * density_step,
        );
        if ratio < 1e-6 {
            break;
        }
    }
    here
}
