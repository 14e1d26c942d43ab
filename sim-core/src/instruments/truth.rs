//! What is true of a car at a place, before any instrument errs.

use crate::air;
use crate::car::Car;
use crate::instruments::check::Check;
use crate::instruments::electrical;
use crate::instruments::misuse::mismeasured;
use crate::instruments::place::{
    CondenserSide, Dull, Gas, Gauge, Line, Named, Room, Spot, Vent, Wheel,
};
use crate::instruments::radiance::{DULL, NEAR_M, Scene, pipe_share, shown_k};
use crate::instruments::senses::{self, Finding, Sense, sensible};
use crate::instruments::traces::{lamp, leak_search, soap};
use crate::loop_model::layout::Role;
use crate::parts::circuit::{Feeds, Point};
use crate::repair::Job;

/// A true value or finding.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Truth {
    /// A number, SI.
    Number(f64),
    /// Something noticed.
    Finding(Finding),
}

/// What went on while a check was being made.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Watch {
    /// Times the clutch pulled in.
    pub engagements: u32,
    /// Length of the watch, s.
    pub seconds: f64,
}

/// Why a check cannot be made on this car as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Impossible {
    /// The car does not have the place.
    NoSuchPlace {
        /// The place asked for.
        place: &'static str,
        /// Places of that kind the car has.
        has: Vec<&'static str>,
    },
    /// The engine has to be off for it.
    EngineRunning,
    /// A resistance cannot be had from a circuit with current in it.
    Live,
    /// Nothing to be measured with the blower off.
    BlowerOff,
    /// The place cannot be got at.
    OutOfReach {
        /// The place.
        place: &'static str,
    },
    /// No rubber hose at the place.
    NoHose {
        /// The line.
        line: &'static str,
    },
    /// Too little pressure in the loop for a sample.
    NoPressure,
    /// The recovery machine is still drawing.
    StillDrawing,
}

impl std::fmt::Display for Impossible {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoSuchPlace { place, has } => write!(
                f,
                "this car has no {}; it has {}",
                place.replace('-', " "),
                has.join(", ")
            ),
            Self::EngineRunning => {
                f.write_str("this is measured with the engine off: set `engine off` first")
            }
            Self::Live => f.write_str(
                "the circuit is live while the engine runs: an ohmmeter on it shows nonsense or blows its own fuse; set `engine off` first",
            ),
            Self::BlowerOff => {
                f.write_str("no air comes out with the blower off: set `blower 1` or more first")
            }
            Self::OutOfReach { place } => write!(
                f,
                "the {} is in its case, out of reach for soap; a leak detector or dye finds a leak there",
                place.replace('-', " ")
            ),
            Self::NoHose { line } => write!(
                f,
                "no rubber hose lies at the {}; compressor-suction and condenser-inlet have one, everywhere else use tape",
                line.replace('-', " ")
            ),
            Self::NoPressure => {
                f.write_str("there is too little pressure in the loop to draw a sample from")
            }
            Self::StillDrawing => f.write_str(
                "the recovery machine is still drawing; its scales are read when it has stopped",
            ),
        }
    }
}

impl std::error::Error for Impossible {}

/// How far a clamp on a pipe is drawn towards the air around, as a share (common practice, no source).
const CLAMP_AIR_SHARE: f64 = 0.03;
/// Area of a dash vent, m² (common practice, no source).
const VENT_AREA_M2: f64 = 0.0036;
/// Vents in the middle of the dash that share the centre duct's air.
const CENTRE_VENTS: f64 = 2.0;
/// How far a bright pipe's surface is drawn towards the air around, as a share: a few W/K outside
/// against hundreds inside (from memory).
const PIPE_AIR_SHARE: f64 = 0.01;
/// The same for the outside of a rubber hose: 5 mm of rubber at 0.25 W/(m K), 15 W/(m² K) outside (from memory).
const HOSE_AIR_SHARE: f64 = 0.25;
/// Tension of a sound belt at rest, N (common practice, no source). A belt slips by as much as it is slack.
const BELT_TENSION_N: f64 = 500.0;
/// Gauge pressure that an identifier needs, Pa (common practice, no source).
const SAMPLE_FROM_PA: f64 = 50e3;

/// The truth behind a check.
///
/// # Errors
/// [`Impossible`] when the car lacks the place or is set up so that nothing can be measured.
pub fn truth(car: &Car, check: Check, watch: Watch) -> Result<Truth, Impossible> {
    let state = car.state();
    let ambient_pa = car.weather().pressure_pa();
    let number = |value: f64| Ok(Truth::Number(value));
    match check {
        Check::LowGauge | Check::GaugeExtreme(Gauge::Low, _) => {
            number(car.pressure_pa(Role::SuctionLine) - state.service.gauge_zero_pa)
        }
        Check::HighGauge | Check::GaugeExtreme(Gauge::High, _) => {
            number(car.pressure_pa(car.spec().high_port.role()) - state.service.gauge_zero_pa)
        }
        Check::LineTemperature(line) => number(line_temperature(car, line)?),
        Check::VentTemperature(vent) => number(vent_temperature(car, vent)),
        Check::AirSpeed(vent) => air_speed(car, vent),
        Check::AirTemperature(Room::Outside) => number(car.weather().temperature_k),
        Check::AirTemperature(Room::Cabin) => number(state.cabin.air_k),
        Check::Humidity(Room::Outside) => number(car.weather().relative_humidity),
        Check::Humidity(Room::Cabin) => number(air::relative_humidity(
            state.cabin.air_k,
            state.cabin.humidity_ratio,
            ambient_pa,
        )),
        Check::CoilResistance if car.spec().circuit.feeds == Feeds::Electronics => {
            Err(Impossible::NoSuchPlace {
                place: "coil",
                has: vec!["an inverter, whose electronics no ohmmeter can tell"],
            })
        }
        Check::CoilResistance => electrical::resistance(car, state.circuit.coil_ohm),
        Check::CoilVoltage => number(car.meter_v(Point::PlugHarness, Point::CoilGround)),
        Check::CoilCurrent => number(car.coil_a()),
        Check::ClutchGap => match &car.spec().clutch {
            Some(clutch) => standing(car, clutch.gap_m),
            None => Err(Impossible::NoSuchPlace {
                place: "clutch",
                has: vec![driven(car)],
            }),
        },
        Check::ScanPressure => number(car.observed().high_side_pa),
        Check::ScanEvaporator if !car.spec().controls.has_evaporator_sensor() => {
            Err(Impossible::NoSuchPlace {
                place: "evaporator-sensor",
                has: vec!["pressure", "ambient"],
            })
        }
        Check::ScanEvaporator => number(car.observed().evaporator_k),
        Check::ScanRequest => Ok(Truth::Finding(if state.controls.relay_closed {
            Finding {
                key: "requested",
                words: "the control asks for the compressor",
            }
        } else {
            Finding {
                key: "not-requested",
                words: "the control does not ask for the compressor",
            }
        })),
        Check::Sense(sense, spot) if !spot.is_on(car.spec()) => Err(no_spot(car, sense, spot)),
        Check::Sense(sense, spot) => Ok(Truth::Finding(senses::notice(car, sense, spot, watch))),
        Check::Voltage(point) => number(car.meter_v(point, Point::BatteryNegative)),
        Check::VoltageDrop(link) => {
            let (red, black) = link.ends();
            number(car.meter_v(red, black))
        }
        Check::PartResistance(part) => electrical::resistance(car, part.ohm(car)),
        Check::ScanAmbient => number(car.observed().ambient_k),
        Check::ScanSpeed | Check::ScanInsulation if car.insulation_ohm().is_none() => {
            Err(Impossible::NoSuchPlace {
                place: "motor",
                has: vec!["a compressor driven by a belt"],
            })
        }
        Check::ScanSpeed => number(state.compressor_rev_s),
        Check::ScanInsulation => number(car.insulation_ohm().map_or(0.0, |(ohm, _)| ohm)),
        Check::ScanReason => Ok(Truth::Finding(electrical::reason(car))),
        Check::LeakSearch(spot, scale) => leak_search(car, spot, scale, false),
        Check::Infrared(line, dull) => number(infrared_k(
            car,
            match dull {
                Dull::Tape => pipe_k(car, line)?,
                Dull::Hose => hose_k(car, line)?,
            },
            DULL,
            pipe_share(NEAR_M),
        )),
        Check::CondenserAir(CondenserSide::Front) => number(car.condenser_air_on_k()),
        Check::CondenserAir(CondenserSide::Behind) => number(state.condenser_air_off_k),
        Check::ShaftSpeed(_) | Check::BeltTension | Check::PulleyLine if !belt_driven(car) => {
            Err(Impossible::NoSuchPlace {
                place: "belt",
                has: vec![driven(car)],
            })
        }
        Check::ShaftSpeed(Wheel::Hub) => number(state.compressor_rev_s),
        Check::ShaftSpeed(Wheel::Pulley) => number(car.pulley_rev_s()),
        Check::BeltTension => standing(car, BELT_TENSION_N * (1.0 - car.spec().bay.belt_slip)),
        Check::PulleyLine => standing(car, car.spec().bay.belt_out_of_line_m),
        Check::Soap(spot) => soap(car, spot),
        Check::Lamp(spot) => lamp(car, spot),
        Check::GasShare(gas) => {
            if car.pressure_pa(Role::SuctionLine) - ambient_pa < SAMPLE_FROM_PA {
                return Err(Impossible::NoPressure);
            }
            let contents = car.gas_at(Role::SuctionLine);
            number(match gas {
                Gas::R134a => contents.r134a,
                Gas::R1234yf => contents.r1234yf,
                Gas::Hydrocarbon => contents.hydrocarbon,
                Gas::Air => contents.air,
            })
        }
        Check::MachinePressure => number(car.pressure_pa(Role::SuctionLine) - ambient_pa),
        Check::Vacuum => number(car.pressure_pa(Role::SuctionLine)),
        Check::RecoveredMass => {
            if state.service.machine_on {
                return Err(Impossible::StillDrawing);
            }
            number(state.refrigerant.recovered_kg)
        }
        Check::ChargedMass => number(state.refrigerant.charged_kg),
        Check::Misused(misuse) => mismeasured(car, misuse, watch),
    }
}

fn belt_driven(car: &Car) -> bool {
    Job::Belt.is_on(car.spec())
}

/// What a compressor without a clutch is driven by, in words.
fn driven(car: &Car) -> &'static str {
    if belt_driven(car) {
        "a compressor that always turns with its pulley"
    } else {
        "a compressor with a motor inside"
    }
}

/// A place's temperature as a clamp feels it, K.
fn line_temperature(car: &Car, line: Line) -> Result<f64, Impossible> {
    let inside_k = inside_k(car, line)?;
    Ok(inside_k + CLAMP_AIR_SHARE * (car.state().bay.bay_k - inside_k))
}

/// The outside of a bare pipe, K.
pub(super) fn pipe_k(car: &Car, line: Line) -> Result<f64, Impossible> {
    let inside_k = inside_k(car, line)?;
    Ok(inside_k + PIPE_AIR_SHARE * (car.state().bay.bay_k - inside_k))
}

/// The outside of the rubber hose at a place, K.
fn hose_k(car: &Car, line: Line) -> Result<f64, Impossible> {
    if !matches!(line, Line::CompressorSuction | Line::CondenserInlet) {
        return Err(Impossible::NoHose { line: line.name() });
    }
    let inside_k = inside_k(car, line)?;
    Ok(inside_k + HOSE_AIR_SHARE * (car.state().bay.bay_k - inside_k))
}

/// What an infrared thermometer shows of a surface in the engine bay, K.
pub(super) fn infrared_k(car: &Car, surface_k: f64, emissivity: f64, share: f64) -> f64 {
    shown_k(&Scene {
        surface_k,
        emissivity,
        share,
        around_k: car.state().bay.bay_k,
        instrument_k: car.weather().temperature_k,
    })
}

fn inside_k(car: &Car, line: Line) -> Result<f64, Impossible> {
    line.role(car.layout())
        .and_then(|role| car.refrigerant_temperature_k(role))
        .ok_or_else(|| Impossible::NoSuchPlace {
            place: line.name(),
            has: Line::ALL
                .iter()
                .filter(|line| line.role(car.layout()).is_some())
                .map(|line| line.name())
                .collect(),
        })
}

/// Speed of the air out of a vent, m/s: what its duct carries.
fn air_speed(car: &Car, vent: Vent) -> Result<Truth, Impossible> {
    if car.setup().blower_step == 0 {
        return Err(Impossible::BlowerOff);
    }
    let state = car.state();
    let air = car.spec().air_box.outlets.shares();
    let share = match vent {
        Vent::Left => air.left,
        Vent::Centre => air.centre / CENTRE_VENTS,
        Vent::Right => air.right,
    };
    let volume = air::specific_volume_m3_per_kg_da(
        state.vents_k[1],
        state.air_off_humidity[0],
        car.weather().pressure_pa(),
    );
    Ok(Truth::Number(
        state.air_flow_kg_s * share * volume / VENT_AREA_M2,
    ))
}

fn vent_temperature(car: &Car, vent: Vent) -> f64 {
    let [left, centre, right] = car.state().vents_k;
    match vent {
        Vent::Left => left,
        Vent::Centre => centre,
        Vent::Right => right,
    }
}

fn standing(car: &Car, value: f64) -> Result<Truth, Impossible> {
    if car.setup().engine_rev_s > 0.0 {
        return Err(Impossible::EngineRunning);
    }
    Ok(Truth::Number(value))
}

fn no_spot(car: &Car, sense: Sense, spot: Spot) -> Impossible {
    Impossible::NoSuchPlace {
        place: spot.name(),
        has: Spot::ALL
            .iter()
            .filter(|one| one.is_on(car.spec()) && sensible(sense, **one))
            .map(|one| one.name())
            .collect(),
    }
}
