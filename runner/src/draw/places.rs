//! What can be touched on a car: each place with its name and the actions that go there.
//!
//! Nothing here knows a picture. A place is what the action language has a word for; which of them a
//! car has, and what can be done there, follows from the lists the actions themselves are made of.

use scenarios::vehicle::{Places, Vehicle};
use sim_core::instruments::{
    Check, CondenserSide, Dull, Gauge, LEAK_SPOTS, Line, Named, Part, Room, Spot, Wheel,
    every_check,
};
use sim_core::loop_model::layout::Layout;
use sim_core::parts::circuit::{Feeds, Link, Point};
use sim_core::repair::Job;
use sim_core::spec::CarSpec;

use crate::action::{Action, GaugeStep, command_of};

/// A place of a car.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The action language's word for it, or for a place of the circuit what its measurements start with.
    pub id: &'static str,
    /// A few words, as a picture labels it.
    pub label: String,
    /// Where the vehicle's file says it is.
    pub whereabouts: Option<String>,
    /// Texts of the actions that go there, used rightly.
    pub actions: Vec<String>,
}

impl Place {
    /// What it is, where it is and what can be done there.
    #[must_use]
    pub fn title(&self) -> String {
        let mut verbs: Vec<&str> = Vec::new();
        for action in &self.actions {
            let verb = action.split(' ').next().unwrap_or_default();
            if !verbs.contains(&verb) {
                verbs.push(verb);
            }
        }
        let whereabouts = self.whereabouts.as_ref();
        let whereabouts = whereabouts.map_or(String::new(), |words| format!(", {words}"));
        format!("{}{whereabouts}: {}", self.label, verbs.join(", "))
    }
}

const BATTERY: &str = "battery";
const RELAY: &str = "relay";
const COIL_GROUND: &str = "coil-ground";
const ENGINE_GROUND: &str = "engine-ground";

/// Steps with the gauge set that are taken at the service ports.
const AT_PORTS: [GaugeStep; 6] = [
    GaugeStep::Connect,
    GaugeStep::Open,
    GaugeStep::Read,
    GaugeStep::Watch,
    GaugeStep::Close,
    GaugeStep::Disconnect,
];

/// The place of a car that is called so, where it has one.
#[must_use]
pub fn called(vehicle: &Vehicle, id: Option<&str>) -> Option<Place> {
    places(vehicle).into_iter().find(|one| id == Some(one.id))
}

/// Every place of a vehicle, each once.
#[must_use]
pub fn places(vehicle: &Vehicle) -> Vec<Place> {
    let spec = &vehicle.spec;
    let layout = Layout::of(spec);
    let mut found: Vec<Place> = Vec::new();
    let mut add = |id: &'static str, action: String| {
        let index = found.iter().position(|place| place.id == id);
        let index = index.unwrap_or_else(|| {
            found.push(Place {
                id,
                label: label(id, spec),
                whereabouts: whereabouts(id, &vehicle.places),
                actions: Vec::new(),
            });
            found.len() - 1
        });
        if let Some(place) = found.get_mut(index)
            && !place.actions.contains(&action)
        {
            place.actions.push(action);
        }
    };
    // What a missed cue can be leaves these two out, as they say again what others say.
    let again = LEAK_SPOTS.map(Check::Soap).into_iter();
    let again = again.chain(
        Line::ALL
            .iter()
            .map(|line| Check::Infrared(*line, Dull::Tape)),
    );
    for check in every_check().into_iter().chain(again) {
        // The gauges' own steps follow below.
        if matches!(check, Check::LowGauge | Check::HighGauge) {
            continue;
        }
        if let Some(id) = place_of(check, spec, &layout) {
            add(id, command_of(check));
        }
    }
    for port in [Spot::LowPort, Spot::HighPort] {
        for step in AT_PORTS {
            add(port.name(), Action::Gauges(step).to_string());
        }
    }
    add(Spot::LowPort.name(), Action::AddDye.to_string());
    for line in Line::ALL.iter().filter(|line| line.role(&layout).is_some()) {
        add(line.name(), Action::Loosen(*line).to_string());
    }
    for spot in LEAK_SPOTS.iter().filter(|spot| spot.is_on(spec)) {
        add(spot.name(), Action::Wipe(*spot).to_string());
    }
    found
}

/// Where a check is made, if it is made at a place and the car has it.
fn place_of(check: Check, spec: &CarSpec, layout: &Layout) -> Option<&'static str> {
    let spot = |spot: Spot| spot.is_on(spec).then(|| spot.name());
    let line = |line: Line| line.role(layout).map(|_| line.name());
    let belt = Job::Belt.is_on(spec);
    match check {
        Check::LowGauge | Check::GaugeExtreme(Gauge::Low, _) | Check::GasShare(_) => {
            spot(Spot::LowPort)
        }
        Check::HighGauge | Check::GaugeExtreme(Gauge::High, _) => spot(Spot::HighPort),
        Check::Vacuum => spot(Spot::LowPort),
        Check::LineTemperature(one) | Check::Infrared(one, _) => line(one),
        Check::VentTemperature(vent) | Check::AirSpeed(vent) => Some(vent.name()),
        Check::AirTemperature(room) | Check::Humidity(room) => Some(room.name()),
        Check::CondenserAir(side) => Some(side.name()),
        // An inverter's electronics are nothing for an ohmmeter.
        Check::CoilResistance if spec.circuit.feeds == Feeds::Electronics => None,
        Check::CoilResistance | Check::CoilVoltage | Check::CoilCurrent => spot(Spot::ClutchPlug),
        Check::ClutchGap if Job::ClutchGap.is_on(spec) => spot(Spot::ClutchHub),
        Check::ShaftSpeed(Wheel::Hub) if belt => spot(Spot::ClutchHub),
        Check::ShaftSpeed(Wheel::Pulley) | Check::PulleyLine if belt => Some(Wheel::Pulley.name()),
        Check::BeltTension if belt => spot(Spot::Belt),
        Check::ClutchGap | Check::ShaftSpeed(_) | Check::PulleyLine | Check::BeltTension => None,
        Check::Sense(_, one) | Check::LeakSearch(one, _) | Check::Soap(one) | Check::Lamp(one) => {
            spot(one)
        }
        Check::Voltage(point) => Some(match point {
            Point::BatteryNegative | Point::BatteryPost => BATTERY,
            Point::FuseIn | Point::FuseOut => Spot::Fuse.name(),
            Point::RelayFeed | Point::RelayOutput | Point::RelayCoilFeed | Point::RelayControl => {
                RELAY
            }
            Point::PlugHarness | Point::PlugCoil => Spot::ClutchPlug.name(),
            Point::CoilGround => COIL_GROUND,
            Point::EngineGround => ENGINE_GROUND,
        }),
        Check::VoltageDrop(link) => Some(match link {
            Link::Feed => BATTERY,
            Link::Fuse => Spot::Fuse.name(),
            Link::FuseToRelay | Link::Relay => RELAY,
            Link::Harness | Link::Plug => Spot::ClutchPlug.name(),
            Link::Ground => COIL_GROUND,
            Link::Strap => ENGINE_GROUND,
        }),
        Check::PartResistance(part) => Some(match part {
            Part::Fuse => Spot::Fuse.name(),
            Part::RelayCoil | Part::RelayContacts => RELAY,
            Part::Ground => COIL_GROUND,
        }),
        // A wrong use is made where the right one is.
        Check::Misused(misuse) => place_of(misuse.rightly()?, spec, layout),
        // Scan tool and machines stand beside the car.
        Check::ScanPressure
        | Check::ScanEvaporator
        | Check::ScanRequest
        | Check::ScanAmbient
        | Check::ScanReason
        | Check::ScanSpeed
        | Check::ScanInsulation
        | Check::RecoveredMass
        | Check::ChargedMass
        | Check::MachinePressure => None,
    }
}

fn label(id: &str, spec: &CarSpec) -> String {
    if let Some(spot) = Spot::by_name(id) {
        return spot.words_on(spec);
    }
    if let Some(room) = Room::by_name(id) {
        return format!("{} air", room.name());
    }
    match CondenserSide::by_name(id) {
        Some(CondenserSide::Front) => "air before condenser".to_owned(),
        Some(CondenserSide::Behind) => "air behind condenser".to_owned(),
        None if id == COIL_GROUND && spec.circuit.feeds == Feeds::Electronics => {
            "inverter ground".to_owned()
        }
        None => id.replace('-', " "),
    }
}

fn whereabouts(id: &str, places: &Places) -> Option<String> {
    let words = match Spot::by_name(id)? {
        Spot::LowPort => &places.low_side_port,
        Spot::HighPort => &places.high_side_port,
        Spot::Compressor => &places.compressor,
        Spot::ClutchPlug => &places.clutch_connector,
        Spot::Fuse => &places.clutch_fuse,
        Spot::Transducer => &places.transducer,
        Spot::ExpansionValve | Spot::OrificeTube => &places.expansion_valve,
        Spot::CabinFilter => &places.cabin_filter,
        Spot::ClutchHub
        | Spot::Belt
        | Spot::CondenserFace
        | Spot::CondenserFan
        | Spot::DischargeHose
        | Spot::LiquidLine
        | Spot::SightGlass
        | Spot::Evaporator
        | Spot::Drain
        | Spot::SuctionHose
        | Spot::Vents
        | Spot::Blower
        | Spot::HeaterHoses
        | Spot::Receiver
        | Spot::Accumulator => return None,
    };
    Some(words.clone())
}
