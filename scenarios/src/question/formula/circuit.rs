//! A coil and what is in its way: Ohm's law and Kirchhoff's.

use super::{Derived, Formula, Given, drawn};
use crate::question::shown::{AMPERE, OHM, OHM_FINE, VOLT, WATT};

/// What a formula of this file has where it says nothing else.
const PLAIN: Formula = Formula {
    name: "",
    source: "Ohm's and Kirchhoff's laws",
    of_refrigerant: false,
    inputs: &[],
    derived: &[],
    answer: VOLT,
    compute: |_| None,
};

/// Current through a coil and a bad joint in a row.
fn current(given: &Given) -> Option<f64> {
    Some(given.of("supply")? / (given.of("coil")? + given.of("joint")?))
}

pub(super) const FORMULAS: &[Formula] = &[
    // Ohm.
    Formula {
        name: "coil-current",
        inputs: &[drawn("supply", VOLT), drawn("coil", OHM)],
        answer: AMPERE,
        compute: |given| Some(given.of("supply")? / given.of("coil")?),
        ..PLAIN
    },
    // Ohm, the other way round.
    Formula {
        name: "coil-resistance",
        inputs: &[drawn("supply", VOLT), drawn("current", AMPERE)],
        answer: OHM_FINE,
        compute: |given| Some(given.of("supply")? / given.of("current")?),
        ..PLAIN
    },
    // Voltage times current.
    Formula {
        name: "coil-power",
        inputs: &[drawn("supply", VOLT), drawn("coil", OHM)],
        answer: WATT,
        compute: |given| {
            let supply = given.of("supply")?;
            Some(supply * supply / given.of("coil")?)
        },
        ..PLAIN
    },
    // Two resistances in a row share the voltage in proportion.
    Formula {
        name: "voltage-at-coil",
        inputs: &[
            drawn("supply", VOLT),
            drawn("coil", OHM),
            drawn("joint", OHM),
        ],
        answer: VOLT,
        compute: |given| Some(current(given)? * given.of("coil")?),
        ..PLAIN
    },
    // From a voltage drop under load and the current.
    Formula {
        name: "joint-resistance",
        inputs: &[drawn("drop", VOLT), drawn("current", AMPERE)],
        answer: OHM_FINE,
        compute: |given| Some(given.of("drop")? / given.of("current")?),
        ..PLAIN
    },
    // What is lost on the way, from what arrives.
    Formula {
        name: "joint-from-voltages",
        inputs: &[
            drawn("supply", VOLT),
            drawn("coil", OHM),
            super::hidden("joint", OHM),
        ],
        derived: &[Derived {
            name: "arrives",
            shown: VOLT,
            value: |given| Some(current(given)? * given.of("coil")?),
        }],
        answer: OHM_FINE,
        compute: |given| {
            let amperes = given.of("arrives")? / given.of("coil")?;
            Some((given.of("supply")? - given.of("arrives")?) / amperes)
        },
        ..PLAIN
    },
];
