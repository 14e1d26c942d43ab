//! What whoever looks after the sittings may ask of what came of them.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use serde::Deserialize;

use super::Room;
use super::seat::BY_THE_OFFICE;
use crate::assess::{HANDED_IN, MORE_TIME};
use crate::cli::records::{class_pages, moment, shown};
use crate::invigilate::kept::Words;
use crate::invigilate::open::{PROGRAM, Started, again};
use crate::page::answers::{HTML, No, aside, html, self_contained};
use crate::page::doors::Proctor;
use crate::page::views::{SittingPage, tasks_sat};
use crate::records::entry::FINISHED;
use crate::records::store::Filter;
use crate::records::{Entry, ResultRow};

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
        let entries = room.doors.office.journal().take_up(&id);
        let entries = entries.map_err(|why| No::Failed(why.to_string()))?;
        let candidate = Started::of(&entries).map_err(No::Failed)?.candidate;
        // What another version of the program dealt is told by its entries alone.
        let sat = again(room.library, &room.doors.office, &entries);
        let marks = marks(&room, &id)?;
        let tasks = sat.map_or_else(
            |_| Vec::new(),
            |sat| tasks_sat(&room.library.bank, &sat, &marks),
        );
        let finished = entries.iter().rfind(|entry| entry.kind == FINISHED);
        html(&SittingPage {
            id: &id,
            name: room.name_of(&candidate).map_err(No::Failed)?,
            form: &room.form.title,
            helped: helped(&entries),
            verdict: finished.map(|entry| verdict(&room, &id, &entry.body)),
            tasks,
            text: &text,
        })
    })
    .await
}

/// What whoever looked after a sitting did in it.
fn helped(entries: &[Entry]) -> Vec<String> {
    let told = entries.iter().filter_map(|entry| {
        let words: Words = serde_json::from_str(&entry.body).ok()?;
        let told = match entry.kind.as_str() {
            MORE_TIME => format!("{} more were given", words.words),
            // A candidate's own words are no office's.
            HANDED_IN if words.words == BY_THE_OFFICE => format!("handed in {BY_THE_OFFICE}"),
            _ => return None,
        };
        Some(format!("{}: {told}.", moment(entry.wall_ms)))
    });
    told.collect()
}

/// What this program found of each task.
fn marks(room: &Room, sitting: &str) -> Result<Vec<ResultRow>, No> {
    let filter = Filter {
        sitting: Some(sitting.to_owned()),
        ..Filter::default()
    };
    let rows = room.doors.office.store().results(&filter);
    let rows = rows.map_err(|why| No::Failed(why.to_string()))?;
    let ours = rows.into_iter().filter(|row| row.program == PROGRAM);
    Ok(ours.collect())
}

/// What a sitting came to, as it was written down.
pub(super) fn verdict(room: &Room, sitting: &str, body: &str) -> String {
    #[derive(Deserialize)]
    struct Finished {
        passed: bool,
        mark: f64,
        reasons: Vec<String>,
    }
    let Ok(ended) = serde_json::from_str::<Finished>(body) else {
        return "It is marked; whoever looks after the sitting has the result.".to_owned();
    };
    let said = if ended.passed { "Passed" } else { "Not passed" };
    let needed = room.form.pass.mark;
    let mut text = format!(
        "{said}: {:.0} of 100 marks, {needed:.0} needed.\n",
        ended.mark
    );
    for reason in ended.reasons {
        text.push_str(&format!("\n{reason}"));
    }
    let filter = Filter {
        sitting: Some(sitting.to_owned()),
        ..Filter::default()
    };
    // Without the marks of the tasks the verdict still stands.
    let rows = room
        .doors
        .office
        .store()
        .results(&filter)
        .unwrap_or_default();
    text.push_str("\n\n");
    for row in rows.iter().filter(|row| row.program == PROGRAM) {
        let title = (room.library.bank.case(&row.item)).map_or("a question", |case| &case.title);
        text.push_str(&format!(
            "{:>3}  {:>3.0} of 100  {title}\n",
            row.task, row.mark
        ));
    }
    text
}
