//! Evaporator: refrigerant passes, and humid air that may leave water or frost on the fins.
//!
//! A share ε = 1 − e^(−U/C) of the air leaves at the wall's temperature and, where that is below its dew
//! point, saturated at it; the rest passes by. U = U_r √(ṁ/ṁ_r) × the open share of the face, C the moist
//! air's capacity flow, both in W/K; ṁ dry air in kg/s. Heat is the drop of moist enthalpy less the
//! enthalpy of the water that stays, W. Wet fins dry at the same rate times m / (m + 2 g) until no water
//! is left. Water freezes, and ice melts, at 60 W/K × (0 °C − T_wall) / heat of fusion, kg/s. Frost closes
//! its mass over what blocks the core, 0.97 at most. Lewis number one and moist air: ASHRAE Fundamentals;
//! power 0.5 and levels: common practice, no source; ice from memory. Refrigerant side:
//! [`super::heat_transfer`]. Range: air of −10 to 60 °C at 0 to 100 % humidity, walls of −40 to 60 °C, 0 to
//! 0.25 kg/s; the saturation curves of [`crate::air`] hold beyond.

use crate::air;
use crate::parts::heat_transfer::{RegimeConductance, stream_conductance_w_per_k};

/// Parameters of an evaporator.
#[derive(Clone, Debug, PartialEq)]
pub struct Evaporator {
    /// Refrigerant volume, m³.
    pub volume_m3: f64,
    /// Heat capacity of the metal, J/K.
    pub heat_capacity_j_per_k: f64,
    /// Refrigerant side of the whole core.
    pub refrigerant_side: RegimeConductance,
    /// Air-side conductance of the whole core at its rated air flow, W/K.
    pub air_conductance_w_per_k: f64,
    /// Air flow at which that holds, kg/s of dry air.
    pub rated_air_flow_kg_s: f64,
    /// Effective flow area of the passes together, m².
    pub passage_area_m2: f64,
    /// Frost that closes the whole core, kg.
    pub frost_to_block_kg: f64,
    /// Water the fins hold before they drip, kg.
    pub water_held_kg: f64,
    /// Water that the case below the core holds before it runs over, kg.
    pub sump_kg: f64,
    /// Share of the face that lets no air through: dust, lint, mould.
    pub air_blockage: f64,
    /// Share of the passes that pass no refrigerant.
    pub tube_blockage: f64,
    /// Share of the water drain that is blocked.
    pub drain_blockage: f64,
}

/// Water on one part of the core.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wetness {
    /// Liquid on the fins, kg.
    pub water_kg: f64,
    /// Ice on the fins, kg.
    pub frost_kg: f64,
}

/// Air reaching one part of the core.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoistStream {
    /// Dry-air flow, kg/s.
    pub flow_kg_s: f64,
    /// Temperature, K.
    pub temperature_k: f64,
    /// Water in the air, kg per kg of dry air.
    pub humidity_ratio: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
}

/// One part of the core for the length of a step: everything but the wall's temperature is fixed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WetFace {
    stream: MoistStream,
    /// Share of the air that reaches the fins, 1 − e^(−NTU).
    effectiveness: f64,
    wetness: Wetness,
    wet_share: f64,
    step_s: f64,
}

/// What a part of the core does to the air and the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FaceExchange {
    /// Heat from air into the wall, W, ice forming or melting included.
    pub heat_w: f64,
    /// Its slope with the wall's temperature, W/K.
    pub heat_slope_w_per_k: f64,
    /// Water left on the fins, kg/s; negative when they dry.
    pub deposit_kg_s: f64,
    /// Water that freezes, kg/s; negative when ice melts.
    pub freezing_kg_s: f64,
    /// Air leaving, K.
    pub outlet_temperature_k: f64,
    /// Air leaving, kg per kg.
    pub outlet_humidity_ratio: f64,
}

/// Freezing point of water, K.
const FREEZING_K: f64 = 273.15;
/// Conductance between a wall off the freezing point and the water or ice on it, W/K for a part of the core (from memory).
const ICE_CONDUCTANCE_W_PER_K: f64 = 60.0;
/// Film that counts as half wetting the fins, kg for a part of the core.
const HALF_WET_KG: f64 = 0.002;

impl Evaporator {
    /// Share of its face that frost has closed, for one part of the core.
    #[must_use]
    pub fn frosted_share(&self, wetness: Wetness, share: f64) -> f64 {
        (wetness.frost_kg / (self.frost_to_block_kg * share)).min(0.97)
    }

    /// Share of its face that lets air through, for one part of the core: neither dirty nor frosted
    /// nor under water.
    #[must_use]
    pub fn open_share(&self, wetness: Wetness, share: f64, drowned_share: f64) -> f64 {
        (1.0 - self.frosted_share(wetness, share))
            * (1.0 - self.air_blockage)
            * (1.0 - drowned_share)
    }

    /// Prepares one part of the core, open as far as said, for a step.
    #[must_use]
    pub fn face(
        &self,
        stream: MoistStream,
        wetness: Wetness,
        share: f64,
        open_share: f64,
        step_s: f64,
    ) -> WetFace {
        let relative = stream.flow_kg_s / (self.rated_air_flow_kg_s * share);
        // Louvred fins: surface conductance with flow to the power 0.5 (common practice, no source).
        let surface = self.air_conductance_w_per_k * share * relative.max(0.0).sqrt() * open_share;
        let capacity =
            stream.flow_kg_s * air::moist_heat_capacity_j_per_kg_k(stream.humidity_ratio);
        let effectiveness = if capacity > 1e-6 {
            stream_conductance_w_per_k(surface, capacity) / capacity
        } else {
            0.0
        };
        WetFace {
            stream,
            effectiveness,
            wetness,
            wet_share: wetness.water_kg / (wetness.water_kg + HALF_WET_KG),
            step_s,
        }
    }
}

impl WetFace {
    /// Dry air through this part, kg/s.
    #[must_use]
    pub fn flow_kg_s(&self) -> f64 {
        self.stream.flow_kg_s
    }

    /// Air reaching this part.
    #[must_use]
    pub fn stream(&self) -> &MoistStream {
        &self.stream
    }

    /// Heat and water exchanged with a wall at a temperature.
    ///
    /// Heat and mass move alike (Lewis number one, ASHRAE Fundamentals ch. 6):
    /// the share of the air that reaches the wall leaves it saturated at the
    /// wall's temperature, the rest passes by. Heat is the difference of moist
    /// enthalpies less the enthalpy of the water that stays, so that the air
    /// side closes with the refrigerant side.
    #[must_use]
    pub fn exchange(&self, wall_k: f64) -> FaceExchange {
        let MoistStream {
            flow_kg_s,
            temperature_k,
            humidity_ratio,
            pressure_pa,
        } = self.stream;
        let reach = self.effectiveness;
        let outlet_temperature_k = temperature_k - reach * (temperature_k - wall_k);
        let (saturated, saturated_slope) =
            air::saturated_humidity_ratio_with_slope(wall_k, pressure_pa);
        let excess = humidity_ratio - saturated;
        let (mut dropped, mut dropped_slope) = (reach * excess, -reach * saturated_slope);
        if excess < 0.0 {
            dropped *= self.wet_share;
            dropped_slope *= self.wet_share;
            let most = self.wetness.water_kg / (self.step_s * flow_kg_s.max(1e-9));
            if -dropped > most {
                dropped = -most;
                dropped_slope = 0.0;
            }
        }
        let outlet_humidity_ratio = humidity_ratio - dropped;
        let inlet = air::enthalpy_j_per_kg_da(temperature_k, humidity_ratio);
        let outlet = air::enthalpy_j_per_kg_da(outlet_temperature_k, outlet_humidity_ratio);
        let water = air::liquid_water_enthalpy_j_per_kg(wall_k);
        let heat = inlet - outlet - dropped * water;
        let vapour_less_water = VAPORISATION_J_PER_KG
            + VAPOUR_HEAT_CAPACITY * (outlet_temperature_k - FREEZING_K)
            - water;
        let heat_slope = -reach * air::moist_heat_capacity_j_per_kg_k(outlet_humidity_ratio)
            + dropped_slope * vapour_less_water
            - dropped * WATER_HEAT_CAPACITY;
        let (freezing_kg_s, freezing_slope) = self.freezing(wall_k);
        FaceExchange {
            heat_w: flow_kg_s * heat + freezing_kg_s * air::HEAT_OF_FUSION_J_PER_KG,
            heat_slope_w_per_k: flow_kg_s * heat_slope
                + freezing_slope * air::HEAT_OF_FUSION_J_PER_KG,
            deposit_kg_s: flow_kg_s * dropped,
            freezing_kg_s,
            outlet_temperature_k,
            outlet_humidity_ratio,
        }
    }

    /// Water turning to ice, kg/s, with its slope: what the wall's distance from freezing can carry away.
    fn freezing(&self, wall_k: f64) -> (f64, f64) {
        let below = FREEZING_K - wall_k;
        let available = if below > 0.0 {
            self.wetness.water_kg
        } else {
            self.wetness.frost_kg
        };
        let slope = -ICE_CONDUCTANCE_W_PER_K / air::HEAT_OF_FUSION_J_PER_KG;
        let rate = -slope * below;
        let most = available / self.step_s;
        if rate.abs() > most {
            (rate.signum() * most, 0.0)
        } else {
            (rate, slope)
        }
    }

    /// Water on the fins after the step, and what dripped, kg.
    #[must_use]
    pub fn after(&self, exchange: &FaceExchange, most_held_kg: f64) -> (Wetness, f64) {
        let gained = (exchange.deposit_kg_s - exchange.freezing_kg_s) * self.step_s;
        let water = (self.wetness.water_kg + gained).max(0.0);
        let frost = (self.wetness.frost_kg + exchange.freezing_kg_s * self.step_s).max(0.0);
        let dripped = (water - most_held_kg).max(0.0);
        (
            Wetness {
                water_kg: water - dripped,
                frost_kg: frost,
            },
            dripped,
        )
    }
}

/// Heat of vaporisation at 0 °C, J/kg (ASHRAE Fundamentals, moist-air enthalpy).
const VAPORISATION_J_PER_KG: f64 = 2_501_000.0;
/// Heat capacity of water vapour, J/(kg K) (ASHRAE Fundamentals).
const VAPOUR_HEAT_CAPACITY: f64 = 1860.0;
/// Heat capacity of liquid water, J/(kg K) (ASHRAE Fundamentals).
const WATER_HEAT_CAPACITY: f64 = 4186.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn face(wetness: Wetness) -> WetFace {
        WetFace {
            stream: MoistStream {
                flow_kg_s: 0.03,
                temperature_k: 303.15,
                humidity_ratio: 0.016,
                pressure_pa: 101_325.0,
            },
            effectiveness: 0.8,
            wetness,
            wet_share: 0.6,
            step_s: 2.0,
        }
    }

    #[test]
    fn heat_slope_matches_differences() {
        let wet = Wetness {
            water_kg: 0.02,
            frost_kg: 0.01,
        };
        for wall_k in [268.0, 276.0, 285.0, 299.0, 310.0] {
            let at = |k: f64| face(wet).exchange(k).heat_w;
            let difference = (at(wall_k + 1e-4) - at(wall_k - 1e-4)) / 2e-4;
            let slope = face(wet).exchange(wall_k).heat_slope_w_per_k;
            assert!(
                (slope - difference).abs() < 2e-3 * difference.abs(),
                "at {wall_k} K: {slope} against {difference}"
            );
        }
    }

    #[test]
    fn water_on_the_fins_balances() {
        let wet = Wetness {
            water_kg: 0.02,
            frost_kg: 0.01,
        };
        for wall_k in [265.0, 280.0, 300.0] {
            let face = face(wet);
            let exchange = face.exchange(wall_k);
            let (after, dripped) = face.after(&exchange, 0.021);
            let before = wet.water_kg + wet.frost_kg + exchange.deposit_kg_s * face.step_s;
            let held = after.water_kg + after.frost_kg + dripped;
            assert!(
                (before - held).abs() < 1e-15,
                "at {wall_k} K: {before} against {held}"
            );
        }
    }
}
