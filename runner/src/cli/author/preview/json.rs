//! A preview for a program: SI numbers, stable names.

use scenarios::Case;
use serde::Serialize;
use serde_json::Value;

use super::Modelled;
use crate::author::compared::{Number, Quantity, SetUp};
use crate::chart::cycle::{Cycle, Stop};
use crate::cli::chart::Cycles;
use crate::debrief;
use crate::grade::present;

#[derive(Serialize)]
struct Preview<'a> {
    case: &'a str,
    seed: u64,
    work_order: &'a str,
    faults: Vec<(String, f64)>,
    set_ups: Vec<Compared<'a>>,
    cycle: Vec<Corner>,
    healthy_cycle: Vec<Corner>,
    /// Why nobody could solve it.
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<&'a str>,
    /// The result of a model attempt, as `practice --format json` prints it.
    #[serde(skip_serializing_if = "Option::is_none")]
    model: Option<Value>,
}

#[derive(Serialize)]
struct Compared<'a> {
    set_up: &'a str,
    numbers: Vec<Both<'a>>,
    findings: Vec<Found<'a>>,
}

#[derive(Serialize)]
struct Both<'a> {
    words: &'a str,
    quantity: String,
    healthy: Option<(f64, f64)>,
    faulty: Option<(f64, f64)>,
    differs: bool,
}

#[derive(Serialize)]
struct Found<'a> {
    action: String,
    healthy: &'a str,
    faulty: &'a str,
}

#[derive(Serialize)]
struct Corner {
    after: String,
    pressure_pa: f64,
    temperature_k: f64,
    enthalpy_j_per_kg: f64,
}

/// The whole preview.
///
/// # Errors
/// A sentence where it cannot be written as JSON.
pub(super) fn json(
    (case, order): (&Case, &str),
    set_ups: &[SetUp],
    cycles: &Cycles<'_>,
    model: &Result<Modelled, String>,
) -> Result<String, String> {
    let told = |error: serde_json::Error| error.to_string();
    let result = match model {
        Ok(model) => {
            let text = debrief::json(case, &model.grade, &[]).map_err(told)?;
            Some(serde_json::from_str(&text).map_err(told)?)
        }
        Err(_) => None,
    };
    let preview = Preview {
        case: &case.scenario.id,
        seed: case.seed,
        work_order: order,
        faults: present(case),
        set_ups: set_ups.iter().map(Compared::of).collect(),
        cycle: corners(Some(cycles.car())),
        healthy_cycle: corners(cycles.healthy()),
        error: model.as_ref().err().map(String::as_str),
        model: result,
    };
    Ok(serde_json::to_string_pretty(&preview).map_err(told)? + "\n")
}

impl<'a> Compared<'a> {
    fn of(set_up: &'a SetUp) -> Self {
        let findings = set_up.findings.iter();
        Self {
            set_up: set_up.name,
            numbers: set_up.numbers.iter().map(Both::of).collect(),
            findings: findings
                .map(|one| Found {
                    action: one.action.to_string(),
                    healthy: &one.healthy,
                    faulty: &one.faulty,
                })
                .collect(),
        }
    }
}

impl<'a> Both<'a> {
    fn of(number: &'a Number) -> Self {
        Self {
            words: &number.words,
            quantity: match number.of {
                Quantity::Read(unit) => format!("{unit:?}"),
                Quantity::Difference => "TemperatureDifference".to_owned(),
                Quantity::AirFlow => "AirFlow".to_owned(),
            },
            healthy: number.healthy,
            faulty: number.faulty,
            differs: number.differs,
        }
    }
}

/// No corners where the compressor does not turn.
fn corners(cycle: Option<Cycle>) -> Vec<Corner> {
    let turning = cycle.filter(|cycle| cycle.turning);
    let stops = turning.into_iter().flat_map(|cycle| cycle.stops);
    let corner = |stop: Stop| Corner {
        after: stop.after,
        pressure_pa: stop.pressure_pa,
        temperature_k: stop.temperature_k,
        enthalpy_j_per_kg: stop.enthalpy_j_per_kg,
    };
    stops.map(corner).collect()
}
