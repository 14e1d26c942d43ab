//! Orifice tube: a fixed short tube with a screen, whose flow chokes where liquid flashes in it.
//!
//! ṁ = A √(2 ρ Δp) with Δp no more than p₁ − F p_v: p₁ the pressure before it, p_v the boiling
//! pressure of what arrives, F = 0.96 − 0.28 √(p_v / p_c). That is the choked flow of a liquid
//! through a valve after IEC 60534-2-1 (equation from memory); beyond it a lower pressure behind the
//! tube draws no more, which is what short tubes show (Aaron & Domanski 1990, ASHRAE Transactions
//! 96(1), the same shape with measured factors; not read). What arrives as a mixture flows with the
//! density of the mixture. Range: any state; areas of about 0.5 to 3 mm².

use crate::dual::Dual;
use crate::fluid::Fluid;
use crate::parts::expansion::Open;
use crate::parts::line::{Flowing, Stream, carried, passage};

/// Parameters of an orifice tube.
#[derive(Clone, Debug, PartialEq)]
pub struct OrificeTube {
    /// Effective flow area of the tube (area times discharge coefficient), m².
    pub area_m2: f64,
    /// Share of the inlet screen and bore that is blocked.
    pub blockage: f64,
    /// Area by which refrigerant gets past the tube where its seal is torn or it was left out, m².
    pub bypass_area_m2: f64,
}

/// A clean screen passes this many times the tube's area (common practice, no source).
const SCREEN_TO_TUBE: f64 = 10.0;
/// Pressure over which the greatest drop goes to nought where what arrives boils, Pa: a kink would
/// stop Newton.
const SOFT_PA: f64 = 2.0e4;

impl OrificeTube {
    /// Effective area of screen and tube in series, and of a leak past them, m².
    pub(super) fn open_area_m2(&self, open: Open) -> f64 {
        let tube = self.area_m2 * open.passage;
        let screen =
            self.area_m2 * SCREEN_TO_TUBE * ((1.0 - self.blockage) * open.screen).max(1e-5);
        // What gets past the seal meets neither.
        1.0 / (1.0 / (tube * tube) + 1.0 / (screen * screen)).sqrt() + self.bypass_area_m2
    }

    /// Flow through the tube.
    #[must_use]
    pub fn flow(
        &self,
        fluid: &Fluid,
        open: Open,
        inlet: &Flowing<5>,
        outlet: &Flowing<5>,
    ) -> Stream<5> {
        let area = self.open_area_m2(open);
        if inlet.pressure_pa.value <= outlet.pressure_pa.value {
            return passage(Dual::constant(area), inlet, outlet);
        }
        let boiling_pa = boiling_pressure(fluid, inlet);
        let critical = fluid.equation().coefficients().critical_pressure_pa;
        let factor = Dual::constant(0.96) - (boiling_pa * (1.0 / critical)).sqrt() * 0.28;
        let most = (inlet.pressure_pa - factor * boiling_pa).soft_positive(SOFT_PA);
        let drop = inlet.pressure_pa - outlet.pressure_pa;
        let choked = lesser(drop, most);
        let downstream = Flowing {
            pressure_pa: inlet.pressure_pa - choked,
            ..*outlet
        };
        let flow = passage(Dual::constant(area), inlet, &downstream).mass_flow_kg_s;
        carried(flow, inlet, outlet)
    }
}

/// The lesser of two positive pressures, rounded where they meet, and nought with the first:
/// a / (1 + (a/b)⁸)^(1/8).
fn lesser(a: Dual<5>, b: Dual<5>) -> Dual<5> {
    let ratio = a / b;
    let square = ratio * ratio;
    let fourth = square * square;
    a / (fourth * fourth + 1.0).sqrt().sqrt().sqrt()
}

/// Pressure at which what arrives boils, Pa: its own where it is a mixture or gas.
fn boiling_pressure(fluid: &Fluid, inlet: &Flowing<5>) -> Dual<5> {
    let (pressure, enthalpy) = (inlet.pressure_pa, inlet.enthalpy_j_per_kg);
    let state = fluid.ph(pressure.value, enthalpy.value);
    if state.quality >= 0.0 {
        return pressure;
    }
    let boiling_pa = fluid.saturation_pressure_pa(state.temperature_k);
    let per_k = 1.0 / fluid.saturation(boiling_pa).temperature_dp;
    let temperature = pressure * state.temperature_dp + enthalpy * state.temperature_dh;
    temperature.chain(boiling_pa, per_k)
}
