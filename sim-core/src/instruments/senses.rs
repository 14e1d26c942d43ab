//! What eyes, ears, hands and nose notice, from the state and condition of the parts.

mod air_side;

use crate::air;
use crate::car::Car;
use crate::instruments::electrical::Fed;
use crate::instruments::place::{Named, Spot};
use crate::instruments::truth::Watch;
use crate::loop_model::layout::Role;
use crate::parts::skin::Skin;
use crate::parts::storage::Place;
use crate::spec::LeakPlace;

/// A sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sense {
    /// Eyes.
    Look,
    /// Ears.
    Listen,
    /// Hands.
    Feel,
    /// Nose.
    Smell,
}

impl Named for Sense {
    const ALL: &'static [Self] = &[Self::Look, Self::Listen, Self::Feel, Self::Smell];

    fn name(self) -> &'static str {
        match self {
            Self::Look => "look",
            Self::Listen => "listen",
            Self::Feel => "feel",
            Self::Smell => "smell",
        }
    }
}

impl Sense {
    /// What one does with it, to be followed by a spot.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Look => "look at",
            Self::Listen => "listen to",
            Self::Feel => "hand on",
            Self::Smell => "smell of",
        }
    }
}

/// Something noticed: a key to compare by, and the words a learner reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Finding {
    /// Short name of what was noticed.
    pub key: &'static str,
    /// Sentence.
    pub words: &'static str,
}

pub(super) const fn finding(key: &'static str, words: &'static str) -> Finding {
    Finding { key, words }
}

/// Whether a sense has something to tell at a spot.
#[must_use]
pub fn sensible(sense: Sense, spot: Spot) -> bool {
    match sense {
        Sense::Look => !matches!(
            spot,
            Spot::Vents | Spot::Blower | Spot::Evaporator | Spot::HeaterHoses
        ),
        Sense::Listen => matches!(
            spot,
            Spot::Compressor | Spot::ExpansionValve | Spot::OrificeTube | Spot::Blower | Spot::Belt
        ),
        Sense::Feel => matches!(
            spot,
            Spot::SuctionHose
                | Spot::DischargeHose
                | Spot::LiquidLine
                | Spot::ExpansionValve
                | Spot::OrificeTube
                | Spot::Accumulator
                | Spot::Vents
                | Spot::Compressor
                | Spot::ClutchHub
                | Spot::Belt
                | Spot::HeaterHoses
        ),
        Sense::Smell => matches!(spot, Spot::ClutchHub | Spot::Vents),
    }
}

/// What a sense notices at a spot.
pub(super) fn notice(car: &Car, sense: Sense, spot: Spot, watch: Watch) -> Finding {
    match sense {
        Sense::Look => look(car, spot),
        Sense::Listen => listen(car, spot, watch),
        Sense::Feel => feel(car, spot),
        Sense::Smell => smell(car, spot),
    }
}

fn look(car: &Car, spot: Spot) -> Finding {
    let spec = car.spec();
    let state = car.state();
    match spot {
        Spot::ClutchHub => look_at_hub(car),
        Spot::Compressor => oil_at(car, LeakPlace::Compressor, finding("dry", "dry and clean")),
        Spot::Belt => look_at_belt(car),
        Spot::ClutchPlug if spec.circuit.connector_ohm > 0.4 => {
            finding("browned", "the plug's plastic is browned around one pin")
        }
        Spot::ClutchPlug if spec.circuit.condition.grip_lost > 0.5 => {
            finding("loose", "one pin of the plug gives way to a light pull")
        }
        Spot::ClutchPlug => finding("clean", "pins bright, plug clean"),
        Spot::Fuse if spec.circuit.fuse_conducts(state.fuse_whole) => {
            finding("whole", "the fuse is whole")
        }
        Spot::Fuse => finding(
            "blown",
            match Fed::on(spec) {
                Fed::Clutch => "the fuse of the clutch circuit has blown",
                Fed::ControlValve => "the fuse of the control valve has blown",
                Fed::Inverter => "the fuse of the compressor's inverter has blown",
            },
        ),
        Spot::CondenserFace => air_side::look_at_face(car).unwrap_or_else(|| {
            oil_at(
                car,
                LeakPlace::Condenser,
                finding("clean", "fins straight, face clean"),
            )
        }),
        Spot::CondenserFan => air_side::look_at_fan(car),
        Spot::DischargeHose => oil_at(
            car,
            LeakPlace::DischargeHose,
            finding("dry", "dry and clean"),
        ),
        Spot::LiquidLine => oil_at(car, LeakPlace::LiquidLine, surface(car, Role::LiquidLine)),
        Spot::SightGlass => sight_glass(car),
        Spot::ExpansionValve | Spot::OrificeTube => oil_at(
            car,
            LeakPlace::ExpansionDevice,
            surface(car, Role::Evaporator(0)),
        ),
        Spot::SuctionHose => oil_at(car, LeakPlace::SuctionHose, surface(car, Role::SuctionLine)),
        Spot::Receiver => oil_at(car, LeakPlace::Receiver, surface(car, Role::Receiver)),
        Spot::Accumulator => oil_at(car, LeakPlace::Accumulator, surface(car, Role::Accumulator)),
        Spot::LowPort => oil_at(
            car,
            LeakPlace::LowPort,
            finding("dry", "capped, dry and clean"),
        ),
        Spot::HighPort => oil_at(
            car,
            LeakPlace::HighPort,
            finding("dry", "capped, dry and clean"),
        ),
        Spot::Transducer => oil_at(car, LeakPlace::Transducer, finding("dry", "dry and clean")),
        Spot::Drain => air_side::look_at_drain(car),
        Spot::CabinFilter if spec.air_box.filter_blockage > 0.3 => {
            finding("clogged", "the filter is grey with dust and leaves")
        }
        Spot::CabinFilter => finding("clean", "the filter is clean enough"),
        Spot::Evaporator | Spot::Vents | Spot::Blower | Spot::HeaterHoses => {
            finding("nothing", "nothing to be seen")
        }
    }
}

/// Slip from which a belt shows and is felt to be slack.
const SLACK_FROM: f64 = 0.05;
/// Slip from which a loaded belt squeals (common practice, no source).
const SQUEALS_FROM: f64 = 0.15;

/// A running belt shows how it runs, a standing one what that has done to it.
fn look_at_belt(car: &Car) -> Finding {
    let bay = &car.spec().bay;
    let runs = car.setup().engine_rev_s > 0.0;
    match (runs, bay.belt_walks(), bay.belt_slip > SLACK_FROM) {
        (true, true, _) => finding("walks", "the belt walks to one edge of its pulleys"),
        (false, true, true) => finding("frayed", "one edge of the belt is frayed"),
        (_, false, true) => finding("glazed", "the belt's ribs shine like glass"),
        (true, false, false) => finding("runs-true", "the belt runs true in its grooves"),
        (false, _, false) => finding("sound", "the belt is sound and tight"),
    }
}

/// A belt that walks chirps with every turn; one that slips squeals under load.
fn listen_to_belt(car: &Car) -> Finding {
    let bay = &car.spec().bay;
    if car.setup().engine_rev_s <= 0.0 {
        finding("silent", "engine off; nothing to hear")
    } else if car.state().clutch.engaged && bay.slip() > SQUEALS_FROM {
        finding("squeal", "a squeal from the belt")
    } else if bay.belt_walks() {
        finding("chirps", "a chirp from the belt, with every turn")
    } else {
        finding("quiet", "the belt runs quietly")
    }
}

/// Share of the clutch that heat has charred; 0 without one.
fn charred(car: &Car) -> f64 {
    car.spec()
        .clutch
        .as_ref()
        .map_or(0.0, |clutch| clutch.charred)
}

fn look_at_hub(car: &Car) -> Finding {
    let state = car.state();
    if car.setup().engine_rev_s <= 0.0 {
        return if charred(car) > 0.3 {
            finding(
                "charred",
                "engine off; the plate is blued and the facing charred",
            )
        } else {
            finding("still", "engine off; plate and pulley look sound")
        };
    }
    if !state.clutch.engaged || state.clutch.grip < 0.02 {
        finding("not-turning", "the pulley turns, the hub stands still")
    } else if state.clutch.grip < 0.97 {
        finding(
            "slipping",
            "the hub turns slower than the pulley, with a squeal",
        )
    } else {
        finding("turning", "the hub turns with the pulley")
    }
}

/// Oil carried out by a leak shows where the leak is worth some grams a year.
fn oil_at(car: &Car, place: LeakPlace, otherwise: Finding) -> Finding {
    // Effective area of about 60 g a year at rest, 25 °C; below it dust hides the trace.
    const STAINS_FROM_M2: f64 = 3e-13;
    let area: f64 = car
        .spec()
        .leaks
        .iter()
        .filter(|leak| leak.place == place)
        .map(|leak| leak.area_m2)
        .sum();
    if area > STAINS_FROM_M2 {
        finding("oily", "an oily, dusty stain")
    } else {
        otherwise
    }
}

/// Frost, sweat or nothing on a pipe, from its metal and what has frozen there.
fn surface(car: &Car, role: Role) -> Finding {
    let skin = car.skin(role).unwrap_or(Skin::dry(car.state().bay.bay_k));
    let weather = car.weather();
    let dew_k = air::dew_point_k(weather.humidity_ratio(), weather.pressure_pa());
    if skin.is_white() {
        finding("frosted", "white with frost")
    } else if skin.metal_k < dew_k - 0.5 {
        finding("sweating", "wet with sweat")
    } else {
        finding("dry", "dry and clean")
    }
}

/// The glass is on the drier bottle where that is in the liquid line, before the line's drop boils some
/// of what it passes; else in the line. With nothing flowing it shows what stands in the line.
fn sight_glass(car: &Car) -> Finding {
    if car.valve_flow_kg_s() < STANDS_BELOW_KG_S {
        return standing_glass(car);
    }
    let on_bottle = match car.spec().storage.place {
        Place::LiquidLine => car.leaving_quality(Role::Receiver),
        Place::InCondenser | Place::Suction => None,
    };
    match on_bottle.or_else(|| car.quality(Role::LiquidLine)) {
        Some(quality) if quality > 0.5 => finding("empty", "nothing but vapour and streaks of oil"),
        Some(quality) if quality > 0.0005 => finding("bubbles", "a stream of bubbles"),
        _ => finding("clear", "clear"),
    }
}

/// Flow below which a liquid line shows no stream, kg/s: liquid creeps at 1 to 2 cm/s in a pipe of 8 mm,
/// a tenth of what a bubble rises at (from memory).
const STANDS_BELOW_KG_S: f64 = 1e-3;
/// Share of the line's volume that may be vapour before a level is seen, and before no liquid is (from
/// memory).
const LEVEL_SEEN: std::ops::Range<f64> = 0.02..0.98;

/// What stands in the line: liquid, vapour, or one above the other.
fn standing_glass(car: &Car) -> Finding {
    let vapour = car.vapour_share(Role::LiquidLine).unwrap_or(1.0);
    if vapour < LEVEL_SEEN.start {
        finding("still-liquid", "clear: liquid that stands still")
    } else if vapour < LEVEL_SEEN.end {
        finding(
            "still-level",
            "nothing flows: liquid stands below, vapour above, and no bubbles",
        )
    } else {
        finding(
            "still-vapour",
            "nothing flows: vapour and streaks of oil, and no liquid",
        )
    }
}

/// Engine speed above which its noise drowns the rest, turns per second: 2500 rpm (from memory).
const LOUD_REV_S: f64 = 2500.0 / 60.0;

/// Stroke from which a compressor is heard to work (from memory).
const HEARD_FROM_STROKE: f64 = 0.15;

fn listen(car: &Car, spot: Spot, watch: Watch) -> Finding {
    let state = car.state();
    let running = car.setup().engine_rev_s > 0.0;
    let loud = car.setup().engine_rev_s > LOUD_REV_S || car.setup().shop_fan;
    match spot {
        Spot::Compressor | Spot::ExpansionValve | Spot::OrificeTube | Spot::Belt if loud => {
            finding(
                "drowned",
                "nothing to be told apart: engine or workshop fan drown it",
            )
        }
        Spot::Compressor if !running => finding("silent", "engine off; nothing to hear"),
        Spot::Compressor if car.spec().compressor.turned.motor().is_some() => motor(car),
        Spot::Compressor if car.spec().clutch.is_none() => without_clutch(car),
        Spot::Compressor if watch.engagements >= 2 => {
            finding("cycling", "the clutch clicks in and out again and again")
        }
        Spot::Compressor if state.clutch.engaged && state.clutch.grip < 0.97 => {
            finding("squeal", "a squeal from the clutch")
        }
        Spot::Compressor if state.clutch.engaged && car.spec().compressor.drag_torque_n_m > 5.0 => {
            finding("grinding", "a grinding from inside the compressor")
        }
        Spot::Compressor if state.clutch.engaged => {
            finding("steady", "an even hum; the clutch stays in")
        }
        Spot::Compressor => finding(
            "idle",
            "no click, no load on the engine; the clutch stays out",
        ),
        Spot::ExpansionValve | Spot::OrificeTube => {
            let flow = car.valve_flow_kg_s();
            match car.quality(Role::LiquidLine) {
                _ if flow < 0.002 => finding("quiet", "quiet"),
                Some(quality) if quality > 0.01 => {
                    finding("gurgling", "a gurgling hiss: gas and liquid together")
                }
                _ => finding("hiss", "a steady hiss"),
            }
        }
        Spot::Blower => air_side::listen_to_blower(car),
        Spot::Belt => listen_to_belt(car),
        _ => finding("nothing", "nothing to be heard"),
    }
}

/// A compressor that turns with its pulley has no click, and at a small stroke next to no load.
fn without_clutch(car: &Car) -> Finding {
    let state = car.state();
    if state.clutch.grip < 0.97 {
        finding("squeal", "a squeal from the belt")
    } else if car.spec().compressor.drag_torque_n_m > 5.0 {
        finding("grinding", "a grinding from inside the compressor")
    } else if state.refrigerant.stroke < HEARD_FROM_STROKE {
        finding("idle", "it turns without load: next to nothing to hear")
    } else {
        finding("steady", "an even hum")
    }
}

/// A compressor with a motor of its own whines, higher the faster it turns.
fn motor(car: &Car) -> Finding {
    let rev_s = car.state().compressor_rev_s;
    if rev_s < 1.0 {
        finding("idle", "no whine from the compressor: it does not turn")
    } else if car.spec().compressor.drag_torque_n_m > 5.0 {
        finding("grinding", "a grinding from inside the compressor")
    } else if rev_s < WHINES_HIGH_FROM_REV_S {
        finding("low-whine", "a low, even whine")
    } else {
        finding("high-whine", "a high, even whine")
    }
}

/// Speed from which the whine is called high, turns per second: 3600 rpm (from memory).
const WHINES_HIGH_FROM_REV_S: f64 = 60.0;

fn feel(car: &Car, spot: Spot) -> Finding {
    let state = car.state();
    let at = |role: Role| {
        let k = car
            .refrigerant_temperature_k(role)
            .unwrap_or(state.bay.bay_k);
        touch(k)
    };
    match spot {
        Spot::SuctionHose => at(Role::SuctionLine),
        Spot::DischargeHose => at(Role::DischargeLine),
        Spot::LiquidLine => at(Role::LiquidLine),
        Spot::ExpansionValve | Spot::OrificeTube => at(Role::Evaporator(0)),
        Spot::Accumulator => feel_accumulator(car),
        Spot::Compressor => at(Role::CompressorHead),
        Spot::ClutchHub => touch(car.hub_k()),
        Spot::Vents => air_side::feel_vents(car).unwrap_or_else(|| touch(state.vents_k[1])),
        Spot::HeaterHoses => air_side::feel_heater_hoses(car),
        Spot::Belt if car.setup().engine_rev_s > 0.0 => {
            finding("running", "the belt is running; no hand belongs there")
        }
        Spot::Belt if car.spec().bay.belt_slip > SLACK_FROM => {
            finding("slack", "it gives too far under the thumb")
        }
        Spot::Belt => finding("taut", "taut"),
        _ => finding("nothing", "nothing to be felt"),
    }
}

/// Difference that one hand on each of two pipes tells, K (from memory).
const HANDS_TELL_K: f64 = 3.0;

/// One hand on the accumulator, the other on the pipe behind the orifice tube: with the right charge
/// both are as cold.
fn feel_accumulator(car: &Car) -> Finding {
    let k = |role| car.refrigerant_temperature_k(role);
    let (Some(bottle_k), Some(pipe_k)) = (k(Role::Accumulator), k(Role::Evaporator(0))) else {
        return finding("nothing", "nothing to be felt");
    };
    if bottle_k > pipe_k + HANDS_TELL_K {
        finding("warmer", "warmer than the pipe behind the orifice tube")
    } else if bottle_k < pipe_k - HANDS_TELL_K {
        finding("colder", "colder than the pipe behind the orifice tube")
    } else {
        finding(
            "alike",
            "as the pipe behind the orifice tube, no warmer and no colder",
        )
    }
}

/// Skin tells a few classes apart, not degrees (common practice, no source).
fn touch(k: f64) -> Finding {
    match k - 273.15 {
        c if c < 3.0 => finding("ice-cold", "ice cold"),
        c if c < 14.0 => finding("cold", "cold"),
        c if c < 24.0 => finding("cool", "cool"),
        c if c < 34.0 => finding("lukewarm", "neither warm nor cold"),
        c if c < 45.0 => finding("warm", "warm"),
        c if c < 60.0 => finding("hot", "hot; the hand stays on it for a moment"),
        _ => finding("too-hot", "too hot to hold"),
    }
}

fn smell(car: &Car, spot: Spot) -> Finding {
    match spot {
        Spot::ClutchHub if charred(car) > 0.2 || car.hub_k() > 480.0 => {
            finding("burnt", "burnt insulation and hot friction facing")
        }
        // Without the blower its air does not reach the nose.
        Spot::Vents if air_side::musty(car) && car.setup().blower_step > 0 => {
            finding("musty", "musty, like a damp cloth")
        }
        _ => finding("nothing", "nothing unusual"),
    }
}
