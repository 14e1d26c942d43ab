//! What stands on each page.

mod bay;
mod bench;
mod debrief;
mod home;
mod pressures;
mod question;
mod room;
mod sat;
mod shown;
mod sitting;

pub(super) use bay::{AtBay, BayPage, Ends};
pub(super) use debrief::{DebriefPage, Made};
pub(super) use home::{Begun, Home};
pub(super) use question::QuestionPage;
pub(super) use room::{
    CasesPage, CodesPage, EditPage, EnterPage, Found, Line, LiveTable, PractisedLine,
    PractisedPage, RoomPage, SolvedPage,
};
pub(super) use sat::{SittingPage, tasks_sat};
pub(super) use sitting::{Clock, ClockOver, JoinPage, OverPage, RulesPage};

use askama::Template;

/// A page that says why there is no other.
#[derive(Template)]
#[template(path = "sorry.html")]
pub(super) struct Sorry<'a> {
    pub why: &'a str,
}
