//! Which address of practice shows what, and which posts do what.

use std::sync::Arc;

use axum::extract::{DefaultBodyLimit, Form, Path, Query};
use axum::middleware;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use axum::{Extension, Router, extract};
use scenarios::units::UnitSystem;
use serde::Deserialize;

use super::Page;
use super::desk::{Debrief, Desk, NoDesk, Told};
use crate::draw::places::called;
use crate::figures::report::trace::{Trace, TracePoint, trace as drawn_trace};
use crate::kept::Whose;
use crate::page::answers::{No, SVG, aside, files, html, nowhere, self_contained};
use crate::page::conclusion;
use crate::page::headers;
use crate::page::shelf::lock;
use crate::page::typed::Typed;
use crate::page::views::{AtBay, BayPage, Begun, DebriefPage, Ends, Home, Made};
use crate::page::watch::{Look, Watch};
use crate::page::whereabouts::Where;

/// Largest request, bytes: a list of readings to rely on is the longest.
const MOST_BYTES: usize = 16 * 1024;

/// The addresses of the page, as forms and tests know them: `{id}` stands for a session's.
pub const ADDRESSES: [(&str, &str); 15] = [
    ("GET", "/"),
    ("POST", "/begin"),
    ("GET", "/bay/{id}"),
    ("POST", "/bay/{id}/act"),
    ("POST", "/bay/{id}/watch"),
    ("POST", "/bay/{id}/suspect"),
    ("POST", "/bay/{id}/conclude"),
    ("GET", "/bay/{id}/debrief"),
    ("POST", "/bay/{id}/debrief"),
    ("GET", "/bay/{id}/trace.svg"),
    ("GET", "/bay/{id}/cycle.svg"),
    ("GET", "/page.css"),
    ("GET", "/page.js"),
    ("GET", "/htmx.js"),
    ("GET", "/icon.svg"),
];

/// The addresses of somebody's practice, who stands in each request as [`Mine`].
pub(in crate::page) fn routes<S: Clone + Send + Sync + 'static>() -> Router<S> {
    Router::new()
        .route("/", get(home))
        .route("/begin", post(begin))
        .route("/bay/{id}", get(bay))
        .route("/bay/{id}/act", post(act))
        .route("/bay/{id}/watch", post(watch))
        .route("/bay/{id}/suspect", post(suspect))
        .route("/bay/{id}/conclude", post(conclude))
        .route("/bay/{id}/debrief", get(debrief).post(end))
        .route("/bay/{id}/trace.svg", get(trace))
        .route("/bay/{id}/cycle.svg", get(cycle))
}

/// The addresses of practice on this machine.
pub fn router(page: Arc<Page>) -> Router {
    let place = Arc::new(page.place.clone());
    routes()
        .layer(Extension(Mine(page)))
        .merge(files())
        .fallback(nowhere)
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(middleware::from_fn_with_state(place, headers::guarded))
}

/// Whose practice a request is of.
#[derive(Clone)]
pub(in crate::page) struct Mine(pub Arc<Page>);

impl From<NoDesk> for No {
    fn from(why: NoDesk) -> Self {
        match why {
            NoDesk::Unknown => Self::Nowhere,
            NoDesk::Failed(why) => Self::Failed(why),
        }
    }
}

async fn home(Extension(Mine(page)): Extension<Mine>) -> Result<Response, No> {
    aside(move || {
        let bank = &page.shared.bank;
        let begun = page.begun().into_iter().map(|one| Begun {
            title: (bank.case(&one.whose.case))
                .map_or_else(|| one.whose.case.clone(), |case| case.title.clone()),
            id: one.id,
            mark: one.mark,
        });
        html(&Home::of(bank, &page.token, begun.collect(), page.let_in))
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
    steps: u64,
    #[serde(flatten)]
    typed: Typed,
    at: Option<String>,
}

#[derive(Deserialize)]
struct Suspect {
    token: String,
    steps: u64,
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
of_page!(Begin, Act, Look, Suspect, End);

async fn begin(
    Extension(Mine(page)): Extension<Mine>,
    Form(form): Form<Begin>,
) -> Result<Response, No> {
    ours(&page, &form)?;
    aside(move || {
        let seed = form.seed.filter(|seed| !seed.trim().is_empty());
        let seed = match seed {
            Some(seed) => seed.trim().parse().map_err(|_| {
                No::Wrong("a seed is a whole number; left out, one is drawn".to_owned())
            })?,
            None => fresh_seed().map_err(No::Failed)?,
        };
        if page.shared.bank.case(&form.case).is_none() {
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

async fn bay(
    Extension(Mine(page)): Extension<Mine>,
    Path(id): Path<String>,
    Query(place): Query<Where>,
) -> Result<Response, No> {
    aside(move || {
        let desk = page.desk(&id)?;
        let desk = lock(&desk);
        html(&BayPage::of(
            AtBay {
                bank: &page.shared.bank,
                base: &format!("/bay/{id}"),
                token: &page.token,
                title: desk.case.scenario.title.clone(),
                who: None,
                steps: desk.bay.actions().len() as u64,
                bay: &desk.bay,
                case: &desk.case,
                units: desk.units,
                said: &desk.said,
                hint: desk.hint.as_ref(),
                hints: true,
                wall: None,
                ends: Ends::Debrief,
            },
            &place,
        ))
    })
    .await
}

/// Does something at a car, and goes back to it, to the same place.
async fn does(
    page: Arc<Page>,
    id: String,
    (words, steps): (String, u64),
    at: Option<String>,
) -> Result<Response, No> {
    aside(move || {
        let desk = page.desk(&id)?;
        let mut desk = lock(&desk);
        page.act(&mut desk, &words, steps);
        Ok(to(&id, &there(&desk, at.as_deref())))
    })
    .await
}

/// The same place of the car, where the car has it.
fn there(desk: &Desk, at: Option<&str>) -> Where {
    Where::at(called(&desk.case.vehicle, at).map(|one| one.id))
}

/// Leads to a session's car.
fn to(id: &str, place: &Where) -> Response {
    Redirect::to(&format!("/bay/{id}{}", place.query())).into_response()
}

async fn watch(
    Extension(Mine(page)): Extension<Mine>,
    Path(id): Path<String>,
    Form(form): Form<Look>,
) -> Result<Response, No> {
    ours(&page, &form)?;
    let watch = Watch::of_form(&form)?;
    aside(move || {
        let desk = page.desk(&id)?;
        let mut desk = lock(&desk);
        let mut steps = form.steps;
        let goes_on = watch.look().iter().all(|action| {
            steps += 1;
            page.act(&mut desk, &action.to_string(), steps - 1)
        });
        let next = watch.after().filter(|_| goes_on);
        let there = there(&desk, form.at.as_deref());
        Ok(to(&id, &there.watching(next.as_ref(), steps)))
    })
    .await
}

async fn act(
    Extension(Mine(page)): Extension<Mine>,
    Path(id): Path<String>,
    Form(form): Form<Act>,
) -> Result<Response, No> {
    ours(&page, &form)?;
    does(page, id, (form.typed.line(), form.steps), form.at).await
}

async fn suspect(
    Extension(Mine(page)): Extension<Mine>,
    Path(id): Path<String>,
    Form(form): Form<Suspect>,
) -> Result<Response, No> {
    ours(&page, &form)?;
    let words = format!("suspect {} {} %", form.fault, form.percent);
    does(page, id, (words, form.steps), None).await
}

/// A conclusion: its readings come as many fields of one name, which only the raw text of the form tells.
async fn conclude(
    Extension(Mine(page)): Extension<Mine>,
    Path(id): Path<String>,
    extract::RawForm(bytes): extract::RawForm,
) -> Result<Response, No> {
    let form = conclusion::read(&bytes)?;
    if form.token != page.token {
        return Err(No::NotOurs);
    }
    // Whoever concludes is asked once more, with what it would rest on before them.
    page.desk(&id)?;
    Ok(to(&id, &Where::sure(form.words)))
}

async fn end(
    Extension(Mine(page)): Extension<Mine>,
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

async fn debrief(
    Extension(Mine(page)): Extension<Mine>,
    Path(id): Path<String>,
) -> Result<Response, No> {
    aside(move || {
        let desk = page.desk(&id)?;
        let desk = lock(&desk);
        let (mut made, mut failed) = (None, None);
        match &desk.debrief {
            Debrief::NotAsked => {
                return Ok(Redirect::to(&format!("/bay/{id}")).into_response());
            }
            Debrief::InTheMaking => {}
            Debrief::Made(told) => made = Some(Made::of(&page.shared.bank, &desk, told)),
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

async fn trace(
    Extension(Mine(page)): Extension<Mine>,
    Path(id): Path<String>,
) -> Result<Response, No> {
    picture(page, id, |desk, told| {
        Some(drawn_trace(&Trace {
            title: desk.case.scenario.title.clone(),
            points: told.grade.trace.iter().map(TracePoint::of).collect(),
        }))
    })
    .await
}

async fn cycle(
    Extension(Mine(page)): Extension<Mine>,
    Path(id): Path<String>,
) -> Result<Response, No> {
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
        Ok(self_contained(SVG, drawn))
    })
    .await
}
