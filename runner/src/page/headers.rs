//! What every answer says of itself, and which requests are for this page at all.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HOST, HeaderValue, REFERRER_POLICY,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderName, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::Page;

/// Nothing from outside, no script or style in the page itself, and nobody frames it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const SAID: [(HeaderName, &str); 5] = [
    (CONTENT_SECURITY_POLICY, POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (X_FRAME_OPTIONS, "DENY"),
    (REFERRER_POLICY, "no-referrer"),
    (CACHE_CONTROL, "no-store"),
];

/// Refuses what names another host, which is how another site's name could be made to point here, and puts the
/// headers on what is answered.
pub(super) async fn guarded(
    State(page): State<Arc<Page>>,
    request: Request,
    next: Next,
) -> Response {
    let host = request.headers().get(HOST);
    let host = host.and_then(|host| host.to_str().ok());
    let own = [page.at.to_string(), format!("localhost:{}", page.at.port())];
    let mut answer = if host.is_some_and(|host| own.iter().any(|one| one == host)) {
        next.run(request).await
    } else {
        (StatusCode::MISDIRECTED_REQUEST, "This page is elsewhere.").into_response()
    };
    for (name, value) in SAID {
        // What may be kept, or brings a style of its own, says so itself.
        if !answer.headers().contains_key(&name) {
            answer
                .headers_mut()
                .insert(name, HeaderValue::from_static(value));
        }
    }
    answer
}
