//! What every answer says of itself, and which requests are for this page at all.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderValue, REFERRER_POLICY,
    STRICT_TRANSPORT_SECURITY, X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::http::{HeaderName, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::Place;

/// Nothing from outside, no script or style in the page itself, and nobody frames it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

const SAID: [(HeaderName, &str); 5] = [
    (CONTENT_SECURITY_POLICY, POLICY),
    (X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (X_FRAME_OPTIONS, "DENY"),
    // The origin stands in forms that are posted here, and in nothing that goes elsewhere.
    (REFERRER_POLICY, "same-origin"),
    (CACHE_CONTROL, "no-store"),
];

/// Refuses what is not for this page, and puts the headers on what is answered.
pub(super) async fn guarded(
    State(place): State<Arc<Place>>,
    request: Request,
    next: Next,
) -> Response {
    let mut answer = if place.is_ours(request.headers()) {
        next.run(request).await
    } else {
        (StatusCode::MISDIRECTED_REQUEST, "This page is elsewhere.").into_response()
    };
    if place.secure {
        // Who was here over TLS once does not come back without.
        answer.headers_mut().insert(
            STRICT_TRANSPORT_SECURITY,
            HeaderValue::from_static("max-age=86400"),
        );
    }
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
