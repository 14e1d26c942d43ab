//! A session with a learner: readings with their noise, the notebook, the shop clock and the suspects.

mod not_taken;
mod worked;

pub use not_taken::NotTaken;
pub use worked::Worked;
use worked::is_work;

use std::collections::BTreeMap;
use std::sync::Arc;

use scenarios::{Bank, Case};
use sim_core::air;
use sim_core::fluid::{Fluid, FluidError};
use sim_core::instruments::{Check, Line, Reading, Spot, read_together};
use sim_core::loop_model::layout::Role;
use sim_core::random::Draws;
use sim_core::setup::Setup;

use crate::action::{
    Action, Conclusion, Control, EngineSpeed, GaugeStep, Gear, NO_FAULT, Warmth, Work,
};
use crate::advice::{Advice, advice_of};
use crate::aftermath::{Turned, slips_that_came};
use crate::safety::{Slip, slips_of};
use crate::session::{Gauges, Session};
use crate::workshop::{Shown, Workshop, hazards};

/// A reading in the notebook.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// Its number, from 1.
    pub number: usize,
    /// Index of the action that took it, among the attempt's actions.
    pub action: usize,
    /// Shop clock when it was taken, s.
    pub at_s: f64,
    /// What was read.
    pub reading: Reading,
    /// What was checked, in words that fit this car.
    pub words: String,
    /// How the car was set up.
    pub setup: Setup,
}

/// What an action gave the learner.
#[derive(Clone, Debug, PartialEq)]
pub struct Outcome {
    /// Notes it added to the notebook.
    pub notes: Vec<Note>,
    /// Safety slips it was.
    pub slips: Vec<Slip>,
    /// A note that goes with the work, the first time.
    pub advice: Option<Advice>,
    /// What was heard where the work opened the loop.
    pub opened: Option<Opened>,
    /// What a step of the repair showed.
    pub shown: Option<Shown>,
    /// Shop clock afterwards, s.
    pub clock_s: f64,
}

/// A loop opened to the air by work on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opened {
    /// Refrigerant that got out while the work took its time, kg.
    pub escaped_kg: f64,
    /// Pressure behind the opening when it is over, above that of the air around, Pa.
    pub over_pa: f64,
    /// The opening stays.
    pub stays_open: bool,
    /// Pressure behind it before, above that of the air around, Pa.
    pub before_pa: f64,
    /// What was behind it was a gas pressed in to find leaks.
    pub test_gas: bool,
}

/// A session with a learner.
#[derive(Clone, Debug)]
pub struct Bay {
    session: Session,
    seed: u64,
    /// What the shop's scales err by in this session, in standard deviations.
    scales_deviate: f64,
    /// Ids and plain names, spelt alike, with the id each stands for.
    known_faults: Vec<(String, String)>,
    actions: Vec<Action>,
    notes: Vec<Note>,
    worked: Vec<Worked>,
    suspects: BTreeMap<String, f64>,
    worn: Vec<Gear>,
    slips: Vec<Slip>,
    advised: Vec<Advice>,
    conclusion: Option<Conclusion>,
    workshop: Workshop,
    handed_over: bool,
}

/// A name as ids are spelt: small letters and figures, a hyphen between words.
#[must_use]
pub fn spelt(name: &str) -> String {
    let small = name.to_lowercase();
    let words = small.split(|c: char| !c.is_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    words.join("-")
}

/// What of a charge must stay out for anyone to notice, kg.
const STOPPED_SHORT_KG: f64 = 0.01;
/// What a gauge set must be off by before its needle shows it, Pa: half of its step.
const SHOWS_FROM_PA: f64 = 2.5e3;
/// First stream of the seed that readings draw from; lower ones make the car.
const READING_STREAM: u64 = 1000;
/// Stream of the seed that the error of the scales is drawn from.
const SCALES_STREAM: u64 = 999;

impl Bay {
    /// A session on a case's car.
    ///
    /// # Errors
    /// [`FluidError`] when the car's refrigerant is not known.
    pub fn new(bank: &Bank, case: &Case) -> Result<Self, FluidError> {
        let fluid = Arc::new(Fluid::by_name(&case.healthy.refrigerant)?);
        let modes = || bank.catalogue().modes();
        let components = || bank.components().iter();
        // Ids come first: a mode whose plain name is a component's id would be the component.
        let ids = modes()
            .map(|mode| &mode.id)
            .chain(components().map(|one| &one.id));
        let names = modes()
            .map(|mode| (&mode.name, &mode.id))
            .chain(components().map(|one| (&one.name, &one.id)));
        let known_faults = ids
            .map(|id| (id.clone(), id.clone()))
            .chain(names.map(|(name, id)| (spelt(name), id.clone())))
            .chain(
                [NO_FAULT, "nothing-is-broken", "nothing-broken"]
                    .map(|name| (name.to_owned(), NO_FAULT.to_owned())),
            )
            .collect();
        Ok(Self {
            session: Session::of(case, fluid),
            seed: case.seed,
            scales_deviate: Draws::new(case.seed, SCALES_STREAM).within_tolerance(),
            known_faults,
            actions: Vec::new(),
            notes: Vec::new(),
            worked: Vec::new(),
            suspects: BTreeMap::new(),
            worn: Vec::new(),
            slips: Vec::new(),
            advised: Vec::new(),
            conclusion: None,
            workshop: Workshop::of(case, bank.counter()),
            handed_over: false,
        })
    }

    /// Carries an action out.
    ///
    /// # Errors
    /// [`NotTaken`]; the session is then as it was before.
    pub fn act(&mut self, action: &Action) -> Result<Outcome, NotTaken> {
        self.in_its_place(action)?;
        let action = &self.resolved(action)?;
        let index = self.actions.len();
        let mut slips = slips_of(action, &self.session, &self.worn);
        if let Action::Work(work) = action {
            slips.extend(hazards(work, &self.session, &self.workshop, &self.worn));
        }
        let advice =
            advice_of(action, &self.session).filter(|advice| !self.advised.contains(advice));
        let before = self.session.clone();
        let mut workshop = self.workshop.clone();
        let mut turned = Turned::default();
        let done = match action {
            Action::Work(work) => workshop
                .perform(&mut self.session, work)
                .map(|shown| (Vec::new(), shown))
                .map_err(NotTaken::NotDone),
            _ => self
                .session
                .perform(action, &mut turned)
                .map(|truths| (truths, self.seen_at_the_machine(action, &before)))
                .map_err(NotTaken::Refused),
        };
        let (truths, shown) = match done {
            Ok(done) => done,
            Err(why) => {
                self.session = before;
                return Err(why);
            }
        };
        self.workshop = workshop;
        let sessions = (&before, &self.session);
        slips.extend(slips_that_came(action, sessions, turned, &self.slips));
        // One stream an action: a reading does not depend on how many were taken before it.
        let mut draws = Draws::new(self.seed, READING_STREAM + index as u64);
        let clock_s = self.clock_s();
        let opened = opened_by(action, &before, &self.session);
        let notes: Vec<Note> = read_together(&truths, self.scales_deviate, &mut draws)
            .into_iter()
            .enumerate()
            .map(|(offset, reading)| Note {
                number: self.notes.len() + offset + 1,
                action: index,
                at_s: clock_s,
                reading,
                words: self.words_of(reading.check),
                setup: self.session.setup().clone(),
            })
            .collect();
        self.notes.extend(notes.iter().cloned());
        if is_work(action) {
            self.worked.push(Worked {
                action: index,
                at_s: clock_s,
                shown: shown.clone(),
                opened,
            });
        }
        for slip in &mut slips {
            slip.at_s = clock_s;
        }
        self.slips.extend(slips.iter().cloned());
        self.advised.extend(advice);
        match action {
            Action::Wear(gear) if !self.worn.contains(gear) => self.worn.push(*gear),
            Action::Suspect { mode, confidence } if *confidence > 0.0 => {
                self.suspects.insert(mode.clone(), *confidence);
            }
            Action::Suspect { mode, .. } => {
                self.suspects.remove(mode);
            }
            Action::Conclude(conclusion) => self.conclusion = Some(conclusion.clone()),
            Action::Work(Work::HandOver) => self.handed_over = true,
            _ => {}
        }
        self.actions.push(action.clone());
        Ok(Outcome {
            notes,
            slips,
            advice,
            opened,
            shown,
            clock_s,
        })
    }

    /// What anyone sees at the machine: oil it has separated, and a cylinder that gives no more.
    fn seen_at_the_machine(&self, action: &Action, before: &Session) -> Option<Shown> {
        let (now, before) = (self.session.car().state(), before.car().state());
        match action {
            Action::Recover(_) => {
                let share = now.service.recovered_oil - before.service.recovered_oil;
                let m3 = share * self.workshop.vehicle().label.oil_m3;
                Some(Shown::OilRecovered(m3))
            }
            Action::Charge(_, kg) => {
                let went_in = now.refrigerant.charged_kg - before.refrigerant.charged_kg;
                (kg - went_in > STOPPED_SHORT_KG).then_some(Shown::ChargeStopped)
            }
            Action::WarmCylinder(Warmth::Flame) => Some(Shown::FlameStopped),
            Action::WarmCylinder(Warmth::Water) => {
                Some(Shown::CylinderWarm(self.session.car().cylinder_k()))
            }
            _ => None,
        }
    }

    /// Whether it is time for an action: first the diagnosis, then the repair.
    fn in_its_place(&self, action: &Action) -> Result<(), NotTaken> {
        let concluded = self.conclusion.is_some();
        match action {
            _ if self.handed_over => Err(NotTaken::HandedOver),
            Action::Suspect { .. } | Action::Hint | Action::Conclude(_) if concluded => {
                Err(NotTaken::Concluded)
            }
            Action::Check(check) => self.workshop.can_be_read(*check).map_err(NotTaken::NotDone),
            Action::Work(Work::ServiceData) => Ok(()),
            Action::Work(_) if !concluded => Err(NotTaken::NotConcluded),
            Action::Turn(Control::Engine(speed)) if *speed != EngineSpeed::Off => {
                self.workshop.in_one_piece().map_err(NotTaken::NotDone)
            }
            Action::Turn(Control::Road(_)) => {
                self.workshop.in_one_piece().map_err(NotTaken::NotDone)
            }
            _ => Ok(()),
        }
    }

    /// The id of a fault, a component or `no-fault`, by that id or by its plain name.
    ///
    /// # Errors
    /// [`NotTaken`] with the name somebody probably meant.
    pub fn fault_id(&self, name: &str) -> Result<String, NotTaken> {
        let wanted = spelt(name);
        if let Some((_, id)) = self.known_faults.iter().find(|(known, _)| *known == wanted) {
            return Ok(id.clone());
        }
        let names = self.known_faults.iter().map(|(known, _)| known.as_str());
        let nearest = scenarios::nearest(&wanted, names).and_then(|near| {
            let mut known = self.known_faults.iter();
            known.find(|(known, _)| known == near)
        });
        Err(NotTaken::UnknownFault {
            name: name.to_owned(),
            nearest: nearest.map(|(_, id)| id.clone()),
        })
    }

    /// The action with every fault by its id, as attempts are kept.
    ///
    /// # Errors
    /// [`NotTaken`] where it names a fault or a reading that there is not.
    pub fn resolved(&self, action: &Action) -> Result<Action, NotTaken> {
        match action {
            Action::Suspect { mode, confidence } => Ok(Action::Suspect {
                mode: self.fault_id(mode)?,
                confidence: *confidence,
            }),
            Action::Conclude(conclusion) => {
                let fault = self.fault_id(&conclusion.fault)?;
                let cause = conclusion.cause.as_ref();
                let cause = cause.map(|cause| self.fault_id(cause)).transpose()?;
                let count = self.notes.len();
                let mut because = conclusion.because.iter();
                match because.find(|number| **number < 1 || **number > count) {
                    Some(number) => Err(NotTaken::NoSuchNote {
                        number: *number,
                        count,
                    }),
                    None => Ok(Action::Conclude(Conclusion {
                        fault,
                        cause,
                        because: conclusion.because.clone(),
                    })),
                }
            }
            _ => Ok(action.clone()),
        }
    }

    /// Shop clock, s.
    #[must_use]
    pub fn clock_s(&self) -> f64 {
        self.session.car().state().time_s
    }

    /// Actions taken so far: with case and seed, the whole attempt.
    #[must_use]
    pub fn actions(&self) -> &[Action] {
        &self.actions
    }

    /// The notebook.
    #[must_use]
    pub fn notes(&self) -> &[Note] {
        &self.notes
    }

    /// Work that was done, in order.
    #[must_use]
    pub fn worked(&self) -> &[Worked] {
        &self.worked
    }

    /// Suspects with the confidence stated last.
    #[must_use]
    pub fn suspects(&self) -> &BTreeMap<String, f64> {
        &self.suspects
    }

    /// Protection that is worn.
    #[must_use]
    pub fn worn(&self) -> &[Gear] {
        &self.worn
    }

    /// Safety slips so far.
    #[must_use]
    pub fn slips(&self) -> &[Slip] {
        &self.slips
    }

    /// What was concluded.
    #[must_use]
    pub fn conclusion(&self) -> Option<&Conclusion> {
        self.conclusion.as_ref()
    }

    /// The car in the bay.
    #[must_use]
    pub fn session(&self) -> &Session {
        &self.session
    }

    /// The workshop, with what has been done to the car.
    #[must_use]
    pub fn workshop(&self) -> &Workshop {
        &self.workshop
    }

    /// Whether the car has been given back.
    #[must_use]
    pub fn handed_over(&self) -> bool {
        self.handed_over
    }

    /// How the car is set up.
    #[must_use]
    pub fn setup(&self) -> &Setup {
        self.session.setup()
    }

    /// Where the gauge set is.
    #[must_use]
    pub fn gauges(&self) -> Gauges {
        self.session.gauges()
    }

    /// Highest blower step of this car.
    #[must_use]
    pub fn top_blower_step(&self) -> usize {
        self.session.car().spec().air_box.top_step()
    }

    /// Whether this car has a line.
    #[must_use]
    pub fn has_line(&self, line: Line) -> bool {
        line.role(self.session.car().layout()).is_some()
    }

    /// Whether this car has a spot.
    #[must_use]
    pub fn has_spot(&self, spot: Spot) -> bool {
        spot.is_on(self.session.car().spec())
    }

    /// Plain words for a check on this car.
    #[must_use]
    pub fn words_of(&self, check: Check) -> String {
        check.words_on(self.session.car().spec())
    }

    /// How much less the gauge set showed than one zeroed in this bay, Pa (more: negative), where it
    /// was read before it was zeroed and a gauge can show the difference.
    #[must_use]
    pub fn gauges_off_pa(&self) -> Option<f64> {
        let first = |steps: &[GaugeStep]| {
            let is_one =
                |action: &Action| matches!(action, Action::Gauges(step) if steps.contains(step));
            self.actions.iter().position(is_one)
        };
        let read = first(&[GaugeStep::Read, GaugeStep::Watch])?;
        let zeroed = first(&[GaugeStep::Zero]).is_some_and(|zeroed| zeroed < read);
        let off_pa = air::atmospheric_pressure_pa(0.0) - self.session.car().weather().pressure_pa();
        (!zeroed && off_pa.abs() >= SHOWS_FROM_PA).then_some(off_pa)
    }

    /// Refrigerant the learner has let into the air, kg.
    #[must_use]
    pub fn refrigerant_lost_kg(&self) -> f64 {
        self.session.car().state().refrigerant.lost_kg
    }
}

/// What opening the loop has let out, by the session before and after it.
fn opened_by(action: &Action, before: &Session, after: &Session) -> Option<Opened> {
    let (role, stays_open) = match action {
        Action::Loosen(line) => (line.role(after.car().layout())?, true),
        // New seals laid ready for a part that is off open nothing.
        Action::Work(Work::Seal(..)) if before.car().stands_open() => return None,
        Action::Work(Work::Remove(job) | Work::Seal(job, _)) => {
            let spec = before.car().spec();
            (job.way(spec)?.role(spec), true)
        }
        Action::Gauges(GaugeStep::Disconnect) if before.gauges() == Gauges::Open => {
            (Role::SuctionLine, false)
        }
        _ => return None,
    };
    let lost_kg = |session: &Session| session.car().state().refrigerant.lost_kg;
    let over_pa =
        |session: &Session| session.car().pressure_pa(role) - session.car().weather().pressure_pa();
    Some(Opened {
        before_pa: over_pa(before),
        test_gas: before.car().is_pressed(),
        escaped_kg: lost_kg(after) - lost_kg(before),
        over_pa: over_pa(after),
        stays_open,
    })
}
