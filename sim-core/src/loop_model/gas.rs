//! Air in the loop: it fills what liquid leaves free, adds its pressure, and goes where vapour goes.
//!
//! Two pools hold it: the high side, from the compressor's head to the expansion device, and the low
//! side. In a pool its pressure is the same everywhere, m R / Σ(V/T) over the space that liquid leaves
//! (Dalton): the refrigerant boils and condenses by its own pressure, gauges and flows feel both. Air
//! passes the compressor and the expansion device with the vapour of their streams: liquid takes
//! none along. So a running compressor gathers it on the high side, behind the liquid that seals the
//! receiver, and it spreads again when the car stands. Within a step it is held still. Its heat
//! capacity is neglected: some grams beside half a kilogram of refrigerant.

use crate::dual::Dual;
use crate::fluid::{Fluid, Saturation};
use crate::loop_model::layout::{Layout, Passage, Volume};
use crate::loop_model::state::LoopState;
use crate::loop_model::streams::Drive;
use crate::parts::line::{Flowing, Stream, carried};

/// Gas constant of dry air, J/(kg K) (ASHRAE Fundamentals).
pub const AIR_J_PER_KG_K: f64 = 287.042;
/// Temperature of air drawn in through a leak, K (20 °C, no source: it changes the flow by a few percent).
const AROUND_K: f64 = 293.15;
/// Least share of a pool that counts as free: corners that liquid does not reach.
const LEAST_FREE: f64 = 0.02;

/// Air in the two sides of the loop, kg.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Air {
    /// From the compressor's head to the expansion device.
    pub high_kg: f64,
    /// From the expansion device to the compressor.
    pub low_kg: f64,
}

/// Gas of one side of the loop.
#[derive(Clone, Copy, Debug, Default)]
struct Pool {
    /// Space that liquid leaves, m³.
    free_m3: f64,
    /// The same over its temperature, m³/K.
    free_m3_per_k: f64,
    /// Volume of the pool, m³.
    volume_m3: f64,
}

impl Pool {
    fn pressure_pa(&self, air_kg: f64) -> f64 {
        let least = LEAST_FREE * self.volume_m3 / self.free_m3.max(f64::MIN_POSITIVE);
        air_kg * AIR_J_PER_KG_K / (self.free_m3_per_k * least.max(1.0))
    }

    fn free_m3(&self) -> f64 {
        self.free_m3.max(LEAST_FREE * self.volume_m3)
    }
}

/// How the air's pressure on both sides gives way during a step to what goes through the expansion
/// device.
///
/// What leaves a side, liquid or gas with its air, lets the air that stays expand by the same volume,
/// and what comes round through the compressor takes that room again. Left out, a long step would
/// carry far too much across, and the next one back.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Slack {
    /// Fall of the difference of pressure between the sides for each m³ that goes across, Pa.
    pa_per_m3: f64,
    /// Length of the step, s.
    step_s: f64,
    /// What the compressor brings back, kg/s.
    returning_kg_s: f64,
}

impl Slack {
    /// Flow from one side to the other with the difference of pressure left at the end of the step.
    ///
    /// With K the fall for each kg/s, ṁ = c √(Δp − K ṁ) is c √Δp · 2 / (κ + √(κ² + 4)) with
    /// κ = K c / √Δp.
    pub(super) fn flow(
        self,
        near: &Flowing<5>,
        far: &Flowing<5>,
        through: impl Fn(&Flowing<5>, &Flowing<5>) -> Stream<5>,
    ) -> Stream<5> {
        if self.pa_per_m3 <= 0.0 {
            return through(near, far);
        }
        let forward = near.pressure_pa.value >= far.pressure_pa.value;
        let donor = if forward { near } else { far };
        let fall = self.pa_per_m3 * self.step_s / donor.density_kg_per_m3.value;
        let refilled = Flowing {
            pressure_pa: near.pressure_pa + fall * self.returning_kg_s,
            ..*near
        };
        let free = through(&refilled, far).mass_flow_kg_s;
        let difference = refilled.pressure_pa - far.pressure_pa;
        let conductance = if difference.value.abs() > 1.0 {
            free / difference
        } else {
            Dual::constant(free.slope[0])
        };
        let ratio = conductance * fall;
        let left = Dual::constant(2.0) / (ratio + (ratio * ratio + 4.0).sqrt());
        carried(free * left, near, far)
    }
}

impl LoopState {
    /// Air in the loop, kg.
    #[must_use]
    pub fn total_air_kg(&self) -> f64 {
        self.air.high_kg + self.air.low_kg
    }

    /// Spreads air over a resting loop: the same pressure of it everywhere.
    pub fn spread_air(&mut self, fluid: &Fluid, layout: &Layout, air_kg: f64) {
        if air_kg <= 0.0 {
            return;
        }
        let [high, low] = self.pools(fluid, layout);
        let share = high.free_m3 / (high.free_m3 + low.free_m3);
        self.air = Air {
            high_kg: air_kg * share,
            low_kg: air_kg * (1.0 - share),
        };
        self.find_air_pressure(layout, &[high, low]);
    }

    /// What the air gives way during a step.
    pub(super) fn slack(&self, fluid: &Fluid, layout: &Layout, step_s: f64) -> Slack {
        if self.total_air_kg() <= 0.0 {
            return Slack::default();
        }
        let [high, low] = self.pools(fluid, layout);
        let gives = |pool: &Pool, air_kg: f64| pool.pressure_pa(air_kg) / pool.free_m3();
        let compressor = layout
            .passages
            .iter()
            .position(|passage| *passage == Passage::Compressor);
        Slack {
            pa_per_m3: gives(&high, self.air.high_kg) + gives(&low, self.air.low_kg),
            step_s,
            returning_kg_s: compressor.map_or(0.0, |index| self.flow_kg_s[index]),
        }
    }

    /// What air before the walls leaves of a volume's condensing conductance; 1 without air.
    ///
    /// Vapour has to find its way through the air that gathers where it condenses. The shape, and that
    /// a tenth of air in the gas costs a third, are common practice, no source.
    pub(super) fn unblanketed_share(&self, index: usize) -> f64 {
        const COST: f64 = 5.0;
        let air = self.air_pressure_pa[index];
        1.0 / (1.0 + COST * air / (air + self.pressure_pa[index]))
    }

    /// The gas of the high and the low side.
    fn pools(&self, fluid: &Fluid, layout: &Layout) -> [Pool; 2] {
        let mut pools = [Pool::default(); 2];
        let mut side = 0;
        for (i, volume) in layout.volumes.iter().enumerate() {
            let saturation = fluid.saturation(self.pressure_pa[i]);
            let here = fluid.ph_with(&saturation, self.enthalpy_j_per_kg[i]);
            let free_m3 = volume.volume_m3 * free_share(&saturation, here.density_kg_per_m3);
            pools[side].free_m3 += free_m3;
            pools[side].free_m3_per_k += free_m3 / here.temperature_k;
            pools[side].volume_m3 += volume.volume_m3;
            if layout.passages[i] == Passage::Expansion {
                side = 1;
            }
        }
        pools
    }

    /// Sets the pressure of the air from where it is; gives the largest change, against the whole.
    ///
    /// The pools are those of now: air that comes or goes leaves them as they are.
    fn find_air_pressure(&mut self, layout: &Layout, [high, low]: &[Pool; 2]) -> f64 {
        let (high_pa, low_pa) = (
            high.pressure_pa(self.air.high_kg),
            low.pressure_pa(self.air.low_kg),
        );
        let mut air_pa = high_pa;
        let mut largest: f64 = 0.0;
        for (i, passage) in layout.passages.iter().enumerate() {
            let change = (air_pa - self.air_pressure_pa[i]).abs();
            largest = largest.max(change / (self.pressure_pa[i] + air_pa));
            self.air_pressure_pa[i] = air_pa;
            if *passage == Passage::Expansion {
                air_pa = low_pa;
            }
        }
        largest
    }

    /// Moves air with the streams of an accepted step; gives the largest change of its pressure
    /// against the whole, since a large one asks for shorter steps.
    ///
    /// Each side gives what its gas takes along, implicitly: share / (1 + share) of what it holds.
    pub(super) fn move_air(&mut self, fluid: &Fluid, layout: &Layout, step_s: f64) -> f64 {
        if self.total_air_kg() <= 0.0 {
            return 0.0;
        }
        let [high, low] = self.pools(fluid, layout);
        let count = layout.volumes.len();
        let (mut from_high, mut from_low) = (0.0, 0.0);
        for (i, passage) in layout.passages.iter().enumerate() {
            if let Passage::Pipe(_) = passage {
                continue;
            }
            let forward = self.flow_kg_s[i] >= 0.0;
            let donor = if forward { i } else { (i + 1) % count };
            let gas_m3 = step_s * self.gas_flow_m3_s(fluid, i, donor);
            match (passage, forward) {
                (Passage::Expansion, true) | (Passage::Compressor, false) => {
                    from_high += gas_m3 / high.free_m3();
                }
                (Passage::Expansion, false) | (Passage::Compressor, true) => {
                    from_low += gas_m3 / low.free_m3();
                }
                (Passage::Pipe(_), _) => {}
            }
        }
        let down_kg = self.air.high_kg * from_high / (1.0 + from_high);
        let up_kg = self.air.low_kg * from_low / (1.0 + from_low);
        self.air.high_kg += up_kg - down_kg;
        self.air.low_kg += down_kg - up_kg;
        self.find_air_pressure(layout, &[high, low])
    }

    /// Vapour in the stream of a passage, m³/s, from the volume that gives it.
    fn gas_flow_m3_s(&self, fluid: &Fluid, passage: usize, donor: usize) -> f64 {
        let flow = self.flow_kg_s[passage];
        if flow == 0.0 {
            return 0.0;
        }
        let saturation = fluid.saturation(self.pressure_pa[donor]);
        let latent = saturation.vapour_enthalpy_j_per_kg - saturation.liquid_enthalpy_j_per_kg;
        let carried = self.enthalpy_flow_w[passage] / flow - saturation.liquid_enthalpy_j_per_kg;
        let density = if carried > latent {
            let enthalpy = self.enthalpy_flow_w[passage] / flow;
            fluid.ph_with(&saturation, enthalpy).density_kg_per_m3
        } else {
            saturation.vapour_density_kg_per_m3
        };
        flow.abs() * (carried / latent).clamp(0.0, 1.0) / density
    }

    /// Lets air in through leaks where the loop is below the air around, and out with the gas where it
    /// is above.
    ///
    /// ṁ = A √(2 ρ Δp) with the density of the air around, no more than evens the pressure out; what
    /// leaves takes its share of the pool's gas along.
    pub(super) fn leak_air(&mut self, drive: &Drive<'_>, step_s: f64) {
        let layout = drive.layout;
        let shut = |volume: &Volume| volume.leak_area_m2 <= 0.0 && volume.machine_area_m2 <= 0.0;
        if layout.volumes.iter().all(shut) {
            return;
        }
        let draws_in = |(volume, inside_pa): (&Volume, f64)| {
            volume.leak_area_m2 > 0.0 && inside_pa < drive.ambient_pa
        };
        let own = self.pressure_pa.iter().zip(&self.air_pressure_pa);
        let inside = own.map(|(refrigerant_pa, air_pa)| refrigerant_pa + air_pa);
        let holds = self.air.high_kg > 0.0 || self.air.low_kg > 0.0;
        // Most leaks are of a loop without air that is above the air around.
        if !holds && !layout.volumes.iter().zip(inside).any(draws_in) {
            return;
        }
        let around = drive.ambient_pa / (AIR_J_PER_KG_K * AROUND_K);
        let pools = self.pools(drive.fluid, layout);
        let mut held = [self.air.high_kg, self.air.low_kg];
        let mut side = 0;
        for (i, volume) in layout.volumes.iter().enumerate() {
            let pool = &pools[side];
            let inside_pa = self.pressure_pa[i] + self.air_pressure_pa[i];
            let below_pa = drive.ambient_pa - inside_pa;
            if volume.leak_area_m2 > 0.0 && below_pa > 0.0 {
                let free_flow = volume.leak_area_m2 * (2.0 * around * below_pa).sqrt() * step_s;
                let evening = below_pa * pool.free_m3_per_k / AIR_J_PER_KG_K;
                held[side] += free_flow * evening / (free_flow + evening);
            }
            for (area_m2, outside_pa) in [
                (volume.leak_area_m2, drive.ambient_pa),
                (volume.machine_area_m2, drive.machine_pa),
            ] {
                let over_pa = inside_pa - outside_pa;
                if area_m2 > 0.0 && over_pa > 0.0 && held[side] > 0.0 {
                    let saturation = drive.fluid.saturation(self.pressure_pa[i]);
                    let vapour = saturation.vapour_density_kg_per_m3;
                    let gas_m3 = area_m2 * (2.0 * over_pa / vapour).sqrt() * step_s;
                    held[side] /= 1.0 + gas_m3 / pool.free_m3;
                }
            }
            if layout.passages[i] == Passage::Expansion {
                side = 1;
            }
        }
        let after = Air {
            high_kg: held[0],
            low_kg: held[1],
        };
        if after != self.air {
            self.air = after;
            self.find_air_pressure(layout, &pools);
        }
    }
}

/// Share of a volume that liquid leaves free, from the density of the refrigerant in it.
fn free_share(saturation: &Saturation, density: f64) -> f64 {
    let (liquid, vapour) = (
        saturation.liquid_density_kg_per_m3,
        saturation.vapour_density_kg_per_m3,
    );
    ((liquid - density) / (liquid - vapour)).clamp(0.0, 1.0)
}
