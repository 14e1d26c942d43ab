//! What a sheet is made of: words that wrap or are cut, rules and boxes. Points, from its upper left corner.

use pdf_writer::types::StructRole;
use pdf_writer::{Content, Name, Str};
use unicode_normalization::UnicodeNormalization;

use super::font::{Fonts, Weight};
use super::tags::Tags;
use crate::chart::svg::Place;
use crate::figures::report::text::plain;

/// A4, points.
pub(super) const SHEET: Place = (595.28, 841.89);
/// Where a sheet's words begin: 14 mm and 12 mm from its edges, as the HTML is printed.
pub(super) const LEFT: f64 = 39.69;
pub(super) const RIGHT: f64 = SHEET.0 - LEFT;
pub(super) const TOP: f64 = 34.02;

/// Red, green and blue, 0 to 255.
pub(super) type Colour = [u8; 3];
pub(super) const INK: Colour = [0x1a, 0x1d, 0x20];
pub(super) const SOFT: Colour = [0x4a, 0x50, 0x56];
pub(super) const HAIR: Colour = [0xc9, 0xcc, 0xd0];

/// How words look.
#[derive(Clone, Copy, Debug)]
pub(super) struct Style {
    pub weight: Weight,
    pub size: f64,
    pub colour: Colour,
}

/// Where words stand that may be longer than a line.
#[derive(Clone, Copy, Debug)]
pub(super) struct Measure {
    pub left: f64,
    pub right: f64,
    /// Lines after which they are cut.
    pub most: usize,
}

impl Style {
    /// From one line to the next.
    pub fn leading(&self) -> f64 {
        1.3 * self.size
    }
}

/// The sheets being set.
pub(super) struct Paper {
    pub fonts: Fonts,
    pub tags: Tags,
    pub sheets: Vec<Content>,
    /// How far down the last sheet is filled.
    pub y: f64,
    sheet: Content,
    marked: bool,
}

/// A hundredth of a point is finer than any printer.
pub(super) fn number(value: f64) -> f32 {
    (libm::round(value * 100.0) / 100.0) as f32
}

fn share(colour: u8) -> f32 {
    (libm::round(f64::from(colour) / 0.255) / 1000.0) as f32
}

impl Paper {
    pub fn new(fonts: Fonts) -> Self {
        let mut tags = Tags::new();
        tags.new_page();
        Self {
            fonts,
            tags,
            sheets: Vec::new(),
            y: TOP,
            sheet: Content::new(),
            marked: false,
        }
    }

    /// Puts the sheet away and takes the next.
    pub fn turn(&mut self) {
        self.put_away();
        self.tags.new_page();
        self.y = TOP;
    }

    /// Puts the last sheet away.
    pub fn put_away(&mut self) {
        let done = std::mem::replace(&mut self.sheet, Content::new());
        self.sheets.push(done);
    }

    /// What `draw` draws, as one leaf of the tree.
    pub fn piece(&mut self, role: StructRole, about: Option<&str>, draw: impl FnOnce(&mut Self)) {
        let number = self.tags.leaf(role, about.map(plain));
        let mut mark = self
            .sheet
            .begin_marked_content_with_properties(role.to_name());
        mark.properties().identify(number);
        drop(mark);
        self.marked = true;
        draw(self);
        self.marked = false;
        self.sheet.end_marked_content();
    }

    /// What `draw` draws in one branch of the tree.
    pub fn branch(&mut self, role: StructRole, draw: impl FnOnce(&mut Self)) {
        self.tags.open(role);
        draw(self);
        self.tags.close();
    }

    /// Lines and boxes outside a piece mean nothing to who hears the sheet.
    pub fn draw(&mut self, draw: impl FnOnce(&mut Content)) {
        if !self.marked {
            self.sheet.begin_marked_content(Name(b"Artifact"));
        }
        self.sheet.save_state();
        draw(&mut self.sheet);
        self.sheet.restore_state();
        if !self.marked {
            self.sheet.end_marked_content();
        }
    }

    pub fn fill_box(&mut self, corner: Place, size: Place, colour: Colour) {
        self.draw(|sheet| {
            fill(sheet, colour);
            rect(sheet, corner, size);
            sheet.fill_nonzero();
        });
    }

    pub fn stroke_box(&mut self, corner: Place, size: Place, width: f64) {
        self.draw(|sheet| {
            stroke(sheet, INK, width);
            rect(sheet, corner, size);
            sheet.stroke();
        });
    }

    /// A line across, below what has been set.
    pub fn rule(&mut self, left: f64, right: f64, width: f64, colour: Colour) {
        self.fill_box((left, self.y), (right - left, width), colour);
        self.y += width;
    }

    pub fn width(&self, words: &str, style: Style) -> f64 {
        self.fonts.width(words, style.weight, style.size)
    }

    /// Words from a place on their base line; nothing of them is cut.
    pub fn show(&mut self, at: Place, words: &str, style: Style) {
        if words.is_empty() {
            return;
        }
        let bytes = self.fonts.written(words, style.weight);
        let font = match style.weight {
            Weight::Regular => Name(b"R"),
            Weight::Bold => Name(b"B"),
        };
        fill(&mut self.sheet, style.colour);
        self.sheet
            .begin_text()
            .set_font(font, number(style.size))
            .next_line(number(at.0), number(SHEET.1 - at.1))
            .show(Str(&bytes))
            .end_text();
    }

    /// The base line of words on the line that begins here.
    pub fn base(&self, style: Style) -> f64 {
        self.y + 0.5 * style.leading() + 0.36 * style.size
    }

    /// Words of people that fit a width, with a mark where something is missing.
    pub fn fitting(&self, words: &str, style: Style, width: f64) -> String {
        let words = composed(words);
        if self.width(&words, style) <= width {
            return words;
        }
        let room = width - self.width("…", style);
        let mut kept = self.longest(&words, style, room).trim_end().to_owned();
        kept.push('…');
        kept
    }

    /// As much of the beginning as fits.
    fn longest<'a>(&self, words: &'a str, style: Style, width: f64) -> &'a str {
        let mut used = 0.0;
        for (place, letter) in words.char_indices() {
            used += self.width(letter.encode_utf8(&mut [0; 4]), style);
            if used > width {
                return words.get(..place).unwrap_or_default();
            }
        }
        words
    }

    /// Words of people as lines, the first of them shorter by `indent`. A word longer than a line is broken.
    fn lines(&self, words: &str, style: Style, measure: Measure, indent: f64) -> Vec<String> {
        let words = composed(words);
        let whole = measure.right - measure.left;
        let mut rest = words.trim();
        let mut lines: Vec<String> = Vec::new();
        while !rest.is_empty() {
            let room = if lines.is_empty() {
                whole - indent
            } else {
                whole
            };
            if lines.len() + 1 == measure.most {
                lines.push(self.fitting(rest, style, room));
                break;
            }
            let fits = self.longest(rest, style, room);
            let end = match rest.get(fits.len()..) {
                Some("") | None => rest.len(),
                Some(after) if after.starts_with(' ') => fits.len(),
                Some(after) => match fits.rfind(' ') {
                    Some(space) => space,
                    // At least one letter goes on a line, or nothing ever would.
                    None if fits.is_empty() => rest.len() - after.len() + first(after),
                    None => fits.len(),
                },
            };
            let (line, after) = rest.split_at(end);
            // The space stays, unseen: who copies or hears the words needs it between them.
            let space = if after.starts_with(' ') { " " } else { "" };
            lines.push(format!("{}{space}", line.trim_end()));
            rest = after.trim_start();
        }
        lines
    }

    /// Words in as many lines as they need, and below them the next thing.
    pub fn words(&mut self, words: &str, style: Style, measure: Measure) {
        self.led("", style, words, style, measure);
    }

    /// The same, after a few words that look otherwise and are never cut.
    pub fn led(&mut self, lead: &str, of: Style, words: &str, style: Style, measure: Measure) {
        let tall = if lead.is_empty() { style } else { of };
        let base = self.base(tall);
        let indent = self.width(lead, of);
        self.show((measure.left, base), lead, of);
        for (index, line) in self.lines(words, style, measure, indent).iter().enumerate() {
            if index == 0 {
                self.show((measure.left + indent, base), line, style);
                self.y += tall.leading();
            } else {
                let base = self.base(style);
                self.show((measure.left, base), line, style);
                self.y += style.leading();
            }
        }
    }
}

/// Words of people, where a letter and its marks are one: a face has a better place for them than we.
fn composed(words: &str) -> String {
    plain(words).nfc().collect()
}

/// Bytes of the first letter.
fn first(words: &str) -> usize {
    words.chars().next().map_or(0, char::len_utf8)
}

pub(super) fn fill(sheet: &mut Content, [red, green, blue]: Colour) {
    sheet.set_fill_rgb(share(red), share(green), share(blue));
}

pub(super) fn stroke(sheet: &mut Content, [red, green, blue]: Colour, width: f64) {
    sheet
        .set_stroke_rgb(share(red), share(green), share(blue))
        .set_line_width(number(width));
}

fn rect(sheet: &mut Content, corner: Place, size: Place) {
    sheet.rect(
        number(corner.0),
        number(SHEET.1 - corner.1 - size.1),
        number(size.0),
        number(size.1),
    );
}
