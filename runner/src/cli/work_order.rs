//! The work order as it lies on the desk.

use std::fmt::Write;

use scenarios::Case;
use scenarios::units::{UnitSystem, format_temperature};

use crate::cli::vehicles::{oil, refrigerant};
use crate::show;

/// The work order of a case.
#[must_use]
pub fn work_order(case: &Case, system: UnitSystem) -> String {
    let order = &case.scenario.work_order;
    let weather = case.weather();
    let distance = match system {
        UnitSystem::Us => format!(
            "{:.0} miles",
            libm::round(order.mileage_m / 160_934.4) * 100.0
        ),
        UnitSystem::Si => format!("{:.0} km", order.mileage_m / 1000.0),
    };
    let mut text = String::new();
    let _ = writeln!(text, "WORK ORDER  {}", order.shop);
    let _ = writeln!(text, "  Job       {}", case.scenario.title);
    let _ = writeln!(
        text,
        "  Vehicle   {} ({}), {distance}",
        case.vehicle.name, case.vehicle.id
    );
    let _ = writeln!(text, "  Customer  {}", order.customer);
    let _ = writeln!(text, "  Says      \"{}\"", order.complaint);
    for (index, line) in order.history.iter().enumerate() {
        let label = if index == 0 { "History" } else { "" };
        let _ = writeln!(text, "  {label:<8}  {line}");
    }
    let _ = writeln!(
        text,
        "  Today     {}, {:.0} % humidity, {}{}",
        format_temperature(weather.temperature_k, system, 0),
        weather.relative_humidity * 100.0,
        sky(weather.sun_w_per_m2),
        show::height(weather.altitude_m, system)
    );
    text
}

/// The label of the vehicle's air conditioning, and where it is.
pub(super) fn label(case: &Case, system: UnitSystem) -> String {
    let vehicle = &case.vehicle;
    format!(
        "The label, {}:\n  Refrigerant  {}\n  Oil          {}\n\
         `coldtrail vehicles {}` tells what else is known of the model.\n",
        vehicle.places.label,
        refrigerant(vehicle, system),
        oil(vehicle),
        vehicle.id
    )
}

/// Sunshine in words.
fn sky(sun_w_per_m2: f64) -> &'static str {
    if sun_w_per_m2 > 600.0 {
        "bright sun"
    } else if sun_w_per_m2 > 250.0 {
        "hazy sun"
    } else {
        "overcast"
    }
}
