//! What whoever looks after people with codes may ask: who is how far, and their codes.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, FromRequestParts, State};
use axum::http::StatusCode;
use axum::http::request::Parts;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use serde::Deserialize;

use super::{Behind, From, Who, live, with_cookie};
use crate::invigilate::proctor;
use crate::page::answers::{No, aside, html};
use crate::page::views::{CodesPage, EnterPage, RoomPage};
use crate::records::office::now_ms;

/// What a proctor may ask.
pub(super) fn routes<B: Behind>() -> Router<Arc<B>> {
    Router::new()
        .route("/room/enter", get(enter::<B>).post(entered::<B>))
        .route("/room", get(room::<B>))
        .route("/room/live", get(lives::<B>))
        .route("/room/again", post(again::<B>))
        .route("/room/codes", get(codes::<B>))
}

/// Whoever looks after the sittings: in the arguments of a route it keeps everybody else out.
pub(in crate::page) struct Proctor {
    /// What stands in their forms.
    pub token: String,
}

impl<B: Behind> FromRequestParts<Arc<B>> for Proctor {
    type Rejection = Response;

    async fn from_request_parts(
        parts: &mut Parts,
        behind: &Arc<B>,
    ) -> Result<Self, Self::Rejection> {
        match behind.doors().cookies.who(&parts.headers, now_ms()) {
            Some(Who::Proctor) => Ok(Self {
                token: behind.doors().cookies.token(Some(&Who::Proctor)),
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

async fn enter<B: Behind>(State(behind): State<Arc<B>>) -> Result<Response, No> {
    html(&EnterPage {
        token: &behind.doors().token(),
        why: None,
    })
}

#[derive(Deserialize)]
struct Enter {
    token: String,
    password: String,
}

async fn entered<B: Behind>(
    State(behind): State<Arc<B>>,
    From(address): From,
    Form(form): Form<Enter>,
) -> Result<Response, No> {
    if form.token != behind.doors().token() {
        return Err(No::NotOurs);
    }
    if !behind.doors().limits.may_try(address) {
        return Err(No::TooOften);
    }
    aside(move || {
        // One after the other: each takes 19 MiB.
        let _turn = behind.doors().limits.turn();
        let is_right = proctor::is_right(behind.doors().office.folder(), &form.password);
        if is_right.map_err(|why| No::Failed(why.to_string()))? {
            let cookie = behind.doors().cookies.letting_in(&Who::Proctor, now_ms());
            return Ok(with_cookie(&cookie, "/room"));
        }
        let page = html(&EnterPage {
            token: &behind.doors().token(),
            why: Some("That is not the password."),
        })?;
        Ok((StatusCode::FORBIDDEN, page).into_response())
    })
    .await
}

async fn room<B: Behind>(State(behind): State<Arc<B>>, proctor: Proctor) -> Result<Response, No> {
    aside(move || {
        let lines = behind.lines().map_err(No::Failed)?;
        html(&RoomPage {
            title: &behind.doors().title,
            token: &proctor.token,
            lines: &lines,
            is_form: B::IS_FORM,
            told: behind.doors().told(),
            fingerprint: behind.doors().place.fingerprint.as_deref(),
        })
    })
    .await
}

async fn lives<B: Behind>(State(behind): State<Arc<B>>, _: Proctor) -> Response {
    live::events(behind)
}

#[derive(Deserialize)]
struct Again {
    token: String,
    candidate: String,
}

/// Shows the code of one attempt more.
async fn again<B: Behind>(
    State(behind): State<Arc<B>>,
    proctor: Proctor,
    Form(form): Form<Again>,
) -> Result<Response, No> {
    proctor.ours(&form.token)?;
    aside(move || {
        let lines = behind.lines().map_err(No::Failed)?;
        let line = lines
            .into_iter()
            .find(|line| line.candidate == form.candidate);
        let line = line.filter(|line| line.is_over).ok_or_else(|| {
            No::Wrong("who has not finished goes on with the same code".to_owned())
        })?;
        let code = behind.doors().code(&line.candidate, line.attempt + 1);
        html(&CodesPage {
            title: &behind.doors().title,
            at: &behind.doors().address(),
            fingerprint: behind.doors().place.fingerprint.as_deref(),
            codes: vec![(line.name, code)],
        })
    })
    .await
}

/// The codes of all who have not finished, to be printed and cut.
async fn codes<B: Behind>(State(behind): State<Arc<B>>, _: Proctor) -> Result<Response, No> {
    aside(move || {
        let lines = behind.lines().map_err(No::Failed)?;
        let codes = lines
            .into_iter()
            .filter_map(|line| Some((line.name, line.code?)));
        html(&CodesPage {
            title: &behind.doors().title,
            at: &behind.doors().address(),
            fingerprint: behind.doors().place.fingerprint.as_deref(),
            codes: codes.collect(),
        })
    })
    .await
}
