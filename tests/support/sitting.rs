//! A short form that sittings are tried on, and somebody who sits any form from end to end.

use crate::room::Guest;

/// A car and two questions; the day is one that other tests work on, too.
pub const FORM: &str = r#"
version = 1
title = "One car, two questions"
purpose = "A test."

[time]
shop = "50 min"
wall = "60 min"

[[cases]]
count = 1
from = ["freezes-on-long-trips"]
repair = true

[[questions]]
count = 2
topics = ["safety"]
weight = 0.5

[pass]
mark = 50
standard = "A test."
"#;

fn heading(page: &str) -> String {
    let (_, after) = page.split_once("<h1>").expect("a part of a page");
    after
        .split('<')
        .next()
        .expect("a part of a page")
        .to_owned()
}

/// Goes through every task as it comes, until all have been done; returns every page met.
///
/// # Panics
/// When a page is not what it should be.
#[must_use]
pub fn sits(candidate: &Guest<'_>) -> Vec<String> {
    let mut pages = vec![candidate.get("/sit").text, candidate.begins().text];
    for _ in 0..40 {
        let page = pages.last().expect("a part of a page");
        let heading = heading(page);
        let page = if heading.ends_with("a question") {
            answered(candidate, page)
        } else if heading.contains(": a car") {
            for done in ["engine idle", "ac on", "wear glasses", "look fuse"] {
                pages.push(candidate.does(done).text);
            }
            let suspected = [("fault", "undercharge"), ("percent", "40")];
            pages.push(candidate.takes("/sit/suspect", &suspected).text);
            let concluded = [("fault", "no-fault"), ("cause", ""), ("because", "1")];
            let asked = candidate.takes("/sit/conclude", &concluded).text;
            let sure = said_for_sure(&asked);
            pages.push(asked);
            let page = candidate.does(&sure).text;
            if page.contains("Without giving it back") {
                pages.push(page);
                candidate.takes("/sit/leave", &[]).text
            } else {
                page
            }
        } else {
            break;
        };
        pages.push(page);
    }
    pages
}

/// What the button says that holds somebody to a conclusion.
fn said_for_sure(page: &str) -> String {
    let (_, button) = page
        .split_once("id=\"surely-so\"")
        .expect("a part of a page");
    let (_, value) = button.split_once("value=\"").expect("a part of a page");
    value
        .split('"')
        .next()
        .expect("a part of a page")
        .to_owned()
}

fn answered(candidate: &Guest<'_>, page: &str) -> String {
    if page.contains("chart.svg") {
        let chart = candidate.get("/sit/chart.svg");
        assert!(chart.text.starts_with("<svg"), "{}", chart.text);
    }
    let answer = if page.contains("type=\"radio\"") || page.contains("type=\"checkbox\"") {
        "a"
    } else {
        // What is no number, and what is no order, is left.
        return candidate.takes("/sit/leave", &[]).text;
    };
    candidate.takes("/sit/answer", &[("answer", answer)]).text
}
