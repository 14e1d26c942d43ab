//! Evacuating and charging: a vacuum pump and a charging cylinder on the service ports.
//!
//! The pump draws on a loop in any state. One that still holds pressure it blows into the air, through
//! the implicit loop; one that is thin it pumps down by [`crate::loop_model::rarefied`], which then
//! carries the loop until refrigerant is charged. A compressor that turns meanwhile moves nothing.
//! The cylinder stands in the air around, at its temperature, or is warmed and then cools back to it:
//! its pressure is the refrigerant's at its temperature. What it gives does not cool it, as it is large
//! beside a car's charge (common practice, no source).

use std::sync::Arc;

use crate::car::{Car, STEP_AFTER_SWITCH_S};
use crate::loop_model::layout::Role;
use crate::loop_model::rarefied::{APERTURE_M_S, Open};
use crate::loop_model::streams::Inflow;
use crate::parts::storage::Place;
use crate::parts::vacuum_pump::WORKSHOP_PUMP;

/// What a charging cylinder gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Phase {
    /// Liquid, from its dip tube.
    Liquid,
    /// Vapour, from above the liquid.
    Vapour,
}

/// A service port of the loop.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Port {
    /// On the suction line.
    Low,
    /// Where the car has its high-side port.
    High,
}

/// A charging cylinder on a port, open until the scales show what was asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charging {
    phase: Phase,
    inflow: Inflow,
    /// Charged in all when the valve shuts, kg.
    until_kg: f64,
    /// Flow in the last step, kg/s.
    flow_kg_s: f64,
}

/// Effective area of a pump's inlet for a loop under pressure, m² (common practice, no source).
const BLOWN_AREA_M2: f64 = 3e-7;
/// Pressure above that of the air up to which a loop without liquid counts as thin, Pa.
const THIN_ABOVE_AIR_PA: f64 = 10e3;
/// Pressure to which a pump empties a loop that is not thin, Pa: well below, so that liquid boils off.
const BLOWN_TO_PA: f64 = 30e3;
/// Refrigerant's pressure from which the implicit loop follows what is charged, Pa.
const THICK_FROM_PA: f64 = 50e3;
/// Refrigerant's pressure below which it is a trace in a loop of air, Pa.
const TRACE_PA: f64 = 3e3;
/// Longest step of a thin loop, s.
const LONGEST_THIN_S: f64 = 5.0;
/// Shortest, s.
const SHORTEST_THIN_S: f64 = 0.1;
/// Share of its volume that a pump may draw from a loop in a step.
const DRAWN_IN_A_STEP: f64 = 0.1;
/// Step of a thin loop that is being charged, s.
const CHARGED_THIN_S: f64 = 0.05;
/// Effective area of a charging hose with its valve, m² (common practice, no source: a car's charge
/// goes in as liquid in a few minutes).
const CHARGING_AREA_M2: f64 = 4e-7;
/// Time in which a warmed cylinder cools to the air around, s (common practice, no source: 10 kg of
/// refrigerant and 5 kg of steel, 0.4 m² of wall in still air).
const CYLINDER_COOLS_S: f64 = 5000.0;
/// Excess that no needle shows, K: the cylinder counts as cold again.
const CYLINDER_COLD_K: f64 = 0.1;
/// What may be missing when the valve is shut, kg.
const NEARLY_ALL_KG: f64 = 5e-5;
/// Shortest step towards the mass asked for, s.
const SHORTEST_TO_MASS_S: f64 = 0.01;

impl Car {
    /// Starts a vacuum pump at both service ports, its valve open.
    pub fn start_evacuation(&mut self) {
        self.state.service.pump_on = true;
        self.state.service.machine_pa = BLOWN_TO_PA;
        self.set_machine_area(BLOWN_AREA_M2);
    }

    /// Shuts the pump's valve and stops it. The loop stays as it is, for a decay test.
    pub fn stop_evacuation(&mut self) {
        self.state.service.pump_on = false;
        self.set_machine_area(0.0);
    }

    /// Opens a charging cylinder to a port until so much has gone in, kg. What goes in is counted by
    /// `charged_kg`; nothing does once the loop's pressure is the cylinder's.
    ///
    /// A loop in vacuum holds what the cylinder holds from here on: the refrigerant on the label.
    pub fn start_charging(&mut self, phase: Phase, port: Port, mass_kg: f64) {
        if self.state.service.thin && self.spec.contents.other_share > 0.0 {
            self.fluid = Arc::clone(&self.label);
            self.spec.contents.other_share = 0.0;
        }
        let [low, high] = self.ports();
        let role = if port == Port::Low { low } else { high };
        let index = self.layout.index_of(role).unwrap_or(0);
        let inflow = self.given(phase, index);
        self.state.service.charging = Some(Charging {
            phase,
            inflow,
            until_kg: self.state.refrigerant.charged_kg + mass_kg,
            flow_kg_s: inflow.free_kg_s(0.0),
        });
        self.something_switched();
    }

    /// What the cylinder gives into a volume at its temperature now.
    fn given(&self, phase: Phase, index: usize) -> Inflow {
        let pressure_pa = self.fluid.saturation_pressure_pa(self.cylinder_k());
        let saturation = self.fluid.saturation(pressure_pa);
        let (enthalpy_j_per_kg, density_kg_per_m3) = match phase {
            Phase::Liquid => (
                saturation.liquid_enthalpy_j_per_kg,
                saturation.liquid_density_kg_per_m3,
            ),
            Phase::Vapour => (
                saturation.vapour_enthalpy_j_per_kg,
                saturation.vapour_density_kg_per_m3,
            ),
        };
        Inflow {
            index,
            pressure_pa,
            enthalpy_j_per_kg,
            density_kg_per_m3,
            area_m2: CHARGING_AREA_M2,
        }
    }

    /// Temperature of the charging cylinder, K.
    #[must_use]
    pub fn cylinder_k(&self) -> f64 {
        self.weather.temperature_k + self.state.service.cylinder_over_k
    }

    /// Brings the charging cylinder to a temperature, K; a bath that is no warmer than it changes nothing.
    pub fn warm_cylinder(&mut self, to_k: f64) {
        let over_k = to_k - self.weather.temperature_k;
        let held_k = &mut self.state.service.cylinder_over_k;
        *held_k = held_k.max(over_k);
    }

    /// Lets a warmed cylinder cool; what it gives follows its temperature.
    fn cool_cylinder(&mut self, step_s: f64) {
        let over_k = self.state.service.cylinder_over_k;
        if over_k <= 0.0 {
            return;
        }
        let left_k = over_k / (1.0 + step_s / CYLINDER_COOLS_S);
        self.state.service.cylinder_over_k = if left_k > CYLINDER_COLD_K {
            left_k
        } else {
            0.0
        };
        if let Some(charging) = self.state.service.charging {
            let inflow = self.given(charging.phase, charging.inflow.index);
            self.state.service.charging = Some(Charging { inflow, ..charging });
        }
    }

    /// Shuts the cylinder.
    pub fn stop_charging(&mut self) {
        self.state.service.charging = None;
        self.something_switched();
    }

    /// Whether a cylinder is open to the loop.
    #[must_use]
    pub fn is_charging(&self) -> bool {
        self.state.service.charging.is_some()
    }

    /// Refrigerant charged since a pump last had the loop, kg; None when it never did.
    #[must_use]
    pub fn charged_since_vacuum_kg(&self) -> Option<f64> {
        let before = self.state.service.charged_at_vacuum_kg?;
        Some(self.state.refrigerant.charged_kg - before)
    }

    fn something_switched(&mut self) {
        self.next_step_s = self.next_step_s.min(STEP_AFTER_SWITCH_S);
        self.solver.forget();
    }

    /// The cylinder open to the loop.
    pub(super) fn inflow(&self) -> Option<Inflow> {
        self.state.service.charging.map(|charging| charging.inflow)
    }

    /// Decides whether the loop is thin in the coming step.
    pub(super) fn settle_thin(&mut self) -> bool {
        let turns = self.state.compressor_rev_s > 0.0;
        let service = &self.state.service;
        let refrigerant = &self.state.refrigerant;
        if service.thin {
            let most_pa = refrigerant
                .pressure_pa
                .iter()
                .fold(0.0_f64, |a, b| a.max(*b));
            let in_use = turns || service.charging.is_some();
            if in_use && most_pa > THICK_FROM_PA {
                self.state.service.thin = false;
                let suction = self.layout.index_of(Role::SuctionLine).unwrap_or(0);
                let refrigerant = &mut self.state.refrigerant;
                refrigerant.water.dissolve();
                refrigerant.sensing_k = refrigerant.wall_k[suction];
                self.something_switched();
            }
        } else if (service.pump_on || self.stands_open()) && !turns {
            let below_pa = self.outdoors.pressure_pa + THIN_ABOVE_AIR_PA;
            if refrigerant.is_thin(&self.fluid, below_pa) {
                self.state.service.charged_at_vacuum_kg = Some(refrigerant.charged_kg);
                self.state.service.thin = true;
                self.something_switched();
            }
        } else if refrigerant.pressure_pa.iter().all(|pa| *pa < TRACE_PA) {
            // A machine on a leaking loop draws air at last; what a compressor would move of the rest is
            // nothing.
            self.state.service.thin = true;
            self.something_switched();
        }
        self.state.service.thin
    }

    /// One step of a thin loop no longer than `most_s`; returns its length.
    pub(super) fn thin_step(&mut self, most_s: f64) -> f64 {
        let service = &self.state.service;
        let sides_pa = self.state.refrigerant.sides_pa(&self.layout);
        let pump = service.pump_on.then_some(&WORKSHOP_PUMP);
        let drawn_m3_s: f64 = pump.map_or(0.0, |pump| pump.drawn_m3_s(sides_pa).iter().sum());
        let whole = DRAWN_IN_A_STEP * self.layout.total_volume_m3();
        let mut step_s = (whole / drawn_m3_s.max(1e-9)).clamp(SHORTEST_THIN_S, LONGEST_THIN_S);
        if service.charging.is_some() {
            step_s = CHARGED_THIN_S.min(self.to_mass_s());
        }
        let step_s = step_s.min(most_s);
        self.set_outside(step_s);
        let across_m2 = self
            .spec
            .expansion
            .thin_area_m2(self.state.expansion_open());
        let open = Open {
            fluid: &self.fluid,
            layout: &self.layout,
            outside: &self.outside,
            ambient_pa: self.outdoors.pressure_pa,
            pump,
            machine_pa: self
                .state
                .service
                .machine_on
                .then_some(self.state.service.machine_pa),
            across_m3_s: APERTURE_M_S * across_m2,
            inflow: self.inflow(),
            drier_side: usize::from(self.spec.storage.place == Place::Suction),
            swapped_m3_s: self.swapped_m3_s(),
            damp_kg_m3: self.damp_kg_m3(),
        };
        self.state.refrigerant.thin_step(&open, step_s);
        step_s
    }

    /// Longest step that does not charge far beyond what was asked for.
    pub(super) fn to_mass_s(&self) -> f64 {
        self.state
            .service
            .charging
            .map_or(f64::INFINITY, |charging| {
                let left_kg = charging.until_kg - self.state.refrigerant.charged_kg;
                (left_kg / charging.flow_kg_s.max(1e-9)).max(SHORTEST_TO_MASS_S)
            })
    }

    /// Shuts the cylinder when the mass is in, and lets what a pump has blown out into the air around.
    pub(super) fn after_evacuation(&mut self, before: Counted, step_s: f64) {
        self.cool_cylinder(step_s);
        let now = self.counted();
        let service = &mut self.state.service;
        if service.pump_on {
            let escaped: f64 = self.state.refrigerant.escaping_kg_s.iter().sum();
            service.gas_in_air_kg += (now.lost_kg - before.lost_kg - escaped * step_s).max(0.0);
        }
        let Some(charging) = &mut service.charging else {
            return;
        };
        charging.flow_kg_s = (now.charged_kg - before.charged_kg) / step_s;
        if now.charged_kg > charging.until_kg - NEARLY_ALL_KG {
            self.stop_charging();
        }
    }

    /// What has left and entered the loop so far.
    pub(super) fn counted(&self) -> Counted {
        Counted {
            lost_kg: self.state.refrigerant.lost_kg,
            charged_kg: self.state.refrigerant.charged_kg,
        }
    }
}

/// Refrigerant lost and charged up to a moment.
#[derive(Clone, Copy, Debug)]
pub(super) struct Counted {
    lost_kg: f64,
    charged_kg: f64,
}
