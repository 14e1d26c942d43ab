//! Water in the loop: it freezes where the refrigerant expands, and thaws again.
//!
//! Liquid refrigerant dissolves a little water; a small share of what it carries beyond that stays in
//! the narrowest place when the refrigerant behind it is cold, and takes its area. Solubility of water
//! in R-134a: 0.11 % by mass at 25 °C, falling by about 4 % a kelvin (from memory). What grows is not
//! plain ice: R-134a and water form a hydrate that is stable up to 10 °C under the refrigerant's own
//! pressure, and needs some kelvins below that to start (from memory; R-1234yf is taken as the same).
//! It holds to the metal of the device, which follows the refrigerant as long as that flows and the
//! engine bay when it does not: C dT/dt = G ṁ (T_behind − T) + G_bay (T_bay − T). Once the metal is
//! warm it melts, a plug lets go at once, the refrigerant flows again and the next one grows. So a wet
//! loop works for minutes, falls to vacuum and comes back. The share that sticks, what closes the
//! passage and the metal's size are common practice, no source. Range: 0 to 2 % of water.

use crate::parts::engine_bay::relax;

/// Ice in the expansion device, and the metal it holds to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ice {
    /// Ice, kg.
    pub kg: f64,
    /// Metal of the device, K.
    pub metal_k: f64,
}

/// What the device meets during a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passing {
    /// Free water in the refrigerant, kg per kg.
    pub water_share: f64,
    /// Refrigerant, kg/s.
    pub flow_kg_s: f64,
    /// Refrigerant behind the device, K.
    pub behind_k: f64,
    /// Air around it, K.
    pub bay_k: f64,
}

/// Water dissolved at 25 °C, kg per kg.
const DISSOLVED_AT_298_K: f64 = 1.1e-3;
/// Fall of that with each kelvin.
const FALL_PER_K: f64 = 0.04;
/// Share of the water passing as free water that freezes to the passage.
const STICKING_SHARE: f64 = 4.0e-4;
/// Ice that closes the passage, kg: a plug of some mm³.
const CLOSING_KG: f64 = 1.0e-5;
/// Heat that reaches it for each kelvin of the metal above that, W/K.
const THAWING_W_PER_K: f64 = 0.01;
/// Ice from which it is a plug that the pressure before it pushes out once its hold on the wall melts,
/// kg.
const PLUG_KG: f64 = 0.75 * CLOSING_KG;
/// Time in which a loose plug goes, s.
const GOES_IN_S: f64 = 2.0;
/// Heat of melting, J/kg: that of ice.
const FUSION_J_PER_KG: f64 = 333.6e3;
/// Refrigerant below which it grows, K.
const GROWS_BELOW_K: f64 = 276.15;
/// Metal above which it melts, K.
const MELTS_ABOVE_K: f64 = 283.15;
/// Share of the passage that ice leaves open: it is porous.
const LEAST_OPEN: f64 = 4e-3;
/// Heat capacity of the device's metal, J/K.
const METAL_J_PER_K: f64 = 150.0;
/// Conductance from refrigerant to metal for each kg/s, W/K.
const WETTED_W_PER_K_KG_S: f64 = 400.0;
/// Conductance from the air around to the metal, W/K.
const AROUND_W_PER_K: f64 = 0.5;

impl Ice {
    /// A device without ice.
    #[must_use]
    pub fn none(metal_k: f64) -> Self {
        Self { kg: 0.0, metal_k }
    }

    /// Share of the expansion device's area that the ice leaves.
    #[must_use]
    pub fn open_share(&self) -> f64 {
        (1.0 - self.kg / CLOSING_KG).max(LEAST_OPEN)
    }

    /// Ice and metal after a step.
    #[must_use]
    pub fn advance(self, passing: &Passing, step_s: f64) -> Self {
        let flow = passing.flow_kg_s.max(0.0);
        let wetted = WETTED_W_PER_K_KG_S * flow;
        let both = wetted + AROUND_W_PER_K;
        let goal_k = (wetted * passing.behind_k + AROUND_W_PER_K * passing.bay_k) / both;
        let metal_k = relax(self.metal_k, goal_k, step_s * both / METAL_J_PER_K);
        let dissolved = DISSOLVED_AT_298_K * libm::exp(FALL_PER_K * (passing.behind_k - 298.15));
        let free = (passing.water_share - dissolved).max(0.0);
        let rate = if metal_k > MELTS_ABOVE_K && self.kg > PLUG_KG {
            -CLOSING_KG / GOES_IN_S
        } else if metal_k > MELTS_ABOVE_K {
            -THAWING_W_PER_K * (metal_k - MELTS_ABOVE_K) / FUSION_J_PER_KG
        } else if passing.behind_k < GROWS_BELOW_K {
            STICKING_SHARE * free * flow
        } else {
            0.0
        };
        Self {
            kg: (self.kg + rate * step_s).clamp(0.0, CLOSING_KG),
            metal_k,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(ice: Ice, passing: Passing, seconds: u32) -> Ice {
        (0..seconds).fold(ice, |ice, _| ice.advance(&passing, 1.0))
    }

    const COLD: Passing = Passing {
        water_share: 0.006,
        flow_kg_s: 0.03,
        behind_k: 270.0,
        bay_k: 320.0,
    };

    #[test]
    fn a_wet_loop_freezes_in_minutes_and_thaws_when_it_stands() {
        let iced = after(Ice::none(300.0), COLD, 300);
        assert!(iced.open_share() < 0.05, "{iced:?}");
        let standing = Passing {
            flow_kg_s: 0.0,
            ..COLD
        };
        let thawed = after(iced, standing, 600);
        assert!(thawed.open_share() > 0.9, "{thawed:?}");
    }

    #[test]
    fn a_dry_loop_never_freezes() {
        let dry = Passing {
            water_share: 1e-4,
            behind_k: 265.0,
            ..COLD
        };
        assert_eq!(after(Ice::none(300.0), dry, 3600).kg, 0.0);
    }
}
