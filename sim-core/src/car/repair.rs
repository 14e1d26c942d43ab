//! Work that opens the loop and changes parts.
//!
//! A part taken off leaves its ends open: what the loop holds above the pressure around goes out there,
//! and then gas and the air around change places, whose water oil and desiccant keep. A part put on is
//! another car's; what lay in the old one, debris, oil and water, goes with it. The first time the loop is
//! worked on, its debris comes loose ([`crate::parts::debris`]).

use crate::car::Car;
use crate::car::STEP_AFTER_SWITCH_S;
use crate::car::oil_held::OilHeld;
use crate::faults::Knob;
use crate::loop_model::gas::AIR_J_PER_KG_K;
use crate::loop_model::layout::{Layout, Role};
use crate::loop_model::step::Solver;
use crate::parts::contents::DRIER_HOLDS_KG;
use crate::parts::debris::{Debris, Resting};
use crate::parts::moisture::Ice;
use crate::parts::storage::Place;
use crate::parts::water::WATER_J_PER_KG_K;
use crate::repair::Job;
use crate::spec::{CarSpec, Leak, LeakPlace};

/// Effective area of the ends that a part taken off leaves open, m² (common practice, no source: a hose
/// of 8 mm, its end among others).
const OPEN_AREA_M2: f64 = 2e-5;
/// Volume that one such way swaps with the air around, m³/s (common practice, no source: a loop left open
/// for a day has spent its drier, some 10 g of water).
const SWAPPED_M3_S: f64 = 1e-5;
/// Discharge valves that the oil of a new compressor breaks when it is started with all of it in its
/// cylinders: area left open, m² for the label's amount of oil (common practice, no source).
const BROKEN_VALVES_M2: f64 = 5e-6;
/// Drag that debris passing through a compressor leaves it with, N m/kg (common practice, no source: a
/// few tenths of a gram score its walls).
const SCORING_N_M_PER_KG: f64 = 4e4;

/// What a tracer's hydrogen does to a detector beside as much refrigerant (common practice, no source:
/// nitrogen with 5 % of hydrogen, the detector switched to it).
const TRACER_SHARE: f64 = 0.05;

/// Area of a way out from which a loop holds no gas that is pressed in, m²: a loosened fitting has more, a
/// joint badly made much less (from memory).
const GAPES_FROM_M2: f64 = 1e-8;
/// Pressure above the air's from which a loop counts as pressed, Pa.
const PRESSED_FROM_PA: f64 = 20e3;

/// A gas a loop is pressed with to find leaks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum TestGas {
    /// Dry nitrogen.
    Nitrogen,
    /// Nitrogen with a little hydrogen, which a detector finds.
    Tracer,
    /// Air from the workshop's compressor: with its oil it can explode, and it brings its water.
    Air,
}

/// What a part taken off showed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TakenOff {
    /// Oil poured out of it, as a share of the label's amount.
    pub oil_share: f64,
    /// Debris in it, kg.
    pub debris_kg: f64,
}

impl Car {
    /// Opens the loop at a place, as a part taken off leaves it.
    pub fn open_at(&mut self, place: LeakPlace) {
        self.loosen_debris();
        self.set_way(place, OPEN_AREA_M2);
    }

    /// Shuts it again, or leaves it with the leak a joint made there has, m². Whoever makes a part's joints
    /// makes all of them: a fitting loosened at its other end is tight again, too.
    pub fn shut_at(&mut self, place: LeakPlace, leak_m2: f64) {
        let ways = self.state.service.openings.iter();
        let loose: Vec<Leak> = ways.filter(|way| way.place == place).copied().collect();
        for way in loose {
            self.set_opening(Leak {
                area_m2: 0.0,
                ..way
            });
        }
        self.set_way(place, leak_m2);
    }

    /// Opens a joint to give it another seal: a leak past the old one is gone with it, one of a part's own,
    /// such as a shaft seal, a crimp or a core, is not.
    pub fn unseal(&mut self, place: LeakPlace) {
        let at_joint = matches!(
            place,
            LeakPlace::LiquidLine
                | LeakPlace::Receiver
                | LeakPlace::Accumulator
                | LeakPlace::Transducer
                | LeakPlace::ExpansionDevice
        );
        if at_joint {
            self.spec.leaks.retain(|leak| leak.place != place);
            self.lay_out();
        }
    }

    fn set_way(&mut self, place: LeakPlace, area_m2: f64) {
        let role = place.role(&self.spec);
        self.set_opening(Leak {
            role,
            place,
            area_m2,
        });
    }

    /// Whether a part is off the loop.
    #[must_use]
    pub fn stands_open(&self) -> bool {
        let mut ways = self.state.service.openings.iter();
        ways.any(|way| way.area_m2 >= OPEN_AREA_M2)
    }

    /// Where a part is off the loop or a fitting of it loose: gas pressed in would be out again at once.
    #[must_use]
    pub fn gapes_at(&self) -> Option<LeakPlace> {
        let mut ways = self.state.service.openings.iter();
        let gap = ways.find(|way| way.area_m2 >= GAPES_FROM_M2);
        gap.map(|way| way.place)
    }

    /// Whether nothing gets out of the loop: no leak, and no way that work has left.
    #[must_use]
    pub fn is_shut(&self) -> bool {
        let mut ways = self.spec.leaks.iter().chain(&self.state.service.openings);
        ways.all(|way| way.area_m2 <= 0.0)
    }

    /// Volume a second that high and low side swap with the air around, m³/s.
    pub(super) fn swapped_m3_s(&self) -> [f64; 2] {
        let mut swapped = [0.0; 2];
        let service = &self.state.service;
        if service.capped {
            return swapped;
        }
        let first_low = self.layout.index_of(Role::Evaporator(0)).unwrap_or(0);
        for way in &service.openings {
            if way.area_m2 >= OPEN_AREA_M2
                && let Some(index) = self.layout.index_of(way.role)
            {
                swapped[usize::from(index >= first_low)] += SWAPPED_M3_S;
            }
        }
        swapped
    }

    /// Water vapour in the air around, kg/m³.
    pub(super) fn damp_kg_m3(&self) -> f64 {
        let outside = self.weather.relative_humidity
            * crate::air::saturation_vapour_pressure_pa(self.weather.temperature_k);
        outside / (WATER_J_PER_KG_K * self.weather.temperature_k)
    }

    /// Puts caps on the ends that stand open, or takes them off.
    pub fn cap(&mut self, on: bool) {
        self.state.service.capped = on;
    }

    /// Oil that goes round with the refrigerant, as a share of the label's amount.
    #[must_use]
    pub fn oil_share(&self) -> f64 {
        self.spec.oil.share * (1.0 - self.state.debris.oil_share())
    }

    /// Puts another car's part in the place of this one's: with it come its data, and of a compressor the
    /// oil it was delivered with, as a share of the label's amount.
    pub fn fit(&mut self, job: Job, new: &CarSpec, delivered_oil: f64) -> TakenOff {
        self.loosen_debris();
        let mut oil = self.oil_held();
        let poured = oil.replaced(job, delivered_oil);
        let before_kg = self.state.debris.total_kg();
        let debris = &mut self.state.debris;
        match job {
            Job::Condenser => debris.condenser_kg = 0.0,
            Job::DischargeHose => debris.hose_kg = 0.0,
            Job::LiquidLine => debris.line_kg = 0.0,
            Job::Drier => debris.filter_kg = 0.0,
            Job::ExpansionDevice => debris.screen_kg = 0.0,
            _ => {}
        }
        let debris_kg = before_kg - debris.total_kg();
        job.turn(&mut self.spec, new);
        // What a new compressor's maker says it has shed is nothing: what the old one did is in the state.
        self.spec.debris.shed_kg = 0.0;
        match job {
            // A scroll that a motor starts slowly pushes its oil out by itself.
            Job::Compressor if self.spec.compressor.turned.motor().is_some() => {}
            Job::Compressor => self.state.service.oil_in_cylinders = delivered_oil,
            Job::Fuse => self.state.fuse_whole = true,
            Job::Drier => {
                let water = &mut self.state.refrigerant.water;
                water.bound_kg = 0.0;
                water.binds_kg = DRIER_HOLDS_KG * (1.0 - self.spec.contents.drier_spent);
            }
            Job::ExpansionDevice => self.state.ice = Ice::none(self.weather.temperature_k),
            _ => {}
        }
        self.hold_oil(oil);
        self.lay_out();
        TakenOff {
            oil_share: poured,
            debris_kg,
        }
    }

    /// Flushes a part: hoses and plain pipes come clean. A core of fine channels, a compressor, a drier and
    /// an expansion device keep their debris: flushing medium goes the easy way, past what is stuck. Oil
    /// dissolves in it and comes out of pipes and cores alike; a compressor and a drier keep theirs. Returns
    /// the debris that came out, kg.
    pub fn flush(&mut self, job: Job) -> f64 {
        self.loosen_debris();
        if matches!(job, Job::Compressor | Job::Drier | Job::ExpansionDevice) {
            return 0.0;
        }
        let debris = &mut self.state.debris;
        let kg = match job {
            Job::DischargeHose => std::mem::take(&mut debris.hose_kg),
            Job::LiquidLine => std::mem::take(&mut debris.line_kg),
            _ => 0.0,
        };
        let mut oil = self.oil_held();
        oil.replaced(job, 0.0);
        self.hold_oil(oil);
        self.lay_out();
        kg
    }

    /// Puts oil into the compressor, as a share of the label's amount, or pours some out of it (negative);
    /// `foreign` is oil of another kind than the label's. Returns what changed: not all of it runs out.
    pub fn add_oil(&mut self, share: f64, foreign: bool) -> f64 {
        let mut oil = self.oil_held();
        let moved = if share > 0.0 {
            oil.add(share, foreign);
            share
        } else {
            -oil.pour(-share)
        };
        let cylinders = &mut self.state.service.oil_in_cylinders;
        *cylinders = (*cylinders + moved.min(0.0)).max(0.0);
        self.hold_oil(oil);
        self.lay_out();
        moved
    }

    /// Turns the compressor's hub by hand: oil lying in its cylinders goes out through its valves.
    pub fn turn_hub(&mut self) {
        self.state.service.oil_in_cylinders = 0.0;
    }

    /// Presses dry nitrogen, or air, into a loop that holds no refrigerant to speak of, to a pressure on
    /// both sides, Pa absolute; a lower one lets it out again. Nitrogen counts as air (its gas constant is
    /// 3 % above), and air brings its water.
    ///
    /// Returns whether it could: refrigerant has to be out of the loop, and the loop closed.
    pub fn press(&mut self, to_pa: f64, gas: TestGas) -> bool {
        if !self.state.service.thin || self.gapes_at().is_some() {
            return false;
        }
        self.fill_with(to_pa, gas);
        true
    }

    fn fill_with(&mut self, to_pa: f64, gas: TestGas) {
        let sides_pa = self.state.refrigerant.sides_pa(&self.layout);
        let mut wet_kg = 0.0;
        let first_low = self.layout.index_of(Role::Evaporator(0)).unwrap_or(0);
        let mut rooms = [0.0; 2];
        for (index, volume) in self.layout.volumes.iter().enumerate() {
            let wall_k = self.state.refrigerant.wall_k[index];
            rooms[usize::from(index >= first_low)] += volume.volume_m3 / wall_k;
        }
        let air = &mut self.state.refrigerant.air;
        for ((kg, pa), room) in [&mut air.high_kg, &mut air.low_kg]
            .into_iter()
            .zip(sides_pa)
            .zip(rooms)
        {
            let more_kg = (to_pa - pa) * room / AIR_J_PER_KG_K;
            *kg = (*kg + more_kg).max(0.0);
            wet_kg += more_kg.max(0.0) * self.outdoors.humidity_ratio;
        }
        for (index, pa) in self
            .state
            .refrigerant
            .air_pressure_pa
            .iter_mut()
            .enumerate()
        {
            let side = usize::from(index >= first_low);
            let kg = if side == 0 { air.high_kg } else { air.low_kg };
            *pa = kg * AIR_J_PER_KG_K / rooms[side];
        }
        self.state.service.traced = gas == TestGas::Tracer;
        if gas == TestGas::Air {
            self.state.refrigerant.water.free_kg += wet_kg;
        }
    }

    /// The same car with its debris loosened, as work on the loop leaves it.
    #[must_use]
    pub fn loosened(&self) -> Self {
        let mut car = self.clone();
        car.loosen_debris();
        car
    }

    /// Whether a loop that holds no refrigerant to speak of is under the pressure of another gas.
    #[must_use]
    pub fn is_pressed(&self) -> bool {
        let sides_pa = self.state.refrigerant.sides_pa(&self.layout);
        let over = |pa: f64| pa - self.outdoors.pressure_pa > PRESSED_FROM_PA;
        self.state.service.thin && sides_pa.into_iter().any(over)
    }

    /// Lets the gas a loop was pressed with out again, down to the air's pressure; false where none is in.
    pub fn let_out(&mut self) -> bool {
        let can = self.state.service.thin && !self.stands_open();
        if can {
            self.fill_with(self.outdoors.pressure_pa, TestGas::Nitrogen);
        }
        can
    }

    /// Leaves the car without something that belongs to it: properties of parts, as a fault turns them.
    pub fn spoil(&mut self, knobs: &[(Knob, f64)]) {
        for (knob, value) in knobs {
            knob.turn(&mut self.spec, *value);
        }
        self.lay_out();
    }

    /// What a leak detector finds of what gets out at a place, kg/s of refrigerant or as much.
    #[must_use]
    pub fn traced_kg_s(&self, place: LeakPlace) -> f64 {
        let tracer = if self.state.service.traced {
            TRACER_SHARE * self.blowing_kg_s(place)
        } else {
            0.0
        };
        self.escaping_kg_s(place) + tracer
    }

    /// Gas of any kind that a thin loop under pressure lets out at a place, kg/s.
    #[must_use]
    pub fn blowing_kg_s(&self, place: LeakPlace) -> f64 {
        if !self.state.service.thin {
            return self.escaping_kg_s(place);
        }
        let ways = self.spec.leaks.iter().chain(&self.state.service.openings);
        let here = ways.filter(|way| way.place == place);
        here.map(|way| {
            let inside_pa = self.pressure_pa(way.role);
            let over = 1.0 - self.outdoors.pressure_pa / inside_pa;
            let density = inside_pa / (AIR_J_PER_KG_K * self.weather.temperature_k);
            let speed = 2.0 * crate::loop_model::rarefied::APERTURE_M_S * over.max(0.0).sqrt();
            speed * way.area_m2 * density
        })
        .sum()
    }

    /// The oil that goes round, part by part.
    fn oil_held(&self) -> OilHeld {
        let held = self.state.service.oil.clone();
        held.unwrap_or_else(|| OilHeld::mixed(self.oil_share(), self.spec.oil.foreign_share))
    }

    fn hold_oil(&mut self, oil: OilHeld) {
        self.spec.oil.foreign_share = oil.foreign_share();
        self.set_oil(oil.total());
        self.state.service.oil = Some(oil);
    }

    fn set_oil(&mut self, circulating: f64) {
        self.spec.oil.share = circulating / (1.0 - self.state.debris.oil_share());
    }

    /// From here on debris goes round: what blocks the condenser's tubes is debris, too.
    pub(super) fn loosen_debris(&mut self) {
        if self.state.service.loosened {
            return;
        }
        let circulating = self.oil_share();
        let packed = self.spec.debris.resting(self.spec.filters_liquid());
        // The tubes' share at hand-over is in the data, what came since in the layout only.
        let since_kg = self.state.debris.condenser_kg - packed.condenser_kg;
        let tubes_kg = Resting::kg_of_tubes(self.spec.condenser.tube_blockage);
        let open = 1.0 - self.spec.storage.blockage;
        self.spec.storage.blockage = 1.0 - (open / packed.filter_open()).min(1.0);
        self.spec.debris = Debris {
            shed_kg: 0.0,
            ..self.spec.debris
        };
        let found = Resting {
            condenser_kg: tubes_kg.max(packed.condenser_kg) + since_kg,
            ..self.state.debris
        };
        self.state.debris = found.loosened();
        self.state.service.loosened = true;
        self.set_oil(circulating);
        self.lay_out();
    }

    /// Makes the ring anew from the parts, the debris in them and the ways out.
    pub(super) fn lay_out(&mut self) {
        self.spec.condenser.tube_blockage = 1.0 - self.state.debris.condenser_open();
        let clogged = {
            let mut spec = self.spec.clone();
            let open = self.state.debris.filter_open();
            spec.storage.blockage = 1.0 - (1.0 - spec.storage.blockage) * open;
            spec
        };
        let machines = self.layout.volumes.iter().map(|v| v.machine_area_m2);
        let machines: Vec<f64> = machines.collect();
        self.layout = Layout::of(&clogged);
        for (volume, area_m2) in self.layout.volumes.iter_mut().zip(machines) {
            volume.machine_area_m2 = area_m2;
        }
        for way in &self.state.service.openings {
            if let Some(index) = self.layout.index_of(way.role) {
                self.layout.volumes[index].leak_area_m2 += way.area_m2;
            }
        }
        let (evaluations, refused) = (self.solver.evaluations, self.solver.refused);
        self.solver = Solver::new(&self.layout);
        self.solver.evaluations = evaluations;
        self.solver.refused = refused;
        self.next_step_s = self.next_step_s.min(STEP_AFTER_SWITCH_S);
    }

    /// What turning does to a loop that was worked on: loosened debris moves, and oil in the cylinders
    /// breaks valves. Turns of the shaft.
    pub(super) fn after_turning(&mut self, turns: f64) {
        let service = &mut self.state.service;
        if turns <= 0.0 {
            return;
        }
        // Turning mixes it.
        service.oil = None;
        if service.oil_in_cylinders > 0.0 {
            let oil = std::mem::take(&mut service.oil_in_cylinders);
            self.spec.compressor.valve_leak_area_m2 += BROKEN_VALVES_M2 * oil;
        }
        if service.loosened && self.state.debris.total_kg() > 0.0 {
            let before = self.state.debris;
            let (after, dust_kg) = before.carried(turns, self.spec.filters_liquid());
            let (tubes, filter) = (
                after.condenser_open() / before.condenser_open(),
                after.filter_open() / before.filter_open(),
            );
            self.state.debris = after;
            self.spec.compressor.drag_torque_n_m += SCORING_N_M_PER_KG * dust_kg;
            self.spec.condenser.tube_blockage = 1.0 - after.condenser_open();
            self.narrow(tubes, filter);
        }
    }

    /// Leaves open only a share of the condenser's tubes and of the bottle's outlet.
    pub(super) fn narrow(&mut self, tubes: f64, filter: f64) {
        // Without a receiver the last tubes end in the liquid line, which stays as it is.
        let filtered = self.spec.filters_liquid();
        let to_line = (!filtered).then(|| self.layout.condenser_outlet());
        let tubes_after = |role| matches!(role, Role::Condenser(_)) && Some(role) != to_line;
        self.layout.narrow(tubes_after, tubes);
        self.layout.narrow(|role| role == Role::Receiver, filter);
    }
}

impl Job {
    /// Where a loop stands open while the part is off, on this car; None outside the loop.
    #[must_use]
    pub fn way(self, spec: &CarSpec) -> Option<LeakPlace> {
        match self {
            Self::ControlValve => Some(LeakPlace::Compressor),
            Self::Drier if spec.storage.place == Place::Suction => Some(LeakPlace::Accumulator),
            Self::Transducer | Self::PressureSwitches => None,
            _ => self.info().places.first().copied(),
        }
    }
}
