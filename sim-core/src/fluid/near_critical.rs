//! The fast table around the critical point: what lies between the two lines there.
//!
//! The equations of state used here are smooth functions of temperature and density,
//! through the critical point and into the two-phase dome, and in (p, h), unlike in
//! (p, T), so is every property: the determinant of (p, h) over (ρ, T) is −c_v c², and the
//! speed of sound c of one phase vanishes only far inside the dome. So one smooth surface
//! of a single phase is tabulated from line to line, through the top of the dome, and only
//! the dome is laid over it. There volume and entropy are straight lines in enthalpy, of
//! slopes (dT/dp)/T (Clapeyron) and 1/T, and their values at one enthalpy end at the
//! critical pressure far more gently than the saturated states, which end as square roots.
//!
//! At a pressure and enthalpy inside the dome the mixture has the larger volume of the
//! two, outside it the smaller: the straight line of its entropy touches that of one phase
//! on both sides of the dome, so it lies above by about K q² with
//! q = (h − h_liquid)(h_vapour − h), which falls with pressure, and v = −T ∂s/∂p. Taking
//! the larger one finds the dome and keeps density continuous across it.

use super::axis::{Place, PressureAxis};
use super::equation::Equation;
use super::phase_grid::PhaseGrid;
use super::saturation::Saturated;

/// Points of the dome's polynomials, from the seam to the last pressure for which
/// saturation is solved. Twelve are good to 1e-8 of a value for both refrigerants.
const POINTS: usize = 12;
/// The dome is looked for up to this multiple of the critical pressure, where it is long
/// closed: the published critical point is not exactly that of the equation.
const CLOSED: f64 = 1.001;

/// Value, derivative in pressure at constant enthalpy, derivative in enthalpy.
type Slopes = [f64; 3];

/// A state between the lines.
pub(super) struct Between {
    pub temperature: Slopes,
    pub volume: Slopes,
    pub entropy: f64,
}

/// The region between the two lines above the seam.
#[derive(Clone, Debug)]
pub(super) struct NearCritical {
    first_cell: usize,
    /// One phase, over quality as counted between the lines.
    surface: PhaseGrid,
    dome: Dome,
}

impl NearCritical {
    pub(super) fn new(equation: &Equation, axis: &PressureAxis, surface: PhaseGrid) -> Self {
        Self {
            first_cell: axis.seam(),
            surface,
            dome: Dome::new(equation, axis.seam_pa()),
        }
    }

    /// The state at a place above the seam and a quality from 0 to 1 with its derivatives;
    /// the boiling temperature and its derivative are those of the line.
    pub(super) fn at(
        &self,
        place: &Place,
        quality: Slopes,
        enthalpy: f64,
        boiling: [f64; 2],
    ) -> Between {
        let shifted = Place {
            cell: place.cell - self.first_cell,
            ..*place
        };
        let point = self.surface.at(&shifted, quality[0]);
        let one = Between {
            temperature: along(&point.temperature, quality),
            volume: along(&point.volume, quality),
            entropy: point.entropy,
        };
        if place.eased_pa < self.dome.closed_pa {
            let mixture = self.dome.at(place.eased_pa, enthalpy, boiling);
            if mixture.volume[0] > one.volume[0] {
                return mixture;
            }
        }
        one
    }
}

/// A grid's value and derivatives from those outward and in pressure.
#[inline]
pub(super) fn along(point: &[f64; 3], outward: Slopes) -> Slopes {
    [
        point[0],
        point[2] + point[1] * outward[1],
        point[1] * outward[2],
    ]
}

/// Liquid and vapour side by side near the critical point.
#[derive(Clone, Debug)]
struct Dome {
    closed_pa: f64,
    /// The enthalpy at which volume and entropy are kept.
    enthalpy: f64,
    volume: Polynomial,
    /// ∂v/∂h at constant pressure.
    volume_dh: Polynomial,
    entropy: Polynomial,
}

impl Dome {
    fn new(equation: &Equation, seam_pa: f64) -> Self {
        let last = equation.saturated(equation.saturation_temperature_max_k());
        let enthalpy = 0.5 * (last.liquid.enthalpy_j_per_kg + last.vapour.enthalpy_j_per_kg);
        let closed_pa = CLOSED * equation.coefficients().critical_pressure_pa;
        let pressures = Polynomial::pressures(seam_pa, last.pressure_pa, closed_pa);
        let found = pressures.map(|pressure_pa| {
            let guess_k = equation.guess_temperature_k(pressure_pa);
            equation.saturated_at_pressure(pressure_pa, guess_k)
        });
        let fit = |get: &dyn Fn(&Saturated) -> f64| {
            Polynomial::new(pressures, found.map(|s| get(&s)), closed_pa)
        };
        Self {
            closed_pa,
            enthalpy,
            volume: fit(&|s| {
                let from_liquid = enthalpy - s.liquid.enthalpy_j_per_kg;
                1.0 / s.liquid.density_kg_per_m3 + from_liquid * volume_dh(s)
            }),
            volume_dh: fit(&volume_dh),
            entropy: fit(&|s| {
                let from_liquid = enthalpy - s.liquid.enthalpy_j_per_kg;
                s.liquid.entropy_j_per_kg_k + from_liquid / s.temperature_k
            }),
        }
    }

    fn at(&self, pressure_pa: f64, enthalpy: f64, boiling: [f64; 2]) -> Between {
        let beyond = enthalpy - self.enthalpy;
        let [volume, volume_dp] = self.volume.at(pressure_pa);
        let [slope, slope_dp] = self.volume_dh.at(pressure_pa);
        Between {
            temperature: [boiling[0], boiling[1], 0.0],
            volume: [
                volume + beyond * slope,
                volume_dp + beyond * slope_dp,
                slope,
            ],
            entropy: self.entropy.at(pressure_pa)[0] + beyond / boiling[0],
        }
    }
}

/// ∂v/∂h of a mixture at constant pressure: (dT/dp)/T.
fn volume_dh(saturated: &Saturated) -> f64 {
    1.0 / (saturated.temperature_k * saturated.pressure_dt())
}

/// A polynomial in the root of the distance to the pressure where the dome is closed,
/// through a few points, in Newton's form.
#[derive(Clone, Debug)]
struct Polynomial {
    closed_pa: f64,
    roots: [f64; POINTS],
    coefficients: [f64; POINTS],
}

impl Polynomial {
    /// Pressures for [`Self::new`], the first and the last among them: Chebyshev's points
    /// in the root.
    fn pressures(first_pa: f64, last_pa: f64, closed_pa: f64) -> [f64; POINTS] {
        let (first, last) = (
            libm::sqrt(closed_pa - first_pa),
            libm::sqrt(closed_pa - last_pa),
        );
        core::array::from_fn(|index| {
            if index == 0 {
                return first_pa;
            }
            let angle = core::f64::consts::PI * index as f64 / (POINTS - 1) as f64;
            let root = first + (last - first) * 0.5 * (1.0 - libm::cos(angle));
            closed_pa - root * root
        })
    }

    fn new(pressures_pa: [f64; POINTS], values: [f64; POINTS], closed_pa: f64) -> Self {
        let roots = pressures_pa.map(|pressure_pa| libm::sqrt(closed_pa - pressure_pa));
        let mut coefficients = values;
        for order in 1..POINTS {
            for index in (order..POINTS).rev() {
                coefficients[index] = (coefficients[index] - coefficients[index - 1])
                    / (roots[index] - roots[index - order]);
            }
        }
        Self {
            closed_pa,
            roots,
            coefficients,
        }
    }

    /// Value and derivative at a pressure below that of closing.
    fn at(&self, pressure_pa: f64) -> [f64; 2] {
        let root = libm::sqrt(self.closed_pa - pressure_pa);
        let (mut value, mut slope) = (0.0, 0.0);
        for index in (0..POINTS).rev() {
            let from = root - self.roots[index];
            slope = slope * from + value;
            value = value * from + self.coefficients[index];
        }
        [value, -0.5 * slope / root]
    }
}

/// Nodes over which a line carried on above the seam levels off.
const LEVELLING: f64 = 3.0;

/// A line carried on above the seam, as value and slope per node, this many nodes on: a
/// parabola that levels off at a node, so that cubics between nodes follow it exactly.
/// The dome bends the other way and stays between the two lines. Where it is a parabola
/// its tangents at the seam would meet twice as far off as its top, some 2.75 nodes; the
/// lines end a little less than half as far apart as they were at the seam.
pub(super) fn carried(value: f64, slope: f64, nodes: f64) -> [f64; 2] {
    let on = nodes.min(LEVELLING);
    let left = 1.0 - on / LEVELLING;
    [value + slope * 0.5 * on * (1.0 + left), slope * left]
}

/// The boiling temperature and its slope above the seam: the line itself to the last
/// pressure for which it is solved, from there on straight in ln p, which it nearly is.
pub(super) fn boiling(equation: &Equation, pressure_pa: f64) -> [f64; 2] {
    let last = equation.saturated(equation.saturation_temperature_max_k());
    if pressure_pa < last.pressure_pa {
        let guess_k = equation.guess_temperature_k(pressure_pa);
        let saturated = equation.saturated_at_pressure(pressure_pa, guess_k);
        return [saturated.temperature_k, 1.0 / saturated.pressure_dt()];
    }
    let per_log = last.pressure_pa / last.pressure_dt();
    [
        last.temperature_k + per_log * libm::log(pressure_pa / last.pressure_pa),
        per_log / pressure_pa,
    ]
}
