//! A case as written: a vehicle, the weather, what the customer says, and what is wrong.

mod faults;
mod given_away;

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::setup::Weather;

use crate::checked::{List, NotNegative, Positive, Share, Version};
use crate::competency::Competency;
use crate::fault::{Catalogue, is_kebab, unknown};
use crate::load::Recovered;
use crate::marks::Weights;
use crate::quantity::{Duration, Irradiance, Length, Temperature};
use crate::ranges::written::{Drawn, OneOrMore, severity_schema};
use crate::ranges::{Range, Varied, unknown_blank};
use crate::spanned::Spanned;
use crate::{LoadError, Problem, Vehicle, load};

/// A case as written, checked against vehicles and catalogue.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// Its file's name without `.toml`.
    pub id: String,
    /// A title that gives nothing away.
    pub title: String,
    /// How hard it is, 1 to 3.
    pub level: u8,
    /// Id of the vehicle.
    pub vehicle: String,
    /// Id of the version of its condenser that the car left the works with, where it is not the usual one.
    pub condenser: Option<String>,
    /// The weather on the day.
    pub weather: Weather,
    /// What the learner is handed.
    pub work_order: WorkOrder,
    /// How the car comes into the bay.
    pub arrival: Arrival,
    /// How long it has carried leak dye, s, where somebody put some in before.
    pub dyed_for_s: Option<f64>,
    /// What is wrong; nothing where the complaint has no fault behind it.
    pub faults: Vec<FaultPresent>,
    /// Ids of what it trains.
    pub competencies: Vec<String>,
    /// What each part of the mark counts here, where that is not what the bank's marks say.
    pub weights: Option<Weights>,
    /// How often a shop would expect a fault behind this work order, by the mode's id, or
    /// [`NOTHING_BROKEN`]: each above 0, on the scale of [`Mode::prior`](crate::Mode::prior), in place
    /// of the catalogue's. What is not in it stays as it is.
    pub prior: BTreeMap<String, f64>,
    /// What a seed draws; everything above is then as at the middle of each range. None of a case
    /// that was dealt.
    pub ranges: Vec<Range>,
}

/// What the learner is handed with the keys.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkOrder {
    /// Who brought the car.
    pub customer: String,
    /// What they said.
    pub complaint: String,
    /// Distance on the clock, m.
    pub mileage_m: f64,
    /// What the workshop knows of the car's past, a line each.
    pub history: Vec<String>,
    /// The workshop.
    pub shop: String,
}

/// How the car comes into the bay.
#[derive(Clone, Copy, Debug, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum Arrival {
    /// It has stood for hours: everything at outside temperature.
    Cold,
    /// It was driven there: engine and bay are hot.
    DrivenIn,
}

/// A fault that is in the car.
#[derive(Clone, Debug, PartialEq)]
pub struct FaultPresent {
    /// Id of its mode.
    pub mode_id: String,
    /// How bad it is, 0 to 1.
    pub severity: f64,
    /// Its part in the story.
    pub role: FaultRole,
}

/// A fault's part in the story.
#[derive(Clone, Copy, Debug, Default, Deserialize, JsonSchema, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
pub enum FaultRole {
    /// What the customer notices comes from it.
    #[default]
    Fault,
    /// It led to the fault, and would again.
    Cause,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Written {
    #[allow(dead_code)] // Read to be checked.
    version: Version,
    title: Spanned<String>,
    #[schemars(range(min = 1, max = 3))]
    level: Spanned<u8>,
    vehicle: OneOrMore<String>,
    condenser: Option<Spanned<String>>,
    arrival: Arrival,
    dyed_for: Option<Drawn<Positive<Duration>>>,
    competencies: List<Spanned<String>, MOST_COMPETENCIES>,
    weather: WrittenWeather,
    work_order: WrittenOrder,
    #[serde(default)]
    fault: List<WrittenFault, MOST_FAULTS>,
    weights: Option<Spanned<Weights>>,
    #[serde(default)]
    prior: BTreeMap<Spanned<String>, Positive<f64>>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenWeather {
    temperature: Drawn<Temperature>,
    humidity: Drawn<Share>,
    sun: Drawn<NotNegative<Irradiance>>,
    altitude: Option<Drawn<Length>>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenOrder {
    customer: String,
    complaint: OneOrMore<String>,
    mileage: Drawn<Positive<Length>>,
    #[serde(default)]
    history: List<Spanned<String>, MOST_HISTORY>,
    shop: String,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenFault {
    mode: Spanned<String>,
    #[schemars(schema_with = "severity_schema")]
    severity: Drawn<f64>,
    #[serde(default)]
    role: FaultRole,
}

/// Most faults in a car, lines of its past and competencies of a case: several times what an honest case has.
const MOST_FAULTS: usize = 8;
const MOST_HISTORY: usize = 64;
const MOST_COMPETENCIES: usize = 16;
/// Coldest and hottest weather the refrigerant's table and the parts' maps are made for, K.
const TEMPERATURES_K: std::ops::RangeInclusive<f64> = 268.15..=323.15;
/// Lowest and highest place a road leads to, m.
pub const ALTITUDES_M: std::ops::RangeInclusive<f64> = -500.0..=5000.0;
/// What stands in a case's `[prior]` for a car with nothing broken.
pub const NOTHING_BROKEN: &str = "nothing-broken";

/// What a case is read against.
#[derive(Clone, Copy, Debug)]
pub struct Known<'a, V> {
    /// Vehicles.
    pub vehicles: V,
    /// Faults.
    pub catalogue: &'a Catalogue,
    /// What cases train.
    pub competencies: &'a [Competency],
}

impl Scenario {
    /// Reads a case from its file's text; `id` is the file's name without `.toml`.
    ///
    /// # Errors
    /// A [`LoadError`] with what does not fit, each at its place: also names of vehicles and
    /// faults that there are not.
    pub fn read<'a>(
        file_name: &str,
        id: &str,
        text: &str,
        known: Known<'a, impl Iterator<Item = &'a Vehicle> + Clone>,
    ) -> Result<Self, LoadError> {
        let Recovered {
            value,
            mut problems,
            put_right,
        } = load::parse_on::<Written>(file_name, text)?;
        let Some(written) = value else {
            return Err(LoadError::new(file_name, text, load::in_order(problems)));
        };
        let shape = problems.len();
        if !is_kebab(id) {
            let problem = Problem::new(
                "a case's file name is made of small letters, digits and single hyphens",
            );
            problems.push(problem.label("for example `warm-after-an-hour.toml`"));
        }
        written.check(known, &mut problems);
        if problems.is_empty() {
            return Ok(written.finish(id));
        }
        if shape > 0 {
            load::without(&put_right, &mut problems, shape);
        }
        Err(LoadError::new(file_name, text, load::in_order(problems)))
    }
}

impl Written {
    fn check<'a>(
        &self,
        known: Known<'a, impl Iterator<Item = &'a Vehicle> + Clone>,
        problems: &mut Vec<Problem>,
    ) {
        let Known {
            vehicles,
            catalogue,
            competencies,
        } = known;
        for id in &self.competencies.0 {
            if !competencies.iter().any(|one| one.id == *id.get_ref()) {
                let ids = competencies.iter().map(|one| one.id.as_str());
                problems.push(unknown("competency", id, ids));
            }
        }
        let complaints = self.work_order.complaint.iter();
        for text in complaints.clone().chain([&self.title]) {
            if text.get_ref().trim().is_empty() {
                problems.push(Problem::new("this must say something").at(text.span()));
            }
        }
        for text in complaints.chain(&self.work_order.history.0) {
            if let Some(blank) = unknown_blank(text.get_ref()) {
                let problem = Problem::new(format!("nothing is filled in for `{blank}`"));
                problems.push(
                    problem
                        .at(text.span())
                        .label("`{charge}` is the label's charge"),
                );
            }
        }
        if !(1..=3).contains(self.level.get_ref()) {
            let problem = Problem::new("a level is 1, 2 or 3").at(self.level.span());
            problems.push(problem);
        }
        let mut found = Vec::new();
        for id in self.vehicle.iter() {
            match vehicles.clone().find(|one| one.id == *id.get_ref()) {
                Some(vehicle) => {
                    self.check_condenser(vehicle, problems);
                    found.push(vehicle);
                }
                None => {
                    let ids = vehicles.clone().map(|vehicle| vehicle.id.as_str());
                    problems.push(unknown("vehicle", id, ids));
                }
            }
        }
        let condenser = self.condenser.as_ref().map(|id| id.get_ref().as_str());
        for vehicle in found {
            faults::check(&self.fault.0, vehicle, condenser, catalogue, problems);
        }
        for (temperature_k, at) in self.weather.temperature.ends() {
            if !TEMPERATURES_K.contains(&temperature_k) {
                let problem = Problem::new("no car is looked at in this weather");
                problems.push(problem.at(at).label("from −5 °C to 50 °C"));
            }
        }
        for (altitude_m, at) in self.weather.altitude.iter().flat_map(Drawn::ends) {
            if !ALTITUDES_M.contains(&altitude_m) {
                let problem = Problem::new("no road leads there");
                problems.push(problem.at(at).label("from −500 m to 5000 m"));
            }
        }
        for (index, fault) in self.fault.0.iter().enumerate() {
            fault.check(catalogue, problems);
            let mode = fault.mode.get_ref();
            if self.fault.0[..index]
                .iter()
                .any(|other| other.mode.get_ref() == mode)
            {
                let problem = Problem::new(format!("`{mode}` is in this car already"));
                problems.push(problem.at(fault.mode.span()));
            }
        }
        if let Some(first) = self.fault.0.first()
            && self
                .fault
                .0
                .iter()
                .all(|fault| fault.role == FaultRole::Cause)
        {
            let problem = Problem::new("a cause needs a fault that it led to");
            problems.push(problem.at(first.mode.span()));
        }
        if let Some(weights) = &self.weights {
            Weights::check(weights, problems);
        }
        for expected in self.prior.keys() {
            let id = expected.get_ref();
            if id != NOTHING_BROKEN && catalogue.get(id).is_none() {
                let ids = catalogue.modes().map(|mode| mode.id.as_str());
                problems.push(unknown("fault", expected, ids.chain([NOTHING_BROKEN])));
            }
        }
    }

    fn check_condenser(&self, vehicle: &Vehicle, problems: &mut Vec<Problem>) {
        let Some(version) = &self.condenser else {
            return;
        };
        let others = vehicle.other_condensers.iter();
        let mut ids = others.map(|other| other.id.as_str());
        if !ids.clone().any(|id| id == version.get_ref()) {
            let what = format!("other condenser of `{}`", vehicle.id);
            problems.push(unknown(&what, version, &mut ids));
        }
    }

    fn finish(self, id: &str) -> Scenario {
        let mut ranges = Vec::new();
        let mut keep = |(value, range): (f64, Option<Range>)| {
            ranges.extend(range);
            value
        };
        let weather = Weather {
            temperature_k: keep(self.weather.temperature.split(Varied::Temperature)),
            relative_humidity: keep(self.weather.humidity.split(Varied::Humidity)),
            sun_w_per_m2: keep(self.weather.sun.split(Varied::Sun)),
            altitude_m: self
                .weather
                .altitude
                .map_or(0.0, |at| keep(at.split(Varied::Altitude))),
        };
        let mileage_m = keep(self.work_order.mileage.split(Varied::Mileage));
        let dyed_for_s = self.dyed_for.map(|dyed| keep(dyed.split(Varied::DyedFor)));
        let present = |(index, fault): (usize, WrittenFault)| FaultPresent {
            mode_id: fault.mode.into_inner(),
            severity: keep(fault.severity.split(Varied::Severity(index))),
            role: fault.role,
        };
        let faults = self.fault.0.into_iter().enumerate().map(present).collect();
        let (vehicle, vehicles) = self.vehicle.split(Varied::Vehicle);
        let (complaint, wordings) = self.work_order.complaint.split(Varied::Complaint);
        ranges.extend(vehicles.into_iter().chain(wordings));
        let history = self.work_order.history.0.into_iter();
        let expected = |(id, prior): (Spanned<String>, Positive<f64>)| (id.into_inner(), prior.0);
        let scenario = Scenario {
            id: id.to_owned(),
            title: self.title.into_inner(),
            level: self.level.into_inner(),
            vehicle,
            condenser: self.condenser.map(Spanned::into_inner),
            weather,
            work_order: WorkOrder {
                customer: self.work_order.customer,
                complaint,
                mileage_m,
                history: history.map(Spanned::into_inner).collect(),
                shop: self.work_order.shop,
            },
            arrival: self.arrival,
            dyed_for_s,
            faults,
            competencies: (self.competencies.0.into_iter())
                .map(Spanned::into_inner)
                .collect(),
            weights: self.weights.map(Spanned::into_inner),
            prior: self.prior.into_iter().map(expected).collect(),
            ranges,
        };
        Scenario {
            ranges: scenario.ranges.clone(),
            ..scenario.version(&[])
        }
    }
}

impl WrittenFault {
    fn check(&self, catalogue: &Catalogue, problems: &mut Vec<Problem>) {
        let mode = catalogue.get(self.mode.get_ref());
        if mode.is_none() {
            let ids = catalogue.modes().map(|mode| mode.id.as_str());
            problems.push(unknown("fault", &self.mode, ids));
        }
        for (severity, at) in self.severity.ends() {
            if !(severity > 0.0 && severity <= 1.0) {
                let problem = Problem::new("a severity lies above 0 and not above 1");
                problems.push(problem.at(at));
            } else if let Some(mode) = mode
                && severity < mode.severity.least
            {
                let problem = Problem::new(format!("`{}` this slight is not a fault", mode.id));
                let least = format!("at least {}", mode.severity.least);
                problems.push(problem.at(at).label(least));
            }
        }
    }
}

#[cfg(test)]
mod tests;
