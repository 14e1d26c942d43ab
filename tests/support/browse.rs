//! The page asked in process, as a browser would ask it.

use std::sync::Arc;

use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::http::header::{
    CONTENT_SECURITY_POLICY, CONTENT_TYPE, HOST, LOCATION, X_CONTENT_TYPE_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, Request, StatusCode};
use futures_util::StreamExt;
use runner::cache::TourCache;
use runner::page::practice::{Page, router};
use scenarios::Bank;
use tower::ServiceExt;

use crate::folder::Folder;
use crate::tours;

/// Where the page believes that it listens.
pub const AT: &str = "127.0.0.1:8137";
const MOST_BYTES: usize = 4 << 20;

/// What came back.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Its status.
    pub status: StatusCode,
    /// Its headers.
    pub headers: HeaderMap,
    /// Its text.
    pub text: String,
}

impl Answer {
    /// Where it leads.
    ///
    /// # Panics
    /// When it leads nowhere.
    #[must_use]
    pub fn location(&self) -> &str {
        let location = self.headers.get(LOCATION);
        location
            .unwrap_or_else(|| panic!("{self:?}"))
            .to_str()
            .expect("text")
    }
}

/// A page with a folder of its own.
pub struct Visit {
    /// Where its sessions are kept.
    pub sessions: Folder,
    token: String,
    router: Router,
    runtime: tokio::runtime::Runtime,
}

impl Visit {
    /// A page of the built-in bank.
    ///
    /// # Panics
    /// When it cannot be opened.
    #[must_use]
    pub fn new() -> Self {
        Self::to(Folder::new())
    }

    /// The page opened on sessions that are there.
    ///
    /// # Panics
    /// When it cannot be opened.
    #[must_use]
    pub fn to(sessions: Folder) -> Self {
        let bank = Bank::builtin().expect("the bank");
        let folder = sessions.path().to_owned();
        let tours = TourCache::new(Some(tours::folder()));
        let page = Page::new(bank, folder, tours, AT.parse().expect("an address"));
        let page = page.expect("a page");
        Self {
            sessions,
            token: page.token().to_owned(),
            router: router(Arc::new(page)),
            runtime: runtime(),
        }
    }

    /// What stands in every form.
    #[must_use]
    pub fn token(&self) -> &str {
        &self.token
    }

    /// Asks for anything.
    #[must_use]
    pub fn ask(&self, method: &str, address: &str, host: &str, body: &str) -> Answer {
        asked(
            &self.runtime,
            &self.router,
            (method, address),
            &[(HOST, host)],
            body,
        )
    }

    /// A page.
    #[must_use]
    pub fn get(&self, address: &str) -> Answer {
        self.ask("GET", address, AT, "")
    }

    /// A form of this page with these fields.
    ///
    /// # Panics
    /// When they cannot be written.
    #[must_use]
    pub fn post(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        let token = [("token", self.token.as_str())];
        let body = serde_urlencoded::to_string([&token, fields].concat()).expect("a form");
        self.ask("POST", address, AT, &body)
    }

    /// Takes a car; returns the session's address.
    ///
    /// # Panics
    /// When there is no such car.
    #[must_use]
    pub fn begin(&self, case: &str, seed: &str, units: &str) -> String {
        let answer = self.post(
            "/begin",
            &[("case", case), ("seed", seed), ("units", units)],
        );
        answer.location().to_owned()
    }

    /// Does something as the page that is open now would; returns the page after it.
    ///
    /// # Panics
    /// When the page leads nowhere.
    pub fn does(&self, bay: &str, words: &str) -> Answer {
        let page = self.get(bay).text;
        let steps = hidden(&page, "steps");
        let answer = self.post(
            &format!("{bay}/act"),
            &[("steps", &steps), ("words", words)],
        );
        self.get(answer.location())
    }
}

impl Default for Visit {
    fn default() -> Self {
        Self::new()
    }
}

/// What answers are waited for in.
///
/// # Panics
/// When the system gives none.
#[must_use]
pub fn runtime() -> tokio::runtime::Runtime {
    let mut builder = tokio::runtime::Builder::new_current_thread();
    builder.enable_all().build().expect("a runtime")
}

/// Asks addresses for something, with these headers and the text of a form.
///
/// # Panics
/// When the request is none.
#[must_use]
pub fn asked(
    runtime: &tokio::runtime::Runtime,
    router: &Router,
    (method, address): (&str, &str),
    headers: &[(HeaderName, &str)],
    body: &str,
) -> Answer {
    let mut request = Request::builder()
        .method(method)
        .uri(address)
        .header(CONTENT_TYPE, "application/x-www-form-urlencoded");
    for (name, value) in headers {
        request = request.header(name, *value);
    }
    let request = request.body(Body::from(body.to_owned()));
    runtime.block_on(async {
        let answer = router.clone().oneshot(request.expect("a request")).await;
        let (head, body) = answer.expect("an answer").into_parts();
        let mut answer = Answer {
            status: head.status,
            headers: head.headers,
            text: String::new(),
        };
        // What goes on for as long as somebody listens is listened to for its first words.
        let streams = (answer.headers.get(CONTENT_TYPE))
            .is_some_and(|kind| kind.as_bytes().starts_with(b"text/event-stream"));
        let bytes = if streams {
            let mut stream = body.into_data_stream();
            let first = stream.next().await;
            first.map_or_else(Bytes::new, |bytes| bytes.expect("a stream"))
        } else {
            to_bytes(body, MOST_BYTES).await.expect("a body")
        };
        answer.text = String::from_utf8(bytes.to_vec()).expect("text");
        answer
    })
}

/// The value of a hidden field.
///
/// # Panics
/// When there is none.
#[must_use]
pub fn hidden(page: &str, name: &str) -> String {
    let (_, after) = page
        .split_once(&format!("name=\"{name}\" value=\""))
        .expect("a field");
    after.split('"').next().expect("its end").to_owned()
}

/// What holds for every answer.
///
/// # Panics
/// When it does not.
pub fn is_sound(answer: &Answer, address: &str) {
    assert!(answer.status.as_u16() < 500, "{address}: {answer:?}");
    let policy = answer.headers[CONTENT_SECURITY_POLICY]
        .to_str()
        .expect("text");
    assert!(policy.starts_with("default-src 'none'"), "{address}");
    assert!(!policy.contains("script-src 'unsafe"), "{address}");
    assert_eq!(answer.headers[X_CONTENT_TYPE_OPTIONS], "nosniff");
    assert!(
        !answer.text.contains("<script>") && !answer.text.contains(" style="),
        "{address}"
    );
    assert!(!answer.text.contains("onclick"), "{address}");
}

/// A page's words, without its marks.
#[must_use]
pub fn words(page: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for letter in page.chars() {
        match letter {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            other if !inside => text.push(other),
            _ => {}
        }
    }
    let text = text
        .replace("&#34;", "\"")
        .replace("&#39;", "'")
        .replace("&#38;", "&");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
