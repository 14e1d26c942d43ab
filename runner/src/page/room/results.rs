//! What whoever looks after the sittings may ask of what came of them.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;

use super::Room;
use crate::cli::records::{class_pages, shown};
use crate::page::answers::{HTML, No, aside, html, self_contained};
use crate::page::doors::Proctor;
use crate::page::views::SittingPage;

/// Results.
pub(super) fn routes() -> Router<Arc<Room>> {
    Router::new()
        .route("/room/class", get(class))
        .route("/room/tasks", get(tasks))
        .route("/room/sitting/{id}", get(sitting))
}

type Shared = State<Arc<Room>>;

async fn class(State(room): Shared, _: Proctor) -> Result<Response, No> {
    aside(move || {
        let pages = class_pages(room.library, &room.doors.office, room.form).map_err(No::Wrong)?;
        Ok(self_contained(HTML, pages.class))
    })
    .await
}

async fn tasks(State(room): Shared, _: Proctor) -> Result<Response, No> {
    aside(move || {
        let pages = class_pages(room.library, &room.doors.office, room.form).map_err(No::Wrong)?;
        Ok(self_contained(HTML, pages.tasks))
    })
    .await
}

async fn sitting(State(room): Shared, _: Proctor, Path(id): Path<String>) -> Result<Response, No> {
    aside(move || {
        let text = shown(room.library, &room.doors.office, &id).map_err(|_| No::Nowhere)?;
        html(&SittingPage {
            id: &id,
            text: &text,
        })
    })
    .await
}
