//! A practice session on the page: the car, what was done, and the debrief that is being made of it.

use std::sync::{Arc, Mutex};

use scenarios::units::UnitSystem;
use scenarios::{Bank, Case};

use super::{ID_BYTES, Page, Shared, drawn};
use crate::action::Action;
use crate::author::compared::idling;
use crate::bay::Bay;
use crate::cli::chart::Cycles;
use crate::cli::coach::hint_now;
use crate::cli::examples::in_units;
use crate::grade::{Grade, grade};
use crate::kept::{Kept, Whose};
use crate::page::said::lines_of;
use crate::page::said::{MEANWHILE, Said};
use crate::page::shelf::lock;
use crate::page::typed;
use crate::page::worker::Asked;

/// A session.
#[derive(Debug)]
pub(in crate::page) struct Desk {
    pub case: Case,
    pub bay: Bay,
    pub units: UnitSystem,
    kept: Kept,
    /// What the last step showed, or why it was not taken.
    pub said: Said,
    /// The hint that was asked for last.
    pub hint: Option<Asked>,
    pub debrief: Debrief,
}

/// How far the debrief is.
#[derive(Clone, Debug, Default)]
pub(in crate::page) enum Debrief {
    /// Nobody has asked for it.
    #[default]
    NotAsked,
    /// Other cars are run.
    InTheMaking,
    /// It is made.
    Made(Arc<Told>),
    /// It cannot be made, and why.
    Failed(String),
}

/// A grade, and the cycle of the car beside the same car healthy.
#[derive(Debug)]
pub(in crate::page) struct Told {
    pub grade: Grade,
    /// A picture; none where the car cannot be run.
    pub cycle: Option<String>,
}

/// A session that was begun.
pub(in crate::page) struct BegunSession {
    pub id: String,
    pub whose: Whose,
    /// When something was done in it last.
    pub changed: std::time::SystemTime,
    pub steps: usize,
    /// What was done last.
    pub last: Option<String>,
    /// Its mark of 100, where its debrief was made.
    pub mark: Option<String>,
}

/// Said once the debrief has been asked for.
const OVER: &str = "the debrief has been asked for, and nothing is done at this car any more.";
/// Ending of the file with a session's mark: a page that tells of many does not mark them all again.
const MARK: &str = "mark";

/// Why a session cannot be opened.
#[derive(Debug)]
pub(super) enum NoDesk {
    /// There is none of this name.
    Unknown,
    /// A sentence.
    Failed(String),
}

impl Page {
    /// Begins a session on a case; returns its id.
    pub(super) fn begin(&self, whose: &Whose) -> Result<String, String> {
        let id = drawn::<ID_BYTES>().map_err(|why| why.to_string())?;
        let desk = Desk::begin(&self.shared.bank, whose, |whose| {
            let file = self.file(&id).ok_or("no file is called so")?;
            Kept::begin(&file, whose).map_err(|why| why.to_string())
        })?;
        self.desks.put(&id, desk);
        Ok(id)
    }

    /// A session by its id: from memory, or played again from its file.
    pub(super) fn desk(&self, id: &str) -> Result<Arc<Mutex<Desk>>, NoDesk> {
        if let Some(desk) = self.desks.get(id) {
            return Ok(desk);
        }
        let file = self.file(id).filter(|file| file.exists());
        let file = file.ok_or(NoDesk::Unknown)?;
        let (kept, whose, actions) =
            Kept::go_on(&file).map_err(|why| NoDesk::Failed(why.to_string()))?;
        let desk = Desk::begin(&self.shared.bank, &whose, |_| Ok(kept));
        let mut desk = desk.map_err(NoDesk::Failed)?;
        for action in &actions {
            let done = desk.bay.act(action);
            done.map_err(|why| NoDesk::Failed(format!("`{action}` was not taken: {why}")))?;
        }
        Ok(self.desks.put(id, desk))
    }

    /// The sessions there are, the latest first.
    pub(in crate::page) fn begun(&self) -> Vec<BegunSession> {
        let folder = std::fs::read_dir(&self.sessions);
        let mut found: Vec<BegunSession> = folder
            .into_iter()
            .flatten()
            .flatten()
            .filter_map(|entry| {
                let name = entry.file_name().into_string().ok()?;
                let id = name.strip_suffix(".session")?.to_owned();
                let file = self.file(&id)?;
                let text = std::fs::read_to_string(&file).ok()?;
                let (whose, actions) = crate::kept::read(&text).ok()?;
                let changed = entry.metadata().and_then(|data| data.modified()).ok()?;
                let mark = std::fs::read_to_string(file.with_extension(MARK)).ok();
                Some(BegunSession {
                    id,
                    whose,
                    changed,
                    steps: actions.len(),
                    last: actions.last().map(Action::to_string),
                    mark: mark.map(|mark| mark.trim().to_owned()),
                })
            })
            .collect();
        found.sort_by(|a, b| b.changed.cmp(&a.changed).then(a.id.cmp(&b.id)));
        found.truncate(MOST_LISTED);
        found
    }

    /// Has something done at a session's car; whether it was. A hint that it asks for is worked out in the background.
    pub(super) fn act(self: &Arc<Self>, desk: &mut Desk, words: &str, known_steps: u64) -> bool {
        let done = desk.act(words, known_steps);
        if done && desk.bay.actions().last() == Some(&Action::Hint) {
            self.hint(desk);
        }
        done
    }

    fn hint(self: &Arc<Self>, desk: &mut Desk) {
        let (page, case, bay) = (Arc::clone(self), desk.case.clone(), desk.bay.clone());
        desk.hint = Some(self.shared.worker.hint(move || {
            let Shared { bank, tours, .. } = &*page.shared;
            hint_now((bank, &case), &mut None, tours, &(), &bay)
        }));
    }

    /// Has the debrief made in the background, once.
    pub(super) fn debrief(self: &Arc<Self>, desk: &Arc<Mutex<Desk>>) {
        {
            let mut desk = lock(desk);
            if !matches!(desk.debrief, Debrief::NotAsked | Debrief::Failed(_)) {
                return;
            }
            desk.debrief = Debrief::InTheMaking;
        }
        let (page, desk) = (Arc::clone(self), Arc::clone(desk));
        self.shared.worker.does(move || {
            let Shared { bank, tours, .. } = &*page.shared;
            let (case, actions, units) = {
                let desk = lock(&desk);
                (desk.case.clone(), desk.bay.actions().to_vec(), desk.units)
            };
            let made = grade(bank, &case, &actions, None, tours, &());
            let made = made.map(|grade| Told {
                grade,
                cycle: cycle(&case, units),
            });
            let mut desk = lock(&desk);
            desk.debrief = match made {
                Ok(told) => {
                    desk.note_mark(told.grade.mark.total);
                    Debrief::Made(Arc::new(told))
                }
                Err(why) => Debrief::Failed(why.to_string()),
            };
        });
    }
}

/// How long the cars of the picture have run, s.
const PICTURED_AFTER_S: f64 = 600.0;

/// The cycle of a case's car beside the same car healthy, idling with the air conditioning on.
fn cycle(case: &Case, units: UnitSystem) -> Option<String> {
    let cycles = Cycles::of(case, &idling(case), PICTURED_AFTER_S, true).ok()?;
    Some(cycles.svg(case.vehicle.name.clone(), units))
}

/// Sessions that the first page lists.
const MOST_LISTED: usize = 12;

impl Desk {
    fn begin(
        bank: &Bank,
        whose: &Whose,
        kept: impl FnOnce(&Whose) -> Result<Kept, String>,
    ) -> Result<Self, String> {
        let case = Case::deal(bank, &whose.case, whose.seed).map_err(|why| why.to_string())?;
        let bay = Bay::new(bank, &case).map_err(|why| why.to_string())?;
        Ok(Self {
            case,
            bay,
            units: whose.units,
            kept: kept(whose)?,
            said: Said::default(),
            hint: None,
            debrief: Debrief::NotAsked,
        })
    }

    /// Carries out what was typed or pressed, where the page that asked for it knew of every step before; a
    /// request that comes twice is carried out once. Whether it was done now.
    pub fn act(&mut self, words: &str, known_steps: u64) -> bool {
        if known_steps != self.bay.actions().len() as u64 {
            if !self.was_done(words, known_steps) {
                self.said = Said::refused(MEANWHILE);
            }
            return false;
        }
        self.said = if matches!(self.debrief, Debrief::NotAsked) {
            self.done(words)
                .map_or_else(|why| Said::refused(in_units(&why, self.units)), Said::done)
        } else {
            Said::refused(OVER)
        };
        !self.said.is_refusal
    }

    /// Whether the step after so many was this one.
    fn was_done(&self, words: &str, known_steps: u64) -> bool {
        let index = usize::try_from(known_steps).unwrap_or(usize::MAX);
        let asked = typed::action(words).ok();
        let asked = asked.and_then(|action| self.bay.resolved(&action).ok());
        asked.is_some() && asked.as_ref() == self.bay.actions().get(index)
    }

    /// Keeps the mark beside the session.
    fn note_mark(&self, mark: f64) {
        // Where it cannot be kept, it is told with the debrief all the same.
        let _ = std::fs::write(
            self.kept.path().with_extension(MARK),
            format!("{mark:.0}\n"),
        );
    }

    fn done(&mut self, words: &str) -> Result<String, String> {
        let action = typed::action(words)?;
        // Tried on a copy first: what could not be kept has not happened.
        let mut bay = self.bay.clone();
        let outcome = bay.act(&action).map_err(|why| why.to_string())?;
        if let Some(action) = bay.actions().last() {
            self.kept.add(action).map_err(|why| why.to_string())?;
        }
        self.bay = bay;
        Ok(lines_of(&outcome, &self.bay, self.units))
    }
}
