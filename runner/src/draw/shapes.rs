//! Shapes that the pictures of a car are put together from.

use crate::chart::svg::{Place as At, Svg, number};

/// A small arrow head at a point of a line, towards `to`.
pub(super) fn arrow(page: &mut Svg, class: &str, at: At, to: At) {
    let (dx, dy) = (to.0 - at.0, to.1 - at.1);
    let length = (dx * dx + dy * dy).sqrt();
    if length <= 0.0 {
        return;
    }
    let (dx, dy) = (dx / length, dy / length);
    let corner = |along: f64, across: f64| {
        (
            at.0 + along * dx - across * dy,
            at.1 + along * dy + across * dx,
        )
    };
    page.path(
        class,
        &[corner(-4.0, 5.0), corner(6.0, 0.0), corner(-4.0, -5.0)],
        true,
    );
}

/// Air that moves from one point to another.
pub(super) fn air(page: &mut Svg, from: At, to: At) {
    page.line("air", from, to);
    arrow(
        page,
        "air-head",
        to,
        (2.0 * to.0 - from.0, 2.0 * to.1 - from.1),
    );
}

/// A fan seen from its shaft.
pub(super) fn fan(page: &mut Svg, at: At, radius: f64) {
    page.circle("part", at, radius);
    for (x, y) in [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)] {
        let end = (at.0 + 0.86 * radius * x, at.1 + 0.86 * radius * y);
        let bow = number(0.5 * radius);
        let (from, to) = (point(at), point(end));
        page.curve(
            "part",
            &format!("M{from}A{bow} {bow} 0 0 1 {to}A{radius} {radius} 0 0 0 {from}Z"),
        );
    }
    page.circle("solid", at, 0.16 * radius);
}

/// A core of fins and tubes, with lines `step` apart down its width.
pub(super) fn core(page: &mut Svg, corner: At, size: At, step: f64) {
    let lines = libm::floor((size.0 - 1.0) / step) as i64;
    for line in 1..=lines {
        let x = corner.0 + step * line as f64;
        page.line("fin", (x, corner.1), (x, corner.1 + size.1));
    }
    page.rect("part", corner, size);
}

/// A bottle that stands up.
pub(super) fn bottle(page: &mut Svg, corner: At, size: At) {
    page.rounded("body", corner, size, 0.45 * size.0);
    let y = corner.1 + 0.6 * size.1;
    page.line("fin", (corner.0 + 2.0, y), (corner.0 + size.0 - 2.0, y));
}

/// A service port: a stub off a line, with its cap.
pub(super) fn port(page: &mut Svg, at: At, to_left: bool) {
    let side = if to_left { -1.0 } else { 1.0 };
    page.line("stub", at, (at.0 + 8.0 * side, at.1));
    let corner = (at.0 + side * 10.0 - 2.5, at.1 - 5.0);
    page.rect("solid", corner, (5.0, 10.0));
}

/// A belt round two wheels: the straight runs on both sides.
pub(super) fn belt(page: &mut Svg, (one, one_radius): (At, f64), (other, other_radius): (At, f64)) {
    let (dx, dy) = (other.0 - one.0, other.1 - one.1);
    let apart = (dx * dx + dy * dy).sqrt();
    // Where a run leaves a wheel, off the line through both shafts.
    let along = (one_radius - other_radius) / apart;
    let across = (1.0 - along * along).max(0.0).sqrt();
    for side in [1.0, -1.0] {
        let normal = (
            (along * dx - side * across * dy) / apart,
            (along * dy + side * across * dx) / apart,
        );
        let off =
            |wheel: At, radius: f64| (wheel.0 + radius * normal.0, wheel.1 + radius * normal.1);
        page.line("belt", off(one, one_radius), off(other, other_radius));
    }
}

/// Earth, as a circuit diagram draws it.
pub(super) fn earth(page: &mut Svg, at: At) {
    for (index, half) in [8.0, 5.0, 2.0].into_iter().enumerate() {
        let y = at.1 + 3.5 * index as f64;
        page.line("wire", (at.0 - half, y), (at.0 + half, y));
    }
}

fn point(at: At) -> String {
    format!("{} {}", number(at.0), number(at.1))
}
