//! What a shop reckons: scales, leaks, oil, pulleys and units.

use sim_core::air::STANDARD_ATMOSPHERE_PA;

use super::{Formula, drawn};
use crate::quantity::Dimension;
use crate::question::shown::{
    DAYS, GAUGE, GAUGE_FINE, LEAK, MASS, OIL, RPM, SHARE, SHARE_FINE, Shown, TEMPERATURE,
};

/// Global warming potentials over a hundred years, kg of carbon dioxide a kg: IPCC's fourth report for
/// R-134a, as rules count it; for R-1234yf the rules' round number. From memory.
const WARMING_R134A: f64 = 1430.0;

/// What a formula of this file has where it says nothing else.
const PLAIN: Formula = Formula {
    name: "",
    source: "arithmetic",
    of_refrigerant: false,
    inputs: &[],
    derived: &[],
    answer: SHARE_FINE,
    compute: |_| None,
};

pub(super) const FORMULAS: &[Formula] = &[
    // What was recovered, of what the label says.
    Formula {
        name: "share-of-label",
        inputs: &[drawn("recovered", MASS), drawn("label", MASS)],
        compute: |given| Some(given.of("recovered")? / given.of("label")?),
        ..PLAIN
    },
    // How long a steady leak takes to lose a share of the charge.
    Formula {
        name: "time-to-lose",
        inputs: &[
            drawn("label", MASS),
            drawn("leak", LEAK),
            drawn("share", SHARE),
        ],
        answer: DAYS,
        compute: |given| Some(given.of("label")? * given.of("share")? / given.of("leak")?),
        ..PLAIN
    },
    // A steady leak, from two weighings.
    Formula {
        name: "leak-rate",
        inputs: &[
            drawn("label", MASS),
            drawn("recovered", MASS),
            drawn("time", DAYS),
        ],
        answer: LEAK,
        compute: |given| Some((given.of("label")? - given.of("recovered")?) / given.of("time")?),
        ..PLAIN
    },
    // Oil that leaves with a part, and what was drained from it.
    Formula {
        name: "oil-to-pour-out",
        inputs: &[drawn("new", OIL), drawn("drained", OIL)],
        answer: OIL,
        compute: |given| Some(given.of("new")? - given.of("drained")?),
        ..PLAIN
    },
    // A share of the oil sits in each part.
    Formula {
        name: "oil-of-a-part",
        inputs: &[drawn("oil", OIL), drawn("share", SHARE)],
        answer: OIL,
        compute: |given| Some(given.of("oil")? * given.of("share")?),
        ..PLAIN
    },
    // Mass times warming potential.
    Formula {
        name: "warming-of-a-charge",
        source: "IPCC's fourth assessment report, from memory",
        inputs: &[drawn("charge", MASS)],
        answer: Shown::of(Dimension::Mass, ("lb", 1.0), ("kg", 1.0)),
        compute: |given| Some(given.of("charge")? * WARMING_R134A),
        ..PLAIN
    },
    // A gas that stays gas follows its absolute temperature (Gay-Lussac).
    Formula {
        name: "nitrogen-warms",
        source: "ideal gas at constant volume",
        inputs: &[
            drawn("gauge", GAUGE),
            drawn("before", TEMPERATURE),
            drawn("after", TEMPERATURE),
        ],
        answer: GAUGE_FINE,
        compute: |given| {
            let absolute = given.of("gauge")? + STANDARD_ATMOSPHERE_PA;
            let warmed = absolute * given.of("after")? / given.of("before")?;
            Some(warmed - STANDARD_ATMOSPHERE_PA)
        },
        ..PLAIN
    },
    // A belt keeps the speed of its pulleys' rims.
    Formula {
        name: "compressor-speed",
        source: "geometry of a belt",
        inputs: &[drawn("engine", RPM), drawn("ratio", Shown::plain(0.05))],
        answer: RPM,
        compute: |given| Some(given.of("engine")? * given.of("ratio")?),
        ..PLAIN
    },
    // Units, exact by definition (NIST SP 811, 2008).
    Formula {
        name: "psi-in-kpa",
        source: "NIST SP 811 (2008)",
        inputs: &[drawn(
            "pressure",
            Shown::only(Dimension::GaugePressure, "psig", 1.0),
        )],
        answer: Shown::only(Dimension::GaugePressure, "kPag", 1.0),
        compute: |given| given.of("pressure"),
        ..PLAIN
    },
    Formula {
        name: "fahrenheit-in-celsius",
        source: "NIST SP 811 (2008)",
        inputs: &[drawn(
            "temperature",
            Shown::only(Dimension::Temperature, "°F", 1.0),
        )],
        answer: Shown::only(Dimension::Temperature, "°C", 0.1),
        compute: |given| given.of("temperature"),
        ..PLAIN
    },
    Formula {
        name: "ounces-in-grams",
        source: "NIST SP 811 (2008)",
        inputs: &[drawn("mass", Shown::only(Dimension::Mass, "oz", 0.1))],
        answer: Shown::only(Dimension::Mass, "g", 1.0),
        compute: |given| given.of("mass"),
        ..PLAIN
    },
    Formula {
        name: "microns-in-pascals",
        source: "NIST SP 811 (2008)",
        inputs: &[drawn(
            "vacuum",
            Shown::only(Dimension::AbsolutePressure, "micron", 50.0),
        )],
        answer: Shown::only(Dimension::AbsolutePressure, "Pa", 0.1),
        compute: |given| given.of("vacuum"),
        ..PLAIN
    },
];
