//! The healthy spread of cars of one model: no two leave the works alike.

use crate::parts::displacement::Capacity;
use crate::parts::expansion::Expansion;
use crate::random::Draws;
use crate::spec::CarSpec;

/// Number of the stream of draws that makes an individual car.
const STREAM: u64 = 1;

/// One healthy car of a model: every tolerance drawn from the seed.
///
/// Tolerances are standard deviations, cut at two of them; common practice, no
/// source. Charge stays within ±15 g of a common fill, which published
/// equipment standards take as the tolerance of a recharge (SAE J2788).
///
/// ```
/// use sim_core::spec::CarSpec;
/// use sim_core::spread::individual;
/// let (one, other) = (individual(&CarSpec::example(), 1), individual(&CarSpec::example(), 2));
/// assert_ne!(one, other);
/// assert_eq!(one, individual(&CarSpec::example(), 1));
/// ```
#[must_use]
pub fn individual(model: &CarSpec, seed: u64) -> CarSpec {
    let mut draws = Draws::new(seed, STREAM);
    let mut spec = model.clone();
    let mut vary = |value: &mut f64, deviation: f64| {
        *value *= 1.0 + deviation * draws.within_tolerance();
    };
    vary(&mut spec.charge_share, 0.015);
    vary(&mut spec.compressor.volumetric_base, 0.012);
    vary(&mut spec.compressor.isentropic_base, 0.012);
    vary(&mut spec.compressor.valve_leak_area_m2, 0.3);
    if let Some(clutch) = &mut spec.clutch {
        vary(&mut clutch.gap_m, 0.04);
        vary(&mut clutch.torque_n_m, 0.04);
    }
    vary(&mut spec.circuit.coil_ohm, 0.02);
    vary(&mut spec.circuit.connector_ohm, 0.3);
    vary(&mut spec.condenser.air_conductance_w_per_k, 0.02);
    vary(&mut spec.condenser.passage_area_m2, 0.02);
    vary(&mut spec.fan.low_velocity_m_s, 0.02);
    vary(&mut spec.fan.high_velocity_m_s, 0.02);
    match &mut spec.expansion {
        Expansion::Valve(valve) => {
            vary(&mut valve.spring_pressure_pa, 0.05);
            vary(&mut valve.full_area_m2, 0.03);
        }
        Expansion::Orifice(tube) => vary(&mut tube.area_m2, 0.02),
    }
    vary(&mut spec.evaporator.air_conductance_w_per_k, 0.02);
    for flow in &mut spec.air_box.blower_flow_m3_s {
        vary(flow, 0.015);
    }
    vary(&mut spec.controls.high_cut_out_pa.trip, 0.01);
    if let Some(switch) = &mut spec.controls.low_cut_out_pa {
        vary(&mut switch.trip, 0.02);
    }
    if let Some(switch) = &mut spec.controls.cycling_pa {
        vary(&mut switch.trip, 0.02);
    }
    if let Capacity::Variable(valve) = &mut spec.compressor.capacity {
        vary(&mut valve.set_pa, 0.01);
    }
    spec.controls.evaporator_sensor_bias_k += 0.25 * draws.within_tolerance();
    spec.controls.transducer_bias_pa += 8e3 * draws.within_tolerance();
    spec
}
