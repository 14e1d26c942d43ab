//! Looking at a car: true values, for instruments and tests.

use std::sync::Arc;

use crate::car::{Car, CarState, Effort};
use crate::fluid::{Fast, Fluid};
use crate::loop_model::layout::{Layout, Role};
use crate::loop_model::volume::Outside;
use crate::setup::{Setup, Weather};
use crate::spec::CarSpec;

impl Car {
    /// Whether the compressor is driven to pump: by its clutch, or without one by a control that asks for
    /// it. One without a clutch else turns along at its least stroke, on the oil it keeps.
    #[must_use]
    pub fn compressor_works(&self) -> bool {
        let asked = self.spec.clutch.is_some() || self.state.controls.relay_closed;
        asked && self.state.compressor_rev_s > 0.0
    }

    /// Pressure in a volume, Pa absolute, air, water and refrigerant together: what a gauge shows. The first
    /// volume's where the car lacks the one asked for.
    #[must_use]
    pub fn pressure_pa(&self, role: Role) -> f64 {
        let index = self.layout.index_of(role).unwrap_or(0);
        let air_pa = self.state.refrigerant.air_pressure_pa.get(index);
        let gas_pa = self.refrigerant_pressure_pa(role) + air_pa.copied().unwrap_or(0.0);
        gas_pa + self.state.refrigerant.water_pa(&self.layout, index)
    }

    /// Pressure of the refrigerant alone in a volume, Pa absolute: what it boils and condenses at.
    #[must_use]
    pub fn refrigerant_pressure_pa(&self, role: Role) -> f64 {
        let index = self.layout.index_of(role).unwrap_or(0);
        let own_pa = self.state.refrigerant.pressure_pa.get(index);
        own_pa.copied().unwrap_or(0.0)
    }

    /// Temperature of the refrigerant in a volume, K, where the car has it.
    #[must_use]
    pub fn refrigerant_temperature_k(&self, role: Role) -> Option<f64> {
        self.refrigerant_state(role).map(|fast| fast.temperature_k)
    }

    /// Quality in a volume, below 0 when subcooled and above 1 when superheated, where the car has it.
    #[must_use]
    pub fn quality(&self, role: Role) -> Option<f64> {
        self.refrigerant_state(role).map(|fast| fast.quality)
    }

    /// Quality of what a volume hands on, at its own pressure: from a bottle's dip tube 0 as long as it
    /// reaches into liquid. None where the car lacks the volume or nothing leaves it forwards.
    #[must_use]
    pub fn leaving_quality(&self, role: Role) -> Option<f64> {
        let index = self.layout.index_of(role)?;
        let loop_state = &self.state.refrigerant;
        let flow_kg_s = loop_state.flow_kg_s[index];
        if flow_kg_s <= 0.0 {
            return None;
        }
        let saturation = self.fluid.saturation(loop_state.pressure_pa[index]);
        let latent = saturation.vapour_enthalpy_j_per_kg - saturation.liquid_enthalpy_j_per_kg;
        let carried = loop_state.enthalpy_flow_w[index] / flow_kg_s;
        Some((carried - saturation.liquid_enthalpy_j_per_kg) / latent)
    }

    /// Share of a volume that vapour takes up, 0 to 1, where the car has it.
    #[must_use]
    pub fn vapour_share(&self, role: Role) -> Option<f64> {
        let quality = self.quality(role)?.clamp(0.0, 1.0);
        let saturation = self.fluid.saturation(self.refrigerant_pressure_pa(role));
        let vapour = quality / saturation.vapour_density_kg_per_m3;
        let liquid = (1.0 - quality) / saturation.liquid_density_kg_per_m3;
        Some(vapour / (vapour + liquid))
    }

    fn refrigerant_state(&self, role: Role) -> Option<Fast> {
        let index = self.layout.index_of(role)?;
        let loop_state = &self.state.refrigerant;
        Some(self.fluid.ph(
            loop_state.pressure_pa[index],
            loop_state.enthalpy_j_per_kg[index],
        ))
    }

    /// Density of saturated vapour at a volume's pressure, kg/m³: what leaks out above the liquid.
    #[must_use]
    pub fn vapour_density_kg_per_m3(&self, role: Role) -> f64 {
        self.fluid
            .saturation(self.refrigerant_pressure_pa(role))
            .vapour_density_kg_per_m3
    }

    /// Heat from the air into the wall of a volume during the last step, W; negative where the wall
    /// is the warmer. Water freezing on the evaporator counts as heat from its air.
    #[must_use]
    pub fn heat_from_air_w(&self, role: Role) -> f64 {
        let Some(index) = self.layout.index_of(role) else {
            return 0.0;
        };
        let wall_k = self.state.refrigerant.wall_k[index];
        match &self.outside[index] {
            Outside::Dry {
                conductance_w_per_k,
                air_k,
            } => conductance_w_per_k * (air_k - wall_k),
            Outside::Wet(face) => face.exchange(wall_k).heat_w,
        }
    }

    /// What the wall of a volume met outside during the last step, where the car has the volume.
    #[must_use]
    pub fn met_outside(&self, role: Role) -> Option<&Outside> {
        let index = self.layout.index_of(role)?;
        self.outside.get(index)
    }

    /// Temperature of the hub in front of the pulley, K; without a clutch it has no coil to heat it.
    #[must_use]
    pub fn hub_k(&self) -> f64 {
        match self.spec.clutch {
            Some(_) => self.state.clutch.temperature_k,
            None => self.state.bay.bay_k,
        }
    }

    /// Flow through the expansion valve, kg/s.
    #[must_use]
    pub fn valve_flow_kg_s(&self) -> f64 {
        self.layout
            .index_of(Role::LiquidLine)
            .and_then(|index| self.state.refrigerant.flow_kg_s.get(index))
            .copied()
            .unwrap_or(0.0)
    }

    /// What the car carries through time.
    #[must_use]
    pub fn state(&self) -> &CarState {
        &self.state
    }

    /// Its parameters, faults applied.
    #[must_use]
    pub fn spec(&self) -> &CarSpec {
        &self.spec
    }

    /// The ring of its loop.
    #[must_use]
    pub fn layout(&self) -> &Layout {
        &self.layout
    }

    /// Its refrigerant.
    #[must_use]
    pub fn fluid(&self) -> &Arc<Fluid> {
        &self.fluid
    }

    /// The refrigerant on its label.
    #[must_use]
    pub fn label_fluid(&self) -> &Arc<Fluid> {
        &self.label
    }

    /// The weather it stands in.
    #[must_use]
    pub fn weather(&self) -> &Weather {
        &self.weather
    }

    /// The controls as last set.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// Effort spent since the car was made.
    #[must_use]
    pub fn effort(&self) -> Effort {
        Effort {
            evaluations: self.solver.evaluations,
            refused: self.solver.refused,
        }
    }
}
