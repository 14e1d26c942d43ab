//! Condenser: refrigerant passages in the front of the car, and the air through them.
//!
//! Wall to air: G = C (1 − e^(−U/C)), W/K against the arriving air, U = U₂ √(v / 2 m/s) the surface's
//! conductance and C = v A ρ c_p the air's capacity flow, both in W/K. v is the face velocity, m/s:
//! v² = v_fan² + (ram share × road speed)² + v_shop² + 0.12², since streams through one core add as their
//! pressures do; a fan turning backwards takes 0.3 v_fan² away. A share r / (1 + s²) of the hot air comes
//! round again, s = road speed / 3 m/s, and 1.5 more with a workshop fan. ε-NTU against a wall of one
//! temperature is textbook; the power 0.5 (louvred fins), velocities and shares are common practice, no
//! source, or from memory. Refrigerant side: [`super::heat_transfer`]. Range: face velocity 0.1 to 10 m/s,
//! air of −10 to 80 °C; no clamps. c_p is 1006 J/(kg K) at any humidity.

use crate::parts::heat_transfer::{RegimeConductance, stream_conductance_w_per_k};

/// Parameters of a condenser.
#[derive(Clone, Debug, PartialEq)]
pub struct Condenser {
    /// Volume of the condensing passes, m³.
    pub volume_m3: f64,
    /// Pass behind a receiver built into it, where it has one.
    pub subcooler: Option<Subcooler>,
    /// Heat capacity of the metal, J/K.
    pub heat_capacity_j_per_k: f64,
    /// Refrigerant side of the whole core.
    pub refrigerant_side: RegimeConductance,
    /// Air-side conductance of the whole core at 2 m/s, W/K.
    pub air_conductance_w_per_k: f64,
    /// Face area, m².
    pub face_area_m2: f64,
    /// Effective flow area of the condensing passes together, m².
    pub passage_area_m2: f64,
    /// Share of the face that lets no air through: leaves, insects, bent fins.
    pub air_blockage: f64,
    /// Share of the tubes that pass no refrigerant: debris, sludge.
    pub tube_blockage: f64,
    /// Share of the face whose fins are bent over.
    pub fins_bent: f64,
    /// Part of the air-side conductance lost to loose or corroded fins.
    pub fin_loss: f64,
}

/// The pass of a condenser that cools what its receiver hands on.
#[derive(Clone, Debug, PartialEq)]
pub struct Subcooler {
    /// Volume, m³.
    pub volume_m3: f64,
    /// Share of the core it takes.
    pub core_share: f64,
}

/// Speed at which the air-side conductance is given, m/s.
pub const RATED_FACE_VELOCITY_M_S: f64 = 2.0;
/// Speed of the air between bent fins, as a share of what passes straight ones (common practice, no source).
const BENT_VELOCITY_SHARE: f64 = 0.25;
/// Heat capacity of air, J/(kg K).
const AIR_HEAT_CAPACITY: f64 = 1006.0;

impl Condenser {
    /// Air through the core, kg/s, whichever way it goes.
    #[must_use]
    pub fn air_flow_kg_s(&self, face_velocity_m_s: f64, air_density_kg_per_m3: f64) -> f64 {
        let passing = 1.0 - self.fins_bent * (1.0 - BENT_VELOCITY_SHARE);
        face_velocity_m_s.abs()
            * self.face_area_m2
            * (1.0 - self.air_blockage)
            * passing
            * air_density_kg_per_m3
    }

    /// Conductance from wall to air for a share of the core, W/K, referred to the air's inlet temperature.
    ///
    /// The surface conductance grows with face velocity to the power 0.5
    /// (louvred fins; common practice, no source). A blocked share of the face
    /// loses its flow and its surface; a blocked tube leaves its fins idle. Bent
    /// fins stand beside the straight ones, in slower air.
    #[must_use]
    pub fn air_side_w_per_k(
        &self,
        share: f64,
        face_velocity_m_s: f64,
        air_density_kg_per_m3: f64,
    ) -> f64 {
        let open = (1.0 - self.air_blockage) * (1.0 - self.tube_blockage);
        let through = |of_the_open: f64, velocity_m_s: f64| {
            let surface = self.air_conductance_w_per_k
                * (1.0 - self.fin_loss)
                * (velocity_m_s / RATED_FACE_VELOCITY_M_S).sqrt()
                * open
                * share
                * of_the_open;
            let capacity = velocity_m_s
                * self.face_area_m2
                * (1.0 - self.air_blockage)
                * air_density_kg_per_m3
                * (1.0 - self.tube_blockage)
                * AIR_HEAT_CAPACITY
                * share
                * of_the_open;
            stream_conductance_w_per_k(surface, capacity)
        };
        let velocity_m_s = face_velocity_m_s.abs();
        through(1.0 - self.fins_bent, velocity_m_s)
            + through(self.fins_bent, BENT_VELOCITY_SHARE * velocity_m_s)
    }
}

/// Fan, ram air and what blows back: the air in front of the condenser.
#[derive(Clone, Debug, PartialEq)]
pub struct CondenserFan {
    /// Face velocity the fan gives on its low stage, m/s.
    pub low_velocity_m_s: f64,
    /// Face velocity the fan gives on its high stage, m/s.
    pub high_velocity_m_s: f64,
    /// Face velocity for each m/s of road speed.
    pub ram_share: f64,
    /// Share of the condenser's outlet air that comes round again at standstill.
    pub recirculated_share: f64,
    /// Share of the fan's flow that is lost: 1 with a dead motor.
    pub motor_loss: f64,
    /// Share of the low stage's flow that is lost: 1 with its series resistor burnt through.
    pub low_stage_loss: f64,
    /// Share of the high stage's extra flow that is lost: 1 with a dead high stage.
    pub high_stage_loss: f64,
    /// How far the fan's push is turned round: 1 with its poles crossed, so that it turns backwards.
    pub reversed: f64,
    /// Share of the shroud between fan and core that is missing.
    pub shroud_missing: f64,
    /// Share of the seals around condenser and radiator that is missing.
    pub seals_missing: f64,
}

/// Air drawn by warmth alone through a standing core, m/s (from memory).
pub const NATURAL_VELOCITY_M_S: f64 = 0.12;
/// Face velocity of a workshop fan placed in front of the car, m/s (common practice, no source).
const SHOP_FAN_VELOCITY_M_S: f64 = 1.6;

/// Push of an axial fan turning backwards, against its own, as a share of what it makes turning
/// right: its blades are twisted and curved the wrong way (common practice, no source).
const BACKWARD_PUSH_SHARE: f64 = 0.3;
/// Share of a fan's air that short-cuts around its edges where the shroud is missing (common practice, no source).
const SHORT_CUT_SHARE: f64 = 0.45;
/// Share of the air leaving the condenser that comes round at the fan's edges without a shroud
/// (common practice, no source).
const ROUND_THE_SHROUD_SHARE: f64 = 0.15;
/// Share that comes round between condenser and radiator without seals (common practice, no source).
const ROUND_THE_SEALS_SHARE: f64 = 0.4;

/// Stage the fan is asked to run at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FanStage {
    /// Standing.
    Off,
    /// Low speed.
    Low,
    /// High speed.
    High,
}

impl CondenserFan {
    /// Face velocity that the blades would give in a whole shroud, m/s: how fast they turn.
    #[must_use]
    pub fn blade_velocity_m_s(&self, stage: FanStage) -> f64 {
        let asked = match stage {
            FanStage::Off => 0.0,
            FanStage::Low => self.low_velocity_m_s * (1.0 - self.low_stage_loss),
            FanStage::High => {
                let extra = self.high_velocity_m_s - self.low_velocity_m_s;
                self.low_velocity_m_s + extra * (1.0 - self.high_stage_loss)
            }
        };
        asked * (1.0 - self.motor_loss)
    }

    /// Face velocity from fan, road speed and a workshop fan together, m/s; negative where a fan
    /// turning backwards wins and blows air out at the front.
    ///
    /// Streams through one core add as their pressures do, hence the squares.
    #[must_use]
    pub fn face_velocity_m_s(&self, stage: FanStage, road_speed_m_s: f64, shop_fan: bool) -> f64 {
        let fan = self.blade_velocity_m_s(stage) * (1.0 - SHORT_CUT_SHARE * self.shroud_missing);
        let turned = 1.0 - self.reversed * (1.0 + BACKWARD_PUSH_SHARE);
        let ram = self.ram_share * road_speed_m_s;
        let shop = if shop_fan { SHOP_FAN_VELOCITY_M_S } else { 0.0 };
        let push = fan * fan * turned
            + ram * ram
            + shop * shop
            + NATURAL_VELOCITY_M_S * NATURAL_VELOCITY_M_S;
        if push < 0.0 {
            -(-push).sqrt()
        } else {
            push.sqrt()
        }
    }

    /// Share of the outlet air that comes round again, falling as the car moves.
    #[must_use]
    pub fn recirculation(&self, road_speed_m_s: f64, shop_fan: bool) -> f64 {
        let swept = road_speed_m_s / 3.0 + if shop_fan { 1.5 } else { 0.0 };
        let kept_out = (1.0 - ROUND_THE_SHROUD_SHARE * self.shroud_missing)
            * (1.0 - ROUND_THE_SEALS_SHARE * self.seals_missing);
        let share = self.recirculated_share + (1.0 - self.recirculated_share) * (1.0 - kept_out);
        share / (1.0 + swept * swept)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spec::CarSpec;

    /// At a crawl road and fan hold each other up; at a standstill the fan wins, on the road the road.
    #[test]
    fn a_fan_turning_backwards_fights_the_road() {
        let mut fan = CarSpec::example().fan;
        fan.reversed = 1.0;
        let at = |road_m_s| fan.face_velocity_m_s(FanStage::Low, road_m_s, false);
        assert!(at(0.0) < -0.5, "{} m/s", at(0.0));
        assert!(at(3.5).abs() < 0.4, "{} m/s", at(3.5));
        assert!(at(20.0) > 4.0, "{} m/s", at(20.0));
        assert!(fan.face_velocity_m_s(FanStage::Off, 0.0, false) > 0.0);
    }

    #[test]
    fn hot_air_comes_round_at_standstill_only() {
        let sound = CarSpec::example().fan;
        let mut open = sound.clone();
        open.seals_missing = 1.0;
        assert!(open.recirculation(0.0, false) > 0.4);
        assert!(open.recirculation(25.0, false) < 0.01);
        assert_eq!(sound.recirculation(0.0, false), sound.recirculated_share);
    }

    /// Bent fins cost less than the same share of the face blocked, and cost air as well as surface.
    #[test]
    fn bent_fins_pass_a_little() {
        let sound = CarSpec::example().condenser;
        let (mut bent, mut blocked) = (sound.clone(), sound.clone());
        bent.fins_bent = 0.5;
        blocked.air_blockage = 0.5;
        let all = |of: &Condenser| {
            (
                of.air_flow_kg_s(2.0, 1.15),
                of.air_side_w_per_k(1.0, 2.0, 1.15),
            )
        };
        let (sound, bent, blocked) = (all(&sound), all(&bent), all(&blocked));
        assert!(blocked.0 < bent.0 && bent.0 < sound.0);
        assert!(blocked.1 < bent.1 && bent.1 < sound.1);
    }
}
