//! Every unit the text may use: the one source of names, factors and dimensions.
//!
//! Factors are exact by definition (NIST SP 811, 2008, appendix B) unless the row says
//! otherwise. A factor is kept as `times / over`, so that 650 g is the double nearest to
//! 0.65 kg and not the product of two rounded numbers.

use super::Dimension;

/// A unit: its name, what it measures, and how its values become SI.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Unit {
    /// The spelling messages use.
    pub name: &'static str,
    /// Other spellings that are read. `²`, `³`, `·` and `Ω` need none: they are read as
    /// `2`, `3`, a space and `ohm`.
    pub other_names: &'static [&'static str],
    /// What the unit measures.
    pub dimension: Dimension,
    /// A second dimension the unit serves where that one is asked for: K for differences.
    pub also: Option<Dimension>,
    /// Added before scaling; not zero for °C and °F only.
    pub offset: f64,
    /// The SI value of one unit is `times / over`.
    pub times: f64,
    /// See `times`.
    pub over: f64,
}

impl Unit {
    /// The SI value of `value` of this unit.
    pub fn to_si(&self, value: f64) -> f64 {
        (value + self.offset) * self.times / self.over
    }

    /// Whether the unit may be written where `wanted` is asked for.
    pub fn measures(&self, wanted: Dimension) -> bool {
        self.dimension == wanted || self.also == Some(wanted)
    }

    const fn or(mut self, other_names: &'static [&'static str]) -> Self {
        self.other_names = other_names;
        self
    }

    const fn also(mut self, dimension: Dimension) -> Self {
        self.also = Some(dimension);
        self
    }

    const fn with_offset(mut self, offset: f64) -> Self {
        self.offset = offset;
        self
    }
}

const fn unit(name: &'static str, dimension: Dimension, times: f64, over: f64) -> Unit {
    Unit {
        name,
        other_names: &[],
        dimension,
        also: None,
        offset: 0.0,
        times,
        over,
    }
}

const FOOT_M: f64 = 0.3048;
const POUND_KG: f64 = 0.453_592_37;
const GRAVITY: f64 = 9.806_65;
const INCH_M: f64 = 0.0254;
/// Pound-force on a square inch, Pa.
const PSI_PA: f64 = POUND_KG * GRAVITY / (INCH_M * INCH_M);
/// Conventional millimetre of mercury, Pa (NIST SP 811, B.8).
const MM_HG_PA: f64 = 133.322_4;
/// International-table British thermal unit, J.
const BTU_J: f64 = 1_055.055_852_62;
/// A year of 365.25 days, s: leak rates are per year.
const YEAR_S: f64 = 31_557_600.0;
const DAY_S: f64 = 86_400.0;
const TURN_RAD: f64 = 2.0 * std::f64::consts::PI;

use Dimension as D;

/// Every unit, in the order in which messages list them.
#[rustfmt::skip] // One row a unit reads as the table it is.
pub const UNITS: &[Unit] = &[
    unit("kPa", D::AbsolutePressure, 1000.0, 1.0).or(&["kPaa"]).also(D::PressureDifference),
    unit("bar", D::AbsolutePressure, 1e5, 1.0).also(D::PressureDifference),
    unit("MPa", D::AbsolutePressure, 1e6, 1.0).or(&["MPaa"]).also(D::PressureDifference),
    unit("psi", D::AbsolutePressure, PSI_PA, 1.0).also(D::PressureDifference),
    unit("Pa", D::AbsolutePressure, 1.0, 1.0).also(D::PressureDifference),
    unit("hPa", D::AbsolutePressure, 100.0, 1.0).or(&["mbar"]).also(D::PressureDifference),
    unit("psia", D::AbsolutePressure, PSI_PA, 1.0),
    unit("bara", D::AbsolutePressure, 1e5, 1.0),
    unit("micron", D::AbsolutePressure, MM_HG_PA, 1000.0).or(&["microns"]),
    unit("mmHg", D::AbsolutePressure, MM_HG_PA, 1.0),
    unit("inHg", D::AbsolutePressure, MM_HG_PA * 25.4, 1.0),
    unit("psig", D::GaugePressure, PSI_PA, 1.0),
    unit("kPag", D::GaugePressure, 1000.0, 1.0),
    unit("barg", D::GaugePressure, 1e5, 1.0),
    unit("MPag", D::GaugePressure, 1e6, 1.0),
    // Inches of vacuum on a compound gauge count downwards from the open air.
    unit("inHg vac", D::GaugePressure, -MM_HG_PA * 25.4, 1.0),
    // Conventional inch of water (NIST SP 811, B.8).
    unit("inH2O", D::PressureDifference, 249.088_9, 1.0),

    unit("°C", D::Temperature, 1.0, 1.0).or(&["degC", "C"]).with_offset(273.15),
    unit("°F", D::Temperature, 5.0, 9.0).or(&["degF", "F"]).with_offset(459.67),
    unit("K", D::Temperature, 1.0, 1.0).also(D::TemperatureDifference),
    unit("°C diff", D::TemperatureDifference, 1.0, 1.0).or(&["degC diff", "°C difference"]),
    unit("°F diff", D::TemperatureDifference, 5.0, 9.0).or(&["degF diff", "°F difference"]),

    unit("kg", D::Mass, 1.0, 1.0),
    unit("g", D::Mass, 1.0, 1000.0),
    unit("mg", D::Mass, 1.0, 1e6),
    unit("lb", D::Mass, POUND_KG, 1.0).or(&["lbs"]),
    unit("oz", D::Mass, POUND_KG, 16.0),

    unit("kg/s", D::MassFlow, 1.0, 1.0),
    unit("g/s", D::MassFlow, 1.0, 1000.0),
    unit("kg/min", D::MassFlow, 1.0, 60.0),
    unit("kg/h", D::MassFlow, 1.0, 3600.0),
    unit("lb/min", D::MassFlow, POUND_KG, 60.0),
    unit("g/min", D::MassFlow, 1.0, 60_000.0),
    unit("g/h", D::MassFlow, 1.0, 3_600_000.0),
    unit("g/day", D::MassFlow, 1.0, 1000.0 * DAY_S),
    unit("g/yr", D::MassFlow, 1.0, 1000.0 * YEAR_S).or(&["g/year"]),
    unit("oz/yr", D::MassFlow, POUND_KG, 16.0 * YEAR_S).or(&["oz/year"]),

    unit("m3/h", D::VolumeFlow, 1.0, 3600.0),
    unit("m3/s", D::VolumeFlow, 1.0, 1.0),
    unit("L/s", D::VolumeFlow, 1.0, 1000.0).or(&["l/s"]),
    unit("L/min", D::VolumeFlow, 1.0, 60_000.0).or(&["l/min"]),
    unit("cfm", D::VolumeFlow, FOOT_M * FOOT_M * FOOT_M, 60.0).or(&["CFM"]),

    unit("m3", D::Volume, 1.0, 1.0),
    unit("L", D::Volume, 1.0, 1000.0).or(&["l", "dm3"]),
    unit("mL", D::Volume, 1.0, 1e6).or(&["ml"]),
    unit("cm3", D::Volume, 1.0, 1e6).or(&["cc"]),
    unit("in3", D::Volume, INCH_M * INCH_M * INCH_M, 1.0),
    // US fluid ounce: 1/128 of a gallon of 231 cubic inches.
    unit("fl oz", D::Volume, INCH_M * INCH_M * INCH_M * 231.0, 128.0),

    unit("m", D::Length, 1.0, 1.0),
    unit("cm", D::Length, 1.0, 100.0),
    unit("mm", D::Length, 1.0, 1000.0),
    unit("µm", D::Length, 1.0, 1e6).or(&["um"]),
    unit("km", D::Length, 1000.0, 1.0),
    unit("in", D::Length, INCH_M, 1.0),
    unit("ft", D::Length, FOOT_M, 1.0),

    unit("m2", D::Area, 1.0, 1.0),
    unit("cm2", D::Area, 1.0, 1e4),
    unit("mm2", D::Area, 1.0, 1e6),

    unit("kg/m3", D::Density, 1.0, 1.0),
    unit("g/cm3", D::Density, 1000.0, 1.0).or(&["g/mL", "g/ml"]),

    unit("%", D::Ratio, 1.0, 100.0).or(&["percent"]),
    unit("ppm", D::Ratio, 1.0, 1e6),

    unit("s", D::Duration, 1.0, 1.0),
    unit("ms", D::Duration, 1.0, 1000.0),
    unit("min", D::Duration, 60.0, 1.0),
    unit("h", D::Duration, 3600.0, 1.0),
    unit("d", D::Duration, DAY_S, 1.0).or(&["day", "days"]),
    unit("yr", D::Duration, YEAR_S, 1.0).or(&["year", "years"]),

    unit("km/h", D::Speed, 1.0, 3.6),
    unit("mph", D::Speed, FOOT_M * 5280.0, 3600.0),
    unit("m/s", D::Speed, 1.0, 1.0),
    unit("ft/min", D::Speed, FOOT_M, 60.0).or(&["fpm"]),

    unit("rpm", D::RotationalSpeed, TURN_RAD, 60.0),
    unit("rad/s", D::RotationalSpeed, 1.0, 1.0),

    unit("N m", D::Torque, 1.0, 1.0).or(&["Nm"]),
    unit("lb ft", D::Torque, POUND_KG * GRAVITY * FOOT_M, 1.0).or(&["lbf ft", "ft lb", "ft lbf"]),
    unit("kg m2", D::MomentOfInertia, 1.0, 1.0),

    unit("W", D::Power, 1.0, 1.0),
    unit("kW", D::Power, 1000.0, 1.0),
    unit("Btu/h", D::Power, BTU_J, 3600.0),
    unit("W/m2", D::Irradiance, 1.0, 1.0),

    unit("J", D::Energy, 1.0, 1.0),
    unit("kJ", D::Energy, 1000.0, 1.0),
    unit("MJ", D::Energy, 1e6, 1.0),
    unit("kWh", D::Energy, 3.6e6, 1.0),

    unit("kJ/kg", D::SpecificEnergy, 1000.0, 1.0),
    unit("J/kg", D::SpecificEnergy, 1.0, 1.0),
    unit("Btu/lb", D::SpecificEnergy, 2326.0, 1.0),
    unit("kJ/(kg K)", D::SpecificHeat, 1000.0, 1.0).or(&["kJ/kg/K", "kJ/kgK"]),
    unit("J/(kg K)", D::SpecificHeat, 1.0, 1.0).or(&["J/kg/K", "J/kgK"]),
    unit("J/K", D::HeatCapacity, 1.0, 1.0),
    unit("kJ/K", D::HeatCapacity, 1000.0, 1.0),

    unit("W/K", D::ThermalConductance, 1.0, 1.0),
    unit("kW/K", D::ThermalConductance, 1000.0, 1.0),
    unit("W/(m2 K)", D::HeatTransferCoefficient, 1.0, 1.0).or(&["W/m2/K", "W/m2K"]),
    unit("W/(m K)", D::ThermalConductivity, 1.0, 1.0).or(&["W/m/K", "W/mK"]),

    unit("V", D::Voltage, 1.0, 1.0),
    unit("mV", D::Voltage, 1.0, 1000.0),
    unit("A", D::Current, 1.0, 1.0),
    unit("mA", D::Current, 1.0, 1000.0),
    unit("ohm", D::Resistance, 1.0, 1.0).or(&["ohms"]),
    unit("kohm", D::Resistance, 1000.0, 1.0),
    unit("Hz", D::Frequency, 1.0, 1.0),
    unit("kHz", D::Frequency, 1000.0, 1.0),
];
