//! The bottle that keeps spare refrigerant and the drier: a receiver on the high side, or an
//! accumulator on the low side.
//!
//! A volume of the ring like any other, with ports of its own (`super::receiver`): a receiver hands on
//! its bottom, an accumulator its top and a little through the bleed hole. Its outlet is an orifice,
//! ṁ = A √(2 ρ Δp), that debris and broken desiccant narrow. Range: 0.1 to 1 L, 3 to 100 mm² (common
//! practice, no source). How much water its desiccant binds is in `super::contents`.

/// Where the bottle is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// A receiver on the side of the condenser, before its subcooling pass.
    InCondenser,
    /// A receiver in the liquid line.
    LiquidLine,
    /// An accumulator between evaporator and suction hose.
    Suction,
}

/// The bottle.
#[derive(Clone, Debug, PartialEq)]
pub struct Storage {
    /// Where it is.
    pub place: Place,
    /// Inner volume, desiccant taken off, m³.
    pub volume_m3: f64,
    /// Heat capacity of the bottle with its drier, J/K.
    pub heat_capacity_j_per_k: f64,
    /// Conductance from what it holds to its wall, W/K.
    pub inside_w_per_k: f64,
    /// Conductance from its wall to the air around, W/K: the engine bay's, or the condenser's at
    /// 2 m/s for a receiver built into it.
    pub outside_w_per_k: f64,
    /// Effective flow area of its outlet when clean, m².
    pub outlet_area_m2: f64,
    /// Share of the outlet that debris or broken desiccant blocks.
    pub blockage: f64,
}
