//! A candidate's two sheets as a PDF: what the HTML tells, cut the same, on A4 with its own letters.
//!
//! A sheet has room for every list at its longest; nothing flows from the first to the second, or off it.

mod file;
mod font;
mod page;
mod picture;
mod tags;

use std::collections::BTreeSet;
use std::fmt;

use pdf_writer::types::StructRole;

use self::font::{Fonts, Weight};
use self::page::{Colour, HAIR, INK, LEFT, Measure, Paper, RIGHT, SOFT, Style};
use self::picture::Picture;
use super::candidate::Candidate;
use super::text::plain;
use super::told::{self, Told};
use super::trace::{CALIBRATION_ABOUT, SIZE_PX, TRACE_ABOUT, draw_calibration, draw_trace};
use crate::figures::calibration::Curve;

/// Why there is no PDF.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoPdf {
    /// Letters that the PDF's faces do not have.
    Letters(BTreeSet<char>),
    /// A face of the program, by name, that cannot be read.
    Font(&'static str),
}

impl fmt::Display for NoPdf {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Letters(letters) => {
                f.write_str("the PDF has no letters for ")?;
                for (index, letter) in letters.iter().enumerate() {
                    let comma = if index > 0 { ", " } else { "" };
                    write!(f, "{comma}`{letter}` (U+{:04X})", u32::from(*letter))?;
                }
                f.write_str(
                    ": it writes Latin, Greek and Cyrillic; --html can show them, in the letters of whoever reads it",
                )
            }
            Self::Font(name) => write!(
                f,
                "the letters `{name}` in this program cannot be read: build it again, or use --html"
            ),
        }
    }
}

impl std::error::Error for NoPdf {}

const fn style(weight: Weight, size: f64, colour: Colour) -> Style {
    Style {
        weight,
        size,
        colour,
    }
}

const NAME: Style = style(Weight::Bold, 17.0, INK);
const HEAD: Style = style(Weight::Bold, 11.0, INK);
const VERDICT: Style = style(Weight::Bold, 15.0, INK);
const TEXT: Style = style(Weight::Regular, 9.5, INK);
const STRONG: Style = style(Weight::Bold, 9.5, INK);
const UNDER: Style = style(Weight::Regular, 9.5, SOFT);
const COLUMN: Style = style(Weight::Bold, 9.0, SOFT);
const FOOT: Style = style(Weight::Regular, 8.0, SOFT);

/// Between paragraphs, between points of a list, and from a word to the edge of its column.
const GAP: f64 = 3.0;
const POINT_GAP: f64 = 1.5;
const COLUMN_GAP: f64 = 6.0;
/// Above and below the words of a row.
const ROW_GAP: f64 = 1.5;
/// From a box's edge to its words, and the width of strong lines.
const BOX: f64 = 8.0;
const STRONG_LINE: f64 = 1.5;
/// From a list's edge to its words.
const LIST: f64 = 13.5;
/// Between pictures side by side.
const PAIR_GAP: f64 = 8.0;

const ACROSS: Measure = Measure {
    left: LEFT,
    right: RIGHT,
    most: 3,
};

/// Where a column begins and ends, as shares of the sheet's width, and whether its words stand right.
type Column = (f64, f64, bool);
const TASK_PLACES: [Column; 6] = [
    (0.0, 0.06, false),
    (0.06, 0.42, false),
    (0.42, 0.75, false),
    (0.75, 0.84, false),
    (0.84, 0.91, true),
    (0.91, 1.0, true),
];
const BAR_PLACE: (f64, f64) = (0.38, 0.59);
const COMPETENCY_PLACES: [Column; 4] = [
    (0.0, 0.38, false),
    (0.59, 0.66, true),
    (0.66, 0.89, false),
    (0.89, 1.0, true),
];
/// Height of a competency's bar, and what fills it.
const BAR: f64 = 6.75;
const BAR_COLOUR: Colour = [0x5a, 0x60, 0x66];

fn across(share: f64) -> f64 {
    LEFT + share * (RIGHT - LEFT)
}

impl Candidate {
    /// The report as a PDF of two sheets of A4. The same report is the same bytes.
    ///
    /// # Errors
    /// Letters that its faces do not have: names are never shown as empty boxes.
    pub fn pdf(&self) -> Result<Vec<u8>, NoPdf> {
        let told = Told::of(self);
        let mut paper = Paper::new(Fonts::read()?);
        paper.piece(StructRole::H1, None, |paper| {
            paper.words(&told.name, NAME, Measure { most: 2, ..ACROSS });
        });
        paragraph(&mut paper, &told.under, UNDER, ACROSS);
        verdict_box(&mut paper, &told);
        task_table(&mut paper, &told);
        competency_table(&mut paper, &told);
        safety_record(&mut paper, &told);
        paper.turn();
        pictures(&mut paper, &told, self.calibration.as_ref());
        said(&mut paper, &told);
        paper.y += GAP;
        paragraph(&mut paper, &told.notice, FOOT, ACROSS);
        paragraph(&mut paper, told::CAUTION, FOOT, ACROSS);
        paper.put_away();
        file::written(paper, &plain(&told.title))
    }
}

fn pictures(paper: &mut Paper, told: &Told<'_>, curve: Option<&Curve>) {
    let half = 0.5 * (RIGHT - LEFT - PAIR_GAP);
    let scale = half / SIZE_PX.0;
    let height = scale * SIZE_PX.1;
    let beside = LEFT + half + PAIR_GAP;
    if !told.traces.rows.is_empty() {
        heading(paper, told::TRACES_HEAD);
        for pair in told.traces.rows.chunks(2) {
            for (trace, left) in pair.iter().zip([LEFT, beside]) {
                let about = format!("{}. {TRACE_ABOUT}", trace.title);
                let corner = (left, paper.y);
                paper.piece(StructRole::Figure, Some(&about), |paper| {
                    let mut picture = Picture {
                        paper,
                        corner,
                        scale,
                    };
                    draw_trace(&mut picture, trace);
                });
            }
            paper.y += height;
        }
        paper.y += GAP;
        paragraph(paper, told::TRACES_FOOT, FOOT, ACROSS);
        more(paper, told.traces.more.as_deref());
    }
    if let (Some(curve), Some(words)) = (curve, &told.calibration) {
        heading(paper, told::CALIBRATION_HEAD);
        let corner = (LEFT, paper.y);
        paper.piece(StructRole::Figure, Some(CALIBRATION_ABOUT), |paper| {
            let mut picture = Picture {
                paper,
                corner,
                scale,
            };
            draw_calibration(&mut picture, curve);
        });
        let measure = Measure {
            left: beside,
            most: 8,
            ..ACROSS
        };
        paragraph(paper, words, TEXT, measure);
        paper.y = corner.1 + height;
    }
}
fn heading(paper: &mut Paper, words: &str) {
    paper.y += 6.0;
    paper.piece(StructRole::H2, None, |paper| {
        paper.words(words, HEAD, ACROSS)
    });
    paper.y += POINT_GAP;
    paper.rule(LEFT, RIGHT, 1.1, INK);
    paper.y += GAP;
}

fn paragraph(paper: &mut Paper, words: &str, style: Style, measure: Measure) {
    paper.piece(StructRole::P, None, |paper| {
        paper.words(words, style, measure);
    });
    paper.y += GAP;
}

/// What a cut list leaves out.
fn more(paper: &mut Paper, words: Option<&str>) {
    if let Some(words) = words {
        paper.y += POINT_GAP;
        paragraph(paper, words, FOOT, ACROSS);
    }
}

fn verdict_box(paper: &mut Paper, told: &Told<'_>) {
    paper.y += GAP;
    let top = paper.y;
    paper.y += BOX;
    let within = Measure {
        left: LEFT + BOX,
        right: RIGHT - BOX,
        most: 2,
    };
    let mark = format!("· {}", told.mark);
    paper.piece(StructRole::P, None, |paper| {
        let verdict = format!("{} ", told.verdict);
        paper.led(&verdict, VERDICT, &mark, TEXT, within);
    });
    for (index, reason) in told.reasons.iter().enumerate() {
        paper.y += GAP;
        // The first may be our own sentence on the pass mark, which is longer than a reason.
        let most = if index == 0 { 3 } else { 2 };
        paper.piece(StructRole::P, None, |paper| {
            paper.words(reason, TEXT, Measure { most, ..within });
        });
    }
    paper.y += BOX;
    let size = (RIGHT - LEFT, paper.y - top);
    paper.stroke_box((LEFT, top), size, STRONG_LINE);
    paper.y += GAP;
}

/// Cells of one row, each cut to its column.
fn row<'a>(
    paper: &mut Paper,
    role: StructRole,
    style: Style,
    cells: impl Iterator<Item = (&'a str, Column)>,
) {
    let base = paper.base(style);
    paper.branch(StructRole::TR, |paper| {
        for (cell, (from, to, right)) in cells {
            let (left, end) = (across(from), across(to));
            let gap = if to < 1.0 { COLUMN_GAP } else { 0.0 };
            let words = paper.fitting(cell, style, end - left - gap);
            let at = if right {
                end - gap - paper.width(&words, style)
            } else {
                left
            };
            paper.piece(role, None, |paper| paper.show((at, base), &words, style));
        }
    });
    paper.y += style.leading();
}

fn task_table(paper: &mut Paper, told: &Told<'_>) {
    if told.tasks.rows.is_empty() {
        return;
    }
    heading(paper, told::TASKS_HEAD);
    paper.branch(StructRole::Table, |paper| {
        let heads = told::TASK_COLUMNS.into_iter().zip(TASK_PLACES);
        row(paper, StructRole::TH, COLUMN, heads);
        paper.y += ROW_GAP;
        paper.rule(LEFT, RIGHT, 0.75, INK);
        for cells in &told.tasks.rows {
            paper.y += ROW_GAP;
            let cells = cells.iter().map(String::as_str).zip(TASK_PLACES);
            row(paper, StructRole::TD, TEXT, cells);
            paper.y += ROW_GAP;
            paper.rule(LEFT, RIGHT, 0.5, HAIR);
        }
    });
    more(paper, told.tasks.more.as_deref());
}

fn competency_table(paper: &mut Paper, told: &Told<'_>) {
    if told.competencies.rows.is_empty() {
        return;
    }
    heading(paper, told::COMPETENCIES_HEAD);
    paper.branch(StructRole::Table, |paper| {
        for one in &told.competencies.rows {
            paper.y += ROW_GAP;
            let top = paper.y;
            let cells = [&one.name, &one.mark, &one.needed, &one.tasks];
            let cells = cells.into_iter().map(String::as_str);
            row(paper, StructRole::TD, TEXT, cells.zip(COMPETENCY_PLACES));
            let corner = (across(BAR_PLACE.0), top + 0.5 * (TEXT.leading() - BAR));
            let long = across(BAR_PLACE.1) - across(BAR_PLACE.0) - COLUMN_GAP;
            paper.fill_box(corner, (0.01 * one.percent * long, BAR), BAR_COLOUR);
            paper.stroke_box(corner, (long, BAR), 0.75);
            paper.y += ROW_GAP;
            paper.rule(LEFT, RIGHT, 0.5, HAIR);
        }
    });
    more(paper, told.competencies.more.as_deref());
}

/// Points with a mark before each, and what leads each of them.
fn points<'a>(paper: &mut Paper, left: f64, points: impl Iterator<Item = (&'a str, &'a str)>) {
    let measure = Measure {
        left: left + LIST,
        right: RIGHT,
        most: 2,
    };
    paper.branch(StructRole::L, |paper| {
        for (lead, words) in points {
            let middle = paper.y + 0.5 * TEXT.leading();
            paper.fill_box((left + 5.5, middle - 1.0), (2.4, 2.4), INK);
            paper.branch(StructRole::LI, |paper| {
                paper.piece(StructRole::LBody, None, |paper| {
                    paper.led(lead, STRONG, words, TEXT, measure);
                });
            });
            paper.y += POINT_GAP;
        }
    });
}

fn safety_record(paper: &mut Paper, told: &Told<'_>) {
    heading(paper, told::SAFETY_HEAD);
    if told.slips.rows.is_empty() {
        return paragraph(paper, told::NO_SLIPS, TEXT, ACROSS);
    }
    let grave = format!("{} ", told::GRAVE);
    let slips = told.slips.rows.iter().map(|one| {
        let lead = if one.grave { grave.as_str() } else { "" };
        (lead, one.words.as_str())
    });
    points(paper, LEFT, slips);
    more(paper, told.slips.more.as_deref());
}

fn said(paper: &mut Paper, told: &Told<'_>) {
    heading(paper, told::SAID_HEAD);
    let top = paper.y;
    points(
        paper,
        LEFT + BOX,
        told.said.iter().map(|words| ("", words.as_str())),
    );
    paper.fill_box((LEFT, top), (2.25, paper.y - top), INK);
}
