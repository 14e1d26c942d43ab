//! What whoever looks after the sittings sees.

use askama::Template;

/// Where the password is typed.
#[derive(Template)]
#[template(path = "enter.html")]
pub(in crate::page) struct EnterPage<'a> {
    pub token: &'a str,
    pub why: Option<&'static str>,
}

/// A candidate's line.
#[derive(Debug, Default)]
pub(in crate::page) struct Line {
    pub candidate: String,
    pub name: String,
    /// Which attempt it tells of, from 1; 0 before the first.
    pub attempt: u32,
    /// The code that lets them in, while there is something to come in for.
    pub code: Option<String>,
    pub state: String,
    /// What was done last, and how long ago.
    pub did: String,
    pub last: String,
    /// Steps so far; none while it is marked.
    pub steps: Option<u64>,
    /// Safety slips so far, where they are known here.
    pub slips: Option<usize>,
    pub left_min: Option<i64>,
    /// Handed in, or marked.
    pub is_over: bool,
    pub sitting: Option<String>,
}

/// The table of who is how far.
#[derive(Template)]
#[template(path = "live.html")]
pub(in crate::page) struct LiveTable<'a> {
    pub lines: &'a [Line],
}

#[derive(Template)]
#[template(path = "room.html")]
pub(in crate::page) struct RoomPage<'a> {
    pub title: &'a str,
    pub token: &'a str,
    pub lines: &'a [Line],
    /// A form is sat, and has results.
    pub is_form: bool,
    /// What came of the last thing that was done.
    pub told: Option<String>,
    /// Of the certificate, where there is one.
    pub fingerprint: Option<&'a str>,
}

impl RoomPage<'_> {
    /// Whether a line is one of a list: of all, of those who have not begun, who sit, or who have finished.
    fn listed(&self, line: &Line, list: &str) -> bool {
        match list {
            "not begun" => !self.is_form || line.attempt == 0,
            "sits" => line.attempt > 0 && !line.is_over,
            "over" => line.is_over,
            _ => true,
        }
    }
}

/// Codes, to be printed and cut.
#[derive(Template)]
#[template(path = "codes.html")]
pub(in crate::page) struct CodesPage<'a> {
    pub title: &'a str,
    /// The address that is typed into a browser.
    pub at: &'a str,
    /// Of the certificate, where there is one.
    pub fingerprint: Option<&'a str>,
    /// Name and code.
    pub codes: Vec<(String, String)>,
}

/// The cases of the office's own.
#[derive(Template)]
#[template(path = "cases.html")]
pub(in crate::page) struct CasesPage {
    pub own: Vec<String>,
    pub folder: String,
}

/// What was found in a text.
pub(in crate::page) enum Found {
    NotLookedFor,
    Sentence(String),
    /// Line, sentence and advice of each mistake.
    Problems(Vec<(Option<usize>, String, String)>),
}

/// A line of a text, with what is wrong in it.
pub(in crate::page) struct TextLine {
    pub number: usize,
    pub text: String,
    /// Sentence and advice.
    pub wrong: Vec<(String, String)>,
}

/// The text of a case, to be changed.
#[derive(Template)]
#[template(path = "edit.html")]
pub(in crate::page) struct EditPage<'a> {
    pub token: &'a str,
    pub id: &'a str,
    pub text: &'a str,
    pub found: Found,
    /// The text once more, line by line, where something is wrong in it.
    pub lines: Vec<TextLine>,
}

impl<'a> EditPage<'a> {
    pub fn of(token: &'a str, id: &'a str, text: &'a str, found: Found) -> Self {
        let mut lines = Vec::new();
        if let Found::Problems(problems) = &found {
            let line = |(number, text): (usize, &str)| TextLine {
                number,
                text: text.to_owned(),
                wrong: (problems.iter())
                    .filter(|(at, ..)| *at == Some(number))
                    .map(|(_, message, advice)| (message.clone(), advice.clone()))
                    .collect(),
            };
            lines = (1..).zip(text.lines()).map(line).collect();
        }
        Self {
            token,
            id,
            text,
            found,
            lines,
        }
    }
}

/// What the check of a case found.
#[derive(Template)]
#[template(path = "solved.html")]
pub(in crate::page) struct SolvedPage<'a> {
    pub token: &'a str,
    pub id: &'a str,
    /// Its text as it was checked.
    pub text: &'a str,
    pub told: Option<&'a str>,
}

/// A session of a class.
pub(in crate::page) struct PractisedLine {
    pub name: String,
    pub title: String,
    pub steps: usize,
    pub when: String,
    /// Of 100; empty before the debrief.
    pub mark: String,
}

/// What a class has practised.
#[derive(Template)]
#[template(path = "practised.html")]
pub(in crate::page) struct PractisedPage {
    pub lines: Vec<PractisedLine>,
}
