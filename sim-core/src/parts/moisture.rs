//! Water in the loop: it freezes where the refrigerant expands below 0 °C, and thaws again.
//!
//! Liquid refrigerant dissolves a little water; what it carries beyond that leaves it as ice in the
//! narrowest place when the refrigerant there is below freezing. Solubility of water in R-134a:
//! 0.11 % by mass at 25 °C, falling by about 4 % a kelvin (from memory); the share that sticks and
//! the ice that closes the passage are set so that a wet loop works for minutes before it starves
//! (common practice, no source).

/// Water dissolved at 25 °C, kg per kg.
const DISSOLVED_AT_298_K: f64 = 1.1e-3;
/// Fall of that with each kelvin.
const FALL_PER_K: f64 = 0.04;
/// Share of the water passing as free water that freezes to the passage.
const STICKING_SHARE: f64 = 4.0e-4;
/// Ice that closes the passage, kg.
const CLOSING_KG: f64 = 1.0e-5;
/// Heat that reaches the ice for each kelvin above freezing, W/K.
const THAWING_W_PER_K: f64 = 0.004;
/// Heat of fusion, J/kg.
const FUSION_J_PER_KG: f64 = 333.6e3;
/// Freezing point, K.
const FREEZING_K: f64 = 273.15;
/// Share of the passage that ice leaves open: it is porous.
const LEAST_OPEN: f64 = 4e-3;

/// Share of the expansion device's area that ice leaves.
#[must_use]
pub fn open_share(ice_kg: f64) -> f64 {
    (1.0 - ice_kg / CLOSING_KG).max(LEAST_OPEN)
}

/// Ice in the passage after a step, kg.
///
/// `behind_k` is the refrigerant's temperature behind the device.
#[must_use]
pub fn advance(ice_kg: f64, water_share: f64, flow_kg_s: f64, behind_k: f64, step_s: f64) -> f64 {
    let dissolved = DISSOLVED_AT_298_K * libm::exp(FALL_PER_K * (behind_k - 298.15));
    let free = (water_share - dissolved).max(0.0);
    let rate = if behind_k < FREEZING_K {
        STICKING_SHARE * free * flow_kg_s.max(0.0)
    } else {
        -THAWING_W_PER_K * (behind_k - FREEZING_K) / FUSION_J_PER_KG
    };
    (ice_kg + rate * step_s).clamp(0.0, CLOSING_KG)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wet_loop_freezes_in_minutes_and_thaws() {
        let iced = advance(0.0, 0.006, 0.03, 270.0, 300.0);
        assert!(open_share(iced) < 0.05, "{iced}");
        let thawed = advance(iced, 0.006, 0.0, 290.0, 120.0);
        assert!(open_share(thawed) > 0.9, "{thawed}");
    }

    #[test]
    fn a_dry_loop_never_freezes() {
        assert_eq!(advance(0.0, 1e-4, 0.03, 265.0, 1e5), 0.0);
    }
}
