//! Everything a learner can check on a car, as one list.

use crate::instruments::electrical::{Fed, PROBED, Part, link_words, point_words};
use crate::instruments::misuse::Misuse;
use crate::instruments::place::{
    CondenserSide, Dull, Extreme, Gas, Gauge, LeakScale, Line, Named, Room, Spot, Vent, Wheel,
};
use crate::instruments::senses::{Sense, sensible};
use crate::instruments::tool::Tool;
use crate::instruments::traces::LEAK_SPOTS;
use crate::parts::circuit::{Link, Point};
use crate::spec::CarSpec;

/// One thing to find out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Check {
    /// Low side of the gauge set.
    LowGauge,
    /// High side of the gauge set.
    HighGauge,
    /// A line's temperature, thermometer clamped on.
    LineTemperature(Line),
    /// Air temperature in a vent.
    VentTemperature(Vent),
    /// Air speed at a vent.
    AirSpeed(Vent),
    /// Air temperature of a room.
    AirTemperature(Room),
    /// Relative humidity of a room.
    Humidity(Room),
    /// Resistance of the unplugged coil: the clutch's, or without a clutch the control valve's.
    CoilResistance,
    /// Voltage at the coil's plug.
    CoilVoltage,
    /// Current in the coil's wire.
    CoilCurrent,
    /// Gap between clutch plate and pulley.
    ClutchGap,
    /// Pressure transducer as a scan tool shows it.
    ScanPressure,
    /// Evaporator sensor as a scan tool shows it.
    ScanEvaporator,
    /// Whether the control asks for the compressor, as a scan tool shows it.
    ScanRequest,
    /// What a sense notices at a spot.
    Sense(Sense, Spot),
    /// Voltage of a point of the clutch circuit against the battery's negative post.
    Voltage(Point),
    /// Voltage from one end of a link of the clutch circuit to the other.
    VoltageDrop(Link),
    /// Resistance of a part of the clutch circuit by itself.
    PartResistance(Part),
    /// Ambient sensor as a scan tool shows it.
    ScanAmbient,
    /// Why the control holds the compressor off, as a scan tool shows it.
    ScanReason,
    /// Speed of a compressor with a motor of its own, as a scan tool shows it.
    ScanSpeed,
    /// Insulation of the high voltage against the body, as a scan tool shows it.
    ScanInsulation,
    /// Electronic leak detector at a spot, on one of its scales.
    LeakSearch(Spot, LeakScale),
    /// A line's temperature by infrared, off a dull surface.
    Infrared(Line, Dull),
    /// Air temperature before or behind the condenser.
    CondenserAir(CondenserSide),
    /// Speed of pulley or hub, off a mark that shines.
    ShaftSpeed(Wheel),
    /// Tension of the drive belt.
    BeltTension,
    /// How far the compressor's pulley stands out of the belt's line.
    PulleyLine,
    /// Soap solution at a spot.
    Soap(Spot),
    /// Lamp for leak dye at a spot.
    Lamp(Spot),
    /// Share of a gas in what the identifier draws.
    GasShare(Gas),
    /// Vacuum gauge on the low-side port.
    Vacuum,
    /// What the recovery machine has drawn out, on its scales.
    RecoveredMass,
    /// What the charging cylinder has given, on its scales.
    ChargedMass,
    /// Low side of the recovery machine's own gauges.
    MachinePressure,
    /// Least or greatest that a gauge has shown while it was watched.
    GaugeExtreme(Gauge, Extreme),
    /// An instrument used the wrong way.
    Misused(Misuse),
}

impl Check {
    /// The instrument used, where it is one that shows a number.
    #[must_use]
    pub fn tool(self) -> Option<Tool> {
        match self {
            Self::LowGauge => Some(Tool::LowGauge),
            Self::HighGauge => Some(Tool::HighGauge),
            Self::LineTemperature(_) => Some(Tool::ClampThermometer),
            Self::VentTemperature(_) => Some(Tool::VentThermometer),
            Self::AirSpeed(_) => Some(Tool::Anemometer),
            Self::AirTemperature(_) => Some(Tool::AirThermometer),
            Self::Humidity(_) => Some(Tool::Hygrometer),
            Self::CoilResistance => Some(Tool::Ohmmeter),
            Self::CoilVoltage => Some(Tool::Voltmeter),
            Self::CoilCurrent => Some(Tool::CurrentClamp),
            Self::ClutchGap => Some(Tool::FeelerGauge),
            Self::ScanPressure => Some(Tool::ScanPressure),
            Self::ScanEvaporator => Some(Tool::ScanEvaporator),
            Self::Voltage(_) | Self::VoltageDrop(_) => Some(Tool::Voltmeter),
            Self::PartResistance(_) => Some(Tool::Ohmmeter),
            Self::ScanAmbient => Some(Tool::ScanAmbient),
            Self::ScanSpeed => Some(Tool::ScanSpeed),
            Self::ScanInsulation => Some(Tool::ScanInsulation),
            Self::ScanRequest
            | Self::ScanReason
            | Self::Sense(..)
            | Self::LeakSearch(..)
            | Self::Soap(_)
            | Self::Lamp(_) => None,
            Self::Infrared(..) => Some(Tool::InfraredThermometer),
            Self::CondenserAir(_) => Some(Tool::VentThermometer),
            Self::ShaftSpeed(_) => Some(Tool::Tachometer),
            Self::BeltTension => Some(Tool::BeltTensionGauge),
            Self::PulleyLine => Some(Tool::StraightEdge),
            Self::GasShare(_) => Some(Tool::Identifier),
            Self::Vacuum => Some(Tool::VacuumGauge),
            Self::RecoveredMass | Self::ChargedMass => Some(Tool::Scales),
            Self::MachinePressure => Some(Tool::LowGauge),
            Self::GaugeExtreme(Gauge::Low, _) => Some(Tool::LowGauge),
            Self::GaugeExtreme(Gauge::High, _) => Some(Tool::HighGauge),
            Self::Misused(misuse) => misuse.tool(),
        }
    }

    /// Time the check takes, s of shop clock.
    #[must_use]
    pub fn time_s(self) -> f64 {
        match self {
            Self::ScanRequest | Self::ScanReason => 15.0,
            // A minute of listening, so that a clutch that comes and goes is heard.
            Self::Sense(Sense::Listen, Spot::Compressor) => 60.0,
            Self::Sense(_, Spot::CabinFilter) => 180.0,
            Self::Sense(_, Spot::Fuse | Spot::ClutchPlug) => 60.0,
            Self::Sense(Sense::Look, _) => 20.0,
            Self::Sense(..) => 15.0,
            Self::LeakSearch(..) => 180.0,
            Self::Soap(_) => 120.0,
            Self::Lamp(_) => 60.0,
            // Tape has to be stuck on first.
            Self::Infrared(_, Dull::Tape) => 30.0,
            // A minute, longer than a clutch mostly takes to come and go.
            Self::GaugeExtreme(..) => 60.0,
            Self::Misused(misuse) => misuse.time_s(),
            Self::LowGauge
            | Self::HighGauge
            | Self::LineTemperature(_)
            | Self::VentTemperature(_)
            | Self::AirSpeed(_)
            | Self::AirTemperature(_)
            | Self::Humidity(_)
            | Self::CoilResistance
            | Self::CoilVoltage
            | Self::CoilCurrent
            | Self::ClutchGap
            | Self::ScanPressure
            | Self::ScanEvaporator
            | Self::Voltage(_)
            | Self::VoltageDrop(_)
            | Self::PartResistance(_)
            | Self::ScanAmbient
            | Self::ScanSpeed
            | Self::ScanInsulation
            | Self::Infrared(_, Dull::Hose)
            | Self::CondenserAir(_)
            | Self::ShaftSpeed(_)
            | Self::BeltTension
            | Self::PulleyLine
            | Self::GasShare(_)
            | Self::Vacuum
            | Self::RecoveredMass
            | Self::ChargedMass
            | Self::MachinePressure => self.tool().map_or(0.0, |tool| tool.spec().time_s),
        }
    }

    /// Time constant of the instrument used so, s; `None` where it shows no number.
    #[must_use]
    pub fn lag_s(self) -> Option<f64> {
        let lag_s = self.tool()?.spec().lag_s;
        Some(match self {
            Self::Misused(misuse) => misuse.lag_s(lag_s),
            _ => lag_s,
        })
    }

    /// Whether an instrument is used the wrong way: its reading is not what its words promise.
    #[must_use]
    pub fn is_misuse(self) -> bool {
        matches!(self, Self::Misused(_))
    }

    /// Plain words for what is checked, on a car with a clutch.
    #[must_use]
    pub fn words(self) -> String {
        self.worded(Fed::Clutch)
    }

    /// Plain words for what is checked on a car.
    #[must_use]
    pub fn words_on(self, spec: &CarSpec) -> String {
        self.worded(Fed::on(spec))
    }

    pub(super) fn worded(self, fed: Fed) -> String {
        let clutch = fed == Fed::Clutch;
        match self {
            Self::LowGauge => "low-side pressure".to_owned(),
            Self::HighGauge => "high-side pressure".to_owned(),
            Self::LineTemperature(line) => format!("temperature at the {}", plain(line.name())),
            Self::VentTemperature(vent) => format!("air temperature at the {}", plain(vent.name())),
            Self::AirSpeed(vent) => format!("air speed at the {}", plain(vent.name())),
            Self::AirTemperature(Room::Outside) => "air temperature outside".to_owned(),
            Self::AirTemperature(Room::Cabin) => "air temperature in the cabin".to_owned(),
            Self::Humidity(Room::Outside) => "humidity outside".to_owned(),
            Self::Humidity(Room::Cabin) => "humidity in the cabin".to_owned(),
            Self::CoilResistance => format!("{} resistance", fed.load()),
            Self::CoilVoltage => format!("voltage at the {} plug", fed.name()),
            Self::CoilCurrent => format!("{} current", fed.load()),
            Self::ClutchGap => "clutch air gap".to_owned(),
            Self::ScanPressure => "scan tool: pressure transducer".to_owned(),
            Self::ScanEvaporator => "scan tool: evaporator sensor".to_owned(),
            Self::ScanRequest => "scan tool: compressor request".to_owned(),
            Self::Sense(sense, spot) => {
                format!("{} the {}", sense.words(), spot_words(spot, fed))
            }
            Self::Voltage(point) => format!("voltage at the {}", point_words(point, fed)),
            Self::VoltageDrop(link) => {
                format!("voltage drop over the {}", link_words(link, fed))
            }
            Self::PartResistance(part) => part.words(fed),
            Self::ScanAmbient => "scan tool: ambient sensor".to_owned(),
            Self::ScanSpeed => "scan tool: speed of the compressor".to_owned(),
            Self::ScanInsulation => "scan tool: insulation of the high voltage".to_owned(),
            Self::ScanReason => "scan tool: reason to hold the compressor off".to_owned(),
            Self::LeakSearch(spot, scale) => {
                let scale = match scale {
                    LeakScale::Usual => String::new(),
                    other => format!(", {} a year", plain(other.name())),
                };
                format!("leak detector at the {}{scale}", plain(spot.name()))
            }
            Self::Infrared(line, dull) => {
                format!(
                    "infrared on {} at the {}",
                    plain(dull.name()),
                    plain(line.name())
                )
            }
            Self::CondenserAir(CondenserSide::Front) => {
                "air temperature before the condenser".to_owned()
            }
            Self::CondenserAir(CondenserSide::Behind) => {
                "air temperature behind the condenser".to_owned()
            }
            Self::ShaftSpeed(Wheel::Pulley) => "speed of the compressor pulley".to_owned(),
            Self::ShaftSpeed(Wheel::Hub) if !clutch => "speed of the compressor's hub".to_owned(),
            Self::ShaftSpeed(Wheel::Hub) => "speed of the clutch hub".to_owned(),
            Self::BeltTension => "tension of the belt".to_owned(),
            Self::PulleyLine => "compressor pulley out of the belt's line".to_owned(),
            Self::Soap(spot) => format!("soap solution at the {}", plain(spot.name())),
            Self::Lamp(spot) => format!("lamp for dye at the {}", plain(spot.name())),
            Self::GasShare(gas) => format!("identifier: share of {}", gas_words(gas)),
            Self::Vacuum => "vacuum gauge on the low-side port".to_owned(),
            Self::RecoveredMass => "refrigerant recovered so far".to_owned(),
            Self::ChargedMass => "refrigerant charged so far".to_owned(),
            Self::MachinePressure => "low side on the recovery machine".to_owned(),
            Self::GaugeExtreme(gauge, extreme) => {
                format!("{} pressure, {} in a minute", gauge.name(), extreme.name())
            }
            Self::Misused(misuse) => misuse.worded(fed),
        }
    }
}

impl Spot {
    /// What it is called on a car.
    #[must_use]
    pub fn words_on(self, spec: &CarSpec) -> String {
        spot_words(self, Fed::on(spec))
    }
}

fn spot_words(spot: Spot, fed: Fed) -> String {
    match spot {
        Spot::ClutchHub if fed != Fed::Clutch => "compressor's hub".to_owned(),
        Spot::ClutchPlug => format!("{} plug", fed.name()),
        other => plain(other.name()),
    }
}

/// A gas as it is written.
pub(super) fn gas_words(gas: Gas) -> &'static str {
    match gas {
        Gas::R134a => "R-134a",
        Gas::R1234yf => "R-1234yf",
        Gas::Hydrocarbon => "hydrocarbon",
        Gas::Air => "air",
    }
}

pub(super) fn plain(name: &str) -> String {
    name.replace('-', " ")
}

/// Every check worth making, in a fixed order: what a missed cue can be.
///
/// Wrong uses are left out, and so is what only says again, or less well, what another says.
#[must_use]
pub fn every_check() -> Vec<Check> {
    let mut checks = vec![Check::LowGauge, Check::HighGauge];
    checks.extend(Line::ALL.iter().copied().map(Check::LineTemperature));
    checks.extend(Vent::ALL.iter().copied().map(Check::VentTemperature));
    checks.extend(Vent::ALL.iter().copied().map(Check::AirSpeed));
    for room in Room::ALL.iter().copied() {
        checks.extend([Check::AirTemperature(room), Check::Humidity(room)]);
    }
    checks.extend([
        Check::CoilResistance,
        Check::CoilVoltage,
        Check::CoilCurrent,
        Check::ClutchGap,
        Check::ScanPressure,
        Check::ScanEvaporator,
        Check::ScanRequest,
    ]);
    for sense in Sense::ALL.iter().copied() {
        for spot in Spot::ALL
            .iter()
            .copied()
            .filter(|spot| sensible(sense, *spot))
        {
            checks.push(Check::Sense(sense, spot));
        }
    }
    for spot in LEAK_SPOTS {
        checks.push(Check::LeakSearch(spot, LeakScale::Usual));
    }
    checks.extend(CondenserSide::ALL.iter().copied().map(Check::CondenserAir));
    checks.extend(Wheel::ALL.iter().copied().map(Check::ShaftSpeed));
    checks.extend([Check::BeltTension, Check::PulleyLine]);
    checks.extend(LEAK_SPOTS.map(Check::Lamp));
    checks.extend(Gas::ALL.iter().copied().map(Check::GasShare));
    checks.extend(PROBED.map(Check::Voltage));
    checks.extend(Link::ALL.map(Check::VoltageDrop));
    checks.extend(Part::ALL.map(Check::PartResistance));
    checks.extend([
        Check::ScanAmbient,
        Check::ScanReason,
        Check::ScanSpeed,
        Check::ScanInsulation,
    ]);
    checks
}
