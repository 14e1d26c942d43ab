//! The page: the bay in a browser, served from this program and from nowhere else.
//!
//! What a learner does on the page is the same list of actions as at a terminal. [`practice`] keeps it in the same kind
//! of file ([`crate::kept`]), for people at this machine, and [`class`] for each of many with a code; [`room`] in an
//! office's journal ([`crate::invigilate`]), for candidates who sit a form under somebody's eyes. Every page works with forms and
//! links alone; the script only saves reloading. What is absent: physics, grades and words of instruments, which
//! are where the terminal has them, too.

mod answers;
mod blanks;
pub mod class;
mod conclusion;
mod doors;
mod headers;
mod offers;
mod place;
pub mod practice;
pub mod room;
mod said;
mod shelf;
mod tls;
mod typed;
mod views;
mod watch;
mod whereabouts;
mod worker;

use std::net::{SocketAddr, TcpListener};
use std::path::PathBuf;
use std::time::Duration;

use axum::Router;

use crate::records::hex;

pub use place::Place;
pub use tls::{Certificate, fingerprint};

/// Why the page cannot be opened.
#[derive(Debug)]
pub enum NotServed {
    /// The system draws no number.
    NoNumber(String),
    /// Its folder cannot be written to.
    Folder(PathBuf, std::io::Error),
    /// The place cannot be listened at.
    Place(SocketAddr, std::io::Error),
    /// The certificate cannot be used, and why.
    Certificate(String),
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
            Self::Certificate(why) => write!(
                out,
                "the certificate cannot be used: {why}; --certificate FILE and --key FILE name another, in PEM"
            ),
            Self::Broke(why) => write!(out, "the page broke off: {why}"),
        }
    }
}

impl std::error::Error for NotServed {}

/// A number nobody foresees, in letters.
fn drawn<const N: usize>() -> Result<String, NotServed> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|why| NotServed::NoNumber(why.to_string()))?;
    Ok(hex(&bytes))
}

/// Takes a place to listen at.
///
/// # Errors
/// [`NotServed::Place`].
pub fn listen(wanted: SocketAddr) -> Result<(TcpListener, SocketAddr), NotServed> {
    let failed = |why| NotServed::Place(wanted, why);
    let listener = TcpListener::bind(wanted).map_err(failed)?;
    let at = listener.local_addr().map_err(failed)?;
    listener.set_nonblocking(true).map_err(failed)?;
    Ok((listener, at))
}

/// How long those who are being answered have when the page closes.
const FAREWELL: Duration = Duration::from_secs(3);
/// How long a connection may be silent before its first request.
const PATIENCE: Duration = Duration::from_secs(20);

/// Serves these addresses until the program is interrupted.
///
/// # Errors
/// [`NotServed`].
pub fn serve(
    listener: TcpListener,
    router: Router,
    certificate: Option<Certificate>,
) -> Result<(), NotServed> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .max_blocking_threads(MOST_AT_WORK)
        .enable_all()
        .build()
        .map_err(NotServed::Broke)?;
    runtime.block_on(async move {
        let handle = axum_server::Handle::new();
        let closing = handle.clone();
        tokio::spawn(async move {
            // Where no signal can be waited for, it ends with the program.
            if tokio::signal::ctrl_c().await.is_ok() {
                closing.graceful_shutdown(Some(FAREWELL));
            }
        });
        let service = router.into_make_service_with_connect_info::<SocketAddr>();
        let ended = match certificate {
            None => {
                let server = axum_server::from_tcp(listener).map_err(NotServed::Broke)?;
                let server = server.handle(handle).first_request_timeout(PATIENCE);
                server.serve(service).await
            }
            Some(certificate) => {
                let config = tls::config(certificate)?;
                let server = axum_server::from_tcp_rustls(listener, config);
                let server = server.map_err(NotServed::Broke)?;
                let server = server.handle(handle).first_request_timeout(PATIENCE);
                server.serve(service).await
            }
        };
        ended.map_err(NotServed::Broke)
    })
}

/// Requests that are worked on at once; others wait their turn.
const MOST_AT_WORK: usize = 32;
