//! Everything a learner can check on a car, as one list.

use crate::car::Car;
use crate::instruments::electrical::{PROBED, Part, link_words, point_words};
use crate::instruments::place::{Line, Named, Room, Spot, Vent};
use crate::instruments::senses::{Sense, sensible};
use crate::instruments::tool::Tool;
use crate::parts::circuit::{Link, Point};

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
    /// Resistance of the unplugged clutch coil.
    CoilResistance,
    /// Voltage at the clutch coil's plug.
    CoilVoltage,
    /// Current in the clutch coil's wire.
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
    /// Electronic leak detector at a spot.
    LeakSearch(Spot),
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
            Self::ScanRequest | Self::ScanReason | Self::Sense(..) | Self::LeakSearch(_) => None,
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
            Self::LeakSearch(_) => 180.0,
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
            | Self::ScanAmbient => self.tool().map_or(0.0, |tool| tool.spec().time_s),
        }
    }

    /// Plain words for what is checked.
    #[must_use]
    pub fn words(self) -> String {
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
            Self::CoilResistance => "clutch coil resistance".to_owned(),
            Self::CoilVoltage => "voltage at the clutch plug".to_owned(),
            Self::CoilCurrent => "clutch coil current".to_owned(),
            Self::ClutchGap => "clutch air gap".to_owned(),
            Self::ScanPressure => "scan tool: pressure transducer".to_owned(),
            Self::ScanEvaporator => "scan tool: evaporator sensor".to_owned(),
            Self::ScanRequest => "scan tool: compressor request".to_owned(),
            Self::Sense(sense, spot) => format!("{} the {}", sense.words(), plain(spot.name())),
            Self::LeakSearch(spot) => format!("leak detector at the {}", plain(spot.name())),
            Self::Voltage(point) => format!("voltage at the {}", point_words(point)),
            Self::VoltageDrop(link) => format!("voltage drop over the {}", link_words(link)),
            Self::PartResistance(part) => part.words().to_owned(),
            Self::ScanAmbient => "scan tool: ambient sensor".to_owned(),
            Self::ScanReason => "scan tool: compressor held off".to_owned(),
        }
    }
}

fn plain(name: &str) -> String {
    name.replace('-', " ")
}

/// Every check there is, in a fixed order.
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
    checks.extend(LEAK_SPOTS.map(Check::LeakSearch));
    checks.extend(PROBED.map(Check::Voltage));
    checks.extend(Link::ALL.map(Check::VoltageDrop));
    checks.extend(Part::ALL.map(Check::PartResistance));
    checks.extend([Check::ScanAmbient, Check::ScanReason]);
    checks
}

/// Spots where a leak detector can be held.
pub const LEAK_SPOTS: [Spot; 6] = [
    Spot::Compressor,
    Spot::CondenserFace,
    Spot::DischargeHose,
    Spot::LiquidLine,
    Spot::SuctionHose,
    Spot::Evaporator,
];

/// An instrument's tip following what it touches, with its lag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Probe {
    value: f64,
    lag_s: f64,
}

impl Probe {
    /// A tip that starts at a value.
    #[must_use]
    pub fn new(start: f64, lag_s: f64) -> Self {
        Self {
            value: start,
            lag_s,
        }
    }

    /// A tip that has lain in the air of the bay.
    #[must_use]
    pub fn from_bay(car: &Car, lag_s: f64) -> Self {
        Self::new(car.weather().temperature_k, lag_s)
    }

    /// Follows the true value for a step: solved exactly, so that a reading does not depend
    /// on the steps its seconds are cut into.
    pub fn follow(&mut self, truth: f64, step_s: f64) {
        let left = if self.lag_s > 0.0 {
            libm::exp(-step_s / self.lag_s)
        } else {
            0.0
        };
        self.value = truth + left * (self.value - truth);
    }

    /// Where the tip is.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A first-order lag reaches 1 - 1/e of a step in one time constant, 99.3 % in five.
    #[test]
    fn a_probe_lags_the_same_whatever_the_steps() {
        for steps in [1, 2, 7, 400] {
            let mut probe = Probe::new(300.0, 8.0);
            for _ in 0..steps {
                probe.follow(400.0, 40.0 / f64::from(steps));
            }
            let left_k = 100.0 * libm::exp(-5.0);
            assert!((probe.value() - (400.0 - left_k)).abs() < 1e-9, "{steps}");
        }
        let mut prompt = Probe::new(300.0, 0.0);
        prompt.follow(400.0, 1.0);
        assert_eq!(prompt.value(), 400.0);
    }
}
