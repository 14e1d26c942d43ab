//! The box behind the dash: intake door, blower, filter, heater core and doors.
//!
//! Blower, on a step at a share n of its top speed: Δp = p₀ n² − (p₀ − p₁) (V/V₀)², Pa, with p₀ its
//! shut-off pressure, p₁ what the clean, dry box takes at the top step's flow V₀, m³/s. The box takes
//! p₁ (1 + r) (V/V₀)², with r = Σ share (1/open² − 1) over filter, core and outlets. Both meet at
//! V = V₀ n √(p₀ / (p₀ + p₁ r)). Heater core: the air comes ε of the way to the coolant's temperature,
//! ε the data's effectiveness times the share of the air sent there and, where a valve throttles the
//! coolant, times φ / (φ + ε C/420 W/K (1 − φ)), φ the share of coolant let through, C the air's capacity
//! flow, W/K. Fan laws and turbulent resistances are textbook; the curve's shape, the shares and the
//! coolant's flow are common practice, no source. Range: 0 to 600 m³/h, blowers of 500 to 620 Pa. A
//! filter is never less open than 3 %, a core 2 %. The density of the air does not enter.

use crate::parts::outlets::Outlets;

/// Parameters of the air box.
#[derive(Clone, Debug, PartialEq)]
pub struct AirBox {
    /// Volume flow of each blower step with a clean filter and a dry core, m³/s; step 0 is off.
    pub blower_flow_m3_s: Vec<f64>,
    /// Pressure the blower makes on its top step with no way out for the air, Pa.
    pub blower_shut_off_pa: f64,
    /// Pressure that the clean, dry box takes at the top step's flow, Pa; less than the shut-off pressure.
    pub clean_drop_pa: f64,
    /// Share of cabin air drawn with the intake door on recirculation.
    pub recirculation_share: f64,
    /// Conductance of the heater core to the air that passes it, as a share of the air's capacity.
    pub heater_effectiveness: f64,
    /// A valve shuts the coolant off from the heater core at full cold.
    pub heater_valve: bool,
    /// Share of the air that passes the heater core at full cold as the box is made. Boxes without a
    /// heater valve are made tight.
    pub blend_door_gap: f64,
    /// Heat capacity of ducts and case, J/K.
    pub duct_heat_capacity_j_per_k: f64,
    /// Heat conductance of the ducts to the cabin, W/K.
    pub duct_gain_w_per_k: f64,
    /// Where the air leaves.
    pub outlets: Outlets,
    /// Share of the cabin filter that is blocked.
    pub filter_blockage: f64,
    /// Share of the blower's speed that is lost: worn motor, slipping wheel.
    pub blower_loss: f64,
    /// Share of the blower's speed that every step below the top one loses: burnt series resistor.
    pub lower_steps_loss: f64,
    /// Share of the air that passes the heater core with the blend door at full cold.
    pub blend_leak: f64,
    /// Least share of the air the blend door can send past the heater core.
    pub blend_least: f64,
    /// Greatest share of the air the blend door can send past the heater core.
    pub blend_greatest: f64,
    /// Share of the coolant that a shut heater valve lets by.
    pub heater_valve_leak: f64,
    /// Share of outside air drawn although recirculation is asked for, beyond the door's own leak.
    pub intake_leak: f64,
    /// Share of the recirculating position the intake door keeps although outside air is asked for.
    pub intake_stuck_in: f64,
}

/// Share of the box's flow resistance that the clean filter makes (common practice, no source).
const FILTER_RESISTANCE_SHARE: f64 = 0.25;
/// Share that the dry evaporator core makes (common practice, no source).
const CORE_RESISTANCE_SHARE: f64 = 0.45;
/// Share that ducts and vents make (common practice, no source). What is left is intake and case.
const OUTLET_RESISTANCE_SHARE: f64 = 0.20;
/// Capacity flow of coolant through an open heater core, W/K: some 7 l/min (common practice, no source).
const COOLANT_CAPACITY_W_PER_K: f64 = 420.0;
/// Share of the way to hot at which a heater valve is fully open (common practice, no source).
const VALVE_OPEN_AT: f64 = 0.1;

impl AirBox {
    /// Highest blower step.
    #[must_use]
    pub fn top_step(&self) -> usize {
        self.blower_flow_m3_s.len().saturating_sub(1)
    }

    /// Speed of the blower on a step, as a share of what the top step of a sound one turns at.
    ///
    /// With resistances that all go as the square of the flow, flows are in
    /// proportion to the speed (fan laws).
    #[must_use]
    pub fn blower_speed(&self, step: usize) -> f64 {
        self.sound_flow_m3_s(step) * self.speed_kept(step) / self.top_flow_m3_s()
    }

    /// Pressure the blower makes on a step at a flow, Pa.
    ///
    /// A falling parabola through the shut-off pressure, and through the clean
    /// box's drop at the healthy flow; both scale with speed by the fan laws. The
    /// shape is common practice for a squirrel-cage blower, no source.
    #[must_use]
    pub fn blower_pressure_pa(&self, step: usize, flow_m3_s: f64) -> f64 {
        let speed = self.blower_speed(step);
        let flow = flow_m3_s / self.top_flow_m3_s();
        self.blower_shut_off_pa * speed * speed
            - (self.blower_shut_off_pa - self.clean_drop_pa) * flow * flow
    }

    /// Pressure that filter, core, case and ducts take at a flow, Pa.
    ///
    /// Resistances in series, turbulent: pressure goes as the square of the flow.
    /// `core_open_share` is the part of the evaporator's face that dirt, frost and
    /// standing water leave open.
    #[must_use]
    pub fn system_pressure_pa(&self, flow_m3_s: f64, core_open_share: f64) -> f64 {
        let flow = flow_m3_s / self.top_flow_m3_s();
        self.clean_drop_pa * (1.0 + self.added_resistance(core_open_share)) * flow * flow
    }

    /// Volume flow through the box, m³/s: where the blower's curve meets the box's.
    #[must_use]
    pub fn flow_m3_s(&self, step: usize, core_open_share: f64) -> f64 {
        let added_pa = self.clean_drop_pa * self.added_resistance(core_open_share);
        let met = self.blower_shut_off_pa / (self.blower_shut_off_pa + added_pa);
        self.sound_flow_m3_s(step) * self.speed_kept(step) * met.sqrt()
    }

    fn sound_flow_m3_s(&self, step: usize) -> f64 {
        self.blower_flow_m3_s.get(step).copied().unwrap_or(0.0)
    }

    fn top_flow_m3_s(&self) -> f64 {
        self.sound_flow_m3_s(self.top_step()).max(1e-6)
    }

    /// Share of its sound speed that the blower turns at on a step.
    fn speed_kept(&self, step: usize) -> f64 {
        let kept = 1.0 - self.blower_loss;
        if step < self.top_step() {
            kept * (1.0 - self.lower_steps_loss)
        } else {
            kept
        }
    }

    /// Resistance beyond the clean, dry box's, as a share of that.
    fn added_resistance(&self, core_open_share: f64) -> f64 {
        let added = |open: f64| 1.0 / (open * open) - 1.0;
        FILTER_RESISTANCE_SHARE * added((1.0 - self.filter_blockage).max(0.03))
            + CORE_RESISTANCE_SHARE * added(core_open_share.max(0.02))
            + OUTLET_RESISTANCE_SHARE * added(self.outlets.conductance())
    }

    /// Share of the air drawn from the cabin.
    #[must_use]
    pub fn cabin_share(&self, recirculate: bool) -> f64 {
        self.recirculation_share
            * if recirculate {
                1.0 - self.intake_leak
            } else {
                self.intake_stuck_in
            }
    }

    /// Share of the air sent past the heater core, for what is asked and what leaks by.
    #[must_use]
    pub fn heater_share(&self, asked_share: f64) -> f64 {
        // Not `clamp`: two faults on one door may cross its limits, and the lower one then holds.
        let door = asked_share
            .clamp(0.0, 1.0)
            .min(self.blend_greatest)
            .max(self.blend_least);
        let leak = self.blend_leak + (1.0 - self.blend_leak) * self.blend_door_gap;
        leak + (1.0 - leak) * door
    }

    /// Share of the coolant's full flow that passes the heater core.
    #[must_use]
    pub fn coolant_share(&self, asked_share: f64) -> f64 {
        if self.heater_valve {
            let open = (asked_share / VALVE_OPEN_AT).clamp(0.0, 1.0);
            self.heater_valve_leak + (1.0 - self.heater_valve_leak) * open
        } else {
            1.0
        }
    }

    /// How far the heater core brings the air towards the coolant's temperature, 0 to 1, all the
    /// air together.
    ///
    /// Where the valve throttles the coolant, the core is only as hot as what
    /// comes through keeps it: the air's conductance in series with the coolant's
    /// capacity flow, less what the open core's own effectiveness has in it already.
    #[must_use]
    pub fn heated_share(&self, asked_share: f64, air_capacity_w_per_k: f64) -> f64 {
        let open = self.heater_share(asked_share) * self.heater_effectiveness;
        let coolant = self.coolant_share(asked_share);
        let starved = open * air_capacity_w_per_k / COOLANT_CAPACITY_W_PER_K * (1.0 - coolant);
        if coolant > 0.0 {
            open * coolant / (coolant + starved)
        } else {
            0.0
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::spec::CarSpec;

    /// Fan law and curve: the flow found is where both curves give one pressure, and the healthy
    /// box delivers what its data say.
    #[test]
    fn flow_is_where_blower_and_box_meet() {
        let healthy = CarSpec::example().air_box;
        for (step, flow) in healthy.blower_flow_m3_s.clone().into_iter().enumerate() {
            assert_eq!(healthy.flow_m3_s(step, 1.0), flow);
            for (filter, core, shut, lost) in [
                (0.0, 1.0, 0.0, 0.0),
                (0.6, 1.0, 0.0, 0.2),
                (0.9, 0.4, 1.0, 0.0),
                (0.0, 0.05, 0.5, 0.6),
            ] {
                let mut air_box = healthy.clone();
                air_box.filter_blockage = filter;
                air_box.blower_loss = lost;
                air_box.outlets.left_shut = shut;
                let flow = air_box.flow_m3_s(step, core);
                let made = air_box.blower_pressure_pa(step, flow);
                let taken = air_box.system_pressure_pa(flow, core);
                assert!((made - taken).abs() < 1e-9, "{made} Pa and {taken} Pa");
                assert!(made <= healthy.blower_shut_off_pa);
            }
        }
    }

    #[test]
    fn a_burnt_resistor_leaves_the_top_step() {
        let mut air_box = CarSpec::example().air_box;
        let top = air_box.top_step();
        let sound = air_box.flow_m3_s(top, 1.0);
        air_box.lower_steps_loss = 1.0;
        for step in 0..top {
            assert_eq!(air_box.flow_m3_s(step, 1.0), 0.0);
        }
        assert_eq!(air_box.flow_m3_s(top, 1.0), sound);
    }

    /// A little hot water is enough to keep a core hot that hardly any air passes.
    #[test]
    fn a_heater_valve_decides_whether_a_gap_matters() {
        let mut air_box = CarSpec::example().air_box;
        air_box.blend_door_gap = 0.08;
        air_box.heater_valve = true;
        assert_eq!(air_box.heated_share(0.0, 130.0), 0.0);
        let full = 0.08 * air_box.heater_effectiveness;
        let mut last = 0.0;
        for leak in [0.01, 0.05, 0.2, 0.6] {
            air_box.heater_valve_leak = leak;
            let heated = air_box.heated_share(0.0, 130.0);
            assert!(last < heated && heated < full, "{heated}");
            last = heated;
        }
        assert!(last > 0.9 * full);
        air_box.heater_valve = false;
        assert_eq!(air_box.heated_share(0.0, 130.0), full);
    }

    #[test]
    fn a_stuck_blend_door_stays_where_it_is() {
        let mut air_box = CarSpec::example().air_box;
        air_box.blend_door_gap = 0.0;
        air_box.blend_least = 0.4;
        air_box.blend_greatest = 0.4;
        for asked in [0.0, 0.3, 1.0] {
            assert_eq!(air_box.heater_share(asked), 0.4);
        }
    }
}
