//! A small writer of SVG: what the charts need and no more.

use std::fmt::Write;

/// A place on the page, pixels from its upper left corner.
pub type Place = (f64, f64);

/// Which part of a text stands at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A page being drawn.
#[derive(Clone, Debug)]
pub struct Svg {
    text: String,
}

/// How everything looks, by class. Paper and ink are explicit, so that no page around it matters.
const STYLE: &str = "\
text{font-family:'Helvetica Neue',Helvetica,Arial,'DejaVu Sans',sans-serif;font-size:13px;fill:#1d2327}\
.paper{fill:#fcfbf8}\
.title{font-size:21px;font-weight:bold}\
.head{font-size:14px;font-weight:bold}\
.small{font-size:11px}\
.soft{fill:#5b6167}\
.frame{fill:none;stroke:#1d2327;stroke-width:1.2}\
.grid{fill:none;stroke:#d6d2c6;stroke-width:0.9}\
.fine{fill:none;stroke:#e8e5db;stroke-width:0.7}\
.tick{fill:none;stroke:#1d2327;stroke-width:1}\
.rule{fill:none;stroke:#bfb9a9;stroke-width:1}\
.dome{fill:none;stroke:#1d2327;stroke-width:2.2;stroke-linejoin:round}\
.critical{fill:#fcfbf8;stroke:#1d2327;stroke-width:1.6}\
.isotherm{fill:none;stroke:#b4562c;stroke-width:0.9}\
.isentrope{fill:none;stroke:#3c7a50;stroke-width:0.9;stroke-dasharray:7 3}\
.quality{fill:none;stroke:#80868c;stroke-width:0.9;stroke-dasharray:1.5 3}\
.isotherm-text{font-size:11px;fill:#93421d}\
.isentrope-text{font-size:11px;fill:#2c613d}\
.quality-text{font-size:11px;fill:#5b6167}\
.car{fill:none;stroke:#b00d3c;stroke-width:2.8;stroke-linejoin:round}\
.car-mark{fill:#b00d3c;stroke:#fcfbf8;stroke-width:1.2}\
.car-text{font-weight:bold;fill:#b00d3c}\
.healthy{fill:none;stroke:#175a9e;stroke-width:2.2;stroke-dasharray:9 4;stroke-linejoin:round}\
.healthy-mark{fill:#fcfbf8;stroke:#175a9e;stroke-width:1.8}\
.healthy-text{font-weight:bold;fill:#175a9e}";

impl Svg {
    /// An empty page. The description is for those who hear a page rather than see it.
    #[must_use]
    pub fn new(width: f64, height: f64, title: &str, description: &str) -> Self {
        let mut page = Self {
            text: String::new(),
        };
        let (w, h) = (number(width), number(height));
        let _ = writeln!(
            page.text,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" \
             viewBox=\"0 0 {w} {h}\" role=\"img\">\n<title>{}</title>\n<desc>{}</desc>\n\
             <style>{STYLE}</style>",
            escaped(title),
            escaped(description)
        );
        page.rect("paper", (0.0, 0.0), (width, height));
        page
    }

    /// A picture inside a page, as wide as there is room and in the colours of the page's style sheet:
    /// it brings none of its own, which a page may forbid. Its name is for those who hear it.
    #[must_use]
    pub fn in_page(class: &str, size: Place, role: &str, name: &str) -> Self {
        let mut page = Self {
            text: String::new(),
        };
        let _ = writeln!(
            page.text,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"{}\" viewBox=\"0 0 {} {}\" \
             role=\"{}\" aria-label=\"{}\">",
            escaped(class),
            number(size.0),
            number(size.1),
            escaped(role),
            escaped(name)
        );
        page
    }

    /// What `draw` draws, inside an element with attributes.
    pub fn inside(
        &mut self,
        element: &str,
        attributes: &[(&str, &str)],
        draw: impl FnOnce(&mut Self),
    ) {
        let _ = write!(self.text, "<{element}");
        for (name, value) in attributes {
            let _ = write!(self.text, " {name}=\"{}\"", escaped(value));
        }
        self.text.push_str(">\n");
        draw(self);
        let _ = writeln!(self.text, "</{element}>");
    }

    /// What the group around it is, in words.
    pub fn title(&mut self, words: &str) {
        let _ = writeln!(self.text, "<title>{}</title>", escaped(words));
    }

    /// What `draw` draws, as a group with an id.
    pub fn group(&mut self, id: &str, draw: impl FnOnce(&mut Self)) {
        let _ = writeln!(self.text, "<g id=\"{}\">", escaped(id));
        draw(self);
        self.text.push_str("</g>\n");
    }

    /// The same, cut off at the edges of a rectangle.
    pub fn clipped(&mut self, id: &str, corner: Place, size: Place, draw: impl FnOnce(&mut Self)) {
        let id = escaped(id);
        let _ = writeln!(
            self.text,
            "<clipPath id=\"{id}-edge\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\
             </clipPath>\n<g id=\"{id}\" clip-path=\"url(#{id}-edge)\">",
            number(corner.0),
            number(corner.1),
            number(size.0),
            number(size.1)
        );
        draw(self);
        self.text.push_str("</g>\n");
    }

    /// A line through points, joined to its start where it is closed; nothing through fewer than two.
    pub fn path(&mut self, class: &str, points: &[Place], closed: bool) {
        if points.len() < 2 {
            return;
        }
        let _ = write!(self.text, "<path class=\"{}\" d=\"", escaped(class));
        for (index, (x, y)) in points.iter().enumerate() {
            let letter = if index == 0 { 'M' } else { 'L' };
            let _ = write!(self.text, "{letter}{} {}", number(*x), number(*y));
        }
        self.text
            .push_str(if closed { "Z\"/>\n" } else { "\"/>\n" });
    }

    /// A line of arcs and straights, as SVG writes them.
    pub fn curve(&mut self, class: &str, commands: &str) {
        let (class, commands) = (escaped(class), escaped(commands));
        let _ = writeln!(self.text, "<path class=\"{class}\" d=\"{commands}\"/>");
    }

    /// A straight line.
    pub fn line(&mut self, class: &str, from: Place, to: Place) {
        self.path(class, &[from, to], false);
    }

    /// A rectangle with round corners.
    pub fn rounded(&mut self, class: &str, corner: Place, size: Place, radius: f64) {
        let _ = writeln!(
            self.text,
            "<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\"/>",
            escaped(class),
            number(corner.0),
            number(corner.1),
            number(size.0),
            number(size.1),
            number(radius)
        );
    }

    /// A rectangle.
    pub fn rect(&mut self, class: &str, corner: Place, size: Place) {
        let _ = writeln!(
            self.text,
            "<rect class=\"{}\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>",
            escaped(class),
            number(corner.0),
            number(corner.1),
            number(size.0),
            number(size.1)
        );
    }

    /// A disc.
    pub fn circle(&mut self, class: &str, at: Place, radius: f64) {
        let _ = writeln!(
            self.text,
            "<circle class=\"{}\" cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            escaped(class),
            number(at.0),
            number(at.1),
            number(radius)
        );
    }

    /// A square around a place.
    pub fn square(&mut self, class: &str, at: Place, side: f64) {
        let corner = (at.0 - 0.5 * side, at.1 - 0.5 * side);
        self.rect(class, corner, (side, side));
    }

    /// A text with its middle height at a place.
    pub fn text(&mut self, class: &str, at: Place, anchor: Anchor, words: &str) {
        let (x, y) = (number(at.0), number(at.1));
        self.write_text(class, &format!("x=\"{x}\" y=\"{y}\""), anchor, words);
    }

    /// A text around a place, to be read from the right.
    pub fn upright(&mut self, class: &str, at: Place, words: &str) {
        let (x, y) = (number(at.0), number(at.1));
        let turned = format!("x=\"{x}\" y=\"{y}\" transform=\"rotate(-90 {x} {y})\"");
        self.write_text(class, &turned, Anchor::Middle, words);
    }

    /// A text on a scrap of paper, so that lines behind it do not cross it; [`tag_size`] is the
    /// scrap's.
    pub fn tag(&mut self, class: &str, at: Place, words: &str) {
        let size = tag_size(words);
        let corner = (at.0 - 0.5 * size.0, at.1 - 0.5 * size.1);
        self.rect("paper", corner, size);
        self.text(class, at, Anchor::Middle, words);
    }

    fn write_text(&mut self, class: &str, place: &str, anchor: Anchor, words: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let _ = writeln!(
            self.text,
            "<text class=\"{}\" {place} dy=\"0.35em\" text-anchor=\"{anchor}\">{}</text>",
            escaped(class),
            escaped(words)
        );
    }

    /// The page's bytes.
    #[must_use]
    pub fn finish(mut self) -> String {
        self.text.push_str("</svg>\n");
        self.text
    }
}

/// Width and height of a text's scrap of paper, px.
#[must_use]
pub fn tag_size(words: &str) -> Place {
    (text_width(words, 11.0) + 4.0, 13.0)
}

/// About how wide a text is, px: letters of these faces are half as wide as they are high or a little more.
#[must_use]
pub fn text_width(words: &str, size_px: f64) -> f64 {
    0.58 * size_px * words.chars().count() as f64
}

/// A length in pixels as it is written: a hundredth is finer than any screen.
#[must_use]
pub fn number(value: f64) -> String {
    let mut text = format!("{value:.2}");
    while text.ends_with('0') {
        text.pop();
    }
    if text.ends_with('.') {
        text.pop();
    }
    if text == "-0" { "0".to_owned() } else { text }
}

fn escaped(words: &str) -> String {
    words
        .chars()
        // Control characters have no place in XML.
        .filter(|c| !c.is_control())
        .fold(String::with_capacity(words.len()), |mut safe, c| {
            match c {
                '&' => safe.push_str("&amp;"),
                '<' => safe.push_str("&lt;"),
                '>' => safe.push_str("&gt;"),
                '"' => safe.push_str("&quot;"),
                other => safe.push(other),
            }
            safe
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_words_are_safe() {
        assert_eq!(number(12.0), "12");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(3.456), "3.46");
        let mut page = Svg::new(10.0, 10.0, "a < b", "");
        page.text("head", (1.0, 2.0), Anchor::Start, "\"R\" & \u{7}co");
        let text = page.finish();
        assert!(text.contains("<title>a &lt; b</title>"), "{text}");
        assert!(text.contains(">&quot;R&quot; &amp; co</text>"), "{text}");
    }
}
