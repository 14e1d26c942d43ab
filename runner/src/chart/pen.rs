//! What a picture is drawn with, whether it becomes SVG or part of a page.

use super::svg::{Anchor, Place, Svg};

/// Draws by class, in pixels from the picture's upper left corner. What a class looks like is the pen's.
pub trait Pen {
    /// A line through points, joined to its start where it is closed; nothing through fewer than two.
    fn path(&mut self, class: &str, points: &[Place], closed: bool);
    /// A rectangle.
    fn rect(&mut self, class: &str, corner: Place, size: Place);
    /// A disc.
    fn circle(&mut self, class: &str, at: Place, radius: f64);
    /// A text with its middle height at a place.
    fn text(&mut self, class: &str, at: Place, anchor: Anchor, words: &str);

    /// A straight line.
    fn line(&mut self, class: &str, from: Place, to: Place) {
        self.path(class, &[from, to], false);
    }

    /// A square around a place.
    fn square(&mut self, class: &str, at: Place, side: f64) {
        let corner = (at.0 - 0.5 * side, at.1 - 0.5 * side);
        self.rect(class, corner, (side, side));
    }
}

impl Pen for Svg {
    fn path(&mut self, class: &str, points: &[Place], closed: bool) {
        Self::path(self, class, points, closed);
    }

    fn rect(&mut self, class: &str, corner: Place, size: Place) {
        Self::rect(self, class, corner, size);
    }

    fn circle(&mut self, class: &str, at: Place, radius: f64) {
        Self::circle(self, class, at, radius);
    }

    fn text(&mut self, class: &str, at: Place, anchor: Anchor, words: &str) {
        Self::text(self, class, at, anchor, words);
    }
}
