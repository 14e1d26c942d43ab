//! The instruments: what each can show, and how well.

/// Kind of quantity a reading is in; SI inside, the user's units at the edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unit {
    /// Pressure above the air around, Pa.
    GaugePressure,
    /// Temperature, K.
    Temperature,
    /// Share from 0 to 1.
    RelativeHumidity,
    /// Air speed, m/s.
    AirSpeed,
    /// Resistance, Ω.
    Resistance,
    /// Voltage, V.
    Voltage,
    /// Current, A.
    Current,
    /// Length, m.
    Length,
    /// Share from 0 to 1, by mass.
    Share,
    /// Turns per second.
    Turning,
    /// Force, N.
    Force,
    /// Mass, kg.
    Mass,
    /// Pressure above vacuum, Pa.
    AbsolutePressure,
}

/// An instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tool {
    /// Blue side of the gauge set.
    LowGauge,
    /// Red side of the gauge set.
    HighGauge,
    /// Thermocouple in a clamp around a pipe.
    ClampThermometer,
    /// Thermometer with its tip in a vent.
    VentThermometer,
    /// Thermometer half of a hygrometer.
    AirThermometer,
    /// Humidity half of a hygrometer.
    Hygrometer,
    /// Vane anemometer at a vent.
    Anemometer,
    /// Multimeter on ohms.
    Ohmmeter,
    /// Multimeter on volts.
    Voltmeter,
    /// Current clamp.
    CurrentClamp,
    /// Feeler gauge.
    FeelerGauge,
    /// Scan tool showing the pressure transducer.
    ScanPressure,
    /// Scan tool showing the evaporator sensor.
    ScanEvaporator,
    /// Scan tool showing the ambient sensor.
    ScanAmbient,
    /// Scan tool, compressor speed.
    ScanSpeed,
    /// Scan tool, insulation of the high voltage.
    ScanInsulation,
    /// Infrared thermometer set to a dull surface.
    InfraredThermometer,
    /// Tachometer with a light beam.
    Tachometer,
    /// Belt tension gauge that hears how the belt rings.
    BeltTensionGauge,
    /// Straight edge laid over two pulleys, with a rule for the gap.
    StraightEdge,
    /// Refrigerant identifier.
    Identifier,
    /// Scales of the recovery machine.
    Scales,
    /// Vacuum gauge.
    VacuumGauge,
}

/// What an instrument can show. Accuracy is the limit of its error: base, plus a share of the reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToolSpec {
    /// Plain name.
    pub name: &'static str,
    /// Quantity.
    pub unit: Unit,
    /// Lowest value shown.
    pub least: f64,
    /// Highest value shown.
    pub most: f64,
    /// Smallest step shown; on a retarded scale the step below it.
    pub resolution: f64,
    /// Limit of error at zero.
    pub accuracy: f64,
    /// Limit of error added for each unit of reading.
    pub accuracy_share: f64,
    /// Time constant, s.
    pub lag_s: f64,
    /// Time it takes to use, s.
    pub time_s: f64,
    /// Upper part of the scale that is drawn together, where there is one.
    pub retarded: Option<Retarded>,
}

/// Part of a compound gauge's scale beyond what it measures: there to outlive a resting loop's pressure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Retarded {
    /// Where it begins.
    pub from: f64,
    /// Smallest step shown there.
    pub resolution: f64,
    /// Limit of error added for each unit beyond its beginning.
    pub accuracy_share: f64,
}

impl Tool {
    /// What the instrument can show: usual workshop grade (common practice, no source).
    #[must_use]
    pub fn spec(self) -> ToolSpec {
        let tool =
            |name, unit, (least, most), resolution, (accuracy, accuracy_share), lag_s, time_s| {
                ToolSpec {
                    name,
                    unit,
                    least,
                    most,
                    resolution,
                    accuracy,
                    accuracy_share,
                    lag_s,
                    time_s,
                    retarded: None,
                }
            };
        match self {
            // A compound gauge: to 10 bar as it measures, then retarded to 17 (common practice, no source).
            Self::LowGauge => ToolSpec {
                retarded: Some(Retarded {
                    from: 10e5,
                    resolution: 50e3,
                    accuracy_share: 0.06,
                }),
                ..tool(
                    "low-side gauge",
                    Unit::GaugePressure,
                    (-1e5, 17e5),
                    5e3,
                    (10e3, 0.0),
                    0.5,
                    10.0,
                )
            },
            Self::HighGauge => tool(
                "high-side gauge",
                Unit::GaugePressure,
                (0.0, 35e5),
                10e3,
                (30e3, 0.0),
                0.5,
                10.0,
            ),
            Self::ClampThermometer => tool(
                "clamp thermometer",
                Unit::Temperature,
                (223.15, 473.15),
                0.1,
                (1.0, 0.0),
                8.0,
                45.0,
            ),
            Self::VentThermometer => tool(
                "vent thermometer",
                Unit::Temperature,
                (243.15, 373.15),
                0.1,
                (0.5, 0.0),
                8.0,
                40.0,
            ),
            Self::AirThermometer => tool(
                "air thermometer",
                Unit::Temperature,
                (243.15, 333.15),
                0.1,
                (0.5, 0.0),
                10.0,
                30.0,
            ),
            Self::Hygrometer => tool(
                "hygrometer",
                Unit::RelativeHumidity,
                (0.0, 1.0),
                0.01,
                (0.03, 0.0),
                10.0,
                30.0,
            ),
            Self::Anemometer => tool(
                "anemometer",
                Unit::AirSpeed,
                (0.3, 30.0),
                0.1,
                (0.1, 0.03),
                2.0,
                30.0,
            ),
            Self::Ohmmeter => tool(
                "ohmmeter",
                Unit::Resistance,
                (0.0, 2e6),
                0.1,
                (0.2, 0.01),
                0.5,
                120.0,
            ),
            Self::Voltmeter => tool(
                "voltmeter",
                Unit::Voltage,
                (-30.0, 30.0),
                0.01,
                (0.05, 0.005),
                0.5,
                60.0,
            ),
            Self::CurrentClamp => tool(
                "current clamp",
                Unit::Current,
                (0.0, 60.0),
                0.1,
                (0.1, 0.02),
                0.5,
                60.0,
            ),
            Self::FeelerGauge => tool(
                "feeler gauge",
                Unit::Length,
                (0.05e-3, 3e-3),
                0.05e-3,
                (0.05e-3, 0.0),
                0.0,
                180.0,
            ),
            Self::ScanPressure => tool(
                "scan tool, pressure transducer",
                Unit::GaugePressure,
                (-1e5, 35e5),
                10e3,
                (20e3, 0.0),
                0.5,
                15.0,
            ),
            Self::ScanEvaporator => tool(
                "scan tool, evaporator sensor",
                Unit::Temperature,
                (232.15, 424.15),
                0.5,
                (0.5, 0.0),
                0.5,
                15.0,
            ),
            Self::ScanAmbient => tool(
                "scan tool, ambient sensor",
                Unit::Temperature,
                (232.15, 424.15),
                0.5,
                (0.5, 0.0),
                0.5,
                15.0,
            ),
            Self::ScanSpeed => tool(
                "scan tool, compressor speed",
                Unit::Turning,
                (0.0, 200.0),
                10.0 / 60.0,
                (10.0 / 60.0, 0.005),
                0.5,
                15.0,
            ),
            Self::ScanInsulation => tool(
                "scan tool, insulation of the high voltage",
                Unit::Resistance,
                (0.0, 10e6),
                1e3,
                (2e3, 0.05),
                0.0,
                15.0,
            ),
            Self::InfraredThermometer => tool(
                "infrared thermometer",
                Unit::Temperature,
                (243.15, 623.15),
                0.1,
                (2.0, 0.0),
                0.5,
                10.0,
            ),
            Self::Tachometer => tool(
                "tachometer",
                Unit::Turning,
                (0.5, 1600.0),
                1.0 / 60.0,
                (2.0 / 60.0, 0.001),
                1.0,
                60.0,
            ),
            Self::BeltTensionGauge => tool(
                "belt tension gauge",
                Unit::Force,
                (50.0, 2000.0),
                5.0,
                (10.0, 0.05),
                0.0,
                120.0,
            ),
            Self::StraightEdge => tool(
                "straight edge over the pulleys",
                Unit::Length,
                (-30e-3, 30e-3),
                0.5e-3,
                (0.5e-3, 0.0),
                0.0,
                240.0,
            ),
            // SAE J1771 and J2912 ask for about 2 % (from memory).
            Self::Identifier => tool(
                "refrigerant identifier",
                Unit::Share,
                (0.0, 1.0),
                0.001,
                (0.02, 0.0),
                0.0,
                300.0,
            ),
            // SAE J2788 asks for 1 oz (28 g) of what is recovered; present machines do twice as well
            // (common practice, no source).
            Self::Scales => tool(
                "recovery machine's scales",
                Unit::Mass,
                (-0.1, 50.0),
                0.005,
                (0.015, 0.0),
                0.0,
                30.0,
            ),
            Self::VacuumGauge => tool(
                "vacuum gauge",
                Unit::AbsolutePressure,
                (0.0, 110e3),
                1.0,
                (1.5, 0.1),
                2.0,
                60.0,
            ),
        }
    }
}

impl ToolSpec {
    /// How far a reading of a true value may be off.
    #[must_use]
    pub fn limit_of_error(&self, value: f64) -> f64 {
        self.accuracy_at(value) + 0.5 * self.resolution_at(value)
    }

    /// Limit of the instrument's own error at a true value.
    #[must_use]
    pub fn accuracy_at(&self, value: f64) -> f64 {
        let retarded = self.retarded.map_or(0.0, |part| {
            part.accuracy_share * (value - part.from).max(0.0)
        });
        self.accuracy + self.accuracy_share * value.abs() + retarded
    }

    /// Smallest step shown at a value.
    #[must_use]
    pub fn resolution_at(&self, value: f64) -> f64 {
        match self.retarded {
            Some(part) if value > part.from => part.resolution,
            _ => self.resolution,
        }
    }
}
