//! Moist air: humidity, enthalpy and the temperatures a psychrometer shows.
//!
//! The ideal-gas formulation of the ASHRAE Handbook – Fundamentals (2017), chapter 1, with
//! the saturation pressures of Hyland & Wexler (1983) over ice and over water. It lies
//! within 0.5 % of real-gas humidity ratios at the pressures of a workshop.
//!
//! Everything is per kilogram of dry air where the name ends in `_da`; enthalpy is zero
//! for dry air and for liquid water at 0 °C. A relative humidity is a fraction of 1.
//!
//! The functions are meant for −60 to 200 °C and 50 to 110 kPa, and stay finite far outside
//! (tested to a million either way): a saturation temperature beyond −100 to 200 °C counts
//! as that limit, a pressure below 1 kPa as 1 kPa, and a negative humidity ratio as none.
//! Where vapour would fill more than four fifths of the pressure, near boiling, the
//! humidity ratio goes on along its tangent, so that a hot wet wall never meets the pole.

use libm::{exp, log, pow};

/// Kelvin at 0 °C.
pub const ZERO_CELSIUS_K: f64 = 273.15;
/// The molar mass of water over that of dry air (ASHRAE 2017, ch. 1, eq. 20).
pub const MOLAR_MASS_RATIO: f64 = 0.621_945;
/// The gas constant of dry air, J/(kg K) (ASHRAE 2017, ch. 1, eq. 1).
pub const DRY_AIR_GAS_CONSTANT_J_PER_KG_K: f64 = 287.042;
/// Heat capacity of dry air at constant pressure, J/(kg K) (ASHRAE 2017, ch. 1, eq. 30).
pub const DRY_AIR_HEAT_CAPACITY_J_PER_KG_K: f64 = 1006.0;
/// Heat capacity of water vapour at constant pressure, J/(kg K) (same equation).
pub const VAPOUR_HEAT_CAPACITY_J_PER_KG_K: f64 = 1860.0;
/// Enthalpy of water vapour at 0 °C, J/kg (same equation).
pub const VAPOUR_ENTHALPY_AT_ZERO_CELSIUS_J_PER_KG: f64 = 2_501_000.0;
/// Heat capacity of liquid water, J/(kg K) (ASHRAE 2017, ch. 1, eq. 33).
pub const LIQUID_WATER_HEAT_CAPACITY_J_PER_KG_K: f64 = 4186.0;
/// Heat capacity of ice, J/(kg K) (ASHRAE 2017, ch. 1, eq. 35).
pub const ICE_HEAT_CAPACITY_J_PER_KG_K: f64 = 2100.0;
/// Heat to melt ice at 0 °C, J/kg (IAPWS R10-06, 2009: 333.43 kJ/kg).
pub const HEAT_OF_FUSION_J_PER_KG: f64 = 333_430.0;
/// Pressure of the standard atmosphere at sea level, Pa (ASHRAE 2017, ch. 1, eq. 3).
pub const STANDARD_ATMOSPHERE_PA: f64 = 101_325.0;

/// Ice below, water above. ASHRAE changes over at 0 °C, where the two curves are 0.01 %
/// apart; at the triple point they meet.
const TRIPLE_POINT_K: f64 = 273.16;
/// The range in which the saturation curves were fitted.
const COLDEST_SATURATION_K: f64 = 173.15;
const HOTTEST_SATURATION_K: f64 = 473.15;
const LEAST_PRESSURE_PA: f64 = 1000.0;
/// The part of the pressure that is vapour from which humidity ratio is a straight line.
const LINEAR_FROM: f64 = 0.8;
const LINEAR_SLOPE: f64 = 1.0 / ((1.0 - LINEAR_FROM) * (1.0 - LINEAR_FROM));
/// Moles of vapour per mole of dry air at that point.
const LINEAR_FROM_RATIO: f64 = LINEAR_FROM / (1.0 - LINEAR_FROM);

/// Hyland & Wexler (1983): ln p = a/T + b + c T + d T² + e T³ + f T⁴ + g ln T.
struct SaturationCurve {
    a: f64,
    b: f64,
    c: f64,
    d: f64,
    e: f64,
    f: f64,
    g: f64,
}

/// ASHRAE 2017, ch. 1, eq. 5, −100 to 0 °C.
const OVER_ICE: SaturationCurve = SaturationCurve {
    a: -5.674_535_9e3,
    b: 6.392_524_7,
    c: -9.677_843e-3,
    d: 6.221_570_1e-7,
    e: 2.074_782_5e-9,
    f: -9.484_024e-13,
    g: 4.163_501_9,
};

/// ASHRAE 2017, ch. 1, eq. 6, 0 to 200 °C.
const OVER_WATER: SaturationCurve = SaturationCurve {
    a: -5.800_220_6e3,
    b: 1.391_499_3,
    c: -4.864_023_9e-2,
    d: 4.176_476_8e-5,
    e: -1.445_209_3e-8,
    f: 0.0,
    g: 6.545_967_3,
};

impl SaturationCurve {
    /// ln p and its derivative with respect to temperature.
    fn ln_pressure_with_slope(&self, t: f64) -> (f64, f64) {
        let ln_p = self.a / t
            + self.b
            + t * (self.c + t * (self.d + t * (self.e + t * self.f)))
            + self.g * log(t);
        let slope = -self.a / (t * t)
            + self.c
            + t * (2.0 * self.d + t * (3.0 * self.e + t * 4.0 * self.f))
            + self.g / t;
        (ln_p, slope)
    }
}

/// The pressure of water vapour over ice or water, Pa, and its temperature derivative, Pa/K.
fn saturation_with_slope(temperature_k: f64) -> (f64, f64) {
    let t = temperature_k.clamp(COLDEST_SATURATION_K, HOTTEST_SATURATION_K);
    let curve = if t <= TRIPLE_POINT_K {
        OVER_ICE
    } else {
        OVER_WATER
    };
    let (ln_p, slope) = curve.ln_pressure_with_slope(t);
    let pressure_pa = exp(ln_p);
    // Beyond the limits the pressure is held, and a slope would contradict that.
    let slope = if t == temperature_k { slope } else { 0.0 };
    (pressure_pa, pressure_pa * slope)
}

/// The pressure of water vapour in equilibrium with ice (to 0.01 °C) or liquid water, Pa.
///
/// ASHRAE 2017, ch. 1, eqs 5 and 6; −100 to 200 °C, beyond which the value is held.
///
/// ```
/// use sim_core::air::saturation_vapour_pressure_pa;
/// // Water in an open loop at 25 °C boils once the pump has drawn down to this:
/// assert!((saturation_vapour_pressure_pa(298.15) - 3170.0).abs() < 1.0);
/// ```
pub fn saturation_vapour_pressure_pa(temperature_k: f64) -> f64 {
    saturation_with_slope(temperature_k).0
}

/// Humidity ratio from the part of the pressure that is vapour, and its derivative.
fn ratio_with_slope(vapour_part: f64) -> (f64, f64) {
    if vapour_part <= LINEAR_FROM {
        let part = vapour_part.max(0.0);
        let dry = 1.0 - part;
        (
            MOLAR_MASS_RATIO * part / dry,
            MOLAR_MASS_RATIO / (dry * dry),
        )
    } else {
        let slope = MOLAR_MASS_RATIO * LINEAR_SLOPE;
        let at_start = MOLAR_MASS_RATIO * LINEAR_FROM_RATIO;
        (at_start + slope * (vapour_part - LINEAR_FROM), slope)
    }
}

/// The inverse of [`ratio_with_slope`], in Pa.
fn vapour_pressure_pa(humidity_ratio: f64, pressure_pa: f64) -> f64 {
    let moles = humidity_ratio.max(0.0) / MOLAR_MASS_RATIO;
    let part = if moles <= LINEAR_FROM_RATIO {
        moles / (1.0 + moles)
    } else {
        LINEAR_FROM + (moles - LINEAR_FROM_RATIO) / LINEAR_SLOPE
    };
    part * pressure_pa.max(LEAST_PRESSURE_PA)
}

/// Kilograms of water per kilogram of dry air at a relative humidity (1 is saturated).
///
/// ASHRAE 2017, ch. 1, eqs 12 and 20.
///
/// ```
/// use sim_core::air::humidity_ratio_from_relative;
/// let w = humidity_ratio_from_relative(298.15, 0.5, 101_325.0);
/// assert!((w - 9.881e-3).abs() < 1e-6);
/// ```
pub fn humidity_ratio_from_relative(
    temperature_k: f64,
    relative_humidity: f64,
    pressure_pa: f64,
) -> f64 {
    let vapour_pa = relative_humidity * saturation_vapour_pressure_pa(temperature_k);
    ratio_with_slope(vapour_pa / pressure_pa.max(LEAST_PRESSURE_PA)).0
}

/// Relative humidity, 1 being saturated; above 1 where the air holds more than it can.
///
/// ASHRAE 2017, ch. 1, eqs 12 and 20.
///
/// ```
/// use sim_core::air::relative_humidity;
/// assert!((relative_humidity(298.15, 9.881e-3, 101_325.0) - 0.5).abs() < 1e-4);
/// ```
pub fn relative_humidity(temperature_k: f64, humidity_ratio: f64, pressure_pa: f64) -> f64 {
    vapour_pressure_pa(humidity_ratio, pressure_pa) / saturation_vapour_pressure_pa(temperature_k)
}

/// The most water air can hold, kg per kg of dry air.
///
/// ASHRAE 2017, ch. 1, eq. 21.
///
/// ```
/// use sim_core::air::saturated_humidity_ratio;
/// // A fin at 5 °C dries air to 5.4 g/kg.
/// assert!((saturated_humidity_ratio(278.15, 101_325.0) - 5.40e-3).abs() < 1e-5);
/// ```
pub fn saturated_humidity_ratio(temperature_k: f64, pressure_pa: f64) -> f64 {
    saturated_humidity_ratio_with_slope(temperature_k, pressure_pa).0
}

/// How [`saturated_humidity_ratio`] rises with temperature, 1/K.
///
/// ```
/// use sim_core::air::{saturated_humidity_ratio, saturated_humidity_ratio_slope};
/// let p = 101_325.0;
/// let rise = saturated_humidity_ratio(283.16, p) - saturated_humidity_ratio(283.14, p);
/// assert!((saturated_humidity_ratio_slope(283.15, p) - rise / 0.02).abs() < 1e-9);
/// ```
pub fn saturated_humidity_ratio_slope(temperature_k: f64, pressure_pa: f64) -> f64 {
    saturated_humidity_ratio_with_slope(temperature_k, pressure_pa).1
}

/// Saturated humidity ratio and its slope in one evaluation, for the cells of an
/// evaporator: one exponential and one logarithm.
///
/// ```
/// use sim_core::air::saturated_humidity_ratio_with_slope;
/// let (ratio, slope) = saturated_humidity_ratio_with_slope(283.15, 101_325.0);
/// assert!((ratio - 7.63e-3).abs() < 1e-5);
/// assert!((slope - 0.52e-3).abs() < 1e-5);
/// ```
pub fn saturated_humidity_ratio_with_slope(temperature_k: f64, pressure_pa: f64) -> (f64, f64) {
    let pressure_pa = pressure_pa.max(LEAST_PRESSURE_PA);
    let (vapour_pa, vapour_slope) = saturation_with_slope(temperature_k);
    let (ratio, slope) = ratio_with_slope(vapour_pa / pressure_pa);
    (ratio, slope * vapour_slope / pressure_pa)
}

/// The temperature at which the air's water begins to condense or freeze, K.
///
/// Inverts the saturation curves to 1 µK, between −100 °C (given for dry air too) and
/// 200 °C.
///
/// ```
/// use sim_core::air::dew_point_k;
/// assert!((dew_point_k(9.881e-3, 101_325.0) - (273.15 + 13.86)).abs() < 0.01);
/// ```
pub fn dew_point_k(humidity_ratio: f64, pressure_pa: f64) -> f64 {
    let vapour_pa = vapour_pressure_pa(humidity_ratio, pressure_pa);
    let ice = vapour_pa <= saturation_vapour_pressure_pa(TRIPLE_POINT_K);
    let (curve, coldest, hottest) = if ice {
        (OVER_ICE, COLDEST_SATURATION_K, TRIPLE_POINT_K)
    } else {
        (OVER_WATER, TRIPLE_POINT_K, HOTTEST_SATURATION_K)
    };
    if vapour_pa <= saturation_vapour_pressure_pa(COLDEST_SATURATION_K) {
        return COLDEST_SATURATION_K;
    }
    let ln_p = log(vapour_pa);
    // ln p is nearly straight in 1/T, so Newton's steps in 1/T close in at once.
    let mut t = if ice { 253.15 } else { 303.15 };
    for _ in 0..8 {
        let (here, slope) = curve.ln_pressure_with_slope(t);
        let inverse = 1.0 / t + (here - ln_p) / (t * t * slope);
        t = (1.0 / inverse).clamp(coldest, hottest);
    }
    t
}

/// The humidity ratio of air at a dry-bulb and a wet-bulb temperature.
///
/// ASHRAE 2017, ch. 1, eqs 33 (water on the bulb) and 35 (ice).
fn humidity_ratio_from_wet_bulb(temperature_k: f64, wet_bulb_k: f64, pressure_pa: f64) -> f64 {
    let dry_c = temperature_k - ZERO_CELSIUS_K;
    let wet_c = wet_bulb_k - ZERO_CELSIUS_K;
    let saturated = saturated_humidity_ratio(wet_bulb_k, pressure_pa);
    if wet_c >= 0.0 {
        ((2501.0 - 2.326 * wet_c) * saturated - 1.006 * (dry_c - wet_c))
            / (2501.0 + 1.86 * dry_c - 4.186 * wet_c)
    } else {
        ((2830.0 - 0.24 * wet_c) * saturated - 1.006 * (dry_c - wet_c))
            / (2830.0 + 1.86 * dry_c - 2.1 * wet_c)
    }
}

/// The thermodynamic wet-bulb temperature, K; the dry-bulb temperature for saturated air.
///
/// Solves ASHRAE 2017, ch. 1, eqs 33 and 35 by halving between dew point and dry bulb.
/// Forty saturation pressures: for instruments, not for inner loops.
///
/// ```
/// use sim_core::air::wet_bulb_k;
/// assert!((wet_bulb_k(298.15, 9.881e-3, 101_325.0) - (273.15 + 17.89)).abs() < 0.01);
/// ```
pub fn wet_bulb_k(temperature_k: f64, humidity_ratio: f64, pressure_pa: f64) -> f64 {
    let wanted = humidity_ratio.max(0.0);
    let mut low_k = dew_point_k(humidity_ratio, pressure_pa);
    let mut high_k = temperature_k;
    if low_k >= high_k {
        return temperature_k;
    }
    for _ in 0..40 {
        let middle_k = 0.5 * (low_k + high_k);
        if humidity_ratio_from_wet_bulb(temperature_k, middle_k, pressure_pa) > wanted {
            high_k = middle_k;
        } else {
            low_k = middle_k;
        }
    }
    0.5 * (low_k + high_k)
}

/// Enthalpy of moist air, J per kg of dry air.
///
/// ASHRAE 2017, ch. 1, eq. 30. Condensate that leaves takes
/// [`liquid_water_enthalpy_j_per_kg`] with it.
///
/// ```
/// use sim_core::air::enthalpy_j_per_kg_da;
/// assert!((enthalpy_j_per_kg_da(298.15, 9.881e-3) - 50_320.0).abs() < 10.0);
/// ```
pub fn enthalpy_j_per_kg_da(temperature_k: f64, humidity_ratio: f64) -> f64 {
    let water = humidity_ratio.max(0.0);
    moist_heat_capacity_j_per_kg_k(water) * (temperature_k - ZERO_CELSIUS_K)
        + water * VAPOUR_ENTHALPY_AT_ZERO_CELSIUS_J_PER_KG
}

/// The temperature of moist air from its enthalpy, K: the inverse of
/// [`enthalpy_j_per_kg_da`].
///
/// ```
/// use sim_core::air::{enthalpy_j_per_kg_da, temperature_from_enthalpy_k};
/// let h = enthalpy_j_per_kg_da(298.15, 0.01);
/// assert!((temperature_from_enthalpy_k(h, 0.01) - 298.15).abs() < 1e-9);
/// ```
pub fn temperature_from_enthalpy_k(enthalpy_j_per_kg_da: f64, humidity_ratio: f64) -> f64 {
    let water = humidity_ratio.max(0.0);
    let sensible = enthalpy_j_per_kg_da - water * VAPOUR_ENTHALPY_AT_ZERO_CELSIUS_J_PER_KG;
    ZERO_CELSIUS_K + sensible / moist_heat_capacity_j_per_kg_k(water)
}

/// Heat capacity of moist air at constant pressure, J/K per kg of dry air.
///
/// ```
/// use sim_core::air::moist_heat_capacity_j_per_kg_k;
/// assert!((moist_heat_capacity_j_per_kg_k(0.01) - 1024.6).abs() < 1e-9);
/// ```
pub fn moist_heat_capacity_j_per_kg_k(humidity_ratio: f64) -> f64 {
    DRY_AIR_HEAT_CAPACITY_J_PER_KG_K + humidity_ratio.max(0.0) * VAPOUR_HEAT_CAPACITY_J_PER_KG_K
}

/// Volume of moist air, m³ per kg of dry air.
///
/// ASHRAE 2017, ch. 1, eq. 26.
///
/// ```
/// use sim_core::air::specific_volume_m3_per_kg_da;
/// let v = specific_volume_m3_per_kg_da(298.15, 9.881e-3, 101_325.0);
/// assert!((v - 0.8580).abs() < 1e-4);
/// ```
pub fn specific_volume_m3_per_kg_da(
    temperature_k: f64,
    humidity_ratio: f64,
    pressure_pa: f64,
) -> f64 {
    // The handbook's rounded 1/0.621945.
    let moles = 1.0 + 1.607_858 * humidity_ratio.max(0.0);
    DRY_AIR_GAS_CONSTANT_J_PER_KG_K * temperature_k * moles / pressure_pa.max(LEAST_PRESSURE_PA)
}

/// Pressure of the standard atmosphere, Pa, from −5000 to 11 000 m; held beyond.
///
/// ASHRAE 2017, ch. 1, eq. 3.
///
/// ```
/// use sim_core::air::atmospheric_pressure_pa;
/// assert!((atmospheric_pressure_pa(1500.0) - 84_556.0).abs() < 1.0);
/// ```
pub fn atmospheric_pressure_pa(altitude_m: f64) -> f64 {
    let altitude_m = altitude_m.clamp(-5000.0, 11_000.0);
    STANDARD_ATMOSPHERE_PA * pow(1.0 - 2.255_77e-5 * altitude_m, 5.2559)
}

/// Enthalpy of liquid water, J/kg: condensate on its way to the drain.
///
/// ASHRAE 2017, ch. 1, as used in eq. 33; zero at 0 °C.
///
/// ```
/// use sim_core::air::liquid_water_enthalpy_j_per_kg;
/// assert!((liquid_water_enthalpy_j_per_kg(283.15) - 41_860.0).abs() < 1e-6);
/// ```
pub fn liquid_water_enthalpy_j_per_kg(temperature_k: f64) -> f64 {
    LIQUID_WATER_HEAT_CAPACITY_J_PER_KG_K * (temperature_k - ZERO_CELSIUS_K)
}

/// Enthalpy of ice, J/kg, on the scale of [`liquid_water_enthalpy_j_per_kg`]: frost on a
/// fin.
///
/// Ice at 0 °C lies [`HEAT_OF_FUSION_J_PER_KG`] below water.
///
/// ```
/// use sim_core::air::{HEAT_OF_FUSION_J_PER_KG, ice_enthalpy_j_per_kg};
/// assert!((ice_enthalpy_j_per_kg(273.15) + HEAT_OF_FUSION_J_PER_KG).abs() < 1e-6);
/// ```
pub fn ice_enthalpy_j_per_kg(temperature_k: f64) -> f64 {
    ICE_HEAT_CAPACITY_J_PER_KG_K * (temperature_k - ZERO_CELSIUS_K) - HEAT_OF_FUSION_J_PER_KG
}

#[cfg(test)]
mod tests;
