//! The outside of a pipe, fitting or bottle: its metal lags behind what is inside, and frost needs time.

use crate::air;
use crate::parts::engine_bay::relax;

/// Metal of a place that is looked at, and the frost on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Skin {
    /// Temperature of the metal, K.
    pub metal_k: f64,
    /// Frost on it, kg/m².
    pub frost_kg_m2: f64,
}

/// Air around a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirAround {
    /// Water, kg per kg of dry air.
    pub humidity_ratio: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
}

/// Lag of the metal, s: a valve block of 0.3 kg of aluminium (900 J/(kg K)), 10 W/K to what boils in it
/// (common practice, no source).
const METAL_LAG_S: f64 = 30.0;
/// Water that moves to a surface, kg/(m² s) for each kg/kg between air and surface: 10 W/(m² K) by the
/// analogy of heat and mass transfer (Lewis 1922) with 1006 J/(kg K).
const DEPOSITION_KG_M2_S: f64 = 10.0 / 1006.0;
/// Frost that melts, kg/(m² s) for each K above freezing: 500 W/(m² K) from metal through thin frost (from
/// memory), 334 kJ/kg.
const MELTING_KG_M2_S_K: f64 = 500.0 / 334e3;
/// Frost that is seen as white, kg/m²: 0.05 mm of new frost at 100 kg/m³ (from memory).
const WHITE_FROM_KG_M2: f64 = 5e-3;
const FREEZING_K: f64 = 273.15;

impl Skin {
    /// Dry metal of a temperature, K.
    #[must_use]
    pub fn dry(metal_k: f64) -> Self {
        Self {
            metal_k,
            frost_kg_m2: 0.0,
        }
    }

    /// Moved on by a step, with this inside, K.
    #[must_use]
    pub fn advance(self, inside_k: f64, air: AirAround, step_s: f64) -> Self {
        let metal_k = relax(self.metal_k, inside_k, step_s / METAL_LAG_S);
        let above_k = metal_k - FREEZING_K;
        let gain_kg_m2_s = if above_k < 0.0 {
            let at_surface = air::saturated_humidity_ratio(metal_k, air.pressure_pa);
            DEPOSITION_KG_M2_S * (air.humidity_ratio - at_surface)
        } else {
            -MELTING_KG_M2_S_K * above_k
        };
        Self {
            metal_k,
            frost_kg_m2: (self.frost_kg_m2 + step_s * gain_kg_m2_s).max(0.0),
        }
    }

    /// Whether the frost on it is seen.
    #[must_use]
    pub fn is_white(self) -> bool {
        self.frost_kg_m2 > WHITE_FROM_KG_M2
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Time until metal that starts warm is white, s, with this inside.
    fn white_after_s(inside_k: f64, humidity_ratio: f64) -> Option<u32> {
        let around = AirAround {
            humidity_ratio,
            pressure_pa: 101_325.0,
        };
        let mut skin = Skin::dry(302.15);
        (1..3600).find(|_| {
            skin = skin.advance(inside_k, around, 1.0);
            skin.is_white()
        })
    }

    /// By hand: 30 s ln(39/10) = 41 s to freezing, then 5 g/m² at 0.1 g/(m² s) of the mean: 50 s.
    #[test]
    fn frost_takes_more_than_a_minute_and_humid_air() {
        let humid = white_after_s(263.15, 0.014);
        assert!(humid.is_some_and(|s| (80..100).contains(&s)), "{humid:?}");
        assert_eq!(white_after_s(263.15, 0.001), None);
        assert_eq!(white_after_s(274.15, 0.014), None);
    }

    #[test]
    fn frost_melts_within_seconds_on_warm_metal() {
        let around = AirAround {
            humidity_ratio: 0.014,
            pressure_pa: 101_325.0,
        };
        let mut skin = Skin {
            metal_k: 263.15,
            frost_kg_m2: 0.02,
        };
        for _ in 0..60 {
            skin = skin.advance(290.15, around, 1.0);
        }
        assert_eq!(skin.frost_kg_m2, 0.0);
    }
}
