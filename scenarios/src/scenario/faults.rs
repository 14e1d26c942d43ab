//! What the faults of a case ask of the car and of each other.
//!
//! It follows from what each does to the car's parts; no list says which faults go together.

use sim_core::parts::displacement::Capacity;
use sim_core::spec::CarSpec;

use super::WrittenFault;
use crate::fault::Catalogue;
use crate::{Mode, Problem, Vehicle};

/// Checks faults against the car they are in, as it left the works for this case.
pub(super) fn check(
    faults: &[WrittenFault],
    vehicle: &Vehicle,
    condenser: Option<&str>,
    catalogue: &Catalogue,
    problems: &mut Vec<Problem>,
) {
    let built = condenser.and_then(|id| vehicle.with_condenser(id));
    let spec = built.as_ref().unwrap_or(&vehicle.spec);
    let mut before: Vec<(&Mode, f64)> = Vec::new();
    for fault in faults {
        let Some(mode) = catalogue.get(fault.mode.get_ref()) else {
            continue;
        };
        // At its worst, where it has a range.
        let severity = fault
            .severity
            .ends()
            .map(|(value, _)| value)
            .fold(0.0, f64::max);
        let id = &mode.id;
        if !mode.concerns(spec) {
            let message = format!("`{}` has no part that `{id}` is a fault of", vehicle.id);
            let label = format!("`coldtrail faults {id}` lists the vehicles that have one");
            problems.push(Problem::new(message).at(fault.mode.span()).label(label));
            continue;
        }
        let against = before
            .iter()
            .find(|other| contradict(**other, (mode, severity), spec));
        if let Some((other, _)) = against {
            let message = format!("`{id}` contradicts `{}`", other.id);
            let label = "one part cannot be both at once";
            problems.push(Problem::new(message).at(fault.mode.span()).label(label));
        }
        before.push((mode, severity));
    }
}

/// Whether two faults want a part to be two things at once: one knob turned both ways from its
/// healthy value, or a part stuck in two places.
fn contradict(one: (&Mode, f64), other: (&Mode, f64), spec: &CarSpec) -> bool {
    let both_ways = one.0.fault.effects.iter().any(|effect| {
        let way = effect.full - effect.knob.info().healthy;
        other.0.fault.effects.iter().any(|against| {
            let back = against.full - against.knob.info().healthy;
            effect.knob == against.knob && way * back < 0.0
        })
    });
    if both_ways {
        return true;
    }
    let stuck_twice = |faults: &[(&Mode, f64)]| {
        let mut broken = spec.clone();
        for (mode, severity) in faults {
            mode.fault.apply(&mut broken, *severity);
        }
        limits_cross(&mut broken)
    };
    stuck_twice(&[one, other]) && !stuck_twice(&[one]) && !stuck_twice(&[other])
}

/// Whether the least a part may do has come to be more than the most.
fn limits_cross(spec: &mut CarSpec) -> bool {
    let valve = spec.expansion.valve_mut();
    let lift = valve.is_some_and(|valve| valve.least_lift > valve.greatest_lift);
    let stroke = match &spec.compressor.capacity {
        Capacity::Variable(valve) => valve.least_stroke > valve.greatest_stroke,
        _ => false,
    };
    lift || stroke || spec.air_box.blend_least > spec.air_box.blend_greatest
}
