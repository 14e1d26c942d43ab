//! `coldtrail vehicles`: the invented cars, and what their loops are made of.

use std::fmt::Write;

use clap::Args;
use scenarios::units::{UnitSystem, format_mass};
use scenarios::{Bank, Vehicle};
use sim_core::parts::displacement::Capacity;
use sim_core::parts::expansion::Expansion;
use sim_core::parts::storage::Place;
use sim_core::spec::CarSpec;

use crate::cli::columns::table;
use crate::cli::which_car::vehicle_of;
use crate::cli::{Units, vehicle_page};
use crate::show;

/// What `coldtrail vehicles` is asked.
#[derive(Args, Clone, Debug)]
pub struct VehiclesArgs {
    /// One vehicle, to be told all about it
    pub id: Option<String>,
    /// Units to show
    #[arg(long, value_enum, default_value = "si")]
    pub units: Units,
}

/// The list of vehicles, or the page of one.
///
/// # Errors
/// A sentence that says which vehicles there are.
pub fn browse(bank: &Bank, args: &VehiclesArgs, width: usize) -> Result<String, String> {
    let system = UnitSystem::from(args.units);
    match &args.id {
        Some(id) => {
            let page = vehicle_page::page(vehicle_of(bank, id)?, system, width);
            Ok(show::wrapped(&page, width))
        }
        None => Ok(list(bank, system, width)),
    }
}

/// Every vehicle by id, with its label and the kinds of part in its loop.
fn list(bank: &Bank, system: UnitSystem, width: usize) -> String {
    let mut rows = Vec::new();
    for vehicle in bank.vehicles() {
        let spec = &vehicle.spec;
        let parts = [compressor(spec), expansion(spec), storage(spec)].join("; ");
        let lines = [
            format!("{}, {}", vehicle.name, vehicle.year),
            vehicle.description.clone(),
            format!("{}; {}", refrigerant(vehicle, system), oil(vehicle)),
            parts,
        ]
        .into_iter()
        .chain(versions(vehicle, system));
        let id = std::iter::once(vehicle.id.clone()).chain(std::iter::repeat(String::new()));
        rows.extend(id.zip(lines).map(|(id, line)| [id, line]));
    }
    let mut text = table(0, &rows, width);
    let _ = writeln!(
        text,
        "\n`coldtrail vehicles ID` tells all about one of them."
    );
    text
}

/// What is in the loop, as the label says.
pub(super) fn refrigerant(vehicle: &Vehicle, system: UnitSystem) -> String {
    let label = &vehicle.label;
    let charge = charge(label.charge_kg, system);
    format!("{}, {charge}", label.refrigerant.name())
}

/// A charge as a label gives it.
pub(super) fn charge(mass_kg: f64, system: UnitSystem) -> String {
    let decimals = match system {
        UnitSystem::Si => 0,
        UnitSystem::Us => 1,
    };
    format_mass(mass_kg, system, decimals)
}

/// The oil, as the label says.
pub(super) fn oil(vehicle: &Vehicle) -> String {
    format!(
        "{}, {:.0} cm³",
        vehicle.label.oil,
        vehicle.label.oil_m3 * 1e6
    )
}

/// How the compressor delivers more or less, in words.
pub(super) fn compressor(spec: &CarSpec) -> &'static str {
    if spec.compressor.turned.motor().is_some() {
        return "fixed displacement, turned by a motor at high voltage";
    }
    match (&spec.compressor.capacity, &spec.clutch) {
        (Capacity::Fixed, Some(_)) => "fixed displacement with a clutch",
        (Capacity::Fixed, None) => "fixed displacement, no clutch",
        (Capacity::Variable(valve), clutch) if valve.solenoid_span_pa > 0.0 => match clutch {
            Some(_) => "variable displacement set by the control, with a clutch",
            None => "variable displacement set by the control, no clutch",
        },
        (Capacity::Variable(_), Some(_)) => {
            "variable displacement set by suction pressure, with a clutch"
        }
        (Capacity::Variable(_), None) => "variable displacement set by suction pressure, no clutch",
    }
}

/// The expansion device, in words.
pub(super) fn expansion(spec: &CarSpec) -> &'static str {
    match spec.expansion {
        Expansion::Valve(_) => "thermal valve",
        Expansion::Orifice(_) => "orifice tube",
    }
}

/// The bottle for spare refrigerant, in words.
pub(super) fn storage(spec: &CarSpec) -> &'static str {
    match spec.storage.place {
        Place::InCondenser => "receiver-drier in the condenser",
        Place::LiquidLine => "receiver-drier in the liquid line",
        Place::Suction => "accumulator",
    }
}

/// The condenser and what else bolts on in its place.
fn versions(vehicle: &Vehicle, system: UnitSystem) -> impl Iterator<Item = String> + '_ {
    let others = vehicle.other_condensers.iter().map(move |other| {
        format!(
            "also made with another condenser, {}: {}",
            other.fitting,
            charge(other.charge_kg, system)
        )
    });
    std::iter::once(format!("condenser: {}", vehicle.usual_condenser.fitting)).chain(others)
}
