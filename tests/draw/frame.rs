//! Where things are on a picture.

use roxmltree::{Document, Node};

pub fn number(node: &Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

pub fn child<'a>(node: &Node<'a, 'a>, class: &str) -> Node<'a, 'a> {
    let mut nodes = node.descendants();
    nodes
        .find(|one| one.attribute("class") == Some(class))
        .unwrap_or_else(|| panic!("no {class}"))
}

pub fn view_box(page: &Document<'_>) -> (f64, f64) {
    let numbers: Vec<f64> = page
        .root_element()
        .attribute("viewBox")
        .unwrap()
        .split(' ')
        .map(|one| one.parse().unwrap())
        .collect();
    assert_eq!(numbers[..2], [0.0, 0.0]);
    (numbers[2], numbers[3])
}

/// Left, top, right, bottom.
#[derive(Clone, Copy, Debug)]
pub struct Frame(pub [f64; 4]);

impl Frame {
    pub fn of_hit(place: &Node<'_, '_>) -> Self {
        let hit = child(place, "hit");
        let (x, y) = (number(&hit, "x"), number(&hit, "y"));
        Self([x, y, x + number(&hit, "width"), y + number(&hit, "height")])
    }

    /// About where a text is, by its letters: 0.58 of their height is wide for these faces.
    pub fn of_text(node: &Node<'_, '_>, letters_px: f64) -> Self {
        let width = 0.58 * letters_px * node.text().unwrap_or("").chars().count() as f64;
        let (x, y) = (number(node, "x"), number(node, "y"));
        let left = match node.attribute("text-anchor").unwrap() {
            "start" => x,
            "middle" => x - 0.5 * width,
            _ => x - width,
        };
        Self([
            left,
            y - 0.5 * letters_px,
            left + width,
            y + 0.5 * letters_px,
        ])
    }

    pub fn is_inside(&self, other: &Self) -> bool {
        let ([a, b, c, d], [e, f, g, h]) = (self.0, other.0);
        a >= e && b >= f && c <= g && d <= h
    }

    pub fn meets(&self, other: &Self) -> bool {
        let ([a, b, c, d], [e, f, g, h]) = (self.0, other.0);
        a < g && e < c && b < h && f < d
    }
}
