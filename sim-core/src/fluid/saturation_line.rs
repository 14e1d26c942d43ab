//! The saturation line of the fast table: cubic splines in pressure.

use super::axis::{Place, PressureAxis, hermite, hermite_slope};

/// How many quantities a node of the line carries; see [`LineNode`].
pub(super) const QUANTITIES: usize = 9;
pub(super) const TEMPERATURE: usize = 0;
pub(super) const LIQUID_ENTHALPY: usize = 1;
pub(super) const VAPOUR_ENTHALPY: usize = 2;
pub(super) const LIQUID_VOLUME: usize = 3;
pub(super) const VAPOUR_PRESSURE_VOLUME: usize = 4;
pub(super) const LIQUID_ENTROPY: usize = 5;
pub(super) const VAPOUR_ENTROPY: usize = 6;
/// Enthalpy on the isotherm at the far end of the liquid.
pub(super) const COLD_ENTHALPY: usize = 7;
/// Enthalpy on the isotherm at the far end of the vapour.
pub(super) const HOT_ENTHALPY: usize = 8;

/// Value and slope (per node) of each quantity.
pub(super) type LineNode = [[f64; 2]; QUANTITIES];

#[derive(Clone, Debug)]
pub(super) struct Line {
    nodes: Vec<LineNode>,
}

impl Line {
    pub(super) fn new(nodes: Vec<LineNode>) -> Self {
        Self { nodes }
    }

    /// Every quantity and its derivative with respect to pressure.
    #[inline(always)]
    pub(super) fn at(&self, place: &Place) -> ([f64; QUANTITIES], [f64; QUANTITIES]) {
        let (left, right) = (&self.nodes[place.cell], &self.nodes[place.cell + 1]);
        let (weights, weights_dp) = (&place.weights, &place.weights_dp);
        let mut values = [0.0; QUANTITIES];
        let mut slopes = [0.0; QUANTITIES];
        for index in 0..QUANTITIES {
            let ends = [left[index], right[index]];
            values[index] = weights[0] * ends[0][0]
                + weights[1] * ends[0][1]
                + weights[2] * ends[1][0]
                + weights[3] * ends[1][1];
            slopes[index] = weights_dp[0] * ends[0][0]
                + weights_dp[1] * ends[0][1]
                + weights_dp[2] * ends[1][0]
                + weights_dp[3] * ends[1][1];
        }
        (values, slopes)
    }

    /// The slope of the boiling temperature at the highest node, K/Pa.
    pub(super) fn last_temperature_dp(&self, axis: &PressureAxis) -> f64 {
        let last = self.nodes.len() - 1;
        self.nodes[last][TEMPERATURE][1] * axis.slope_per_pa(last)
    }

    /// The pressure at which the spline has a temperature: the inverse of `at`.
    pub(super) fn pressure_pa(&self, axis: &PressureAxis, temperature_k: f64) -> f64 {
        let (first, last) = (self.nodes[0], self.nodes[self.nodes.len() - 1]);
        if temperature_k <= first[TEMPERATURE][0] {
            let along = (temperature_k - first[TEMPERATURE][0]) / first[TEMPERATURE][1];
            return axis.pressure_below(along);
        }
        if temperature_k >= last[TEMPERATURE][0] {
            let beyond_k = temperature_k - last[TEMPERATURE][0];
            return axis.highest_pa() + beyond_k / self.last_temperature_dp(axis);
        }
        let above = self
            .nodes
            .partition_point(|node| node[TEMPERATURE][0] <= temperature_k);
        let cell = above.clamp(1, self.nodes.len() - 1) - 1;
        let (left, right) = (
            self.nodes[cell][TEMPERATURE],
            self.nodes[cell + 1][TEMPERATURE],
        );
        // The cubic is nearly straight: Newton from the chord doubles its digits.
        let mut at = (temperature_k - left[0]) / (right[0] - left[0]);
        for _ in 0..6 {
            let (weights, slopes) = (hermite(at), hermite_slope(at));
            let combine =
                |w: [f64; 4]| w[0] * left[0] + w[1] * left[1] + w[2] * right[0] + w[3] * right[1];
            let step = (temperature_k - combine(weights)) / combine(slopes);
            at = (at + step).clamp(0.0, 1.0);
            if step.abs() < 1e-13 {
                break;
            }
        }
        axis.pressure_in(cell, at)
    }
}
