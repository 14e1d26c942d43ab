//! SI values in the units a workshop reads, as text.
//!
//! This is the way out; [`quantity`](crate::quantity) is the way in. Every function takes
//! SI, a [`UnitSystem`] and the number of decimals, and gives the number with its unit.

use crate::quantity::{UNITS, Unit};

/// The units a learner works in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum UnitSystem {
    /// °F, psig, ounces, miles per hour, cubic feet per minute.
    Us,
    /// °C, kPa gauge, grams, kilometres per hour, cubic metres per hour.
    Si,
}

macro_rules! formats {
    ($($(#[$doc:meta])* $name:ident($argument:ident): $us:literal | $si:literal;)*) => {$(
        $(#[$doc])*
        pub fn $name($argument: f64, system: UnitSystem, decimals: usize) -> String {
            let name = match system {
                UnitSystem::Us => $us,
                UnitSystem::Si => $si,
            };
            format($argument, name, decimals)
        }
    )*

        /// The unit names used above, so that a test can look each up.
        #[cfg(test)]
        const USED: &[&str] = &[$($us, $si),*];
    };
}

formats! {
    /// A temperature.
    ///
    /// ```
    /// use scenarios::units::{UnitSystem, format_temperature};
    /// assert_eq!(format_temperature(307.25, UnitSystem::Us, 1), "93.4 °F");
    /// assert_eq!(format_temperature(307.25, UnitSystem::Si, 1), "34.1 °C");
    /// ```
    format_temperature(temperature_k): "°F" | "°C";
    /// A difference of two temperatures, such as superheat.
    ///
    /// ```
    /// use scenarios::units::{UnitSystem, format_temperature_difference};
    /// assert_eq!(format_temperature_difference(5.0, UnitSystem::Us, 0), "9 °F");
    /// assert_eq!(format_temperature_difference(5.0, UnitSystem::Si, 0), "5 K");
    /// ```
    format_temperature_difference(difference_k): "°F diff" | "K";
    /// A pressure above vacuum: microns or Pa, for what a vacuum gauge shows.
    ///
    /// ```
    /// use scenarios::units::{UnitSystem, format_vacuum};
    /// assert_eq!(format_vacuum(66.66, UnitSystem::Us, 0), "500 microns");
    /// assert_eq!(format_vacuum(66.66, UnitSystem::Si, 0), "67 Pa");
    /// ```
    format_vacuum(pressure_pa): "micron" | "Pa";
    /// A mass of refrigerant or oil.
    ///
    /// ```
    /// use scenarios::units::{UnitSystem, format_mass};
    /// assert_eq!(format_mass(0.65, UnitSystem::Us, 1), "22.9 oz");
    /// assert_eq!(format_mass(0.65, UnitSystem::Si, 0), "650 g");
    /// ```
    format_mass(mass_kg): "oz" | "g";
    /// A height above the sea.
    ///
    /// ```
    /// use scenarios::units::{UnitSystem, format_altitude};
    /// assert_eq!(format_altitude(1500.0, UnitSystem::Us, 0), "4921 ft");
    /// assert_eq!(format_altitude(1500.0, UnitSystem::Si, 0), "1500 m");
    /// ```
    format_altitude(altitude_m): "ft" | "m";
    /// The speed of a car.
    ///
    /// ```
    /// use scenarios::units::{UnitSystem, format_speed};
    /// assert_eq!(format_speed(20.0, UnitSystem::Us, 0), "45 mph");
    /// assert_eq!(format_speed(20.0, UnitSystem::Si, 0), "72 km/h");
    /// ```
    format_speed(speed_m_per_s): "mph" | "km/h";
    /// The speed of air in a duct or through a condenser.
    ///
    /// ```
    /// use scenarios::units::{UnitSystem, format_air_speed};
    /// assert_eq!(format_air_speed(2.5, UnitSystem::Us, 0), "492 ft/min");
    /// assert_eq!(format_air_speed(2.5, UnitSystem::Si, 1), "2.5 m/s");
    /// ```
    format_air_speed(speed_m_per_s): "ft/min" | "m/s";
    /// A volume of air per time.
    ///
    /// ```
    /// use scenarios::units::{UnitSystem, format_air_flow};
    /// assert_eq!(format_air_flow(0.125, UnitSystem::Us, 0), "265 cfm");
    /// assert_eq!(format_air_flow(0.125, UnitSystem::Si, 0), "450 m³/h");
    /// ```
    format_air_flow(flow_m3_per_s): "cfm" | "m3/h";
}

/// A pressure above the open air, as a manifold gauge shows it; below it, US gauges show inches of mercury.
///
/// ```
/// use scenarios::units::{UnitSystem, format_gauge_pressure};
/// assert_eq!(format_gauge_pressure(200e3, UnitSystem::Us, 1), "29.0 psig");
/// assert_eq!(format_gauge_pressure(200e3, UnitSystem::Si, 0), "200 kPa gauge");
/// assert_eq!(format_gauge_pressure(-67.7e3, UnitSystem::Us, 0), "20 inHg vac");
/// ```
pub fn format_gauge_pressure(
    gauge_pressure_pa: f64,
    system: UnitSystem,
    decimals: usize,
) -> String {
    let name = match system {
        UnitSystem::Us => "psig",
        UnitSystem::Si => "kPag",
    };
    let shown = format(gauge_pressure_pa, name, decimals);
    if system == UnitSystem::Us && shown.starts_with('-') {
        return format(gauge_pressure_pa, "inHg vac", decimals);
    }
    shown
}

/// How a unit is shown, where that is not how it is written in a file.
pub(crate) fn shown(name: &str) -> &str {
    match name {
        "°F diff" => "°F",
        "kPag" => "kPa gauge",
        "m3/h" => "m³/h",
        "micron" => "microns",
        other => other,
    }
}

pub(crate) fn format(si: f64, name: &str, decimals: usize) -> String {
    let value = UNITS
        .iter()
        .find(|unit| unit.name == name)
        .map_or(si, |unit| from_si(unit, si));
    let mut number = format!("{value:.decimals$}");
    // "-0.0" would send a learner looking for the sign of nothing.
    if number.starts_with('-') && number.chars().all(|c| matches!(c, '-' | '0' | '.')) {
        number.remove(0);
    }
    format!("{number} {}", shown(name))
}

pub(crate) fn from_si(unit: &Unit, si: f64) -> f64 {
    si * unit.over / unit.times - unit.offset
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_unit_shown_is_in_the_table() {
        for name in USED.iter().chain(&["psig", "kPag", "inHg vac"]) {
            assert!(UNITS.iter().any(|unit| unit.name == *name), "{name}");
        }
    }

    /// NIST SP 811 (2008), appendix B.8: 1 psi = 6894.757 Pa; 32 °F = 0 °C; and the steam
    /// point, 212 °F = 100 °C.
    #[test]
    fn fixed_points_are_shown_exactly() {
        assert_eq!(format_temperature(273.15, UnitSystem::Us, 2), "32.00 °F");
        assert_eq!(format_temperature(373.15, UnitSystem::Us, 2), "212.00 °F");
        assert_eq!(
            format_gauge_pressure(6894.757, UnitSystem::Us, 3),
            "1.000 psig"
        );
        assert_eq!(
            format_gauge_pressure(-101_325.0, UnitSystem::Us, 1),
            "29.9 inHg vac"
        );
    }

    #[test]
    fn nothing_has_no_sign() {
        assert_eq!(format_gauge_pressure(-1.0, UnitSystem::Us, 1), "0.0 psig");
        assert_eq!(
            format_temperature_difference(-0.01, UnitSystem::Si, 1),
            "0.0 K"
        );
        assert_eq!(
            format_temperature_difference(-0.06, UnitSystem::Si, 1),
            "-0.1 K"
        );
    }
}
