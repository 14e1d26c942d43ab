//! A room asked in process, by any number of people.

use std::cell::RefCell;
use std::thread::sleep;
use std::time::Duration;

use axum::Router;
use axum::http::StatusCode;
use axum::http::header::{COOKIE, HOST, SET_COOKIE};
use runner::cache::TourCache;
use runner::invigilate::proctor;
use runner::page::Place;
use runner::page::class::{self, Class};
use runner::page::room::{self, Room};
use runner::records::Office;
use scenarios::Library;
use scenarios::form::Form;

use crate::browse::{AT, Answer, asked, hidden, runtime};
use crate::folder::Folder;
use crate::sitting::FORM;
use crate::tours;

/// The password of every room here.
pub const PASSWORD: &str = "four words in a row";

/// An office in a folder.
///
/// # Panics
/// When it cannot be opened.
#[must_use]
pub fn office(folder: &Folder) -> Office {
    Office::open_or_create(folder.path(), None).expect("an office")
}

/// A candidate's id.
///
/// # Panics
/// When nobody is called so.
#[must_use]
pub fn id_of(folder: &Folder, name: &str) -> String {
    let office = Office::open(folder.path(), None).expect("an office");
    let people = office.store().people().expect("people");
    let person = people.into_iter().find(|one| one.name == name);
    person.expect("a person").id
}

/// A room, open.
pub struct RoomVisit {
    /// What it deals from.
    pub library: &'static Library,
    /// What is sat.
    pub form: &'static Form,
    router: Router,
    runtime: tokio::runtime::Runtime,
}

impl RoomVisit {
    /// A room of an office for a form.
    ///
    /// # Panics
    /// When it cannot be opened.
    #[must_use]
    pub fn of(office: Office, form: &str) -> Self {
        Self::with(office, Library::builtin().expect("the library"), form)
    }

    /// The same for a short form, whose car is marked fast.
    ///
    /// # Panics
    /// When it cannot be opened.
    #[must_use]
    pub fn of_a_short_form(office: Office) -> Self {
        let library = Library::builtin().expect("the library");
        let library = library.with_form("short.toml", FORM).expect("a form");
        Self::with(office, library.0, "short")
    }

    fn with(office: Office, library: Library, form: &str) -> Self {
        // As the program has it: for as long as it runs.
        let library: &'static Library = Box::leak(Box::new(library));
        let form = library.form(form).expect("a form");
        let (tours, place) = opened(&office);
        let room = Room::open((library, form), office, tours, place);
        Self {
            library,
            form,
            router: room::router(room),
            runtime: runtime(),
        }
    }

    /// A class of an office, in place of a room.
    ///
    /// # Panics
    /// When it cannot be opened.
    #[must_use]
    pub fn class(office: Office) -> Self {
        let library = Box::leak(Box::new(Library::builtin().expect("the library")));
        let (tours, place) = opened(&office);
        let class = Class::open(library.bank.clone(), office, tours, place);
        Self {
            library,
            form: &library.forms[0],
            router: class::router(class),
            runtime: runtime(),
        }
    }

    /// Somebody who practises, let in with a code.
    ///
    /// # Panics
    /// When the code lets nobody in.
    #[must_use]
    pub fn learner(&self, code: &str) -> Guest<'_> {
        let guest = self.guest();
        let token = hidden(&guest.get("/").text, "token");
        let answer = guest.post("/join", &[("token", &token), ("code", code)]);
        assert_eq!(answer.location(), "/");
        guest
    }

    /// Somebody with a browser, whom nobody knows yet.
    #[must_use]
    pub fn guest(&self) -> Guest<'_> {
        Guest {
            room: self,
            cookie: RefCell::default(),
        }
    }

    /// Whoever looks after the sittings, let in.
    ///
    /// # Panics
    /// When the password is another.
    #[must_use]
    pub fn proctor(&self) -> Guest<'_> {
        let guest = self.guest();
        let page = guest.get("/room/enter").text;
        let token = hidden(&page, "token");
        let answer = guest.post("/room/enter", &[("token", &token), ("password", PASSWORD)]);
        assert_eq!(answer.location(), "/room");
        guest
    }

    /// A candidate with a code, let in.
    ///
    /// # Panics
    /// When the code lets nobody in.
    #[must_use]
    pub fn candidate(&self, code: &str) -> Guest<'_> {
        let guest = self.guest();
        let token = hidden(&guest.get("/").text, "token");
        let answer = guest.post("/join", &[("token", &token), ("code", code)]);
        assert_eq!(answer.location(), "/sit");
        guest
    }
}

/// What every office here opens with, its password set.
fn opened(office: &Office) -> (TourCache, Place) {
    if !proctor::is_set(office.folder()) {
        proctor::set(office.folder(), PASSWORD).expect("a password");
    }
    let place = Place::here(AT.parse().expect("an address"));
    (TourCache::new(Some(tours::folder())), place)
}

/// Somebody with a browser.
pub struct Guest<'r> {
    room: &'r RoomVisit,
    cookie: RefCell<Option<String>>,
}

impl Guest<'_> {
    /// Asks for anything, with these fields.
    ///
    /// # Panics
    /// When the fields cannot be written.
    #[must_use]
    pub fn ask(&self, method: &str, address: &str, fields: &[(&str, &str)]) -> Answer {
        let body = serde_urlencoded::to_string(fields).expect("a form");
        let cookie = self.cookie.borrow().clone();
        let mut headers = vec![(HOST, AT)];
        if let Some(cookie) = &cookie {
            headers.push((COOKIE, cookie.as_str()));
        }
        let room = self.room;
        let answer = asked(
            &room.runtime,
            &room.router,
            (method, address),
            &headers,
            &body,
        );
        if let Some(set) = answer.headers.get(SET_COOKIE) {
            let set = set.to_str().expect("text");
            *self.cookie.borrow_mut() = set.split(';').next().map(str::to_owned);
        }
        answer
    }

    /// A page.
    #[must_use]
    pub fn get(&self, address: &str) -> Answer {
        self.ask("GET", address, &[])
    }

    /// A form.
    #[must_use]
    pub fn post(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        self.ask("POST", address, fields)
    }

    /// What the browser sends along.
    #[must_use]
    pub fn cookie(&self) -> String {
        self.cookie.borrow().clone().unwrap_or_default()
    }

    /// Sends something else along from now on.
    pub fn set_cookie(&self, cookie: &str) {
        *self.cookie.borrow_mut() = Some(cookie.to_owned());
    }

    /// What stands in this person's forms at an address.
    #[must_use]
    pub fn token(&self, address: &str) -> String {
        hidden(&self.get(address).text, "token")
    }

    /// Puts people down; returns their codes, by name.
    ///
    /// # Panics
    /// When that is not for this person to do.
    #[must_use]
    pub fn puts_down(&self, names: &[&str]) -> Vec<String> {
        let token = self.token("/room");
        let answer = self.post(
            "/room/people",
            &[("token", &token), ("names", &names.join("\n"))],
        );
        assert_eq!(answer.location(), "/room");
        let page = self.get("/room/codes").text;
        names.iter().map(|name| code_of(&page, name)).collect()
    }

    /// Begins the sitting; returns its first page.
    #[must_use]
    pub fn begins(&self) -> Answer {
        let token = self.token("/sit");
        let answer = self.post("/sit/begin", &[("token", &token), ("units", "si")]);
        self.get(answer.location())
    }

    /// Sends a form of the sitting as it stands now; returns the page after it.
    #[must_use]
    pub fn takes(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        let page = self.get("/sit").text;
        let (token, steps) = (hidden(&page, "token"), hidden(&page, "steps"));
        let known = [("token", token.as_str()), ("steps", steps.as_str())];
        let fields = [&known, fields].concat();
        loop {
            let answer = self.post(address, &fields);
            if answer.status != StatusCode::TOO_MANY_REQUESTS {
                return self.get(answer.location());
            }
            // Nobody works as fast as a test.
            sleep(Duration::from_millis(200));
        }
    }

    /// Does something at the car.
    #[must_use]
    pub fn does(&self, words: &str) -> Answer {
        self.takes("/sit/act", &[("words", words)])
    }
}

/// The code on somebody's slip.
///
/// # Panics
/// When there is none.
#[must_use]
pub fn code_of(page: &str, name: &str) -> String {
    let (_, slip) = page.split_once(name).expect("a slip");
    let (slip, _) = slip.split_once("</section>").expect("its end");
    let (_, code) = slip.split_once("class=\"code\">").expect("a code");
    code.split('<').next().expect("its end").to_owned()
}
