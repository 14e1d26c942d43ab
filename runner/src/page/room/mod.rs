//! A room in which people sit a form of an office: each with a code of their own, all under somebody's eyes.
//!
//! [`Room`] holds what is open; [`candidates`] is what a candidate may ask, [`proctor`] what whoever looks after them
//! may. A sitting in memory is only ever a copy of the journal: it is brought up to date before it is shown or
//! gone on with, so that any process with the same office can answer anybody.

mod candidates;
mod cases;
mod limits;
mod live;
mod marker;
mod proctor;
mod seat;
mod who;

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::HeaderMap;
use axum::middleware;
use scenarios::Library;
use scenarios::form::Form;

use super::answers::{FILES, No, files, nowhere};
use super::hints::Hints;
use super::shelf::Shelf;
use super::{Place, headers};
use crate::cache::TourCache;
use crate::invigilate::codes;
use crate::invigilate::roster::Roster;
use crate::records::Office;
use crate::records::office::now_ms;

use limits::Limits;
use marker::Marker;
use seat::Seat;
use who::{Cookies, Who};

/// Sittings held in memory: more than a room is promised for, so that nobody waits for a car that is played again.
const MOST_OPEN: usize = 600;
/// Largest request, bytes: a case in the editor is the longest.
const MOST_BYTES: usize = 64 * 1024;

/// A room.
pub struct Room {
    library: &'static Library,
    form: &'static Form,
    office: Office,
    tours: TourCache,
    place: Place,
    cookies: Cookies,
    limits: Limits,
    seats: Shelf<Seat>,
    /// Whom codes let in: candidate and attempt. What is not here is looked for in the office.
    codes: Mutex<BTreeMap<String, (String, u32)>>,
    marker: Marker,
    hints: Hints,
    solver: cases::Solver,
}

impl std::fmt::Debug for Room {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Room for {} in {:?}", self.form.id, self.office)
    }
}

impl Room {
    /// A room for a form; it begins to mark what was handed in before.
    #[must_use]
    pub fn open(
        (library, form): (&'static Library, &'static Form),
        office: Office,
        tours: TourCache,
        place: Place,
    ) -> Arc<Self> {
        let cookies = Cookies::of(office.keys(), place.secure);
        let room = Arc::new(Self {
            library,
            form,
            office,
            tours,
            place,
            cookies,
            limits: Limits::default(),
            seats: Shelf::new(MOST_OPEN),
            codes: Mutex::default(),
            marker: Marker::default(),
            hints: Hints::default(),
            solver: cases::Solver::default(),
        });
        marker::start(&room);
        room
    }

    /// What stands in the forms of somebody whom no cookie lets in.
    #[must_use]
    pub fn door_token(&self) -> String {
        self.cookies.token(None)
    }

    fn roster(&self) -> Roster {
        Roster::of(self.office.folder(), &self.form.id)
    }

    fn code(&self, candidate: &str, attempt: u32) -> String {
        codes::code(self.office.keys(), &self.form.id, candidate, attempt)
    }

    /// Whom a code lets in.
    fn let_in(&self, typed: &str, address: IpAddr) -> Result<Who, No> {
        let code = codes::read(typed);
        let known = |room: &Self| {
            let codes = room.codes.lock().unwrap_or_else(PoisonError::into_inner);
            codes.get(&code).cloned()
        };
        let found = match known(self) {
            Some(found) => Some(found),
            // Somebody may have been put down since; looking costs something, and guessing is to cost time.
            None if self.limits.may_try(address) => {
                self.look_up().map_err(No::Failed)?;
                known(self)
            }
            None => return Err(No::TooOften),
        };
        let (id, attempt) = found.ok_or(No::NotOurs)?;
        Ok(Who::Candidate { id, attempt })
    }

    /// Works out every code that lets somebody in: of each attempt that was begun, and the next one.
    fn look_up(&self) -> Result<(), String> {
        let people = self
            .office
            .store()
            .people()
            .map_err(|why| why.to_string())?;
        let sittings = self
            .office
            .store()
            .sittings()
            .map_err(|why| why.to_string())?;
        let mut begun: BTreeMap<&str, u32> = BTreeMap::new();
        for sitting in sittings.iter().filter(|one| one.form == self.form.id) {
            *begun.entry(&sitting.candidate).or_default() += 1;
        }
        let mut codes = BTreeMap::new();
        for person in &people {
            let attempts = begun.get(person.id.as_str()).copied().unwrap_or_default() + 1;
            for attempt in 1..=attempts {
                codes.insert(self.code(&person.id, attempt), (person.id.clone(), attempt));
            }
        }
        *self.codes.lock().unwrap_or_else(PoisonError::into_inner) = codes;
        Ok(())
    }

    /// The candidate who asks.
    fn candidate(&self, headers: &HeaderMap) -> Option<(String, u32)> {
        match self.cookies.who(headers, now_ms())? {
            Who::Candidate { id, attempt } => Some((id, attempt)),
            Who::Proctor => None,
        }
    }
}

/// The addresses of a room, as forms and tests know them: `{id}` stands for a sitting's. Those that begin with `/room`
/// answer a proctor and nobody else.
pub const ADDRESSES: [(&str, &str); 29] = [
    ("GET", "/"),
    ("POST", "/join"),
    ("POST", "/out"),
    ("GET", "/sit"),
    ("POST", "/sit/begin"),
    ("POST", "/sit/act"),
    ("POST", "/sit/suspect"),
    ("POST", "/sit/conclude"),
    ("POST", "/sit/answer"),
    ("POST", "/sit/leave"),
    ("POST", "/sit/hand-in"),
    ("GET", "/sit/chart.svg"),
    ("GET", "/room/enter"),
    ("POST", "/room/enter"),
    ("GET", "/room"),
    ("GET", "/room/live"),
    ("POST", "/room/people"),
    ("POST", "/room/again"),
    ("GET", "/room/codes"),
    ("GET", "/room/class"),
    ("GET", "/room/tasks"),
    ("GET", "/room/sitting/{id}"),
    ("GET", "/room/cases"),
    ("GET", "/room/cases/edit"),
    ("POST", "/room/cases/edit"),
    ("GET", "/room/cases/solved"),
    ("GET", FILES[0]),
    ("GET", FILES[1]),
    ("GET", FILES[2]),
];

/// The addresses of a room.
pub fn router(room: Arc<Room>) -> Router {
    let place = Arc::new(room.place.clone());
    candidates::routes()
        .merge(proctor::routes())
        .merge(cases::routes())
        .merge(files())
        .fallback(nowhere)
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(middleware::from_fn_with_state(place, headers::guarded))
        .with_state(room)
}
