//! Who asks: a cookie that this office signed says whom it let in, and until when.

use axum::http::HeaderMap;
use axum::http::header::COOKIE;
use cookie::{Cookie, CookieJar, Key, SameSite};

use hmac::{Hmac, Mac};

use crate::records::{Keys, hex};

/// Whom a cookie lets in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::page) enum Who {
    /// A candidate, at an attempt of theirs.
    Candidate {
        /// The candidate's id.
        id: String,
        /// Which attempt it is, from 1.
        attempt: u32,
    },
    /// Whoever looks after them.
    Proctor,
}

const NAME: &str = "coldtrail";
/// How long somebody is let in for, ms: a day in the classroom.
const LASTS_MS: i64 = 12 * 3_600_000;
const CANDIDATE: &str = "candidate";
const PROCTOR: &str = "proctor";

/// What signs cookies, and what stands in the forms of somebody who was let in.
pub(in crate::page) struct Cookies {
    key: Key,
    forms: [u8; 32],
    /// Sent over TLS only.
    secure: bool,
}

impl std::fmt::Debug for Cookies {
    // Nothing that is printed may hold a secret.
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("Cookies")
    }
}

impl Cookies {
    /// Those of an office for a purpose: every process with its keys takes them, and no other purpose does.
    pub fn of(keys: &Keys, purpose: &str, secure: bool) -> Self {
        let halves = ["1", "2"].map(|half| keys.derived("cookies", &[half, purpose]));
        Self {
            key: Key::from(&halves.concat()),
            forms: keys.derived("forms", &[purpose]),
            secure,
        }
    }

    /// A header that lets somebody in.
    pub fn letting_in(&self, who: &Who, now_ms: i64) -> String {
        let until = now_ms + LASTS_MS;
        let value = match who {
            Who::Candidate { id, attempt } => format!("{CANDIDATE}.{until}.{attempt}.{id}"),
            Who::Proctor => format!("{PROCTOR}.{until}"),
        };
        let mut jar = CookieJar::new();
        jar.signed_mut(&self.key).add(Cookie::new(NAME, value));
        let signed = jar.get(NAME).cloned();
        let mut cookie = signed.unwrap_or_else(|| Cookie::new(NAME, ""));
        self.guard(&mut cookie);
        cookie.set_max_age(cookie::time::Duration::milliseconds(LASTS_MS));
        cookie.to_string()
    }

    /// A header that lets nobody in any more.
    pub fn letting_out(&self) -> String {
        let mut cookie = Cookie::new(NAME, "");
        self.guard(&mut cookie);
        cookie.set_max_age(cookie::time::Duration::ZERO);
        cookie.to_string()
    }

    fn guard(&self, cookie: &mut Cookie<'_>) {
        cookie.set_http_only(true);
        cookie.set_same_site(SameSite::Strict);
        cookie.set_secure(self.secure);
        cookie.set_path("/");
    }

    /// Who asks; none where nobody was let in, or it is too long ago.
    pub fn who(&self, headers: &HeaderMap, now_ms: i64) -> Option<Who> {
        let mut jar = CookieJar::new();
        for line in headers.get_all(COOKIE) {
            for cookie in Cookie::split_parse(line.to_str().ok()?.to_owned()) {
                jar.add_original(cookie.ok()?);
            }
        }
        let cookie = jar.signed(&self.key).get(NAME)?;
        let mut parts = cookie.value().split('.');
        let kind = parts.next()?;
        let until: i64 = parts.next()?.parse().ok()?;
        if until < now_ms {
            return None;
        }
        match kind {
            PROCTOR => Some(Who::Proctor),
            CANDIDATE => Some(Who::Candidate {
                attempt: parts.next()?.parse().ok()?,
                id: parts.next()?.to_owned(),
            }),
            _ => None,
        }
    }

    /// What stands in every form of somebody, or of nobody yet: another site does not know it, and so cannot post in
    /// their name.
    pub fn token(&self, who: Option<&Who>) -> String {
        let said = match who {
            Some(Who::Candidate { id, attempt }) => format!("{CANDIDATE}.{attempt}.{id}"),
            Some(Who::Proctor) => PROCTOR.to_owned(),
            None => String::new(),
        };
        // A key of any length is taken: there is no error to meet.
        let Ok(mut mac) = Hmac::<sha2::Sha256>::new_from_slice(&self.forms) else {
            return String::new();
        };
        mac.update(said.as_bytes());
        hex(&mac.finalize().into_bytes()[..16])
    }
}
