//! How somebody with a code comes in, and goes out.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::sync::Arc;

use axum::Router;
use axum::extract::{ConnectInfo, Form, FromRequestParts, State};
use axum::http::header::SET_COOKIE;
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use serde::Deserialize;

use super::{Behind, Doors, let_in};
use crate::page::answers::{No, aside, html};
use crate::page::views::JoinPage;
use crate::records::office::now_ms;

/// Coming in and going out.
pub(super) fn routes<B: Behind>() -> Router<Arc<B>> {
    Router::new()
        .route("/join", post(join::<B>))
        .route("/out", post(out::<B>))
}

/// Where a request comes from.
pub(in crate::page) struct From(pub IpAddr);

impl<S: Sync> FromRequestParts<S> for From {
    type Rejection = std::convert::Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Self::Rejection> {
        // Asked in process, as tests do, a request comes from here.
        let info = parts.extensions.get::<ConnectInfo<SocketAddr>>();
        let here = IpAddr::V4(Ipv4Addr::LOCALHOST);
        Ok(Self(info.map_or(here, |ConnectInfo(address)| address.ip())))
    }
}

/// A header that goes with a redirection.
pub(in crate::page) fn with_cookie(cookie: &str, to: &str) -> Response {
    let mut answer = Redirect::to(to).into_response();
    if let Ok(value) = HeaderValue::from_str(cookie) {
        answer.headers_mut().insert(SET_COOKIE, value);
    }
    answer
}

/// The page on which a code is typed; and why the last one let nobody in.
pub(in crate::page) fn door(doors: &Doors, why: Option<&'static str>) -> Result<Response, No> {
    html(&JoinPage {
        title: &doors.title,
        token: &doors.token(),
        why,
    })
}

#[derive(Deserialize)]
struct Join {
    token: String,
    code: String,
}

/// Said of a code that lets nobody in.
const NO_SUCH_CODE: &str = "This code lets nobody in. Look at it once more, letter by letter, or ask whoever gave it to you.";

async fn join<B: Behind>(
    State(behind): State<Arc<B>>,
    From(address): From,
    Form(form): Form<Join>,
) -> Result<Response, No> {
    if form.token != behind.doors().token() {
        return Err(No::NotOurs);
    }
    aside(move || {
        let doors = behind.doors();
        match let_in(&*behind, &form.code, address) {
            Ok(who) => Ok(with_cookie(
                &doors.cookies.letting_in(&who, now_ms()),
                B::HOME,
            )),
            Err(No::NotOurs) => {
                let page = door(doors, Some(NO_SUCH_CODE))?;
                Ok((StatusCode::FORBIDDEN, page).into_response())
            }
            Err(no) => Err(no),
        }
    })
    .await
}

#[derive(Deserialize)]
struct Out {
    token: String,
}

async fn out<B: Behind>(
    State(behind): State<Arc<B>>,
    headers: HeaderMap,
    Form(form): Form<Out>,
) -> Result<Response, No> {
    let cookies = &behind.doors().cookies;
    let who = cookies.who(&headers, now_ms());
    if form.token != cookies.token(who.as_ref()) {
        return Err(No::NotOurs);
    }
    Ok(with_cookie(&cookies.letting_out(), "/"))
}
