//! Before and after a sitting: a code, the rules, and what it came to.

use askama::Template;

use crate::assess::Sitting;

/// Where a code is typed.
#[derive(Template)]
#[template(path = "join.html")]
pub(in crate::page) struct JoinPage<'a> {
    pub title: &'a str,
    pub token: &'a str,
    /// Why the last one let nobody in.
    pub why: Option<&'static str>,
}

/// The rules, before a sitting begins.
#[derive(Template)]
#[template(path = "rules.html")]
pub(in crate::page) struct RulesPage<'a> {
    pub name: &'a str,
    pub title: &'a str,
    pub paragraphs: Vec<String>,
    pub token: &'a str,
}

/// The time left, as the top of a task's page has it.
#[derive(Template)]
#[template(path = "clock.html")]
pub(in crate::page) struct Clock {
    /// Time left.
    pub left_s: i64,
    /// Time given beyond the form's.
    pub given_min: i64,
}

impl Clock {
    /// That of a sitting now.
    pub fn of(sitting: &Sitting<'_>, now_ms: i64) -> Self {
        Self {
            left_s: sitting.left_ms(now_ms) / 1000,
            given_min: sitting.more_ms() / 60_000,
        }
    }
}

/// What stands in its place once no task waits any more.
#[derive(Template)]
#[template(path = "clock_over.html")]
pub(in crate::page) struct ClockOver;

/// After the last task.
#[derive(Template)]
#[template(path = "over.html")]
pub(in crate::page) struct OverPage<'a> {
    pub title: &'a str,
    pub token: &'a str,
    pub steps: u64,
    pub handed_in: bool,
    pub said: &'a str,
    /// What it came to, in words, once that is known.
    pub verdict: Option<String>,
}
