//! What a number with a unit measures.

/// A kind of quantity. Two quantities of different dimension cannot stand for each other.
///
/// Gauge and absolute pressure are different dimensions, since a gauge reads zero in the
/// open air; so are a temperature and a difference of two temperatures, since superheat
/// of 5 °C is not 278.15 K.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Dimension {
    /// Pressure above vacuum, Pa.
    AbsolutePressure,
    /// Pressure above the open air, Pa; negative in a vacuum.
    GaugePressure,
    /// A difference of two pressures, Pa.
    PressureDifference,
    /// Temperature above absolute zero, K.
    Temperature,
    /// A difference of two temperatures, K.
    TemperatureDifference,
    /// Mass, kg.
    Mass,
    /// Mass per time, kg/s; leak rates too.
    MassFlow,
    /// Volume per time, m³/s.
    VolumeFlow,
    /// Volume, m³.
    Volume,
    /// Length, m; altitudes too.
    Length,
    /// Area, m².
    Area,
    /// Density, kg/m³.
    Density,
    /// A part of a whole, 1.
    Ratio,
    /// A stretch of time, s.
    Duration,
    /// Speed, m/s.
    Speed,
    /// Speed of rotation, rad/s.
    RotationalSpeed,
    /// Torque, N m.
    Torque,
    /// Moment of inertia, kg m².
    MomentOfInertia,
    /// Power, W.
    Power,
    /// Power on an area, W/m²; sunshine.
    Irradiance,
    /// Energy, J.
    Energy,
    /// Energy per mass, J/kg.
    SpecificEnergy,
    /// Heat capacity per mass, J/(kg K).
    SpecificHeat,
    /// Heat capacity of a body, J/K.
    HeatCapacity,
    /// Heat flow per temperature difference, W/K.
    ThermalConductance,
    /// Heat flow per area and temperature difference, W/(m² K).
    HeatTransferCoefficient,
    /// Thermal conductivity of a material, W/(m K).
    ThermalConductivity,
    /// Voltage, V.
    Voltage,
    /// Current, A.
    Current,
    /// Electrical resistance, Ω.
    Resistance,
    /// Frequency, Hz.
    Frequency,
}

impl Dimension {
    /// The name with its article, to stand in a sentence.
    ///
    /// ```
    /// use scenarios::quantity::Dimension;
    /// assert_eq!(Dimension::GaugePressure.name(), "a gauge pressure");
    /// ```
    pub fn name(self) -> &'static str {
        self.words().0
    }

    /// A quantity of this dimension, written as a person would.
    ///
    /// ```
    /// use scenarios::quantity::Dimension;
    /// assert_eq!(Dimension::GaugePressure.example(), "28 psig");
    /// ```
    pub fn example(self) -> &'static str {
        self.words().1
    }

    fn words(self) -> (&'static str, &'static str) {
        match self {
            Self::AbsolutePressure => ("an absolute pressure", "300 kPa"),
            Self::GaugePressure => ("a gauge pressure", "28 psig"),
            Self::PressureDifference => ("a pressure difference", "20 kPa"),
            Self::Temperature => ("a temperature", "34 °C"),
            Self::TemperatureDifference => ("a temperature difference", "5 K"),
            Self::Mass => ("a mass", "650 g"),
            Self::MassFlow => ("a mass flow", "40 g/yr"),
            Self::VolumeFlow => ("a volume flow", "400 m3/h"),
            Self::Volume => ("a volume", "170 cm3"),
            Self::Length => ("a length", "0.4 mm"),
            Self::Area => ("an area", "0.21 m2"),
            Self::Density => ("a density", "1000 kg/m3"),
            Self::Ratio => ("a ratio", "60 %"),
            Self::Duration => ("a duration", "5 min"),
            Self::Speed => ("a speed", "60 km/h"),
            Self::RotationalSpeed => ("a speed of rotation", "2000 rpm"),
            Self::Torque => ("a torque", "12 N m"),
            Self::MomentOfInertia => ("a moment of inertia", "0.003 kg m2"),
            Self::Power => ("a power", "1.5 kW"),
            Self::Irradiance => ("an irradiance", "800 W/m2"),
            Self::Energy => ("an energy", "3 kJ"),
            Self::SpecificEnergy => ("an energy per mass", "420 kJ/kg"),
            Self::SpecificHeat => ("a specific heat", "1.7 kJ/(kg K)"),
            Self::HeatCapacity => ("a heat capacity", "900 J/K"),
            Self::ThermalConductance => ("a thermal conductance", "200 W/K"),
            Self::HeatTransferCoefficient => ("a heat transfer coefficient", "60 W/(m2 K)"),
            Self::ThermalConductivity => ("a thermal conductivity", "0.25 W/(m K)"),
            Self::Voltage => ("a voltage", "14.2 V"),
            Self::Current => ("a current", "10 A"),
            Self::Resistance => ("a resistance", "3.6 ohm"),
            Self::Frequency => ("a frequency", "400 Hz"),
        }
    }
}
