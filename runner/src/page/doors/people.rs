//! Who is expected: names put down, corrected, and taken off again.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Form, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::post;
use serde::Deserialize;

use super::{Behind, Proctor};
use crate::invigilate::open::{called, person};
use crate::page::answers::{No, aside};
use crate::page::views::Line;
use crate::records::Person;

/// What a proctor may do with names.
pub(super) fn routes<B: Behind>() -> Router<Arc<B>> {
    Router::new()
        .route("/room/people", post(people::<B>))
        .route("/room/rename", post(rename::<B>))
        .route("/room/remove", post(remove::<B>))
}

#[derive(Deserialize)]
struct People {
    token: String,
    names: String,
}

/// Most names put down at once.
const MOST_NAMES: usize = 500;

async fn people<B: Behind>(
    State(behind): State<Arc<B>>,
    proctor: Proctor,
    Form(form): Form<People>,
) -> Result<Response, No> {
    proctor.ours(&form.token)?;
    aside(move || {
        let doors = behind.doors();
        let names = form.names.lines().map(str::trim);
        let names: Vec<&str> = names.filter(|name| !name.is_empty()).collect();
        if names.len() > MOST_NAMES {
            return Err(No::Wrong(format!("at most {MOST_NAMES} names at once")));
        }
        let mut known = doors.roster().candidates().map_err(No::Failed)?;
        let (mut new, mut twice) = (Vec::new(), Vec::new());
        for name in names {
            let id = person(&doors.office, name).map_err(No::Wrong)?;
            if known.contains(&id) {
                twice.push(name);
            } else {
                known.push(id.clone());
                new.push(id);
            }
        }
        doors.roster().add(&new).map_err(No::Failed)?;
        if !twice.is_empty() {
            doors.tell(format!(
                "Down already, with one code each: {}. Somebody else of the same name needs something that tells them apart, such as a year of birth.",
                twice.join(", ")
            ));
        }
        Ok(Redirect::to("/room").into_response())
    })
    .await
}

#[derive(Deserialize)]
struct Who {
    token: String,
    candidate: String,
    name: Option<String>,
}

/// Does something about somebody who is put down, and goes back to the room.
async fn about<B: Behind>(
    behind: Arc<B>,
    proctor: Proctor,
    form: Who,
    does: impl FnOnce(&B, Line, Option<String>) -> Result<(), No> + Send + 'static,
) -> Result<Response, No> {
    proctor.ours(&form.token)?;
    aside(move || {
        let lines = behind.lines().map_err(No::Failed)?.into_iter();
        let mut found = lines.filter(|line| line.candidate == form.candidate);
        let none = || No::Wrong("nobody of that name is put down here".to_owned());
        does(&behind, found.next().ok_or_else(none)?, form.name)?;
        Ok(Redirect::to("/room").into_response())
    })
    .await
}

async fn rename<B: Behind>(
    State(behind): State<Arc<B>>,
    proctor: Proctor,
    Form(form): Form<Who>,
) -> Result<Response, No> {
    about(behind, proctor, form, |behind, line, name| {
        let name = called(&name.unwrap_or_default()).map_err(No::Wrong)?;
        let doors = behind.doors();
        let mut store = doors.office.store();
        let people = store.people().map_err(|why| No::Failed(why.to_string()))?;
        if people.iter().any(|one| one.name == name) {
            doors.tell(format!("Somebody is called {name} already."));
            return Ok(());
        }
        let person = Person {
            id: line.candidate.clone(),
            name: name.clone(),
        };
        let named = store.name_person(&person);
        named.map_err(|why| No::Failed(why.to_string()))?;
        // Whoever sits may be waiting for the store with their seat held.
        drop(store);
        behind.renamed(&line.candidate, line.attempt, &name);
        doors.tell(format!("{} is called {name} from now on.", line.name));
        Ok(())
    })
    .await
}

async fn remove<B: Behind>(
    State(behind): State<Arc<B>>,
    proctor: Proctor,
    Form(form): Form<Who>,
) -> Result<Response, No> {
    about(behind, proctor, form, |behind, line, _| {
        if B::IS_FORM && line.attempt > 0 {
            return Err(No::Wrong(format!(
                "{} has begun: what was done stays in the record",
                line.name
            )));
        }
        let doors = behind.doors();
        doors.roster().remove(&line.candidate).map_err(No::Failed)?;
        doors.tell(format!("{} is off the list.", line.name));
        Ok(())
    })
    .await
}
