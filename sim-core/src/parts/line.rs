//! Pipes and hoses: flow between two volumes that have each their own pressure.
//!
//! ṁ = A √(2 ρ Δp), kg/s, A an effective area in m² (area times discharge coefficient), ρ the donor's density
//! in kg/m³, Δp in Pa: the orifice equation, which has the shape of turbulent pipe friction too (textbook).
//! Below some 300 Pa it is made linear in Δp, so that Newton has a finite slope where flow turns round.
//! Gas through a gap, which may be sonic, has an expansion factor besides ([`gas_gap`], IEC 60534-2-1 from
//! memory). Range: any state and direction; areas of 1e-9 m² (a leak) to 1e-4 m². Laminar friction,
//! inertia and height are left out. A passage does not choke; only [`gas_gap`] and the orifice tube do.

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

impl<const N: usize> Stream<N> {
    /// The same stream counted the other way.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self {
            mass_flow_kg_s: -self.mass_flow_kg_s,
            enthalpy_flow_w: -self.enthalpy_flow_w,
        }
    }
}

/// Pressure difference below which flow becomes linear in it, Pa.
const LINEAR_BELOW_PA: f64 = 300.0;
/// Flow below which donor enthalpies mix, kg/s: what diffusion and bubbles exchange when nothing flows.
const MIXING_FLOW_KG_S: f64 = 2e-6;

/// Flow through a passage of an effective area (area times discharge coefficient), m².
///
/// ṁ = A √(2 ρ Δp), the orifice equation with the donor's density, where Δp is small with a mix of
/// both ends'; it also stands for pipe friction, which in the turbulent range has the same shape.
#[must_use]
pub fn passage<const N: usize>(area_m2: Dual<N>, from: &Flowing<N>, to: &Flowing<N>) -> Stream<N> {
    let difference = from.pressure_pa - to.pressure_pa;
    // Where flow turns round neither end gives alone: a jump of the density by tens of times, from
    // gas to liquid, would throw Newton's corrections to and fro.
    let forward = difference.soft_share(LINEAR_BELOW_PA);
    let density = to.density_kg_per_m3.mix(from.density_kg_per_m3, forward);
    let mass_flow_kg_s = area_m2 * (density * 2.0).sqrt() * difference.signed_root(LINEAR_BELOW_PA);
    carried(mass_flow_kg_s, from, to)
}

/// Share of the upstream pressure beyond which gas through a gap flows no faster: sonic.
///
/// Terminal pressure-drop ratio of an orifice, 0.72, times γ/1.4 with γ = 1.1 for the refrigerants
/// of cars (IEC 60534-2-1; both values from memory).
const SONIC_DROP: f64 = 0.57;

/// Gas through a gap that may be sonic, kg/s, positive from `from` to `to`.
///
/// ṁ = A Y √(2 ρ Δp), with the expansion factor Y = 1 − x / (3 x_sonic) falling to 2/3 and Δp held
/// at x_sonic of the upstream pressure beyond it (IEC 60534-2-1, from memory).
#[must_use]
pub fn gas_gap<const N: usize>(area_m2: f64, from: &Flowing<N>, to: &Flowing<N>) -> Dual<N> {
    let difference = from.pressure_pa - to.pressure_pa;
    let (upstream, sign) = if difference.value >= 0.0 {
        (from, 1.0)
    } else {
        (to, -1.0)
    };
    let most = upstream.pressure_pa * SONIC_DROP;
    let drop = difference * sign;
    let drop = if drop.value > most.value { most } else { drop };
    let expansion = Dual::constant(1.0) - drop / (most * 3.0);
    (upstream.density_kg_per_m3 * 2.0).sqrt()
        * drop.signed_root(LINEAR_BELOW_PA)
        * expansion
        * (area_m2 * sign)
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
