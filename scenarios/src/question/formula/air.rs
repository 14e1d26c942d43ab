//! Moist air and vacuum, from `sim_core::air` (ASHRAE Handbook Fundamentals 2017, ch. 1).

use sim_core::air::{
    STANDARD_ATMOSPHERE_PA, atmospheric_pressure_pa, dew_point_k, humidity_ratio_from_relative,
    moist_heat_capacity_j_per_kg_k, saturated_humidity_ratio, saturation_vapour_pressure_pa,
    specific_volume_m3_per_kg_da,
};

use super::{Formula, Given, drawn};
use crate::question::shown::{
    ABSOLUTE, AIR_FLOW, HEIGHT, POWER, SHARE, SHARE_FINE, TEMPERATURE, TEMPERATURE_FINE, VACUUM,
    WATER,
};

/// Water to put into a litre, kg/m³: the handbook's round number.
const WATER_KG_PER_M3: f64 = 1000.0;
const HOUR_S: f64 = 3600.0;

/// What a formula of this file has where it says nothing else.
const PLAIN: Formula = Formula {
    name: "",
    source: "ASHRAE Handbook Fundamentals 2017, ch. 1",
    of_refrigerant: false,
    inputs: &[],
    derived: &[],
    answer: TEMPERATURE_FINE,
    compute: |_| None,
};

/// Water in a kilogram of dry air.
fn humidity_ratio(given: &Given) -> Option<f64> {
    let (temperature, humidity) = (given.of("temperature")?, given.of("humidity")?);
    let air_pa = STANDARD_ATMOSPHERE_PA;
    Some(humidity_ratio_from_relative(temperature, humidity, air_pa))
}

pub(super) const FORMULAS: &[Formula] = &[
    // Where water begins to come out of air.
    Formula {
        name: "dew-point",
        inputs: &[drawn("temperature", TEMPERATURE), drawn("humidity", SHARE)],
        compute: |given| Some(dew_point_k(humidity_ratio(given)?, STANDARD_ATMOSPHERE_PA)),
        ..PLAIN
    },
    // Share of the vapour pressure at saturation, from a dew point.
    Formula {
        name: "humidity-from-dew-point",
        inputs: &[
            drawn("temperature", TEMPERATURE),
            drawn("dew-point", TEMPERATURE),
        ],
        answer: SHARE_FINE,
        compute: |given| {
            let vapour = saturation_vapour_pressure_pa(given.of("dew-point")?);
            Some(vapour / saturation_vapour_pressure_pa(given.of("temperature")?))
        },
        ..PLAIN
    },
    // Water that runs off in an hour: air in, saturated air out.
    Formula {
        name: "condensate-in-an-hour",
        inputs: &[
            drawn("flow", AIR_FLOW),
            drawn("temperature", TEMPERATURE),
            drawn("humidity", SHARE),
            drawn("outlet", TEMPERATURE),
        ],
        answer: WATER,
        compute: |given| {
            let (ratio, air_pa) = (humidity_ratio(given)?, STANDARD_ATMOSPHERE_PA);
            let volume = specific_volume_m3_per_kg_da(given.of("temperature")?, ratio, air_pa);
            let left = saturated_humidity_ratio(given.of("outlet")?, air_pa);
            let water_kg = given.of("flow")? / volume * (ratio - left) * HOUR_S;
            // Air drier than that gives none, and is no question to ask.
            (water_kg > 0.0).then_some(water_kg / WATER_KG_PER_M3)
        },
        ..PLAIN
    },
    // Heat taken from air that stays as dry as it was.
    Formula {
        name: "dry-air-cooling",
        inputs: &[
            drawn("flow", AIR_FLOW),
            drawn("temperature", TEMPERATURE),
            drawn("outlet", TEMPERATURE),
        ],
        answer: POWER,
        compute: |given| {
            let (inlet, air_pa) = (given.of("temperature")?, STANDARD_ATMOSPHERE_PA);
            let volume = specific_volume_m3_per_kg_da(inlet, 0.0, air_pa);
            let capacity = moist_heat_capacity_j_per_kg_k(0.0);
            Some(given.of("flow")? / volume * capacity * (inlet - given.of("outlet")?))
        },
        ..PLAIN
    },
    // Below which pressure water boils away: what a vacuum has to reach.
    Formula {
        name: "water-boils-in-vacuum",
        inputs: &[drawn("temperature", TEMPERATURE)],
        answer: VACUUM,
        compute: |given| Some(saturation_vapour_pressure_pa(given.of("temperature")?)),
        ..PLAIN
    },
    // The standard atmosphere.
    Formula {
        name: "air-pressure-at-height",
        inputs: &[drawn("height", HEIGHT)],
        answer: ABSOLUTE,
        compute: |given| Some(atmospheric_pressure_pa(given.of("height")?)),
        ..PLAIN
    },
];
