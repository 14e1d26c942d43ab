//! The sump below the evaporator and its drain: where the water goes that drips off the fins.
//!
//! dm/dt = drips − (1 − b) m / 15 s, m the water in the case in kg, b the share of the drain blocked; an
//! implicit step. What the case cannot hold runs over, and up to half of that flies off with the air, in
//! proportion to the square of the air's flow up to the rated one. From 0.2 of a full case on water closes
//! the core's face, up to 0.3 of it when full. Source: levels from memory or common practice, no source;
//! no measurement is behind the shape. Range: drips of 0 to 4 kg/h, cases of 0.3 to 0.8 kg; all of the
//! water is accounted for at any rate.

use crate::parts::evaporator::Evaporator;

/// Water below the core.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sump {
    /// Water standing in the case, kg.
    pub water_kg: f64,
    /// Water that has left by the drain, kg.
    pub drained_kg: f64,
    /// Water that has run over into the footwell, kg.
    pub spilled_kg: f64,
    /// Water carried off by the air as drops, kg/s.
    pub mist_kg_s: f64,
}

/// Time in which a clear drain empties the sump to a third, s (from memory).
const DRAIN_S: f64 = 15.0;
/// Share of the core's face that a full sump closes (common practice, no source).
const DROWNED_SHARE: f64 = 0.3;
/// Level, as a share of a full sump, from which water reaches the core (common practice, no source).
const REACHES_CORE_AT: f64 = 0.2;
/// Share of what runs over that the air takes along at the rated air flow (common practice, no source).
const CARRIED_SHARE: f64 = 0.5;

impl Evaporator {
    /// Share of the core's face that standing water closes.
    #[must_use]
    pub fn drowned_share(&self, sump: &Sump) -> f64 {
        let level = sump.water_kg / self.sump_kg;
        DROWNED_SHARE * ((level - REACHES_CORE_AT) / (1.0 - REACHES_CORE_AT)).clamp(0.0, 1.0)
    }

    /// Moves the sump on by a step: water drips in, drains in proportion to its level (implicit, so
    /// that any step is stable), and what the case cannot hold runs over or flies off with the air.
    #[must_use]
    pub fn drain(&self, sump: Sump, dripped_kg: f64, air_flow_kg_s: f64, step_s: f64) -> Sump {
        let rate = (1.0 - self.drain_blockage) / DRAIN_S;
        let before = sump.water_kg + dripped_kg;
        let after = before / (1.0 + step_s * rate);
        let over = (after - self.sump_kg).max(0.0);
        let flow = (air_flow_kg_s / self.rated_air_flow_kg_s).min(1.0);
        let carried = over * CARRIED_SHARE * flow * flow;
        Sump {
            water_kg: after - over,
            drained_kg: sump.drained_kg + (before - after),
            spilled_kg: sump.spilled_kg + (over - carried),
            mist_kg_s: carried / step_s,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spec::CarSpec;

    /// Half an hour of 3 kg/h, a wet day's water.
    fn half_an_hour(blockage: f64) -> (Evaporator, Sump) {
        let mut evaporator = CarSpec::example().evaporator;
        evaporator.drain_blockage = blockage;
        let (mut sump, mut carried) = (Sump::default(), 0.0);
        for _ in 0..900 {
            sump = evaporator.drain(sump, 2.0 * 3.0 / 3600.0, 0.12, 2.0);
            carried += 2.0 * sump.mist_kg_s;
        }
        let all = sump.water_kg + sump.drained_kg + sump.spilled_kg + carried;
        assert!((all - 1.5).abs() < 1e-9, "{all} kg of 1.5 kg");
        (evaporator, sump)
    }

    #[test]
    fn a_clear_drain_keeps_the_core_out_of_the_water() {
        let (evaporator, sump) = half_an_hour(0.0);
        assert_eq!(evaporator.drowned_share(&sump), 0.0);
        assert!(sump.water_kg < 0.02 && sump.spilled_kg == 0.0 && sump.mist_kg_s == 0.0);
    }

    #[test]
    fn a_blocked_drain_runs_over() {
        let (evaporator, sump) = half_an_hour(1.0);
        assert_eq!(sump.water_kg, evaporator.sump_kg);
        assert!(evaporator.drowned_share(&sump) > 0.29);
        assert!(sump.drained_kg == 0.0 && sump.spilled_kg > 0.3 && sump.mist_kg_s > 0.0);
    }
}
