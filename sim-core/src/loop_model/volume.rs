//! One volume during an iteration of the step: what it holds, hands on and exchanges with its wall.

use crate::dual::Dual;
use crate::fluid::Fluid;
use crate::loop_model::layout::Volume;
use crate::parts::evaporator::WetFace;
use crate::parts::heat_transfer::RegimeConductance;
use crate::parts::line::Flowing;
use crate::parts::receiver::leaving;

/// What a volume's wall meets on its outer side during a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outside {
    /// A conductance to air of a temperature.
    Dry {
        /// Conductance, W/K.
        conductance_w_per_k: f64,
        /// Air temperature, K.
        air_k: f64,
    },
    /// A face of the evaporator.
    Wet(WetFace),
}

/// A volume evaluated at a trial pressure and enthalpy, with slopes over both.
#[derive(Clone, Copy, Debug)]
pub struct Evaluated {
    /// Mass held, kg.
    pub mass_kg: Dual<2>,
    /// Internal energy held, J.
    pub energy_j: Dual<2>,
    /// Refrigerant temperature, K.
    pub temperature_k: Dual<2>,
    /// Mass fraction of vapour, below 0 in subcooled liquid and above 1 in superheated gas.
    pub quality: Dual<2>,
    /// What would leave backwards.
    pub at_inlet: Flowing<2>,
    /// What would leave forwards.
    pub at_outlet: Flowing<2>,
    /// Heat from wall to refrigerant, W.
    pub heat_w: Dual<2>,
    /// Wall temperature at the end of the step, K.
    pub wall_k: Dual<2>,
}

/// Evaluates a volume.
#[must_use]
pub fn evaluate(
    fluid: &Fluid,
    volume: &Volume,
    outside: &Outside,
    trial: Trial,
    step_s: f64,
) -> Evaluated {
    let saturation = fluid.saturation(trial.pressure_pa);
    let fast = fluid.ph_with(&saturation, trial.enthalpy_j_per_kg);
    let pressure = Dual::<2>::variable(trial.pressure_pa, 0);
    let enthalpy = Dual::<2>::variable(trial.enthalpy_j_per_kg, 1);
    let density = Dual {
        value: fast.density_kg_per_m3,
        slope: [fast.density_dp, fast.density_dh],
    };
    let temperature = Dual {
        value: fast.temperature_k,
        slope: [fast.temperature_dp, fast.temperature_dh],
    };
    let latent = saturation.vapour_enthalpy_j_per_kg - saturation.liquid_enthalpy_j_per_kg;
    let latent_dp = saturation.vapour_enthalpy_dp - saturation.liquid_enthalpy_dp;
    let quality = Dual {
        value: fast.quality,
        slope: [
            -(saturation.liquid_enthalpy_dp + fast.quality * latent_dp) / latent,
            1.0 / latent,
        ],
    };
    let mass_kg = density * volume.volume_m3;
    let energy_j = (density * enthalpy - pressure) * volume.volume_m3;
    let with_air = trial.air.with(pressure);
    let port = |port| {
        let (enthalpy_j_per_kg, density_kg_per_m3) =
            leaving(port, &saturation, quality, density, enthalpy);
        Flowing {
            pressure_pa: with_air,
            enthalpy_j_per_kg,
            density_kg_per_m3,
        }
    };
    let at_inlet = port(volume.inlet);
    let at_outlet = if volume.inlet == volume.outlet {
        at_inlet
    } else {
        port(volume.outlet)
    };
    let conductance = match outside {
        Outside::Dry { .. } => trial.refrigerant_side.condensing(quality),
        Outside::Wet(_) => trial.refrigerant_side.boiling(quality),
    };
    let inertia = volume.heat_capacity_j_per_k / step_s;
    let wall_k = match outside {
        Outside::Dry {
            conductance_w_per_k,
            air_k,
        } => {
            (conductance * temperature
                + (inertia * trial.wall_before_k + conductance_w_per_k * air_k))
                / (conductance + (inertia + conductance_w_per_k))
        }
        Outside::Wet(face) => wet_wall(face, conductance, temperature, inertia, trial),
    };
    Evaluated {
        mass_kg,
        energy_j,
        temperature_k: temperature,
        quality,
        at_inlet,
        at_outlet,
        heat_w: conductance * (wall_k - temperature),
        wall_k,
    }
}

/// Air in a volume during a step, in which it is not moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeldAir {
    /// Pressure that stays, Pa.
    stays_pa: f64,
    /// Pressure for each Pa of the refrigerant.
    follows: f64,
}

impl HeldAir {
    /// Air of a pressure beside refrigerant of a pressure, at the start of the step.
    ///
    /// Where there is more air than refrigerant it is compressed and let down with it: were it to
    /// stay, a trace of refrigerant would rush to and fro to even out what only the air can.
    #[must_use]
    pub fn beside(air_pa: f64, refrigerant_pa: f64) -> Self {
        if air_pa > refrigerant_pa {
            Self {
                stays_pa: 0.0,
                follows: air_pa / refrigerant_pa,
            }
        } else {
            Self {
                stays_pa: air_pa,
                follows: 0.0,
            }
        }
    }

    /// Both together, Pa.
    fn with<const N: usize>(self, refrigerant_pa: Dual<N>) -> Dual<N> {
        refrigerant_pa * (1.0 + self.follows) + self.stays_pa
    }
}

/// Where a volume is tried.
#[derive(Clone, Copy, Debug)]
pub struct Trial {
    /// Pressure of the refrigerant alone, Pa.
    pub pressure_pa: f64,
    /// Specific enthalpy, J/kg.
    pub enthalpy_j_per_kg: f64,
    /// Air in it during the step.
    pub air: HeldAir,
    /// Wall temperature at the start of the step, K.
    pub wall_before_k: f64,
    /// Wall temperature guessed for the end of the step, K.
    pub wall_guess_k: f64,
    /// Conductance from refrigerant to wall, at the flow of the step before.
    pub refrigerant_side: RegimeConductance,
}

/// Correction of a wet wall after which its balance, nearly straight, is met to some millikelvins, K.
const WALL_SETTLED_K: f64 = 0.3;

/// Wall temperature under humid air: Newton on the wall's own balance.
///
/// Two corrections at most, from the wall of the outer iteration before: both
/// settle together, and the slopes follow from the balance, so the outer Newton
/// step stays exact.
fn wet_wall(
    face: &WetFace,
    conductance: Dual<2>,
    temperature: Dual<2>,
    inertia: f64,
    trial: Trial,
) -> Dual<2> {
    let mut wall_k = trial.wall_guess_k;
    let mut diagonal = inertia + conductance.value;
    for _ in 0..2 {
        let exchange = face.exchange(wall_k);
        diagonal = inertia + conductance.value - exchange.heat_slope_w_per_k;
        let miss = inertia * (wall_k - trial.wall_before_k)
            + conductance.value * (wall_k - temperature.value)
            - exchange.heat_w;
        let change = (miss / diagonal).clamp(-15.0, 15.0);
        wall_k -= change;
        if change.abs() < WALL_SETTLED_K {
            break;
        }
    }
    let pull =
        (temperature - wall_k) * conductance.value + conductance * (temperature.value - wall_k);
    // d(wall) = (dG (T − wall) + G dT) / diagonal; the products above hold exactly those slopes.
    Dual {
        value: wall_k,
        slope: pull.slope.map(|slope| slope / diagonal),
    }
}
