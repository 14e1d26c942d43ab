//! Pipes and hoses: flow between two volumes that have each their own pressure.

use crate::dual::Dual;

/// What a volume hands on at one of its ends.
#[derive(Clone, Copy, Debug)]
pub struct Flowing<const N: usize> {
    /// Pressure in the volume, Pa.
    pub pressure_pa: Dual<N>,
    /// Specific enthalpy of what leaves, J/kg.
    pub enthalpy_j_per_kg: Dual<N>,
    /// Density of what leaves, kg/m³.
    pub density_kg_per_m3: Dual<N>,
}

/// Mass and enthalpy carried along a passage.
#[derive(Clone, Copy, Debug)]
pub struct Stream<const N: usize> {
    /// Flow, positive in the direction of the loop, kg/s.
    pub mass_flow_kg_s: Dual<N>,
    /// Enthalpy carried, W.
    pub enthalpy_flow_w: Dual<N>,
}

/// Pressure difference below which flow becomes linear in it, Pa.
const LINEAR_BELOW_PA: f64 = 300.0;
/// Flow below which donor enthalpies mix, kg/s: what diffusion and bubbles exchange when nothing flows.
const MIXING_FLOW_KG_S: f64 = 2e-6;

/// Flow through a passage of an effective area (area times discharge coefficient), m².
///
/// ṁ = A √(2 ρ Δp), the orifice equation with the donor's density; it also
/// stands for pipe friction, which in the turbulent range has the same shape.
#[must_use]
pub fn passage<const N: usize>(area_m2: Dual<N>, from: &Flowing<N>, to: &Flowing<N>) -> Stream<N> {
    let difference = from.pressure_pa - to.pressure_pa;
    let density = if difference.value >= 0.0 {
        from.density_kg_per_m3
    } else {
        to.density_kg_per_m3
    };
    let mass_flow_kg_s = area_m2 * (density * 2.0).sqrt() * difference.signed_root(LINEAR_BELOW_PA);
    carried(mass_flow_kg_s, from, to)
}

/// Enthalpy that goes with a flow, from whichever end gives it.
#[must_use]
pub fn carried<const N: usize>(
    mass_flow_kg_s: Dual<N>,
    from: &Flowing<N>,
    to: &Flowing<N>,
) -> Stream<N> {
    let forward = mass_flow_kg_s.soft_positive(MIXING_FLOW_KG_S);
    let backward = forward - mass_flow_kg_s;
    Stream {
        mass_flow_kg_s,
        enthalpy_flow_w: forward * from.enthalpy_j_per_kg - backward * to.enthalpy_j_per_kg,
    }
}
