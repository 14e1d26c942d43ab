//! What is true of a car at a place, before any instrument errs.

use crate::air;
use crate::car::Car;
use crate::instruments::check::{Check, LEAK_SPOTS};
use crate::instruments::electrical;
use crate::instruments::place::{Line, Named, Room, Spot, Vent};
use crate::instruments::senses::{self, Finding, Sense, sensible};
use crate::loop_model::layout::Role;
use crate::parts::circuit::Point;

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
/// Emission below which a leak detector stays silent, kg/s: its 7 g/yr scale (SAE J2791).
const DETECTABLE_KG_S: f64 = 7e-3 / (365.25 * 86_400.0);

/// The truth behind a check.
///
/// # Errors
/// [`Impossible`] when the car lacks the place or is set up so that nothing can be measured.
pub fn truth(car: &Car, check: Check, watch: Watch) -> Result<Truth, Impossible> {
    let state = car.state();
    let ambient_pa = car.weather().pressure_pa();
    let number = |value: f64| Ok(Truth::Number(value));
    match check {
        Check::LowGauge => number(car.pressure_pa(Role::SuctionLine) - ambient_pa),
        Check::HighGauge => number(car.pressure_pa(car.spec().high_port.role()) - ambient_pa),
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
        Check::CoilResistance => electrical::resistance(car, state.circuit.coil_ohm),
        Check::CoilVoltage => number(car.meter_v(Point::PlugHarness, Point::CoilGround)),
        Check::CoilCurrent => number(state.circuit.current_a),
        Check::ClutchGap => match &car.spec().clutch {
            Some(clutch) => standing(car, clutch.gap_m),
            None => Err(no_spot(Sense::Look, Spot::ClutchHub)),
        },
        Check::ScanPressure => number(car.observed().high_side_pa),
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
        Check::Sense(sense, Spot::SightGlass) if !car.spec().sight_glass => {
            Err(no_spot(sense, Spot::SightGlass))
        }
        Check::Sense(sense, spot) => Ok(Truth::Finding(senses::notice(car, sense, spot, watch))),
        Check::LeakSearch(spot) => leak_search(car, spot),
        Check::Voltage(point) => number(car.meter_v(point, Point::BatteryNegative)),
        Check::VoltageDrop(link) => {
            let (red, black) = link.ends();
            number(car.meter_v(red, black))
        }
        Check::PartResistance(part) => electrical::resistance(car, part.ohm(car)),
        Check::ScanAmbient => number(car.observed().ambient_k),
        Check::ScanReason => Ok(Truth::Finding(electrical::reason(car))),
    }
}

/// A place's temperature as a clamp feels it, K.
fn line_temperature(car: &Car, line: Line) -> Result<f64, Impossible> {
    let inside_k = line
        .role(car.layout())
        .and_then(|role| car.refrigerant_temperature_k(role))
        .ok_or_else(|| Impossible::NoSuchPlace {
            place: line.name(),
            has: Line::ALL
                .iter()
                .filter(|line| line.role(car.layout()).is_some())
                .map(|line| line.name())
                .collect(),
        })?;
    let around_k = car.state().bay.bay_k;
    Ok(inside_k + CLAMP_AIR_SHARE * (around_k - inside_k))
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

fn no_spot(sense: Sense, spot: Spot) -> Impossible {
    Impossible::NoSuchPlace {
        place: spot.name(),
        has: Spot::ALL
            .iter()
            .filter(|one| **one != spot && sensible(sense, **one))
            .map(|one| one.name())
            .collect(),
    }
}

/// What an electronic leak detector says at a spot.
fn leak_search(car: &Car, spot: Spot) -> Result<Truth, Impossible> {
    let here = |role: Role| match spot {
        Spot::Compressor => matches!(role, Role::SuctionLine | Role::CompressorHead),
        Spot::CondenserFace => {
            matches!(role, Role::Condenser(_) | Role::Receiver | Role::Subcooler)
        }
        Spot::DischargeHose => role == Role::DischargeLine,
        Spot::LiquidLine => role == Role::LiquidLine,
        Spot::Evaporator => matches!(role, Role::Evaporator(_)),
        Spot::SuctionHose
        | Spot::ClutchHub
        | Spot::Belt
        | Spot::ClutchPlug
        | Spot::Fuse
        | Spot::CondenserFan
        | Spot::SightGlass
        | Spot::ExpansionValve
        | Spot::Drain
        | Spot::Vents
        | Spot::Blower
        | Spot::CabinFilter
        | Spot::HeaterHoses => false,
    };
    if !LEAK_SPOTS.contains(&spot) {
        return Err(Impossible::NoSuchPlace {
            place: spot.name(),
            has: LEAK_SPOTS.iter().map(|spot| spot.name()).collect(),
        });
    }
    let ambient_pa = car.weather().pressure_pa();
    let emission: f64 = car
        .spec()
        .leaks
        .iter()
        .filter(|leak| here(leak.role))
        .map(|leak| {
            let over = (car.pressure_pa(leak.role) - ambient_pa).max(0.0);
            let density = car.vapour_density_kg_per_m3(leak.role);
            leak.area_m2 * (2.0 * density * over).sqrt()
        })
        .sum();
    // Moving air carries the trace away before the detector's tip finds it.
    let blown = car.state().face_velocity_m_s.abs() > 0.5
        && matches!(
            spot,
            Spot::CondenserFace | Spot::DischargeHose | Spot::LiquidLine
        );
    let diluted = if blown { emission / 20.0 } else { emission };
    Ok(Truth::Finding(if diluted > DETECTABLE_KG_S {
        Finding {
            key: "alarm",
            words: "the detector sounds, again and again at the same place",
        }
    } else {
        Finding {
            key: "silent",
            words: "the detector stays silent",
        }
    }))
}
