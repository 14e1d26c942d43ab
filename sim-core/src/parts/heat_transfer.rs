//! Heat between refrigerant and wall, by regime, and between wall and an air stream.
//!
//! Refrigerant: Q = G(x) (T_wall − T), W; G in W/K is the level of liquid, two-phase or vapour at the
//! nominal flow, times (ṁ/ṁ_n)^0.8 for one phase (Dittus & Boelter 1930) and (ṁ/ṁ_n)^0.4 for two (common
//! practice, no source). The levels are blended over the equilibrium quality x, which runs on below 0 and
//! beyond 1: liquid to two-phase over −0.15 to 0.10, two-phase to vapour over 0.80 to 1.08 where it boils and
//! 0.85 to 1.50 where it condenses. Air: G = C (1 − e^(−U/C)), textbook. Range: ṁ/ṁ_n up to 4, and constant
//! beyond; below some hundredths of it floors (0.08 for one phase, 0.2 for two) stand for natural
//! convection. Levels are vehicle data, set so that car-like pressures come out.

use crate::dual::Dual;

/// Refrigerant-side conductance of a whole exchanger or line at its nominal flow, W/K.
///
/// Levels are data of the vehicle; their ratio (boiling and condensing several
/// times better than gas) is what moves a dry-out or a flooded length along the
/// exchanger. Common practice, no source for the levels. A vehicle's are written as with R-134a.
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

/// What another refrigerant makes of levels written as with R-134a: of the liquid one, and of the
/// two-phase one.
///
/// At the same mass flow a liquid transfers as k^0.6 c^0.4 μ^-0.4 (Dittus & Boelter 1930), a condensing
/// one besides as 0.55 + 2.09 / p_r^0.38 (Shah 1979, from memory). R-1234yf at 50 °C: k 0.798, c 0.990,
/// μ 0.746, p_r 0.385 against 0.325 (CoolProp 8.0.0). Boiling comes out between 0.85 (convective) and
/// 1.03 (nucleate, Cooper 1984, from memory), so one factor serves both.
const BESIDE_R134A: [(&str, f64, f64); 1] = [("R-1234yf", 0.978, 0.925)];

impl RegimeConductance {
    /// The levels with a refrigerant, from those written as with R-134a.
    #[must_use]
    pub fn with(self, refrigerant: &str) -> Self {
        let beside = BESIDE_R134A.iter().find(|(name, ..)| *name == refrigerant);
        let (liquid, two_phase) = beside.map_or((1.0, 1.0), |(_, liquid, both)| (*liquid, *both));
        Self {
            liquid_w_per_k: self.liquid_w_per_k * liquid,
            two_phase_w_per_k: self.two_phase_w_per_k * two_phase,
            ..self
        }
    }

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

    /// Conductance to a wall that boils what is inside, at a quality, for the levels as they are.
    ///
    /// The blends are wide on purpose: a narrow one makes a cell chatter
    /// between regimes from step to step. Boiling dries out before the last liquid is gone.
    #[must_use]
    pub fn boiling(&self, quality: Dual<2>) -> Dual<2> {
        self.at_quality(quality, 0.80, 0.28)
    }

    /// Conductance to a wall that condenses what is inside.
    ///
    /// Gas condenses on a wall below its dew point while its middle is still superheated (Webb 1998,
    /// J. Heat Transfer 120(2), from memory): in a car's condenser up to some 40 K, where the wall
    /// itself reaches the dew point, a good third of the latent heat above dry gas (width: common
    /// practice, no source). Were the conductance to collapse at dry gas, a length of the condenser
    /// would settle at either of two states, wet or dry, and the high side have two values for one
    /// charge.
    #[must_use]
    pub fn condensing(&self, quality: Dual<2>) -> Dual<2> {
        self.at_quality(quality, 0.85, 0.65)
    }

    fn at_quality(&self, quality: Dual<2>, drying_from: f64, over: f64) -> Dual<2> {
        let wetted = ((quality + 0.15) * (1.0 / 0.25)).smooth_step();
        let dry = ((quality - drying_from) * (1.0 / over)).smooth_step();
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
