//! A sitting task by task: what was done at each car and what it showed, what was asked and answered.

use askama::Template;
use scenarios::{Bank, Case};

use crate::action::Action;
use crate::assess::{Given, Sitting};
use crate::bay::Bay;
use crate::page::said::lines_of;
use crate::page::views::bay::name_of;
use crate::records::ResultRow;
use crate::show;

/// A task as it was sat.
pub(in crate::page) struct TaskSat {
    pub number: usize,
    pub title: String,
    /// Of 100, once it is marked.
    pub mark: Option<String>,
    /// What was asked, what was answered, and once it is marked what is right.
    pub asked: Option<(String, String, Option<String>)>,
    /// What the mark of a car is made of, once it is marked.
    pub parts: Vec<(&'static str, String)>,
    /// Steps at a car: shop clock, what was done, and what it showed.
    pub steps: Vec<(String, String, String)>,
}

/// A sitting, task by task and entry by entry.
#[derive(Template)]
#[template(path = "sitting.html")]
pub(in crate::page) struct SittingPage<'a> {
    pub id: &'a str,
    pub name: String,
    pub form: &'a str,
    /// What it came to, once it is marked.
    pub verdict: Option<String>,
    /// What whoever looked after it did.
    pub helped: Vec<String>,
    pub tasks: Vec<TaskSat>,
    /// Every entry of the record.
    pub text: &'a str,
}

/// The tasks of a sitting as they were sat, with the marks that are known of them.
pub(in crate::page) fn tasks_sat(
    bank: &Bank,
    sitting: &Sitting<'_>,
    marks: &[ResultRow],
) -> Vec<TaskSat> {
    let task = |(number, given): (usize, &Given)| {
        let row = marks.iter().find(|row| row.task as usize == number);
        let mark = row.map(|row| format!("{:.0}", row.mark));
        match given {
            Given::Case { case, actions, .. } => TaskSat {
                number,
                title: case.scenario.title.clone(),
                asked: None,
                steps: steps(bank, (case, sitting), actions),
                parts: row.map_or_else(Vec::new, |row| parts(bank, case, row)),
                mark,
            },
            Given::Question { dealt, answer } => {
                let answered = answer.as_deref();
                let answered = answered
                    .map_or_else(|| "not answered".to_owned(), |typed| dealt.in_words(typed));
                let right = mark
                    .is_some()
                    .then(|| dealt.in_words(&dealt.right_answer()));
                TaskSat {
                    number,
                    title: "a question".to_owned(),
                    asked: Some((dealt.text.clone(), answered, right)),
                    steps: Vec::new(),
                    parts: Vec::new(),
                    mark,
                }
            }
        }
    };
    (1..).zip(sitting.given()).map(task).collect()
}

/// What was in a car, what was said of it, and what each part of the work was worth.
fn parts(bank: &Bank, case: &Case, row: &ResultRow) -> Vec<(&'static str, String)> {
    let present = case.present().map(|(mode, _)| mode.name.as_str());
    let present: Vec<&str> = present.collect();
    let present = if present.is_empty() {
        "nothing is broken".to_owned()
    } else {
        present.join(", ")
    };
    let named = |id: &str| name_of(bank, id);
    let said = match row.answer.as_str() {
        "" => "nothing was concluded".to_owned(),
        answer => answer.split(' ').map(named).collect::<Vec<_>>().join(" "),
    };
    let judged = if row.right { "right" } else { "not right" };
    let percent = |share: f64| format!("{share:.0} %");
    let mut parts = vec![
        ("In the car", present),
        ("Concluded", format!("{said}: {judged}")),
        ("Diagnosis", percent(row.diagnosis)),
        ("Evidence", percent(row.evidence)),
        ("Calibration", percent(row.calibration)),
        ("Safety", percent(row.safety)),
    ];
    if row.grave_slips > 0 {
        parts.push(("Grave slips", row.grave_slips.to_string()));
    }
    if row.hints > 0 {
        parts.push(("Hints taken", row.hints.to_string()));
    }
    if let Some(taken) = row.key_cue {
        let words = if taken { "taken" } else { "not taken" };
        parts.push(("The cue that tells most", words.to_owned()));
    }
    parts.push((
        "On the shop clock",
        format!("{} min", show::clock(row.shop_s)),
    ));
    parts
}

/// What was done at a car once more, with what it shows: the same actions on the same car show the same.
fn steps(
    bank: &Bank,
    (case, sitting): (&Case, &Sitting<'_>),
    actions: &[Action],
) -> Vec<(String, String, String)> {
    let Ok(mut bay) = Bay::new(bank, case) else {
        return Vec::new();
    };
    let units = sitting.units();
    let step = |action: &Action| {
        let shown = match bay.act(action) {
            Ok(outcome) => {
                let read = outcome.notes.iter().map(|note| {
                    let value = show::value(&note.reading.value, units);
                    format!("{}: {value}", note.words)
                });
                let told = lines_of(&outcome, &bay, units);
                let told = told.lines().map(str::to_owned);
                read.chain(told).collect::<Vec<_>>().join("\n")
            }
            Err(why) => why.to_string(),
        };
        (show::clock(bay.clock_s()), action.to_string(), shown)
    };
    actions.iter().map(step).collect()
}
