//! Ranges in a case: what a seed draws, so that one file deals endless versions.
//!
//! A range is two quantities, `["28 °C", "36 °C"]`, or a list of names or wordings to choose from.
//! A version of a case is told by a place in each of its ranges, from 0 at the low end to 1 at the
//! high one.

pub(crate) mod written;

use sim_core::random::Draws;

use crate::scenario::Scenario;

/// What of a case a range stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Varied {
    /// The air's temperature, K.
    Temperature,
    /// Its relative humidity, 0 to 1.
    Humidity,
    /// Sunshine, W/m².
    Sun,
    /// Height above the sea, m.
    Altitude,
    /// Distance on the clock, m.
    Mileage,
    /// How long the loop has carried leak dye, s.
    DyedFor,
    /// How bad the fault of this index is, 0 to 1.
    Severity(usize),
    /// The vehicle, by its id.
    Vehicle,
    /// What the customer said.
    Complaint,
}

impl Varied {
    /// Whether it can make the case easier or harder. The clock and the wording change no reading.
    #[must_use]
    pub fn matters(self) -> bool {
        !matches!(self, Self::Mileage | Self::Complaint)
    }

    /// Steps in which it is drawn. They are as fine as a person tells apart, and coarse enough that
    /// a day comes back: what takes long to work out is kept by the day.
    fn step(self) -> f64 {
        match self {
            Self::Temperature => 1.0,
            Self::Humidity | Self::Severity(_) => 0.01,
            Self::Sun => 50.0,
            Self::Altitude => 50.0,
            Self::Mileage => 100_000.0,
            Self::DyedFor => 3600.0,
            Self::Vehicle | Self::Complaint => 1.0,
        }
    }
}

/// What a range reaches over.
#[derive(Clone, Debug, PartialEq)]
pub enum Reach {
    /// From a number to a greater one, in SI.
    Between(f64, f64),
    /// Any of these.
    AnyOf(Vec<String>),
}

/// A range in a case.
#[derive(Clone, Debug, PartialEq)]
pub struct Range {
    /// What it stands for.
    pub of: Varied,
    /// What it reaches over.
    pub reach: Reach,
}

impl Range {
    /// The places at which its values lie that are tried when a case is checked: both ends of
    /// numbers, and every one of a list.
    #[must_use]
    pub fn places_to_try(&self) -> Vec<f64> {
        match &self.reach {
            Reach::Between(..) => vec![0.0, 1.0],
            Reach::AnyOf(names) => {
                let middle = |index: usize| (index as f64 + 0.5) / names.len() as f64;
                (0..names.len()).map(middle).collect()
            }
        }
    }

    /// What of a case it stands for, as the file calls it.
    #[must_use]
    pub fn name(&self, scenario: &Scenario) -> String {
        match self.of {
            Varied::Temperature => "`temperature` of the weather".to_owned(),
            Varied::Humidity => "`humidity` of the weather".to_owned(),
            Varied::Sun => "`sun` of the weather".to_owned(),
            Varied::Altitude => "`altitude` of the weather".to_owned(),
            Varied::Mileage => "`mileage`".to_owned(),
            Varied::DyedFor => "`dyed_for`".to_owned(),
            Varied::Severity(index) => {
                let fault = scenario.faults.get(index);
                format!(
                    "`severity` of {}",
                    fault.map_or("a fault", |one| &one.mode_id)
                )
            }
            Varied::Vehicle => "`vehicle`".to_owned(),
            Varied::Complaint => "`complaint`".to_owned(),
        }
    }

    /// Its value at a place, as a file would have it.
    #[must_use]
    pub fn shown(&self, place: f64) -> String {
        let value = match &self.reach {
            Reach::AnyOf(names) => return chosen(names, place).to_owned(),
            Reach::Between(low, high) => self.number(*low, *high, place),
        };
        match self.of {
            Varied::Temperature => format!("{:.0} °C", value - 273.15),
            Varied::Humidity => format!("{:.0} %", 100.0 * value),
            Varied::Sun => format!("{value:.0} W/m2"),
            Varied::Altitude => format!("{value:.0} m"),
            Varied::Mileage => format!("{:.0} km", value / 1000.0),
            Varied::DyedFor => format!("{:.0} h", value / 3600.0),
            Varied::Severity(_) | Varied::Vehicle | Varied::Complaint => format!("{value:.2}"),
        }
    }

    /// The number at a place, in whole steps from the low end.
    fn number(&self, low: f64, high: f64, place: f64) -> f64 {
        let step = self.of.step().min(high - low);
        let steps = whole((high - low) / step + 1e-9);
        low + step * whole(place.clamp(0.0, 1.0) * (steps + 1.0)).min(steps)
    }

    fn put(&self, place: f64, scenario: &mut Scenario) {
        let value = match &self.reach {
            Reach::Between(low, high) => self.number(*low, *high, place),
            Reach::AnyOf(names) => {
                let name = chosen(names, place).to_owned();
                match self.of {
                    Varied::Vehicle => scenario.vehicle = name,
                    _ => scenario.work_order.complaint = name,
                }
                return;
            }
        };
        match self.of {
            Varied::Temperature => scenario.weather.temperature_k = value,
            Varied::Humidity => scenario.weather.relative_humidity = value,
            Varied::Sun => scenario.weather.sun_w_per_m2 = value,
            Varied::Altitude => scenario.weather.altitude_m = value,
            Varied::Mileage => scenario.work_order.mileage_m = value,
            Varied::DyedFor => scenario.dyed_for_s = Some(value),
            Varied::Severity(index) => {
                if let Some(fault) = scenario.faults.get_mut(index) {
                    fault.severity = value;
                }
            }
            // Read as lists only.
            Varied::Vehicle | Varied::Complaint => {}
        }
    }
}

/// The whole part of a number that is not negative.
fn whole(number: f64) -> f64 {
    f64::from(number as u32)
}

fn chosen(names: &[String], place: f64) -> &str {
    let index = (place.clamp(0.0, 1.0) * names.len() as f64) as usize;
    names
        .get(index.min(names.len().saturating_sub(1)))
        .map_or("", String::as_str)
}

/// Stream of the seed that ranges are drawn from.
const RANGES_STREAM: u64 = 2;
/// The place of a range that is left where it is.
pub const MIDDLE: f64 = 0.5;

impl Scenario {
    /// Places a seed draws, one for each range.
    #[must_use]
    pub fn places(&self, seed: u64) -> Vec<f64> {
        let mut draws = Draws::new(seed, RANGES_STREAM);
        self.ranges.iter().map(|_| draws.uniform()).collect()
    }

    /// The version at these places, one for each range; a range without a place is taken at its
    /// middle. It has no ranges any more.
    ///
    /// ```
    /// let bank = scenarios::Bank::builtin()?;
    /// for case in bank.cases() {
    ///     assert_eq!(case.version(&case.places(3)), case.version(&case.places(3)));
    ///     assert!(case.version(&[]).ranges.is_empty());
    /// }
    /// # Ok::<(), scenarios::BankErrors>(())
    /// ```
    #[must_use]
    pub fn version(&self, places: &[f64]) -> Self {
        let mut version = self.clone();
        version.ranges.clear();
        for (index, range) in self.ranges.iter().enumerate() {
            range.put(places.get(index).copied().unwrap_or(MIDDLE), &mut version);
        }
        version
    }

    /// Puts what the label of the drawn vehicle says where the texts ask for it.
    pub(crate) fn fill(&mut self, charge_kg: f64) {
        let charge = format!("{:.0} g", 1000.0 * charge_kg);
        let order = &mut self.work_order;
        for text in order.history.iter_mut().chain([&mut order.complaint]) {
            if text.contains(CHARGE) {
                *text = text.replace(CHARGE, &charge);
            }
        }
    }
}

/// What stands in a text for the charge that the vehicle's label names.
pub const CHARGE: &str = "{charge}";

/// The first thing between braces that is not filled in, if any.
pub(crate) fn unknown_blank(text: &str) -> Option<String> {
    let rest = text.replace(CHARGE, "");
    let from = rest.find(['{', '}'])?;
    let to = rest[from..]
        .find('}')
        .map_or(rest.len(), |end| from + end + 1);
    Some(rest[from..to].to_owned())
}
