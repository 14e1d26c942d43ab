//! Filling the fast table: the equation of state at every node.

use super::axis::PressureAxis;
use super::equation::{Equation, Properties};
use super::near_critical::{NearCritical, boiling, carried};
use super::phase_grid::{Node, PhaseGrid};
use super::saturation_line::{Line, LineNode, QUANTITIES};

/// The liquid of the table reaches down to this temperature, or to the coldest of the
/// equation where that is warmer.
const LIQUID_MIN_K: f64 = 165.0;
/// Steps in pressure of the differences for mixed slopes, as a ratio.
const MIXED_STEP: f64 = 1e-4;

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

/// Where a grid lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Side {
    /// Below the dome; volume itself is tabulated.
    Liquid,
    /// Above the dome; pressure times volume is tabulated, which hardly changes with pressure.
    Vapour,
    /// Between the lines, above the seam; volume itself.
    Middle,
}

/// All that the table interpolates.
pub(super) struct Built {
    pub line: Line,
    pub liquid: PhaseGrid,
    pub vapour: PhaseGrid,
    pub near_critical: NearCritical,
}

/// The table's rows as they grow.
struct Rows<'a> {
    equation: &'a Equation,
    axis: &'a PressureAxis,
    /// Temperatures of the far ends of liquid and vapour.
    ends_k: [f64; 2],
    line: Vec<LineNode>,
    liquid: PhaseGrid,
    vapour: PhaseGrid,
    middle: PhaseGrid,
}

/// The saturation line and every region on an axis.
pub(super) fn build(equation: &Equation, axis: &PressureAxis) -> Built {
    let published = equation.coefficients();
    let mut rows = Rows {
        equation,
        axis,
        ends_k: [
            published.temperature_min_k.max(LIQUID_MIN_K),
            published.temperature_max_k,
        ],
        line: Vec::with_capacity(axis.nodes()),
        liquid: PhaseGrid::with_capacity(Side::Liquid, axis.nodes()),
        vapour: PhaseGrid::with_capacity(Side::Vapour, axis.nodes()),
        middle: PhaseGrid::with_capacity(Side::Middle, axis.nodes() - axis.seam()),
    };
    let mut edges = rows.fill_to_seam();
    let seam = edges;
    for node in axis.seam()..axis.nodes() {
        edges = rows.fill_above_seam(node, seam, edges);
    }
    rows.liquid.finish(axis.seam() + 1);
    rows.vapour.finish(axis.seam() + 1);
    Built {
        line: Line::new(rows.line),
        liquid: rows.liquid,
        vapour: rows.vapour,
        near_critical: NearCritical::new(equation, axis, rows.middle),
    }
}

impl Rows<'_> {
    /// The rows up to the seam; the two edges there.
    fn fill_to_seam(&mut self) -> [Edge; 2] {
        let (equation, axis) = (self.equation, self.axis);
        let mut guess_k = equation.guess_temperature_k(axis.pressure_pa(0));
        let mut node = 0;
        loop {
            let pressure_pa = axis.pressure_pa(node);
            let saturated = equation.saturated_at_pressure(pressure_pa, guess_k);
            let temperature_dp = 1.0 / saturated.pressure_dt();
            guess_k =
                saturated.temperature_k + (1.0 / axis.slope_per_pa(node)) / saturated.pressure_dt();
            guess_k = guess_k.min(equation.saturation_temperature_max_k());
            let edge = |properties: Properties| Edge {
                properties,
                enthalpy_dp: enthalpy_along(&properties, temperature_dp),
            };
            let edges = [edge(saturated.liquid), edge(saturated.vapour)];
            self.push(node, [saturated.temperature_k, temperature_dp], edges);
            if node == axis.seam() {
                return edges;
            }
            node += 1;
        }
    }

    /// A row at or above the seam, from the edges at the seam and those of the row below;
    /// its own edges. The seam's row has only the middle still to come.
    fn fill_above_seam(&mut self, node: usize, seam: [Edge; 2], below: [Edge; 2]) -> [Edge; 2] {
        let (equation, axis) = (self.equation, self.axis);
        let pressure_pa = axis.pressure_pa(node);
        let per_place = 1.0 / axis.slope_per_pa(node);
        let nodes = (node - axis.seam()) as f64;
        let mut edges = seam;
        if node > axis.seam() {
            for (edge, below) in edges.iter_mut().zip(below) {
                let start = edge.properties.enthalpy_j_per_kg;
                let slope = edge.enthalpy_dp / axis.slope_per_pa(axis.seam());
                let [enthalpy, slope] = carried(start, slope, nodes);
                *edge = Edge {
                    properties: at_pressure_enthalpy(
                        equation,
                        below.properties,
                        pressure_pa,
                        enthalpy,
                    ),
                    enthalpy_dp: slope / per_place,
                };
            }
            self.push(node, boiling(equation, pressure_pa), edges);
        }
        let row = self.row(node, edges[0], edges[1]);
        row.fill(equation, &mut self.middle, true);
        edges
    }

    fn row(&self, node: usize, near: Edge, far: Edge) -> Row {
        Row {
            pressure_pa: self.axis.pressure_pa(node),
            per_place: 1.0 / self.axis.slope_per_pa(node),
            near,
            far,
        }
    }

    /// One row of the line and both phases.
    fn push(&mut self, node: usize, boiling: [f64; 2], edges: [Edge; 2]) {
        let equation = self.equation;
        let pressure_pa = self.axis.pressure_pa(node);
        let per_place = 1.0 / self.axis.slope_per_pa(node);
        let [wet, dry] = edges;
        let [cold, hot] = self.ends_k.map(|temperature_k| {
            let properties = equation.at_pressure_temperature(pressure_pa, temperature_k);
            Edge {
                properties,
                enthalpy_dp: enthalpy_along(&properties, 0.0),
            }
        });
        let above_seam = node > self.axis.seam();
        self.row(node, wet, cold)
            .fill(equation, &mut self.liquid, above_seam);
        self.row(node, dry, hot)
            .fill(equation, &mut self.vapour, above_seam);
        self.line.push(line_node(
            pressure_pa,
            per_place,
            boiling,
            [wet, dry, cold, hot],
        ));
    }
}

fn line_node(pressure_pa: f64, per_place: f64, boiling: [f64; 2], edges: [Edge; 4]) -> LineNode {
    let [wet, dry, cold, hot] = edges;
    // A property's value and its derivative along the line.
    let along =
        |edge: &Edge, values: [f64; 3]| [values[0], values[1] + values[2] * edge.enthalpy_dp];
    let (liquid, vapour) = (slopes(&wet.properties), slopes(&dry.properties));
    let dry_volume = along(&dry, vapour.volume);
    let pairs: [[f64; 2]; QUANTITIES] = [
        boiling,
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

/// One row of a grid: the nodes at one pressure, from one edge to the other.
struct Row {
    pressure_pa: f64,
    per_place: f64,
    near: Edge,
    far: Edge,
}

impl Row {
    /// Fills the row. Above the seam the mixed slopes come from the equation too; below
    /// it they are left to [`PhaseGrid::finish`].
    fn fill(&self, equation: &Equation, grid: &mut PhaseGrid, above_seam: bool) {
        let start = self.near.properties.enthalpy_j_per_kg;
        let span = self.far.properties.enthalpy_j_per_kg - start;
        let span_dp = self.far.enthalpy_dp - self.near.enthalpy_dp;
        let mut here = self.near.properties;
        for outward in grid.places() {
            let enthalpy = start + outward * span;
            if outward == 1.0 {
                here = self.far.properties;
            } else if outward > 0.0 {
                here = at_pressure_enthalpy(equation, here, self.pressure_pa, enthalpy);
            }
            let enthalpy_dp = self.near.enthalpy_dp + outward * span_dp;
            let mut node: Node =
                quantities(grid.side(), &here, self.pressure_pa).map(|[value, dp, dh]| {
                    let along = (dp + dh * enthalpy_dp) * self.per_place;
                    [value, dh * span, along, 0.0]
                });
            if above_seam {
                let mixed = self.mixed(equation, grid.side(), &here, enthalpy_dp, [span, span_dp]);
                for (quantity, mixed) in node.iter_mut().zip(mixed) {
                    quantity[3] = mixed;
                }
            }
            grid.push(node);
        }
    }

    /// The mixed slopes at a node: central differences of the slopes outward along the
    /// line on which the place outward is constant.
    fn mixed(
        &self,
        equation: &Equation,
        side: Side,
        here: &Properties,
        enthalpy_dp: f64,
        [span, span_dp]: [f64; 2],
    ) -> [f64; 3] {
        let at = slopes(here);
        let temperature_dp = at.temperature[1] + at.temperature[2] * enthalpy_dp;
        let volume_dp = at.volume[1] + at.volume[2] * enthalpy_dp;
        let density_dp = -volume_dp * here.density_kg_per_m3 * here.density_kg_per_m3;
        let step_pa = MIXED_STEP * self.pressure_pa;
        let outward = |step_pa: f64| {
            let moved = equation.properties(
                here.temperature_k + step_pa * temperature_dp,
                here.density_kg_per_m3 + step_pa * density_dp,
            );
            quantities(side, &moved, self.pressure_pa + step_pa)
                .map(|[_, _, dh]| dh * (span + step_pa * span_dp))
        };
        let (above, below) = (outward(step_pa), outward(-step_pa));
        core::array::from_fn(|index| {
            (above[index] - below[index]) / (2.0 * step_pa) * self.per_place
        })
    }
}

/// What a grid holds of a state, with its derivatives in pressure and enthalpy.
fn quantities(side: Side, properties: &Properties, pressure_pa: f64) -> [[f64; 3]; 3] {
    let at = slopes(properties);
    let volume = match side {
        Side::Liquid | Side::Middle => at.volume,
        Side::Vapour => [
            pressure_pa * at.volume[0],
            at.volume[0] + pressure_pa * at.volume[1],
            pressure_pa * at.volume[2],
        ],
    };
    [at.temperature, volume, at.entropy]
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
