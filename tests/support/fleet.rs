//! A thousand cars with faults: the catalogue on every vehicle at rising severities, evenly thinned.

use sim_core::car::Car;
use sim_core::setup::Setup;

use crate::stand::{bank, fluid_of, idling, vehicles, weather};

/// Cars in the fleet.
pub const CARS: usize = 1000;
/// Severities at which each failure mode is met.
const SEVERITIES: [f64; 4] = [0.25, 0.5, 0.75, 1.0];

/// Day on which they stand, °C: that of the other benches.
const DAY_CELSIUS: f64 = 33.0;

/// A car of the fleet, standing cold, and how its driver runs it.
#[derive(Clone, Debug)]
pub struct Member {
    /// Vehicle, failure mode and severity.
    pub what: String,
    /// The car, soaked on that day at 50 %.
    pub car: Car,
    /// Idling with the doors shut, full cold, recirculating.
    pub setup: Setup,
}

/// The fleet, the same every time.
pub fn fleet() -> Vec<Member> {
    let mut all = Vec::new();
    for vehicle in vehicles() {
        for mode in bank().catalogue().modes() {
            all.extend(SEVERITIES.map(|severity| (vehicle, mode, severity)));
        }
    }
    (0..CARS)
        .map(|number| {
            let (vehicle, mode, severity) = &all[number * all.len() / CARS];
            let mut spec = vehicle.spec.clone();
            mode.fault.apply(&mut spec, *severity);
            Member {
                what: format!("{}, {} at {severity}", vehicle.id, mode.id),
                setup: Setup {
                    doors_open: false,
                    ..idling(&spec)
                },
                car: Car::soaked_with(fluid_of(&spec), spec, weather(DAY_CELSIUS, 0.5)),
            }
        })
        .collect()
}
