//! The pen that draws the report's pictures on a sheet. What a class looks like is as in `chart/svg.rs`.

use pdf_writer::Content;
use pdf_writer::types::LineJoinStyle;

use super::font::Weight;
use super::page::{Colour, INK, Paper, SHEET, Style, fill, number, stroke};
use crate::chart::pen::Pen;
use crate::chart::svg::{Anchor, Place};
use crate::figures::report::trace::SIZE_PX;

/// A picture on a sheet.
pub(super) struct Picture<'a> {
    pub paper: &'a mut Paper,
    pub corner: Place,
    /// Points a pixel.
    pub scale: f64,
}

/// How a shape looks: what fills it, its edge with its width in px, and the dashes of that.
struct Look {
    fill: Option<Colour>,
    edge: Colour,
    width_px: f64,
    dashes_px: &'static [f64],
}

const PAPER: Colour = [255, 255, 255];
const CAR: Colour = [0xb0, 0x0d, 0x3c];
const HEALTHY: Colour = [0x17, 0x5a, 0x9e];

fn look(class: &str) -> Look {
    let line = |edge, width_px| Look {
        fill: None,
        edge,
        width_px,
        dashes_px: &[],
    };
    match class {
        "car" => line(CAR, 2.8),
        "car-mark" => Look {
            fill: Some(CAR),
            ..line(PAPER, 1.2)
        },
        "healthy" => Look {
            dashes_px: &[9.0, 4.0],
            ..line(HEALTHY, 2.2)
        },
        "healthy-mark" => Look {
            fill: Some(PAPER),
            ..line(HEALTHY, 1.8)
        },
        "grid" => line([0xd6, 0xd2, 0xc6], 0.9),
        "quality" => Look {
            dashes_px: &[1.5, 3.0],
            ..line([0x80, 0x86, 0x8c], 0.9)
        },
        "frame" => line(INK, 1.2),
        _ => line(INK, 1.0),
    }
}

/// How far a curve's handles stand out where four curves make a circle of radius 1: 4/3 (sqrt 2 - 1).
const HANDLE: f64 = 0.552_284_75;

impl Picture<'_> {
    fn place(&self, at: Place) -> (f32, f32) {
        (
            number(self.corner.0 + self.scale * at.0),
            number(SHEET.1 - self.corner.1 - self.scale * at.1),
        )
    }

    fn paint(&mut self, class: &str, shape: impl FnOnce(&mut Content)) {
        let look = look(class);
        let scale = self.scale;
        self.paper.draw(|sheet| {
            stroke(sheet, look.edge, scale * look.width_px);
            sheet.set_line_join(LineJoinStyle::RoundJoin);
            let dashes = look.dashes_px.iter().map(|dash| number(scale * dash));
            sheet.set_dash_pattern(dashes, 0.0);
            if let Some(colour) = look.fill {
                fill(sheet, colour);
            }
            shape(sheet);
            match look.fill {
                Some(_) => sheet.fill_nonzero_and_stroke(),
                None => sheet.stroke(),
            };
        });
    }
}

impl Pen for Picture<'_> {
    fn path(&mut self, class: &str, points: &[Place], closed: bool) {
        if points.len() < 2 {
            return;
        }
        let places: Vec<(f32, f32)> = points.iter().map(|at| self.place(*at)).collect();
        self.paint(class, |sheet| {
            for (index, (x, y)) in places.iter().enumerate() {
                if index == 0 {
                    sheet.move_to(*x, *y);
                } else {
                    sheet.line_to(*x, *y);
                }
            }
            if closed {
                sheet.close_path();
            }
        });
    }

    fn rect(&mut self, class: &str, corner: Place, size: Place) {
        let (right, bottom) = (corner.0 + size.0, corner.1 + size.1);
        let corners = [
            corner,
            (right, corner.1),
            (right, bottom),
            (corner.0, bottom),
        ];
        self.path(class, &corners, true);
    }

    fn circle(&mut self, class: &str, at: Place, radius: f64) {
        let point = |x: f64, y: f64| self.place((at.0 + radius * x, at.1 + radius * y));
        let start = point(1.0, 0.0);
        let quarters = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)].map(|(x, y)| {
            // A quarter further on, what was across is up.
            [
                point(x - HANDLE * y, y + HANDLE * x),
                point(HANDLE * x - y, HANDLE * y + x),
                point(-y, x),
            ]
        });
        self.paint(class, |sheet| {
            sheet.move_to(start.0, start.1);
            for [one, two, end] in quarters {
                sheet.cubic_to(one.0, one.1, two.0, two.1, end.0, end.1);
            }
            sheet.close_path();
        });
    }

    fn text(&mut self, class: &str, at: Place, anchor: Anchor, words: &str) {
        let (weight, size_px) = match class {
            "head" => (Weight::Bold, 14.0),
            _ => (Weight::Regular, 11.0),
        };
        let style = Style {
            weight,
            size: self.scale * size_px,
            colour: INK,
        };
        let left = self.corner.0 + self.scale * at.0;
        let room = match anchor {
            Anchor::Start => self.scale * (SIZE_PX.0 - at.0),
            Anchor::Middle | Anchor::End => self.scale * SIZE_PX.0,
        };
        let words = self.paper.fitting(words, style, room);
        let width = self.paper.width(&words, style);
        let left = match anchor {
            Anchor::Start => left,
            Anchor::Middle => left - 0.5 * width,
            Anchor::End => left - width,
        };
        let base = self.corner.1 + self.scale * (at.1 + 0.35 * size_px);
        self.paper.show((left, base), &words, style);
    }
}
