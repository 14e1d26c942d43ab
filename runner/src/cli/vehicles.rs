//! `coldtrail vehicles`: the invented cars, and what their loops are made of.

use std::fmt::Write;

use scenarios::{Bank, Vehicle};
use sim_core::parts::displacement::Capacity;
use sim_core::parts::expansion::Expansion;
use sim_core::parts::storage::Place;
use sim_core::spec::CarSpec;

/// Every vehicle by id, with its label and the kinds of part in its loop.
#[must_use]
pub fn list(bank: &Bank) -> String {
    let mut text = String::new();
    for vehicle in bank.vehicles() {
        let _ = writeln!(
            text,
            "{:<12} {}, {}",
            vehicle.id, vehicle.name, vehicle.year
        );
        let spec = &vehicle.spec;
        for line in [
            vehicle.description.clone(),
            label(vehicle),
            format!(
                "{}; {}; {}",
                compressor(spec),
                expansion(spec),
                storage(spec)
            ),
        ]
        .into_iter()
        .chain(versions(vehicle))
        {
            let _ = writeln!(text, "{:13}{line}", "");
        }
    }
    text
}

fn label(vehicle: &Vehicle) -> String {
    let label = &vehicle.label;
    format!(
        "{}, {:.0} g; {}, {:.0} cm³",
        label.refrigerant.name(),
        label.charge_kg * 1e3,
        label.oil,
        label.oil_m3 * 1e6
    )
}

/// How the compressor delivers more or less, in words.
fn compressor(spec: &CarSpec) -> &'static str {
    match (&spec.compressor.capacity, &spec.clutch) {
        (Capacity::Fixed, _) => "fixed displacement with a clutch",
        (Capacity::Variable(valve), clutch) if valve.solenoid_span_pa > 0.0 => match clutch {
            Some(_) => "variable displacement set by the control, with a clutch",
            None => "variable displacement set by the control, no clutch",
        },
        (Capacity::Variable(_), _) => "variable displacement set by suction pressure",
    }
}

fn expansion(spec: &CarSpec) -> &'static str {
    match spec.expansion {
        Expansion::Valve(_) => "thermal valve",
        Expansion::Orifice(_) => "orifice tube",
    }
}

fn storage(spec: &CarSpec) -> &'static str {
    match spec.storage.place {
        Place::InCondenser => "receiver-drier in the condenser",
        Place::LiquidLine => "receiver-drier in the liquid line",
        Place::Suction => "accumulator",
    }
}

/// The condenser and what else bolts on in its place.
fn versions(vehicle: &Vehicle) -> impl Iterator<Item = String> + '_ {
    let others = vehicle.other_condensers.iter().map(|other| {
        format!(
            "also made with another condenser, {}: {:.0} g",
            other.fitting,
            other.charge_kg * 1e3
        )
    });
    std::iter::once(format!("condenser: {}", vehicle.condenser_fitting)).chain(others)
}
