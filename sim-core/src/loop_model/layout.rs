//! Which volumes a car's loop has, and how they hang together.

use crate::parts::heat_transfer::RegimeConductance;
use crate::parts::receiver::Port;
use crate::parts::storage::Place;
use crate::spec::{CarSpec, Hose};

/// What a volume is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Compressor head and body, discharge side.
    CompressorHead,
    /// Hose to the condenser.
    DischargeLine,
    /// A part of the condensing passes, counted from the inlet.
    Condenser(usize),
    /// Receiver-drier, in the condenser or in the liquid line.
    Receiver,
    /// Subcooling pass.
    Subcooler,
    /// Line to the expansion device.
    LiquidLine,
    /// A part of the evaporator, counted from the inlet.
    Evaporator(usize),
    /// Accumulator-drier.
    Accumulator,
    /// Hose back to the compressor.
    SuctionLine,
}

/// Parts the condensing passes are cut into ahead of a receiver, from the inlet: a long one that hot
/// gas leaves wet, and a short one at the outlet, which is full of liquid as soon as liquid leaves it.
const CONDENSER_SHARES: [f64; 4] = [0.32, 0.29, 0.25, 0.14];
/// Parts a condenser without one is cut into, from the inlet: short ones at the outlet, where liquid
/// gathers.
const WHOLE_CONDENSER_SHARES: [f64; 5] = [0.32, 0.25, 0.19, 0.13, 0.11];
/// Parts the evaporator is cut into.
pub const EVAPORATOR_CELLS: usize = 5;
/// Share of the evaporator in each part: shorter ones at the outlet, where the last liquid dries up.
pub const EVAPORATOR_SHARES: [f64; EVAPORATOR_CELLS] = [0.25, 0.25, 0.22, 0.14, 0.14];

/// One volume of the ring.
#[derive(Clone, Debug, PartialEq)]
pub struct Volume {
    /// What it is.
    pub role: Role,
    /// Inner volume, m³.
    pub volume_m3: f64,
    /// Heat capacity of its wall, J/K.
    pub heat_capacity_j_per_k: f64,
    /// Conductance from refrigerant to wall.
    pub refrigerant_side: RegimeConductance,
    /// How it lets flow back towards the volume before it.
    pub inlet: Port,
    /// How it lets flow on to the volume after it.
    pub outlet: Port,
    /// Effective area of a leak to outside, m².
    pub leak_area_m2: f64,
    /// Share of the condenser's or evaporator's core it is; 0 elsewhere.
    pub core_share: f64,
    /// Effective area of a hose to a recovery machine, m².
    pub machine_area_m2: f64,
}

/// How a volume is joined to the next one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Passage {
    /// Through the compressor.
    Compressor,
    /// Through the expansion device.
    Expansion,
    /// Through a pipe, hose or tubes of an effective area, m².
    Pipe(f64),
}

/// The ring: `passages[i]` joins volume `i` to volume `i + 1`, the last one to the first.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// The volumes, from the compressor's head round to its suction.
    pub volumes: Vec<Volume>,
    /// The passages after each.
    pub passages: Vec<Passage>,
}

impl Layout {
    /// The ring of a car.
    #[must_use]
    pub fn of(spec: &CarSpec) -> Self {
        let mut ring = Self {
            volumes: Vec::new(),
            passages: Vec::new(),
        };
        let compressor = &spec.compressor;
        ring.push(
            Volume {
                role: Role::CompressorHead,
                volume_m3: HEAD_VOLUME_M3,
                heat_capacity_j_per_k: compressor.body_heat_capacity_j_per_k,
                refrigerant_side: gas_only(compressor.body_conductance_w_per_k),
                ..plain()
            },
            Passage::Pipe(spec.discharge_line.free_area_m2()),
        );
        ring.push_hose(
            Role::DischargeLine,
            &spec.discharge_line,
            spec.condenser_inlet_area_m2(),
        );
        ring.push_condenser(spec);
        ring.push_hose_to(Role::LiquidLine, &spec.liquid_line, Passage::Expansion);
        ring.push_evaporator(spec);
        if spec.storage.place == Place::Suction {
            let suction = Passage::Pipe(spec.storage_outlet_area_m2());
            ring.push_storage(Role::Accumulator, spec, Port::Bleed, suction);
        }
        ring.push_hose_to(Role::SuctionLine, &spec.suction_line, Passage::Compressor);
        for leak in &spec.leaks {
            if let Some(volume) = ring.volumes.iter_mut().find(|v| v.role == leak.role) {
                volume.leak_area_m2 += leak.area_m2;
            }
        }
        ring
    }

    fn push(&mut self, volume: Volume, after: Passage) {
        self.volumes.push(volume);
        self.passages.push(after);
    }

    fn push_hose(&mut self, role: Role, hose: &Hose, next_area_m2: f64) {
        self.push_hose_to(role, hose, Passage::Pipe(next_area_m2));
    }

    fn push_hose_to(&mut self, role: Role, hose: &Hose, after: Passage) {
        let volume = Volume {
            role,
            volume_m3: hose.volume_m3,
            heat_capacity_j_per_k: hose.heat_capacity_j_per_k,
            refrigerant_side: hose.refrigerant_side,
            ..plain()
        };
        self.push(volume, after);
    }

    fn push_condenser(&mut self, spec: &CarSpec) {
        let condenser = &spec.condenser;
        let side = condenser.refrigerant_side.with(&spec.refrigerant);
        let subcooled = condenser.subcooler.as_ref().map_or(0.0, |s| s.core_share);
        let shares: &[f64] = match condenser.subcooler {
            Some(_) => &CONDENSER_SHARES,
            None => &WHOLE_CONDENSER_SHARES,
        };
        let open = (1.0 - condenser.tube_blockage) * spec.oil.wetting();
        let to_liquid_line = Passage::Pipe(spec.liquid_line.free_area_m2());
        for (index, share) in shares.iter().enumerate() {
            let last = index + 1 == shares.len();
            // Passes in series: each takes its part of the pressure drop, so its area is wider.
            let pass_area = spec.condenser_inlet_area_m2() / share.sqrt();
            let core_share = share * (1.0 - subcooled);
            let after = match spec.storage.place {
                _ if !last => Passage::Pipe(pass_area),
                Place::Suction => to_liquid_line,
                Place::InCondenser | Place::LiquidLine => Passage::Pipe(pass_area * 2.0),
            };
            self.push(
                Volume {
                    role: Role::Condenser(index),
                    volume_m3: condenser.volume_m3 * share,
                    heat_capacity_j_per_k: condenser.heat_capacity_j_per_k * core_share,
                    refrigerant_side: scaled(side, core_share * open),
                    core_share,
                    ..plain()
                },
                after,
            );
        }
        if spec.storage.place != Place::Suction {
            let mut outlet_m2 = spec.storage_outlet_area_m2();
            if condenser.subcooler.is_none() {
                outlet_m2 = in_series_m2(outlet_m2, spec.liquid_line.free_area_m2());
            }
            let outlet = Passage::Pipe(outlet_m2);
            self.push_storage(Role::Receiver, spec, Port::Bottom, outlet);
        }
        if let Some(subcooler) = &condenser.subcooler {
            self.push(
                Volume {
                    role: Role::Subcooler,
                    volume_m3: subcooler.volume_m3,
                    heat_capacity_j_per_k: condenser.heat_capacity_j_per_k * subcooler.core_share,
                    refrigerant_side: scaled(side, subcooler.core_share),
                    core_share: subcooler.core_share,
                    ..plain()
                },
                to_liquid_line,
            );
        }
    }

    fn push_storage(&mut self, role: Role, spec: &CarSpec, outlet: Port, after: Passage) {
        let storage = &spec.storage;
        self.push(
            Volume {
                role,
                volume_m3: storage.volume_m3,
                heat_capacity_j_per_k: storage.heat_capacity_j_per_k,
                refrigerant_side: gas_only(storage.inside_w_per_k),
                inlet: Port::Top,
                outlet,
                ..plain()
            },
            after,
        );
    }

    fn push_evaporator(&mut self, spec: &CarSpec) {
        let evaporator = &spec.evaporator;
        let side = evaporator.refrigerant_side.with(&spec.refrigerant);
        let open = 1.0 - evaporator.tube_blockage;
        let wetting = spec.oil.wetting();
        for (index, share) in EVAPORATOR_SHARES.into_iter().enumerate() {
            let last = index + 1 == EVAPORATOR_CELLS;
            // Each length takes its part of the pressure drop.
            let pass_area = evaporator.passage_area_m2 * open / share.sqrt();
            self.push(
                Volume {
                    role: Role::Evaporator(index),
                    volume_m3: evaporator.volume_m3 * share,
                    heat_capacity_j_per_k: evaporator.heat_capacity_j_per_k * share,
                    refrigerant_side: scaled(side, open * wetting * share),
                    core_share: share,
                    ..plain()
                },
                Passage::Pipe(if last {
                    spec.suction_line.free_area_m2()
                } else {
                    pass_area
                }),
            );
        }
    }

    /// Leaves open only a share of the passages after some volumes.
    pub fn narrow(&mut self, after: impl Fn(Role) -> bool, open: f64) {
        for (volume, passage) in self.volumes.iter().zip(&mut self.passages) {
            if let (true, Passage::Pipe(area_m2)) = (after(volume.role), passage) {
                *area_m2 *= open;
            }
        }
    }

    /// The same ring with no way out: no leak and no hose at a service port.
    #[must_use]
    pub fn sealed(&self) -> Self {
        let mut sealed = self.clone();
        for volume in &mut sealed.volumes {
            volume.leak_area_m2 = 0.0;
            volume.machine_area_m2 = 0.0;
        }
        sealed
    }

    /// Index of a volume, where the car has it.
    #[must_use]
    pub fn index_of(&self, role: Role) -> Option<usize> {
        self.volumes.iter().position(|volume| volume.role == role)
    }

    /// The volume at the condenser's outlet: its subcooling pass, or its last part.
    #[must_use]
    pub fn condenser_outlet(&self) -> Role {
        let of_core = |v: &&Volume| matches!(v.role, Role::Condenser(_) | Role::Subcooler);
        self.volumes
            .iter()
            .rev()
            .find(of_core)
            .map_or(Role::Receiver, |v| v.role)
    }

    /// All the volumes together, m³.
    #[must_use]
    pub fn total_volume_m3(&self) -> f64 {
        self.volumes.iter().map(|volume| volume.volume_m3).sum()
    }
}

/// Volume of a compressor's discharge chamber, m³ (from memory).
const HEAD_VOLUME_M3: f64 = 6.0e-5;

/// Area with the resistance of two passages one after the other, m²: Δp goes with 1/A².
fn in_series_m2(one_m2: f64, other_m2: f64) -> f64 {
    one_m2 * other_m2 / (one_m2 * one_m2 + other_m2 * other_m2).sqrt()
}

fn plain() -> Volume {
    Volume {
        role: Role::CompressorHead,
        volume_m3: 0.0,
        heat_capacity_j_per_k: 0.0,
        refrigerant_side: gas_only(0.0),
        inlet: Port::Mixed,
        outlet: Port::Mixed,
        leak_area_m2: 0.0,
        core_share: 0.0,
        machine_area_m2: 0.0,
    }
}

/// A conductance that does not depend on what is inside.
fn gas_only(w_per_k: f64) -> RegimeConductance {
    RegimeConductance {
        liquid_w_per_k: w_per_k,
        two_phase_w_per_k: w_per_k,
        vapour_w_per_k: w_per_k,
        nominal_flow_kg_s: 0.03,
    }
}

fn scaled(whole: RegimeConductance, share: f64) -> RegimeConductance {
    RegimeConductance {
        liquid_w_per_k: whole.liquid_w_per_k * share,
        two_phase_w_per_k: whole.two_phase_w_per_k * share,
        vapour_w_per_k: whole.vapour_w_per_k * share,
        nominal_flow_kg_s: whole.nominal_flow_kg_s,
    }
}
