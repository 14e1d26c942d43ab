//! The doors of what an office opens to people with codes: a room in which they sit a form, a class in which they
//! practise. [`candidates`] is how they come in and go out, [`proctor`] what whoever looks after them may ask
//! wherever it is, [`people`] who is expected, [`live`] how they are told who is how far.

mod candidates;
mod limits;
mod live;
mod people;
mod proctor;
mod who;

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;

use super::Place;
use super::answers::No;
use super::shelf::lock;
use super::views::Line;
use crate::invigilate::codes;
use crate::invigilate::roster::Roster;
use crate::records::Office;

pub(super) use candidates::{From, door, with_cookie};
pub(super) use limits::Limits;
pub(super) use live::ago;
pub(super) use proctor::Proctor;
pub(super) use who::{Cookies, Who};

/// The doors.
pub(super) struct Doors {
    pub office: Office,
    pub place: Place,
    pub cookies: Cookies,
    pub limits: Limits,
    /// What is behind them, as codes and cookies know it: a form's id, or practice.
    pub purpose: String,
    /// The same for people.
    pub title: String,
    /// Whom codes let in: candidate and attempt. What is not here is looked for in the office.
    codes: Mutex<BTreeMap<String, (String, u32)>>,
    /// What whoever looks after them is told next.
    told: Mutex<Option<String>>,
}

/// What is behind the doors.
pub(super) trait Behind: Send + Sync + 'static {
    /// Where somebody with a code goes.
    const HOME: &'static str;
    /// Whether it is a form, with results and a class's figures.
    const IS_FORM: bool;

    /// Its doors.
    fn doors(&self) -> &Doors;

    /// How often each candidate has begun.
    ///
    /// # Errors
    /// A sentence where the office cannot be read.
    fn begun(&self) -> Result<BTreeMap<String, u32>, String>;

    /// Somebody is called otherwise from now on.
    fn renamed(&self, _candidate: &str, _attempt: u32, _name: &str) {}

    /// A line for everybody who is expected or has begun, by name.
    ///
    /// # Errors
    /// A sentence where the office cannot be read.
    fn lines(&self) -> Result<Vec<Line>, String>;
}

/// The addresses of the doors that are alike wherever they lead.
pub(super) fn routes<B: Behind>() -> Router<Arc<B>> {
    candidates::routes()
        .merge(proctor::routes())
        .merge(people::routes())
}

impl Doors {
    /// The doors of an office.
    pub fn of(office: Office, place: Place, purpose: &str, title: &str) -> Self {
        Self {
            cookies: Cookies::of(office.keys(), purpose, place.secure),
            office,
            place,
            limits: Limits::default(),
            purpose: purpose.to_owned(),
            title: title.to_owned(),
            codes: Mutex::default(),
            told: Mutex::default(),
        }
    }

    /// What stands in the forms of somebody whom no cookie lets in.
    pub fn token(&self) -> String {
        self.cookies.token(None)
    }

    /// Who is expected.
    pub fn roster(&self) -> Roster {
        Roster::of(self.office.folder(), &self.purpose)
    }

    /// The code of an attempt.
    pub fn code(&self, candidate: &str, attempt: u32) -> String {
        codes::code(self.office.keys(), &self.purpose, candidate, attempt)
    }

    /// Has something told on the next page of whoever looks after them.
    pub fn tell(&self, words: String) {
        *lock(&self.told) = Some(words);
    }

    /// What is to be told, once.
    pub fn told(&self) -> Option<String> {
        lock(&self.told).take()
    }

    /// What is typed into a browser to come here.
    pub fn address(&self) -> String {
        format!("{}://{}/", self.place.scheme(), self.place.at)
    }

    fn known(&self, code: &str) -> Option<(String, u32)> {
        let codes = self.codes.lock().unwrap_or_else(PoisonError::into_inner);
        codes.get(code).cloned()
    }

    /// Works out every code that lets somebody in: of each attempt that was begun, and the next one.
    fn look_up(&self, begun: &BTreeMap<String, u32>) -> Result<(), String> {
        let people = self.office.store().people();
        let people = people.map_err(|why| why.to_string())?;
        let mut codes = BTreeMap::new();
        for person in &people {
            let attempts = begun.get(&person.id).copied().unwrap_or_default() + 1;
            for attempt in 1..=attempts {
                codes.insert(self.code(&person.id, attempt), (person.id.clone(), attempt));
            }
        }
        *self.codes.lock().unwrap_or_else(PoisonError::into_inner) = codes;
        Ok(())
    }
}

/// Whom a code lets in.
fn let_in(behind: &impl Behind, typed: &str, address: IpAddr) -> Result<Who, No> {
    let doors = behind.doors();
    let code = codes::read(typed);
    let found = match doors.known(&code) {
        Some(found) => Some(found),
        // Somebody may have been put down since; looking costs something, and guessing is to cost time.
        None if doors.limits.may_try(address) => {
            let begun = behind.begun().map_err(No::Failed)?;
            doors.look_up(&begun).map_err(No::Failed)?;
            doors.known(&code)
        }
        None => return Err(No::TooOften),
    };
    let (id, attempt) = found.ok_or(No::NotOurs)?;
    Ok(Who::Candidate { id, attempt })
}
