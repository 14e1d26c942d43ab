//! The service part of a vehicle's page: joints, seals, oil and the maker's notes.

use std::fmt::Write;

use scenarios::Vehicle;
use scenarios::units::UnitSystem;
use scenarios::vehicle::CondenserVersion;
use sim_core::repair::{JOBS, JobInfo};

use crate::cli::columns::table;
use crate::cli::vehicles::charge;
use crate::show;

/// Heads of the table of joints.
pub(crate) const HEADS: [&str; 4] = ["part", "joints", "seal", "oil with a new one"];
/// Said above the charges of a model that is made with several condensers.
pub(crate) const VERSIONS: &str =
    "Condensers of this model, and the charge of each: look which one is on the car.";
/// What comes before all of it.
pub(crate) const FIRST: &str =
    "The maker's procedure, local law and licensed practice come before this page.";

/// The service part of a vehicle's page.
pub(crate) struct Service<'a> {
    /// A part in each row: its name, the torque of its joints, their seals, and oil to put in with a new one.
    pub joints: Vec<[String; 4]>,
    /// Charge and condenser, where the charge goes by the one that is on the car.
    pub versions: Vec<[String; 2]>,
    /// What else the maker says.
    pub notes: &'a [String],
}

/// The service part as the shop looks it up.
pub(crate) fn service(vehicle: &Vehicle, system: UnitSystem) -> Service<'_> {
    let joint = |info: &JobInfo| {
        let part = vehicle.service.joint(info.job)?;
        Some([
            info.name.to_owned(),
            show::torque(part.torque_n_m, system),
            part.seal.to_string(),
            show::oil(part.oil_m3, system),
        ])
    };
    let version = |one: &CondenserVersion| [charge(one.charge_kg, system), one.fitting.clone()];
    let versions = if vehicle.other_condensers.is_empty() {
        Vec::new()
    } else {
        vehicle.condensers().map(version).collect()
    };
    Service {
        joints: JOBS.iter().filter_map(joint).collect(),
        versions,
        notes: &vehicle.service.notes,
    }
}

impl Service<'_> {
    /// It in lines.
    pub(super) fn lines(&self, width: usize) -> String {
        let heads = [HEADS.map(str::to_owned)];
        let rows = [&heads, self.joints.as_slice()].concat();
        let mut text = "Service\n".to_owned() + &table(2, &rows, width);
        if !self.versions.is_empty() {
            let _ = writeln!(text, "  {VERSIONS}");
            text.push_str(&table(4, &self.versions, width));
        }
        for note in self.notes {
            let _ = writeln!(text, "  {note}");
        }
        let _ = writeln!(text, "  {FIRST}");
        text
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used)]

    use scenarios::Bank;
    use scenarios::quantity::{Dimension, parse_as};

    use super::*;

    /// Whoever types what the page says makes the joint the maker asks for.
    #[test]
    fn a_torque_that_is_read_off_the_page_is_the_makers() {
        let bank = Bank::builtin().expect("the bank");
        let joints = bank
            .vehicles()
            .flat_map(|vehicle| JOBS.iter().map(move |info| (vehicle, info)));
        for (vehicle, info) in joints {
            let Some(part) = vehicle.service.joint(info.job) else {
                continue;
            };
            for system in [UnitSystem::Si, UnitSystem::Us] {
                let told = show::torque(part.torque_n_m, system);
                let read = parse_as(&told, Dimension::Torque).expect("a torque");
                let off = (read / part.torque_n_m - 1.0).abs();
                assert!(off < 0.05, "{} of {}: {told}", info.name, vehicle.id);
            }
        }
    }
}
