//! One phase of the fast table: bicubic in pressure and enthalpy.
//!
//! Enthalpy is counted outward from the saturation line, from 0 on it to 1 on an
//! isotherm at the far end of the phase. The spacing is fine near the line, where
//! properties bend near the critical point, and coarse beyond. Between the two lines
//! carried on above the seam of the axis it is counted from liquid to vapour, and the
//! spacing is even.

use super::axis::{Place, Weights, hermite, hermite_slope};
use super::build::Side;

/// Per quantity (temperature; volume, or pressure times volume; entropy): value, slope
/// outward, slope along pressure (per node), and the mixed slope.
pub(super) type Node = [[f64; 4]; 3];

/// Cells from the saturation line to the knee, and as many from there to the far end.
const HALF_CELLS: usize = 16;
const ROW: usize = 2 * HALF_CELLS + 1;
/// Where the spacing changes, outward.
const KNEE: f64 = 0.25;
/// The same between the lines, where it does not change.
const MIDDLE_KNEE: f64 = 0.5;
/// Beyond the far end the liquid is linear in enthalpy but eases into a constant this
/// far out, before temperature or volume would reach zero.
const LIQUID_EASE: f64 = 0.25;
/// For vapour the same far enough out to leave the line straight, near enough that
/// nothing overflows.
const VAPOUR_EASE: f64 = 1e8;

#[derive(Clone, Debug)]
pub(super) struct PhaseGrid {
    side: Side,
    knee: f64,
    /// Widths of the cells before and beyond the knee, each with its inverse.
    widths: [[f64; 2]; 2],
    nodes: Vec<Node>,
}

/// Temperature and volume (or pressure times volume) at a point: the value, the
/// derivative outward at constant place in pressure, and the derivative in pressure at
/// constant place outward; and entropy.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub temperature: [f64; 3],
    pub volume: [f64; 3],
    pub entropy: f64,
}

impl PhaseGrid {
    pub(super) fn with_capacity(side: Side, rows: usize) -> Self {
        let knee = match side {
            Side::Liquid | Side::Vapour => KNEE,
            Side::Middle => MIDDLE_KNEE,
        };
        let width = |span: f64| {
            let width = span / HALF_CELLS as f64;
            [width, 1.0 / width]
        };
        Self {
            side,
            knee,
            widths: [width(knee), width(1.0 - knee)],
            nodes: Vec::with_capacity(rows * ROW),
        }
    }

    pub(super) fn side(&self) -> Side {
        self.side
    }

    pub(super) fn push(&mut self, node: Node) {
        self.nodes.push(node);
    }

    /// The places of one row's nodes, outward from 0 to 1.
    pub(super) fn places(&self) -> [f64; ROW] {
        core::array::from_fn(|index| {
            if index <= HALF_CELLS {
                self.knee * index as f64 / HALF_CELLS as f64
            } else {
                self.knee + (1.0 - self.knee) * (index - HALF_CELLS) as f64 / HALF_CELLS as f64
            }
        })
    }

    /// Fill in the mixed slopes of the first rows, once they are there: five-point
    /// differences along pressure of the slope outward.
    pub(super) fn finish(&mut self, rows: usize) {
        for row in 0..rows {
            // The stencil is centred where it fits and shifted at either end.
            let first = row.saturating_sub(2).min(rows.saturating_sub(5));
            let weights = five_point(row - first);
            for column in 0..ROW {
                for quantity in 0..3 {
                    let mut slope = 0.0;
                    for (offset, weight) in weights.iter().enumerate() {
                        slope += weight * self.nodes[(first + offset) * ROW + column][quantity][1];
                    }
                    self.nodes[row * ROW + column][quantity][3] = slope;
                }
            }
        }
    }

    /// The properties at a place in pressure and outward in enthalpy, not below 0.
    #[inline(always)]
    pub(super) fn at(&self, place: &Place, outward: f64) -> Point {
        let (column, weights, slopes) = self.across(outward);
        let first = place.cell * ROW + column;
        let corners = [
            [&self.nodes[first], &self.nodes[first + ROW]],
            [&self.nodes[first + 1], &self.nodes[first + ROW + 1]],
        ];
        let combine = |quantity: usize, along: &Weights| {
            let mut sums = [0.0; 4];
            for (end, [low, high]) in corners.iter().enumerate() {
                let (low, high) = (&low[quantity], &high[quantity]);
                for part in 0..2 {
                    sums[2 * end + part] = along[0] * low[part]
                        + along[1] * low[2 + part]
                        + along[2] * high[part]
                        + along[3] * high[2 + part];
                }
            }
            sums
        };
        let full = |quantity: usize| {
            let sums = combine(quantity, &place.weights);
            let sums_dp = combine(quantity, &place.weights_dp);
            [
                dot(&weights, &sums),
                dot(&slopes, &sums),
                dot(&weights, &sums_dp),
            ]
        };
        Point {
            temperature: full(0),
            volume: full(1),
            entropy: dot(&weights, &combine(2, &place.weights)),
        }
    }

    /// The cell outward, the weights of its ends and their derivative.
    #[inline(always)]
    fn across(&self, outward: f64) -> (usize, Weights, Weights) {
        if outward > 1.0 {
            return self.across_beyond(outward);
        }
        let (start, [width, per_width], first) = if outward < self.knee {
            (0.0, self.widths[0], 0)
        } else {
            (self.knee, self.widths[1], HALF_CELLS)
        };
        let along = (outward - start) * per_width;
        let cell = (along as usize).min(HALF_CELLS - 1);
        let at = along - cell as f64;
        let (w, s) = (hermite(at), hermite_slope(at));
        (
            first + cell,
            [w[0], w[1] * width, w[2], w[3] * width],
            [s[0] * per_width, s[1], s[2] * per_width, s[3]],
        )
    }

    #[cold]
    fn across_beyond(&self, outward: f64) -> (usize, Weights, Weights) {
        let ease = match self.side {
            Side::Liquid | Side::Middle => LIQUID_EASE,
            Side::Vapour => VAPOUR_EASE,
        };
        let slope = 1.0 / (1.0 + (outward - 1.0) / ease);
        (
            ROW - 2,
            [0.0, 0.0, 1.0, (outward - 1.0) * slope],
            [0.0, 0.0, 0.0, slope * slope],
        )
    }
}

#[inline]
fn dot(a: &Weights, b: &Weights) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + a[3] * b[3]
}

/// Weights of the first derivative at the given one of five equally spaced points
/// (differentiated Lagrange polynomial of fourth degree).
fn five_point(at: usize) -> [f64; 5] {
    let twelfths = match at {
        0 => [-25.0, 48.0, -36.0, 16.0, -3.0],
        1 => [-3.0, -10.0, 18.0, -6.0, 1.0],
        2 => [1.0, -8.0, 0.0, 8.0, -1.0],
        3 => [-1.0, 6.0, -18.0, 10.0, 3.0],
        _ => [3.0, -16.0, 36.0, -48.0, 25.0],
    };
    twelfths.map(|weight| weight / 12.0)
}
