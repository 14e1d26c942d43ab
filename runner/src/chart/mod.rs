//! Charts as SVG: pressure and enthalpy with a car's running cycle, and pressure and temperature.
//!
//! Drawn on their own paper, so that they read the same on a light and a dark page; every line
//! that has a colour has a pattern or a marker of its own too. The same car gives the same bytes.
//! Numbers inside are SI until [`shown`] turns them into the units asked for.

pub mod axis;
pub mod cycle;
mod key;
pub mod labels;
pub mod lines;
pub mod pen;
pub mod ph;
pub mod pt;
pub mod shown;
pub mod svg;
