//! What is noticed of the air: in front of the condenser, at the drain, at vents and heater.

use super::{Finding, finding};
use crate::car::Car;

/// Share of a face, of fins or of a shroud from which the eye is caught (common practice, no source).
const CATCHES_THE_EYE: f64 = 0.15;
/// A vent that gives less than this share of the other side's air feels weak (common practice, no source).
const FEELS_WEAK: f64 = 0.6;

/// The condenser from in front; nothing where fins and seals are as they should be.
pub(super) fn look_at_face(car: &Car) -> Option<Finding> {
    let condenser = &car.spec().condenser;
    if condenser.air_blockage > 0.55 {
        Some(finding(
            "matted",
            "most of the face is matted with leaves and fluff",
        ))
    } else if condenser.air_blockage > CATCHES_THE_EYE {
        Some(finding("dirty", "dirt and insects over part of the face"))
    } else if condenser.fins_bent > CATCHES_THE_EYE {
        Some(finding("bent", "fins lie flat over part of the face"))
    } else if condenser.fin_loss > CATCHES_THE_EYE {
        Some(finding(
            "crumbling",
            "fins crumble and hang loose in the tubes",
        ))
    } else if car.spec().fan.seals_missing > CATCHES_THE_EYE {
        Some(finding(
            "unsealed",
            "face clean, but the foam around condenser and radiator is gone",
        ))
    } else {
        None
    }
}

pub(super) fn look_at_fan(car: &Car) -> Finding {
    let fan = &car.spec().fan;
    let speed = fan.blade_velocity_m_s(car.state().fan_stage);
    let turning = car.setup().engine_rev_s > 0.0 && speed >= 0.3;
    let fast = speed > 0.5 * (fan.low_velocity_m_s + fan.high_velocity_m_s);
    if fan.shroud_missing > CATCHES_THE_EYE {
        return if turning {
            finding("bare", "the fan runs without its shroud")
        } else {
            finding(
                "bare-standing",
                "the shroud is missing; the fan stands still",
            )
        };
    }
    match (turning, fast) {
        (false, _) => finding("standing", "the fan stands still"),
        (true, _) if fan.reversed > 0.5 => finding(
            "forward",
            "the fan runs, and blows its air out at the front",
        ),
        (true, true) => finding("fast", "the fan runs fast"),
        (true, false) => finding("slow", "the fan runs slowly"),
    }
}

pub(super) fn look_at_drain(car: &Car) -> Finding {
    let (state, evaporator) = (car.state(), &car.spec().evaporator);
    let wet: f64 = state.wetness.iter().map(|wet| wet.water_kg).sum();
    let frost: f64 = state.wetness.iter().map(|wet| wet.frost_kg).sum();
    if frost > 0.25 * evaporator.frost_to_block_kg {
        finding(
            "iced",
            "hardly a drop, and a cold mist from the vents: ice on the core",
        )
    } else if state.sump.spilled_kg > 0.02 {
        finding("spilled", "no drop at the drain, and the carpet is wet")
    } else if wet > 0.9 * evaporator.water_held_kg && evaporator.drain_blockage < 0.7 {
        finding("dripping", "water drips from the drain")
    } else {
        finding("dry", "no water at the drain")
    }
}

pub(super) fn listen_to_blower(car: &Car) -> Finding {
    let (air_box, step) = (&car.spec().air_box, car.setup().blower_step);
    let asked = air_box.blower_flow_m3_s.get(step).copied().unwrap_or(0.0);
    let sound = asked / air_box.blower_flow_m3_s[air_box.top_step()];
    if step == 0 {
        finding("silent", "the blower is off")
    } else if air_box.blower_speed(step) < 0.1 * sound {
        finding("silent", "the blower does not run")
    } else {
        finding("running", "the blower runs")
    }
}

/// Vents that blow weakly, unevenly or elsewhere; nothing where all that is to be told is how cold.
pub(super) fn feel_vents(car: &Car) -> Option<Finding> {
    let state = car.state();
    let air = car.spec().air_box.outlets.shares();
    let blowing = state.air_flow_kg_s > 0.01;
    if state.air_flow_kg_s < 0.03 && car.setup().blower_step >= 3 {
        return Some(finding("weak", "hardly any air, whatever its temperature"));
    }
    if !blowing {
        return None;
    }
    let [left_k, _, right_k] = state.vents_k;
    if air.floor > air.dash() {
        Some(finding(
            "at-the-feet",
            "the air comes at the feet, little from the dash",
        ))
    } else if air.screen > air.dash() {
        Some(finding(
            "at-the-screen",
            "the air goes up the windscreen, little from the dash",
        ))
    } else if air.left < FEELS_WEAK * air.right {
        Some(finding(
            "left-weak",
            "the left vent blows weaker than the right",
        ))
    } else if air.right < FEELS_WEAK * air.left {
        Some(finding(
            "right-weak",
            "the right vent blows weaker than the left",
        ))
    } else if (left_k - right_k).abs() > 4.0 {
        Some(finding("uneven", "one side blows colder than the other"))
    } else {
        None
    }
}

pub(super) fn feel_heater_hoses(car: &Car) -> Finding {
    let (state, setup) = (car.state(), car.setup());
    let blown_over = state.air_off_k.iter().sum::<f64>() / state.air_off_k.len() as f64;
    let asked = setup
        .temperature
        .heater_share(blown_over, state.bay.coolant_k, state.cabin.air_k);
    if state.bay.coolant_k < 318.15 {
        finding("cool", "both hoses are cool: the engine is cold")
    } else if car.spec().air_box.coolant_share(asked) > 0.02 {
        finding("both-hot", "both hoses are hot")
    } else {
        finding("one-hot", "hot as far as the heater valve, cool behind it")
    }
}

/// Damp dirt, or water that stands.
pub(super) fn musty(car: &Car) -> bool {
    let evaporator = &car.spec().evaporator;
    evaporator.air_blockage > 0.3 || car.state().sump.water_kg > 0.5 * evaporator.sump_kg
}
