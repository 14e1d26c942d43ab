//! The columns that no instrument stands behind: the controls, and what only the model knows.

use sim_core::car::Car;
use sim_core::setup::Temperature;

use crate::record::Cell;

/// A column: its name and how its cell is found.
type Column = (&'static str, fn(&Car) -> Cell);

/// How the car is set up. What is asked of the heater is a word, and a temperature where one is asked for.
pub(super) const CONTROLS: &[Column] = &[
    ("engine_rev_per_s", |car| {
        Cell::number(car.setup().engine_rev_s)
    }),
    ("ac_on", |car| Cell::Flag(car.setup().ac_on)),
    ("blower_step", |car| {
        Cell::Count(car.setup().blower_step as u64)
    }),
    ("recirculate", |car| Cell::Flag(car.setup().recirculate)),
    ("heat_asked", |car| {
        let word = match car.setup().temperature {
            Temperature::Cold => "cold",
            Temperature::Hot => "hot",
            Temperature::Cabin(_) => "cabin",
        };
        Cell::Word(word.to_owned())
    }),
    ("cabin_asked_k", |car| match car.setup().temperature {
        Temperature::Cabin(kelvin) => Cell::number(kelvin),
        Temperature::Cold | Temperature::Hot => Cell::Empty,
    }),
    ("doors_open", |car| Cell::Flag(car.setup().doors_open)),
    ("road_speed_m_per_s", |car| {
        Cell::number(car.setup().road_speed_m_s)
    }),
    ("shop_fan", |car| Cell::Flag(car.setup().shop_fan)),
];

/// What no instrument in the bay shows.
pub(super) const STATE: &[Column] = &[
    ("clutch_engaged_true", |car| {
        Cell::Flag(car.state().clutch.engaged)
    }),
    ("fan_stage_true", |car| {
        Cell::Word(format!("{:?}", car.state().fan_stage).to_ascii_lowercase())
    }),
    ("compressor_rev_per_s_true", |car| {
        Cell::number(car.state().compressor_rev_s)
    }),
    ("compressor_power_w_true", |car| {
        Cell::number(car.state().refrigerant.compressor_power_w)
    }),
    ("compressor_flow_kg_per_s_true", |car| {
        // The ring ends at the compressor's suction: what leaves its last volume is what is pumped.
        let flows = &car.state().refrigerant.flow_kg_s;
        flows.last().map_or(Cell::Empty, |flow| Cell::number(*flow))
    }),
    ("valve_flow_kg_per_s_true", |car| {
        Cell::number(car.valve_flow_kg_s())
    }),
    ("charge_kg_true", |car| {
        Cell::number(car.state().refrigerant.total_mass_kg())
    }),
    ("air_flow_kg_per_s_true", |car| {
        Cell::number(car.state().air_flow_kg_s)
    }),
    ("air_duty_w_true", |car| {
        Cell::number(car.state().air_duty_w)
    }),
];
