//! What stands on each page.

mod bay;
mod debrief;
mod home;

pub(super) use bay::BayPage;
pub(super) use debrief::{DebriefPage, Made};
pub(super) use home::{Begun, Home};

use askama::Template;

/// A page that says why there is no other.
#[derive(Template)]
#[template(path = "sorry.html")]
pub(super) struct Sorry<'a> {
    pub why: &'a str,
}
