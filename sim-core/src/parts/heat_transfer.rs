//! Heat between refrigerant and wall, by regime, and between wall and an air stream.

use crate::dual::Dual;

/// Refrigerant-side conductance of a whole exchanger or line at its nominal flow, W/K.
///
/// Levels are data of the vehicle; their ratio (boiling and condensing several
/// times better than gas) is what moves a dry-out or a flooded length along the
/// exchanger. Common practice, no source for the levels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RegimeConductance {
    /// All liquid, W/K.
    pub liquid_w_per_k: f64,
    /// Boiling or condensing, W/K.
    pub two_phase_w_per_k: f64,
    /// All vapour, W/K.
    pub vapour_w_per_k: f64,
    /// Flow at which these hold, kg/s.
    pub nominal_flow_kg_s: f64,
}

impl RegimeConductance {
    /// The three levels at a flow.
    ///
    /// Single-phase regimes grow with flow to the power 0.8 (Dittus & Boelter
    /// 1930), the two-phase one to the power 0.4 (common practice, no source);
    /// a floor stands for natural convection when nothing flows.
    #[must_use]
    pub fn at_flow(&self, flow_kg_s: f64) -> Self {
        let ratio = (flow_kg_s.abs() / self.nominal_flow_kg_s).min(4.0);
        let root = libm::pow(ratio, 0.4);
        let single = (root * root).max(0.08);
        Self {
            liquid_w_per_k: self.liquid_w_per_k * single,
            two_phase_w_per_k: self.two_phase_w_per_k * root.max(0.2),
            vapour_w_per_k: self.vapour_w_per_k * single,
            nominal_flow_kg_s: self.nominal_flow_kg_s,
        }
    }

    /// Conductance at a quality, for the levels as they are.
    ///
    /// The blends are wide on purpose: a narrow one makes a cell chatter
    /// between regimes from step to step.
    #[must_use]
    pub fn at_quality(&self, quality: Dual<2>) -> Dual<2> {
        let wetted = ((quality + 0.15) * (1.0 / 0.25)).smooth_step();
        let dry = ((quality - 0.80) * (1.0 / 0.28)).smooth_step();
        let liquid = Dual::constant(self.liquid_w_per_k);
        let two_phase = Dual::constant(self.two_phase_w_per_k);
        let vapour = Dual::constant(self.vapour_w_per_k);
        liquid.mix(two_phase, wetted).mix(vapour, dry)
    }
}

/// Conductance between a wall and a single-pass air stream, W/K, referred to the air's inlet temperature.
///
/// Effectiveness of a stream against a wall of one temperature, 1 − e^(−NTU).
#[must_use]
pub fn stream_conductance_w_per_k(surface_w_per_k: f64, capacity_flow_w_per_k: f64) -> f64 {
    if capacity_flow_w_per_k <= 1e-9 {
        return 0.0;
    }
    capacity_flow_w_per_k * -libm::expm1(-surface_w_per_k / capacity_flow_w_per_k)
}
