//! A case as written: a vehicle, the weather, what the customer says, and what is wrong.

mod faults;

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;
use sim_core::setup::Weather;

use crate::checked::{Build, List, NotNegative, Positive, Share, Version};
use crate::fault::{Catalogue, is_kebab, unknown};
use crate::load::Recovered;
use crate::marks::Weights;
use crate::quantity::{Duration, Irradiance, Length, Temperature};
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
    /// What the case exercises.
    pub competencies: Vec<String>,
    /// What each part of the mark counts here, where that is not what the bank's marks say.
    pub weights: Option<Weights>,
    /// How often a shop would expect a fault behind this work order, by the mode's id, or
    /// [`NOTHING_BROKEN`]: each above 0, on the scale of [`Mode::prior`](crate::Mode::prior), in place
    /// of the catalogue's. What is not in it stays as it is.
    pub prior: BTreeMap<String, f64>,
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
    vehicle: Spanned<String>,
    condenser: Option<Spanned<String>>,
    arrival: Arrival,
    dyed_for: Option<Positive<Duration>>,
    competencies: List<String, MOST_COMPETENCIES>,
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
    temperature: Spanned<Temperature>,
    humidity: Share,
    sun: NotNegative<Irradiance>,
    altitude: Option<Spanned<Length>>,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenOrder {
    customer: String,
    complaint: Spanned<String>,
    mileage: Positive<Length>,
    #[serde(default)]
    history: List<String, MOST_HISTORY>,
    shop: String,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenFault {
    mode: Spanned<String>,
    #[schemars(range(max = 1), extend("exclusiveMinimum" = 0))]
    severity: Spanned<f64>,
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
        vehicles: impl Iterator<Item = &'a Vehicle> + Clone,
        catalogue: &Catalogue,
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
        written.check(vehicles, catalogue, &mut problems);
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
        vehicles: impl Iterator<Item = &'a Vehicle> + Clone,
        catalogue: &Catalogue,
        problems: &mut Vec<Problem>,
    ) {
        for text in [&self.title, &self.work_order.complaint] {
            if text.get_ref().trim().is_empty() {
                problems.push(Problem::new("this must say something").at(text.span()));
            }
        }
        if !(1..=3).contains(self.level.get_ref()) {
            let problem = Problem::new("a level is 1, 2 or 3").at(self.level.span());
            problems.push(problem);
        }
        match vehicles
            .clone()
            .find(|one| one.id == *self.vehicle.get_ref())
        {
            Some(vehicle) => {
                self.check_condenser(vehicle, problems);
                let condenser = self.condenser.as_ref().map(|id| id.get_ref().as_str());
                faults::check(&self.fault.0, vehicle, condenser, catalogue, problems);
            }
            None => {
                let ids = vehicles.map(|vehicle| vehicle.id.as_str());
                problems.push(unknown("vehicle", &self.vehicle, ids));
            }
        }
        let temperature = &self.weather.temperature;
        if !TEMPERATURES_K.contains(&temperature.get_ref().0) {
            problems.push(
                Problem::new("no car is looked at in this weather")
                    .at(temperature.span())
                    .label("from −5 °C to 50 °C"),
            );
        }
        if let Some(altitude) = &self.weather.altitude
            && !ALTITUDES_M.contains(&altitude.get_ref().0)
        {
            problems.push(
                Problem::new("no road leads there")
                    .at(altitude.span())
                    .label("from −500 m to 5000 m"),
            );
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
        let present = |fault: WrittenFault| FaultPresent {
            mode_id: fault.mode.into_inner(),
            severity: fault.severity.into_inner(),
            role: fault.role,
        };
        let expected = |(id, prior): (Spanned<String>, Positive<f64>)| (id.into_inner(), prior.0);
        Scenario {
            id: id.to_owned(),
            title: self.title.into_inner(),
            level: self.level.into_inner(),
            vehicle: self.vehicle.into_inner(),
            condenser: self.condenser.map(Spanned::into_inner),
            weather: Weather {
                temperature_k: self.weather.temperature.into_inner().0,
                relative_humidity: self.weather.humidity.build(),
                sun_w_per_m2: self.weather.sun.build(),
                altitude_m: self.weather.altitude.map_or(0.0, |at| at.into_inner().0),
            },
            work_order: WorkOrder {
                customer: self.work_order.customer,
                complaint: self.work_order.complaint.into_inner(),
                mileage_m: self.work_order.mileage.build(),
                history: self.work_order.history.0,
                shop: self.work_order.shop,
            },
            arrival: self.arrival,
            dyed_for_s: self.dyed_for.build(),
            faults: self.fault.0.into_iter().map(present).collect(),
            competencies: self.competencies.0,
            weights: self.weights.map(Spanned::into_inner),
            prior: self.prior.into_iter().map(expected).collect(),
        }
    }
}

impl WrittenFault {
    fn check(&self, catalogue: &Catalogue, problems: &mut Vec<Problem>) {
        let severity = *self.severity.get_ref();
        if !(severity > 0.0 && severity <= 1.0) {
            let problem = Problem::new("a severity lies above 0 and not above 1");
            problems.push(problem.at(self.severity.span()));
        }
        match catalogue.get(self.mode.get_ref()) {
            None => {
                let ids = catalogue.modes().map(|mode| mode.id.as_str());
                problems.push(unknown("fault", &self.mode, ids));
            }
            Some(mode) if severity > 0.0 && severity < mode.severity.least => {
                problems.push(
                    Problem::new(format!("`{}` this slight is not a fault", mode.id))
                        .at(self.severity.span())
                        .label(format!("at least {}", mode.severity.least)),
                );
            }
            Some(_) => {}
        }
    }
}

#[cfg(test)]
mod tests;
