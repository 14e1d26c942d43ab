//! What flows between the volumes, and out of them.

use crate::dual::Dual;
use crate::fluid::Fluid;
use crate::loop_model::gas::Slack;
use crate::loop_model::layout::{Layout, Passage};
use crate::loop_model::volume::Outside;
use crate::parts::compressor::Compressor;
use crate::parts::displacement::Stroke;
use crate::parts::expansion::{Expansion, Open};
use crate::parts::line::{Flowing, Stream, carried, gas_gap, passage};
use crate::parts::relief_valve::ReliefValve;

/// What drives the loop during a step, besides its own state.
#[derive(Clone, Debug)]
pub struct Drive<'a> {
    /// Refrigerant.
    pub fluid: &'a Fluid,
    /// Refrigerant that a valve's sensing element holds.
    pub sensing_charge: &'a Fluid,
    /// The ring.
    pub layout: &'a Layout,
    /// Compressor.
    pub compressor: &'a Compressor,
    /// The compressor's plate.
    pub stroke: Stroke,
    /// Expansion device.
    pub expansion: &'a Expansion,
    /// What ice and debris leave of it.
    pub expansion_open: Open,
    /// Air around a valve's sensing element, K.
    pub bay_k: f64,
    /// Compressor speed, turns per second.
    pub compressor_rev_s: f64,
    /// What each wall meets outside, in the order of the layout.
    pub outside: &'a [Outside],
    /// Pressure of the air around, Pa.
    pub ambient_pa: f64,
    /// Relief valve on the compressor head; none where it counts as shut.
    pub relief: Option<ReliefValve>,
    /// Pressure a recovery machine holds at its inlet, Pa absolute.
    pub machine_pa: f64,
    /// What is drawn goes into the air: a vacuum pump on a loop that holds pressure.
    pub machine_vents: bool,
    /// A cylinder open to a service port.
    pub inflow: Option<Inflow>,
}

/// Refrigerant from a cylinder, open to a volume of the loop through a hose with a check valve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inflow {
    /// The volume.
    pub index: usize,
    /// Pressure in the cylinder, Pa.
    pub pressure_pa: f64,
    /// Enthalpy of what leaves it, J/kg.
    pub enthalpy_j_per_kg: f64,
    /// Its density, kg/m³.
    pub density_kg_per_m3: f64,
    /// Effective area of hose and valve, m².
    pub area_m2: f64,
}

impl Inflow {
    /// Flow into a pressure, kg/s: ṁ = A √(2 ρ Δp).
    #[must_use]
    pub fn free_kg_s(&self, inside_pa: f64) -> f64 {
        let difference = (self.pressure_pa - inside_pa).max(0.0);
        self.area_m2 * (2.0 * self.density_kg_per_m3 * difference).sqrt()
    }

    /// The same into a volume during an iteration, with its slopes.
    pub(super) fn into(&self, inside: &Flowing<2>) -> Stream<2> {
        if inside.pressure_pa.value >= self.pressure_pa {
            return no_stream();
        }
        let density_kg_per_m3 = Dual::constant(self.density_kg_per_m3);
        let enthalpy_j_per_kg = Dual::constant(self.enthalpy_j_per_kg);
        let cylinder = Flowing {
            pressure_pa: Dual::constant(self.pressure_pa),
            enthalpy_j_per_kg,
            density_kg_per_m3,
        };
        let inside = Flowing {
            density_kg_per_m3,
            ..*inside
        };
        let mass_flow_kg_s =
            passage(Dual::constant(self.area_m2), &cylinder, &inside).mass_flow_kg_s;
        Stream {
            mass_flow_kg_s,
            enthalpy_flow_w: mass_flow_kg_s * self.enthalpy_j_per_kg,
        }
    }
}

/// A stream of the ring, with its slopes over the volume before, the volume after and the valve's lift.
#[derive(Clone, Copy, Debug)]
pub(super) struct RingStream {
    /// What leaves one volume and enters the next.
    pub flow: Stream<5>,
    /// Work put in on the way, which only the next volume sees, W.
    pub work_w: Dual<5>,
    /// What a compressor pumps, kg/s, including what blows back; 0 elsewhere.
    pub pumped_kg_s: f64,
}

impl RingStream {
    /// Nothing flows.
    pub fn none() -> Self {
        Self {
            flow: no_stream(),
            work_w: Dual::constant(0.0),
            pumped_kg_s: 0.0,
        }
    }

    /// What flows through a passage, from what both ends hand on.
    pub fn through(
        kind: Passage,
        drive: &Drive<'_>,
        from: &Flowing<2>,
        to: &Flowing<2>,
        lift: f64,
        slack: Slack,
    ) -> Self {
        match kind {
            Passage::Pipe(area_m2) => {
                // No slope over the lift: a fifth of the work less, where most of the streams are.
                let flow = passage::<4>(Dual::constant(area_m2), &wide(from, 0), &wide(to, 2));
                Self {
                    flow: beside_lift(flow),
                    work_w: Dual::constant(0.0),
                    pumped_kg_s: 0.0,
                }
            }
            Passage::Expansion => {
                let (near, far) = (wide(from, 0), wide(to, 2));
                let lift = Dual::variable(lift, 4);
                let open = drive.expansion_open;
                let through =
                    |near: &_, far: &_| drive.expansion.flow(drive.fluid, lift, open, near, far);
                let flow = slack.flow(&near, &far, through);
                Self {
                    flow,
                    work_w: Dual::constant(0.0),
                    pumped_kg_s: 0.0,
                }
            }
            Passage::Compressor => compressed(drive, &wide(from, 0), &wide(to, 2)),
        }
    }
}

/// Gas through the compressor, less what blows back past its discharge valves.
///
/// What blows back enters the cylinder, not the suction pipe: it costs flow, and
/// its compression is paid for again, which is what makes a worn set run hot.
fn compressed(drive: &Drive<'_>, suction: &Flowing<4>, discharge: &Flowing<4>) -> RingStream {
    let back = gas_gap(drive.compressor.valve_leak_area_m2, discharge, suction);
    let mut pumped_kg_s = 0.0;
    let mut net = -back;
    let mut work_w: Dual<4> = Dual::constant(0.0);
    if drive.compressor_rev_s > 0.0 {
        let delivery = drive.compressor.delivery(
            drive.fluid,
            drive.compressor_rev_s,
            &drive.stroke,
            suction,
            discharge.pressure_pa,
        );
        net = net + delivery.mass_flow_kg_s;
        pumped_kg_s = delivery.mass_flow_kg_s.value;
        work_w = delivery.mass_flow_kg_s * delivery.enthalpy_rise_j_per_kg;
    }
    RingStream {
        flow: beside_lift(carried(net, suction, discharge)),
        work_w: work_w.embed(0),
        pumped_kg_s,
    }
}

/// Refrigerant leaving for the air, or for a machine that holds a pressure of its own. A machine has a
/// check valve; what comes into a loop in vacuum is air, see [`super::gas`].
pub(super) fn leak(area_m2: Dual<2>, inside: &Flowing<2>, outside_pa: f64) -> Stream<2> {
    if area_m2.value <= 0.0 || inside.pressure_pa.value <= outside_pa {
        return no_stream();
    }
    let outside = Flowing {
        pressure_pa: Dual::constant(outside_pa),
        ..*inside
    };
    let mass_flow_kg_s = passage(area_m2, inside, &outside).mass_flow_kg_s;
    Stream {
        mass_flow_kg_s,
        enthalpy_flow_w: mass_flow_kg_s * inside.enthalpy_j_per_kg,
    }
}

/// Nothing flows.
pub(super) fn no_stream<const N: usize>() -> Stream<N> {
    Stream {
        mass_flow_kg_s: Dual::constant(0.0),
        enthalpy_flow_w: Dual::constant(0.0),
    }
}

/// A stream that the valve's lift has no part in.
fn beside_lift(flow: Stream<4>) -> Stream<5> {
    Stream {
        mass_flow_kg_s: flow.mass_flow_kg_s.embed(0),
        enthalpy_flow_w: flow.enthalpy_flow_w.embed(0),
    }
}

fn wide<const N: usize>(port: &Flowing<2>, offset: usize) -> Flowing<N> {
    Flowing {
        pressure_pa: port.pressure_pa.embed(offset),
        enthalpy_j_per_kg: port.enthalpy_j_per_kg.embed(offset),
        density_kg_per_m3: port.density_kg_per_m3.embed(offset),
    }
}
