//! The workbench for cases: a text with the loader's mistakes at their lines, and the check whether it can be solved.

use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;
use axum::extract::{Form, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use scenarios::{Bank, Case, LoadError};
use serde::Deserialize;

use super::Room;
use crate::author::check;
use crate::author::draft::Draft;
use crate::author::versions::versions;
use crate::cli::author::found;
use crate::page::answers::{No, aside, html};
use crate::page::doors::Proctor;
use crate::page::views::{CasesPage, EditPage, Found, SolvedPage};
use crate::show;

/// What a proctor may ask of cases.
pub(super) fn routes() -> Router<Arc<Room>> {
    Router::new()
        .route("/room/cases", get(cases))
        .route("/room/cases/edit", get(edit).post(edited))
        .route("/room/cases/solved", get(solved))
}

type Shared = State<Arc<Room>>;

/// The seed that a case is checked with: of a range, the middle is looked at first.
const SEED: u64 = 1;
/// Most letters of a case's id.
const LONGEST_ID: usize = 60;
/// Width of what is told of a check.
const WIDTH: usize = 88;

/// Runs the check of one case after the other, in the background.
#[derive(Debug, Default)]
pub(super) struct Solver {
    last: Mutex<Option<Solved>>,
}

/// A check, and what came of it once that is known.
#[derive(Clone, Debug)]
struct Solved {
    id: String,
    /// Its text as it was checked, kept or not.
    text: String,
    told: Option<String>,
}

impl Solver {
    fn last(&self) -> Option<Solved> {
        let last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        last.clone()
    }

    /// Takes a case on, unless another one is at work.
    fn begins(&self, id: &str, text: &str) -> bool {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        if last.as_ref().is_some_and(|one| one.told.is_none()) {
            return false;
        }
        *last = Some(Solved {
            id: id.to_owned(),
            text: text.to_owned(),
            told: None,
        });
        true
    }

    fn ends(&self, told: String) {
        let mut last = self.last.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(last) = last.as_mut() {
            last.told = Some(told);
        }
    }
}

impl Room {
    /// The file of a case of this office's own; none where that is no name.
    fn case_file(&self, id: &str) -> Option<PathBuf> {
        let plain = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
        let is_id = !id.is_empty() && id.len() <= LONGEST_ID && id.bytes().all(plain);
        is_id.then(|| {
            self.doors
                .office
                .folder()
                .join("cases")
                .join(format!("{id}.toml"))
        })
    }

    /// Ids of the cases of this office's own.
    fn own_cases(&self) -> Vec<String> {
        let files = std::fs::read_dir(self.doors.office.folder().join("cases"));
        let names = files.into_iter().flatten().flatten();
        let names = names.filter_map(|file| file.file_name().into_string().ok());
        let ids = names.filter_map(|name| name.strip_suffix(".toml").map(str::to_owned));
        let mut ids: Vec<String> = ids.filter(|id| self.case_file(id).is_some()).collect();
        ids.sort();
        ids
    }
}

async fn cases(State(room): Shared, _: Proctor) -> Result<Response, No> {
    aside(move || {
        html(&CasesPage {
            own: room.own_cases(),
            folder: room
                .doors
                .office
                .folder()
                .join("cases")
                .display()
                .to_string(),
        })
    })
    .await
}

#[derive(Deserialize)]
struct Which {
    id: Option<String>,
}

/// What a new case is called until somebody says otherwise.
const NEW: &str = "my-case";

async fn edit(
    State(room): Shared,
    proctor: Proctor,
    Query(which): Query<Which>,
) -> Result<Response, No> {
    aside(move || {
        let bank = &room.library.bank;
        let (id, text) = match which.id {
            None => (NEW.to_owned(), Draft::new(bank).file(bank, NEW)),
            Some(id) => {
                let file = room.case_file(&id).ok_or(No::Nowhere)?;
                let text = std::fs::read_to_string(file).map_err(|_| No::Nowhere)?;
                (id, text)
            }
        };
        html(&EditPage::of(
            &proctor.token,
            &id,
            &text,
            Found::NotLookedFor,
        ))
    })
    .await
}

#[derive(Deserialize)]
struct Edited {
    token: String,
    id: String,
    text: String,
    /// What is wanted: `look`, `keep` or `solve`.
    wants: String,
}

async fn edited(
    State(room): Shared,
    proctor: Proctor,
    Form(form): Form<Edited>,
) -> Result<Response, No> {
    proctor.ours(&form.token)?;
    aside(move || {
        // A browser ends lines as the network does.
        let text = form.text.replace("\r\n", "\n");
        let id = form.id.trim();
        let shown = |found| html(&EditPage::of(&proctor.token, id, &text, found));
        let Some(file) = room.case_file(id) else {
            return shown(Found::Sentence(
                "A case is called by small letters, digits and hyphens.".to_owned(),
            ));
        };
        let read = room
            .library
            .bank
            .clone()
            .with_case(&format!("{id}.toml"), &text);
        let bank = match read {
            Ok((bank, _)) => bank,
            Err(error) => return shown(Found::Problems(problems(&error))),
        };
        match form.wants.as_str() {
            "keep" => {
                let kept = file.parent().map_or(Ok(()), std::fs::create_dir_all);
                let kept = kept.and_then(|()| std::fs::write(&file, &text));
                kept.map_err(|why| {
                    No::Failed(format!("{} cannot be written: {why}", file.display()))
                })?;
                shown(Found::Sentence(format!("Kept in {}.", file.display())))
            }
            "solve" => {
                if !room.solver.begins(id, &text) {
                    return shown(Found::Sentence(
                        "Another case is being checked: wait for it.".to_owned(),
                    ));
                }
                let (room, id) = (Arc::clone(&room), id.to_owned());
                std::thread::spawn(move || {
                    let told = solve(&room, &bank, &id);
                    room.solver.ends(told);
                });
                Ok(Redirect::to("/room/cases/solved").into_response())
            }
            _ => shown(Found::Sentence("It can be read, line by line.".to_owned())),
        }
    })
    .await
}

/// Line, sentence and advice of each mistake.
fn problems(error: &LoadError) -> Vec<(Option<usize>, String, String)> {
    let told = error.problems().iter().map(|problem| {
        let label = problem.label.clone().unwrap_or_default();
        (error.line(problem), problem.message.clone(), label)
    });
    told.collect()
}

/// Whether a case can be solved, in words.
fn solve(room: &Room, bank: &Bank, id: &str) -> String {
    let case = match Case::deal(bank, id, SEED) {
        Ok(case) => case,
        Err(why) => return why.to_string(),
    };
    let found = check(bank, &case, &room.tours, &());
    let dealt = versions(bank, id, 0, &room.tours, &());
    show::wrapped(&found::page(bank, &case, &found, &dealt), WIDTH)
}

async fn solved(State(room): Shared, proctor: Proctor) -> Result<Response, No> {
    let last = room.solver.last().ok_or(No::Nowhere)?;
    html(&SolvedPage {
        token: &proctor.token,
        id: &last.id,
        text: &last.text,
        told: last.told.as_deref(),
    })
}
