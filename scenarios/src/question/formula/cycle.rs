//! The four corners of a cycle, from the equations of state.

use sim_core::fluid::Input as Property;

use super::{Derived, Drawn, Formula, Given, drawn, hidden};
use crate::question::shown::{
    DIFFERENCE, ENTHALPY, FLOW, POWER, SHARE, SHARE_FINE, Shown, TEMPERATURE, TEMPERATURE_FINE,
};

/// Where in a cycle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Corner {
    /// Vapour into the compressor.
    CompressorInlet,
    /// Hot gas out of the compressor.
    CompressorOutlet,
    /// Liquid out of the condenser.
    CondenserOutlet,
    /// Liquid and vapour into the evaporator.
    EvaporatorInlet,
}

impl Corner {
    /// In the order of the flow.
    pub const ALL: [Self; 4] = [
        Self::CompressorInlet,
        Self::CompressorOutlet,
        Self::CondenserOutlet,
        Self::EvaporatorInlet,
    ];

    /// Its name in a file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::CompressorInlet => "compressor-inlet",
            Self::CompressorOutlet => "compressor-outlet",
            Self::CondenserOutlet => "condenser-outlet",
            Self::EvaporatorInlet => "evaporator-inlet",
        }
    }
}

/// A cycle without losses in its pipes: `at` its corners, in the order of the flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cycle {
    /// Absolute pressure, Pa.
    pub pressure_pa: [f64; 4],
    /// Enthalpy, J/kg.
    pub enthalpy_j_per_kg: [f64; 4],
    /// Temperature, K.
    pub temperature_k: [f64; 4],
}

impl Cycle {
    /// The cycle of what was drawn; none where a state cannot be.
    #[must_use]
    pub fn of(given: &Given) -> Option<Self> {
        *given.cycle.get_or_init(|| Self::worked(given))
    }

    fn worked(given: &Given) -> Option<Self> {
        let low = given.boiling_at_k(given.of("evaporating")?)?;
        let high = given.boiling_at_k(given.of("condensing")?)?;
        let (low_pa, high_pa) = (low.pressure_pa, high.pressure_pa);
        let inlet_k = low.temperature_k + given.of("superheat")?;
        let inlet = given.state(Property::Pressure(low_pa), Property::Temperature(inlet_k))?;
        let entropy = Property::Entropy(inlet.entropy_j_per_kg_k);
        let ideal = given.state(Property::Pressure(high_pa), entropy)?;
        let ideal_rise = ideal.enthalpy_j_per_kg - inlet.enthalpy_j_per_kg;
        let out = inlet.enthalpy_j_per_kg + ideal_rise / given.of("efficiency")?;
        let outlet = given.state(Property::Pressure(high_pa), Property::Enthalpy(out))?;
        let liquid_k = high.temperature_k - given.of("subcooling")?;
        let liquid = given.state(Property::Pressure(high_pa), Property::Temperature(liquid_k))?;
        let mixture = liquid.enthalpy_j_per_kg;
        Some(Self {
            pressure_pa: [low_pa, high_pa, high_pa, low_pa],
            enthalpy_j_per_kg: [inlet.enthalpy_j_per_kg, out, mixture, mixture],
            temperature_k: [inlet_k, outlet.temperature_k, liquid_k, low.temperature_k],
        })
    }
}

/// What a cycle is drawn from; [`Cycle::of`] reads these names.
const INPUTS: &[Drawn] = &[
    hidden("evaporating", TEMPERATURE),
    hidden("condensing", TEMPERATURE),
    hidden("superheat", DIFFERENCE),
    hidden("subcooling", DIFFERENCE),
    hidden("efficiency", SHARE),
];

/// Enthalpies as they are told; the answers are computed from these.
const ENTHALPIES: &[Derived] = &[
    Derived {
        name: "suction",
        shown: ENTHALPY,
        value: |given| Some(Cycle::of(given)?.enthalpy_j_per_kg[0]),
    },
    Derived {
        name: "discharge",
        shown: ENTHALPY,
        value: |given| Some(Cycle::of(given)?.enthalpy_j_per_kg[1]),
    },
    Derived {
        name: "liquid",
        shown: ENTHALPY,
        value: |given| Some(Cycle::of(given)?.enthalpy_j_per_kg[2]),
    },
];

/// What a formula of this file has where it says nothing else.
const PLAIN: Formula = Formula {
    name: "",
    source: "the refrigerant's published equation of state; first law of thermodynamics",
    of_refrigerant: true,
    inputs: INPUTS,
    derived: ENTHALPIES,
    answer: ENTHALPY,
    compute: |_| None,
};

pub(super) const FORMULAS: &[Formula] = &[
    // Cold made for work put in.
    Formula {
        name: "coefficient-of-performance",
        answer: Shown::plain(0.01),
        compute: |given| {
            let work = given.of("discharge")? - given.of("suction")?;
            Some((given.of("suction")? - given.of("liquid")?) / work)
        },
        ..PLAIN
    },
    // What a kilogram takes up in the evaporator.
    Formula {
        name: "cooling-per-mass",
        compute: |given| Some(given.of("suction")? - given.of("liquid")?),
        ..PLAIN
    },
    // What a kilogram gives off in the condenser.
    Formula {
        name: "heat-rejected-per-mass",
        compute: |given| Some(given.of("discharge")? - given.of("liquid")?),
        ..PLAIN
    },
    // Flow times rise of enthalpy.
    Formula {
        name: "cooling-power",
        inputs: &[
            hidden("evaporating", TEMPERATURE),
            hidden("condensing", TEMPERATURE),
            hidden("superheat", DIFFERENCE),
            hidden("subcooling", DIFFERENCE),
            hidden("efficiency", SHARE),
            drawn("flow", FLOW),
        ],
        answer: POWER,
        compute: |given| Some((given.of("suction")? - given.of("liquid")?) * given.of("flow")?),
        ..PLAIN
    },
    // Absolute pressures, one over the other.
    Formula {
        name: "pressure-ratio",
        derived: &[],
        answer: Shown::plain(0.01),
        compute: |given| {
            let cycle = Cycle::of(given)?;
            Some(cycle.pressure_pa[1] / cycle.pressure_pa[0])
        },
        ..PLAIN
    },
    // Superheat, from a chart's table.
    Formula {
        name: "cycle-superheat",
        derived: &[],
        answer: DIFFERENCE,
        compute: |given| given.of("superheat"),
        ..PLAIN
    },
    // The hottest place of the loop.
    Formula {
        name: "discharge-temperature",
        derived: &[],
        answer: TEMPERATURE_FINE,
        compute: |given| Some(Cycle::of(given)?.temperature_k[1]),
        ..PLAIN
    },
    // Share of vapour behind the valve.
    Formula {
        name: "cycle-vapour-share",
        derived: &[],
        answer: SHARE_FINE,
        compute: |given| {
            let mixture = Cycle::of(given)?.enthalpy_j_per_kg[3];
            let low = given.boiling_at_k(given.of("evaporating")?)?;
            let latent = low.vapour.enthalpy_j_per_kg - low.liquid.enthalpy_j_per_kg;
            Some((mixture - low.liquid.enthalpy_j_per_kg) / latent)
        },
        ..PLAIN
    },
];
