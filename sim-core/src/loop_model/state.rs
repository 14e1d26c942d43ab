//! What the loop carries through time.

use crate::fluid::Fluid;
use crate::loop_model::gas::Air;
use crate::loop_model::layout::{Layout, Role};
use crate::parts::water::Water;

/// State of every volume, in the order of the layout.
#[derive(Clone, Debug, PartialEq)]
pub struct LoopState {
    /// Mass held, kg: conserved.
    pub mass_kg: Vec<f64>,
    /// Internal energy held, J: conserved.
    pub energy_j: Vec<f64>,
    /// Pressure of the refrigerant alone, Pa absolute.
    pub pressure_pa: Vec<f64>,
    /// Specific enthalpy, J/kg.
    pub enthalpy_j_per_kg: Vec<f64>,
    /// Air in the loop.
    pub air: Air,
    /// Pressure of that air, Pa: a gauge shows both together.
    pub air_pressure_pa: Vec<f64>,
    /// Wall temperature, K.
    pub wall_k: Vec<f64>,
    /// Flow in the passage after each volume, kg/s.
    pub flow_kg_s: Vec<f64>,
    /// Enthalpy that flow takes out of the volume it leaves, W; work put in on the way is not in it.
    pub enthalpy_flow_w: Vec<f64>,
    /// Temperature of the valve's sensing charge, K.
    pub sensing_k: f64,
    /// Needle lift of the valve, 0 to 1.
    pub lift: f64,
    /// Power put into the refrigerant by the compressor, W.
    pub compressor_power_w: f64,
    /// Stroke of the compressor as a share of full.
    pub stroke: f64,
    /// What the compressor pumps, kg/s, including what blows back past its valves.
    pub pumped_kg_s: f64,
    /// What left each volume for the air in the last step, kg/s.
    pub escaping_kg_s: Vec<f64>,
    /// Refrigerant that has left the loop for the air, a vacuum pump's exhaust included, kg.
    pub lost_kg: f64,
    /// Refrigerant that a recovery machine has drawn out of the loop, kg.
    pub recovered_kg: f64,
    /// Refrigerant that has been charged into the loop, kg.
    pub charged_kg: f64,
    /// Water in the loop.
    pub water: Water,
}

impl LoopState {
    /// The loop at rest: one temperature, one pressure, liquid lying where it gathers.
    ///
    /// After a long stop refrigerant settles in receiver, condenser and
    /// evaporator rather than in hoses, so those fill first.
    #[must_use]
    pub fn soaked(fluid: &Fluid, layout: &Layout, charge_kg: f64, temperature_k: f64) -> Self {
        let count = layout.volumes.len();
        let total_m3 = layout.total_volume_m3();
        let saturated_pa = fluid.saturation_pressure_pa(temperature_k);
        let saturation = fluid.saturation(saturated_pa);
        let vapour = saturation.vapour_density_kg_per_m3;
        let liquid = saturation.liquid_density_kg_per_m3;
        let mut densities = vec![vapour; count];
        let mut pressure = saturated_pa;
        let mut excess_kg = charge_kg - vapour * total_m3;
        if excess_kg >= 0.0 {
            for role in RESTING_ORDER {
                for (volume, density) in layout.volumes.iter().zip(&mut densities) {
                    if role(volume.role) && excess_kg > 0.0 {
                        let room = volume.volume_m3 * (liquid - vapour) * RESTING_FILL;
                        let taken = room.min(excess_kg);
                        *density += taken / volume.volume_m3;
                        excess_kg -= taken;
                    }
                }
            }
        } else {
            pressure = vapour_pressure(fluid, charge_kg / total_m3, temperature_k, saturated_pa);
            densities.fill(charge_kg / total_m3);
        }
        let mut state = Self {
            mass_kg: vec![0.0; count],
            energy_j: vec![0.0; count],
            pressure_pa: vec![pressure; count],
            enthalpy_j_per_kg: vec![0.0; count],
            air: Air::default(),
            air_pressure_pa: vec![0.0; count],
            wall_k: vec![temperature_k; count],
            flow_kg_s: vec![0.0; count],
            enthalpy_flow_w: vec![0.0; count],
            sensing_k: temperature_k,
            lift: 0.0,
            stroke: 1.0,
            compressor_power_w: 0.0,
            pumped_kg_s: 0.0,
            escaping_kg_s: vec![0.0; count],
            lost_kg: 0.0,
            recovered_kg: 0.0,
            charged_kg: 0.0,
            water: Water::default(),
        };
        for (index, volume) in layout.volumes.iter().enumerate() {
            let density = densities[index];
            let enthalpy = if pressure < saturated_pa {
                vapour_enthalpy(fluid, pressure, temperature_k)
            } else {
                let quality = (1.0 / density - 1.0 / liquid) / (1.0 / vapour - 1.0 / liquid);
                saturation.liquid_enthalpy_j_per_kg
                    + quality
                        * (saturation.vapour_enthalpy_j_per_kg
                            - saturation.liquid_enthalpy_j_per_kg)
            };
            state.enthalpy_j_per_kg[index] = enthalpy;
            // Held mass comes from the density asked for, so that the sum is the charge to round-off.
            state.mass_kg[index] = density * volume.volume_m3;
            state.energy_j[index] = (density * enthalpy - pressure) * volume.volume_m3;
        }
        state
    }

    /// Puts every pressure and enthalpy where the mass and energy held say they are.
    ///
    /// The step leaves a little between the two where a volume crosses the boiling line. Full of
    /// liquid, a few milligrams are tens of kPa, and a step too short to let them flow finds no
    /// pressures that settle.
    pub fn agree(&mut self, fluid: &Fluid, layout: &Layout) {
        for (index, volume) in layout.volumes.iter().enumerate() {
            let density = self.mass_kg[index] / volume.volume_m3;
            let energy = self.energy_j[index] / self.mass_kg[index];
            let (pressure, enthalpy) = holding(fluid, density, energy);
            self.pressure_pa[index] = pressure;
            self.enthalpy_j_per_kg[index] = enthalpy;
        }
    }

    /// Takes every volume's mass and energy times a factor: another charge, spread as this one is.
    /// The next step finds the pressures that go with it.
    pub fn scale(&mut self, factor: f64) {
        for held in self.mass_kg.iter_mut().chain(&mut self.energy_j) {
            *held *= factor;
        }
    }

    /// Gives the fullest volume what rounding has taken from a charge: flows of a very long step are
    /// tonnes, and their last bits add up.
    pub fn make_up(&mut self, charge_kg: f64) {
        let missing_kg = charge_kg - self.total_mass_kg();
        let fullest = self
            .mass_kg
            .iter_mut()
            .reduce(|a, b| if *a < *b { b } else { a });
        if let Some(held) = fullest {
            *held += missing_kg;
        }
    }

    /// Refrigerant in the loop, kg.
    #[must_use]
    pub fn total_mass_kg(&self) -> f64 {
        self.mass_kg.iter().sum()
    }
}

/// Share of a volume that resting liquid fills before it lies elsewhere.
const RESTING_FILL: f64 = 0.85;

/// Where resting liquid gathers, first to last.
const RESTING_ORDER: [fn(Role) -> bool; 5] = [
    |role| {
        matches!(
            role,
            Role::Receiver | Role::Subcooler | Role::LiquidLine | Role::Accumulator
        )
    },
    |role| matches!(role, Role::Condenser(index) if index >= 2),
    |role| matches!(role, Role::Evaporator(_)),
    |role| matches!(role, Role::Condenser(_)),
    |_| true,
];

/// Pressure and enthalpy of a density and specific internal energy, by bisection: at a density
/// energy rises with pressure, and at a pressure density falls with enthalpy, whatever the phase.
fn holding(fluid: &Fluid, density: f64, energy: f64) -> (f64, f64) {
    let enthalpy_at = |pressure: f64| {
        let saturation = fluid.saturation(pressure);
        let (mut low, mut high) = LEAST_AND_MOST_J_PER_KG;
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if fluid.ph_with(&saturation, middle).density_kg_per_m3 > density {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    };
    let (mut low, mut high) = LEAST_AND_MOST_PA;
    for _ in 0..60 {
        let middle = (low * high).sqrt();
        if enthalpy_at(middle) - middle / density < energy {
            low = middle;
        } else {
            high = middle;
        }
    }
    let pressure = (low * high).sqrt();
    (pressure, enthalpy_at(pressure))
}

/// Pressures between which a volume's own is sought, Pa.
const LEAST_AND_MOST_PA: (f64, f64) = (10.0, 2e7);
/// Enthalpies between which a volume's own is sought, J/kg.
const LEAST_AND_MOST_J_PER_KG: (f64, f64) = (2e4, 2e6);

/// Pressure of vapour of a density at a temperature, Pa, by bisection below saturation.
fn vapour_pressure(fluid: &Fluid, density: f64, temperature_k: f64, saturated_pa: f64) -> f64 {
    let (mut low, mut high) = (1.0, saturated_pa);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        let enthalpy = vapour_enthalpy(fluid, middle, temperature_k);
        if fluid.ph(middle, enthalpy).density_kg_per_m3 < density {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Enthalpy of vapour at a pressure and temperature, J/kg, by Newton on the table.
pub(crate) fn vapour_enthalpy(fluid: &Fluid, pressure_pa: f64, temperature_k: f64) -> f64 {
    let saturation = fluid.saturation(pressure_pa);
    let mut enthalpy = saturation.vapour_enthalpy_j_per_kg
        + 850.0 * (temperature_k - saturation.temperature_k).max(0.0);
    for _ in 0..20 {
        let here = fluid.ph_with(&saturation, enthalpy);
        if here.temperature_dh <= 0.0 {
            break;
        }
        let change = (temperature_k - here.temperature_k) / here.temperature_dh;
        enthalpy = (enthalpy + change).max(saturation.vapour_enthalpy_j_per_kg + 1e-6);
        if change.abs() < 1e-4 {
            break;
        }
    }
    enthalpy
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spec::CarSpec;

    /// Pressures and enthalpies thrown away and found again from what the volumes hold: vapour, wet
    /// and full of liquid.
    #[test]
    fn pressures_follow_from_masses_and_energies() {
        let fluid = Fluid::r134a();
        let layout = Layout::of(&CarSpec::example());
        let mut state = LoopState::soaked(&fluid, &layout, 0.49, 298.15);
        let states = [
            (300e3, 410e3),
            (300e3, 250e3),
            (1.2e6, 240e3),
            (1.5e6, 450e3),
        ];
        for (index, volume) in layout.volumes.iter().enumerate() {
            let (pressure, enthalpy) = states[index % states.len()];
            let density = fluid.ph(pressure, enthalpy).density_kg_per_m3;
            state.mass_kg[index] = density * volume.volume_m3;
            state.energy_j[index] = (density * enthalpy - pressure) * volume.volume_m3;
        }
        let (mass, energy) = (state.mass_kg.clone(), state.energy_j.clone());
        state.agree(&fluid, &layout);
        assert_eq!(
            (mass, energy),
            (state.mass_kg.clone(), state.energy_j.clone())
        );
        for index in 0..layout.volumes.len() {
            let (pressure, enthalpy) = states[index % states.len()];
            let found = (state.pressure_pa[index], state.enthalpy_j_per_kg[index]);
            // Liquid is so stiff that the last bits of its mass are a few Pa.
            assert!((found.0 - pressure).abs() < 50.0, "{index}: {found:?}");
            assert!((found.1 - enthalpy).abs() < 1.0, "{index}: {found:?}");
        }
    }
}
