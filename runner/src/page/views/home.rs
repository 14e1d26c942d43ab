//! The first page: the cars to choose from, and those begun.

use askama::Template;
use scenarios::{Bank, Scenario};

/// A case in the list.
pub(in crate::page) struct CaseLine {
    pub id: String,
    pub title: String,
    pub vehicle: String,
    pub says: String,
}

/// A session that can be gone on with.
pub(in crate::page) struct Begun {
    pub id: String,
    pub title: String,
    /// Of 100, where it has been debriefed.
    pub mark: Option<String>,
}

#[derive(Template)]
#[template(path = "home.html")]
pub(in crate::page) struct Home<'a> {
    pub token: &'a str,
    /// Level and its cases.
    pub levels: Vec<(u8, Vec<CaseLine>)>,
    pub begun: Vec<Begun>,
    /// Whoever practises was let in, and goes out again.
    pub let_in: bool,
}

impl<'a> Home<'a> {
    pub fn of(bank: &Bank, token: &'a str, begun: Vec<Begun>, let_in: bool) -> Self {
        let level = |level| {
            let cases = bank.cases().filter(|case| case.level == level);
            let line = |case: &Scenario| CaseLine {
                id: case.id.clone(),
                title: case.title.clone(),
                vehicle: (bank.vehicle(&case.vehicle))
                    .map_or_else(|| case.vehicle.clone(), |one| one.name.clone()),
                says: case.work_order.complaint.clone(),
            };
            (level, cases.map(line).collect())
        };
        Self {
            token,
            levels: [1, 2, 3].map(level).into(),
            begun,
            let_in,
        }
    }
}
