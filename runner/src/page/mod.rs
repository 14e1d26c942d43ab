//! The page: a car in the bay in a browser, served from this program and from nowhere else.
//!
//! What a learner does on the page is the same list of actions as at a terminal, kept in the same kind of file
//! ([`crate::kept`]). Every page works with forms and links alone; the script only saves reloading. What is
//! absent: physics, grades and words of instruments, which are where the terminal has them, too.

mod answer;
mod desk;
mod headers;
mod offers;
mod views;

use std::collections::BTreeMap;
use std::net::{Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use scenarios::Bank;

use crate::cache::TourCache;
use crate::page::desk::Desk;
use crate::records::hex;

pub use answer::{ADDRESSES, router};

/// What is served, and to whom.
#[derive(Debug)]
pub struct Page {
    bank: Bank,
    /// Folder of the practice sessions.
    sessions: PathBuf,
    tours: TourCache,
    /// Where it listens; requests that name another host are not for this page.
    at: SocketAddr,
    /// Stands in every form: another site does not know it, and so cannot post here.
    token: String,
    desks: Mutex<BTreeMap<String, Arc<Mutex<Desk>>>>,
}

/// Why the page cannot be opened.
#[derive(Debug)]
pub enum NotServed {
    /// The system draws no number.
    NoNumber(String),
    /// Its folder cannot be written to.
    Folder(PathBuf, std::io::Error),
    /// The place cannot be listened at.
    Place(SocketAddr, std::io::Error),
    /// It broke while it was open.
    Broke(std::io::Error),
}

impl std::fmt::Display for NotServed {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoNumber(why) => write!(out, "the system draws no number: {why}"),
            Self::Folder(path, why) => write!(
                out,
                "{} cannot be kept in: {why}; name another folder with --sessions",
                path.display()
            ),
            Self::Place(at, why) => write!(
                out,
                "{at} cannot be listened at: {why}; name another port with --port"
            ),
            Self::Broke(why) => write!(out, "the page broke off: {why}"),
        }
    }
}

impl std::error::Error for NotServed {}

/// Letters of a session's id, two for each byte.
const ID_BYTES: usize = 8;

/// A number nobody foresees, in letters.
fn drawn<const N: usize>() -> Result<String, NotServed> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|why| NotServed::NoNumber(why.to_string()))?;
    Ok(hex(&bytes))
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
        Ok(Self {
            bank,
            sessions,
            tours,
            at,
            token,
            desks: Mutex::default(),
        })
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

    /// The sessions in memory. A thread that fell over while it had them leaves them whole: a desk is put there
    /// or not.
    fn desks(&self) -> std::sync::MutexGuard<'_, BTreeMap<String, Arc<Mutex<Desk>>>> {
        self.desks.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Opens the page on this machine until it is interrupted; `told` is given the address once it listens.
///
/// # Errors
/// [`NotServed`].
pub fn serve(
    bank: Bank,
    sessions: PathBuf,
    tours: TourCache,
    port: u16,
    told: impl FnOnce(SocketAddr),
) -> Result<(), NotServed> {
    let wanted = SocketAddr::from((Ipv4Addr::LOCALHOST, port));
    let listener = std::net::TcpListener::bind(wanted);
    let listener = listener.map_err(|why| NotServed::Place(wanted, why))?;
    let at = listener.local_addr().map_err(NotServed::Broke)?;
    listener.set_nonblocking(true).map_err(NotServed::Broke)?;
    let page = Arc::new(Page::new(bank, sessions, tours, at)?);
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(NotServed::Broke)?;
    runtime.block_on(async move {
        let listener = tokio::net::TcpListener::from_std(listener).map_err(NotServed::Broke)?;
        told(at);
        axum::serve(listener, router(page))
            .with_graceful_shutdown(async {
                // Where no signal can be waited for, it ends with the program.
                if tokio::signal::ctrl_c().await.is_err() {
                    std::future::pending::<()>().await;
                }
            })
            .await
            .map_err(NotServed::Broke)
    })
}
