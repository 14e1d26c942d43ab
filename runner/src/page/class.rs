//! A class in which people practise over the network: each with a code, each with sessions of their own, under the eyes
//! of whoever teaches. What they see is what somebody at this machine would: debriefs, too.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::SystemTime;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::Method;
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use scenarios::Bank;

use super::answers::{No, aside, files, html, nowhere};
use super::doors::{self, Behind, Doors, Proctor, Who, ago, door};
use super::practice::{self, Mine, Page, Shared};
use super::views::{Line, PractisedLine, PractisedPage};
use super::worker::Worker;
use super::{Place, headers};
use crate::cache::TourCache;
use crate::records::Office;
use crate::records::office::now_ms;

/// What codes and cookies of a class are for.
const PURPOSE: &str = "practice";
/// What people read above the door.
const TITLE: &str = "Practice";
/// Largest request, bytes: a list of readings to rely on is the longest.
const MOST_BYTES: usize = 16 * 1024;

/// A class.
pub struct Class {
    doors: Doors,
    shared: Arc<Shared>,
    /// Pages of those who have come in, by candidate.
    pages: Mutex<BTreeMap<String, Arc<Page>>>,
}

impl std::fmt::Debug for Class {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Class in {:?}", self.doors.office)
    }
}

impl Class {
    /// A class of an office.
    #[must_use]
    pub fn open(bank: Bank, office: Office, tours: TourCache, place: Place) -> Arc<Self> {
        let shared = Shared {
            bank,
            tours,
            worker: Worker::default(),
        };
        Arc::new(Self {
            doors: Doors::of(office, place, PURPOSE, TITLE),
            shared: Arc::new(shared),
            pages: Mutex::default(),
        })
    }

    /// Where the sessions of all are kept, a folder each.
    fn folder(&self) -> PathBuf {
        self.doors.office.practised()
    }

    /// The page of a candidate.
    fn page(&self, candidate: &str) -> Arc<Page> {
        let who = Who::Candidate {
            id: candidate.to_owned(),
            attempt: 1,
        };
        let mut pages = self.pages.lock().unwrap_or_else(PoisonError::into_inner);
        let page = pages.entry(candidate.to_owned()).or_insert_with(|| {
            Arc::new(Page::of(
                Arc::clone(&self.shared),
                self.folder().join(candidate),
                self.doors.place.clone(),
                self.doors.cookies.token(Some(&who)),
            ))
        });
        Arc::clone(page)
    }

    /// The title of a case.
    fn title(&self, case: &str) -> String {
        let known = self.shared.bank.case(case);
        known.map_or_else(|| case.to_owned(), |case| case.title.clone())
    }
}

impl Behind for Class {
    const HOME: &'static str = "/";
    const IS_FORM: bool = false;

    fn doors(&self) -> &Doors {
        &self.doors
    }

    // Practice is never over: one code does for good.
    fn begun(&self) -> Result<BTreeMap<String, u32>, String> {
        Ok(BTreeMap::new())
    }

    fn lines(&self) -> Result<Vec<Line>, String> {
        let on_roster = self.doors.roster().candidates()?;
        let people = self.doors.office.store().people();
        let people = people.map_err(|why| why.to_string())?;
        let mut lines = Vec::new();
        for person in people.into_iter().filter(|one| on_roster.contains(&one.id)) {
            let begun = self.page(&person.id).begun();
            let mut line = Line {
                code: Some(self.doors.code(&person.id, 1)),
                name: person.name,
                candidate: person.id,
                state: "no car yet".to_owned(),
                ..Line::default()
            };
            if let Some(session) = begun.first() {
                line.state = self.title(&session.whose.case);
                if let Some(mark) = &session.mark {
                    line.state.push_str(&format!(", {mark} of 100"));
                }
                line.did = session.last.clone().unwrap_or_default();
                line.last = ago(since_ms(session.changed));
                line.steps = Some(session.steps as u64);
            }
            lines.push(line);
        }
        lines.sort_by(|a, b| a.name.cmp(&b.name).then(a.candidate.cmp(&b.candidate)));
        Ok(lines)
    }
}

fn since_ms(moment: SystemTime) -> i64 {
    let since = SystemTime::now().duration_since(moment);
    since.map_or(0, |since| {
        i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
    })
}

/// The addresses of a class beside those of practice and of the doors.
pub const ADDRESSES: [(&str, &str); 1] = [("GET", "/room/practised")];

/// The addresses of a class.
pub fn router(class: Arc<Class>) -> Router {
    let place = Arc::new(class.doors.place.clone());
    let practice = practice::routes().route_layer(middleware::from_fn_with_state(
        Arc::clone(&class),
        for_one_let_in,
    ));
    doors::routes()
        .route("/room/practised", get(practised))
        .merge(practice)
        .merge(files())
        .fallback(nowhere)
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(middleware::from_fn_with_state(place, headers::guarded))
        .with_state(class)
}

/// Puts whoever was let in before their own practice, and everybody else before the door.
async fn for_one_let_in(
    State(class): State<Arc<Class>>,
    mut request: Request,
    next: Next,
) -> Response {
    let doors = &class.doors;
    match doors.cookies.who(request.headers(), now_ms()) {
        Some(Who::Candidate { id, .. }) => {
            if request.method() == Method::POST && !doors.limits.may_do(&id) {
                return No::TooOften.into_response();
            }
            request.extensions_mut().insert(Mine(class.page(&id)));
            next.run(request).await
        }
        Some(Who::Proctor) => Redirect::to("/room").into_response(),
        None if request.uri().path() == "/" => door(doors, None).into_response(),
        None => Redirect::to("/").into_response(),
    }
}

/// Every session that anybody has.
async fn practised(State(class): State<Arc<Class>>, _: Proctor) -> Result<Response, No> {
    aside(move || {
        let mut lines = Vec::new();
        for one in class.lines().map_err(No::Failed)? {
            for session in class.page(&one.candidate).begun() {
                lines.push(PractisedLine {
                    name: one.name.clone(),
                    title: class.title(&session.whose.case),
                    steps: session.steps,
                    when: ago(since_ms(session.changed)),
                    mark: session.mark.unwrap_or_default(),
                });
            }
        }
        html(&PractisedPage { lines })
    })
    .await
}
