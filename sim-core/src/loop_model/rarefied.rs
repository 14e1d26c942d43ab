//! A standing loop near vacuum: three gases on two sides, at the temperature of the metal around them.
//!
//! The implicit loop solves for pressure to some ten pascals and follows streams; in an evacuated
//! loop all that matters is below that, nothing streams, and vapour has the temperature of its wall
//! long before its amount changes. So once a pump has the loop below about the air's pressure, no
//! liquid refrigerant is left in it and the compressor stands, this balance takes over, and hands
//! back when what is charged reaches some tens of kPa. It carries the same masses and energies.
//!
//! For each gas on each side, backward Euler on m' = sources − Σ S m / V: S are the volumes a second
//! that pump, machine and leaks draw and that the expansion device lets across (each gas by its own
//! partial pressure), V the side's volume. The S are those of the step's start; with them the balance
//! is linear, so it is exact in mass and positive whatever the step. Refrigerant follows the table
//! (below 100 Pa as an ideal gas), its heat comes out of the metal; air's is left out as in
//! [`super::gas`]. Refrigerant dissolved in the oil is left out too: a real pump-down has a tail.

use crate::air;
use crate::fluid::Fluid;
use crate::loop_model::gas::AIR_J_PER_KG_K;
use crate::loop_model::layout::{Layout, Passage};
use crate::loop_model::state::LoopState;
use crate::loop_model::streams::Inflow;
use crate::loop_model::volume::Outside;
use crate::parts::vacuum_pump::VacuumPump;
use crate::parts::water::{DRIER_M3_S, FILM_M3_S, WATER_J_PER_KG_K, vaporisation_j_per_kg};

/// What is open to a loop near vacuum during a step.
#[derive(Clone, Debug)]
pub struct Open<'a> {
    /// Refrigerant.
    pub fluid: &'a Fluid,
    /// The ring.
    pub layout: &'a Layout,
    /// What each wall meets outside.
    pub outside: &'a [Outside],
    /// Pressure of the air around, Pa.
    pub ambient_pa: f64,
    /// A pump drawing at both ports.
    pub pump: Option<&'a VacuumPump>,
    /// Pressure a recovery machine holds at both ports, Pa.
    pub machine_pa: Option<f64>,
    /// Volume the expansion device lets across, m³/s.
    pub across_m3_s: f64,
    /// A cylinder open to a port.
    pub inflow: Option<Inflow>,
    /// The side the desiccant is on: 0 high, 1 low.
    pub drier_side: usize,
    /// Volume a second that a side swaps with the air around through ways that stand open, m³/s.
    pub swapped_m3_s: [f64; 2],
    /// Water vapour in that air, kg/m³.
    pub damp_kg_m3: f64,
}

/// Volume a second through an aperture into a vacuum, for each m² (116 m/s; textbook, from memory).
pub const APERTURE_M_S: f64 = 116.0;
/// Pressure below which refrigerant is taken as an ideal gas, Pa.
const IDEAL_BELOW_PA: f64 = 100.0;
/// Pressure that refrigerant drawn out for hours is not followed below, Pa.
const LEAST_PA: f64 = 1e-9;
/// Corrections that find pressure and enthalpies of the refrigerant; what is left goes with the next step.
const CORRECTIONS: usize = 3;

/// Two sides of a loop, high and low.
type Sides = [f64; 2];

/// What a step needs to know of the two sides.
struct Rooms {
    /// V/T of each volume added up, m³/K.
    over_k: Sides,
    /// Volume at one common temperature, m³.
    common_m3: Sides,
    /// That temperature, K.
    common_k: f64,
    /// Metal, J/K.
    metal_j_per_k: Sides,
    /// Its mean temperature, K.
    metal_k: Sides,
}

/// The volume after which the low side begins.
fn last_of_high(layout: &Layout) -> usize {
    let expansion = |passage: &Passage| *passage == Passage::Expansion;
    layout.passages.iter().position(expansion).unwrap_or(0)
}

/// The side of the loop a volume is on: 0 high, 1 low.
fn side_of(layout: &Layout, index: usize) -> usize {
    usize::from(index > last_of_high(layout))
}

/// Masses after a step, from sources, volumes drawn and volume let across.
fn spread(
    held: Sides,
    source: Sides,
    drawn_m3_s: Sides,
    across_m3_s: f64,
    rooms: &Rooms,
    step_s: f64,
) -> Sides {
    let share = |m3_s: f64, side: usize| step_s * m3_s / rooms.common_m3[side];
    let (l0, l1) = (share(across_m3_s, 0), share(across_m3_s, 1));
    let (d0, d1) = (share(drawn_m3_s[0], 0), share(drawn_m3_s[1], 1));
    let (b0, b1) = (held[0] + source[0], held[1] + source[1]);
    let (a0, a1) = (1.0 + d0 + l0, 1.0 + d1 + l1);
    let determinant = a0 * a1 - l0 * l1;
    [
        (b0 * a1 + b1 * l1) / determinant,
        (b1 * a0 + b0 * l0) / determinant,
    ]
}

impl LoopState {
    /// Whether a loop at rest is near enough to vacuum: gas everywhere, hardly above a pressure.
    #[must_use]
    pub fn is_thin(&self, fluid: &Fluid, below_pa: f64) -> bool {
        let states = self.pressure_pa.iter().zip(&self.enthalpy_j_per_kg);
        states.zip(&self.air_pressure_pa).all(|((p, h), air)| {
            p + air < below_pa && *h >= fluid.saturation(*p).vapour_enthalpy_j_per_kg
        })
    }

    /// Pressure of all gases on the two sides, Pa.
    #[must_use]
    pub fn sides_pa(&self, layout: &Layout) -> Sides {
        let first_low = last_of_high(layout) + 1;
        [0, first_low].map(|index| {
            let side = usize::from(index > 0);
            self.pressure_pa[index] + self.air_pressure_pa[index] + self.water.vapour_pa[side]
        })
    }

    /// Pressure of water vapour in a volume, Pa: none but near vacuum.
    #[must_use]
    pub fn water_pa(&self, layout: &Layout, index: usize) -> f64 {
        let [high_pa, low_pa] = self.water.vapour_pa;
        if high_pa + low_pa > 0.0 && side_of(layout, index) == 1 {
            low_pa
        } else {
            high_pa
        }
    }

    /// Moves a thin loop on by a step.
    pub fn thin_step(&mut self, open: &Open<'_>, step_s: f64) {
        self.warm_walls(open, step_s);
        let rooms = self.rooms(open.layout);
        let sides_pa = self.sides_pa(open.layout);
        let pump_m3_s = open.pump.map_or([0.0; 2], |pump| pump.drawn_m3_s(sides_pa));
        let machine_m3_s = sides_pa.map(|pa| match open.machine_pa {
            Some(least_pa) if pa > least_pa => MACHINE_M3_S * (1.0 - least_pa / pa),
            _ => 0.0,
        });
        let (mut leak_m3_s, mut air_in) = self.leaks(open, sides_pa, &rooms, step_s);
        // What stands open swaps gas with the air around.
        for (side, swapped_m3_s) in open.swapped_m3_s.into_iter().enumerate() {
            leak_m3_s[side] += swapped_m3_s;
            let around = open.ambient_pa / (AIR_J_PER_KG_K * rooms.common_k);
            air_in[side] += step_s * swapped_m3_s * around;
            self.water.free_kg += step_s * swapped_m3_s * open.damp_kg_m3;
        }
        let drawn_m3_s = [0, 1].map(|s| pump_m3_s[s] + machine_m3_s[s] + leak_m3_s[s]);

        // What a pump cannot get below slips back through it as air.
        let slips_pa = open.pump.map_or(0.0, |pump| pump.ultimate_pa);
        for (air, m3_s) in air_in.iter_mut().zip(pump_m3_s) {
            *air += step_s * m3_s * slips_pa / (AIR_J_PER_KG_K * rooms.common_k);
        }
        let air = [self.air.high_kg, self.air.low_kg];
        let air = spread(air, air_in, drawn_m3_s, open.across_m3_s, &rooms, step_s);
        [self.air.high_kg, self.air.low_kg] = air;

        self.move_water(open, &rooms, drawn_m3_s, step_s);
        self.move_refrigerant(open, &rooms, [pump_m3_s, machine_m3_s, leak_m3_s], step_s);

        let last_high = last_of_high(open.layout);
        let gas_pa = |kg: f64, side: usize| kg * AIR_J_PER_KG_K / rooms.over_k[side];
        for (i, pa) in self.air_pressure_pa.iter_mut().enumerate() {
            let side = usize::from(i > last_high);
            *pa = gas_pa(air[side], side);
        }
        for side in [0, 1] {
            self.water.vapour_pa[side] =
                self.water.vapour_kg[side] * WATER_J_PER_KG_K / rooms.over_k[side];
        }
        self.flow_kg_s.fill(0.0);
        self.enthalpy_flow_w.fill(0.0);
        self.compressor_power_w = 0.0;
        self.pumped_kg_s = 0.0;
    }

    /// Lets the metal follow what is around it.
    fn warm_walls(&mut self, open: &Open<'_>, step_s: f64) {
        for ((wall_k, volume), outside) in self
            .wall_k
            .iter_mut()
            .zip(&open.layout.volumes)
            .zip(open.outside)
        {
            let inertia = volume.heat_capacity_j_per_k / step_s;
            match outside {
                Outside::Dry {
                    conductance_w_per_k,
                    air_k,
                } => {
                    *wall_k = (inertia * *wall_k + conductance_w_per_k * air_k)
                        / (inertia + conductance_w_per_k);
                }
                Outside::Wet(face) => {
                    let exchange = face.exchange(*wall_k);
                    *wall_k += exchange.heat_w / (inertia - exchange.heat_slope_w_per_k);
                }
            }
        }
    }

    fn rooms(&self, layout: &Layout) -> Rooms {
        let last_high = last_of_high(layout);
        let (mut over_k, mut metal, mut heat) = ([0.0; 2], [0.0; 2], [0.0; 2]);
        let mut volume_m3 = 0.0;
        for (i, volume) in layout.volumes.iter().enumerate() {
            let side = usize::from(i > last_high);
            over_k[side] += volume.volume_m3 / self.wall_k[i];
            metal[side] += volume.heat_capacity_j_per_k;
            heat[side] += volume.heat_capacity_j_per_k * self.wall_k[i];
            volume_m3 += volume.volume_m3;
        }
        let common_k = volume_m3 / (over_k[0] + over_k[1]);
        Rooms {
            over_k,
            common_m3: over_k.map(|over| over * common_k),
            common_k,
            metal_j_per_k: metal,
            metal_k: [heat[0] / metal[0], heat[1] / metal[1]],
        }
    }

    /// Volume a second that gas above the air's pressure leaves by, and air that comes in, kg; as in
    /// [`super::gas`].
    fn leaks(
        &self,
        open: &Open<'_>,
        sides_pa: Sides,
        rooms: &Rooms,
        step_s: f64,
    ) -> (Sides, Sides) {
        let last_high = last_of_high(open.layout);
        let (mut out_m3_s, mut in_kg) = ([0.0; 2], [0.0; 2]);
        let around = open.ambient_pa / (AIR_J_PER_KG_K * rooms.common_k);
        for (i, volume) in open.layout.volumes.iter().enumerate() {
            let side = usize::from(i > last_high);
            let below_pa = open.ambient_pa - sides_pa[side];
            if volume.leak_area_m2 <= 0.0 {
                continue;
            }
            if below_pa > 0.0 {
                let free = volume.leak_area_m2 * (2.0 * around * below_pa).sqrt() * step_s;
                let evening = below_pa * rooms.over_k[side] / AIR_J_PER_KG_K;
                in_kg[side] += free * evening / (free + evening);
            } else {
                let over = -below_pa / sides_pa[side];
                out_m3_s[side] += 2.0 * APERTURE_M_S * volume.leak_area_m2 * over.sqrt();
            }
        }
        (out_m3_s, in_kg)
    }

    /// Water boils off film and desiccant, is drawn with the rest, and takes its heat from the metal.
    fn move_water(&mut self, open: &Open<'_>, rooms: &Rooms, drawn_m3_s: Sides, step_s: f64) {
        let water = self.water;
        if water.total_kg() <= 0.0 {
            return;
        }
        let per_m3 = |pa: f64| pa / (WATER_J_PER_KG_K * rooms.common_k);
        let metal = rooms.metal_j_per_k[0] + rooms.metal_j_per_k[1];
        let film = rooms.metal_j_per_k.map(|own| FILM_M3_S * own / metal);
        let mut boils = rooms
            .metal_k
            .map(|k| per_m3(air::saturation_vapour_pressure_pa(k)));
        if open.swapped_m3_s != [0.0; 2] {
            // In an open loop fresh oil and desiccant keep the gas inside dry, so all that comes in stays.
            boils = [0.0; 2];
        }
        let mut drier = [0.0; 2];
        if water.binds_kg > 0.0 {
            drier[open.drier_side] = DRIER_M3_S;
        }
        let from_drier = per_m3(water.over_drier_pa(rooms.metal_k[open.drier_side]));
        // Film and desiccant give by their pressure less that of the vapour after the step.
        let given = [0, 1].map(|s| step_s * (film[s] * boils[s] + drier[s] * from_drier));
        let taken = [0, 1].map(|s| drawn_m3_s[s] + film[s] + drier[s]);
        let mut now = spread(
            water.vapour_kg,
            given,
            taken,
            open.across_m3_s,
            rooms,
            step_s,
        );
        let density = |now: Sides, s: usize| now[s] / rooms.common_m3[s];
        let mut boiled = [0, 1].map(|s| step_s * film[s] * (boils[s] - density(now, s)));
        let all = boiled[0] + boiled[1];
        if all > water.free_kg {
            // The last of it: what there is, where it would have boiled.
            let positive = boiled.map(|kg| kg.max(0.0));
            let share = water.free_kg / (positive[0] + positive[1]);
            boiled = positive.map(|kg| kg * share);
            let given = [0, 1].map(|s| boiled[s] + step_s * drier[s] * from_drier);
            let taken = [0, 1].map(|s| drawn_m3_s[s] + drier[s]);
            now = spread(
                water.vapour_kg,
                given,
                taken,
                open.across_m3_s,
                rooms,
                step_s,
            );
        }
        let s = open.drier_side;
        let off_drier = step_s * drier[s] * (from_drier - density(now, s));
        let water = &mut self.water;
        water.drawn_kg += step_s * (0..2).map(|s| drawn_m3_s[s] * density(now, s)).sum::<f64>();
        water.free_kg -= boiled[0] + boiled[1];
        water.bound_kg -= off_drier;
        water.vapour_kg = now;
        let mut off = boiled;
        off[s] += off_drier;
        let cooled = [0, 1]
            .map(|s| off[s] * vaporisation_j_per_kg(rooms.metal_k[s]) / rooms.metal_j_per_k[s]);
        self.cool_walls(open.layout, cooled);
    }

    /// Takes the same from the temperature of all the metal of a side, K.
    fn cool_walls(&mut self, layout: &Layout, by_k: Sides) {
        let last_high = last_of_high(layout);
        for (i, wall_k) in self.wall_k.iter_mut().enumerate() {
            *wall_k -= by_k[usize::from(i > last_high)];
        }
    }

    /// Moves refrigerant, finds its pressures, and takes the heat it needed from the metal.
    fn move_refrigerant(
        &mut self,
        open: &Open<'_>,
        rooms: &Rooms,
        [pump, machine, leak]: [Sides; 3],
        step_s: f64,
    ) {
        let first_low = last_of_high(open.layout) + 1;
        let ranges = [0..first_low, first_low..self.mass_kg.len()];
        let sum = |of: &[f64], side: usize| of[ranges[side].clone()].iter().sum::<f64>();
        let held = [0, 1].map(|side| sum(&self.mass_kg, side));
        let energy = [0, 1].map(|side| sum(&self.energy_j, side));
        let mut charged = [0.0; 2];
        if let Some(inflow) = &open.inflow {
            let side = side_of(open.layout, inflow.index);
            charged[side] = inflow.free_kg_s(self.sides_pa(open.layout)[side]) * step_s;
        }
        let drawn_m3_s = [0, 1].map(|s| pump[s] + machine[s] + leak[s]);
        let now = spread(held, charged, drawn_m3_s, open.across_m3_s, rooms, step_s);
        let mut heat_j = [0.0; 2];
        let mut crossing_j_per_kg = [0.0; 2];
        for side in [0, 1] {
            let range = ranges[side].clone();
            let first = range.start;
            crossing_j_per_kg[side] = self.enthalpy_j_per_kg[first];
            self.place_vapour(open, range, now[side]);
            let density = now[side] / rooms.common_m3[side];
            let out = [pump[side], machine[side], leak[side]].map(|m3_s| step_s * m3_s * density);
            self.lost_kg += out[0] + out[2];
            self.recovered_kg += out[1];
            self.charged_kg += charged[side];
            let out_j = (out[0] + out[1] + out[2]) * crossing_j_per_kg[side];
            heat_j[side] = sum(&self.energy_j, side) - energy[side] + out_j;
            if let Some(inflow) = &open.inflow {
                heat_j[side] -= charged[side] * inflow.enthalpy_j_per_kg;
            }
        }
        // What crossed took its enthalpy along.
        let over = step_s * open.across_m3_s;
        let crossed = [0, 1].map(|s| over * now[s] / rooms.common_m3[s] * crossing_j_per_kg[s]);
        heat_j[0] += crossed[0] - crossed[1];
        heat_j[1] += crossed[1] - crossed[0];
        self.cool_walls(
            open.layout,
            [0, 1].map(|s| heat_j[s] / rooms.metal_j_per_k[s]),
        );
        self.escaping_kg_s.fill(0.0);
    }

    /// Spreads a side's refrigerant over its volumes at the temperature of their walls.
    fn place_vapour(&mut self, open: &Open<'_>, range: std::ops::Range<usize>, kg: f64) {
        let mut pa = self.pressure_pa[range.start];
        for _ in 0..CORRECTIONS {
            let tabled = pa.max(IDEAL_BELOW_PA);
            let saturation = open.fluid.saturation(tabled);
            let mut filled = 0.0;
            for i in range.clone() {
                let mut enthalpy =
                    self.enthalpy_j_per_kg[i].max(saturation.vapour_enthalpy_j_per_kg + 1.0);
                let here = open.fluid.ph_with(&saturation, enthalpy);
                if here.temperature_dh > 0.0 {
                    enthalpy += (self.wall_k[i] - here.temperature_k) / here.temperature_dh;
                }
                let enthalpy = enthalpy.max(saturation.vapour_enthalpy_j_per_kg + 1.0);
                let here = open.fluid.ph_with(&saturation, enthalpy);
                self.enthalpy_j_per_kg[i] = enthalpy;
                let volume_m3 = open.layout.volumes[i].volume_m3;
                self.mass_kg[i] = here.density_kg_per_m3 * (pa / tabled) * volume_m3;
                filled += self.mass_kg[i];
            }
            let scale = kg / filled;
            pa = (pa * scale).max(LEAST_PA);
            for mass in &mut self.mass_kg[range.clone()] {
                *mass *= scale;
            }
        }
        for i in range {
            self.pressure_pa[i] = pa;
            self.energy_j[i] =
                self.mass_kg[i] * self.enthalpy_j_per_kg[i] - pa * open.layout.volumes[i].volume_m3;
        }
    }
}

/// Volume a recovery machine draws at each port of a loop that holds little, m³/s (common practice, no
/// source).
const MACHINE_M3_S: f64 = 2e-4;
