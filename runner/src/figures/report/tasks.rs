//! The table of tasks: how hard each is, and what it tells.

use std::fmt::Write;

use super::class::sides;
use super::text::filled;
use super::{html, text, wall};
use crate::figures::item::ItemFigures;

const HEADS: [(&str, bool); 9] = [
    ("task", false),
    ("people", true),
    ("right", true),
    ("mark", true),
    ("r rest", true),
    ("up-low", true),
    ("key cue", true),
    ("min", true),
    ("worth a look", false),
];

const NOTE: &str = "right: share of right answers. r rest: correlation of the task's mark with the rest of the sitting. up-low: share right among the best 27 % less that among the worst. key cue: took it, of those who could. min: median time at the wall. A dash stands where too few people worked on it.";

/// Below this a task hardly tells people apart (Ebel 1972, from memory).
const TELLS_LITTLE: f64 = 0.2;
/// Above this share right, and below the other, a task tells little of anybody (common practice, no
/// source).
const ALL_RIGHT: f64 = 0.95;
const ALL_WRONG: f64 = 0.10;

/// What an instructor should look at, in a word; empty where nothing is.
#[must_use]
pub fn look(item: &ItemFigures) -> &'static str {
    match item.discrimination {
        // A correlation this sure to be below nothing is seldom chance: a wrong key, or a trap for the able.
        Some(found) if found.high < 0.0 => "check the key",
        Some(_) if item.share_right >= ALL_RIGHT => "too easy to tell",
        Some(_) if item.share_right <= ALL_WRONG => "too hard to tell",
        Some(found) if found.high < TELLS_LITTLE => "tells little",
        _ => "",
    }
}

fn cells(item: &ItemFigures) -> Vec<String> {
    let or_dash = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{value:.2}"));
    let cue = item
        .key_cue
        .map(|(took, could)| format!("{took} of {could}"));
    let enough = match item.enough.people() {
        0..crate::figures::enough::FAIR_FROM => item.enough.to_string(),
        _ => String::new(),
    };
    let words = [enough, look(item).to_owned()]
        .into_iter()
        .filter(|words| !words.is_empty());
    vec![
        item.item.clone(),
        item.enough.people().to_string(),
        format!("{:.0} %", 100.0 * item.share_right),
        format!("{:.1}", item.mean_mark),
        or_dash(item.discrimination.map(|found| found.r)),
        or_dash(item.upper_lower),
        cue.unwrap_or_default(),
        wall(item.median_wall_ms),
        words.collect::<Vec<_>>().join("; "),
    ]
}

/// The commonest wrong answers; nothing where there are none.
fn wrong(item: &ItemFigures) -> String {
    let wrong = item.wrong.iter().map(|(answer, count)| match &**answer {
        "" => format!("no answer ({count})"),
        answer => format!("{answer} ({count})"),
    });
    wrong.collect::<Vec<_>>().join("; ")
}

/// The table as text: below each task its commonest wrong answers.
#[must_use]
pub fn text(items: &[ItemFigures]) -> String {
    let heads = HEADS.map(|(head, _)| head.to_owned()).to_vec();
    let rows: Vec<Vec<String>> = [heads].into_iter().chain(items.iter().map(cells)).collect();
    let table = text::table(&sides(&HEADS), &rows);
    let mut lines = table.lines();
    let mut page = lines
        .next()
        .map(|heads| format!("{heads}\n"))
        .unwrap_or_default();
    for (line, item) in lines.zip(items) {
        let _ = writeln!(page, "{line}");
        if !item.wrong.is_empty() {
            page.push_str(&text::below(&format!("wrong: {}", wrong(item))));
        }
    }
    page.push('\n');
    page.push_str(&filled(NOTE));
    page
}

/// The table as a page.
#[must_use]
pub fn html(title: &str, items: &[ItemFigures]) -> String {
    let mut body = format!("<h1>{}</h1>\n", html::escaped(title));
    let heads: Vec<(&str, bool)> = HEADS
        .into_iter()
        .chain([("common wrong answers", false)])
        .collect();
    let row = |item: &ItemFigures| cells(item).into_iter().chain([wrong(item)]).collect();
    let rows: Vec<Vec<String>> = items.iter().map(row).collect();
    body.push_str(&html::table(&heads, &rows));
    let _ = writeln!(body, "<p class=\"foot\">{}</p>", html::escaped(NOTE));
    html::page(title, &body)
}
