//! Condenser: refrigerant passages in the front of the car, and the air through them.

use crate::parts::heat_transfer::{RegimeConductance, stream_conductance_w_per_k};

/// Parameters of a parallel-flow condenser with an integrated receiver.
#[derive(Clone, Debug, PartialEq)]
pub struct Condenser {
    /// Volume of the condensing passes, m³.
    pub volume_m3: f64,
    /// Volume of the subcooling pass, m³.
    pub subcooler_volume_m3: f64,
    /// Volume of the receiver-drier, m³.
    pub receiver_volume_m3: f64,
    /// Heat capacity of the metal, J/K.
    pub heat_capacity_j_per_k: f64,
    /// Refrigerant side of the whole core.
    pub refrigerant_side: RegimeConductance,
    /// Share of the core that subcools.
    pub subcooler_share: f64,
    /// Air-side conductance of the whole core at 2 m/s, W/K.
    pub air_conductance_w_per_k: f64,
    /// Face area, m².
    pub face_area_m2: f64,
    /// Effective flow area of the condensing passes together, m².
    pub passage_area_m2: f64,
    /// Effective flow area of the subcooling pass, m².
    pub subcooler_passage_area_m2: f64,
    /// Share of the face that lets no air through: leaves, insects, bent fins.
    pub air_blockage: f64,
    /// Share of the tubes that pass no refrigerant: debris, sludge.
    pub tube_blockage: f64,
    /// Part of the air-side conductance lost to loose or corroded fins.
    pub fin_loss: f64,
}

/// Speed at which the air-side conductance is given, m/s.
const RATED_FACE_VELOCITY_M_S: f64 = 2.0;
/// Heat capacity of air, J/(kg K).
const AIR_HEAT_CAPACITY: f64 = 1006.0;

impl Condenser {
    /// Air through the core, kg/s.
    #[must_use]
    pub fn air_flow_kg_s(&self, face_velocity_m_s: f64, air_density_kg_per_m3: f64) -> f64 {
        face_velocity_m_s * self.face_area_m2 * (1.0 - self.air_blockage) * air_density_kg_per_m3
    }

    /// Conductance from wall to air for a share of the core, W/K, referred to the air's inlet temperature.
    ///
    /// The surface conductance grows with face velocity to the power 0.5
    /// (louvred fins; common practice, no source). A blocked share of the face
    /// loses its flow and its surface; a blocked tube leaves its fins idle.
    #[must_use]
    pub fn air_side_w_per_k(
        &self,
        share: f64,
        face_velocity_m_s: f64,
        air_density_kg_per_m3: f64,
    ) -> f64 {
        let open = (1.0 - self.air_blockage) * (1.0 - self.tube_blockage);
        let surface = self.air_conductance_w_per_k
            * (1.0 - self.fin_loss)
            * (face_velocity_m_s / RATED_FACE_VELOCITY_M_S).sqrt()
            * open
            * share;
        let capacity = self.air_flow_kg_s(face_velocity_m_s, air_density_kg_per_m3)
            * (1.0 - self.tube_blockage)
            * AIR_HEAT_CAPACITY
            * share;
        stream_conductance_w_per_k(surface, capacity)
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
    /// Share of the high stage's extra flow that is lost: 1 with a dead high stage.
    pub high_stage_loss: f64,
}

/// Air drawn by warmth alone through a standing core, m/s (from memory).
pub const NATURAL_VELOCITY_M_S: f64 = 0.12;
/// Face velocity of a workshop fan placed in front of the car, m/s (common practice, no source).
const SHOP_FAN_VELOCITY_M_S: f64 = 1.6;

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
    /// Face velocity from the fan alone, m/s.
    #[must_use]
    pub fn fan_velocity_m_s(&self, stage: FanStage) -> f64 {
        let asked = match stage {
            FanStage::Off => 0.0,
            FanStage::Low => self.low_velocity_m_s,
            FanStage::High => {
                let extra = self.high_velocity_m_s - self.low_velocity_m_s;
                self.low_velocity_m_s + extra * (1.0 - self.high_stage_loss)
            }
        };
        asked * (1.0 - self.motor_loss)
    }

    /// Face velocity from fan, road speed and a workshop fan together, m/s.
    ///
    /// Streams through one core add as their pressures do, hence the squares.
    #[must_use]
    pub fn face_velocity_m_s(&self, stage: FanStage, road_speed_m_s: f64, shop_fan: bool) -> f64 {
        let fan = self.fan_velocity_m_s(stage);
        let ram = self.ram_share * road_speed_m_s;
        let shop = if shop_fan { SHOP_FAN_VELOCITY_M_S } else { 0.0 };
        (fan * fan + ram * ram + shop * shop + NATURAL_VELOCITY_M_S * NATURAL_VELOCITY_M_S).sqrt()
    }

    /// Share of the outlet air that comes round again, falling as the car moves.
    #[must_use]
    pub fn recirculation(&self, road_speed_m_s: f64, shop_fan: bool) -> f64 {
        let swept = road_speed_m_s / 3.0 + if shop_fan { 1.5 } else { 0.0 };
        self.recirculated_share / (1.0 + swept * swept)
    }
}
