//! The service part of a vehicle's page: joints, seals, oil and the maker's notes.

use std::fmt::Write;

use scenarios::Vehicle;
use scenarios::units::UnitSystem;
use sim_core::repair::JOBS;

use crate::cli::columns::table;
use crate::cli::vehicles::charge;
use crate::show;

/// The service page as the shop looks it up.
pub(super) fn service(vehicle: &Vehicle, system: UnitSystem, width: usize) -> String {
    let mut rows: Vec<[String; 4]> = vec![[
        "part".to_owned(),
        "joints".to_owned(),
        "seal".to_owned(),
        "oil with a new one".to_owned(),
    ]];
    for info in JOBS {
        let Some(part) = vehicle.service.joint(info.job) else {
            continue;
        };
        rows.push([
            info.name.to_owned(),
            show::torque(part.torque_n_m, system),
            part.seal.to_string(),
            show::oil(part.oil_m3, system),
        ]);
    }
    let mut text = "Service\n".to_owned() + &table(2, &rows, width);
    text.push_str(&versions(vehicle, system, width));
    for note in &vehicle.service.notes {
        let _ = writeln!(text, "  {note}");
    }
    text.push_str(
        "  The maker's procedure, local law and licensed practice come before this page.\n",
    );
    text
}

/// The condensers the model is made with, where there are several: the charge goes by the one on the car.
fn versions(vehicle: &Vehicle, system: UnitSystem, width: usize) -> String {
    if vehicle.other_condensers.is_empty() {
        return String::new();
    }
    let rows: Vec<[String; 2]> = vehicle
        .condensers()
        .map(|one| [charge(one.charge_kg, system), one.fitting.clone()])
        .collect();
    "  Condensers of this model, and the charge of each: look which one is on the car.\n".to_owned()
        + &table(4, &rows, width)
}
