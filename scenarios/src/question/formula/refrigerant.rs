//! Boiling and condensing: what a gauge and a thermometer say together.
//!
//! All from the equations of state of `sim_core::fluid` (R-134a: Tillner-Roth & Baehr 1994; R-1234yf:
//! Lemmon & Akasaka 2022) and the standard atmosphere of `sim_core::air`.

use sim_core::air::{STANDARD_ATMOSPHERE_PA, atmospheric_pressure_pa};
use sim_core::fluid::Input as Property;

use super::{Derived, Formula, Given, drawn, hidden};
use crate::question::shown::{
    ABSOLUTE, DIFFERENCE, GAUGE, GAUGE_FINE, HEIGHT, MASS_FINE, PRESSURE_DIFFERENCE, SHARE_FINE,
    TEMPERATURE, TEMPERATURE_FINE, VOLUME,
};

const STATE: &str = "the refrigerant's published equation of state";

const fn of(formula: Formula) -> Formula {
    Formula {
        source: STATE,
        of_refrigerant: true,
        ..formula
    }
}

/// What a formula has where it says nothing else.
const PLAIN: Formula = of(Formula {
    name: "",
    source: STATE,
    of_refrigerant: true,
    inputs: &[],
    derived: &[],
    answer: DIFFERENCE,
    compute: |_| None,
});

fn gauge_at(given: &Given, temperature: &str) -> Option<f64> {
    let boiling = given.boiling_at_k(given.of(temperature)?)?;
    Some(boiling.pressure_pa - STANDARD_ATMOSPHERE_PA)
}

/// Where a gauge pressure boils at sea level, K.
fn boiling_k(given: &Given) -> Option<f64> {
    let boiling = given.boiling_at_pa(given.of("gauge")? + STANDARD_ATMOSPHERE_PA)?;
    Some(boiling.temperature_k)
}

const GAUGE_OF_BOILING: Derived = Derived {
    name: "gauge",
    shown: GAUGE,
    value: |given| gauge_at(given, "boiling"),
};

pub(super) const FORMULAS: &[Formula] = &[
    // What a gauge shows where liquid and vapour stand side by side.
    Formula {
        name: "saturation-pressure",
        inputs: &[drawn("temperature", TEMPERATURE)],
        answer: GAUGE_FINE,
        compute: |given| gauge_at(given, "temperature"),
        ..PLAIN
    },
    // The same on a mountain: the refrigerant is the same, the air around the gauge is thinner.
    Formula {
        name: "saturation-pressure-at-height",
        inputs: &[drawn("temperature", TEMPERATURE), drawn("height", HEIGHT)],
        answer: GAUGE_FINE,
        compute: |given| {
            let boiling = given.boiling_at_k(given.of("temperature")?)?;
            Some(boiling.pressure_pa - atmospheric_pressure_pa(given.of("height")?))
        },
        ..PLAIN
    },
    // The temperature a gauge pressure belongs to.
    Formula {
        name: "saturation-temperature",
        inputs: &[drawn("gauge", GAUGE)],
        answer: TEMPERATURE_FINE,
        compute: boiling_k,
        ..PLAIN
    },
    // Vapour warmer than it boils: pipe less boiling.
    Formula {
        name: "superheat",
        inputs: &[
            hidden("boiling", TEMPERATURE),
            hidden("superheat", DIFFERENCE),
        ],
        derived: &[
            GAUGE_OF_BOILING,
            Derived {
                name: "pipe",
                shown: TEMPERATURE,
                value: |given| Some(given.of("boiling")? + given.of("superheat")?),
            },
        ],
        answer: DIFFERENCE,
        compute: |given| Some(given.of("pipe")? - boiling_k(given)?),
        ..PLAIN
    },
    // Liquid colder than it condenses: condensing less pipe.
    Formula {
        name: "subcooling",
        inputs: &[
            hidden("boiling", TEMPERATURE),
            hidden("subcooling", DIFFERENCE),
        ],
        derived: &[
            GAUGE_OF_BOILING,
            Derived {
                name: "pipe",
                shown: TEMPERATURE,
                value: |given| Some(given.of("boiling")? - given.of("subcooling")?),
            },
        ],
        answer: DIFFERENCE,
        compute: |given| Some(boiling_k(given)? - given.of("pipe")?),
        ..PLAIN
    },
    // Dalton's law in a loop at rest: what the gauge shows beyond the refrigerant's own pressure.
    Formula {
        name: "air-in-standing-loop",
        inputs: &[
            drawn("temperature", TEMPERATURE),
            hidden("air", PRESSURE_DIFFERENCE),
        ],
        derived: &[Derived {
            name: "gauge",
            shown: GAUGE,
            value: |given| Some(gauge_at(given, "temperature")? + given.of("air")?),
        }],
        answer: PRESSURE_DIFFERENCE,
        compute: |given| Some(given.of("gauge")? - gauge_at(given, "temperature")?),
        ..PLAIN
    },
    // Mass of vapour in a volume: density from the state, times the volume.
    Formula {
        name: "vapour-mass",
        inputs: &[
            drawn("volume", VOLUME),
            drawn("pressure", ABSOLUTE),
            drawn("temperature", TEMPERATURE),
        ],
        answer: MASS_FINE,
        compute: |given| {
            let pressure = Property::Pressure(given.of("pressure")?);
            let state = given.state(pressure, Property::Temperature(given.of("temperature")?))?;
            Some(state.density_kg_per_m3 * given.of("volume")?)
        },
        ..PLAIN
    },
    // Mass of liquid that fills a volume.
    Formula {
        name: "liquid-mass",
        inputs: &[drawn("volume", VOLUME), drawn("temperature", TEMPERATURE)],
        answer: MASS_FINE,
        compute: |given| {
            let boiling = given.boiling_at_k(given.of("temperature")?)?;
            Some(boiling.liquid.density_kg_per_m3 * given.of("volume")?)
        },
        ..PLAIN
    },
    // Throttling keeps enthalpy: what flashes is what the liquid brought too much.
    Formula {
        name: "vapour-after-valve",
        inputs: &[drawn("liquid", TEMPERATURE), drawn("boiling", TEMPERATURE)],
        answer: SHARE_FINE,
        compute: |given| {
            let liquid = given.boiling_at_k(given.of("liquid")?)?.liquid;
            let boiling = given.boiling_at_k(given.of("boiling")?)?;
            let latent = boiling.vapour.enthalpy_j_per_kg - boiling.liquid.enthalpy_j_per_kg;
            Some((liquid.enthalpy_j_per_kg - boiling.liquid.enthalpy_j_per_kg) / latent)
        },
        ..PLAIN
    },
    // How much a gauge moves for a change of temperature: difference along the curve.
    Formula {
        name: "pressure-rise-of-warming",
        inputs: &[drawn("cold", TEMPERATURE), drawn("warm", TEMPERATURE)],
        answer: PRESSURE_DIFFERENCE,
        compute: |given| Some(gauge_at(given, "warm")? - gauge_at(given, "cold")?),
        ..PLAIN
    },
];
