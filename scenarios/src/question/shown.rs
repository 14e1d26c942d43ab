//! A quantity as a question shows it: a unit and a step of rounding in either system.

use crate::quantity::{Dimension, UNITS, Unit};
use crate::units::{UnitSystem, format, from_si, shown};

/// How a value is shown, and rounded before anything is computed from it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// What it measures; none for a plain number.
    pub dimension: Option<Dimension>,
    /// Unit and step in US units.
    us: (&'static str, f64),
    /// Unit and step in SI units.
    si: (&'static str, f64),
}

impl Shown {
    pub(crate) const fn of(
        dimension: Dimension,
        us: (&'static str, f64),
        si: (&'static str, f64),
    ) -> Self {
        Self {
            dimension: Some(dimension),
            us,
            si,
        }
    }

    /// In one unit, whatever the learner works in.
    pub(crate) const fn only(dimension: Dimension, unit: &'static str, step: f64) -> Self {
        Self::of(dimension, (unit, step), (unit, step))
    }

    /// A number without a unit.
    pub(crate) const fn plain(step: f64) -> Self {
        Self {
            dimension: None,
            us: ("", step),
            si: ("", step),
        }
    }

    fn in_system(self, system: UnitSystem) -> (Option<&'static Unit>, &'static str, f64) {
        let (name, step) = match system {
            UnitSystem::Us => self.us,
            UnitSystem::Si => self.si,
        };
        let unit = UNITS.iter().find(|unit| unit.name == name);
        (unit, name, step)
    }

    /// The value nearest to an SI one that can be shown in full, in SI.
    #[must_use]
    pub fn rounded(self, si: f64, system: UnitSystem) -> f64 {
        let (unit, _, step) = self.in_system(system);
        let value = unit.map_or(si, |unit| from_si(unit, si));
        let value = (value / step).round() * step;
        unit.map_or(value, |unit| unit.to_si(value))
    }

    /// The value with its unit.
    ///
    /// ```
    /// use scenarios::question::GAUGE;
    /// use scenarios::units::UnitSystem;
    /// assert_eq!(GAUGE.text(200e3, UnitSystem::Us), "29 psig");
    /// ```
    #[must_use]
    pub fn text(self, si: f64, system: UnitSystem) -> String {
        let (unit, name, step) = self.in_system(system);
        let decimals = match step {
            step if step >= 1.0 => 0,
            step if step >= 0.1 => 1,
            step if step >= 0.01 => 2,
            _ => 3,
        };
        match unit {
            Some(_) => format(si, name, decimals).replace("ohm", "Ω"),
            None => format!("{si:.decimals$}"),
        }
    }

    /// The unit as a learner would type it; empty for a plain number.
    #[must_use]
    pub fn typed_unit(self, system: UnitSystem) -> &'static str {
        self.in_system(system).1
    }

    /// The unit as it stands in a sentence; empty for a plain number.
    #[must_use]
    pub fn unit(self, system: UnitSystem) -> &'static str {
        shown(self.in_system(system).1)
    }
}

/// A temperature.
pub const TEMPERATURE: Shown = Shown::of(Dimension::Temperature, ("°F", 1.0), ("°C", 1.0));
/// A temperature to a tenth, as an answer.
pub(crate) const TEMPERATURE_FINE: Shown =
    Shown::of(Dimension::Temperature, ("°F", 0.1), ("°C", 0.1));
/// A temperature difference to a tenth.
pub(crate) const DIFFERENCE: Shown = Shown::of(
    Dimension::TemperatureDifference,
    ("°F diff", 0.1),
    ("K", 0.1),
);
/// A pressure on a manifold gauge.
pub const GAUGE: Shown = Shown::of(Dimension::GaugePressure, ("psig", 1.0), ("kPag", 5.0));
/// A gauge pressure as an answer.
pub(crate) const GAUGE_FINE: Shown =
    Shown::of(Dimension::GaugePressure, ("psig", 0.1), ("kPag", 1.0));
/// A pressure difference.
pub(crate) const PRESSURE_DIFFERENCE: Shown =
    Shown::of(Dimension::PressureDifference, ("psi", 0.1), ("kPa", 1.0));
/// A pressure above vacuum.
pub(crate) const ABSOLUTE: Shown =
    Shown::of(Dimension::AbsolutePressure, ("psia", 0.1), ("kPa", 0.1));
/// A deep vacuum.
pub(crate) const VACUUM: Shown =
    Shown::of(Dimension::AbsolutePressure, ("micron", 100.0), ("Pa", 10.0));
/// A height above the sea.
pub(crate) const HEIGHT: Shown = Shown::of(Dimension::Length, ("ft", 500.0), ("m", 100.0));
/// A mass of refrigerant.
pub(crate) const MASS: Shown = Shown::of(Dimension::Mass, ("oz", 0.1), ("g", 5.0));
/// A mass of refrigerant as an answer.
pub(crate) const MASS_FINE: Shown = Shown::of(Dimension::Mass, ("oz", 0.01), ("g", 0.1));
/// A volume of a loop.
pub(crate) const VOLUME: Shown = Shown::of(Dimension::Volume, ("in3", 1.0), ("cm3", 10.0));
/// A volume of oil.
pub(crate) const OIL: Shown = Shown::of(Dimension::Volume, ("fl oz", 0.1), ("mL", 5.0));
/// A volume of water.
pub(crate) const WATER: Shown = Shown::of(Dimension::Volume, ("fl oz", 1.0), ("L", 0.01));
/// A part of a whole.
pub(crate) const SHARE: Shown = Shown::only(Dimension::Ratio, "%", 1.0);
/// A part of a whole to a tenth.
pub(crate) const SHARE_FINE: Shown = Shown::only(Dimension::Ratio, "%", 0.1);
/// A flow of air.
pub(crate) const AIR_FLOW: Shown = Shown::of(Dimension::VolumeFlow, ("cfm", 10.0), ("m3/h", 10.0));
/// A flow of refrigerant.
pub(crate) const FLOW: Shown = Shown::of(Dimension::MassFlow, ("lb/min", 0.1), ("g/s", 1.0));
/// A leak.
pub(crate) const LEAK: Shown = Shown::of(Dimension::MassFlow, ("oz/yr", 0.1), ("g/yr", 5.0));
/// Energy per mass.
pub(crate) const ENTHALPY: Shown =
    Shown::of(Dimension::SpecificEnergy, ("Btu/lb", 0.1), ("kJ/kg", 0.1));
/// A power.
pub(crate) const POWER: Shown = Shown::of(Dimension::Power, ("Btu/h", 10.0), ("kW", 0.01));
/// An electrical power.
pub(crate) const WATT: Shown = Shown::only(Dimension::Power, "W", 0.1);
/// A voltage.
pub(crate) const VOLT: Shown = Shown::only(Dimension::Voltage, "V", 0.1);
/// A current.
pub(crate) const AMPERE: Shown = Shown::only(Dimension::Current, "A", 0.01);
/// A resistance.
pub(crate) const OHM: Shown = Shown::only(Dimension::Resistance, "ohm", 0.1);
/// A resistance to a hundredth, as an answer.
pub(crate) const OHM_FINE: Shown = Shown::only(Dimension::Resistance, "ohm", 0.01);
/// A stretch of days.
pub(crate) const DAYS: Shown = Shown::only(Dimension::Duration, "d", 1.0);
/// A speed of rotation.
pub(crate) const RPM: Shown = Shown::only(Dimension::RotationalSpeed, "rpm", 10.0);
