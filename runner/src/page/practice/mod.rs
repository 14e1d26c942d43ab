//! Practice: a car of one's choice, and its debrief.

mod answer;
pub(super) mod desk;

use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use scenarios::Bank;

use super::shelf::Shelf;
use super::worker::Worker;
use super::{NotServed, Place, drawn};
use crate::cache::TourCache;

use desk::Desk;

pub use answer::{ADDRESSES, router};
pub(super) use answer::{Mine, routes};

/// Letters of a session's id, two for each byte.
const ID_BYTES: usize = 8;
/// Sessions held in memory.
const MOST_OPEN: usize = 64;
/// The same of each of many.
const MOST_OPEN_EACH: usize = 2;

/// What everybody's practice has in common.
#[derive(Debug)]
pub(super) struct Shared {
    pub bank: Bank,
    pub tours: TourCache,
    pub worker: Worker,
}

/// Somebody's practice: what is served, and where it is kept.
#[derive(Debug)]
pub struct Page {
    shared: Arc<Shared>,
    /// Folder of the sessions.
    sessions: PathBuf,
    place: Place,
    /// Stands in every form: another site does not know it, and so cannot post here.
    token: String,
    /// Whoever practises was let in with a code, and goes out again.
    let_in: bool,
    desks: Shelf<Desk>,
}

/// Bytes of what stands in every form.
const TOKEN_BYTES: usize = 16;

/// What stands in every form: drawn once and kept, so that a page in a browser outlives the program that it came from.
fn token_in(folder: &Path) -> Result<String, NotServed> {
    let failed = |why| NotServed::Folder(folder.to_owned(), why);
    let file = folder.join("forms.token");
    match std::fs::read_to_string(&file) {
        Ok(text)
            if text.len() == 2 * TOKEN_BYTES && text.bytes().all(|one| one.is_ascii_hexdigit()) =>
        {
            return Ok(text);
        }
        Err(why) if why.kind() != std::io::ErrorKind::NotFound => return Err(failed(why)),
        _ => {}
    }
    let token = drawn::<TOKEN_BYTES>()?;
    std::fs::create_dir_all(folder).map_err(failed)?;
    std::fs::write(&file, &token).map_err(failed)?;
    Ok(token)
}

impl Page {
    /// A page of this bank that keeps its sessions in a folder, for a place on this machine.
    ///
    /// # Errors
    /// [`NotServed::NoNumber`] and [`NotServed::Folder`].
    pub fn new(
        bank: Bank,
        sessions: PathBuf,
        tours: TourCache,
        at: SocketAddr,
    ) -> Result<Self, NotServed> {
        let token = token_in(&sessions)?;
        let shared = Shared {
            bank,
            tours,
            worker: Worker::default(),
        };
        Ok(Self {
            shared: Arc::new(shared),
            sessions,
            place: Place::here(at),
            token,
            let_in: false,
            desks: Shelf::new(MOST_OPEN),
        })
    }

    /// The page of somebody who was let in; this stands in their forms.
    pub(super) fn of(shared: Arc<Shared>, sessions: PathBuf, place: Place, token: String) -> Self {
        Self {
            shared,
            sessions,
            place,
            token,
            let_in: true,
            desks: Shelf::new(MOST_OPEN_EACH),
        }
    }

    /// What stands in every form of this page.
    #[must_use]
    pub fn token(&self) -> &str {
        &self.token
    }

    /// The file of a session; none where it is no id.
    fn file(&self, id: &str) -> Option<PathBuf> {
        let digits = id.bytes().all(|byte| byte.is_ascii_hexdigit());
        let name = format!("{id}.session");
        (digits && id.len() == 2 * ID_BYTES).then(|| self.sessions.join(name))
    }
}
