//! What answers have in common: pages, refusals, work that takes a while, and the files that are built in.

use askama::Template;
use axum::Router;
use axum::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::http::{HeaderValue, StatusCode};
use axum::response::{Html, IntoResponse, Response};
use axum::routing::get;

use super::views::Sorry;
use crate::draw;

/// Why a request is not answered with what it asked for.
pub(super) enum No {
    /// Nothing is at this address.
    Nowhere,
    /// The form is not from this page.
    NotOurs,
    /// What was asked for makes no sense, and why.
    Wrong(String),
    /// It was asked too often.
    TooOften,
    /// It could not be done, and why.
    Failed(String),
}

impl IntoResponse for No {
    fn into_response(self) -> Response {
        let (status, why) = match self {
            Self::Nowhere => (
                StatusCode::NOT_FOUND,
                "There is nothing at this address.".to_owned(),
            ),
            Self::NotOurs => (
                StatusCode::FORBIDDEN,
                "This form is not from this page, or from before it was opened anew: go back, load it again, and do it once more.".to_owned(),
            ),
            Self::Wrong(why) => (StatusCode::BAD_REQUEST, why),
            Self::TooOften => (
                StatusCode::TOO_MANY_REQUESTS,
                "That was too often in too short a time: wait a little, and do it once more.".to_owned(),
            ),
            Self::Failed(why) => (StatusCode::INTERNAL_SERVER_ERROR, why),
        };
        let page = Sorry { why: &why }.render();
        let page = page.unwrap_or_else(|_| why.clone());
        (status, Html(page)).into_response()
    }
}

/// A page's text.
pub(super) fn html(page: &impl Template) -> Result<Response, No> {
    let page = page.render().map_err(|why| No::Failed(why.to_string()))?;
    Ok(Html(page).into_response())
}

/// Does what takes a while on a thread of its own, so that others are answered in the meantime.
pub(super) async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, No> + Send + 'static,
) -> Result<T, No> {
    let done = tokio::task::spawn_blocking(work).await;
    done.unwrap_or_else(|why| Err(No::Failed(why.to_string())))
}

/// Nothing is there.
pub(super) async fn nowhere() -> No {
    No::Nowhere
}

/// A picture, or a page to be printed, that brings its own style sheet and nothing else.
pub(super) fn self_contained(kind: &'static str, text: String) -> Response {
    let said = [
        (CONTENT_TYPE, HeaderValue::from_static(kind)),
        (
            CONTENT_SECURITY_POLICY,
            HeaderValue::from_static("default-src 'none'; style-src 'unsafe-inline'"),
        ),
    ];
    (said, text).into_response()
}

/// The kind of a picture.
pub(super) const SVG: &str = "image/svg+xml";
/// The kind of a page.
pub(super) const HTML: &str = "text/html; charset=utf-8";

/// The files that every page asks for.
pub(super) const FILES: [&str; 4] = ["/page.css", "/page.js", "/htmx.js", "/icon.svg"];

/// The addresses of [`FILES`].
pub(super) fn files<S: Clone + Send + Sync + 'static>() -> Router<S> {
    let [css, js, htmx_js, icon_svg] = FILES;
    Router::new()
        .route(css, get(style))
        .route(js, get(script))
        .route(htmx_js, get(htmx))
        .route(icon_svg, get(icon))
}

/// A file that is built in and never changes while the program runs.
fn file(kind: &'static str, text: impl IntoResponse) -> Response {
    let said = [
        (CONTENT_TYPE, HeaderValue::from_static(kind)),
        (
            CACHE_CONTROL,
            HeaderValue::from_static("private, max-age=3600"),
        ),
    ];
    (said, text).into_response()
}

async fn style() -> Response {
    let sheets = [
        draw::STYLE_SHEET,
        &draw::gauge::swings(),
        include_str!("../../assets/page.css"),
    ];
    file("text/css; charset=utf-8", sheets.concat())
}

async fn script() -> Response {
    javascript(include_str!("../../assets/page.js"))
}

async fn htmx() -> Response {
    javascript(include_str!("../../assets/htmx.min.js"))
}

async fn icon() -> Response {
    file(SVG, include_str!("../../assets/icon.svg"))
}

fn javascript(text: &'static str) -> Response {
    file("text/javascript; charset=utf-8", text)
}
