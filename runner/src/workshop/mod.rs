//! The repair: parts off and on, joints, oil, caps and the hub, on the simulated car.
//!
//! What the counter hands out is data; what it does to the car is the car's business. The workshop keeps
//! what a car cannot know: which parts lie on the bench, how the joints were made, what was bought.

mod bench;
mod compared;
mod hazards;
mod not_done;
mod time;

pub use bench::{Bench, Fitted};
pub use compared::{Compared, Laid, Shows};
pub use hazards::hazards;
pub use not_done::NotDone;

use scenarios::{Candidate, Case, Counter, OtherOutcome, SealSize, Vehicle};
use sim_core::car::TakenOff;
use sim_core::instruments::{Check, Part, Spot};
use sim_core::repair::{JOBS, Job, Joint, Kind, Seal};
use sim_core::spec::{CarSpec, Leak};

use crate::action::Work;
use crate::session::{Nobody, Session};

/// What a step of a repair showed.
#[derive(Clone, Debug, PartialEq)]
pub enum Shown {
    /// The service page was opened.
    ServiceData,
    /// A part was laid beside those at the counter.
    Compared(Compared),
    /// A part came off, with oil in it, m³.
    OilInOldPart(f64),
    /// The part handed out cannot be put on; why.
    DoesNotFit(String),
    /// A part went on.
    Fits,
    /// Flushed: what came out, kg, and whether the part can come clean.
    Flushed(f64, bool),
    /// Oil put in or poured out, m³.
    Oil(f64),
    /// The cylinder gave no more before all was in.
    ChargeStopped,
    /// The cylinder has been warmed, to K.
    CylinderWarm(f64),
    /// A colleague has turned off the flame under the cylinder: it is as cold as it was.
    FlameStopped,
    /// Oil that the recovery machine has separated, m³.
    OilRecovered(f64),
}

/// A workshop with its counter, for one car.
#[derive(Clone, Debug)]
pub struct Workshop {
    vehicle: Vehicle,
    counter: Counter,
    healthy: CarSpec,
    seed: u64,
    bench: Bench,
}

/// Whether a step opens the loop, or presses something into it.
fn opens_or_presses(work: &Work) -> bool {
    match work {
        Work::Remove(job) | Work::Fit(job, _) => job.info().kind == Kind::InLoop,
        Work::Press(..) => true,
        _ => false,
    }
}

/// Time a loop under pressure is given to blow itself out before the part is off, s.
const BLOWING_S: f64 = 60.0;

impl Workshop {
    /// The workshop a case's car stands in.
    #[must_use]
    pub fn of(case: &Case, counter: &Counter) -> Self {
        Self {
            vehicle: case.vehicle.clone(),
            counter: counter.clone(),
            healthy: case.healthy.clone(),
            seed: case.seed,
            bench: Bench::default(),
        }
    }

    /// What has been done so far.
    #[must_use]
    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    /// The vehicle in it.
    #[must_use]
    pub fn vehicle(&self) -> &Vehicle {
        &self.vehicle
    }

    /// The counter it buys at.
    #[must_use]
    pub fn counter(&self) -> &Counter {
        &self.counter
    }

    /// What the counter has for a job, in the order of the letters.
    #[must_use]
    pub fn candidates(&self, job: Job) -> Vec<Candidate> {
        self.counter.candidates(&self.vehicle, job, self.seed)
    }

    /// Whether the car is in one piece: it can be started.
    ///
    /// # Errors
    /// [`NotDone`] with the part that is off.
    pub fn in_one_piece(&self) -> Result<(), NotDone> {
        self.bench
            .off
            .iter()
            .next()
            .map_or(Ok(()), |job| Err(NotDone::PartOff(*job)))
    }

    /// Whether what a check reads is on the car.
    ///
    /// # Errors
    /// [`NotDone`] with the part that is off.
    pub fn can_be_read(&self, check: Check) -> Result<(), NotDone> {
        let part = match check {
            Check::ScanPressure => Job::Transducer,
            Check::ScanEvaporator => Job::EvaporatorSensor,
            Check::ScanAmbient => Job::AmbientSensor,
            Check::VentTemperature(_) | Check::AirSpeed(_) => Job::Blower,
            Check::CoilResistance | Check::CoilCurrent => Job::Coil,
            Check::PartResistance(Part::Fuse) => Job::Fuse,
            Check::PartResistance(Part::RelayCoil | Part::RelayContacts) => Job::Relay,
            Check::ClutchGap => Job::Clutch,
            Check::BeltTension => Job::Belt,
            // The clutch carries the pulley, and the compressor the clutch.
            Check::PulleyLine if self.bench.off.contains(&Job::Clutch) => Job::Clutch,
            Check::PulleyLine => Job::Compressor,
            Check::Sense(_, Spot::CondenserFan) => Job::Fan,
            Check::Sense(_, Spot::ClutchHub) => Job::Clutch,
            Check::Sense(_, Spot::Belt) => Job::Belt,
            Check::Sense(_, Spot::Compressor) => Job::Compressor,
            Check::Sense(_, Spot::CondenserFace) => Job::Condenser,
            _ => return Ok(()),
        };
        if self.bench.off.contains(&part) {
            return Err(NotDone::Off(part));
        }
        Ok(())
    }

    /// Does a step of the repair on the session's car.
    ///
    /// # Errors
    /// [`NotDone`]; session and workshop are then to be taken as they were before.
    pub fn perform(
        &mut self,
        session: &mut Session,
        work: &Work,
    ) -> Result<Option<Shown>, NotDone> {
        let standing = session.setup().engine_rev_s <= 0.0;
        let at_rest = matches!(work, Work::ServiceData | Work::Compare(_) | Work::HandOver);
        if !standing && !at_rest {
            return Err(NotDone::EngineOn);
        }
        self.have(session, work)?;
        if opens_or_presses(work) && session.car().state().service.pump_on {
            return Err(NotDone::PumpOn);
        }
        let seconds = work.seconds();
        let shown = match work {
            Work::ServiceData => {
                self.bench.read_data = true;
                Some(Shown::ServiceData)
            }
            Work::Compare(job) => {
                self.bench.compared.insert(*job);
                Some(Shown::Compared(self.compared(*job)))
            }
            Work::Remove(job) => {
                self.remove(session, *job)?;
                None
            }
            Work::Fit(job, index) => return self.fit(session, *job, *index).map(Some),
            Work::Mend(job) => {
                session.car.fit(*job, &self.healthy, 0.0);
                self.bench.fitted.push(Fitted::mended(*job));
                self.bench.spent += self.counter.part(*job).map_or(0.0, |part| part.price);
                None
            }
            Work::CarryOver(job) => {
                if self.counter.carry(&self.vehicle, *job).is_none() {
                    return Err(NotDone::NothingToCarry(*job));
                }
                self.bench.carried.insert(*job);
                None
            }
            Work::Seal(job, size) => {
                self.seal(session, *job, *size)?;
                None
            }
            Work::Torque(job, n_m) => {
                self.torque(session, *job, *n_m);
                None
            }
            Work::Caps(on) => {
                session.car.cap(*on);
                None
            }
            Work::Flush(job) => {
                if !session.car().stands_open() {
                    return Err(NotDone::Closed);
                }
                let came_out = session.car.flush(*job);
                let clean = job.flushes_clean();
                self.bench.flushed.insert(*job);
                Some(Shown::Flushed(came_out, clean))
            }
            Work::AddOil(m3, kind) => {
                let foreign = self.is_foreign(kind)?;
                let share = m3 / self.vehicle.label.oil_m3;
                Some(Shown::Oil(
                    session.car.add_oil(share, foreign) * self.vehicle.label.oil_m3,
                ))
            }
            Work::DrainOil(m3) => {
                let share = -m3 / self.vehicle.label.oil_m3;
                let moved = session.car.add_oil(share, false);
                Some(Shown::Oil(moved * self.vehicle.label.oil_m3))
            }
            Work::CallIn => {
                if !high_voltage(session) {
                    return Err(NotDone::NoHighVoltage);
                }
                self.bench.qualified = true;
                None
            }
            Work::TurnHub => {
                if high_voltage(session) {
                    return Err(NotDone::NoHub);
                }
                session.car.turn_hub();
                None
            }
            Work::Press(gas, over_pa) => {
                self.can_hold(session)?;
                let to_pa = session.car.weather().pressure_pa() + over_pa;
                if !session.car.press(to_pa, *gas) {
                    return Err(NotDone::NotEmpty);
                }
                None
            }
            Work::LetOut => {
                if !session.car.is_pressed() || !session.car.let_out() {
                    return Err(NotDone::NothingPressed);
                }
                None
            }
            Work::HandOver => {
                self.in_one_piece()?;
                if session.car().is_pressed() {
                    return Err(NotDone::StillPressed);
                }
                None
            }
        };
        session.pass(seconds, &mut Nobody).map_err(NotDone::from)?;
        Ok(shown)
    }

    /// Whether the car has the part, and it is where the step needs it.
    fn have(&self, session: &Session, work: &Work) -> Result<(), NotDone> {
        let (job, off) = match work {
            Work::Remove(job) => (*job, Some(false)),
            Work::Compare(job) | Work::Fit(job, _) => (*job, Some(true)),
            Work::Mend(job) | Work::Torque(job, _) => (*job, Some(false)),
            Work::CarryOver(job) | Work::Seal(job, _) | Work::Flush(job) => (*job, None),
            _ => return Ok(()),
        };
        if !job.is_on(session.car().spec()) {
            return Err(NotDone::NoSuchPart(job));
        }
        match off {
            Some(true) if !self.bench.off.contains(&job) => Err(NotDone::StillOn(job)),
            Some(false) if self.bench.off.contains(&job) => Err(NotDone::Off(job)),
            _ => Ok(()),
        }
    }

    /// Whether gas that is pressed in would stay: nothing is off and no fitting is loose.
    fn can_hold(&self, session: &Session) -> Result<(), NotDone> {
        let car = session.car();
        let Some(place) = car.gapes_at() else {
            return Ok(());
        };
        let mut jobs = JOBS.iter().map(|info| info.job);
        let at = jobs.find(|job| job.way(car.spec()) == Some(place));
        match at {
            Some(job) if self.bench.off.contains(&job) => Err(NotDone::OpenAt(job)),
            Some(job) => Err(NotDone::LooseAt(job)),
            None => Err(NotDone::NotEmpty),
        }
    }

    /// What the part shows that is on the car now.
    fn on_car(&self, session: &Session, job: Job) -> Vec<(String, String)> {
        // What somebody here has put on is known; of the rest the car tells.
        let shown = self.bench.new.get(&job).cloned().unwrap_or_else(|| {
            let car = session.car().spec();
            self.counter.on_car(&self.vehicle, job, car, &self.healthy)
        });
        self.counter.used(job, shown)
    }

    fn remove(&mut self, session: &mut Session, job: Job) -> Result<(), NotDone> {
        // A part keeps its looks while another is put in its place.
        self.bench.old.insert(job, self.on_car(session, job));
        // It has not lain beside the counter's yet.
        self.bench.compared.remove(&job);
        if let Some(place) = job.way(session.car().spec()) {
            session.car.open_at(place);
            self.bench.opened = true;
            self.blow_out(session)?;
        }
        self.bench.off.insert(job);
        Ok(())
    }

    /// Lets a loop that was opened under pressure blow itself out.
    fn blow_out(&self, session: &mut Session) -> Result<(), NotDone> {
        for _ in 0..30 {
            session
                .pass(BLOWING_S, &mut Nobody)
                .map_err(NotDone::from)?;
            let car = session.car();
            if car.state().service.thin {
                break;
            }
        }
        Ok(())
    }

    fn fit(&mut self, session: &mut Session, job: Job, index: usize) -> Result<Shown, NotDone> {
        let candidates = self.candidates(job);
        let Some(candidate) = candidates.get(index) else {
            return Err(NotDone::NoSuchCandidate(job, candidates.len()));
        };
        let seconds = Work::Fit(job, index).seconds();
        let mut new = self.healthy.clone();
        match &candidate.outcome {
            OtherOutcome::Misfit(why) => {
                // It is found out when it is half on, and goes back to the counter.
                session
                    .pass(0.5 * seconds, &mut Nobody)
                    .map_err(NotDone::from)?;
                self.bench.misfits += 1;
                return Ok(Shown::DoesNotFit(why.clone()));
            }
            OtherOutcome::Fits(turns) => {
                for (knob, value) in turns {
                    knob.turn(&mut new, *value);
                }
            }
            OtherOutcome::Version(id) => {
                // The version's own data: the individual's tolerances are those of the part it came with.
                if let Some(spec) = self.vehicle.with_condenser(id) {
                    new.condenser = spec.condenser;
                }
            }
        };
        let part = self.counter.part(job);
        let carry = self.counter.carry(&self.vehicle, job);
        let delivered = part.map_or(0.0, |part| part.oil_delivered_share);
        let forgotten = carry.filter(|_| !self.bench.carried.contains(&job));
        let TakenOff { oil_share, .. } = session.car.fit(job, &new, delivered);
        if let Some(carry) = forgotten {
            session.car.spoil(&carry.without);
        }
        self.bench.off.remove(&job);
        self.bench.spent += candidate.price;
        self.bench.new.insert(job, candidate.features.clone());
        self.bench.fitted.push(Fitted {
            job,
            right: candidate.right,
            why: candidate.why.clone(),
            compared: self.bench.compared.contains(&job),
            forgotten: forgotten.map(|carry| carry.what.clone()),
        });
        if job.info().kind == Kind::InLoop {
            let seal = self.bench.waiting_seals.remove(&job).unwrap_or(Seal::Old);
            let joint = Joint {
                seal,
                ..Joint::by_hand()
            };
            self.make(session, job, joint);
        }
        session.pass(seconds, &mut Nobody).map_err(NotDone::from)?;
        Ok(if oil_share > 0.0 && job == Job::Compressor {
            Shown::OilInOldPart(oil_share * self.vehicle.label.oil_m3)
        } else {
            Shown::Fits
        })
    }

    /// A joint of a part as it was made: what it lets out the car shows.
    fn make(&mut self, session: &mut Session, job: Job, joint: Joint) {
        self.bench.joints.insert(job, joint);
        if let Some(place) = job.way(session.car().spec()) {
            let leak_m2 = Leak::area_of_rate_m2(joint.leak_g_per_year());
            session.car.shut_at(place, leak_m2);
        }
    }

    fn seal(&mut self, session: &mut Session, job: Job, size: SealSize) -> Result<(), NotDone> {
        let box_of_seals = &self.counter.seals;
        if !box_of_seals.iter().any(|one| size.is(*one)) {
            return Err(NotDone::NoSuchSeal(size, box_of_seals.clone()));
        }
        let joint = self.vehicle.service.joint(job);
        let right = joint.is_some_and(|joint| size.is(joint.seal));
        let seal = if right { Seal::Right } else { Seal::Wrong };
        if self.bench.off.contains(&job) {
            self.bench.waiting_seals.insert(job, seal);
            return Ok(());
        }
        let Some(place) = job.way(session.car().spec()) else {
            return Ok(());
        };
        session.car.open_at(place);
        self.bench.opened = true;
        self.blow_out(session)?;
        session.car.unseal(place);
        let joint = Joint {
            seal,
            ..Joint::by_hand()
        };
        self.make(session, job, joint);
        Ok(())
    }

    fn torque(&mut self, session: &mut Session, job: Job, n_m: f64) {
        let asked = self.vehicle.service.joint(job).map(|part| part.torque_n_m);
        let tightness = n_m / asked.unwrap_or(n_m);
        // A joint nobody has touched has the seal it left the works with.
        let seal = self
            .bench
            .joints
            .get(&job)
            .map_or(Seal::Right, |joint| joint.seal);
        self.make(session, job, Joint { seal, tightness });
    }

    /// Whether an oil is of another kind than the label's.
    ///
    /// # Errors
    /// [`NotDone`] when the shelf has no such oil.
    pub fn is_foreign(&self, kind: &str) -> Result<bool, NotDone> {
        let known = self.counter.oils.iter().find(|oil| oil.id == kind);
        let Some(known) = known else {
            let ids = self.counter.oils.iter().map(|oil| oil.id.clone());
            return Err(NotDone::NoSuchOil(kind.to_owned(), ids.collect()));
        };
        let own = self.counter.oil_of(&self.vehicle.label.oil);
        Ok(own.is_none_or(|own| own.id != known.id))
    }
}

/// Whether the compressor has a motor at high voltage.
pub(crate) fn high_voltage(session: &Session) -> bool {
    session.car().spec().compressor.turned.motor().is_some()
}
