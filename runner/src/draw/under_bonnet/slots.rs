//! Where the labels stand under the bonnet. What nobody has given a slot goes to the shelf.

use sim_core::instruments::{CondenserSide, Line, Named, Room, Spot, Wheel};
use sim_core::parts::storage::Place as Bottle;
use sim_core::spec::{CarSpec, HighPort};

use crate::chart::svg::Place as At;
use crate::draw::callout::{Slot, slot};

/// Lane of the discharge and the suction hose, and the middle of the labels beside it.
pub(super) const LEFT_PX: f64 = 98.0;
const LEFT_LABELS_PX: f64 = 45.0;
/// Lane of the liquid line.
pub(super) const RIGHT_PX: f64 = 262.0;
pub(super) const RIGHT_LABELS_PX: f64 = 315.0;
/// Shaft of the compressor.
pub(super) const SHAFT: At = (152.0, 304.0);

/// Where a place's label stands and what it points at.
pub(super) fn slot_of(id: &str, spec: &CarSpec) -> Option<Slot> {
    let left = |y: f64| slot((LEFT_LABELS_PX, y), (LEFT_PX, y));
    let right = |y: f64| slot((RIGHT_LABELS_PX, y), (RIGHT_PX, y));
    let tapped_on_liquid = spec.high_port == HighPort::LiquidLine;
    if let Some(line) = Line::by_name(id) {
        let found = match line {
            Line::CondenserInlet => left(70.0),
            Line::CompressorDischarge => left(256.0),
            Line::CompressorSuction => left(346.0),
            Line::CondenserOutlet => right(132.0),
            Line::DrierInlet => right(168.0),
            Line::DrierOutlet => right(246.0),
            Line::LiquidLine => right(318.0),
            Line::AccumulatorOutlet => left(492.0),
            // Behind the dash.
            Line::EvaporatorInlet | Line::EvaporatorOutlet => None,
        };
        return found;
    }
    if let Some(spot) = Spot::by_name(id) {
        return match spot {
            Spot::CondenserFace => slot((180.0, 82.0), (180.0, 82.0)),
            Spot::CondenserFan => slot((212.0, 142.0), (150.0, 152.0)),
            Spot::DischargeHose => left(122.0),
            Spot::HighPort if tapped_on_liquid => {
                slot((RIGHT_LABELS_PX, 356.0), (RIGHT_PX + 8.0, 356.0))
            }
            Spot::HighPort => slot((LEFT_LABELS_PX, 166.0), (LEFT_PX - 8.0, 166.0)),
            Spot::Transducer if tapped_on_liquid => right(392.0),
            Spot::Transducer => left(204.0),
            Spot::Receiver if spec.storage.place == Bottle::InCondenser => {
                slot((322.0, 80.0), (270.0, 80.0))
            }
            Spot::Receiver => slot((RIGHT_LABELS_PX + 4.0, 206.0), (RIGHT_PX, 206.0)),
            Spot::SightGlass => right(284.0),
            Spot::LiquidLine => right(318.0),
            Spot::Compressor => slot((LEFT_LABELS_PX, SHAFT.1), (112.0, SHAFT.1)),
            Spot::Belt => slot((232.0, 286.0), (199.0, 286.0)),
            Spot::ClutchHub => slot((206.0, 346.0), SHAFT),
            Spot::ClutchPlug => slot((196.0, 386.0), (140.0, 344.0)),
            Spot::Fuse => slot((166.0, 494.0), (124.0, 494.0)),
            Spot::SuctionHose => left(400.0),
            Spot::LowPort if spec.storage.place == Bottle::Suction => {
                slot((LEFT_LABELS_PX, 596.0), (LEFT_PX - 8.0, 604.0))
            }
            Spot::LowPort => slot((LEFT_LABELS_PX, 446.0), (LEFT_PX - 8.0, 446.0)),
            Spot::Accumulator => slot((LEFT_LABELS_PX - 1.0, 546.0), (LEFT_PX, 546.0)),
            Spot::ExpansionValve | Spot::OrificeTube => right(604.0),
            Spot::HeaterHoses => slot((196.0, 606.0), (156.0, 612.0)),
            // Behind the dash.
            Spot::Evaporator | Spot::Drain | Spot::Vents | Spot::Blower | Spot::CabinFilter => None,
        };
    }
    if let Some(side) = CondenserSide::by_name(id) {
        return match side {
            CondenserSide::Front => slot((180.0, 22.0), (144.0, 46.0)),
            CondenserSide::Behind => slot((208.0, 186.0), (136.0, 196.0)),
        };
    }
    if let Some(wheel) = Wheel::by_name(id) {
        return match wheel {
            Wheel::Pulley => slot((216.0, 314.0), (SHAFT.0 + 21.0, SHAFT.1 + 4.0)),
            // It is the clutch's hub.
            Wheel::Hub => None,
        };
    }
    if Room::by_name(id) == Some(Room::Outside) {
        return slot((LEFT_LABELS_PX + 2.0, 22.0), (116.0, 22.0));
    }
    match id {
        "relay" => slot((166.0, 458.0), (124.0, 458.0)),
        "battery" => slot((172.0, 530.0), (124.0, 530.0)),
        "coil-ground" => slot((207.0, 424.0), (152.0, 424.0)),
        "engine-ground" => slot((222.0, 484.0), (222.0, 514.0)),
        _ => None,
    }
}
