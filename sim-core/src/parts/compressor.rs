//! Compressor of fixed or variable displacement, driven by a belt or by a motor of its own.
//!
//! ṁ = η_v s V n ρ, kg/s: V the swept volume in m³, s the stroke's share, n turns per second, ρ the suction
//! density in kg/m³. Δh = (h_s − h) / (η_s (1 − 0.25 (1 − s))), J/kg, h_s after compression at the suction
//! entropy. Both efficiencies fall as straight lines, η = η₀ − a (π − 1) − b (N − 1), π the pressure ratio, N
//! thousands of rpm of the shaft: the usual map of a car compressor (Darr & Crawford 1992, ACRC TR-14, gives
//! the form; the coefficients of each vehicle are common practice, no source). Torque, N m: P / (2π n) and
//! friction and what rubs. Suction quality does not change the volumetric efficiency (checks of the swash-plate
//! type, same range). Range: π of 1 to some 20, 0 to 9000 rpm of the shaft, any suction state. Outside: π is
//! taken as 1 below it, η_v goes smoothly to 0, η_s stays above 0.25, and liquid in the suction fills the
//! cylinders up to 250 kg/m³ only.

use crate::dual::Dual;
use crate::fluid::Fluid;
use crate::parts::displacement::{Capacity, Stroke};
use crate::parts::line::Flowing;
use crate::parts::motor::Turned;

/// Parameters of a compressor.
#[derive(Clone, Debug, PartialEq)]
pub struct Compressor {
    /// Volume swept in one turn at full stroke, m³.
    pub displacement_m3: f64,
    /// What decides how much of it is used.
    pub capacity: Capacity,
    /// What turns its shaft.
    pub turned: Turned,
    /// Volumetric efficiency extrapolated to pressure ratio 1 and 1000 rpm.
    pub volumetric_base: f64,
    /// Volumetric efficiency lost for each unit of pressure ratio.
    pub volumetric_loss_per_ratio: f64,
    /// Volumetric efficiency lost for each 1000 rpm.
    pub volumetric_loss_per_1000_rpm: f64,
    /// Isentropic efficiency extrapolated to pressure ratio 1 and 1000 rpm.
    pub isentropic_base: f64,
    /// Isentropic efficiency lost for each unit of pressure ratio.
    pub isentropic_loss_per_ratio: f64,
    /// Isentropic efficiency lost for each 1000 rpm.
    pub isentropic_loss_per_1000_rpm: f64,
    /// Torque of seals and bearings, N m.
    pub friction_torque_n_m: f64,
    /// Heat capacity of the body, J/K.
    pub body_heat_capacity_j_per_k: f64,
    /// Heat conductance from the discharge gas to the body, W/K.
    pub body_conductance_w_per_k: f64,
    /// Heat conductance from the body to the air around it, W/K.
    pub body_loss_w_per_k: f64,
    /// Effective leak area past the discharge valves, m²; a healthy set seals to a few hundredths of a mm².
    pub valve_leak_area_m2: f64,
    /// Torque added by worn or seizing internals, N m; 0 when healthy.
    pub drag_torque_n_m: f64,
}

/// What the compressor does with the gas it is given.
#[derive(Clone, Copy, Debug)]
pub struct Delivery {
    /// Flow from suction to discharge, kg/s.
    pub mass_flow_kg_s: Dual<4>,
    /// Work put into each kilogram, J/kg.
    pub enthalpy_rise_j_per_kg: Dual<4>,
}

/// Share of the isentropic efficiency that is lost towards no stroke at all: leaks and friction stay
/// as they are (common practice, no source).
const PART_STROKE_LOSS: f64 = 0.25;
/// Lowest isentropic efficiency the map may give: the straight lines would pass below it at vacuum.
const LEAST_ISENTROPIC: f64 = 0.25;

/// Temperature of the body from which rubbing internals bind, K: 150 °C (common practice, no source).
const BINDS_FROM_K: f64 = 423.15;
/// Temperature of the pistons from which oil no longer carries, K: 170 °C (common practice, no source).
const OIL_FAILS_FROM_K: f64 = 443.15;
/// Torque of dry pistons that much hotter, N m (common practice, no source): aluminium seizes soon after.
const DRY_N_M: f64 = 8.0;
/// Rise beyond that which doubles what they rub, K (common practice, no source).
const BINDING_SPAN_K: f64 = 30.0;

impl Compressor {
    /// Flow and work at a shaft speed and plate position, from the suction state and the discharge pressure.
    ///
    /// The four independent variables are suction pressure and enthalpy, then
    /// discharge pressure and enthalpy.
    #[must_use]
    pub fn delivery(
        &self,
        fluid: &Fluid,
        speed_rev_s: f64,
        stroke: &Stroke,
        suction: &Flowing<4>,
        discharge_pressure_pa: Dual<4>,
    ) -> Delivery {
        let pressure_pa = suction.pressure_pa;
        let ratio = (discharge_pressure_pa / pressure_pa).at_least(1.0);
        let thousands = speed_rev_s * 0.06;
        let volumetric = (Dual::constant(
            self.volumetric_base + self.volumetric_loss_per_ratio
                - self.volumetric_loss_per_1000_rpm * (thousands - 1.0),
        ) - ratio * self.volumetric_loss_per_ratio)
            .soft_positive(0.01);
        let isentropic = (Dual::constant(
            self.isentropic_base + self.isentropic_loss_per_ratio
                - self.isentropic_loss_per_1000_rpm * (thousands - 1.0)
                - LEAST_ISENTROPIC,
        ) - ratio * self.isentropic_loss_per_ratio)
            .soft_positive(0.02)
            + LEAST_ISENTROPIC;
        let stroke = stroke.at(pressure_pa);
        let isentropic = isentropic * (stroke * PART_STROKE_LOSS + (1.0 - PART_STROKE_LOSS));
        let mass_flow_kg_s = filling(suction.density_kg_per_m3)
            * volumetric
            * stroke
            * (self.displacement_m3 * speed_rev_s);
        let high = discharge_pressure_pa.value.max(pressure_pa.value);
        let ideal = isentropic_enthalpy(fluid, suction, discharge_pressure_pa, high);
        let enthalpy_rise_j_per_kg = (ideal - suction.enthalpy_j_per_kg) / isentropic;
        Delivery {
            mass_flow_kg_s,
            enthalpy_rise_j_per_kg,
        }
    }

    /// Torque needed at the shaft, N m, for a power into the refrigerant at a speed, on top of what
    /// rubs inside beyond a healthy compressor's own friction.
    #[must_use]
    pub fn torque_n_m(&self, refrigerant_power_w: f64, speed_rev_s: f64, rubbing_n_m: f64) -> f64 {
        let gas = if speed_rev_s > 0.1 {
            refrigerant_power_w / (2.0 * std::f64::consts::PI * speed_rev_s)
        } else {
            0.0
        };
        gas + self.friction_torque_n_m + rubbing_n_m
    }

    /// Torque of internals that rub beyond a healthy compressor's friction, N m: worn ones, and ones
    /// short of oil, of which `oil_friction` is what its oil makes of the friction.
    ///
    /// What rubs heats the body, and a hot body has less room for it: it binds. The pistons are half way
    /// between body and discharge gas; hotter ones lose the film of their oil, however sound they are.
    #[must_use]
    pub fn rubbing_n_m(&self, oil_friction: f64, body_k: f64, discharge_k: f64) -> f64 {
        let cold = self.friction_torque_n_m * (oil_friction - 1.0) + self.drag_torque_n_m;
        let hot = (body_k - BINDS_FROM_K).max(0.0) / BINDING_SPAN_K;
        let piston_k = 0.5 * (body_k + discharge_k);
        let dry = (piston_k - OIL_FAILS_FROM_K).max(0.0) / BINDING_SPAN_K;
        cold * (1.0 + hot * hot) + DRY_N_M * dry * dry
    }
}

/// Density that fills the cylinders, kg/m³.
///
/// Gas and mist do so as they are. Liquid does not get through the ports in the time there is: its
/// own pressure is all that drives it (levels from memory).
fn filling(density: Dual<4>) -> Dual<4> {
    const FILLS_TO: f64 = 100.0;
    const BEYOND: f64 = 150.0;
    if density.value <= FILLS_TO {
        return density;
    }
    let more = density - FILLS_TO;
    more / (more * (1.0 / BEYOND) + 1.0) + FILLS_TO
}

/// Enthalpy after compression at constant entropy, whether it ends dry or wet.
///
/// Newton on the entropy of the table; the slopes come from dh = T ds + v dp.
fn isentropic_enthalpy(
    fluid: &Fluid,
    suction: &Flowing<4>,
    discharge_pressure_pa: Dual<4>,
    high_pa: f64,
) -> Dual<4> {
    let (p1, h1) = (suction.pressure_pa, suction.enthalpy_j_per_kg);
    let inlet = fluid.ph(p1.value, h1.value);
    let saturation = fluid.saturation(high_pa);
    let mut enthalpy =
        h1.value + 1.05 * p1.value / inlet.density_kg_per_m3 * libm::log(high_pa / p1.value);
    let mut outlet = fluid.ph_with(&saturation, enthalpy);
    for _ in 0..8 {
        let miss = inlet.entropy_j_per_kg_k - outlet.entropy_j_per_kg_k;
        let change = miss * outlet.temperature_k;
        enthalpy += change;
        outlet = fluid.ph_with(&saturation, enthalpy);
        if change.abs() < 0.1 {
            break;
        }
    }
    let entropy_slope =
        |i: usize| (h1.slope[i] - p1.slope[i] / inlet.density_kg_per_m3) / inlet.temperature_k;
    let high_slope = if discharge_pressure_pa.value > p1.value {
        discharge_pressure_pa.slope
    } else {
        p1.slope
    };
    let mut slope = [0.0; 4];
    for (i, own) in slope.iter_mut().enumerate() {
        *own = outlet.temperature_k * entropy_slope(i) + high_slope[i] / outlet.density_kg_per_m3;
    }
    Dual {
        value: enthalpy,
        slope,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn isentropic(fluid: &Fluid, suction_pa: f64, suction_h: f64, discharge_pa: f64) -> Dual<4> {
        let density = fluid.ph(suction_pa, suction_h).density_kg_per_m3;
        let suction = Flowing {
            pressure_pa: Dual::variable(suction_pa, 0),
            enthalpy_j_per_kg: Dual::variable(suction_h, 1),
            density_kg_per_m3: Dual::constant(density),
        };
        let discharge = Dual::variable(discharge_pa, 2);
        isentropic_enthalpy(fluid, &suction, discharge, discharge_pa)
    }

    /// Saturated vapour of 5 °C compressed to the pressure of 55 °C without loss, by
    /// CoolProp 8.0.0 (suction and discharge pressure, both enthalpies, quality at the
    /// end): R-1234yf ends wet, since its dome leans over, and R-134a dry.
    #[test]
    fn compression_of_saturated_vapour_ends_wet_with_r1234yf() {
        for (fluid, [low, high, before, after], wet) in [
            (
                Fluid::r1234yf(),
                [373_006.080, 1_464_696.155, 366_729.209, 390_764.275],
                Some(0.968_201),
            ),
            (
                Fluid::r134a(),
                [349_658.608, 1_491_514.087, 401_492.302, 431_583.718],
                None,
            ),
        ] {
            let found = isentropic(&fluid, low, before, high).value;
            let what = format!("{}: {found} J/kg, expected {after}", fluid.name());
            assert!((found - after).abs() < 2.0, "{what}");
            let quality = fluid.ph(high, found).quality;
            match wet {
                Some(wet) => assert!((quality - wet).abs() < 1e-4, "{what}: {quality}"),
                None => assert!(quality > 1.0, "{what}: {quality}"),
            }
        }
    }

    /// The slopes that Newton's iteration of the loop uses, where compression ends wet,
    /// ends dry, and ends above the critical pressure (a blocked condenser).
    #[test]
    fn slopes_of_the_compression_match_differences() {
        let fluid = Fluid::r1234yf();
        for (low, before, high) in [
            (3.73e5, 366.7e3, 14.6e5),
            (3.73e5, 376.0e3, 14.6e5),
            (6e5, 385e3, 36e5),
            (6e5, 368e3, 33.4e5),
        ] {
            let found = isentropic(&fluid, low, before, high);
            let by_differences = [
                (isentropic(&fluid, low + 50.0, before, high).value
                    - isentropic(&fluid, low - 50.0, before, high).value)
                    / 100.0,
                (isentropic(&fluid, low, before + 20.0, high).value
                    - isentropic(&fluid, low, before - 20.0, high).value)
                    / 40.0,
                (isentropic(&fluid, low, before, high + 50.0).value
                    - isentropic(&fluid, low, before, high - 50.0).value)
                    / 100.0,
            ];
            for (slope, expected) in found.slope.into_iter().zip(by_differences) {
                let miss = (slope / expected - 1.0).abs();
                assert!(miss < 2e-3, "{low} to {high} Pa: {slope}, {expected}");
            }
        }
    }
}
