//! Charts a question can show: data of the model, to be drawn elsewhere.

use sim_core::air::{STANDARD_ATMOSPHERE_PA, saturated_humidity_ratio};

use super::{Cycle, Given, Numeric, Refrigerant};

/// A kind of chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChartKind {
    /// Gauge pressure over the temperature of saturation.
    Saturation,
    /// Pressure and enthalpy, with a cycle in it.
    Cycle,
    /// Water that air can hold over its temperature.
    HumidAir,
}

impl ChartKind {
    /// Every kind.
    pub const ALL: [Self; 3] = [Self::Saturation, Self::Cycle, Self::HumidAir];

    /// Its name in files.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Saturation => "saturation",
            Self::Cycle => "cycle",
            Self::HumidAir => "humid-air",
        }
    }

    /// The kind of a name.
    #[must_use]
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }

    /// Whether a chart of this kind can be drawn for a formula.
    pub(super) fn shows(self, numeric: &Numeric) -> bool {
        let is_cycle = numeric.ranges.contains_key("evaporating");
        match self {
            Self::Saturation => numeric.formula.of_refrigerant && !is_cycle,
            Self::Cycle => is_cycle,
            Self::HumidAir => !numeric.formula.of_refrigerant,
        }
    }
}

/// A chart's data, in SI.
#[derive(Clone, Debug, PartialEq)]
pub enum Chart {
    /// See [`ChartKind::Saturation`].
    Saturation {
        /// Of what.
        refrigerant: Refrigerant,
        /// Temperature, K, and gauge pressure at sea level, Pa.
        line: Vec<(f64, f64)>,
    },
    /// See [`ChartKind::Cycle`].
    Cycle {
        /// Of what.
        refrigerant: Refrigerant,
        /// Its corners.
        cycle: Cycle,
        /// Which letter (0 for A) stands at which corner, in the order of the flow.
        letters: [usize; 4],
        /// Pressure, Pa, with the enthalpies of liquid and vapour, J/kg.
        dome: Vec<(f64, f64, f64)>,
    },
    /// See [`ChartKind::HumidAir`].
    HumidAir {
        /// Temperature, K, and water in saturated air at sea level, kg a kg of dry air.
        line: Vec<(f64, f64)>,
    },
}

/// Celsius from and to of each chart's line, and between its points.
const SATURATION: (f64, f64, f64) = (-10.0, 75.0, 2.5);
const HUMID_AIR: (f64, f64, f64) = (0.0, 40.0, 2.0);
const DOME: (f64, f64, f64) = (-20.0, 85.0, 5.0);

fn kelvins((from, to, step): (f64, f64, f64)) -> impl Iterator<Item = f64> {
    let count = ((to - from) / step).round() as usize;
    (0..=count).map(move |index| 273.15 + from + index as f64 * step)
}

impl Chart {
    /// The chart for what was dealt; none where a state cannot be.
    pub(super) fn of(kind: ChartKind, given: &Given, letters: [usize; 4]) -> Option<Self> {
        match kind {
            ChartKind::Saturation => {
                let refrigerant = given.refrigerant?;
                let equation = refrigerant.equation();
                let gauge = |k: f64| {
                    let boiling = equation.saturation_at_temperature(k).ok()?;
                    Some((k, boiling.pressure_pa - STANDARD_ATMOSPHERE_PA))
                };
                let line = kelvins(SATURATION).map(gauge).collect::<Option<_>>()?;
                Some(Self::Saturation { refrigerant, line })
            }
            ChartKind::Cycle => {
                let refrigerant = given.refrigerant?;
                let equation = refrigerant.equation();
                let both = |k: f64| {
                    let one = equation.saturation_at_temperature(k).ok()?;
                    let (liquid, vapour) = (one.liquid, one.vapour);
                    Some((
                        one.pressure_pa,
                        liquid.enthalpy_j_per_kg,
                        vapour.enthalpy_j_per_kg,
                    ))
                };
                Some(Self::Cycle {
                    refrigerant,
                    cycle: Cycle::of(given)?,
                    letters,
                    dome: kelvins(DOME).map(both).collect::<Option<_>>()?,
                })
            }
            ChartKind::HumidAir => Some(Self::HumidAir {
                line: kelvins(HUMID_AIR)
                    .map(|k| (k, saturated_humidity_ratio(k, STANDARD_ATMOSPHERE_PA)))
                    .collect(),
            }),
        }
    }
}
