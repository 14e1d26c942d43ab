//! What a repair was worth: the car driven on beside a sound one, and the work itself.
//!
//! Whether the cause is cured, and stays cured, nobody decides here: both cars drive through the same
//! weeks, and the owner compares. Which parts had to be touched follows from the parts' data: the cheapest
//! jobs that make the car the sound one again.

use std::collections::BTreeSet;
use std::sync::Arc;

use scenarios::{Bank, Case, Counter, RepairWeights};
use sim_core::car::{Car, Driven, POURS_SHARE, Week};
use sim_core::repair::{JOBS, Job, Kind};
use sim_core::setup::Weather;
use sim_core::spec::CarSpec;

use crate::bay::Bay;
use crate::grade::NotGraded;
use crate::grade::rules::{self, RuleSeen};
use crate::grade::steps::{FOREIGN_SHARE, Step, steps};
use crate::safety::Slip;

/// What became of a repair.
#[derive(Clone, Debug)]
pub struct Repair {
    /// The session to its end.
    pub bay: Bay,
    /// The car was given back; otherwise it stood in the bay at the end.
    pub handed_over: bool,
    /// The weeks after, on this car and on the same car sound.
    pub weeks: Vec<(Driven, Driven)>,
    /// What its owner has to say of each week.
    pub complaints: Vec<Vec<Complaint>>,
    /// Jobs that had to be done: the least that makes this car sound.
    pub needed: BTreeSet<Job>,
    /// Of these, what was done, with a part that is right.
    pub done: BTreeSet<Job>,
    /// Jobs done that nothing called for.
    pub needless: BTreeSet<Job>,
    /// Rules of thumb, held against this car and the sound one.
    pub rules: Vec<RuleSeen>,
    /// How the work was done.
    pub steps: Vec<Step>,
    /// Time it took, s.
    pub seconds: f64,
    /// Labour and parts.
    pub bill: f64,
    /// What the needed jobs alone would have come to.
    pub least_bill: f64,
    /// Refrigerant let into the air during the repair, kg.
    pub lost_kg: f64,
    /// Slips during the repair.
    pub slips: Vec<Slip>,
    /// What the parts of the mark count.
    pub weights: RepairWeights,
    /// The mark.
    pub mark: RepairMark,
}

/// What an owner has to say of a week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Complaint {
    /// It does not cool on the road as it should.
    WarmOnTheRoad,
    /// It gets warm when it stands.
    WarmStanding,
    /// The high-pressure cut-out opens.
    CutsOut,
    /// The relief valve blows.
    Relieves,
    /// It freezes inside and comes and goes.
    Freezes,
    /// Refrigerant gets less.
    Leaks,
    /// Refrigerant is missing.
    Short,
    /// There is too much of it.
    Overfilled,
    /// The belt squeals, chirps and slips.
    BeltSlips,
    /// The compressor wears.
    Wears,
}

/// The parts of a repair's mark, each of what the weights allow.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct RepairMark {
    /// The cause is cured: the car cools as the sound one does.
    pub cured: f64,
    /// It stays so through the weeks.
    pub lasting: f64,
    /// The right parts, and no others.
    pub parts: f64,
    /// The work in its order, with its proofs.
    pub order: f64,
    /// The bill.
    pub cost: f64,
    /// Refrigerant kept out of the air.
    pub air: f64,
    /// Safe work; slips beyond it come off the rest.
    pub safety: f64,
    /// Together, 0 to 100.
    pub total: f64,
}

impl RepairMark {
    /// Names of its parts.
    pub const PARTS: [&str; 7] = [
        "cured", "lasting", "parts", "order", "cost", "air", "safety",
    ];

    /// Its parts: name, what was earned, and of how much.
    #[must_use]
    pub fn parts(&self, weights: &RepairWeights) -> [(&'static str, f64, f64); 7] {
        let [cured, lasting, parts, order, cost, air, safety] = Self::PARTS;
        [
            (cured, self.cured, weights.cured),
            (lasting, self.lasting, weights.lasting),
            (parts, self.parts, weights.parts),
            (order, self.order, weights.order),
            (cost, self.cost, weights.cost),
            (air, self.air, weights.air),
            (safety, self.safety, weights.safety),
        ]
    }
}

/// The weeks after a repair: mild, hot, humid ones in turn, five hours of driving in each (common
/// practice, no source: a commuter's).
const WEEKS: [(f64, f64); 6] = [
    (22.0, 0.60),
    (34.0, 0.40),
    (28.0, 0.70),
    (38.0, 0.25),
    (20.0, 0.80),
    (36.0, 0.45),
];
/// Hours driven in a week, s.
const DRIVEN_S: f64 = 5.0 * 3600.0;
/// Sunshine of such days, W/m².
const SUN_W_PER_M2: f64 = 600.0;
/// Weeks in which it shows whether the cause is cured; what comes later is whether it lasts.
const CURED_WEEKS: usize = 2;
/// Warmer vents than this an owner notices, K (common practice, no source).
const NOTICED_ROAD_K: f64 = 2.0;
/// The same after a stand with the engine idling, K.
const NOTICED_STANDING_K: f64 = 3.0;
/// Share of the charge that may be missing or too much (common practice, no source).
const CHARGE_SHARE: f64 = 0.1;
/// Share of the charge that is gone from which a loop counts as leaking.
const GONE_SHARE: f64 = 0.02;
/// Drag beyond the sound car's that counts as wear, N m.
const WORN_N_M: f64 = 3.0;
/// Belt speed lost beyond the sound car's from which an owner hears it, as a share (common practice, no
/// source).
const SLIPS_SHARE: f64 = 0.15;
/// What ice must leave open of the expansion device.
const ICED_BELOW: f64 = 0.5;
/// Debris in a part from which it has to be dealt with, kg.
const DEBRIS_KG: f64 = 0.2e-3;
/// Refrigerant that may get out of hoses and couplings, as a share of the label's charge: SAE J2788 asks a
/// machine for 95 % of what is in a car.
const UNAVOIDABLE_SHARE: f64 = 0.05;
/// Share of the charge let out that leaves nothing of the mark for the air.
const ALL_OF_IT_SHARE: f64 = 0.3;

impl Repair {
    /// Weighs the repair that follows a conclusion.
    ///
    /// # Errors
    /// [`NotGraded`] when the simulation cannot follow the car.
    pub fn weigh(bank: &Bank, case: &Case, concluded: &Bay, bay: Bay) -> Result<Self, NotGraded> {
        let counter = bank.counter();
        let weights = bank.marks().repair;
        let sound = case.car_with(Arc::clone(bay.session().car().label_fluid()), &[]);
        let weeks: Vec<Week> = WEEKS
            .iter()
            .map(|(celsius, relative_humidity)| Week {
                weather: Weather {
                    temperature_k: celsius + 273.15,
                    relative_humidity: *relative_humidity,
                    sun_w_per_m2: SUN_W_PER_M2,
                    altitude_m: case.weather().altitude_m,
                },
                driven_s: DRIVEN_S,
            })
            .collect();
        let drive = |car: &Car| car.driven_on(&weeks).map_err(NotGraded::Weeks);
        let weeks: Vec<(Driven, Driven)> = drive(bay.session().car())?
            .into_iter()
            .zip(drive(&sound)?)
            .collect();
        let label_kg = case.healthy.label_charge_kg;
        let complaints: Vec<Vec<Complaint>> = weeks
            .iter()
            .map(|(own, sound)| complaints(own, sound, (weeks[0].0.charge_kg, label_kg)))
            .collect();

        let opened = bay.workshop().bench().opened;
        let needed = needed(counter, concluded.session().car(), &case.healthy, opened);
        let (done, needless) = judged(&bay, &needed);
        let rested = bay.session().car().rested();
        let rules = rules::seen(&rested, &sound.rested()).map_err(NotGraded::Weeks)?;
        let steps = steps(
            &bay,
            (concluded.actions().len(), concluded.clock_s()),
            (&needed, &done),
        );
        let seconds = bay.clock_s() - concluded.clock_s();
        let labour = |seconds: f64| seconds / 3600.0 * counter.labour_per_hour;
        let bill = labour(seconds) + bay.workshop().bench().spent;
        let least_bill: f64 = needed.iter().map(|job| bill_of(counter, *job)).sum();
        let lost_kg = bay.refrigerant_lost_kg() - concluded.refrigerant_lost_kg();
        let slips = bay.slips().get(concluded.slips().len()..);
        let slips = slips.unwrap_or_default().to_vec();
        let mut repair = Self {
            handed_over: bay.handed_over(),
            bay,
            weeks,
            complaints,
            needed,
            done,
            needless,
            rules,
            steps,
            seconds,
            bill,
            least_bill,
            lost_kg,
            slips,
            weights,
            mark: RepairMark::default(),
        };
        repair.mark = repair.marked(label_kg, labour(ROUND_S));
        Ok(repair)
    }

    /// Whether the car cools as a sound one does.
    #[must_use]
    pub fn is_cured(&self) -> bool {
        let first = self.complaints.iter().take(CURED_WEEKS);
        first.flatten().all(|one| !one.is_felt())
    }

    /// Whether nothing at all comes back in the weeks after.
    #[must_use]
    pub fn lasts(&self) -> bool {
        self.complaints.iter().all(Vec::is_empty)
    }

    fn marked(&self, label_kg: f64, round: f64) -> RepairMark {
        let weights = &self.weights;
        let share = |part: usize, of: usize| part as f64 / (of.max(1)) as f64;
        let quiet = self.complaints.iter().filter(|week| week.is_empty());
        let union = self.needed.len() + self.needless.len();
        let parts = if union == 0 {
            1.0
        } else {
            share(self.done.len(), union)
        };
        let in_order = self.steps.iter().filter(|step| step.done).count();
        let order = if self.steps.is_empty() {
            1.0
        } else {
            share(in_order, self.steps.len())
        };
        // A car that leaks lets out later what was kept in during the work, and what comes back costs again.
        let last = self.weeks.last();
        let leaked_kg = last.map_or(0.0, |(own, _)| self.weeks[0].0.charge_kg - own.charge_kg);
        let ends_well = self.complaints.last().is_some_and(Vec::is_empty);
        let cost = ((self.least_bill + round) / self.bill.max(1.0)).min(1.0);
        let lost = (self.lost_kg + leaked_kg.max(0.0)) / label_kg;
        let air = 1.0
            - ((lost - UNAVOIDABLE_SHARE) / (ALL_OF_IT_SHARE - UNAVOIDABLE_SHARE)).clamp(0.0, 1.0);
        let slips: f64 = self.slips.iter().map(|slip| slip.kind.cost()).sum();
        // A car that still stands in the bay has not been repaired; what was done right on it counts for
        // the way it was done only where it was done to an end.
        let given = if self.handed_over { 1.0 } else { 0.0 };
        let cured = if self.is_cured() { given } else { 0.0 };
        let worked = if cured > 0.0 || !self.done.is_empty() {
            given
        } else {
            0.0
        };
        let mut mark = RepairMark {
            cured: weights.cured * cured,
            lasting: if ends_well {
                weights.lasting * cured * share(quiet.count(), self.complaints.len())
            } else {
                0.0
            },
            parts: weights.parts * given * parts,
            order: weights.order * worked * order,
            cost: if ends_well {
                weights.cost * cured * cost
            } else {
                0.0
            },
            air: weights.air * given * air,
            safety: weights.safety * given - slips,
            total: 0.0,
        };
        let sum = mark.cured
            + mark.lasting
            + mark.parts
            + mark.order
            + mark.cost
            + mark.air
            + mark.safety;
        mark.total = sum.clamp(0.0, 100.0);
        mark
    }
}

/// Time for recovering, evacuating, charging and proving that any repair of a loop takes, s (common
/// practice, no source).
const ROUND_S: f64 = 2.0 * 3600.0;

impl Complaint {
    /// Whether somebody in the car feels it.
    #[must_use]
    pub fn is_felt(self) -> bool {
        !matches!(
            self,
            Self::Leaks | Self::Short | Self::Overfilled | Self::Wears
        )
    }
}

/// What an owner has to say of a week, with what was in the loop in the first one and the label's charge.
fn complaints(own: &Driven, sound: &Driven, (first_kg, label_kg): (f64, f64)) -> Vec<Complaint> {
    let gone = (first_kg - own.charge_kg) / label_kg;
    let share = own.charge_kg / label_kg;
    let all = [
        (
            Complaint::WarmOnTheRoad,
            own.road_vent_k > sound.road_vent_k + NOTICED_ROAD_K,
        ),
        (
            Complaint::WarmStanding,
            own.standing_vent_k > sound.standing_vent_k + NOTICED_STANDING_K,
        ),
        (Complaint::CutsOut, own.cut_outs > sound.cut_outs),
        (Complaint::Relieves, own.relieved && !sound.relieved),
        (Complaint::Freezes, own.least_open < ICED_BELOW),
        (Complaint::Leaks, gone > GONE_SHARE),
        (Complaint::Short, share < 1.0 - CHARGE_SHARE),
        (Complaint::Overfilled, share > 1.0 + CHARGE_SHARE),
        (
            Complaint::BeltSlips,
            own.belt_slip > sound.belt_slip + SLIPS_SHARE,
        ),
        (Complaint::Wears, own.drag_n_m > sound.drag_n_m + WORN_N_M),
    ];
    let said = all.into_iter().filter(|(_, is)| *is);
    said.map(|(complaint, _)| complaint).collect()
}

/// What a job comes to: its part and its time.
fn bill_of(counter: &Counter, job: Job) -> f64 {
    let price = counter.part(job).map_or(0.0, |part| part.price);
    price + job.info().seconds / 3600.0 * counter.labour_per_hour
}

/// The cheapest jobs that make a car the sound one, and what an opened loop asks for.
fn needed(counter: &Counter, car: &Car, healthy: &CarSpec, opened: bool) -> BTreeSet<Job> {
    let loose = car.loosened();
    let mut spec = loose.spec().clone();
    let mut needed = BTreeSet::new();
    let mut jobs: Vec<Job> = JOBS.iter().map(|info| info.job).collect();
    jobs.retain(|job| job.is_on(&spec));
    jobs.sort_by(|a, b| bill_of(counter, *a).total_cmp(&bill_of(counter, *b)));
    // Cheapest first: whatever a dear part changes beyond them is what it is needed for.
    for job in jobs {
        if job.changes(&spec, healthy) {
            job.turn(&mut spec, healthy);
            needed.insert(job);
        }
    }
    drop_what_others_do(&mut needed, loose.spec(), healthy);
    if !car.state().fuse_whole {
        needed.insert(Job::Fuse);
    }
    let debris = loose.state().debris;
    let places = [
        (Job::Condenser, debris.condenser_kg),
        (Job::Drier, debris.filter_kg),
        (Job::ExpansionDevice, debris.screen_kg),
        (Job::DischargeHose, debris.hose_kg),
        (Job::LiquidLine, debris.line_kg),
    ];
    let dirty = places.iter().filter(|(_, kg)| *kg > DEBRIS_KG);
    needed.extend(dirty.map(|(job, _)| *job));
    let oil = loose.spec().oil;
    if oil.foreign_share >= FOREIGN_SHARE {
        // Desiccant keeps its oil, and a compressor what clings to it: more than a motor at high voltage bears?
        needed.insert(Job::Drier);
        let clings = (1.0 - POURS_SHARE) * Job::Compressor.info().oil_share * oil.foreign_share;
        let turned = &loose.spec().compressor.turned;
        if turned
            .motor()
            .is_some_and(|motor| motor.insulation_ohm(clings) < motor.insulation_asked_ohm())
        {
            needed.insert(Job::Compressor);
        }
    }
    // Desiccant that has met the air is spent (common practice, no source: any opened loop gets a new one).
    if opened {
        needed.insert(Job::Drier);
    }
    needed
}

/// Leaves out jobs whose part another needed one brings along: a new clutch comes with its gap set.
fn drop_what_others_do(needed: &mut BTreeSet<Job>, spec: &CarSpec, healthy: &CarSpec) {
    for job in needed.clone() {
        let mut without = spec.clone();
        for other in needed.iter().filter(|other| **other != job) {
            other.turn(&mut without, healthy);
        }
        if !job.changes(&without, healthy) {
            needed.remove(&job);
        }
    }
}

/// Which of the needed jobs were done rightly, and which were done for nothing.
fn judged(bay: &Bay, needed: &BTreeSet<Job>) -> (BTreeSet<Job>, BTreeSet<Job>) {
    let bench = bay.workshop().bench();
    let touched: BTreeSet<Job> = bench.fitted.iter().map(|one| one.job).collect();
    let right = |job: &Job| {
        let last = bench.fitted.iter().rev().find(|one| one.job == *job);
        let fitted = last.is_some_and(|one| one.right && one.forgotten.is_none());
        let resealed = job.info().kind == Kind::InLoop
            && last.is_none()
            && bench.joints.get(job).is_some_and(|joint| joint.is_sound());
        let flushed = bench.flushed.contains(job) && job.flushes_clean();
        fitted || resealed || flushed
    };
    let done = needed.iter().copied().filter(right).collect();
    let needless = touched.difference(needed).copied();
    // New valves and caps at the ports are never a mistake.
    let needless = needless.filter(|job| *job != Job::ServiceValves);
    (done, needless.collect())
}
