//! Types for the fields of TOML files: written with a unit, held in SI.

use std::fmt;

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::de::{self, Deserialize, Deserializer, Visitor};

use super::schema::quantity_schema;
use super::{Dimension, parse_as};

macro_rules! quantities {
    ($($(#[$doc:meta])* $name:ident;)*) => {$(
        $(#[$doc])*
        ///
        /// Read from text with a unit; see [`quantity`](crate::quantity). A number without
        /// one is an error.
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(
            /// The value in SI.
            pub f64,
        );

        impl std::str::FromStr for $name {
            type Err = super::QuantityError;

            fn from_str(text: &str) -> Result<Self, super::QuantityError> {
                parse_as(text, Dimension::$name).map(Self)
            }
        }

        impl From<$name> for f64 {
            fn from(quantity: $name) -> Self {
                quantity.0
            }
        }

        impl JsonSchema for $name {
            fn schema_name() -> Cow<'static, str> {
                Cow::Borrowed(stringify!($name))
            }

            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                quantity_schema(Dimension::$name)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_any(QuantityVisitor(Dimension::$name)).map(Self)
            }
        }
    )*};
}

quantities! {
    /// An absolute pressure, Pa: `"300 kPa"`.
    AbsolutePressure;
    /// A pressure above the open air, Pa: `"28 psig"`.
    GaugePressure;
    /// A difference of two pressures, Pa: `"20 kPa"`.
    PressureDifference;
    /// A temperature, K: `"34 °C"`.
    Temperature;
    /// A difference of two temperatures, K: `"5 K"`, `"9 °F diff"`.
    TemperatureDifference;
    /// A mass, kg: `"650 g"`.
    Mass;
    /// A mass flow or leak rate, kg/s: `"40 g/yr"`.
    MassFlow;
    /// A volume flow, m³/s: `"400 m3/h"`.
    VolumeFlow;
    /// A volume, m³: `"170 cm3"`.
    Volume;
    /// A length or an altitude, m: `"0.4 mm"`.
    Length;
    /// An area, m²: `"0.21 m2"`.
    Area;
    /// A density, kg/m³: `"1000 kg/m3"`.
    Density;
    /// A part of a whole, from `"60 %"` to 0.6.
    Ratio;
    /// A stretch of time, s: `"5 min"`.
    Duration;
    /// A speed, m/s: `"60 km/h"`.
    Speed;
    /// A speed of rotation, rad/s: `"2000 rpm"`.
    RotationalSpeed;
    /// A torque, N m: `"12 N m"`.
    Torque;
    /// A moment of inertia, kg m²: `"0.003 kg m2"`.
    MomentOfInertia;
    /// A power, W: `"1.5 kW"`.
    Power;
    /// A power on an area, W/m²: `"800 W/m2"`.
    Irradiance;
    /// An energy, J: `"3 kJ"`.
    Energy;
    /// An energy per mass, J/kg: `"420 kJ/kg"`.
    SpecificEnergy;
    /// A heat capacity per mass, J/(kg K): `"1.7 kJ/(kg K)"`.
    SpecificHeat;
    /// A heat capacity of a body, J/K: `"900 J/K"`.
    HeatCapacity;
    /// A heat flow per temperature difference, W/K: `"200 W/K"`.
    ThermalConductance;
    /// A heat flow per area and temperature difference, W/(m² K): `"60 W/(m2 K)"`.
    HeatTransferCoefficient;
    /// A conductivity of a material, W/(m K): `"0.25 W/(m K)"`.
    ThermalConductivity;
    /// A voltage, V: `"14.2 V"`.
    Voltage;
    /// A current, A: `"10 A"`.
    Current;
    /// An electrical resistance, Ω: `"3.6 ohm"`.
    Resistance;
    /// A frequency, Hz: `"400 Hz"`.
    Frequency;
}

struct QuantityVisitor(Dimension);

impl Visitor<'_> for QuantityVisitor {
    type Value = f64;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} as text, for example \"{}\"",
            self.0.name(),
            self.0.example()
        )
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<f64, E> {
        parse_as(text, self.0).map_err(E::custom)
    }

    // A bare number is the commonest slip; the sentence of the text form fits it too.
    fn visit_i64<E: de::Error>(self, number: i64) -> Result<f64, E> {
        self.visit_str(&number.to_string())
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<f64, E> {
        self.visit_str(&number.to_string())
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<f64, E> {
        self.visit_str(&number.to_string())
    }
}
