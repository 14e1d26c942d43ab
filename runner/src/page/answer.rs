//! Which address shows what, and which posts do what.

use std::sync::Arc;

use askama::Template;
use axum::extract::{DefaultBodyLimit, Form, Path, Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::http::{HeaderValue, StatusCode};
use axum::middleware;
use axum::response::{Html, IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Router, extract};
use scenarios::units::UnitSystem;
use serde::Deserialize;

use super::desk::{Debrief, Desk, NoDesk, Told, lock};
use super::views::{BayPage, Begun, DebriefPage, Home, Made, Sorry};
use super::{Page, headers};
use crate::draw;
use crate::draw::places::places;
use crate::figures::report::trace::{Trace, TracePoint, trace as drawn_trace};
use crate::kept::Whose;

/// Largest request, bytes: a list of readings to rely on is the longest.
const MOST_BYTES: usize = 16 * 1024;

/// The addresses of the page, as forms and tests know them: `{id}` stands for a session's.
pub const ADDRESSES: [(&str, &str); 13] = [
    ("GET", "/"),
    ("POST", "/begin"),
    ("GET", "/bay/{id}"),
    ("POST", "/bay/{id}/act"),
    ("POST", "/bay/{id}/suspect"),
    ("POST", "/bay/{id}/conclude"),
    ("GET", "/bay/{id}/debrief"),
    ("POST", "/bay/{id}/debrief"),
    ("GET", "/bay/{id}/trace.svg"),
    ("GET", "/bay/{id}/cycle.svg"),
    ("GET", "/page.css"),
    ("GET", "/page.js"),
    ("GET", "/htmx.js"),
];

/// The addresses of the page.
pub fn router(page: Arc<Page>) -> Router {
    Router::new()
        .route("/", get(home))
        .route("/begin", post(begin))
        .route("/bay/{id}", get(bay))
        .route("/bay/{id}/act", post(act))
        .route("/bay/{id}/suspect", post(suspect))
        .route("/bay/{id}/conclude", post(conclude))
        .route("/bay/{id}/debrief", get(debrief).post(end))
        .route("/bay/{id}/trace.svg", get(trace))
        .route("/bay/{id}/cycle.svg", get(cycle))
        .route("/page.css", get(style))
        .route("/page.js", get(script))
        .route("/htmx.js", get(htmx))
        .fallback(nowhere)
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(middleware::from_fn_with_state(
            Arc::clone(&page),
            headers::guarded,
        ))
        .with_state(page)
}

type Shared = State<Arc<Page>>;

/// Why a request is not answered with what it asked for.
enum No {
    /// Nothing is at this address.
    Nowhere,
    /// The form is not from this page.
    NotOurs,
    /// What was asked for makes no sense, and why.
    Wrong(String),
    /// It could not be done, and why.
    Failed(String),
}

impl From<NoDesk> for No {
    fn from(why: NoDesk) -> Self {
        match why {
            NoDesk::Unknown => Self::Nowhere,
            NoDesk::Failed(why) => Self::Failed(why),
        }
    }
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
            Self::Failed(why) => (StatusCode::INTERNAL_SERVER_ERROR, why),
        };
        let page = Sorry { why: &why }.render();
        let page = page.unwrap_or_else(|_| why.clone());
        (status, Html(page)).into_response()
    }
}

/// A page's text.
fn html(page: &impl Template) -> Result<Response, No> {
    let page = page.render().map_err(|why| No::Failed(why.to_string()))?;
    Ok(Html(page).into_response())
}

/// Does what takes a while on a thread of its own, so that others are answered in the meantime.
async fn aside<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, No> + Send + 'static,
) -> Result<T, No> {
    let done = tokio::task::spawn_blocking(work).await;
    done.unwrap_or_else(|why| Err(No::Failed(why.to_string())))
}

async fn nowhere() -> No {
    No::Nowhere
}

async fn home(State(page): Shared) -> Result<Response, No> {
    aside(move || {
        let begun = page.begun().into_iter().map(|(id, whose)| Begun {
            id,
            title: (page.bank.case(&whose.case))
                .map_or_else(|| whose.case.clone(), |case| case.title.clone()),
        });
        html(&Home::of(&page.bank, &page.token, begun.collect()))
    })
    .await
}

/// What every form brings along.
trait OfPage {
    fn token(&self) -> &str;
}

fn ours(page: &Page, form: &impl OfPage) -> Result<(), No> {
    if form.token() == page.token {
        Ok(())
    } else {
        Err(No::NotOurs)
    }
}

#[derive(Deserialize)]
struct Begin {
    token: String,
    case: String,
    seed: Option<String>,
    units: String,
}

#[derive(Deserialize)]
struct Act {
    token: String,
    steps: usize,
    words: String,
    at: Option<String>,
}

#[derive(Deserialize)]
struct Suspect {
    token: String,
    steps: usize,
    fault: String,
    percent: u8,
}

#[derive(Deserialize)]
struct End {
    token: String,
}

macro_rules! of_page {
    ($($form:ty),*) => {
        $(impl OfPage for $form {
            fn token(&self) -> &str {
                &self.token
            }
        })*
    };
}
of_page!(Begin, Act, Suspect, End);

async fn begin(State(page): Shared, Form(form): Form<Begin>) -> Result<Response, No> {
    ours(&page, &form)?;
    aside(move || {
        let seed = form.seed.filter(|seed| !seed.trim().is_empty());
        let seed = match seed {
            Some(seed) => seed.trim().parse().map_err(|_| {
                No::Wrong("a seed is a whole number; left out, one is drawn".to_owned())
            })?,
            None => fresh_seed().map_err(No::Failed)?,
        };
        if page.bank.case(&form.case).is_none() {
            return Err(No::Wrong("there is no such car".to_owned()));
        }
        let whose = Whose {
            case: form.case,
            seed,
            units: if form.units == "us" {
                UnitSystem::Us
            } else {
                UnitSystem::Si
            },
        };
        let id = page.begin(&whose).map_err(No::Failed)?;
        Ok(Redirect::to(&format!("/bay/{id}")).into_response())
    })
    .await
}

/// Six digits: seeds are typed back by people.
fn fresh_seed() -> Result<u64, String> {
    let drawn = getrandom::u64().map_err(|why| format!("the system draws no number: {why}"))?;
    Ok(1 + drawn % 999_983)
}

/// Where somebody stands at the car.
#[derive(Deserialize)]
struct Where {
    at: Option<String>,
}

async fn bay(
    State(page): Shared,
    Path(id): Path<String>,
    Query(place): Query<Where>,
) -> Result<Response, No> {
    aside(move || {
        let desk = page.desk(&id)?;
        let desk = lock(&desk);
        let at = place.at.as_deref();
        html(&BayPage::of(&page.bank, (&id, &page.token), &desk, at))
    })
    .await
}

/// Does something at a car, and goes back to it, to the same place.
async fn does(
    page: Arc<Page>,
    id: String,
    (words, steps): (String, usize),
    at: Option<String>,
) -> Result<Response, No> {
    aside(move || {
        let desk = page.desk(&id)?;
        let mut desk = lock(&desk);
        desk.act(&words, steps);
        let mut places = places(&desk.case.vehicle).into_iter();
        let place = places.find(|one| at.as_deref() == Some(one.id));
        let at = place.map_or_else(String::new, |one| format!("?at={}", one.id));
        Ok(Redirect::to(&format!("/bay/{id}{at}")).into_response())
    })
    .await
}

async fn act(
    State(page): Shared,
    Path(id): Path<String>,
    Form(form): Form<Act>,
) -> Result<Response, No> {
    ours(&page, &form)?;
    does(page, id, (form.words, form.steps), form.at).await
}

async fn suspect(
    State(page): Shared,
    Path(id): Path<String>,
    Form(form): Form<Suspect>,
) -> Result<Response, No> {
    ours(&page, &form)?;
    let words = format!("suspect {} {} %", form.fault, form.percent);
    does(page, id, (words, form.steps), None).await
}

/// A conclusion: its readings come as many fields of one name, which only the raw text of the form tells.
async fn conclude(
    State(page): Shared,
    Path(id): Path<String>,
    extract::RawForm(bytes): extract::RawForm,
) -> Result<Response, No> {
    let fields: Vec<(String, String)> =
        serde_urlencoded::from_bytes(&bytes).map_err(|why| No::Wrong(why.to_string()))?;
    let field = |name: &str| {
        let mut found = fields.iter().filter(|(key, _)| key == name);
        found.next().map(|(_, value)| value.as_str())
    };
    if field("token") != Some(&page.token) {
        return Err(No::NotOurs);
    }
    let steps = field("steps").and_then(|steps| steps.parse().ok());
    let steps = steps.ok_or_else(|| No::Wrong("the form lacks its step".to_owned()))?;
    let mut words = format!("conclude {}", field("fault").unwrap_or_default());
    if let Some(cause) = field("cause").filter(|cause| !cause.is_empty()) {
        words.push_str(&format!(" cause {cause}"));
    }
    let because = fields.iter().filter(|(key, _)| key == "because");
    let because: Vec<&str> = because.map(|(_, value)| value.as_str()).collect();
    if !because.is_empty() {
        words.push_str(&format!(" because {}", because.join(" ")));
    }
    does(page, id, (words, steps), None).await
}

async fn end(
    State(page): Shared,
    Path(id): Path<String>,
    Form(form): Form<End>,
) -> Result<Response, No> {
    ours(&page, &form)?;
    aside(move || {
        let desk = page.desk(&id)?;
        page.debrief(&desk);
        Ok(Redirect::to(&format!("/bay/{id}/debrief")).into_response())
    })
    .await
}

async fn debrief(State(page): Shared, Path(id): Path<String>) -> Result<Response, No> {
    aside(move || {
        let desk = page.desk(&id)?;
        let desk = lock(&desk);
        let (mut made, mut failed) = (None, None);
        match &desk.debrief {
            Debrief::NotAsked => {
                return Ok(Redirect::to(&format!("/bay/{id}")).into_response());
            }
            Debrief::InTheMaking => {}
            Debrief::Made(told) => made = Some(Made::of(&page.bank, &desk, told)),
            Debrief::Failed(why) => failed = Some(why.clone()),
        }
        html(&DebriefPage {
            id: &id,
            title: &desk.case.scenario.title,
            made,
            failed,
        })
    })
    .await
}

async fn trace(State(page): Shared, Path(id): Path<String>) -> Result<Response, No> {
    picture(page, id, |desk, told| {
        Some(drawn_trace(&Trace {
            title: desk.case.scenario.title.clone(),
            points: told.grade.trace.iter().map(TracePoint::of).collect(),
        }))
    })
    .await
}

async fn cycle(State(page): Shared, Path(id): Path<String>) -> Result<Response, No> {
    picture(page, id, |_, told| told.cycle.clone()).await
}

/// A picture of a debrief, once it is made: before, there is none that could give something away.
async fn picture(
    page: Arc<Page>,
    id: String,
    draw: impl FnOnce(&Desk, &Told) -> Option<String> + Send + 'static,
) -> Result<Response, No> {
    aside(move || {
        let desk = page.desk(&id)?;
        let desk = lock(&desk);
        let Debrief::Made(told) = &desk.debrief else {
            return Err(No::Nowhere);
        };
        let drawn = draw(&desk, told).ok_or(No::Nowhere)?;
        let said = [
            (CONTENT_TYPE, HeaderValue::from_static("image/svg+xml")),
            // Such a picture brings its own style sheet, and nothing else.
            (
                CONTENT_SECURITY_POLICY,
                HeaderValue::from_static("default-src 'none'; style-src 'unsafe-inline'"),
            ),
        ];
        Ok((said, drawn).into_response())
    })
    .await
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

fn javascript(text: &'static str) -> Response {
    file("text/javascript; charset=utf-8", text)
}
