//! What work on a car leaves on it and around it: dye, stains, gas in the air, a machine on its ports.

use crate::car::Car;
use crate::car::STEP_AFTER_SWITCH_S;
use crate::car::evacuation::Charging;
use crate::car::oil_held::OilHeld;
use crate::dual::Dual;
use crate::loop_model::layout::Role;
use crate::parts::engine_bay::relax;
use crate::spec::{Leak, LeakPlace};

/// Traces of work on the car, carried through time.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// Refrigerant in the air around the car, kg.
    pub gas_in_air_kg: f64,
    /// The bay's doors are open and its extractor draws at the floor.
    pub ventilated: bool,
    /// Time for which the air low down has held more refrigerant than its practical limit, s.
    pub thick_air_s: f64,
    /// Leak dye has been put in.
    pub dyed: bool,
    /// Share of the oil in circulation that the dye has mixed with.
    pub dye_mixed: f64,
    /// Dyed oil that has got out at each place, kg, in the order of [`LeakPlace`].
    pub stain_kg: [f64; LeakPlace::COUNT],
    /// Ways out that work on the car has opened, besides its leaks.
    pub openings: Vec<Leak>,
    /// Pressure that the gauge set on this car shows as zero, Pa absolute.
    pub gauge_zero_pa: f64,
    /// What the gauge set's low and high hose hold with their couplings shut, Pa absolute.
    pub hoses_pa: [f64; 2],
    /// A recovery machine is drawing.
    pub machine_on: bool,
    /// Pressure the machine holds at its inlet, Pa absolute.
    pub machine_pa: f64,
    /// A vacuum pump is drawing.
    pub pump_on: bool,
    /// A pump has had the loop and nothing much is in it: followed by the balance near vacuum.
    pub thin: bool,
    /// Refrigerant charged in all when a pump last had the loop, kg.
    pub charged_at_vacuum_kg: Option<f64>,
    /// A charging cylinder open to the loop.
    pub charging: Option<Charging>,
    /// What the charging cylinder is warmer by than the air around, K.
    pub cylinder_over_k: f64,
    /// Refrigerant recovered when the oil that goes with it was last counted, kg.
    pub counted_kg: f64,
    /// Oil that recovered refrigerant has taken along, as a share of the label's amount.
    pub recovered_oil: f64,
    /// Caps are on the ends that stand open.
    pub capped: bool,
    /// Work on the loop has loosened its debris.
    pub loosened: bool,
    /// What was pressed in for a leak test is a tracer: nitrogen with a little hydrogen.
    pub traced: bool,
    /// Oil lying in the cylinders of a new compressor, as a share of the label's amount.
    pub oil_in_cylinders: f64,
    /// Oil part by part, where the loop has been worked on and has not turned since.
    pub oil: Option<OilHeld>,
}

/// Oil that goes round with the refrigerant, kg per kg (common practice, no source: 2 to 5 %).
const OIL_IN_FLOW: f64 = 0.03;
/// Oil in a car's loop, kg (common practice, no source: 80 to 150 cm³).
const OIL_KG: f64 = 0.1;
/// Temperature a car stands at over the months, K (common practice, no source: 15 °C).
const MEAN_K: f64 = 288.15;
/// Air that what escapes spreads into, m³: the bay around a car (common practice, no source).
pub const AIR_AROUND_M3: f64 = 30.0;
/// Still air that it lies in at first, m³: it is heavier than air, and lies knee-deep under and around the
/// car (common practice, no source).
const LOW_AIR_M3: f64 = 2.0;
/// Most of R-134a in the air of a room where people are, kg/m³ (practical limit of ISO 817 and EN 378; from
/// memory): above it takes the air's place, in a pit first.
const LIMIT_R134A_KG_M3: f64 = 0.25;
/// The same of R-1234yf, kg/m³ (the same sources; from memory): a fifth of what burns.
const LIMIT_R1234YF_KG_M3: f64 = 0.058;
/// Time in which still workshop air is renewed, s: six changes an hour (common practice, no source).
const STILL_AIR_S: f64 = 600.0;
/// The same with a workshop fan running, or the doors open and the extractor drawing, s (common practice, no source).
const FANNED_AIR_S: f64 = 60.0;
/// Time in which a driven car leaves the air behind, s (from memory).
const DRIVEN_AIR_S: f64 = 5.0;
/// Effective area of a recovery machine's hose and inlet valve at each port, m² (common practice,
/// no source: a workshop machine empties a car in a quarter of an hour).
const MACHINE_AREA_M2: f64 = 8e-8;

impl Service {
    /// A car on which no work has been done, with a gauge set zeroed in the air around it.
    pub(super) fn none(ambient_pa: f64) -> Self {
        Self {
            gas_in_air_kg: 0.0,
            ventilated: false,
            thick_air_s: 0.0,
            dyed: false,
            dye_mixed: 0.0,
            stain_kg: [0.0; LeakPlace::COUNT],
            openings: Vec::new(),
            gauge_zero_pa: ambient_pa,
            hoses_pa: [ambient_pa; 2],
            machine_on: false,
            machine_pa: ambient_pa,
            pump_on: false,
            thin: false,
            charged_at_vacuum_kg: None,
            charging: None,
            cylinder_over_k: 0.0,
            counted_kg: 0.0,
            recovered_oil: 0.0,
            capped: false,
            loosened: false,
            traced: false,
            oil_in_cylinders: 0.0,
            oil: None,
        }
    }
}

impl Car {
    /// The volumes that the low and the high service port tap.
    #[must_use]
    pub fn ports(&self) -> [Role; 2] {
        [Role::SuctionLine, self.spec.high_port.role()]
    }

    /// Puts leak dye into the loop. It shows where oil gets out once the compressor has mixed it in.
    pub fn add_dye(&mut self) {
        self.state.service.dyed = true;
    }

    /// Has carried leak dye for so long, s: it is mixed in, and each leak has left dyed oil at its place.
    ///
    /// The leaks let vapour out of a loop standing at a year's mean temperature, by the law they follow
    /// now; together no more than the label's charge, which is all that went in with the dye.
    pub fn dyed_for(&mut self, seconds: f64) {
        let inside_pa = self.fluid.saturation_pressure_pa(MEAN_K);
        let density = self.fluid.saturation(inside_pa).vapour_density_kg_per_m3;
        let over_pa = (inside_pa - self.outdoors.pressure_pa).max(0.0);
        let lost_kg_per_m2 = (2.0 * density * over_pa).sqrt() * seconds;
        let all_m2: f64 = self.spec.leaks.iter().map(|leak| leak.area_m2).sum();
        let most_kg_per_m2 = self.spec.label_charge_kg / all_m2.max(f64::MIN_POSITIVE);
        let dyed_oil = OIL_IN_FLOW * lost_kg_per_m2.min(most_kg_per_m2);
        let service = &mut self.state.service;
        service.dyed = true;
        service.dye_mixed = 1.0;
        for leak in &self.spec.leaks {
            service.stain_kg[leak.place as usize] += dyed_oil * leak.area_m2;
        }
    }

    /// Wipes the dye off a place.
    pub fn wipe(&mut self, place: LeakPlace) {
        self.state.service.stain_kg[place as usize] = 0.0;
    }

    /// Zeroes the gauge set in air of this pressure, Pa absolute.
    pub fn zero_gauges(&mut self, air_pa: f64) {
        self.state.service.gauge_zero_pa = air_pa;
    }

    /// Leaves in the gauge set's hoses what they hold: air on the trolley, and what the ports have
    /// when the couplings are shut.
    pub fn fill_hoses(&mut self, from_ports: bool) {
        self.state.service.hoses_pa = if from_ports {
            self.ports().map(|role| self.pressure_pa(role))
        } else {
            [self.outdoors.pressure_pa; 2]
        };
    }

    /// Lets a recovery machine draw at both service ports, holding a pressure at its inlet, Pa
    /// absolute. What it draws is no longer in the loop, nor lost: `recovered_kg` counts it.
    pub fn start_recovery(&mut self, inlet_pa: f64) {
        self.state.service.machine_on = true;
        self.state.service.machine_pa = inlet_pa;
        self.set_machine_area(MACHINE_AREA_M2);
    }

    /// Stops the machine and shuts its hoses.
    pub fn stop_recovery(&mut self) {
        self.state.service.machine_on = false;
        self.set_machine_area(0.0);
    }

    pub(super) fn set_machine_area(&mut self, area_m2: f64) {
        let ports = self.ports();
        for volume in &mut self.layout.volumes {
            if ports.contains(&volume.role) {
                volume.machine_area_m2 = area_m2;
            }
        }
        self.next_step_s = self.next_step_s.min(STEP_AFTER_SWITCH_S);
        self.solver.forget();
    }

    /// Refrigerant leaving the loop for the air at a place, kg/s, in the last step.
    #[must_use]
    pub fn escaping_kg_s(&self, place: LeakPlace) -> f64 {
        self.ways_out()
            .filter(|(at, _)| *at == place)
            .map(|(_, kg_s)| kg_s)
            .sum()
    }

    /// What gets out by each way out, kg/s, with its place: those of one volume share what that loses
    /// by their areas.
    fn ways_out(&self) -> impl Iterator<Item = (LeakPlace, f64)> + '_ {
        let relief = Leak {
            role: Role::CompressorHead,
            place: LeakPlace::Compressor,
            area_m2: self
                .relief()
                .area_m2(Dual::<1>::constant(self.head_gauge_pa()))
                .value,
        };
        let opened = self.state.service.openings.iter().copied();
        let ways = self.spec.leaks.iter().copied().chain(opened);
        ways.chain(std::iter::once(relief)).filter_map(move |way| {
            let index = self.layout.index_of(way.role)?;
            let mut area_m2 = self.layout.volumes[index].leak_area_m2;
            if way.role == relief.role {
                area_m2 += relief.area_m2;
            }
            let kg_s = self.state.refrigerant.escaping_kg_s[index];
            (way.area_m2 > 0.0).then(|| (way.place, kg_s * (way.area_m2 / area_m2)))
        })
    }

    /// Opens the bay's doors and starts the extractor at its floor, or shuts and stops them.
    pub fn ventilate(&mut self, on: bool) {
        self.state.service.ventilated = on;
    }

    /// Whether the air around the car is moved and renewed.
    #[must_use]
    pub fn is_aired(&self) -> bool {
        self.setup.shop_fan || self.state.service.ventilated
    }

    /// Refrigerant in the air low down around the car, kg/m³: in still air it lies there, in air that is
    /// moved it mixes with all of the bay's.
    #[must_use]
    pub fn low_air_kg_m3(&self) -> f64 {
        let still = !self.is_aired() && self.setup.road_speed_m_s <= 0.0;
        let room_m3 = if still { LOW_AIR_M3 } else { AIR_AROUND_M3 };
        self.state.service.gas_in_air_kg / room_m3
    }

    /// Most of what is in the loop that the air where people are may hold, kg/m³.
    #[must_use]
    pub fn practical_limit_kg_m3(&self) -> f64 {
        if self.burns() {
            LIMIT_R1234YF_KG_M3
        } else {
            LIMIT_R134A_KG_M3
        }
    }

    /// Dyed oil lying at a place, kg.
    #[must_use]
    pub fn stain_kg(&self, place: LeakPlace) -> f64 {
        self.state.service.stain_kg[place as usize]
    }

    /// Moves gas in the air, dye and stains on after an accepted step.
    pub(super) fn after_service(&mut self, step_s: f64) {
        let refrigerant = &self.state.refrigerant;
        let service = &self.state.service;
        let escaping: f64 = refrigerant.escaping_kg_s.iter().sum();
        let renewed_s = if self.setup.road_speed_m_s > 0.0 {
            DRIVEN_AIR_S
        } else if self.is_aired() {
            FANNED_AIR_S
        } else {
            STILL_AIR_S
        };
        // Backward Euler, like the loop: never negative, whatever the step.
        let gas_in_air_kg =
            (service.gas_in_air_kg + escaping * step_s) / (1.0 + step_s / renewed_s);
        let (mut dye_mixed, mut stain_kg) = (service.dye_mixed, service.stain_kg);
        if service.dyed {
            let turned_over = OIL_IN_FLOW * refrigerant.pumped_kg_s / OIL_KG;
            dye_mixed = relax(dye_mixed, 1.0, step_s * turned_over);
            let dyed_oil = OIL_IN_FLOW * dye_mixed * step_s;
            for (place, kg_s) in self.ways_out() {
                stain_kg[place as usize] += dyed_oil * kg_s;
            }
        }
        // A machine separates the oil that the refrigerant brings, and its scales show it.
        let recovered_kg = refrigerant.recovered_kg - service.counted_kg;
        if recovered_kg > 0.0 {
            let oil = OIL_IN_FLOW * recovered_kg / OIL_KG * self.oil_share();
            let left = 1.0 - (oil / self.spec.oil.share.max(f64::MIN_POSITIVE)).min(1.0);
            self.spec.oil.share *= left;
            if let Some(held) = &mut self.state.service.oil {
                held.scale(left);
            }
            let service = &mut self.state.service;
            service.recovered_oil += oil;
            service.counted_kg += recovered_kg;
        }
        let service = &mut self.state.service;
        service.gas_in_air_kg = gas_in_air_kg;
        service.dye_mixed = dye_mixed;
        service.stain_kg = stain_kg;
        if self.low_air_kg_m3() > self.practical_limit_kg_m3() {
            self.state.service.thick_air_s += step_s;
        }
    }
}
