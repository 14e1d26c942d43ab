//! A place on a picture: a label that can be pressed, with a line to where it is on the car.

use crate::chart::svg::{Anchor, Place as At, Svg, text_width};
use crate::draw::places::Place;

/// Where a place leads.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Link {
    /// Address.
    pub href: String,
    /// The place is the one being worked at.
    pub chosen: bool,
}

/// What each place leads to; a place without a link is only shown.
pub type Links<'a> = &'a dyn Fn(&Place) -> Option<Link>;

/// Where a label's middle is, and the point on the car it speaks of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Slot {
    pub label: At,
    pub on_car: At,
}

pub(super) const fn slot(label: At, on_car: At) -> Option<Slot> {
    Some(Slot { label, on_car })
}

/// Size of a label's letters, px: with `draw.css` in step.
pub(super) const LETTERS_PX: f64 = 12.0;
/// Longest label on one line, letters.
const ONE_LINE: usize = 11;
const MARGIN_PX: f64 = 4.0;
const LINE_PX: f64 = 14.0;
/// Least that a finger finds, WCAG 2.2 (2023), success criterion 2.5.8: 24 CSS px. The pictures are
/// made for pages 360 px wide; the rest is for the page's margins.
const LEAST_PX: f64 = 28.0;

/// A label's lines: two where one would be too long, broken at the space nearest to the middle.
fn lines(label: &str) -> Vec<&str> {
    if label.chars().count() <= ONE_LINE {
        return vec![label];
    }
    let off_middle = |index: usize| (2 * index).abs_diff(label.len());
    let spaces = label.match_indices(' ').map(|(index, _)| index);
    match spaces.min_by_key(|index| off_middle(*index)) {
        Some(space) => vec![&label[..space], &label[space + 1..]],
        None => vec![label],
    }
}

/// Width and height of a label.
pub(super) fn size(label: &str) -> At {
    let lines = lines(label);
    let widths = lines.iter().map(|line| text_width(line, LETTERS_PX));
    let width = widths.fold(0.0, f64::max) + 2.0 * MARGIN_PX;
    let height = LINE_PX * lines.len() as f64 + 2.0 * MARGIN_PX;
    (width.max(LEAST_PX), height.max(LEAST_PX))
}

/// Draws a place.
pub(super) fn draw(page: &mut Svg, place: &Place, slot: Slot, links: Links<'_>) {
    let title = place.title();
    let Some(link) = links(place) else {
        return group(page, place, slot, &title);
    };
    let mut attributes = vec![("href", link.href.as_str()), ("aria-label", title.as_str())];
    if link.chosen {
        attributes.push(("aria-current", "true"));
    }
    page.inside("a", &attributes, |page| group(page, place, slot, &title));
}

fn group(page: &mut Svg, place: &Place, slot: Slot, title: &str) {
    let id = format!("place-{}", place.id);
    let attributes = [
        ("class", "place"),
        ("id", id.as_str()),
        ("data-place", place.id),
    ];
    page.inside("g", &attributes, |page| {
        page.title(title);
        page.line("leader", slot.label, slot.on_car);
        page.circle("dot", slot.on_car, 2.5);
        let (width, height) = size(&place.label);
        let corner = (slot.label.0 - 0.5 * width, slot.label.1 - 0.5 * height);
        page.rounded("hit", corner, (width, height), 5.0);
        let lines = lines(&place.label);
        let first = slot.label.1 - 0.5 * LINE_PX * (lines.len() as f64 - 1.0);
        for (index, line) in lines.iter().enumerate() {
            let at = (slot.label.0, first + LINE_PX * index as f64);
            page.text("label", at, Anchor::Middle, line);
        }
    });
}

/// Draws the places of a picture in the order they are read in, and those it has no slot for on a shelf
/// below, from `shelf` on.
pub(super) fn draw_all(
    page: &mut Svg,
    mut here: Vec<(&Place, Option<Slot>)>,
    shelf: At,
    links: Links<'_>,
) {
    let row = |slot: &Option<Slot>| slot.map_or(f64::INFINITY, |slot| slot.label.1);
    let column = |slot: &Option<Slot>| slot.map_or(0.0, |slot| slot.label.0);
    here.sort_by(|(_, a), (_, b)| {
        row(a)
            .total_cmp(&row(b))
            .then(column(a).total_cmp(&column(b)))
    });
    let stored = on_shelf(
        here.iter()
            .filter(|(_, slot)| slot.is_none())
            .map(|(place, _)| *place),
        shelf,
    );
    let mut stored = stored.into_iter();
    for (place, slot) in here {
        if let Some(slot) = slot.or_else(|| stored.next()) {
            draw(page, place, slot, links);
        }
    }
}

/// Room between labels on the shelf.
const APART_PX: f64 = 6.0;
/// Height of a row of the shelf: a label of two lines.
const ROW_PX: f64 = 2.0 * (LINE_PX + MARGIN_PX) + APART_PX;

/// Slots beside one another from a corner on, in rows as wide as the picture.
fn on_shelf<'a>(places: impl Iterator<Item = &'a Place>, corner: At) -> Vec<Slot> {
    let mut at = (corner.0, corner.1 + 0.5 * ROW_PX);
    let mut slots = Vec::new();
    for place in places {
        let width = size(&place.label).0;
        if at.0 > corner.0 && at.0 + width > WIDTH_PX - corner.0 {
            at = (corner.0, at.1 + ROW_PX);
        }
        let label = (at.0 + 0.5 * width, at.1);
        slots.push(Slot {
            label,
            on_car: label,
        });
        at.0 += width + APART_PX;
    }
    slots
}

/// Height of the shelf that places need.
pub(super) fn shelf_height<'a>(places: impl Iterator<Item = &'a Place>) -> f64 {
    let slots = on_shelf(places, (SHELF_LEFT_PX, 0.0));
    slots.last().map_or(0.0, |slot| slot.label.1 + 0.5 * ROW_PX)
}

/// Width of a picture of the car.
pub(super) const WIDTH_PX: f64 = 360.0;
/// Left edge of the shelf.
pub(super) const SHELF_LEFT_PX: f64 = 6.0;

#[cfg(test)]
mod tests {
    use super::*;

    fn made_up(id: &'static str) -> Place {
        Place {
            id,
            label: id.replace('-', " "),
            whereabouts: None,
            actions: vec![format!("look {id}")],
        }
    }

    #[test]
    fn long_labels_break_near_their_middle() {
        assert_eq!(lines("liquid line"), ["liquid line"]);
        assert_eq!(lines("compressor discharge"), ["compressor", "discharge"]);
        assert_eq!(lines("control valve plug"), ["control", "valve plug"]);
        assert_eq!(lines("thermoelectrics"), ["thermoelectrics"]);
    }

    /// A part that nobody has drawn yet is there all the same, beside the others and inside the picture.
    #[test]
    fn a_place_without_a_slot_stands_on_the_shelf() {
        let places = [
            "ejector",
            "chiller-plate-outlet",
            "oil-separator",
            "heat-pump-valve",
            "muffler",
        ]
        .map(made_up);
        let height = shelf_height(places.iter());
        let slots = on_shelf(places.iter(), (SHELF_LEFT_PX, 0.0));
        let mut right_of_last = (0.0, 0.0);
        for (place, slot) in places.iter().zip(&slots) {
            let (width, tall) = size(&place.label);
            let left = slot.label.0 - 0.5 * width;
            assert!(
                left >= SHELF_LEFT_PX && left + width <= WIDTH_PX,
                "{}",
                place.id
            );
            assert!(slot.label.1 + 0.5 * tall <= height);
            assert!(slot.label.1 > right_of_last.1 || left >= right_of_last.0);
            right_of_last = (left + width, slot.label.1);
        }
        assert!(
            slots[4].label.1 > slots[0].label.1,
            "five do not fit one row"
        );
        let mut page = Svg::in_page("draw", (WIDTH_PX, height), "group", "");
        let here = places.iter().map(|place| (place, None)).collect();
        draw_all(&mut page, here, (SHELF_LEFT_PX, 0.0), &|_| None);
        let text = page.finish();
        assert_eq!(text.matches("class=\"place\"").count(), places.len());
    }
}
