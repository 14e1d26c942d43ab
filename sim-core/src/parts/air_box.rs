//! The box behind the dash: intake door, blower, filter, blend door and vents.

/// Parameters of the air box.
#[derive(Clone, Debug, PartialEq)]
pub struct AirBox {
    /// Volume flow of each blower step with a clean filter and a dry core, m³/s; step 0 is off.
    pub blower_flow_m3_s: Vec<f64>,
    /// Share of cabin air drawn with the intake door on recirculation.
    pub recirculation_share: f64,
    /// Conductance of the heater core to the air that passes it, as a share of the air's capacity.
    pub heater_effectiveness: f64,
    /// Heat capacity of ducts and case, J/K.
    pub duct_heat_capacity_j_per_k: f64,
    /// Heat conductance of the ducts to the cabin, W/K.
    pub duct_gain_w_per_k: f64,
    /// Share of the cabin filter that is blocked.
    pub filter_blockage: f64,
    /// Share of the blower's flow that is lost: worn motor, slipping wheel, burnt resistor.
    pub blower_loss: f64,
    /// Share of the air that passes the heater core with the blend door at full cold.
    pub blend_leak: f64,
    /// Share of outside air drawn although recirculation is asked for, beyond the door's own leak.
    pub intake_leak: f64,
}

/// Share of the box's flow resistance that the clean filter makes (common practice, no source).
const FILTER_RESISTANCE_SHARE: f64 = 0.25;
/// Share that the dry evaporator core makes (common practice, no source).
const CORE_RESISTANCE_SHARE: f64 = 0.45;

impl AirBox {
    /// Highest blower step.
    #[must_use]
    pub fn top_step(&self) -> usize {
        self.blower_flow_m3_s.len().saturating_sub(1)
    }

    /// Volume flow through the box, m³/s.
    ///
    /// `core_open_share` is the part of the evaporator's face that neither dirt
    /// nor frost has closed. Resistances in series, turbulent: flow goes as
    /// one over the root of their sum.
    #[must_use]
    pub fn flow_m3_s(&self, step: usize, core_open_share: f64) -> f64 {
        let free = self.blower_flow_m3_s.get(step).copied().unwrap_or(0.0);
        let open_filter = (1.0 - self.filter_blockage).max(0.03);
        let open_core = core_open_share.max(0.02);
        let resistance = (1.0 - FILTER_RESISTANCE_SHARE - CORE_RESISTANCE_SHARE)
            + FILTER_RESISTANCE_SHARE / (open_filter * open_filter)
            + CORE_RESISTANCE_SHARE / (open_core * open_core);
        free * (1.0 - self.blower_loss) / resistance.sqrt()
    }

    /// Share of the air drawn from the cabin.
    #[must_use]
    pub fn cabin_share(&self, recirculate: bool) -> f64 {
        if recirculate {
            self.recirculation_share * (1.0 - self.intake_leak)
        } else {
            0.0
        }
    }

    /// Share of the air sent past the heater core, for what is asked and what leaks by.
    #[must_use]
    pub fn heater_share(&self, asked_share: f64) -> f64 {
        self.blend_leak + (1.0 - self.blend_leak) * asked_share.clamp(0.0, 1.0)
    }
}
