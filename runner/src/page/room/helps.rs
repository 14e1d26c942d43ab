//! What a proctor may do for somebody who sits: give more time, or hand in for them. Both stand in the record.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use serde::Deserialize;

use super::Room;
use crate::assess::Step;
use crate::page::answers::{No, aside};
use crate::page::doors::{Behind, Proctor};
use crate::page::shelf::lock;

/// Most minutes given at once.
const MOST_MINUTES: u32 = 240;

/// What may be done for somebody.
pub(super) fn routes() -> Router<Arc<Room>> {
    Router::new()
        .route("/room/more", post(more))
        .route("/room/end", post(end))
}

#[derive(Deserialize)]
struct For {
    token: String,
    candidate: String,
    minutes: Option<u32>,
}

async fn more(
    State(room): State<Arc<Room>>,
    proctor: Proctor,
    Form(form): Form<For>,
) -> Result<Response, No> {
    proctor.ours(&form.token)?;
    let minutes = form
        .minutes
        .filter(|minutes| (1..=MOST_MINUTES).contains(minutes));
    let minutes = minutes
        .ok_or_else(|| No::Wrong(format!("1 to {MOST_MINUTES} minutes can be given at once")))?;
    let told = format!("has {minutes} min more.");
    does(room, form.candidate, Step::MoreTime(minutes), told).await
}

async fn end(
    State(room): State<Arc<Room>>,
    proctor: Proctor,
    Form(form): Form<For>,
) -> Result<Response, No> {
    proctor.ours(&form.token)?;
    let told = "was handed in as it stood, and is being marked.".to_owned();
    does(room, form.candidate, Step::HandIn, told).await
}

/// Takes a step in the sitting that somebody has not finished.
async fn does(
    room: Arc<Room>,
    candidate: String,
    step: Step,
    told: String,
) -> Result<Response, No> {
    aside(move || {
        let lines = room.lines().map_err(No::Failed)?;
        let line = lines.iter().find(|line| line.candidate == candidate);
        let line = line.filter(|line| !line.is_over && line.attempt > 0);
        let line = line.ok_or_else(|| No::Wrong("nobody of that name sits now".to_owned()))?;
        let seat = room
            .seat(&line.candidate, line.attempt)
            .map_err(No::Failed)?;
        let seat = seat.ok_or(No::Nowhere)?;
        room.office_step(&mut lock(&seat), &step)
            .map_err(No::Failed)?;
        room.more_was_given();
        room.doors.tell(format!("{} {told}", line.name));
        Ok(Redirect::to("/room").into_response())
    })
    .await
}
