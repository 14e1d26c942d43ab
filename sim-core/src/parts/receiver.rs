//! What leaves a volume that holds liquid and vapour: mixed, from the bottom, or from the top.
//!
//! A receiver hands on its bottom; an accumulator its top, with a little liquid and oil through the
//! bleed hole of its U-tube. With x the quality inside, x_f that of what flows out and
//! λ = (ρ − ρ_v) / (ρ_l − ρ_v) the share of the volume that is liquid, no units: in a tube
//! x_f = S x / (S x + 1 − x), S = (ρ_l/ρ_v)^(1/3) (Zivi 1964); at the bottom x_f falls from 1 to 0 while λ
//! rises from 0 to 0.06; at the top x_f rises from 0 to 1 while 1 − λ does, of an accumulator, which
//! froths, while it rises to 0.40; the bleed hole takes 3 % of the flow as liquid once λ is above 0.02.
//! Cubic steps in between, so that Newton sees no kink. Enthalpy, J/kg, and 1/ρ, m³/kg, are then those of
//! the two phases mixed at x_f. Levels are common practice, no source, or from memory.
//! Range: any state; outside 0 < x < 1 what is inside leaves as it is. Both phases have one temperature.

use crate::dual::Dual;
use crate::fluid::Saturation;

/// How an end of a volume draws from what is inside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Port {
    /// A tube: both phases move, the vapour faster.
    Mixed,
    /// A dip tube: liquid as long as there is some (receiver outlet).
    Bottom,
    /// Above the liquid: vapour as long as there is some (receiver inlet, for what flows back).
    Top,
    /// Above the liquid, with a bleed hole below it (accumulator outlet).
    Bleed,
}

/// Share of a receiver's volume below which its dip tube starts to draw vapour.
const DIP_TUBE_SHARE: f64 = 0.06;
/// Share of free volume below which the top port starts to draw liquid.
const TOP_PORT_SHARE: f64 = 0.06;
/// Share of free volume below which an accumulator's tube starts to take in liquid: what boils in it
/// froths with its oil, and the tube's mouth lies below the lid (from memory).
const FROTH_SHARE: f64 = 0.40;
/// Share of an accumulator's volume from which its bleed hole, near the bottom, is covered.
const BLEED_HOLE_SHARE: f64 = 0.02;
/// Liquid that an accumulator's bleed hole lets through, as a share of the flow (common practice, no
/// source: oil has to come back).
const BLEED_SHARE: f64 = 0.03;

/// Enthalpy and density of what flows out through a port, over (pressure, enthalpy) of the volume.
///
/// In a tube the vapour moves faster than the liquid by the slip ratio
/// (ρl/ρv)^(1/3) (Zivi 1964): the volume keeps more liquid than it passes.
#[must_use]
pub fn leaving(
    port: Port,
    saturation: &Saturation,
    quality: Dual<2>,
    density_kg_per_m3: Dual<2>,
    enthalpy_j_per_kg: Dual<2>,
) -> (Dual<2>, Dual<2>) {
    if quality.value <= 0.0 || quality.value >= 1.0 {
        return (enthalpy_j_per_kg, density_kg_per_m3);
    }
    let of_pressure = |value: f64, dp: f64| Dual {
        value,
        slope: [dp, 0.0],
    };
    let liquid_enthalpy = of_pressure(
        saturation.liquid_enthalpy_j_per_kg,
        saturation.liquid_enthalpy_dp,
    );
    let vapour_enthalpy = of_pressure(
        saturation.vapour_enthalpy_j_per_kg,
        saturation.vapour_enthalpy_dp,
    );
    let liquid_density = of_pressure(
        saturation.liquid_density_kg_per_m3,
        saturation.liquid_density_dp,
    );
    let vapour_density = of_pressure(
        saturation.vapour_density_kg_per_m3,
        saturation.vapour_density_dp,
    );
    let flowing_quality = match port {
        Port::Mixed => {
            let slip = (liquid_density / vapour_density).cube_root();
            let vapour = slip * quality;
            vapour / (vapour + (Dual::constant(1.0) - quality))
        }
        Port::Bottom => {
            let level = liquid_share(density_kg_per_m3, liquid_density, vapour_density);
            Dual::constant(1.0) - (level * (1.0 / DIP_TUBE_SHARE)).smooth_step()
        }
        Port::Top => {
            let free = Dual::constant(1.0)
                - liquid_share(density_kg_per_m3, liquid_density, vapour_density);
            (free * (1.0 / TOP_PORT_SHARE)).smooth_step()
        }
        Port::Bleed => {
            let level = liquid_share(density_kg_per_m3, liquid_density, vapour_density);
            let free = Dual::constant(1.0) - level;
            let bled = (level * (1.0 / BLEED_HOLE_SHARE)).smooth_step() * BLEED_SHARE;
            (free * (1.0 / FROTH_SHARE)).smooth_step() * (Dual::constant(1.0) - bled)
        }
    };
    let enthalpy = liquid_enthalpy.mix(vapour_enthalpy, flowing_quality);
    let volume = (Dual::constant(1.0) / liquid_density)
        .mix(Dual::constant(1.0) / vapour_density, flowing_quality);
    (enthalpy, Dual::constant(1.0) / volume)
}

/// Share of the volume that liquid fills.
fn liquid_share(density: Dual<2>, liquid: Dual<2>, vapour: Dual<2>) -> Dual<2> {
    (density - vapour) / (liquid - vapour)
}
