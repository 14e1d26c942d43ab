//! Instruments used the wrong way: what is then measured comes from the model, too.

use crate::car::Car;
use crate::instruments::check::{Check, gas_words, plain};
use crate::instruments::electrical::{Fed, Part};
use crate::instruments::place::{
    CondenserSide, Dull, Gas, Gauge, LeakScale, Line, Named, Room, Spot, Vent, Wheel,
};
use crate::instruments::radiance::{BRIGHT, DULL, FAR_M, NEAR_M, pipe_share};
use crate::instruments::senses::Finding;
use crate::instruments::tool::Tool;
use crate::instruments::traces::leak_search;
use crate::instruments::truth::{Impossible, Truth, Watch, infrared_k, pipe_k, truth};
use crate::loop_model::layout::Role;
use crate::parts::circuit::{Link, Point};

/// A wrong use.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Misuse {
    /// Gauge read with its coupling shut: it shows what the hose holds.
    ShutGauge(Gauge),
    /// Clamp read before it has settled.
    ClampQuick(Line),
    /// Clamp on dirt or plastic, not wrapped: it feels the air as well.
    ClampBare(Line),
    /// Infrared off the bright pipe: it shows what is mirrored.
    InfraredBare(Line),
    /// Infrared on tape, from where the spot is wider than the pipe.
    InfraredFar(Line),
    /// Vent thermometer read before it has settled.
    VentQuick(Vent),
    /// Air thermometer read before it has settled.
    AirQuick(Room),
    /// Hygrometer read before it has settled.
    HumidityQuick(Room),
    /// Anemometer held askew: a vane feels the part along its axis.
    AirSpeedAskew(Vent),
    /// Feeler gauge at one place of a plate that does not run true.
    FeelerOnePlace,
    /// Scan tool with so many values on the screen that it refreshes late.
    ScanPressureSlow,
    /// The same for the evaporator sensor.
    ScanEvaporatorSlow,
    /// Leak detector held above the spot.
    LeakAbove(Spot, LeakScale),
    /// Tachometer without a mark: it counts every bright rivet.
    SpeedUnmarked(Wheel),
    /// Belt tension gauge told the length of another span.
    TensionWrongSpan,
    /// Straight edge on the rims, which are not as thick as each other.
    LineOnRims,
    /// Identifier that has not warmed up.
    GasShareCold(Gas),
    /// Identifier on the liquid line: its filter is soaked.
    GasFromLiquid,
    /// Air thermometer at the condenser read before it has settled.
    CondenserAirQuick(CondenserSide),
    /// Its tip resting on the fins, so that it feels them as well.
    CondenserAirOnFins(CondenserSide),
    /// Ambient sensor read at once after a hot stop: no air has moved past it yet.
    ScanAmbientSoaked,
    /// Voltage of a point on the alternating range.
    VoltageOnAc(Point),
    /// Voltage drop over a link on the alternating range.
    VoltageDropOnAc(Link),
    /// Voltage at the coil's plug on the alternating range.
    CoilVoltageOnAc,
    /// Resistance of a part with that of the leads in it.
    PartResistanceUnzeroed(Part),
    /// Resistance of the coil with that of the leads in it.
    CoilResistanceUnzeroed,
    /// Current clamp that was not zeroed: it shows what is left in its iron.
    CoilCurrentUnzeroed,
}

/// Time in which somebody in a hurry reads, s.
const HURRY_S: f64 = 5.0;
/// How far a clamp on dirt, unwrapped, is drawn towards the air around, as a share (from memory).
const BARE_AIR_SHARE: f64 = 0.25;
/// Cosine of the angle at which an anemometer is held askew: 45°.
const ASKEW: f64 = std::f64::consts::FRAC_1_SQRT_2;
/// Run-out of a clutch plate that is still sound, m (common practice, no source).
const RUN_OUT_M: f64 = 0.12e-3;
/// Time in which a scan tool with every value on its screen comes round, s (common practice, no source).
const SLOW_SCAN_S: f64 = 15.0;
/// Rivets on a hub, or bright webs of a pulley, that a beam counts (common practice, no source).
const BRIGHT_PLACES: f64 = 3.0;
/// What the rims of two pulleys differ by in thickness, m (from memory).
const RIMS_DIFFER_M: f64 = 2e-3;
/// Length of the span next to the right one, as a share of it (from memory).
const OTHER_SPAN: f64 = 1.25;
/// Share that an identifier's lamp is short of when cold, which it takes for air (from memory).
const COLD_SHORT: f64 = 0.3;
/// Time constant of its warming up, s (from memory).
const WARMS_UP_S: f64 = 60.0;
/// How far a tip that rests on fins is drawn from the air towards them, as a share (from memory).
const ON_FINS_SHARE: f64 = 0.5;
/// How far an ambient sensor behind the grille is drawn towards the bay's air with none moving, as a
/// share (from memory).
const SOAKED_SHARE: f64 = 0.5;
/// Ripple of a charging system as an alternating range shows it, as a share of the steady voltage
/// (common practice, no source: some tens of millivolts).
const RIPPLE_SHARE: f64 = 0.003;
/// Resistance of a pair of worn test leads, Ω (common practice, no source).
const LEADS_OHM: f64 = 0.5;
/// What a clamp shows of the magnetism left in its iron, A (common practice, no source).
const LEFT_IN_IRON_A: f64 = 0.6;
/// Time after switching on at which somebody in a hurry draws a sample, s.
const COLD_SAMPLE_S: f64 = 30.0;

impl Misuse {
    /// The instrument, where it shows a number.
    #[must_use]
    pub fn tool(self) -> Option<Tool> {
        self.rightly().and_then(Check::tool)
    }

    /// What the right use would check; `None` where nothing comes of it.
    #[must_use]
    pub fn rightly(self) -> Option<Check> {
        Some(match self {
            Self::ShutGauge(Gauge::Low) => Check::LowGauge,
            Self::ShutGauge(Gauge::High) => Check::HighGauge,
            Self::ClampQuick(line) | Self::ClampBare(line) => Check::LineTemperature(line),
            Self::InfraredBare(line) | Self::InfraredFar(line) => Check::Infrared(line, Dull::Tape),
            Self::VentQuick(vent) => Check::VentTemperature(vent),
            Self::AirQuick(room) => Check::AirTemperature(room),
            Self::HumidityQuick(room) => Check::Humidity(room),
            Self::AirSpeedAskew(vent) => Check::AirSpeed(vent),
            Self::FeelerOnePlace => Check::ClutchGap,
            Self::ScanPressureSlow => Check::ScanPressure,
            Self::ScanEvaporatorSlow => Check::ScanEvaporator,
            Self::LeakAbove(spot, scale) => Check::LeakSearch(spot, scale),
            Self::SpeedUnmarked(wheel) => Check::ShaftSpeed(wheel),
            Self::TensionWrongSpan => Check::BeltTension,
            Self::LineOnRims => Check::PulleyLine,
            Self::GasShareCold(gas) => Check::GasShare(gas),
            Self::GasFromLiquid => return None,
            Self::CondenserAirQuick(side) | Self::CondenserAirOnFins(side) => {
                Check::CondenserAir(side)
            }
            Self::ScanAmbientSoaked => Check::ScanAmbient,
            Self::VoltageOnAc(point) => Check::Voltage(point),
            Self::VoltageDropOnAc(link) => Check::VoltageDrop(link),
            Self::CoilVoltageOnAc => Check::CoilVoltage,
            Self::PartResistanceUnzeroed(part) => Check::PartResistance(part),
            Self::CoilResistanceUnzeroed => Check::CoilResistance,
            Self::CoilCurrentUnzeroed => Check::CoilCurrent,
        })
    }

    /// Time it takes, s of shop clock.
    #[must_use]
    pub fn time_s(self) -> f64 {
        match self {
            Self::ClampQuick(_)
            | Self::VentQuick(_)
            | Self::AirQuick(_)
            | Self::HumidityQuick(_)
            | Self::CondenserAirQuick(_) => HURRY_S,
            Self::InfraredBare(_) => Tool::InfraredThermometer.spec().time_s,
            Self::GasShareCold(_) => COLD_SAMPLE_S,
            // The filter has to be changed.
            Self::GasFromLiquid => 420.0,
            Self::ShutGauge(_)
            | Self::ClampBare(_)
            | Self::InfraredFar(_)
            | Self::AirSpeedAskew(_)
            | Self::FeelerOnePlace
            | Self::ScanPressureSlow
            | Self::ScanEvaporatorSlow
            | Self::LeakAbove(..)
            | Self::SpeedUnmarked(_)
            | Self::TensionWrongSpan
            | Self::LineOnRims
            | Self::CondenserAirOnFins(_)
            | Self::ScanAmbientSoaked
            | Self::VoltageOnAc(_)
            | Self::VoltageDropOnAc(_)
            | Self::CoilVoltageOnAc
            | Self::PartResistanceUnzeroed(_)
            | Self::CoilResistanceUnzeroed
            | Self::CoilCurrentUnzeroed => self.rightly().map_or(0.0, Check::time_s),
        }
    }

    /// Its time constant, s, where the right use has this one.
    #[must_use]
    pub fn lag_s(self, rightly_s: f64) -> f64 {
        match self {
            Self::ScanPressureSlow | Self::ScanEvaporatorSlow => SLOW_SCAN_S,
            _ => rightly_s,
        }
    }

    /// Plain words for what is checked and how, on a car whose circuit feeds what is named.
    pub(super) fn worded(self, fed: Fed) -> String {
        let how = match self {
            Self::ShutGauge(_) => "coupling shut",
            Self::ClampQuick(_)
            | Self::VentQuick(_)
            | Self::AirQuick(_)
            | Self::HumidityQuick(_)
            | Self::CondenserAirQuick(_) => "read at once",
            Self::ClampBare(_) => "over dirt, not wrapped",
            Self::InfraredBare(line) => {
                return format!("infrared on the bare pipe at the {}", plain(line.name()));
            }
            Self::InfraredFar(_) => "from far off",
            Self::AirSpeedAskew(_) => "held askew",
            Self::FeelerOnePlace => "at one place",
            Self::ScanPressureSlow | Self::ScanEvaporatorSlow => "all values on the screen",
            Self::LeakAbove(..) => "held above",
            Self::SpeedUnmarked(_) => "without a mark",
            Self::TensionWrongSpan => "length of another span",
            Self::LineOnRims => "laid on the rims",
            Self::GasShareCold(gas) => {
                return format!("identifier, cold: share of {}", gas_words(gas));
            }
            Self::CondenserAirOnFins(_) => "tip on the fins",
            Self::ScanAmbientSoaked => "at once after a hot stop",
            Self::VoltageOnAc(_) | Self::VoltageDropOnAc(_) | Self::CoilVoltageOnAc => {
                "on the alternating range"
            }
            Self::PartResistanceUnzeroed(_) | Self::CoilResistanceUnzeroed => {
                "the leads' own in it"
            }
            Self::CoilCurrentUnzeroed => "clamp not zeroed",
            Self::GasFromLiquid => return "identifier on the liquid line".to_owned(),
        };
        let what = self.rightly().map(|check| check.worded(fed));
        let what = what.unwrap_or_default();
        format!("{what}, {how}")
    }
}

/// What a wrong use measures.
pub(super) fn mismeasured(car: &Car, misuse: Misuse, watch: Watch) -> Result<Truth, Impossible> {
    let number = |value: f64| Ok(Truth::Number(value));
    let rightly = || match misuse.rightly().map(|check| truth(car, check, watch)) {
        Some(found) => match found? {
            Truth::Number(value) => Ok(value),
            Truth::Finding(_) => Ok(0.0),
        },
        None => Ok(0.0),
    };
    let bay_k = car.state().bay.bay_k;
    match misuse {
        Misuse::ShutGauge(gauge) => {
            let service = &car.state().service;
            let [low_pa, high_pa] = service.hoses_pa;
            let hose_pa = match gauge {
                Gauge::Low => low_pa,
                Gauge::High => high_pa,
            };
            number(hose_pa - service.gauge_zero_pa)
        }
        Misuse::ClampBare(line) => {
            let inside_k = pipe_k(car, line)?;
            number(inside_k + BARE_AIR_SHARE * (bay_k - inside_k))
        }
        Misuse::InfraredBare(line) => number(infrared_k(
            car,
            pipe_k(car, line)?,
            BRIGHT,
            pipe_share(NEAR_M),
        )),
        Misuse::InfraredFar(line) => {
            number(infrared_k(car, pipe_k(car, line)?, DULL, pipe_share(FAR_M)))
        }
        Misuse::AirSpeedAskew(_) => number(ASKEW * rightly()?),
        Misuse::FeelerOnePlace => number(RUN_OUT_M + rightly()?),
        Misuse::LeakAbove(spot, scale) => leak_search(car, spot, scale, true),
        Misuse::SpeedUnmarked(_) => number(BRIGHT_PLACES * rightly()?),
        // A belt rings at f = √(T / m) / 2L, so that a gauge told a length L shows T as 4 m L² f².
        Misuse::TensionWrongSpan => number(OTHER_SPAN * OTHER_SPAN * rightly()?),
        Misuse::LineOnRims => number(RIMS_DIFFER_M + rightly()?),
        Misuse::GasShareCold(gas) => {
            let short = COLD_SHORT * libm::exp(-COLD_SAMPLE_S / WARMS_UP_S);
            let share = rightly()?;
            number(match gas {
                Gas::Air => share + short * (1.0 - share),
                Gas::R134a | Gas::R1234yf | Gas::Hydrocarbon => (1.0 - short) * share,
            })
        }
        Misuse::GasFromLiquid => Ok(Truth::Finding(Finding {
            key: "soaked",
            words: "the identifier stops: liquid in its inlet, the filter is soaked",
        })),
        Misuse::CondenserAirOnFins(_) => {
            let air_k = rightly()?;
            number(air_k + ON_FINS_SHARE * (fins_k(car) - air_k))
        }
        Misuse::ScanAmbientSoaked => {
            let moving_k = rightly()?;
            number(moving_k + SOAKED_SHARE * (bay_k - car.weather().temperature_k))
        }
        Misuse::VoltageOnAc(_) | Misuse::VoltageDropOnAc(_) | Misuse::CoilVoltageOnAc => {
            number(RIPPLE_SHARE * rightly()?.abs())
        }
        Misuse::PartResistanceUnzeroed(_) | Misuse::CoilResistanceUnzeroed => {
            number(LEADS_OHM + rightly()?)
        }
        Misuse::CoilCurrentUnzeroed => number(LEFT_IN_IRON_A + rightly()?),
        Misuse::CondenserAirQuick(_)
        | Misuse::ClampQuick(_)
        | Misuse::VentQuick(_)
        | Misuse::AirQuick(_)
        | Misuse::HumidityQuick(_)
        | Misuse::ScanPressureSlow
        | Misuse::ScanEvaporatorSlow => number(rightly()?),
    }
}

/// Temperature of the condenser's fins, K: its walls' by their part of the core.
fn fins_k(car: &Car) -> f64 {
    let walls = car
        .layout()
        .volumes
        .iter()
        .zip(&car.state().refrigerant.wall_k);
    walls
        .filter(|(volume, _)| matches!(volume.role, Role::Condenser(_) | Role::Subcooler))
        .map(|(volume, wall_k)| volume.core_share * wall_k)
        .sum()
}
