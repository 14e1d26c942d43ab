//! A drive belt whose pulleys do not stand in one line.
//!
//! Angle φ = atan(offset / free span). A ribbed belt follows up to about half a degree; beyond, its ribs climb
//! the flanks of the grooves, it rides on part of its width and slips under load: share = k (φ − φ₀). The
//! edge that it walks to frays as it runs, and what frays away carries no more: share worn a turn =
//! w (φ − φ₀). All from memory and common practice, no source: φ₀, k and w are set so that a pulley 4 mm out
//! chirps at once and slips enough for its driver to notice within some weeks. Range: up to 5 degrees.

/// Free span between the compressor's pulley and the next one, m (common practice, no source).
const FREE_SPAN_M: f64 = 0.2;
/// Angle that a ribbed belt follows without harm, rad: half a degree (from memory).
pub const FOLLOWS_RAD: f64 = 0.5 * std::f64::consts::PI / 180.0;
/// Slip for each radian beyond it (common practice, no source).
const SLIP_PER_RAD: f64 = 4.0;
/// Share of its width that frays away for each radian beyond it and each turn of the compressor's pulley
/// (common practice, no source).
const FRAYED_PER_RAD: f64 = 1.0e-5;

/// Most that slips or frays: a belt that has nothing left is thrown off.
const MOST: f64 = 0.95;

/// Angle that the belt runs at, rad, between pulleys out of line by an offset, m, to either side.
#[must_use]
pub fn angle_rad(offset_m: f64) -> f64 {
    libm::atan(offset_m.abs() / FREE_SPAN_M)
}

/// How far the belt's angle is beyond what it follows, rad: it walks to one edge.
#[must_use]
pub fn beyond_rad(offset_m: f64) -> f64 {
    (angle_rad(offset_m) - FOLLOWS_RAD).max(0.0)
}

/// Share of belt speed lost between pulleys that are out of line, under the compressor's load.
///
/// ```
/// use sim_core::parts::belt_line::slip;
/// assert_eq!(slip(0.001), 0.0);
/// assert!(slip(0.004) > 0.02 && slip(0.008) > slip(0.004));
/// assert_eq!(slip(-0.004), slip(0.004));
/// ```
#[must_use]
pub fn slip(offset_m: f64) -> f64 {
    (SLIP_PER_RAD * beyond_rad(offset_m)).min(MOST)
}

/// Share of the belt's width frayed away once it has run some turns more, from what it was before.
///
/// ```
/// use sim_core::parts::belt_line::frayed;
/// assert_eq!(frayed(0.1, 0.0, 1e6), 0.1);
/// assert!(frayed(0.1, 0.004, 1e5) > 0.1);
/// ```
#[must_use]
pub fn frayed(before: f64, offset_m: f64, turns: f64) -> f64 {
    (before + FRAYED_PER_RAD * beyond_rad(offset_m) * turns).min(MOST.max(before))
}
