//! Slips that hurt people, cars or the air. What is unsafe is the trade's usual
//! list of cautions (common practice, no source); the maker's procedure, local
//! law and licensed practice come first.

use sim_core::car::{Car, Phase};
use sim_core::instruments::{Check, Dull, Line, Misuse, Sense, Spot, Truth, Watch, truth};
use sim_core::loop_model::layout::Role;

use crate::action::{Action, Control, EngineSpeed, GaugeStep, Gear, Warmth};
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
    /// Service ports or a fitting handled without eye protection.
    NoGlasses,
    /// Service ports or a fitting handled without gloves.
    NoGloves,
    /// Couplings put on or taken off with the engine running.
    EngineRunningAtPorts,
    /// Couplings taken off while open, on a loop under pressure.
    CouplingLeftOpen,
    /// Couplings taken off while open, on a loop below the air's pressure.
    AirLetIn,
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
    /// A vacuum pump put on a loop under pressure.
    PumpedToTheAir,
    /// The compressor turned in a vacuum.
    CompressorInVacuum,
    /// Liquid charged into the suction of a running compressor.
    LiquidToCompressor,
    /// Charged on top of what nobody has weighed.
    ChargedUnknown,
    /// More charged than the label says.
    OverLabel,
    /// The compressor turned on a loop that was emptied here.
    RanEmpty,
    /// A vacuum gauge put on a loop under pressure.
    VacuumGaugeUnderPressure,
    /// A loop pressed with air to find leaks.
    PressedWithAir,
    /// Oil of another kind than the label's put in.
    MixedOils,
    /// A new compressor started without turning it by hand.
    HubNotTurned,
    /// A flame, hot air or an iron with refrigerant in the air.
    FlameNearGas,
    /// A flame held to the charging cylinder.
    FlameAtCylinder,
    /// More refrigerant in unmoved air than people may be in.
    GasInTheAir,
    /// A loop opened under the pressure of a test gas.
    OpenedUnderGas,
    /// A loop pressed beyond what its low side is made for.
    PressedTooHigh,
    /// A compressor at high voltage worked on by somebody who is not qualified for it.
    HighVoltage,
}

impl SlipKind {
    /// Every kind, in the order above.
    pub const ALL: [Self; 27] = [
        Self::NoGlasses,
        Self::NoGloves,
        Self::EngineRunningAtPorts,
        Self::CouplingLeftOpen,
        Self::AirLetIn,
        Self::GaugesLeftOn,
        Self::HandNearBelt,
        Self::BurntHand,
        Self::OpenedChargedLoop,
        Self::BareEyesUnderLamp,
        Self::FlammableRelease,
        Self::PumpedToTheAir,
        Self::CompressorInVacuum,
        Self::LiquidToCompressor,
        Self::ChargedUnknown,
        Self::OverLabel,
        Self::RanEmpty,
        Self::VacuumGaugeUnderPressure,
        Self::PressedWithAir,
        Self::MixedOils,
        Self::HubNotTurned,
        Self::FlameNearGas,
        Self::FlameAtCylinder,
        Self::GasInTheAir,
        Self::OpenedUnderGas,
        Self::PressedTooHigh,
        Self::HighVoltage,
    ];

    /// Short name for records.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::NoGlasses => "no-glasses",
            Self::NoGloves => "no-gloves",
            Self::EngineRunningAtPorts => "engine-running-at-ports",
            Self::CouplingLeftOpen => "coupling-left-open",
            Self::AirLetIn => "air-let-in",
            Self::GaugesLeftOn => "gauges-left-on",
            Self::HandNearBelt => "hand-near-belt",
            Self::BurntHand => "burnt-hand",
            Self::OpenedChargedLoop => "opened-charged-loop",
            Self::BareEyesUnderLamp => "bare-eyes-under-lamp",
            Self::FlammableRelease => "flammable-release",
            Self::PumpedToTheAir => "pumped-to-the-air",
            Self::CompressorInVacuum => "compressor-in-vacuum",
            Self::LiquidToCompressor => "liquid-to-compressor",
            Self::ChargedUnknown => "charged-unknown",
            Self::OverLabel => "over-label",
            Self::RanEmpty => "ran-empty",
            Self::VacuumGaugeUnderPressure => "vacuum-gauge-under-pressure",
            Self::PressedWithAir => "pressed-with-air",
            Self::MixedOils => "mixed-oils",
            Self::HubNotTurned => "hub-not-turned",
            Self::FlameNearGas => "flame-near-gas",
            Self::FlameAtCylinder => "flame-at-cylinder",
            Self::GasInTheAir => "gas-in-the-air",
            Self::OpenedUnderGas => "opened-under-gas",
            Self::PressedTooHigh => "pressed-too-high",
            Self::HighVoltage => "high-voltage",
        }
    }

    /// The caution in the usual words.
    #[must_use]
    pub fn caution(self) -> &'static str {
        match self {
            Self::NoGlasses => {
                "Refrigerant in the eye freezes it. Wear safety glasses before touching a service port or a fitting."
            }
            Self::NoGloves => {
                "Escaping refrigerant gives frostbite. Wear insulated gloves at service ports and fittings."
            }
            Self::EngineRunningAtPorts => {
                "Put couplings on and take them off with the engine off: belts and fan start without warning, and the high side is at its highest."
            }
            Self::CouplingLeftOpen => {
                "Shut both couplings before taking them off. Letting refrigerant out knowingly is against the law in most places."
            }
            Self::AirLetIn => {
                "The loop was below the air's pressure: an open coupling lets air and its water in. Shut both couplings before taking them off; evacuate again before charging."
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
            Self::PumpedToTheAir => {
                "A vacuum pump blows what it draws into the shop, and pressure ruins it. Recover the refrigerant first, with the equipment and the licence your local rules ask for."
            }
            Self::CompressorInVacuum => {
                "Never run the compressor on a loop in vacuum: nothing brings its oil round, and it seizes. Charge first."
            }
            Self::LiquidToCompressor => {
                "Liquid does not compress: charged into the suction of a running compressor it breaks valves and rods. Liquid goes to the high side with the engine off, vapour to the low side; follow the maker's procedure."
            }
            Self::ChargedUnknown => {
                "Nobody knows what is in the loop. Recover and weigh it, evacuate, then charge by mass to the label."
            }
            Self::OverLabel => {
                "Never charge more than the label says: the high side rises until the relief valve opens."
            }
            Self::RanEmpty => {
                "The loop has been emptied: a compressor that turns in it gets no oil back and no cooling, and seizes. Evacuate and charge first, as the maker's procedure says."
            }
            Self::VacuumGaugeUnderPressure => {
                "The vacuum gauge is ruined, and there is no other in the shop: the loop holds pressure. Refrigerant also sprays where such a gauge goes on or gives way. Recover first, by the maker's procedure, and read it while the pump draws."
            }
            Self::PressedWithAir => {
                "Never press a loop with air: under pressure it can explode with the oil or with what is left of the refrigerant, and it brings its water. Use dry nitrogen with a regulator, or a tracer gas, up to the pressure the maker allows."
            }
            Self::FlameNearGas => {
                "No flame, hot-air gun or soldering iron while refrigerant hangs in the air: any of it breaks down there to acid and poisonous gases, and R-1234yf can catch fire and makes hydrogen fluoride. Air the bay first (`ventilation on`), and follow the maker's procedure."
            }
            Self::FlameAtCylinder => {
                "Never warm a cylinder with a flame or hot air: it heats one spot of the wall and nobody sees how far, a cylinder that is full of liquid bursts, and what comes out breaks down in the flame to acid and poisonous gases, or burns (R-1234yf). Stand it in water of at most 40 °C, as the maker's procedure and your local rules say."
            }
            Self::GasInTheAir => {
                "Refrigerant is heavier than air: it lies at the floor and in pits and takes the air's place, it breaks down at flames and glowing things, and R-1234yf can catch fire. Leave, let nobody into a pit, and air the bay: `ventilation on` before refrigerant is drawn out or can get out."
            }
            Self::OpenedUnderGas => {
                "A loop under ten bar of gas throws parts and oil when it is opened. Let the gas out first, slowly, and wear glasses."
            }
            Self::PressedTooHigh => {
                "That is more than evaporator and suction hose are made for: they can burst. Press to what the maker allows for the low side, some ten bar (common practice, no source), and never beyond it."
            }
            Self::HighVoltage => {
                "The orange cable carries hundreds of volts, and the inverter holds them after the car is off: it kills. Leave the compressor to somebody qualified for high voltage, who isolates the car and proves it dead by the maker's procedure and local law (`call-in`)."
            }
            Self::MixedOils => {
                "Never mix oils: the wrong kind does not come back with the refrigerant, and some conduct electricity. Use the kind on the label, as the maker's procedure says."
            }
            Self::HubNotTurned => {
                "A new compressor comes with oil in its cylinders, and oil does not compress. Turn the hub by hand two or three times before the engine does, as the maker's procedure says."
            }
            Self::OpenedChargedLoop => {
                "Never open a loop that holds pressure: what sprays out blinds eyes and freezes skin, and letting it out knowingly is against the law in most places. Recover the refrigerant first, with the equipment and the licence your local rules ask for, and follow the maker's procedure."
            }
        }
    }

    /// Marks it costs, of a hundred.
    #[must_use]
    pub fn cost(self) -> f64 {
        match self {
            Self::NoGlasses | Self::NoGloves | Self::BurntHand | Self::BareEyesUnderLamp => 4.0,
            Self::EngineRunningAtPorts
            | Self::GaugesLeftOn
            | Self::AirLetIn
            | Self::GasInTheAir
            | Self::ChargedUnknown
            | Self::OverLabel
            | Self::VacuumGaugeUnderPressure => 5.0,
            Self::HandNearBelt
            | Self::CouplingLeftOpen
            | Self::FlammableRelease
            | Self::CompressorInVacuum
            | Self::RanEmpty
            | Self::PressedWithAir
            | Self::MixedOils
            | Self::FlameNearGas
            | Self::OpenedUnderGas
            | Self::PressedTooHigh
            | Self::HubNotTurned
            | Self::LiquidToCompressor => 10.0,
            Self::HighVoltage
            | Self::OpenedChargedLoop
            | Self::PumpedToTheAir
            | Self::FlameAtCylinder => 30.0,
        }
    }
}

/// Above this a bare hand is burnt, K (ISO 13732-1 gives 60 °C for metal touched some seconds; from memory).
const BURNS_ABOVE_K: f64 = 333.15;
/// Gauge pressure below which a loop counts as empty, Pa.
pub(crate) const EMPTY_BELOW_PA: f64 = 20e3;

/// Pressure difference from which anything to speak of goes through an open coupling, Pa.
const FLOWS_FROM_PA: f64 = 2e3;

/// Share of the practical limit at which no flame is lit: of R-1234yf a tenth of what burns (common
/// practice, no source).
const FLAME_SHARE: f64 = 0.5;

/// What charging scales and the reading of them may be off by together, kg (SAE J2788: 0.5 oz each).
const SCALES_KG: f64 = 0.03;

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
            bare(worn, &mut kinds);
            if running {
                kinds.push(SlipKind::EngineRunningAtPorts);
            }
            if *action == Action::Check(Check::Vacuum) && session.ruins_vacuum_gauge() {
                kinds.push(SlipKind::VacuumGaugeUnderPressure);
            }
        }
        Action::Evacuate(true) => {
            bare(worn, &mut kinds);
            if charged(session, None) {
                kinds.push(SlipKind::PumpedToTheAir);
                if session.car().burns() {
                    kinds.push(SlipKind::FlammableRelease);
                }
            }
        }
        Action::Charge(phase, kg) => {
            bare(worn, &mut kinds);
            if *phase == Phase::Liquid && running {
                kinds.push(SlipKind::LiquidToCompressor);
            }
            let label_kg = session.car().spec().label_charge_kg;
            match session.car().charged_since_vacuum_kg() {
                None => kinds.push(SlipKind::ChargedUnknown),
                Some(held) if held + kg > label_kg + SCALES_KG => kinds.push(SlipKind::OverLabel),
                Some(_) => {}
            }
        }
        Action::Turn(control) if asks_for_compressor(control, session) => {
            let ready = charged(session, None) && !in_vacuum(session);
            if ready && session.car().state().service.oil_in_cylinders > 0.0 {
                kinds.push(SlipKind::HubNotTurned);
            }
        }
        Action::Gauges(GaugeStep::Disconnect) => {
            if running {
                kinds.push(SlipKind::EngineRunningAtPorts);
            }
            if session.gauges() == Gauges::Open {
                through_open_couplings(session, &mut kinds);
            }
        }
        Action::WarmCylinder(Warmth::Flame) => {
            kinds.push(SlipKind::FlameAtCylinder);
            if is_flame_near_gas(session.car()) {
                kinds.push(SlipKind::FlameNearGas);
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
        Action::Loosen(line) => {
            // Oil and what is dissolved in it spit out of an emptied loop too.
            bare(worn, &mut kinds);
            if running {
                kinds.push(SlipKind::HandNearBelt);
            }
            if charged(session, line.role(session.car().layout())) {
                kinds.push(SlipKind::OpenedChargedLoop);
                if session.car().burns() {
                    kinds.push(SlipKind::FlammableRelease);
                }
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

/// What hands and eyes lack where refrigerant may come out.
pub(crate) fn bare(worn: &[Gear], kinds: &mut Vec<SlipKind>) {
    if !worn.contains(&Gear::Glasses) {
        kinds.push(SlipKind::NoGlasses);
    }
    if !worn.contains(&Gear::Gloves) {
        kinds.push(SlipKind::NoGloves);
    }
}

/// Whether a control turned makes both engine and air conditioning be on.
fn asks_for_compressor(control: &Control, session: &Session) -> bool {
    let setup = session.setup();
    let runs = setup.engine_rev_s > 0.0;
    match control {
        Control::Engine(speed) => *speed != EngineSpeed::Off && setup.ac_on,
        Control::AirConditioning(on) => *on && runs,
        // Driving off starts the engine.
        Control::Road(speed) => *speed > 0.0 && setup.ac_on && !runs,
        Control::Blower(_)
        | Control::Recirculate(_)
        | Control::Temperature(_)
        | Control::Doors(_)
        | Control::ShopFan(_) => false,
    }
}

/// What comes out, or goes in, where couplings are pulled off open.
fn through_open_couplings(session: &Session, kinds: &mut Vec<SlipKind>) {
    let car = session.car();
    let over_pa = car
        .ports()
        .map(|role| car.pressure_pa(role) - car.weather().pressure_pa());
    if over_pa.iter().any(|pa| *pa > FLOWS_FROM_PA) {
        kinds.push(SlipKind::CouplingLeftOpen);
        if car.burns() {
            kinds.push(SlipKind::FlammableRelease);
        }
    } else if over_pa.iter().any(|pa| *pa < -FLOWS_FROM_PA) {
        kinds.push(SlipKind::AirLetIn);
    }
}

/// Whether so much refrigerant lies in the air that nobody brings a flame or an iron near it.
pub(crate) fn is_flame_near_gas(car: &Car) -> bool {
    car.low_air_kg_m3() > FLAME_SHARE * car.practical_limit_kg_m3()
}

/// Whether a pump has had the loop and nothing has been charged since.
fn in_vacuum(session: &Session) -> bool {
    session.car().state().service.thin
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

/// Whether a part of the loop holds pressure; the suction line where none is named.
pub(crate) fn charged(session: &Session, role: Option<Role>) -> bool {
    let car = session.car();
    let role = role.unwrap_or(Role::SuctionLine);
    car.pressure_pa(role) - car.weather().pressure_pa() > EMPTY_BELOW_PA
}
