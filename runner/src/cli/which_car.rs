//! Which car a table or a chart is made of: a case's, or one of a vehicle with chosen faults.

use clap::Args;
use scenarios::quantity::{Dimension, parse_as};
use scenarios::{ALTITUDES_M, Bank, Case, DealError, Mode, Vehicle, nearest};
use sim_core::setup::Weather;

/// Which car to run.
#[derive(Args, Clone, Debug)]
pub struct CarArgs {
    /// The case, as `coldtrail cases` names it
    pub case: Option<String>,
    /// Instead of a case, a car of this vehicle that is healthy but for --fault
    #[arg(long, value_name = "ID")]
    pub vehicle: Option<String>,
    /// A fault of that car, as `coldtrail faults` names it, and how bad it is, from 0 to 1; may be
    /// given more than once
    #[arg(long = "fault", value_name = "MODE=SEVERITY")]
    pub faults: Vec<String>,
    /// Air around that car, such as 35°C [default: 30 °C]
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub ambient: Option<String>,
    /// Its humidity, such as 60% [default: 50 %]
    #[arg(long, value_name = "SHARE")]
    pub humidity: Option<String>,
    /// Its height above the sea, such as 1500m [default: 0 m]
    #[arg(long, value_name = "HEIGHT", allow_hyphen_values = true)]
    pub altitude: Option<String>,
    /// Number the individual car and every reading are drawn from: the same one gives the same bytes
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
}

/// Air around a car of no case where none is asked for, K.
const USUAL_K: f64 = 303.15;
/// Its humidity.
const USUAL_HUMIDITY: f64 = 0.5;
/// Air a car can be asked to stand in, K.
const AMBIENTS_K: std::ops::RangeInclusive<f64> = 263.15..=323.15;

impl CarArgs {
    /// The car asked for, with its day and what is wrong with it.
    ///
    /// # Errors
    /// A sentence that says what to change.
    pub fn case(&self, bank: &Bank) -> Result<Case, String> {
        match (&self.case, &self.vehicle) {
            (Some(id), None) => self.told(bank, id),
            (None, Some(id)) => self.made(bank, id),
            (Some(_), Some(_)) => {
                Err("a case brings its own car: give a case or --vehicle, not both".to_owned())
            }
            (None, None) => Err(format!(
                "name a case (`coldtrail cases` lists them), or a vehicle with --vehicle: {}",
                vehicle_ids(bank).join(", ")
            )),
        }
    }

    fn told(&self, bank: &Bank, id: &str) -> Result<Case, String> {
        let changes = [
            ("--fault", !self.faults.is_empty()),
            ("--ambient", self.ambient.is_some()),
            ("--humidity", self.humidity.is_some()),
            ("--altitude", self.altitude.is_some()),
        ];
        if let Some((option, _)) = changes.iter().find(|(_, given)| *given) {
            return Err(format!(
                "{option} goes with --vehicle ID: a case brings its own weather and its own fault"
            ));
        }
        case_of(bank, id, self.seed)
    }

    fn made(&self, bank: &Bank, id: &str) -> Result<Case, String> {
        let vehicle = vehicle_of(bank, id)?;
        let faults = self
            .faults
            .iter()
            .map(|text| fault(bank, text))
            .collect::<Result<Vec<_>, _>>()?;
        Ok(Case::of_vehicle(
            vehicle,
            self.weather()?,
            faults,
            self.seed,
        ))
    }

    fn weather(&self) -> Result<Weather, String> {
        let temperature_k = match &self.ambient {
            None => USUAL_K,
            Some(text) => parse_as(text, Dimension::Temperature)
                .map_err(|error| format!("--ambient: {error}"))?,
        };
        if !AMBIENTS_K.contains(&temperature_k) {
            return Err(
                "--ambient: no car is looked at in this weather; give −10 °C to 50 °C".to_owned(),
            );
        }
        let relative_humidity = match &self.humidity {
            None => USUAL_HUMIDITY,
            Some(text) => {
                parse_as(text, Dimension::Ratio).map_err(|error| format!("--humidity: {error}"))?
            }
        };
        if !(0.0..=1.0).contains(&relative_humidity) {
            return Err("--humidity: give 0 % to 100 %".to_owned());
        }
        Ok(Weather {
            altitude_m: altitude_m(self.altitude.as_deref())?,
            ..Weather::shade(temperature_k, relative_humidity)
        })
    }
}

/// What `--altitude` says, m; sea level where it is left out.
///
/// # Errors
/// A sentence that says what to give.
pub(super) fn altitude_m(text: Option<&str>) -> Result<f64, String> {
    let Some(text) = text else {
        return Ok(0.0);
    };
    let metres =
        parse_as(text, Dimension::Length).map_err(|error| format!("--altitude: {error}"))?;
    if ALTITUDES_M.contains(&metres) {
        Ok(metres)
    } else {
        Err("--altitude: no road leads there; give −500 m to 5000 m".to_owned())
    }
}

/// The end of a sentence on a name that there is not.
pub(super) fn did_you_mean(near: Option<&str>) -> String {
    near.map_or(".".to_owned(), |near| format!("; did you mean `{near}`?"))
}

/// The case of an id, dealt by a seed.
///
/// # Errors
/// A sentence that says which one may be meant, and where they are listed.
pub(super) fn case_of(bank: &Bank, id: &str, seed: u64) -> Result<Case, String> {
    Case::deal(bank, id, seed).map_err(|error| match error {
        DealError::UnknownCase { id, nearest } => {
            // Where no name is near, one that has it as a part may be meant.
            let part = || {
                let mut ids = bank.cases().map(|case| case.id.as_str());
                ids.find(|known| id.len() > 3 && known.contains(id.to_lowercase().as_str()))
            };
            let meant = did_you_mean(nearest.as_deref().or_else(part));
            format!("no case is called `{id}`{meant} `coldtrail cases` lists them all.")
        }
        other => other.to_string(),
    })
}

/// The vehicle of an id.
///
/// # Errors
/// A sentence that says which vehicles there are.
pub(super) fn vehicle_of<'a>(bank: &'a Bank, id: &str) -> Result<&'a Vehicle, String> {
    bank.vehicle(id).ok_or_else(|| {
        let ids = vehicle_ids(bank);
        let meant = did_you_mean(nearest(id, ids.iter().copied()));
        let all = ids.join(", ");
        format!("no vehicle is called `{id}`{meant} There are {all}.")
    })
}

fn vehicle_ids(bank: &Bank) -> Vec<&str> {
    bank.vehicles().map(|vehicle| vehicle.id.as_str()).collect()
}

/// `undercharge=0.4`: a mode of the catalogue and its severity.
fn fault(bank: &Bank, text: &str) -> Result<(Mode, f64), String> {
    let (id, severity) = text
        .split_once('=')
        .ok_or_else(|| format!("--fault: write a fault and how bad it is, such as `{text}=0.5`"))?;
    let mode = bank.catalogue().get(id).ok_or_else(|| {
        let meant = did_you_mean(bank.catalogue().nearest(id));
        format!("--fault: no fault is called `{id}`{meant} `coldtrail faults` lists them all.")
    })?;
    match severity.parse::<f64>() {
        Ok(value) if (0.0..=1.0).contains(&value) => Ok((mode.clone(), value)),
        _ => Err(format!(
            "--fault: `{severity}` is not a severity; give a number from 0 (healthy) to 1 ({} {})",
            mode.severity.show(1.0),
            mode.severity.meaning
        )),
    }
}
