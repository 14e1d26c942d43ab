//! What a candidate may ask: their own sitting. No answer here is made of what is wrong with a car, of a
//! seed, or of a key.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, Query, RawForm, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use scenarios::question::Body;
use scenarios::units::UnitSystem;
use serde::Deserialize;

use super::Room;
use super::results::verdict;
use super::seat::Seat;
use crate::assess::{Given, Step, rules};
use crate::cli::examples::in_units;
use crate::draw::places::called;
use crate::knowledge::picture;
use crate::page::answers::{No, SVG, aside, html, self_contained};
use crate::page::conclusion;
use crate::page::doors::{Who, door};
use crate::page::said::Said;
use crate::page::shelf::lock;
use crate::page::typed::{self, Typed};
use crate::page::views::{
    AtBay, BayPage, Clock, ClockOver, Ends, OverPage, QuestionPage, RulesPage,
};
use crate::page::watch::{Look, Watch};
use crate::page::whereabouts::Where;
use crate::records::office::now_ms;

/// How the addresses of a sitting begin.
pub(super) const BASE: &str = "/sit";

/// What a candidate may ask.
pub(super) fn routes() -> Router<Arc<Room>> {
    Router::new()
        .route("/", get(at_the_door))
        .route("/sit", get(sit))
        .route("/sit/clock", get(clock))
        .route("/sit/begin", post(begin))
        .route("/sit/act", post(act))
        .route("/sit/watch", post(watch))
        .route("/sit/suspect", post(suspect))
        .route("/sit/conclude", post(conclude))
        .route("/sit/answer", post(answer))
        .route("/sit/leave", post(leave))
        .route("/sit/hand-in", post(hand_in))
        .route("/sit/chart.svg", get(chart))
}

type Shared = State<Arc<Room>>;

async fn at_the_door(State(room): Shared, headers: HeaderMap) -> Result<Response, No> {
    match room.doors.cookies.who(&headers, now_ms()) {
        Some(Who::Candidate { .. }) => Ok(Redirect::to(BASE).into_response()),
        Some(Who::Proctor) => Ok(Redirect::to("/room").into_response()),
        None => door(&room.doors, None),
    }
}

/// Somebody whom a code let in.
struct Candidate {
    id: String,
    attempt: u32,
    token: String,
}

impl Room {
    /// The candidate who asks; who is none, is shown nothing.
    fn one(&self, headers: &HeaderMap) -> Result<Candidate, No> {
        let cookies = &self.doors.cookies;
        let who = cookies.who(headers, now_ms()).ok_or(No::Nowhere)?;
        let token = cookies.token(Some(&who));
        match who {
            Who::Candidate { id, attempt } => Ok(Candidate { id, attempt, token }),
            Who::Proctor => Err(No::Nowhere),
        }
    }

    /// The candidate whose form it is.
    fn whose(&self, headers: &HeaderMap, token: &str) -> Result<Candidate, No> {
        let one = self.one(headers)?;
        if !self.doors.limits.may_do(&one.id) {
            return Err(No::TooOften);
        }
        if token == one.token {
            Ok(one)
        } else {
            Err(No::NotOurs)
        }
    }
}

async fn sit(
    State(room): Shared,
    headers: HeaderMap,
    Query(place): Query<Where>,
) -> Result<Response, No> {
    let Ok(one) = room.one(&headers) else {
        // The cookie may have run out: the code lets in again.
        return Ok(Redirect::to("/").into_response());
    };
    aside(move || {
        let seat = room.seat(&one.id, one.attempt).map_err(No::Failed)?;
        let Some(seat) = seat else {
            return before(&room, &one);
        };
        let mut seat = lock(&seat);
        page(&room, &one, &mut seat, &place)
    })
    .await
}

/// The time that is left, asked for while a task stands on the page: somebody may have been given more, or have been
/// handed in for.
async fn clock(State(room): Shared, headers: HeaderMap) -> Result<Response, No> {
    let one = room.one(&headers)?;
    with_seat(room, one, |_, seat| {
        let clock = Clock::of(&seat.sitting, now_ms());
        let waits = (seat.sitting.waits()).map_err(|why| No::Failed(why.to_string()))?;
        if clock.left_s < 0 || waits.is_none() {
            html(&ClockOver)
        } else {
            html(&clock)
        }
    })
    .await
}

/// How tasks come, on a page.
const ON_THE_PAGE: &str = "Tasks come one after the other; nobody goes back. You may close the page and come back with your code: the clock on the wall runs on.";

fn before(room: &Room, one: &Candidate) -> Result<Response, No> {
    let people = room.doors.office.store().people();
    let people = people.map_err(|why| No::Failed(why.to_string()))?;
    let person = people.iter().find(|person| person.id == one.id);
    let mut paragraphs = rules(room.form);
    paragraphs.push(ON_THE_PAGE.to_owned());
    html(&RulesPage {
        name: person.map_or("somebody without a name", |person| &person.name),
        title: &room.form.title,
        paragraphs,
        token: &one.token,
    })
}

/// The page of a sitting as it stands.
fn page(room: &Room, one: &Candidate, seat: &mut Seat, place: &Where) -> Result<Response, No> {
    let left_s = seat.sitting.left_ms(now_ms()) / 1000;
    let steps = seat.steps();
    let count = seat.sitting.given().len();
    let units = seat.sitting.units();
    let waits = (seat.sitting.waits()).map_err(|why| No::Failed(why.to_string()))?;
    let waits = waits.filter(|_| left_s >= 0);
    let Some((number, given)) = waits.map(|(number, given)| (number, given.clone())) else {
        return html(&OverPage {
            title: &room.form.title,
            token: &one.token,
            steps,
            handed_in: seat.sitting.is_handed_in() || left_s < 0,
            said: &seat.said.words,
            verdict: (seat.finished.as_deref()).map(|body| verdict(room, &seat.kept.sitting, body)),
        });
    };
    match &given {
        Given::Case { case, repair, .. } => {
            let Some(bay) = seat.sitting.bay() else {
                return Err(No::Failed("the car is not there".to_owned()));
            };
            let what = if *repair {
                "a car, to be repaired"
            } else {
                "a car"
            };
            html(&BayPage::of(
                AtBay {
                    bank: &room.library.bank,
                    base: BASE,
                    token: &one.token,
                    title: format!("Task {number} of {count}: {what}"),
                    who: Some(&seat.name),
                    steps,
                    bay,
                    case,
                    units,
                    said: &seat.said,
                    hint: seat.hint.as_ref(),
                    hints: room.form.hints,
                    wall: Some(Clock::of(&seat.sitting, now_ms())),
                    ends: Ends::NextTask {
                        repair: *repair,
                        shop_s: room.form.shop_s,
                    },
                },
                place,
            ))
        }
        Given::Question { dealt, .. } => html(&QuestionPage::of(
            (BASE, &one.token),
            &seat.name,
            format!("Task {number} of {count}: a question"),
            (steps, Clock::of(&seat.sitting, now_ms())),
            (&seat.said.words, &seat.typed),
            dealt,
        )),
    }
}

#[derive(Deserialize)]
struct Begin {
    token: String,
    units: String,
}

async fn begin(
    State(room): Shared,
    headers: HeaderMap,
    Form(form): Form<Begin>,
) -> Result<Response, No> {
    let one = room.whose(&headers, &form.token)?;
    aside(move || {
        let units = if form.units == "us" {
            UnitSystem::Us
        } else {
            UnitSystem::Si
        };
        room.begin((&one.id, one.attempt), units)
            .map_err(No::Failed)?;
        Ok(Redirect::to(BASE).into_response())
    })
    .await
}

/// Does something with a sitting that has begun.
async fn with_seat(
    room: Arc<Room>,
    one: Candidate,
    work: impl FnOnce(&Arc<Room>, &mut Seat) -> Result<Response, No> + Send + 'static,
) -> Result<Response, No> {
    aside(move || {
        let seat = room.seat(&one.id, one.attempt).map_err(No::Failed)?;
        let seat = seat.ok_or_else(|| No::Wrong("This sitting has not begun.".to_owned()))?;
        let mut seat = lock(&seat);
        work(&room, &mut seat)
    })
    .await
}

/// The same place of the car that waits, where it has it.
fn there(seat: &mut Seat, at: Option<&str>) -> Where {
    match seat.sitting.waits() {
        Ok(Some((_, Given::Case { case, .. }))) => {
            Where::at(called(&case.vehicle, at).map(|one| one.id))
        }
        _ => Where::default(),
    }
}

/// Leads to the sitting.
fn to(place: &Where) -> Response {
    Redirect::to(&format!("{BASE}{}", place.query())).into_response()
}

/// Takes a step, and goes back to the sitting, to the same place of the car.
async fn takes(
    room: Arc<Room>,
    one: Candidate,
    (step, steps): (Result<Step, String>, u64),
    at: Option<String>,
) -> Result<Response, No> {
    with_seat(room, one, move |room, seat| {
        match step {
            Ok(step) => {
                room.step(seat, &step, steps).map_err(No::Failed)?;
            }
            Err(why) => seat.said = Said::refused(in_units(&why, seat.sitting.units())),
        }
        Ok(to(&there(seat, at.as_deref())))
    })
    .await
}

fn acted(words: &str) -> Result<Step, String> {
    typed::action(words).map(Step::Act)
}

#[derive(Deserialize)]
struct Act {
    token: String,
    steps: u64,
    #[serde(flatten)]
    typed: Typed,
    at: Option<String>,
}

async fn act(
    State(room): Shared,
    headers: HeaderMap,
    Form(form): Form<Act>,
) -> Result<Response, No> {
    let one = room.whose(&headers, &form.token)?;
    takes(room, one, (acted(&form.typed.line()), form.steps), form.at).await
}

async fn watch(
    State(room): Shared,
    headers: HeaderMap,
    Form(form): Form<Look>,
) -> Result<Response, No> {
    let one = room.whose(&headers, &form.token)?;
    let watch = Watch::of_form(&form)?;
    with_seat(room, one, move |room, seat| {
        let (mut steps, mut goes_on) = (form.steps, true);
        for action in watch.look() {
            if goes_on {
                let step = Step::Act(action);
                goes_on = room.step(seat, &step, steps).map_err(No::Failed)?;
                steps += 1;
            }
        }
        let next = watch.after().filter(|_| goes_on);
        let there = there(seat, form.at.as_deref());
        Ok(to(&there.watching(next.as_ref(), steps)))
    })
    .await
}

#[derive(Deserialize)]
struct Suspect {
    token: String,
    steps: u64,
    fault: String,
    percent: u8,
}

async fn suspect(
    State(room): Shared,
    headers: HeaderMap,
    Form(form): Form<Suspect>,
) -> Result<Response, No> {
    let one = room.whose(&headers, &form.token)?;
    let words = format!("suspect {} {} %", form.fault, form.percent);
    takes(room, one, (acted(&words), form.steps), None).await
}

async fn conclude(
    State(room): Shared,
    headers: HeaderMap,
    RawForm(bytes): RawForm,
) -> Result<Response, No> {
    let form = conclusion::read(&bytes)?;
    let one = room.whose(&headers, &form.token)?;
    // Whoever concludes is asked once more, with what it would rest on before them.
    with_seat(room, one, move |_, _| Ok(to(&Where::sure(form.words)))).await
}

/// An answer: options that are ticked come as many fields of one name.
async fn answer(
    State(room): Shared,
    headers: HeaderMap,
    RawForm(bytes): RawForm,
) -> Result<Response, No> {
    let fields: Vec<(String, String)> =
        serde_urlencoded::from_bytes(&bytes).map_err(|why| No::Wrong(why.to_string()))?;
    let all = |name: &str| {
        let named = fields.iter().filter(|(key, _)| key == name);
        named.map(|(_, value)| value.as_str()).collect::<Vec<_>>()
    };
    let token = all("token").concat();
    let one = room.whose(&headers, &token)?;
    let steps = all("steps").concat().parse();
    let steps = steps.map_err(|_| No::Wrong("the form lacks its step".to_owned()))?;
    let typed = all("answer").join(" ");
    with_seat(room, one, move |room, seat| {
        let number = match seat.sitting.waits() {
            Ok(Some((_, Given::Question { dealt, .. }))) => {
                matches!(dealt.body, Body::Number { .. })
            }
            _ => false,
        };
        let read = if number {
            typed::with_points(&typed)
        } else {
            typed.clone()
        };
        let step = Step::Answer(read);
        let taken = room.step(seat, &step, steps).map_err(No::Failed)?;
        // What was refused stands in its field, to be put right.
        seat.typed = if taken { String::new() } else { typed };
        Ok(to(&Where::default()))
    })
    .await
}

#[derive(Deserialize)]
struct Plain {
    token: String,
    steps: u64,
}

async fn leave(
    State(room): Shared,
    headers: HeaderMap,
    Form(form): Form<Plain>,
) -> Result<Response, No> {
    let one = room.whose(&headers, &form.token)?;
    takes(room, one, (Ok(Step::Leave), form.steps), None).await
}

async fn hand_in(
    State(room): Shared,
    headers: HeaderMap,
    Form(form): Form<Plain>,
) -> Result<Response, No> {
    let one = room.whose(&headers, &form.token)?;
    takes(room, one, (Ok(Step::HandIn), form.steps), None).await
}

/// The chart of the question that waits.
async fn chart(State(room): Shared, headers: HeaderMap) -> Result<Response, No> {
    let one = room.one(&headers)?;
    aside(move || {
        let seat = room.seat(&one.id, one.attempt).map_err(No::Failed)?;
        let seat = seat.ok_or(No::Nowhere)?;
        let mut seat = lock(&seat);
        let waits = seat.sitting.waits();
        let Ok(Some((_, Given::Question { dealt, .. }))) = waits else {
            return Err(No::Nowhere);
        };
        let drawn = picture(dealt).ok_or(No::Nowhere)?;
        Ok(self_contained(SVG, drawn))
    })
    .await
}
