//! The car and its instruments as pictures inside a page: SVG text, and nothing that serves it.
//!
//! [`places`] is what can be touched on a car, from the lists that the actions use; [`under_bonnet`] and
//! [`behind_dash`] draw the car around these places, [`gauge`] and [`readout`] what instruments show.
//! Colours, and all else that looks, is in `draw.css` by class: no picture carries a style, a
//! script or an event of its own, so that the strictest page may show it. What has a colour has a
//! pattern or words too. One unit is one CSS pixel where a picture is 360 wide. The same car gives
//! the same bytes.

pub mod behind_dash;
mod callout;
pub mod gauge;
pub mod places;
pub mod readout;
mod shapes;
pub mod under_bonnet;

pub use callout::{Link, Links};

/// The style sheet of every picture here, for light and dark pages.
pub const STYLE_SHEET: &str = include_str!("draw.css");
