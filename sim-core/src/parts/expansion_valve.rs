//! Thermal expansion valve: a needle moved by the pressure of a sensing charge.
//!
//! The sensing charge follows the evaporator outlet with a lag (first order, its time constant in s). Its
//! pressure is p_s = (1 − lost) p_sat(T_s) of the label's refrigerant; above a limit it rises with 0.04 of
//! that slope only, so that the valve stays shut while the evaporator is too warm. Lift 0 to 1:
//! x = (p_s − p_out − p_spring) / p_full, pressures in Pa, its stops rounded over 0.03. Flow:
//! ṁ = A √(2 ρ Δp), kg/s, A the needle A_f (b + (1 − b) x) and the screen 12 A_f in series,
//! 1/A² = Σ 1/A_i². Balance of forces and orifice equation are textbook; the limit's slope, bleed b and
//! screen are common practice, no source. Range: A_f of 0.8 to 2.5 mm², springs of −5 to 240 kPa with
//! their faults, sensing −40 to 80 °C; a blocked screen keeps 1e-4 of its area. Flow does not choke in
//! it, as it does in an orifice tube: the needle would open further.

use crate::dual::Dual;
use crate::fluid::Fluid;
use crate::parts::expansion::Open;
use crate::parts::line::{Flowing, Stream, passage};

/// Parameters of a thermal expansion valve.
#[derive(Clone, Debug, PartialEq)]
pub struct ExpansionValve {
    /// Effective flow area with the needle fully lifted, m².
    pub full_area_m2: f64,
    /// Share of that area which stays open with the needle seated.
    pub bleed_share: f64,
    /// Pressure of the spring with the needle seated, Pa (sets the static superheat).
    pub spring_pressure_pa: f64,
    /// Pressure beyond the spring that lifts the needle fully, Pa.
    pub full_lift_pressure_pa: f64,
    /// Time constant of the sensing element, s.
    pub sensing_lag_s: f64,
    /// Absolute pressure at which the sensing charge has boiled dry and stops rising, Pa.
    pub pressure_limit_pa: f64,
    /// Least lift the needle can take: above 0 when stuck open.
    pub least_lift: f64,
    /// Greatest lift the needle can take: below 1 when stuck shut.
    pub greatest_lift: f64,
    /// Share of the sensing charge that has escaped.
    pub sensing_charge_lost: f64,
    /// Share of its contact with the outlet that the sensing element has lost to the air around it.
    pub sensing_contact_lost: f64,
    /// Share of the inlet screen that is blocked.
    pub screen_blockage: f64,
}

/// Rise of the sensing pressure above its limit, per Pa of saturation pressure: vapour only.
const ABOVE_LIMIT: f64 = 0.04;

impl ExpansionValve {
    /// Pressure of the sensing charge, a refrigerant of its own, at a temperature, Pa, with its slope, Pa/K.
    #[must_use]
    pub fn sensing_pressure_pa(&self, charge: &Fluid, sensing_temperature_k: f64) -> (f64, f64) {
        let saturated = charge.saturation_pressure_pa(sensing_temperature_k);
        let slope = 1.0 / charge.saturation(saturated).temperature_dp;
        // Softened over 20 kPa: a kink would make the needle chatter at the limit.
        let over = Dual::<1>::variable(saturated - self.pressure_limit_pa, 0).soft_positive(2.0e4);
        let limited = saturated - (1.0 - ABOVE_LIMIT) * over.value;
        let limited_slope = slope * (1.0 - (1.0 - ABOVE_LIMIT) * over.slope[0]);
        let left = 1.0 - self.sensing_charge_lost;
        (limited * left, limited_slope * left)
    }

    /// Needle lift, 0 to 1, from the sensing pressure and the evaporator outlet pressure.
    #[must_use]
    pub fn lift<const N: usize>(
        &self,
        sensing_pressure_pa: Dual<N>,
        outlet_pressure_pa: Dual<N>,
    ) -> Dual<N> {
        let force = sensing_pressure_pa - outlet_pressure_pa - self.spring_pressure_pa;
        let free = force * (1.0 / self.full_lift_pressure_pa);
        // Rounded stops: the same shape at both ends.
        let opened = free.soft_positive(0.03);
        let lift = opened - (opened - 1.0).soft_positive(0.03);
        let least = self.least_lift.min(self.greatest_lift);
        let greatest = self.greatest_lift.max(self.least_lift);
        if lift.value < least {
            Dual::constant(least)
        } else if lift.value > greatest {
            Dual::constant(greatest)
        } else {
            lift
        }
    }

    /// Flow through the valve at a lift.
    ///
    /// ṁ = A √(2 ρ Δp), see [`passage`]; screen and needle in series, their resistances adding as 1/A².
    #[must_use]
    pub fn flow<const N: usize>(
        &self,
        lift: Dual<N>,
        open: Open,
        inlet: &Flowing<N>,
        outlet: &Flowing<N>,
    ) -> Stream<N> {
        passage(self.area_m2(lift, open), inlet, outlet)
    }

    /// Effective area of screen and needle in series, m².
    pub(super) fn area_m2<const N: usize>(&self, lift: Dual<N>, open: Open) -> Dual<N> {
        let screen = self.full_area_m2
            * SCREEN_TO_NEEDLE
            * ((1.0 - self.screen_blockage) * open.screen).max(1e-4);
        let needle = (lift * (1.0 - self.bleed_share) + self.bleed_share)
            * (self.full_area_m2 * open.passage);
        Dual::constant(1.0)
            / (Dual::constant(1.0) / (needle * needle) + 1.0 / (screen * screen)).sqrt()
    }
}

/// A clean screen passes this many times the needle's full area (common practice, no source).
const SCREEN_TO_NEEDLE: f64 = 12.0;
