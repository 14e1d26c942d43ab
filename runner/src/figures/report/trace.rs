//! Pictures of a candidate's report: what could be believed as a case went on, and the calibration curve.

use super::told::CALIBRATION_HEAD;
use crate::chart::axis::Axis;
use crate::chart::pen::Pen;
use crate::chart::svg::{Anchor, Place, Svg};
use crate::figures::calibration::Curve;
use crate::grade::Moment;

/// A moment of a belief trace.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TracePoint {
    /// Shop clock, s.
    pub at_s: f64,
    /// Probability of what was in the car, by an ideal reader of the readings so far.
    pub of_truth: f64,
    /// Probability of the likeliest explanation, right or not.
    pub likeliest: f64,
    /// A confidence stated then, and whether it was so.
    pub stated: Option<(f64, bool)>,
}

impl TracePoint {
    /// A moment of a grade's trace.
    #[must_use]
    pub fn of(moment: &Moment) -> Self {
        Self {
            at_s: moment.at_s,
            of_truth: moment.of_truth,
            likeliest: moment.likeliest.first().map_or(0.0, |(_, chance)| *chance),
            stated: moment.stated.as_ref().map(|one| (one.stated, one.is_so)),
        }
    }
}

/// The belief trace of one case.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// What the page calls the case.
    pub title: String,
    /// Moments, in order of time.
    pub points: Vec<TracePoint>,
}

/// Size of a picture, px.
pub const SIZE_PX: Place = (340.0, 160.0);
const LEFT_PX: f64 = 42.0;
const RIGHT_PX: f64 = 328.0;
const TOP_PX: f64 = 26.0;
const BOTTOM_PX: f64 = 126.0;

/// What a trace's picture shows, for those who hear it.
pub(super) const TRACE_ABOUT: &str = "Line: probability of what was in the car. Dashed: probability of the likeliest explanation. \
     Discs and squares: confidences stated, discs where it was so.";
/// What the calibration's picture shows.
pub(super) const CALIBRATION_ABOUT: &str = "Each disc: confidences of about this size, how often they came true, and the 95 % interval. \
     On the diagonal they came true as often as stated.";

/// A trace as a picture.
#[must_use]
pub fn trace(trace: &Trace) -> String {
    let mut page = Svg::new(SIZE_PX.0, SIZE_PX.1, &trace.title, TRACE_ABOUT);
    draw_trace(&mut page, trace);
    page.finish()
}

/// Draws a trace. Steps, since belief only moves with a reading.
pub(super) fn draw_trace(page: &mut impl Pen, trace: &Trace) {
    let last_s = trace.points.last().map_or(0.0, |point| point.at_s);
    let minutes = Axis {
        from: 0.0,
        // Nothing lasts no time at all, and the axis needs a length.
        to: (last_s / 60.0).max(1.0),
        from_px: LEFT_PX,
        to_px: RIGHT_PX,
        logarithmic: false,
    };
    let share = shares();
    title(page, &trace.title);
    grid(
        page,
        &minutes,
        &share,
        step(minutes.to),
        "minutes on the shop clock",
        1.0,
    );
    let line = |of: fn(&TracePoint) -> f64| steps(&trace.points, &minutes, &share, of);
    page.path("healthy", &line(|point| point.likeliest), false);
    page.path("car", &line(|point| point.of_truth), false);
    for point in &trace.points {
        let Some((stated, is_so)) = point.stated else {
            continue;
        };
        let at = (minutes.px(point.at_s / 60.0), share.px(stated));
        if is_so {
            page.circle("car-mark", at, 5.0);
        } else {
            page.square("healthy-mark", at, 8.0);
        }
    }
}

/// A calibration curve as a picture.
#[must_use]
pub fn calibration(curve: &Curve) -> String {
    let mut page = Svg::new(SIZE_PX.0, SIZE_PX.1, CALIBRATION_HEAD, CALIBRATION_ABOUT);
    draw_calibration(&mut page, curve);
    page.finish()
}

/// Draws a calibration curve: discs as large as there are confidences in the bin, with their intervals,
/// beside the diagonal on which everybody is as sure as it comes true.
pub(super) fn draw_calibration(page: &mut impl Pen, curve: &Curve) {
    let stated = Axis {
        from: 0.0,
        to: 1.0,
        from_px: LEFT_PX,
        to_px: RIGHT_PX,
        logarithmic: false,
    };
    let share = shares();
    title(page, CALIBRATION_HEAD);
    grid(page, &stated, &share, 0.2, "stated, %", 100.0);
    let corner = |value: f64| (stated.px(value), share.px(value));
    page.line("quality", corner(0.0), corner(1.0));
    for bin in &curve.bins {
        let x = stated.px(bin.stated);
        page.line("tick", (x, share.px(bin.low)), (x, share.px(bin.high)));
    }
    for bin in &curve.bins {
        let radius = (2.0 + (bin.count as f64).sqrt()).min(9.0);
        page.circle(
            "car-mark",
            (stated.px(bin.stated), share.px(bin.so)),
            radius,
        );
    }
}

fn shares() -> Axis {
    Axis {
        from: 0.0,
        to: 1.0,
        from_px: BOTTOM_PX,
        to_px: TOP_PX,
        logarithmic: false,
    }
}

/// Letters of a title that fit the picture.
const TITLE_LETTERS: usize = 44;

fn title(page: &mut impl Pen, words: &str) {
    let mut shown: String = words.chars().take(TITLE_LETTERS).collect();
    if shown.len() < words.len() {
        shown.push('…');
    }
    page.text("head", (LEFT_PX, 12.0), Anchor::Start, &shown);
}

fn grid(page: &mut impl Pen, across: &Axis, share: &Axis, step: f64, unit: &str, shown: f64) {
    for value in share.multiples(0.25) {
        let y = share.px(value);
        page.line("grid", (LEFT_PX, y), (RIGHT_PX, y));
        let words = format!("{:.0} %", 100.0 * value);
        page.text("small", (LEFT_PX - 5.0, y), Anchor::End, &words);
    }
    for value in across.multiples(step) {
        let x = across.px(value);
        page.line("tick", (x, BOTTOM_PX), (x, BOTTOM_PX + 4.0));
        let words = format!("{:.0}", shown * value);
        page.text("small", (x, BOTTOM_PX + 13.0), Anchor::Middle, &words);
    }
    let middle = 0.5 * (LEFT_PX + RIGHT_PX);
    page.text("small", (middle, BOTTOM_PX + 27.0), Anchor::Middle, unit);
    let size = (RIGHT_PX - LEFT_PX, BOTTOM_PX - TOP_PX);
    page.rect("frame", (LEFT_PX, TOP_PX), size);
}

/// A round step that gives an axis of minutes some five marks.
fn step(minutes: f64) -> f64 {
    let steps = [1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0];
    let fitting = steps.into_iter().find(|step| minutes / step <= 7.0);
    fitting.unwrap_or_else(|| libm::ceil(minutes / 5.0))
}

fn steps(
    points: &[TracePoint],
    minutes: &Axis,
    share: &Axis,
    of: fn(&TracePoint) -> f64,
) -> Vec<Place> {
    let mut line: Vec<Place> = Vec::new();
    for point in points {
        let at = (minutes.px(point.at_s / 60.0), share.px(of(point)));
        if let Some(last) = line.last().copied() {
            line.push((at.0, last.1));
        }
        line.push(at);
    }
    line
}
