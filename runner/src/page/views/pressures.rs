//! The pressure-temperature table of a refrigerant, as it hangs on a shop's wall.

use scenarios::Vehicle;
use scenarios::units::{UnitSystem, format_gauge_pressure, format_temperature};
use scenarios::vehicle::Refrigerant;
use sim_core::fluid::Equation;

/// First and last temperature, °C, and the step between two.
const FROM_C: i32 = -30;
const TO_C: i32 = 80;
const STEP_C: usize = 5;
/// The same in °F.
const FROM_F: i32 = -20;
const TO_F: i32 = 180;
const STEP_F: usize = 10;

/// The table of what the label says is in the loop.
pub(in crate::page) struct Pressures {
    pub refrigerant: &'static str,
    /// Temperature, and the pressure at which it boils and condenses.
    pub rows: Vec<(String, String)>,
}

/// The table for a vehicle, for gauges zeroed in air of this pressure.
pub(super) fn pressures(vehicle: &Vehicle, air_pa: f64, units: UnitSystem) -> Pressures {
    let refrigerant = vehicle.label.refrigerant;
    let equation = match refrigerant {
        Refrigerant::R134a => Equation::r134a(),
        Refrigerant::R1234yf => Equation::r1234yf(),
    };
    let temperatures_k: Vec<f64> = match units {
        UnitSystem::Si => (FROM_C..=TO_C)
            .step_by(STEP_C)
            .map(|one| f64::from(one) + 273.15)
            .collect(),
        UnitSystem::Us => (FROM_F..=TO_F)
            .step_by(STEP_F)
            .map(|one| (f64::from(one) + 459.67) / 1.8)
            .collect(),
    };
    let row = |kelvin: f64| {
        let boils = equation.saturation_at_temperature(kelvin).ok()?;
        let gauge_pa = boils.pressure_pa - air_pa;
        Some((
            format_temperature(kelvin, units, 0),
            format_gauge_pressure(gauge_pa, units, 0),
        ))
    };
    Pressures {
        refrigerant: refrigerant.name(),
        rows: temperatures_k.into_iter().filter_map(row).collect(),
    }
}
