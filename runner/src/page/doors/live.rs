//! Who is how far, told as it changes.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use askama::Template;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use futures_util::stream::unfold;

use super::Behind;
use crate::page::answers::{No, aside};
use crate::page::views::LiveTable;

/// How long ago something was, in words.
pub(in crate::page) fn ago(ms: i64) -> String {
    match ms / 1000 {
        ..10 => "just now".to_owned(),
        seconds @ 10..60 => format!("{} s ago", seconds / 10 * 10),
        seconds => format!("{} min ago", seconds / 60),
    }
}

/// How often it is looked whether anything has changed.
const LOOKS_EACH: Duration = Duration::from_secs(1);
/// Looks before a browser has to ask again: it is looked again then who asks.
const LOOKS: usize = 600;

/// The table as it changes, as server-sent events.
pub(super) fn events(behind: Arc<impl Behind>) -> Response {
    let begun = (behind, String::new(), LOOKS);
    let events = unfold(begun, |(behind, before, looks)| async move {
        let looks = looks.checked_sub(1)?;
        tokio::time::sleep(LOOKS_EACH).await;
        let looked = Arc::clone(&behind);
        let now = aside(move || table(&*looked)).await.unwrap_or_default();
        let event = if now == before || now.is_empty() {
            Event::default().comment("as before")
        } else {
            Event::default().data(now.replace(['\n', '\r'], " "))
        };
        Some((Ok::<Event, Infallible>(event), (behind, now, looks)))
    });
    Sse::new(events)
        .keep_alive(KeepAlive::default())
        .into_response()
}

/// The table as it stands.
fn table(behind: &impl Behind) -> Result<String, No> {
    let lines = behind.lines().map_err(No::Failed)?;
    let table = LiveTable { lines: &lines }.render();
    table.map_err(|why| No::Failed(why.to_string()))
}
