//! A room in which people sit a form of an office: each with a code of their own, all under somebody's eyes.
//!
//! [`Room`] holds what is open; [`candidates`] is what a candidate may ask, [`results`] and [`cases`] what whoever looks
//! after them may beside what [`doors`] has. A sitting in memory is only ever a copy of the journal: it is brought up to date before it is shown or
//! gone on with, so that any process with the same office can answer anybody.

mod candidates;
mod cases;
mod helps;
mod marker;
mod progress;
mod results;
mod seat;

use std::sync::{Arc, Mutex};

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware;
use scenarios::Library;
use scenarios::form::Form;

use super::answers::{FILES, files, nowhere};
use super::doors::{self, Doors};
use super::shelf::Shelf;
use super::worker::Worker;
use super::{Place, headers};
use crate::cache::TourCache;
use crate::records::Office;

use marker::Marker;
use seat::Seat;

/// Sittings held in memory: more than a room is promised for, so that nobody waits for a car that is played again.
const MOST_OPEN: usize = 600;
/// Largest request, bytes: a case in the editor is the longest.
const MOST_BYTES: usize = 64 * 1024;

/// A room.
pub struct Room {
    library: &'static Library,
    form: &'static Form,
    doors: Doors,
    tours: TourCache,
    seats: Shelf<Seat>,
    marker: Marker,
    worker: Worker,
    solver: cases::Solver,
    more: Mutex<progress::More>,
}

impl std::fmt::Debug for Room {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Room for {} in {:?}", self.form.id, self.doors.office)
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
        let room = Arc::new(Self {
            library,
            form,
            doors: Doors::of(office, place, &form.id, &form.title),
            tours,
            seats: Shelf::new(MOST_OPEN),
            marker: Marker::default(),
            worker: Worker::default(),
            solver: cases::Solver::default(),
            more: Mutex::default(),
        });
        marker::start(&room);
        room
    }
}

/// The addresses of a room, as forms and tests know them: `{id}` stands for a sitting's. Those that begin with `/room`
/// answer a proctor and nobody else.
pub const ADDRESSES: [(&str, &str); 36] = [
    ("GET", "/"),
    ("POST", "/join"),
    ("POST", "/out"),
    ("GET", "/sit"),
    ("GET", "/sit/clock"),
    ("POST", "/sit/begin"),
    ("POST", "/sit/act"),
    ("POST", "/sit/watch"),
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
    ("POST", "/room/rename"),
    ("POST", "/room/remove"),
    ("POST", "/room/more"),
    ("POST", "/room/end"),
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
    ("GET", FILES[3]),
];

/// The addresses of a room.
pub fn router(room: Arc<Room>) -> Router {
    let place = Arc::new(room.doors.place.clone());
    candidates::routes()
        .merge(doors::routes())
        .merge(results::routes())
        .merge(cases::routes())
        .merge(helps::routes())
        .merge(files())
        .fallback(nowhere)
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(middleware::from_fn_with_state(place, headers::guarded))
        .with_state(room)
}
