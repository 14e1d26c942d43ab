//! Slips that hurt people, cars or the air. What is unsafe is the trade's usual
//! list of cautions (common practice, no source); the maker's procedure, local
//! law and licensed practice come first.

use sim_core::instruments::{Check, Dull, Line, Misuse, Sense, Spot, Truth, Watch, truth};
use sim_core::loop_model::layout::Role;

use crate::action::{Action, GaugeStep, Gear};
use crate::session::{Gauges, Session};

/// An unsafe act.
#[derive(Clone, Debug, PartialEq)]
pub struct Slip {
    /// What was done.
    pub kind: SlipKind,
    /// Shop clock, s.
    pub at_s: f64,
}

/// Kinds of slip.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SlipKind {
    /// Connected to the service ports without eye protection.
    NoGlasses,
    /// Connected to the service ports without gloves.
    NoGloves,
    /// Couplings put on with the engine running.
    EngineRunningAtPorts,
    /// Couplings taken off while open.
    CouplingLeftOpen,
    /// Gauge set left on the car at the end.
    GaugesLeftOn,
    /// Hand near a turning belt, pulley or hub.
    HandNearBelt,
    /// Bare hand on something too hot to hold.
    BurntHand,
    /// A fitting opened on a loop under pressure.
    OpenedChargedLoop,
    /// Ultraviolet lamp used without glasses.
    BareEyesUnderLamp,
    /// Refrigerant that burns let into the air.
    FlammableRelease,
}

impl SlipKind {
    /// Short name for records.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::NoGlasses => "no-glasses",
            Self::NoGloves => "no-gloves",
            Self::EngineRunningAtPorts => "engine-running-at-ports",
            Self::CouplingLeftOpen => "coupling-left-open",
            Self::GaugesLeftOn => "gauges-left-on",
            Self::HandNearBelt => "hand-near-belt",
            Self::BurntHand => "burnt-hand",
            Self::OpenedChargedLoop => "opened-charged-loop",
            Self::BareEyesUnderLamp => "bare-eyes-under-lamp",
            Self::FlammableRelease => "flammable-release",
        }
    }

    /// The caution in the usual words.
    #[must_use]
    pub fn caution(self) -> &'static str {
        match self {
            Self::NoGlasses => {
                "Refrigerant in the eye freezes it. Wear safety glasses before touching a service port."
            }
            Self::NoGloves => {
                "Escaping refrigerant gives frostbite. Wear insulated gloves at the service ports."
            }
            Self::EngineRunningAtPorts => {
                "Put couplings on with the engine off: belts and fan start without warning, and the high side is at its highest."
            }
            Self::CouplingLeftOpen => {
                "Shut both couplings before taking them off. Letting refrigerant out knowingly is against the law in most places."
            }
            Self::GaugesLeftOn => {
                "The gauge set was still on the car. Shut the couplings, take them off, and put the port caps back."
            }
            Self::HandNearBelt => {
                "A turning belt or hub takes a hand in. Engine off before reaching in."
            }
            Self::BurntHand => "That was hot enough to burn. Use a thermometer, or gloves.",
            Self::BareEyesUnderLamp => {
                "The lamp's ultraviolet light hurts eyes. Wear its glasses, and do not look into it."
            }
            Self::FlammableRelease => {
                "R-1234yf burns, and its flame makes hydrogen fluoride. Keep sparks and hot metal away and air the bay."
            }
            Self::OpenedChargedLoop => {
                "Never open a loop that holds pressure: recover the refrigerant first, with the equipment and the licence your local rules ask for."
            }
        }
    }

    /// Marks it costs, of a hundred.
    #[must_use]
    pub fn cost(self) -> f64 {
        match self {
            Self::NoGlasses | Self::NoGloves | Self::BurntHand | Self::BareEyesUnderLamp => 4.0,
            Self::EngineRunningAtPorts | Self::GaugesLeftOn => 5.0,
            Self::HandNearBelt | Self::CouplingLeftOpen | Self::FlammableRelease => 10.0,
            Self::OpenedChargedLoop => 30.0,
        }
    }
}

/// Above this a bare hand is burnt, K (ISO 13732-1 gives 60 °C for metal touched some seconds; from memory).
const BURNS_ABOVE_K: f64 = 333.15;
/// Gauge pressure below which a loop counts as empty, Pa.
const EMPTY_BELOW_PA: f64 = 20e3;

/// The slips an action would be, with the session as it stands before it.
#[must_use]
pub fn slips_of(action: &Action, session: &Session, worn: &[Gear]) -> Vec<Slip> {
    let running = session.setup().engine_rev_s > 0.0;
    let mut kinds = Vec::new();
    match action {
        Action::Gauges(GaugeStep::Connect)
        | Action::Identify(_)
        | Action::Recover(_)
        | Action::AddDye
        | Action::Check(Check::Vacuum) => {
            // Once for each time something is put on the ports.
            if !worn.contains(&Gear::Glasses) {
                kinds.push(SlipKind::NoGlasses);
            }
            if !worn.contains(&Gear::Gloves) {
                kinds.push(SlipKind::NoGloves);
            }
            if running {
                kinds.push(SlipKind::EngineRunningAtPorts);
            }
        }
        Action::Gauges(GaugeStep::Disconnect) if session.gauges() == Gauges::Open => {
            kinds.push(SlipKind::CouplingLeftOpen);
            if session.car().burns() {
                kinds.push(SlipKind::FlammableRelease);
            }
        }
        Action::Check(Check::Lamp(_)) if !worn.contains(&Gear::Glasses) => {
            kinds.push(SlipKind::BareEyesUnderLamp);
        }
        // Tape is pressed on with a finger.
        Action::Check(Check::Infrared(line, Dull::Tape))
        | Action::Check(Check::Misused(Misuse::InfraredFar(line)))
            if line_k(session, *line) > BURNS_ABOVE_K && !worn.contains(&Gear::Gloves) =>
        {
            kinds.push(SlipKind::BurntHand);
        }
        Action::Check(Check::Sense(Sense::Feel, spot)) => {
            let near_belt = matches!(spot, Spot::Belt | Spot::ClutchHub | Spot::Compressor);
            if running && near_belt {
                kinds.push(SlipKind::HandNearBelt);
            }
            if touched_k(session, *spot) > BURNS_ABOVE_K && !worn.contains(&Gear::Gloves) {
                kinds.push(SlipKind::BurntHand);
            }
        }
        Action::Loosen(line) if charged(session, *line) => {
            kinds.push(SlipKind::OpenedChargedLoop);
            if session.car().burns() {
                kinds.push(SlipKind::FlammableRelease);
            }
        }
        Action::Conclude(_) if session.gauges() != Gauges::Off => {
            kinds.push(SlipKind::GaugesLeftOn);
        }
        _ => {}
    }
    kinds
        .into_iter()
        .map(|kind| Slip { kind, at_s: 0.0 })
        .collect()
}

/// Temperature under the hand, K.
fn touched_k(session: &Session, spot: Spot) -> f64 {
    let line = match spot {
        Spot::DischargeHose => Line::CondenserInlet,
        Spot::Compressor => Line::CompressorDischarge,
        Spot::LiquidLine => Line::LiquidLine,
        Spot::ClutchHub => return session.car().hub_k(),
        _ => return 293.15,
    };
    line_k(session, line)
}

/// Temperature of a line, K.
fn line_k(session: &Session, line: Line) -> f64 {
    match truth(
        session.car(),
        Check::LineTemperature(line),
        Watch::default(),
    ) {
        Ok(Truth::Number(k)) => k,
        Ok(Truth::Finding(_)) | Err(_) => 293.15,
    }
}

fn charged(session: &Session, line: Line) -> bool {
    let car = session.car();
    let role = line.role(car.layout()).unwrap_or(Role::SuctionLine);
    car.pressure_pa(role) - car.weather().pressure_pa() > EMPTY_BELOW_PA
}
