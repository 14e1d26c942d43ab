//! Finding where refrigerant gets out: detector, soap, dye and lamp.

use crate::car::{AIR_AROUND_M3, Car};
use crate::instruments::place::{LeakScale, Named, Spot};
use crate::instruments::senses::Finding;
use crate::instruments::truth::{Impossible, Truth};
use crate::loop_model::layout::Role;
use crate::parts::condenser::NATURAL_VELOCITY_M_S;
use crate::spec::{CarSpec, LeakPlace};

/// Spots where a leak can be searched for, on the cars that have them.
pub const LEAK_SPOTS: [Spot; 13] = [
    Spot::Compressor,
    Spot::CondenserFace,
    Spot::DischargeHose,
    Spot::LiquidLine,
    Spot::SuctionHose,
    Spot::Evaporator,
    Spot::Receiver,
    Spot::Accumulator,
    Spot::ExpansionValve,
    Spot::OrificeTube,
    Spot::LowPort,
    Spot::HighPort,
    Spot::Transducer,
];

/// The place where a leak found at a spot gets out.
///
/// # Errors
/// [`Impossible`] when the car lacks the spot, or nothing can get out there.
pub fn searched(spec: &CarSpec, spot: Spot) -> Result<LeakPlace, Impossible> {
    spot.leak_place()
        .filter(|_| spot.is_on(spec))
        .ok_or_else(|| Impossible::NoSuchPlace {
            place: spot.name(),
            has: LEAK_SPOTS
                .iter()
                .filter(|spot| spot.is_on(spec))
                .map(|spot| spot.name())
                .collect(),
        })
}

/// Air that a detector's tip draws from, m²: a fingertip (from memory).
const TIP_M2: f64 = 1e-4;
/// Share of the trace above a leak: the gas is four times as heavy as air and falls (from memory).
const ABOVE_SHARE: f64 = 0.1;
/// Free area of an air box at the evaporator, m² (from memory).
const AIR_BOX_M2: f64 = 0.05;
/// Share of the condenser's air that is felt at the compressor and the bulkhead (from memory).
const IN_THE_LEE: f64 = 0.3;

/// Speed of the air at a spot, m/s; still air drifts, too.
fn wind_m_s(car: &Car, spot: Spot) -> f64 {
    let state = car.state();
    let wind = match spot {
        // High-side port and transducer are on the hose to the condenser or on the line from it.
        Spot::CondenserFace
        | Spot::DischargeHose
        | Spot::LiquidLine
        | Spot::Receiver
        | Spot::HighPort
        | Spot::Transducer => state.face_velocity_m_s.abs(),
        Spot::Evaporator => {
            state.air_flow_kg_s / (car.weather().air_density_kg_per_m3() * AIR_BOX_M2)
        }
        _ => IN_THE_LEE * state.face_velocity_m_s.abs(),
    };
    wind.max(NATURAL_VELOCITY_M_S)
}

/// Refrigerant in the air at a detector's tip, kg/m³: what leaks, thinned by moving air, and what
/// hangs in the air around the car.
#[must_use]
pub fn at_tip_kg_m3(car: &Car, spot: Spot, above: bool) -> f64 {
    let place = spot.leak_place();
    let escaping = place.map_or(0.0, |place| car.traced_kg_s(place));
    let plume = escaping / (wind_m_s(car, spot) * TIP_M2);
    let share = if above { ABOVE_SHARE } else { 1.0 };
    share * plume + around_kg_m3(car)
}

/// Refrigerant that hangs in the air around the car, kg/m³.
fn around_kg_m3(car: &Car) -> f64 {
    car.state().service.gas_in_air_kg / AIR_AROUND_M3
}

/// Refrigerant at its tip at which a detector sounds: what a leak of its scale gives in still air, kg/m³.
#[must_use]
pub fn sounds_from_kg_m3(scale: LeakScale) -> f64 {
    scale.kg_s() / (NATURAL_VELOCITY_M_S * TIP_M2)
}

/// What an electronic leak detector says.
pub(super) fn leak_search(
    car: &Car,
    spot: Spot,
    scale: LeakScale,
    above: bool,
) -> Result<Truth, Impossible> {
    searched(car.spec(), spot)?;
    Ok(Truth::Finding(
        // Where the air itself is over the threshold, nothing is told of the spot.
        if around_kg_m3(car) > sounds_from_kg_m3(scale) {
            Finding {
                key: "everywhere",
                words: "the detector sounds wherever it is held: the air around the car is full of gas",
            }
        } else if at_tip_kg_m3(car, spot, above) > sounds_from_kg_m3(scale) {
            Finding {
                key: "alarm",
                words: "the detector sounds, again and again at the same place",
            }
        } else {
            Finding {
                key: "silent",
                words: "the detector stays silent",
            }
        },
    ))
}

/// Leak that raises bubbles in a brushed-on solution, kg/s: 100 g a year (common practice, no
/// source: a bubble test finds some 1e-3 mbar l/s).
const BUBBLES_FROM_KG_S: f64 = 0.1 / (365.25 * 86_400.0);
/// Wind that bursts bubbles, m/s (from memory).
const BUBBLES_BURST_M_S: f64 = 0.5;
/// Surface on which the solution dries at once, K (from memory).
const DRIES_FROM_K: f64 = 343.15;

/// What soap solution shows.
pub(super) fn soap(car: &Car, spot: Spot) -> Result<Truth, Impossible> {
    let place = searched(car.spec(), spot)?;
    if spot == Spot::Evaporator {
        return Err(Impossible::OutOfReach { place: spot.name() });
    }
    if spot == Spot::Compressor && car.setup().engine_rev_s > 0.0 {
        return Err(Impossible::EngineRunning);
    }
    // A shaft seal keeps in suction gas, and sits in a body as hot as what it discharges.
    let role = match place {
        LeakPlace::Compressor => Role::CompressorHead,
        other => other.role(car.spec()),
    };
    let here = |one: Role| match role {
        Role::Condenser(_) => matches!(one, Role::Condenser(_) | Role::Subcooler),
        _ => one == role,
    };
    let hottest_k = car
        .layout()
        .volumes
        .iter()
        .zip(&car.state().refrigerant.wall_k)
        .filter(|(volume, _)| here(volume.role))
        .fold(0.0_f64, |most, (_, k)| most.max(*k));
    let finding = |key, words| Ok(Truth::Finding(Finding { key, words }));
    if hottest_k > DRIES_FROM_K {
        finding(
            "dried",
            "the solution dries on the hot metal before it can tell",
        )
    } else if wind_m_s(car, spot) > BUBBLES_BURST_M_S {
        finding("blown", "the moving air bursts and dries the solution")
    } else if car.blowing_kg_s(place) > BUBBLES_FROM_KG_S {
        finding("bubbles", "bubbles grow at one place")
    } else {
        finding("flat", "no bubbles")
    }
}

/// Dyed oil that glows under the lamp, kg: a tenth of a milligram (from memory).
const GLOWS_FROM_KG: f64 = 1e-7;

/// What a lamp shows. A stain glows whether or not it still leaks there.
pub(super) fn lamp(car: &Car, spot: Spot) -> Result<Truth, Impossible> {
    let place = searched(car.spec(), spot)?;
    let service = &car.state().service;
    // Inside the case nothing is seen: the water that drips from its drain has to bring the dye out.
    let hidden = spot == Spot::Evaporator && car.state().condensate_kg <= 0.0;
    let glows = car.stain_kg(place) > GLOWS_FROM_KG;
    Ok(Truth::Finding(if service.dyed && glows && !hidden {
        Finding {
            key: "glows",
            words: "a spot glows yellow-green under the lamp",
        }
    } else {
        Finding {
            key: "dark",
            words: "nothing glows under the lamp",
        }
    }))
}
