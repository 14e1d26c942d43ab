//! A car that could have stood in the bay: faults and their severities.

use scenarios::{Bank, Case, Mode};

use crate::action::NO_FAULT;

/// Faults with severities; none for a healthy car.
#[derive(Clone, Debug, PartialEq)]
pub struct Hypothesis {
    /// Failure mode's id and severity, the main one first.
    pub faults: Vec<(String, f64)>,
}

impl Hypothesis {
    /// A healthy car.
    #[must_use]
    pub fn healthy() -> Self {
        Self { faults: Vec::new() }
    }

    /// One fault.
    #[must_use]
    pub fn one(mode: &str, severity: f64) -> Self {
        Self {
            faults: vec![(mode.to_owned(), severity)],
        }
    }

    /// Severity of the main fault; 0 for a healthy car.
    #[must_use]
    pub fn severity(&self) -> f64 {
        self.faults.first().map_or(0.0, |(_, severity)| *severity)
    }

    /// The same, its main fault no milder than the least that counts: sharing out a stretch rounds.
    #[must_use]
    pub fn no_milder_than(mut self, least: Option<f64>) -> Self {
        if let (Some(least), Some((_, severity))) = (least, self.faults.first_mut()) {
            *severity = severity.max(least);
        }
        self
    }

    /// The same faults at severity 0: the healthy car.
    #[must_use]
    pub fn at_zero(&self) -> Self {
        let faults = self.faults.iter().map(|(mode, _)| (mode.clone(), 0.0));
        Self {
            faults: faults.collect(),
        }
    }

    /// The same faults a share of the way to another severity.
    #[must_use]
    pub fn towards(&self, other: &Self, share: f64) -> Self {
        let faults = self
            .faults
            .iter()
            .zip(&other.faults)
            .map(|((mode, from), (_, to))| (mode.clone(), from + share * (to - from)))
            .collect();
        Self { faults }
    }

    /// What the case really has.
    #[must_use]
    pub fn truth(case: &Case) -> Self {
        Self {
            faults: case
                .present()
                .map(|(mode, severity)| (mode.id.clone(), severity))
                .collect(),
        }
    }

    /// Id of the main fault, or `no-fault`.
    #[must_use]
    pub fn name(&self) -> &str {
        self.faults.first().map_or(NO_FAULT, |(mode, _)| mode)
    }

    /// The modes with their severities; unknown ids are left out.
    #[must_use]
    pub fn modes<'a>(&self, bank: &'a Bank) -> Vec<(&'a Mode, f64)> {
        self.faults
            .iter()
            .filter_map(|(id, severity)| Some((bank.catalogue().get(id)?, *severity)))
            .collect()
    }
}

/// Severities at which a mode is run: as usually seen, and as bad as it gets.
#[must_use]
pub fn severities(mode: &Mode) -> [f64; 2] {
    [mode.severity.typical, 1.0]
}
