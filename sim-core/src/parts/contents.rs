//! What is in the loop besides the refrigerant on the label: air, water, another refrigerant.

/// Strangers in the loop.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Contents {
    /// Air, kg.
    pub air_kg: f64,
    /// Water beyond what the drier binds, kg.
    pub water_kg: f64,
    /// Share of the refrigerant, by mass, that is the other one of the two cars use.
    pub other_share: f64,
}
