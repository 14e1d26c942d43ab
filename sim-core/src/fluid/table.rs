//! The fast table: every property the loop needs, for any pressure and enthalpy.
//!
//! Saturation is a set of splines in pressure, the two-phase region follows from them
//! exactly, and each phase is bicubic. All three meet on the saturation lines to
//! rounding, since they share nodes and slopes. The derivatives are those of the
//! interpolants, so that Newton's iteration on them converges as it should.
//!
//! From a seam just below the critical pressure on there is a third piece between the two
//! phases, [`super::near_critical`].
//!
//! What a lookup consists of is inlined always: left to itself the compiler keeps calls
//! that cost a tenth of its time (`benches/fluid.rs`).
//!
//! Outside the tabulated range the numbers go on smoothly and stay positive but are no
//! longer the refrigerant's; [`super::axis`] and [`super::phase_grid`] say how.

use super::axis::{Place, PressureAxis};
use super::build::{Built, build};
use super::equation::Equation;
use super::near_critical::{NearCritical, along};
use super::phase_grid::PhaseGrid;
use super::saturation_line::{self as line, Line};

/// Nodes in pressure up to the seam.
const PRESSURES: usize = 48;
/// The lowest tabulated pressure, Pa.
const LOWEST_PA: f64 = 1000.0;
/// The seam, as a fraction of the critical pressure. Above it the saturation lines no
/// longer bound the phases; see [`super::near_critical`].
const SEAM: f64 = 0.9735;
/// The table reaches at least this pressure, well above a relief valve's.
const REACH_PA: f64 = 60e5;
/// Compressibility laid on liquid above the highest tabulated pressure, 1/Pa: the order
/// of warm liquid's. Vapour gets that of an ideal gas.
const LIQUID_COMPRESSIBILITY_PER_PA: f64 = 2e-8;

/// Saturation at a pressure from the fast table, with derivatives in pressure.
///
/// Near and above the critical pressure see [`Fluid`](super::Fluid): the lines are carried
/// on, densities and entropies are those of the states on them, and the temperature goes
/// on as a straight line in ln p.
///
/// ```
/// use sim_core::fluid::Fluid;
/// let fluid = Fluid::r134a();
/// let saturation = fluid.saturation(300e3);
/// let nearby = fluid.saturation(301e3);
/// let rise = nearby.temperature_k - saturation.temperature_k;
/// assert!((rise - 1e3 * saturation.temperature_dp).abs() < 1e-3);
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Saturation {
    /// Absolute pressure, Pa.
    pub pressure_pa: f64,
    /// Boiling temperature, K.
    pub temperature_k: f64,
    /// Enthalpy of saturated liquid, J/kg.
    pub liquid_enthalpy_j_per_kg: f64,
    /// Enthalpy of saturated vapour, J/kg.
    pub vapour_enthalpy_j_per_kg: f64,
    /// Density of saturated liquid, kg/m³.
    pub liquid_density_kg_per_m3: f64,
    /// Density of saturated vapour, kg/m³.
    pub vapour_density_kg_per_m3: f64,
    /// Entropy of saturated liquid, J/(kg K).
    pub liquid_entropy_j_per_kg_k: f64,
    /// Entropy of saturated vapour, J/(kg K).
    pub vapour_entropy_j_per_kg_k: f64,
    /// Derivative of the boiling temperature with respect to pressure.
    pub temperature_dp: f64,
    /// Derivative of the liquid's enthalpy with respect to pressure.
    pub liquid_enthalpy_dp: f64,
    /// Derivative of the vapour's enthalpy with respect to pressure.
    pub vapour_enthalpy_dp: f64,
    /// Derivative of the liquid's density with respect to pressure.
    pub liquid_density_dp: f64,
    /// Derivative of the vapour's density with respect to pressure.
    pub vapour_density_dp: f64,
    /// Derivative of the liquid's entropy with respect to pressure.
    pub liquid_entropy_dp: f64,
    /// Derivative of the vapour's entropy with respect to pressure.
    pub vapour_entropy_dp: f64,
    place: Place,
    /// Volumes before the compressibility above the highest pressure, with derivatives.
    liquid_volume: [f64; 2],
    vapour_volume: [f64; 2],
    /// 1/(enthalpy of the vapour less that of the liquid).
    per_latent: f64,
    /// Enthalpies of the far ends of both phases less those on the line, inverted, and
    /// the derivatives of the differences.
    per_liquid_span: f64,
    liquid_span_dp: f64,
    per_vapour_span: f64,
    vapour_span_dp: f64,
    /// Temperature added above the highest pressure, and its derivative.
    added_k: f64,
    added_dp: f64,
}

/// A state from the fast table, with derivatives in pressure (`_dp`, at constant
/// enthalpy) and in enthalpy (`_dh`, at constant pressure). Those of entropy are −v/T
/// and 1/T.
///
/// ```
/// use sim_core::fluid::Fluid;
/// let wet = Fluid::r134a().ph(300e3, 300e3);
/// assert!(wet.quality > 0.0 && wet.quality < 1.0);
/// assert_eq!(wet.temperature_dh, 0.0);
/// ```
#[derive(Clone, Copy, Debug)]
pub struct Fast {
    /// Temperature, K.
    pub temperature_k: f64,
    /// Density, kg/m³.
    pub density_kg_per_m3: f64,
    /// Entropy, J/(kg K).
    pub entropy_j_per_kg_k: f64,
    /// Enthalpy counted from saturated liquid (0) to saturated vapour (1), not clamped:
    /// below 0 the liquid is subcooled, above 1 the vapour is superheated.
    pub quality: f64,
    /// ∂T/∂p, K/Pa.
    pub temperature_dp: f64,
    /// ∂T/∂h, K kg/J; zero in the two-phase region.
    pub temperature_dh: f64,
    /// ∂ρ/∂p, kg/(m³ Pa).
    pub density_dp: f64,
    /// ∂ρ/∂h, kg²/(m³ J).
    pub density_dh: f64,
}

#[derive(Clone, Debug)]
pub(super) struct Table {
    axis: PressureAxis,
    line: Line,
    liquid: PhaseGrid,
    vapour: PhaseGrid,
    near_critical: NearCritical,
    /// dT/dp laid on every phase above the highest pressure, K/Pa.
    excess_temperature_dp: f64,
}

impl Table {
    pub(super) fn new(equation: &Equation) -> Self {
        let critical_pa = equation.coefficients().critical_pressure_pa;
        let seam_pa = SEAM * critical_pa;
        let axis = PressureAxis::new(LOWEST_PA, seam_pa, critical_pa, PRESSURES, REACH_PA);
        let Built {
            line,
            liquid,
            vapour,
            near_critical,
        } = build(equation, &axis);
        let excess_temperature_dp = line.last_temperature_dp(&axis);
        Self {
            axis,
            line,
            liquid,
            vapour,
            near_critical,
            excess_temperature_dp,
        }
    }

    pub(super) fn highest_pa(&self) -> f64 {
        self.axis.highest_pa()
    }

    #[inline(always)]
    pub(super) fn saturation(&self, pressure_pa: f64) -> Saturation {
        let place = self.axis.place(pressure_pa);
        let (values, slopes) = self.line.at(&place);
        let value = |index: usize| [values[index], slopes[index]];
        let [temperature, temperature_dp] = value(line::TEMPERATURE);
        let [wet, wet_dp] = value(line::LIQUID_ENTHALPY);
        let [dry, dry_dp] = value(line::VAPOUR_ENTHALPY);
        let liquid_volume = value(line::LIQUID_VOLUME);
        let [product, product_dp] = value(line::VAPOUR_PRESSURE_VOLUME);
        let per_pressure = 1.0 / place.eased_pa;
        let volume = product * per_pressure;
        let vapour_volume = [
            volume,
            (product_dp - volume * place.eased_dp) * per_pressure,
        ];
        let [cold, cold_dp] = value(line::COLD_ENTHALPY);
        let [hot, hot_dp] = value(line::HOT_ENTHALPY);
        let added_k = self.excess_temperature_dp * place.excess_pa;
        let added_dp = self.excess_temperature_dp * place.excess_dp;
        let (liquid_density, liquid_density_dp) =
            self.compressed(&place, liquid_volume, LIQUID_COMPRESSIBILITY_PER_PA);
        let (vapour_density, vapour_density_dp) =
            self.compressed(&place, vapour_volume, self.vapour_compressibility());
        Saturation {
            pressure_pa,
            temperature_k: temperature + added_k,
            liquid_enthalpy_j_per_kg: wet,
            vapour_enthalpy_j_per_kg: dry,
            liquid_density_kg_per_m3: liquid_density,
            vapour_density_kg_per_m3: vapour_density,
            liquid_entropy_j_per_kg_k: values[line::LIQUID_ENTROPY],
            vapour_entropy_j_per_kg_k: values[line::VAPOUR_ENTROPY],
            temperature_dp: temperature_dp + added_dp,
            liquid_enthalpy_dp: wet_dp,
            vapour_enthalpy_dp: dry_dp,
            liquid_density_dp,
            vapour_density_dp,
            liquid_entropy_dp: slopes[line::LIQUID_ENTROPY],
            vapour_entropy_dp: slopes[line::VAPOUR_ENTROPY],
            place,
            liquid_volume,
            vapour_volume,
            per_latent: 1.0 / (dry - wet),
            per_liquid_span: 1.0 / (cold - wet),
            liquid_span_dp: cold_dp - wet_dp,
            per_vapour_span: 1.0 / (hot - dry),
            vapour_span_dp: hot_dp - dry_dp,
            added_k,
            added_dp,
        }
    }

    pub(super) fn saturation_pressure_pa(&self, temperature_k: f64) -> f64 {
        self.line.pressure_pa(&self.axis, temperature_k)
    }

    #[inline(always)]
    pub(super) fn ph_with(&self, at: &Saturation, enthalpy_j_per_kg: f64) -> Fast {
        let beyond_liquid = enthalpy_j_per_kg - at.liquid_enthalpy_j_per_kg;
        let quality = beyond_liquid * at.per_latent;
        let latent_dp = at.vapour_enthalpy_dp - at.liquid_enthalpy_dp;
        let quality_dp = -(at.liquid_enthalpy_dp + quality * latent_dp) * at.per_latent;
        if quality < 0.0 {
            let outward = beyond_liquid * at.per_liquid_span;
            let point = self.liquid.at(&at.place, outward);
            let outward_dp =
                -(at.liquid_enthalpy_dp + outward * at.liquid_span_dp) * at.per_liquid_span;
            let outward = [outward, outward_dp, at.per_liquid_span];
            return self.finish(
                at,
                along(&point.temperature, outward),
                along(&point.volume, outward),
                point.entropy,
                [quality, quality_dp],
            );
        }
        if quality > 1.0 {
            let outward = (enthalpy_j_per_kg - at.vapour_enthalpy_j_per_kg) * at.per_vapour_span;
            let point = self.vapour.at(&at.place, outward);
            let outward_dp =
                -(at.vapour_enthalpy_dp + outward * at.vapour_span_dp) * at.per_vapour_span;
            let outward = [outward, outward_dp, at.per_vapour_span];
            let product = along(&point.volume, outward);
            let per_pressure = 1.0 / at.place.eased_pa;
            let volume = [
                product[0] * per_pressure,
                (product[1] - product[0] * per_pressure * at.place.eased_dp) * per_pressure,
                product[2] * per_pressure,
            ];
            let temperature = along(&point.temperature, outward);
            return self.finish(
                at,
                temperature,
                volume,
                point.entropy,
                [quality, quality_dp],
            );
        }
        if at.place.cell >= self.axis.seam() {
            let between = self.near_critical.at(
                &at.place,
                [quality, quality_dp, at.per_latent],
                enthalpy_j_per_kg,
                [
                    at.temperature_k - at.added_k,
                    at.temperature_dp - at.added_dp,
                ],
            );
            return self.finish(
                at,
                between.temperature,
                between.volume,
                between.entropy,
                [quality, quality_dp],
            );
        }
        let (wet, dry) = (at.liquid_volume, at.vapour_volume);
        let widening = dry[0] - wet[0];
        let volume = [
            wet[0] + quality * widening,
            wet[1] + quality * (dry[1] - wet[1]) + quality_dp * widening,
            at.per_latent * widening,
        ];
        let mut fast = Fast {
            temperature_k: at.temperature_k,
            density_kg_per_m3: 0.0,
            entropy_j_per_kg_k: at.liquid_entropy_j_per_kg_k
                + quality * (at.vapour_entropy_j_per_kg_k - at.liquid_entropy_j_per_kg_k),
            quality,
            temperature_dp: at.temperature_dp,
            temperature_dh: 0.0,
            density_dp: 0.0,
            density_dh: 0.0,
        };
        self.set_density(at, &mut fast, volume, quality_dp);
        fast
    }

    /// A state from temperature and volume, each with its derivatives, and entropy.
    #[inline]
    fn finish(
        &self,
        at: &Saturation,
        temperature: [f64; 3],
        volume: [f64; 3],
        entropy: f64,
        [quality, quality_dp]: [f64; 2],
    ) -> Fast {
        let mut fast = Fast {
            temperature_k: temperature[0] + at.added_k,
            density_kg_per_m3: 0.0,
            entropy_j_per_kg_k: entropy,
            quality,
            temperature_dp: temperature[1] + at.added_dp,
            temperature_dh: temperature[2],
            density_dp: 0.0,
            density_dh: 0.0,
        };
        self.set_density(at, &mut fast, volume, quality_dp);
        fast
    }

    /// Density from volume, with the compressibility above the highest pressure.
    #[inline]
    fn set_density(&self, at: &Saturation, fast: &mut Fast, volume: [f64; 3], quality_dp: f64) {
        let density = 1.0 / volume[0];
        fast.density_kg_per_m3 = density;
        fast.density_dp = -density * density * volume[1];
        fast.density_dh = -density * density * volume[2];
        let excess = at.place.excess_pa;
        if excess > 0.0 {
            // Between the phases the compressibility follows quality; within them it is
            // constant, and the derivatives of quality do not count.
            let share = fast.quality.clamp(0.0, 1.0);
            let widening = self.vapour_compressibility() - LIQUID_COMPRESSIBILITY_PER_PA;
            let compressibility = LIQUID_COMPRESSIBILITY_PER_PA + share * widening;
            let inside = (0.0..=1.0).contains(&fast.quality);
            let share_dh = if inside { at.per_latent } else { 0.0 };
            let share_dp = if inside { quality_dp } else { 0.0 };
            let factor = 1.0 + compressibility * excess;
            fast.density_kg_per_m3 = density * factor;
            fast.density_dp = fast.density_dp * factor
                + density * (compressibility * at.place.excess_dp + share_dp * widening * excess);
            fast.density_dh = fast.density_dh * factor + density * share_dh * widening * excess;
        }
    }

    #[inline]
    fn vapour_compressibility(&self) -> f64 {
        1.0 / self.axis.highest_pa()
    }

    /// A saturated density and its derivative from the volume and its derivative.
    #[inline]
    fn compressed(&self, place: &Place, volume: [f64; 2], compressibility: f64) -> (f64, f64) {
        let density = 1.0 / volume[0];
        let factor = 1.0 + compressibility * place.excess_pa;
        let density_dp = -density * density * volume[1];
        (
            density * factor,
            density_dp * factor + density * compressibility * place.excess_dp,
        )
    }
}
