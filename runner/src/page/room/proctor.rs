//! What whoever looks after the sittings may ask: who is how far, codes, and what came of it.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, FromRequestParts, Path, State};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use serde::Deserialize;

use super::Room;
use super::candidates::{From, with_cookie};
use super::live;
use super::who::Who;
use crate::cli::records::{class_pages, shown};
use crate::invigilate::open::person;
use crate::invigilate::proctor;
use crate::page::answers::{HTML, No, aside, html, self_contained};
use crate::page::views::{CodesPage, EnterPage, RoomPage, SittingPage};
use crate::records::office::now_ms;

/// What a proctor may ask.
pub(super) fn routes() -> Router<Arc<Room>> {
    Router::new()
        .route("/room/enter", get(enter).post(entered))
        .route("/room", get(room))
        .route("/room/live", get(lives))
        .route("/room/people", post(people))
        .route("/room/again", post(again))
        .route("/room/codes", get(codes))
        .route("/room/class", get(class))
        .route("/room/tasks", get(tasks))
        .route("/room/sitting/{id}", get(sitting))
}

type Shared = State<Arc<Room>>;

/// Whoever looks after the sittings: in the arguments of a route it keeps everybody else out.
pub(super) struct Proctor {
    /// What stands in their forms.
    pub token: String,
}

impl FromRequestParts<Arc<Room>> for Proctor {
    type Rejection = Response;

    async fn from_request_parts(
        parts: &mut Parts,
        room: &Arc<Room>,
    ) -> Result<Self, Self::Rejection> {
        match room.cookies.who(&parts.headers, now_ms()) {
            Some(Who::Proctor) => Ok(Self {
                token: room.cookies.token(Some(&Who::Proctor)),
            }),
            // A candidate learns nothing of what is there.
            Some(Who::Candidate { .. }) => Err(No::Nowhere.into_response()),
            None => Err(Redirect::to("/room/enter").into_response()),
        }
    }
}

impl Proctor {
    /// Whether a form is theirs.
    pub fn ours(&self, token: &str) -> Result<(), No> {
        if token == self.token {
            Ok(())
        } else {
            Err(No::NotOurs)
        }
    }
}

async fn enter(State(room): Shared) -> Result<Response, No> {
    html(&EnterPage {
        token: &room.door_token(),
        why: None,
    })
}

#[derive(Deserialize)]
struct Enter {
    token: String,
    password: String,
}

async fn entered(
    State(room): Shared,
    From(address): From,
    Form(form): Form<Enter>,
) -> Result<Response, No> {
    if form.token != room.door_token() {
        return Err(No::NotOurs);
    }
    if !room.limits.may_try(address) {
        return Err(No::TooOften);
    }
    aside(move || {
        // One after the other: each takes 19 MiB.
        let _turn = room.limits.turn();
        let is_right = proctor::is_right(room.office.folder(), &form.password);
        if is_right.map_err(|why| No::Failed(why.to_string()))? {
            let cookie = room.cookies.letting_in(&Who::Proctor, now_ms());
            return Ok(with_cookie(&cookie, "/room"));
        }
        let page = html(&EnterPage {
            token: &room.door_token(),
            why: Some("That is not the password."),
        })?;
        Ok((StatusCode::FORBIDDEN, page).into_response())
    })
    .await
}

async fn room(State(room): Shared, proctor: Proctor) -> Result<Response, No> {
    aside(move || {
        let lines = room.lines().map_err(No::Failed)?;
        html(&RoomPage {
            title: &room.form.title,
            token: &proctor.token,
            lines: &lines,
        })
    })
    .await
}

async fn lives(State(room): Shared, _: Proctor) -> Response {
    live::events(room)
}

#[derive(Deserialize)]
struct People {
    token: String,
    names: String,
}

/// Most names put down at once.
const MOST_NAMES: usize = 500;

async fn people(
    State(room): Shared,
    proctor: Proctor,
    Form(form): Form<People>,
) -> Result<Response, No> {
    proctor.ours(&form.token)?;
    aside(move || {
        let names = form.names.lines().map(str::trim);
        let names: Vec<&str> = names.filter(|name| !name.is_empty()).collect();
        if names.len() > MOST_NAMES {
            return Err(No::Wrong(format!("at most {MOST_NAMES} names at once")));
        }
        let ids = names.iter().map(|name| person(&room.office, name));
        let ids = ids.collect::<Result<Vec<_>, _>>().map_err(No::Wrong)?;
        room.roster().add(&ids).map_err(No::Failed)?;
        Ok(Redirect::to("/room").into_response())
    })
    .await
}

#[derive(Deserialize)]
struct Again {
    token: String,
    candidate: String,
}

/// Shows the code of one attempt more.
async fn again(
    State(room): Shared,
    proctor: Proctor,
    Form(form): Form<Again>,
) -> Result<Response, No> {
    proctor.ours(&form.token)?;
    aside(move || {
        let lines = room.lines().map_err(No::Failed)?;
        let line = lines
            .into_iter()
            .find(|line| line.candidate == form.candidate);
        let line = line.filter(|line| line.is_over).ok_or_else(|| {
            No::Wrong("who has not finished goes on with the same code".to_owned())
        })?;
        let code = room.code(&line.candidate, line.attempt + 1);
        html(&CodesPage {
            title: &room.form.title,
            at: &room.address(),
            codes: vec![(line.name, code)],
        })
    })
    .await
}

/// The codes of all who have not finished, to be printed and cut.
async fn codes(State(room): Shared, _: Proctor) -> Result<Response, No> {
    aside(move || {
        let lines = room.lines().map_err(No::Failed)?;
        let codes = lines
            .into_iter()
            .filter_map(|line| Some((line.name, line.code?)));
        html(&CodesPage {
            title: &room.form.title,
            at: &room.address(),
            codes: codes.collect(),
        })
    })
    .await
}

async fn class(State(room): Shared, _: Proctor) -> Result<Response, No> {
    aside(move || {
        let pages = class_pages(room.library, &room.office, room.form).map_err(No::Wrong)?;
        Ok(self_contained(HTML, pages.class))
    })
    .await
}

async fn tasks(State(room): Shared, _: Proctor) -> Result<Response, No> {
    aside(move || {
        let pages = class_pages(room.library, &room.office, room.form).map_err(No::Wrong)?;
        Ok(self_contained(HTML, pages.tasks))
    })
    .await
}

async fn sitting(State(room): Shared, _: Proctor, Path(id): Path<String>) -> Result<Response, No> {
    aside(move || {
        let text = shown(room.library, &room.office, &id).map_err(|_| No::Nowhere)?;
        html(&SittingPage {
            id: &id,
            text: &text,
        })
    })
    .await
}

impl Room {
    /// What is typed into a browser to come here.
    fn address(&self) -> String {
        format!("{}://{}/", self.place.scheme(), self.place.at)
    }
}
