//! A candidate's sitting in memory: a copy of what the journal has, brought up to date before it is used.

use std::sync::{Arc, Mutex};

use scenarios::units::UnitSystem;

use super::Room;
use super::progress::more_ms;
use crate::action::Action;
use crate::assess::{Given, MORE_TIME, Sitting, Step, Taken, minutes_ms};
use crate::cli::coach::hint_now;
use crate::cli::examples::in_units;
use crate::invigilate::kept::{InOffice, Keeper, Kept, NotTaken, take};
use crate::invigilate::open::{Attempt, begin, follow, gone_on, sitting_id};
use crate::page::said::lines_of;
use crate::page::said::{MEANWHILE, Said};
use crate::page::shelf::lock;
use crate::page::worker::Asked;
use crate::records::Entry;
use crate::records::entry::FINISHED;
use crate::records::office::now_ms;

/// How a record says that a step is not the candidate's.
pub(super) const BY_THE_OFFICE: &str = "by whoever looked after the sitting";
/// What a candidate is told of that.
const HANDED_IN_FOR: &str = "Whoever looks after the sitting has handed it in.";
/// Whom the office has no name for.
const NO_NAME: &str = "somebody without a name";

/// A sitting, and what its candidate was told last.
#[derive(Debug)]
pub(super) struct Seat {
    pub sitting: Sitting<'static>,
    pub kept: Kept,
    /// What the last step showed, or why it was not taken.
    pub said: Said,
    /// An answer that was refused, as it was typed.
    pub typed: String,
    /// The hint that was asked for last at this task.
    pub hint: Option<Asked>,
    /// The candidate's name.
    pub name: String,
    /// How often it was given more time: entries that no page counts as steps.
    more: u64,
    /// The body of its last entry, once it is marked.
    pub finished: Option<String>,
    /// A step could not be kept: this copy is ahead of the journal, and nobody may see it.
    spoilt: bool,
}

impl Room {
    /// A candidate's sitting as the journal has it now; none where it has not begun.
    pub(super) fn seat(
        &self,
        candidate: &str,
        attempt: u32,
    ) -> Result<Option<Arc<Mutex<Seat>>>, String> {
        let id = sitting_id(&self.form.id, candidate, attempt);
        let entries = self.doors.office.journal().take_up(&id);
        let entries = entries.map_err(|why| why.to_string())?;
        if entries.is_empty() {
            return Ok(None);
        }
        if let Some(seat) = self.seats.get(&id) {
            let is_up = {
                let mut held = lock(&seat);
                let known = usize::try_from(held.kept.entries).unwrap_or(usize::MAX);
                let new = entries.get(known..);
                match new.filter(|_| !held.spoilt) {
                    Some([]) => true,
                    // Another process has gone on with it.
                    Some(new) => held.follow(new).is_ok(),
                    // The step that was kept meanwhile is in the copy, too.
                    None => !held.spoilt,
                }
            };
            if is_up {
                return Ok(Some(seat));
            }
            self.seats.take_off(&id);
        }
        let (sitting, kept) = gone_on(self.library, &self.doors.office, &id, &entries)?;
        let mut seat = Seat::new(sitting, kept, self.name_of(candidate)?);
        seat.note(&entries);
        Ok(Some(self.seats.put(&id, seat)))
    }

    /// Begins a sitting, unless it has begun.
    pub(super) fn begin(
        &self,
        (candidate, number): (&str, u32),
        units: UnitSystem,
    ) -> Result<(), String> {
        if self.seat(candidate, number)?.is_some() {
            return Ok(());
        }
        let attempt = Attempt {
            candidate,
            number,
            units,
        };
        let begun = begin(
            (self.library, self.form),
            &self.doors.office,
            &attempt,
            now_ms(),
        );
        let (sitting, kept) = match begun {
            Ok(begun) => begun,
            // Somebody else may have begun it in this very moment.
            Err(why) => {
                return match self.seat(candidate, number)? {
                    Some(_) => Ok(()),
                    None => Err(why),
                };
            }
        };
        let id = kept.sitting.clone();
        let seat = Seat::new(sitting, kept, self.name_of(candidate)?);
        self.seats.put(&id, seat);
        Ok(())
    }

    /// Takes a step where the page that asked for it knew of every one before; a request that comes twice is carried
    /// out once. Whether it was taken now.
    ///
    /// # Errors
    /// It could not be kept: nothing came of it that anybody was shown.
    pub(super) fn step(
        self: &Arc<Self>,
        seat: &mut Seat,
        step: &Step,
        known: u64,
    ) -> Result<bool, String> {
        if known != seat.steps() {
            if !seat.was_taken(step) {
                seat.said = Said::refused(MEANWHILE);
            }
            return Ok(false);
        }
        let task = seat.sitting.at();
        let mut keeper = InOffice {
            office: &self.doors.office,
            kept: &mut seat.kept,
        };
        match take(&mut seat.sitting, &mut keeper, step, now_ms()) {
            Ok(taken) => {
                seat.said = Said::done(seat.told(&taken));
                if *step == Step::Act(Action::Hint) {
                    seat.hint = self.hint(seat);
                }
                if seat.sitting.at() != task {
                    seat.hint = None;
                }
                if seat.sitting.is_handed_in() {
                    self.marker.ask(&seat.kept.sitting);
                }
                Ok(true)
            }
            Err(NotTaken::Refused(why)) => {
                let why = in_units(&why.to_string(), seat.sitting.units());
                seat.said = Said::refused(why);
                Ok(false)
            }
            Err(NotTaken::NotKept(why)) => {
                seat.spoilt = true;
                self.seats.take_off(&seat.kept.sitting);
                Err(why)
            }
        }
    }
}

/// What a candidate is told of time that they were given.
fn given_more(ms: i64) -> String {
    format!("You have been given {} min more.", ms / 60_000)
}

impl Room {
    /// A step of whoever looks after a sitting: more time, or its end, with a word for the record on who took it.
    ///
    /// # Errors
    /// A sentence where it is refused, or cannot be kept.
    pub(super) fn office_step(&self, seat: &mut Seat, step: &Step) -> Result<(), String> {
        let task = seat.sitting.at();
        let taken = seat.sitting.take(step, now_ms());
        let taken = taken.map_err(|why| why.to_string())?;
        let (kind, mut words) = step.written();
        if words.is_empty() {
            BY_THE_OFFICE.clone_into(&mut words);
        }
        let mut keeper = InOffice {
            office: &self.doors.office,
            kept: &mut seat.kept,
        };
        if let Err(why) = keeper.keep(task, kind, words, now_ms()) {
            seat.spoilt = true;
            self.seats.take_off(&seat.kept.sitting);
            return Err(why);
        }
        seat.more += u64::from(matches!(step, Step::MoreTime(_)));
        seat.said = Said::done(match taken {
            Taken::HandedIn => HANDED_IN_FOR.to_owned(),
            taken => seat.told(&taken),
        });
        if seat.sitting.is_handed_in() {
            self.marker.ask(&seat.kept.sitting);
        }
        Ok(())
    }

    /// What somebody is called.
    pub(super) fn name_of(&self, candidate: &str) -> Result<String, String> {
        let people = self.doors.office.store().people();
        let mut people = people.map_err(|why| why.to_string())?.into_iter();
        let person = people.find(|person| person.id == candidate);
        Ok(person.map_or_else(|| NO_NAME.to_owned(), |person| person.name))
    }

    /// Has a hint worked out for the car that a candidate is at.
    fn hint(self: &Arc<Self>, seat: &Seat) -> Option<Asked> {
        let bay = seat.sitting.bay()?.clone();
        let Given::Case { case, .. } = seat.sitting.given().get(seat.sitting.at() - 1)? else {
            return None;
        };
        let (room, case) = (Arc::clone(self), case.clone());
        Some(self.worker.hint(move || {
            hint_now(
                (&room.library.bank, &case),
                &mut None,
                &room.tours,
                &(),
                &bay,
            )
        }))
    }
}

impl Seat {
    fn new(sitting: Sitting<'static>, kept: Kept, name: String) -> Self {
        Self {
            sitting,
            kept,
            said: Said::default(),
            typed: String::new(),
            hint: None,
            name,
            more: 0,
            finished: None,
            spoilt: false,
        }
    }

    fn follow(&mut self, new: &[Entry]) -> Result<(), String> {
        follow(&mut self.sitting, new)?;
        self.kept.entries += new.len() as u64;
        self.note(new);
        // Time that was given changes nothing of what stands on the page.
        if new.iter().any(|entry| entry.kind != MORE_TIME) {
            self.said = Said::default();
            self.hint = None;
        }
        if let Some(given) = new.iter().rfind(|entry| entry.kind == MORE_TIME) {
            self.said = Said::done(given_more(more_ms(given)));
        }
        Ok(())
    }

    /// Steps taken so far, as the forms of a page know them.
    pub fn steps(&self) -> u64 {
        self.kept.entries - self.more
    }

    fn note(&mut self, entries: &[Entry]) {
        let more = entries.iter().filter(|entry| entry.kind == MORE_TIME);
        self.more += more.count() as u64;
        let end = entries.iter().find(|entry| entry.kind == FINISHED);
        if let Some(end) = end {
            self.finished = Some(end.body.clone());
        }
    }

    /// Whether a step is the one taken last.
    fn was_taken(&self, step: &Step) -> bool {
        match (step, self.sitting.bay()) {
            (Step::Act(action), Some(bay)) => bay
                .resolved(action)
                .is_ok_and(|action| bay.actions().last() == Some(&action)),
            // Answers and the end of a task lead to the next page, where nothing is pressed twice.
            _ => true,
        }
    }

    fn told(&self, taken: &Taken) -> String {
        let over = |given: Option<&Given>| {
            let Some(Given::Case { actions, .. }) = given else {
                return true;
            };
            // The bay is still that of the task just done where another one waits.
            self.sitting
                .bay()
                .is_none_or(|bay| bay.actions().len() != actions.len())
        };
        match taken {
            Taken::Acted(outcome) => {
                let waits = self.sitting.given().get(self.sitting.at() - 1);
                if over(waits) {
                    return "That task is done.".to_owned();
                }
                let Some(bay) = self.sitting.bay() else {
                    return String::new();
                };
                lines_of(outcome, bay, self.sitting.units())
            }
            Taken::Answered => "Your answer is kept.".to_owned(),
            Taken::Left => "That task was left as it stood.".to_owned(),
            Taken::HandedIn => String::new(),
            Taken::MoreTime(minutes) => given_more(minutes_ms(*minutes)),
        }
    }
}
