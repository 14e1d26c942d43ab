//! What a candidate, and the shop, takes home: two printed pages.
//!
//! The first says what was decided and on what: verdict, tasks, competencies, safety. The second shows how
//! the work went and what to say. Lists are cut where a page ends, and say so: nothing pushes a third page.

use std::fmt::Write;

use super::html::{self, escaped};
use super::trace::{Trace, calibration, trace};
use super::words::to_say;
use super::{Verdict, wall};
use crate::figures::calibration::Curve;
use crate::figures::standard::Standing;
use crate::show;

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

/// Reasons told of a verdict.
pub(super) const REASONS: usize = 3;
/// Lines that fit the first page, and pictures that fit the second.
const TASKS: usize = 10;
const COMPETENCIES: usize = 8;
const SLIPS: usize = 4;
const TRACES: usize = 4;
const SAID: usize = 8;
/// Letters of something that gets one line, and of something that gets two.
const LINE: usize = 70;
const TWO_LINES: usize = 150;
/// Letters of a name in the heading.
const NAME: usize = 50;

impl Candidate {
    /// The report as one HTML file of two sheets.
    #[must_use]
    pub fn html(&self) -> String {
        let mut body = String::new();
        let _ = write!(
            body,
            "<section class=\"sheet\">\n<h1>{}</h1>\n<p class=\"under\">{} · {} · sitting {}</p>\n",
            escaped(&short(&self.name, NAME)),
            escaped(&short(&self.form, LINE)),
            escaped(&short(&self.date, LINE)),
            escaped(&short(&self.sitting, LINE))
        );
        self.verdict_box(&mut body);
        self.task_table(&mut body);
        self.competency_table(&mut body);
        self.safety_record(&mut body);
        body.push_str("</section>\n<section class=\"sheet\">\n");
        self.pictures(&mut body);
        self.said(&mut body);
        let _ = write!(
            body,
            "<p class=\"foot\">{}</p>\n</section>\n",
            escaped(&short(&self.notice, TWO_LINES))
        );
        html::page(&format!("{}: {}", self.name, self.form), &body)
    }

    fn verdict_box(&self, body: &mut String) {
        let word = match &self.verdict {
            Some(verdict) if verdict.passes => "Pass",
            Some(_) => "Not passed",
            None => "Practice: no verdict",
        };
        let _ = writeln!(
            body,
            "<div class=\"verdict\"><p><b>{word}</b> · {:.1} of 100</p>",
            self.mark
        );
        if let (Some(standing), Some(_)) = (&self.standing, &self.verdict) {
            let _ = writeln!(
                body,
                "<p>The mark is {}.</p>",
                escaped(&standing.to_string())
            );
        }
        let reasons = self.verdict.iter().flat_map(|verdict| &verdict.reasons);
        for reason in reasons.take(REASONS) {
            let _ = writeln!(body, "<p>{}</p>", escaped(&short(reason, TWO_LINES)));
        }
        body.push_str("</div>\n");
    }

    fn task_table(&self, body: &mut String) {
        if self.tasks.is_empty() {
            return;
        }
        body.push_str("<h2>Tasks</h2>\n");
        body.push_str(
            "<table class=\"fixed\">\n<thead><tr><th style=\"width:6%\"></th><th style=\"width:36%\">task</th>\
             <th style=\"width:32%\">answer</th><th style=\"width:9%\"></th><th class=\"n\" style=\"width:8%\">mark</th>\
             <th class=\"n\">min</th></tr></thead>\n<tbody>\n",
        );
        for one in self.tasks.iter().take(TASKS) {
            let answer = match one.answer.as_str() {
                "" => "no answer",
                answer => answer,
            };
            let _ = writeln!(
                body,
                "<tr><td>{}</td><td>{}</td><td>{}</td><td>{}</td><td class=\"n\">{:.0}</td>\
                 <td class=\"n\">{}</td></tr>",
                one.task,
                escaped(&short(&one.title, LINE)),
                escaped(&short(answer, LINE)),
                if one.right { "right" } else { "wrong" },
                one.mark,
                wall(one.wall_ms)
            );
        }
        body.push_str("</tbody>\n</table>\n");
        more(body, self.tasks.len(), TASKS, "tasks");
    }

    fn competency_table(&self, body: &mut String) {
        if self.competencies.is_empty() {
            return;
        }
        body.push_str("<h2>Competencies</h2>\n<table class=\"fixed\">\n<tbody>\n");
        for one in self.competencies.iter().take(COMPETENCIES) {
            let needed = match one.needed {
                Some(needed) if one.mark < needed => format!("below the {needed:.0} needed"),
                Some(needed) => format!("{needed:.0} needed"),
                None => String::new(),
            };
            let _ = writeln!(
                body,
                "<tr><td style=\"width:38%\">{}</td><td style=\"width:22%\"><span class=\"bar\"><i style=\"width:{:.0}%\"></i></span></td>\
                 <td class=\"n\" style=\"width:6%\">{:.0}</td><td>{}</td><td class=\"n\" style=\"width:10%\">{} task{}</td></tr>",
                escaped(&short(&one.name, LINE)),
                one.mark.clamp(0.0, 100.0),
                one.mark,
                escaped(&needed),
                one.tasks,
                if one.tasks == 1 { "" } else { "s" }
            );
        }
        body.push_str("</tbody>\n</table>\n");
        more(body, self.competencies.len(), COMPETENCIES, "competencies");
    }

    fn safety_record(&self, body: &mut String) {
        body.push_str("<h2>Safety record</h2>\n");
        if self.safety.is_empty() {
            body.push_str("<p>No slips.</p>\n");
            return;
        }
        // Grave ones first, so that they are not what is cut.
        let mut slips: Vec<&SafetyLine> = self.safety.iter().collect();
        slips.sort_by_key(|one| !one.grave);
        body.push_str("<ul>\n");
        for one in slips.iter().take(SLIPS) {
            let grave = if one.grave { "<b>Grave.</b> " } else { "" };
            let _ = writeln!(
                body,
                "<li>{grave}Task {}, {} min: {}</li>",
                one.task,
                show::clock(one.at_s).trim(),
                escaped(&short(&one.words, TWO_LINES))
            );
        }
        body.push_str("</ul>\n");
        more(body, self.safety.len(), SLIPS, "slips");
    }

    fn pictures(&self, body: &mut String) {
        let mut pictures: Vec<String> = self.traces.iter().take(TRACES).map(trace).collect();
        if !pictures.is_empty() {
            body.push_str("<h2>What could be believed, reading by reading</h2>\n");
            side_by_side(body, &pictures);
            body.push_str(
                "<p class=\"foot\">Line: how likely what was in the car was by the readings taken. Dashed: the \
                 likeliest explanation; where it runs above the line, the readings pointed elsewhere. Discs: \
                 what the candidate stated and was so; squares: what was not so.</p>\n",
            );
            more(body, self.traces.len(), TRACES, "cases");
        }
        if let Some(curve) = &self.calibration {
            body.push_str("<h2>How sure, and how often so</h2>\n");
            pictures = vec![calibration(curve)];
            let words = format!(
                "<p>{} confidences. Brier score {:.2}: 0 is best, and 0.25 is what calling everything \
                 fifty-fifty gives. On average {:.0} points {} than came true.</p>\n",
                curve.count,
                curve.brier,
                100.0 * curve.lean.abs(),
                if curve.lean >= 0.0 {
                    "surer"
                } else {
                    "less sure"
                }
            );
            pictures.push(words);
            side_by_side(body, &pictures);
        }
    }

    fn said(&self, body: &mut String) {
        body.push_str("<h2>What to say to the candidate</h2>\n<ul class=\"say\">\n");
        for words in to_say(self).iter().take(SAID) {
            let _ = writeln!(body, "<li>{}</li>", escaped(&short(words, TWO_LINES)));
        }
        body.push_str("</ul>\n");
    }
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
fn more(body: &mut String, count: usize, shown: usize, what: &str) {
    if count > shown {
        let _ = writeln!(
            body,
            "<p class=\"foot\">{} more {what} are in the records.</p>",
            count - shown
        );
    }
}

fn short(words: &str, letters: usize) -> String {
    let mut kept: String = words.chars().take(letters).collect();
    if kept.len() < words.len() {
        kept.push('…');
    }
    kept
}
