//! Entropy of moist air, water and ice, and what the air side of a wall makes of it.

use sim_core::air;
use sim_core::car::Car;
use sim_core::loop_model::layout::Role;
use sim_core::loop_model::volume::Outside;

/// Entropy of moist air, J/K per kg of dry air: zero for dry air and liquid water at 0 °C and one
/// atmosphere. Ideal gases, heat capacities and heat of vaporisation as in the enthalpy of the ASHRAE
/// Handbook - Fundamentals (2017), ch. 1, eq. 30, so that both scales belong together.
#[must_use]
pub fn air_entropy(k: f64, humidity_ratio: f64, air_pa: f64) -> f64 {
    const ZERO_K: f64 = air::ZERO_CELSIUS_K;
    const ATMOSPHERE_PA: f64 = 101_325.0;
    let warmer = (k / ZERO_K).ln();
    let vapour_part = humidity_ratio / (air::MOLAR_MASS_RATIO + humidity_ratio);
    let dry = air::DRY_AIR_HEAT_CAPACITY_J_PER_KG_K * warmer
        - air::DRY_AIR_GAS_CONSTANT_J_PER_KG_K
            * ((1.0 - vapour_part) * air_pa / ATMOSPHERE_PA).ln();
    if humidity_ratio <= 0.0 {
        return dry;
    }
    let gas_constant = air::DRY_AIR_GAS_CONSTANT_J_PER_KG_K / air::MOLAR_MASS_RATIO;
    let thinner = vapour_part * air_pa / air::saturation_vapour_pressure_pa(ZERO_K);
    let vapour = air::VAPOUR_ENTHALPY_AT_ZERO_CELSIUS_J_PER_KG / ZERO_K
        + air::VAPOUR_HEAT_CAPACITY_J_PER_KG_K * warmer
        - gas_constant * thinner.ln();
    dry + humidity_ratio * vapour
}

/// Entropy of liquid water on the same scale, J/(kg K).
#[must_use]
pub fn water_entropy(k: f64) -> f64 {
    air::LIQUID_WATER_HEAT_CAPACITY_J_PER_KG_K * (k / air::ZERO_CELSIUS_K).ln()
}

/// Entropy of ice on the same scale, J/(kg K).
#[must_use]
pub fn ice_entropy(k: f64) -> f64 {
    air::ICE_HEAT_CAPACITY_J_PER_KG_K * (k / air::ZERO_CELSIUS_K).ln()
        - air::HEAT_OF_FUSION_J_PER_KG / air::ZERO_CELSIUS_K
}

/// Entropy that the air side of a wall makes, W/K: the air's, and that of the heat into the wall.
///
/// # Panics
/// When the car lacks the volume.
#[must_use]
pub fn air_side_makes(car: &Car, role: Role) -> f64 {
    let state = car.state();
    let index = car.layout().index_of(role).expect("a part of the car");
    let wall_k = state.refrigerant.wall_k[index];
    let volume = &car.layout().volumes[index];
    match car.met_outside(role).expect("a part of the car") {
        Outside::Wet(face) => {
            let Role::Evaporator(part) = role else {
                panic!("{role:?} is no part of the evaporator")
            };
            let exchange = face.exchange(wall_k);
            let on = face.stream();
            let off = (
                exchange.outlet_temperature_k,
                exchange.outlet_humidity_ratio,
            );
            assert_eq!(off.0, state.air_off_k[part]);
            let freezing_w = exchange.freezing_kg_s * air::HEAT_OF_FUSION_J_PER_KG;
            // Air below 0 °C is full over ice, and what falls from it freezes at the pace of its film:
            // till then it counts as ice whose heat of fusion the metal still has to take.
            let (water, freezes_at_k) = if wall_k < air::ZERO_CELSIUS_K {
                (
                    ice_entropy(wall_k) + air::HEAT_OF_FUSION_J_PER_KG / wall_k,
                    wall_k,
                )
            } else {
                (water_entropy(wall_k), air::ZERO_CELSIUS_K)
            };
            on.flow_kg_s
                * (air_entropy(off.0, off.1, on.pressure_pa)
                    - air_entropy(on.temperature_k, on.humidity_ratio, on.pressure_pa))
                + exchange.deposit_kg_s * water
                - freezing_w / freezes_at_k
                + exchange.heat_w / wall_k
        }
        Outside::Dry {
            conductance_w_per_k,
            air_k,
        } => {
            let heat_w = conductance_w_per_k * (air_k - wall_k);
            let flow = car.spec().condenser.air_flow_kg_s(
                state.face_velocity_m_s,
                car.weather().air_density_kg_per_m3(),
            );
            let capacity = flow * volume.core_share * air::DRY_AIR_HEAT_CAPACITY_J_PER_KG_K;
            if capacity > 0.0 {
                // What passes the core cools or warms on its way: no more heat than its own.
                return capacity * (1.0 - heat_w / (capacity * air_k)).ln() + heat_w / wall_k;
            }
            heat_w / wall_k - heat_w / air_k
        }
    }
}
