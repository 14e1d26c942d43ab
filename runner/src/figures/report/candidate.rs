//! What a candidate, and the shop, takes home: two printed pages.
//!
//! The first says what was decided and on what: verdict, tasks, competencies, safety. The second shows how
//! the work went and what to say. Lists are cut where a page ends, and say so: nothing pushes a third page.

use std::fmt::Write;

use super::Verdict;
use super::html::{self, escaped};
use super::told::{self, Told};
use super::trace::{Trace, calibration, trace};
use crate::figures::calibration::Curve;
use crate::figures::standard::Standing;

/// All that the report tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Who sat, as the page calls them.
    pub name: String,
    /// The form's title.
    pub form: String,
    /// The sitting's id, to be quoted.
    pub sitting: String,
    /// When it was, in words.
    pub date: String,
    /// What was decided; `None` of practice.
    pub verdict: Option<Verdict>,
    /// Weighted mean mark, 0 to 100.
    pub mark: f64,
    /// Where it stands beside the pass mark, where the form's standard error is known.
    pub standing: Option<Standing>,
    /// Tasks, in order.
    pub tasks: Vec<TaskLine>,
    /// Competencies, in the form's order.
    pub competencies: Vec<CompetencyLine>,
    /// Slips of safety, in order.
    pub safety: Vec<SafetyLine>,
    /// Belief traces of its cases.
    pub traces: Vec<Trace>,
    /// Calibration of the confidences stated.
    pub calibration: Option<Curve>,
    /// What to practise next, in words without a full stop.
    pub next: Option<String>,
    /// What the reader must know of how the result came about: its version, or that it proves nothing.
    pub notice: String,
}

/// A task's line.
#[derive(Clone, Debug, PartialEq)]
pub struct TaskLine {
    /// Its number.
    pub task: u32,
    /// What the page calls it.
    pub title: String,
    /// What was answered or concluded.
    pub answer: String,
    /// Whether that was right.
    pub right: bool,
    /// Of a car that was not found out, what was in it.
    pub was: Option<String>,
    /// Mark, 0 to 100.
    pub mark: f64,
    /// Time at the wall, ms.
    pub wall_ms: u64,
}

/// A competency's line.
#[derive(Clone, Debug, PartialEq)]
pub struct CompetencyLine {
    /// What the page calls it.
    pub name: String,
    /// Mean mark of its tasks, 0 to 100.
    pub mark: f64,
    /// How many those were.
    pub tasks: usize,
    /// What the form asks, where it asks something.
    pub needed: Option<f64>,
}

/// A slip.
#[derive(Clone, Debug, PartialEq)]
pub struct SafetyLine {
    /// In which task.
    pub task: u32,
    /// Shop clock, s.
    pub at_s: f64,
    /// What is said of it.
    pub words: String,
    /// Grave enough to fail for.
    pub grave: bool,
}

impl Candidate {
    /// The report as one HTML file of two sheets.
    #[must_use]
    pub fn html(&self) -> String {
        let told = Told::of(self);
        let mut body = String::new();
        let _ = write!(
            body,
            "<section class=\"sheet\">\n<h1>{}</h1>\n<p class=\"under\">{}</p>\n",
            escaped(&told.name),
            escaped(&told.under)
        );
        verdict_box(&mut body, &told);
        task_table(&mut body, &told);
        competency_table(&mut body, &told);
        safety_record(&mut body, &told);
        body.push_str("</section>\n<section class=\"sheet\">\n");
        self.pictures(&mut body, &told);
        said(&mut body, &told);
        let _ = write!(
            body,
            "<p class=\"foot\">{}</p>\n<p class=\"foot\">{}</p>\n</section>\n",
            escaped(&told.notice),
            escaped(told::CAUTION)
        );
        html::page(&told.title, &body)
    }

    fn pictures(&self, body: &mut String, told: &Told<'_>) {
        let traces = told.traces.rows.iter().copied();
        let mut pictures: Vec<String> = traces.map(trace).collect();
        if !pictures.is_empty() {
            let _ = writeln!(body, "<h2>{}</h2>", told::TRACES_HEAD);
            side_by_side(body, &pictures);
            let _ = writeln!(body, "<p class=\"foot\">{}</p>", told::TRACES_FOOT);
            more(body, told.traces.more.as_deref());
        }
        if let (Some(curve), Some(words)) = (&self.calibration, &told.calibration) {
            let _ = writeln!(body, "<h2>{}</h2>", told::CALIBRATION_HEAD);
            pictures = vec![calibration(curve), format!("<p>{words}</p>\n")];
            side_by_side(body, &pictures);
        }
    }
}

fn verdict_box(body: &mut String, told: &Told<'_>) {
    let _ = writeln!(
        body,
        "<div class=\"verdict\"><p><b>{}</b> · {}</p>",
        told.verdict, told.mark
    );
    for reason in &told.reasons {
        let _ = writeln!(body, "<p>{}</p>", escaped(reason));
    }
    body.push_str("</div>\n");
}

fn task_table(body: &mut String, told: &Told<'_>) {
    if told.tasks.rows.is_empty() {
        return;
    }
    let [number, task, answer, right, mark, time] = told::TASK_COLUMNS;
    let _ = write!(
        body,
        "<h2>{}</h2>\n<table class=\"fixed\">\n<thead><tr><th style=\"width:6%\">{number}</th>\
         <th style=\"width:36%\">{task}</th><th style=\"width:32%\">{answer}</th>\
         <th style=\"width:9%\">{right}</th><th class=\"n\" style=\"width:8%\">{mark}</th>\
         <th class=\"n\">{time}</th></tr></thead>\n<tbody>\n",
        told::TASKS_HEAD
    );
    for row in &told.tasks.rows {
        let [number, task, answer, right, mark, time] = row;
        let _ = writeln!(
            body,
            "<tr><td>{number}</td><td>{}</td><td>{}</td><td>{right}</td><td class=\"n\">{mark}</td>\
             <td class=\"n\">{time}</td></tr>",
            escaped(task),
            escaped(answer),
        );
    }
    body.push_str("</tbody>\n</table>\n");
    more(body, told.tasks.more.as_deref());
}

fn competency_table(body: &mut String, told: &Told<'_>) {
    if told.competencies.rows.is_empty() {
        return;
    }
    let _ = write!(
        body,
        "<h2>{}</h2>\n<table class=\"fixed\">\n<tbody>\n",
        told::COMPETENCIES_HEAD
    );
    for one in &told.competencies.rows {
        let _ = writeln!(
            body,
            "<tr><td style=\"width:38%\">{}</td><td style=\"width:22%\"><span class=\"bar\"><i style=\"width:{:.0}%\"></i></span></td>\
             <td class=\"n\" style=\"width:6%\">{}</td><td>{}</td><td class=\"n\" style=\"width:10%\">{}</td></tr>",
            escaped(&one.name),
            one.percent,
            one.mark,
            one.needed,
            one.tasks
        );
    }
    body.push_str("</tbody>\n</table>\n");
    more(body, told.competencies.more.as_deref());
}

fn safety_record(body: &mut String, told: &Told<'_>) {
    let _ = writeln!(body, "<h2>{}</h2>", told::SAFETY_HEAD);
    if told.slips.rows.is_empty() {
        let _ = writeln!(body, "<p>{}</p>", told::NO_SLIPS);
        return;
    }
    body.push_str("<ul>\n");
    for one in &told.slips.rows {
        body.push_str("<li>");
        if one.grave {
            let _ = write!(body, "<b>{}</b> ", told::GRAVE);
        }
        let _ = writeln!(body, "{}</li>", escaped(&one.words));
    }
    body.push_str("</ul>\n");
    more(body, told.slips.more.as_deref());
}

fn said(body: &mut String, told: &Told<'_>) {
    let _ = writeln!(body, "<h2>{}</h2>\n<ul class=\"say\">", told::SAID_HEAD);
    for words in &told.said {
        let _ = writeln!(body, "<li>{}</li>", escaped(words));
    }
    body.push_str("</ul>\n");
}

/// Two beside each other, and the next two below.
fn side_by_side(body: &mut String, parts: &[String]) {
    for pair in parts.chunks(2) {
        body.push_str("<div class=\"pair\">");
        for part in pair {
            let _ = write!(body, "<div>{part}</div>");
        }
        if pair.len() < 2 {
            body.push_str("<div></div>");
        }
        body.push_str("</div>\n");
    }
}

/// What a cut list leaves out.
fn more(body: &mut String, words: Option<&str>) {
    if let Some(words) = words {
        let _ = writeln!(body, "<p class=\"foot\">{words}</p>");
    }
}
