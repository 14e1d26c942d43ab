//! A case dealt: one individual car of the vehicle, with the faults of the scenario in it.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::Arc;

use sim_core::car::Car;
use sim_core::fluid::Fluid;
use sim_core::setup::Weather;
use sim_core::spec::CarSpec;
use sim_core::spread::individual;

use crate::bank::Bank;
use crate::fault::Mode;
use crate::scenario::{Arrival, FaultPresent, FaultRole, Scenario, WorkOrder};
use crate::vehicle::Vehicle;

/// One individual car with its story.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// The version of the case that was dealt.
    pub scenario: Scenario,
    /// The vehicle, built with the case's version of the condenser.
    pub vehicle: Vehicle,
    /// What the individual was drawn from.
    pub seed: u64,
    /// The individual before anything went wrong.
    pub healthy: CarSpec,
    /// The modes that are present, in the order of the scenario's faults.
    modes: Vec<Mode>,
}

/// Why a case could not be dealt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DealError {
    /// No case has this id.
    UnknownCase {
        /// The id asked for.
        id: String,
        /// The id probably meant.
        nearest: Option<String>,
    },
    /// The case names a vehicle or mode the bank lacks: it was read with another bank.
    Foreign {
        /// The name.
        name: String,
    },
}

impl fmt::Display for DealError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::UnknownCase { id, nearest: None } => write!(f, "no case is called `{id}`"),
            Self::UnknownCase {
                id,
                nearest: Some(near),
            } => {
                write!(f, "no case is called `{id}`; did you mean `{near}`?")
            }
            Self::Foreign { name } => {
                write!(f, "the case needs `{name}`, which is not in this bank")
            }
        }
    }
}

impl std::error::Error for DealError {}

impl Case {
    /// Deals a case: the same scenario and seed give the same car on every machine. The seed draws
    /// from the case's ranges, and the individual.
    ///
    /// # Errors
    /// [`DealError`] where the bank has no such case.
    ///
    /// ```
    /// use scenarios::{Bank, Case};
    /// let bank = Bank::builtin().unwrap();
    /// let id = &bank.cases().next().unwrap().id;
    /// assert_eq!(Case::deal(&bank, id, 7), Case::deal(&bank, id, 7));
    /// ```
    pub fn deal(bank: &Bank, scenario_id: &str, seed: u64) -> Result<Self, DealError> {
        let scenario = Self::written(bank, scenario_id)?;
        Self::of_version(bank, scenario.version(&scenario.places(seed)), seed)
    }

    /// Deals the version of a case at chosen places of its ranges, as
    /// [`Scenario::version`] takes them.
    ///
    /// # Errors
    /// [`DealError`] where the bank has no such case.
    pub fn deal_version(
        bank: &Bank,
        scenario_id: &str,
        places: &[f64],
        seed: u64,
    ) -> Result<Self, DealError> {
        let scenario = Self::written(bank, scenario_id)?;
        Self::of_version(bank, scenario.version(places), seed)
    }

    fn written<'a>(bank: &'a Bank, scenario_id: &str) -> Result<&'a Scenario, DealError> {
        bank.case(scenario_id)
            .ok_or_else(|| DealError::UnknownCase {
                id: scenario_id.to_owned(),
                nearest: bank.nearest_case(scenario_id).map(str::to_owned),
            })
    }

    fn of_version(bank: &Bank, mut scenario: Scenario, seed: u64) -> Result<Self, DealError> {
        let foreign = |name: &str| DealError::Foreign {
            name: name.to_owned(),
        };
        let vehicle = bank
            .vehicle(&scenario.vehicle)
            .ok_or_else(|| foreign(&scenario.vehicle))?;
        let vehicle = match &scenario.condenser {
            Some(id) => vehicle.built_with(id).ok_or_else(|| foreign(id))?,
            None => vehicle.clone(),
        };
        let mode_of = |present: &FaultPresent| {
            let mode = bank.catalogue().get(&present.mode_id);
            mode.cloned().ok_or_else(|| foreign(&present.mode_id))
        };
        let modes = scenario
            .faults
            .iter()
            .map(mode_of)
            .collect::<Result<_, _>>()?;
        scenario.fill(vehicle.label.charge_kg);
        Ok(Self {
            scenario,
            seed,
            healthy: individual(&vehicle.spec, seed),
            vehicle,
            modes,
        })
    }

    /// A car of a vehicle that no story is told of: for tables and charts of chosen faults. It was
    /// driven in, so its engine is warm.
    ///
    /// ```
    /// use scenarios::{Bank, Case};
    /// let bank = Bank::builtin().unwrap();
    /// let vehicle = bank.vehicles().next().unwrap();
    /// let weather = bank.cases().next().unwrap().weather;
    /// let healthy = Case::of_vehicle(vehicle, weather, Vec::new(), 7);
    /// assert_eq!(healthy.present().count(), 0);
    /// ```
    #[must_use]
    pub fn of_vehicle(
        vehicle: &Vehicle,
        weather: Weather,
        faults: Vec<(Mode, f64)>,
        seed: u64,
    ) -> Self {
        let present = |(mode, severity): &(Mode, f64)| FaultPresent {
            mode_id: mode.id.clone(),
            severity: *severity,
            role: FaultRole::Fault,
        };
        let scenario = Scenario {
            id: vehicle.id.clone(),
            title: vehicle.name.clone(),
            level: 1,
            vehicle: vehicle.id.clone(),
            condenser: None,
            weather,
            work_order: WorkOrder {
                customer: String::new(),
                complaint: String::new(),
                mileage_m: 0.0,
                history: Vec::new(),
                shop: String::new(),
            },
            arrival: Arrival::DrivenIn,
            dyed_for_s: None,
            faults: faults.iter().map(present).collect(),
            competencies: Vec::new(),
            weights: None,
            prior: BTreeMap::new(),
            ranges: Vec::new(),
        };
        Self {
            scenario,
            vehicle: vehicle.clone(),
            seed,
            healthy: individual(&vehicle.spec, seed),
            modes: faults.into_iter().map(|(mode, _)| mode).collect(),
        }
    }

    /// The weather of the day.
    #[must_use]
    pub fn weather(&self) -> Weather {
        self.scenario.weather
    }

    /// What is wrong with the car.
    #[must_use]
    pub fn truth(&self) -> &[FaultPresent] {
        &self.scenario.faults
    }

    /// What is wrong, with the catalogue's entry for each.
    pub fn present(&self) -> impl Iterator<Item = (&Mode, f64)> {
        let severities = self.scenario.faults.iter().map(|present| present.severity);
        self.modes.iter().zip(severities)
    }

    /// The car as it comes into the bay.
    #[must_use]
    pub fn car(&self, fluid: Arc<Fluid>) -> Car {
        let present: Vec<(&Mode, f64)> = self.present().collect();
        self.car_with(fluid, &present)
    }

    /// The same individual on the same day with other faults in it.
    #[must_use]
    pub fn car_with(&self, fluid: Arc<Fluid>, faults: &[(&Mode, f64)]) -> Car {
        self.individual_with(fluid, &self.healthy, faults)
    }

    /// Another individual of the model on the same day with other faults in it.
    #[must_use]
    pub fn individual_with(
        &self,
        fluid: Arc<Fluid>,
        healthy: &CarSpec,
        faults: &[(&Mode, f64)],
    ) -> Car {
        let mut spec = healthy.clone();
        for (mode, severity) in faults {
            mode.fault.apply(&mut spec, *severity);
        }
        let mut car = Car::soaked_with(fluid, spec, self.weather());
        match self.scenario.arrival {
            Arrival::Cold => {}
            Arrival::DrivenIn => car.warm_engine(),
        }
        if let Some(seconds) = self.scenario.dyed_for_s {
            car.dyed_for(seconds);
        }
        car
    }
}
