//! The second law through both exchangers on their air side: with `conservation.rs`, which has it from
//! the wall inwards, air, wall and refrigerant together.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::air_entropy::{air_entropy, water_entropy};
use coldtrail_checks::stand::{running, steady, vehicles, weather};
use sim_core::air;
use sim_core::loop_model::layout::{EVAPORATOR_CELLS, Role};

/// Pressure of the air the stand's weather has, Pa.
const AIR_PA: f64 = 101_325.0;

/// Entropy made between air and wall of each part of both exchangers, W/K.
#[test]
fn entropy_is_made_between_air_and_wall() {
    for vehicle in vehicles() {
        for (celsius, humidity, rpm) in
            [(30.0, 0.55, 850.0), (35.0, 0.9, 1500.0), (40.0, 0.2, 900.0)]
        {
            let setup = running(&vehicle.spec, rpm);
            let (car, _) = steady(&vehicle.spec, weather(celsius, humidity), &setup);
            let state = car.state();
            let what = format!("{} at {celsius} °C, {rpm} rpm", vehicle.id);
            let wall_k = |role: Role| {
                let index = car.layout().index_of(role).expect("a part of the car");
                state.refrigerant.wall_k[index]
            };
            for (part, on) in car
                .evaporator_streams()
                .iter()
                .enumerate()
                .take(EVAPORATOR_CELLS)
            {
                let wall_k = wall_k(Role::Evaporator(part));
                let (off_k, off_humidity) = (state.air_off_k[part], state.air_off_humidity[part]);
                let water = on.flow_kg_s * (on.humidity_ratio - off_humidity);
                let heat_w = on.flow_kg_s
                    * (air::enthalpy_j_per_kg_da(on.temperature_k, on.humidity_ratio)
                        - air::enthalpy_j_per_kg_da(off_k, off_humidity))
                    - water * air::liquid_water_enthalpy_j_per_kg(wall_k);
                let made = on.flow_kg_s
                    * (air_entropy(off_k, off_humidity, AIR_PA)
                        - air_entropy(on.temperature_k, on.humidity_ratio, AIR_PA))
                    + water * water_entropy(wall_k)
                    + heat_w / wall_k;
                assert!(made > 0.0, "{what}: evaporator {part} makes {made} W/K");
            }
            let condenser = &car.spec().condenser;
            let flow = condenser.air_flow_kg_s(
                state.face_velocity_m_s,
                car.weather().air_density_kg_per_m3(),
            );
            let on_k = car.condenser_air_on_k();
            for volume in &car.layout().volumes {
                let role = volume.role;
                if !matches!(role, Role::Condenser(_) | Role::Subcooler) {
                    continue;
                }
                let capacity = flow * volume.core_share * air::DRY_AIR_HEAT_CAPACITY_J_PER_KG_K;
                let heat_w = -car.heat_from_air_w(role);
                let made =
                    capacity * (1.0 + heat_w / (capacity * on_k)).ln() - heat_w / wall_k(role);
                assert!(made > 0.0, "{what}: {role:?} makes {made} W/K");
            }
        }
    }
}
