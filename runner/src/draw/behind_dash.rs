//! Behind the dash, the bulkhead at the top: blower, cabin filter, evaporator, heater core and blend
//! door, and the vents in front of the people.
//!
//! Air goes from left to right through the box, then down to the vents.

use scenarios::vehicle::Vehicle;
use sim_core::instruments::{Line, Named, Room, Spot, Vent};

use crate::chart::svg::{Anchor, Place as At, Svg};
use crate::draw::callout::{self, Links, SHELF_LEFT_PX, Slot, WIDTH_PX, slot};
use crate::draw::places::{Place, places};
use crate::draw::shapes;

/// Upper and lower wall of the air box.
const BOX_TOP_PX: f64 = 92.0;
const BOX_BOTTOM_PX: f64 = 236.0;
/// The duct along the dash, and the vents below it.
const DUCT_PX: f64 = 292.0;
const VENTS_PX: f64 = 348.0;
const VENTS_ACROSS_PX: [f64; 3] = [60.0, 180.0, 300.0];
const BOTTOM_PX: f64 = 462.0;

/// The picture; each place leads where `links` says.
#[must_use]
pub fn behind_dash(vehicle: &Vehicle, links: Links<'_>) -> String {
    let every = places(vehicle);
    let here: Vec<(&Place, Option<Slot>)> = every
        .iter()
        .map(|place| (place, slot_of(place.id)))
        .filter(|(_, slot)| slot.is_some())
        .collect();
    let name = format!(
        "Behind the dash of the {}: air goes through cabin filter, blower and evaporator, past or \
         through the heater core, to the vents",
        vehicle.name
    );
    let mut page = Svg::in_page("draw car", (WIDTH_PX, BOTTOM_PX), "group", &name);
    page.inside("g", &[("aria-hidden", "true")], |page| {
        pipes(page);
        air_box(page);
        vents(page);
        key(page);
    });
    callout::draw_all(&mut page, here, (SHELF_LEFT_PX, BOTTOM_PX), links);
    page.finish()
}

/// Where a place's label stands and what it points at; nothing for what is not behind the dash.
pub(super) fn slot_of(id: &str) -> Option<Slot> {
    if let Some(line) = Line::by_name(id) {
        match line {
            Line::EvaporatorOutlet => return slot((45.0, 44.0), (98.0, 44.0)),
            Line::EvaporatorInlet => return slot((315.0, 44.0), (262.0, 44.0)),
            Line::CompressorSuction
            | Line::CompressorDischarge
            | Line::CondenserInlet
            | Line::CondenserOutlet
            | Line::LiquidLine
            | Line::DrierInlet
            | Line::DrierOutlet
            | Line::AccumulatorOutlet => {}
        }
    }
    if let Some(vent) = Vent::by_name(id) {
        let x = match vent {
            Vent::Left => VENTS_ACROSS_PX[0],
            Vent::Centre => VENTS_ACROSS_PX[1],
            Vent::Right => VENTS_ACROSS_PX[2],
        };
        return slot((x, VENTS_PX + 34.0), (x, VENTS_PX + 8.0));
    }
    if Room::by_name(id) == Some(Room::Cabin) {
        return slot((180.0, 424.0), (180.0, 424.0));
    }
    match Spot::by_name(id)? {
        Spot::CabinFilter => slot((30.0, 112.0), (60.0, 135.0)),
        Spot::Blower => slot((40.0, 226.0), (80.0, 180.0)),
        Spot::Evaporator => slot((166.0, 164.0), (166.0, 164.0)),
        Spot::Drain => slot((218.0, 262.0), (166.0, 262.0)),
        Spot::Vents => slot((320.0, 262.0), (320.0, DUCT_PX)),
        Spot::ClutchHub
        | Spot::Compressor
        | Spot::Belt
        | Spot::ClutchPlug
        | Spot::Fuse
        | Spot::CondenserFace
        | Spot::CondenserFan
        | Spot::DischargeHose
        | Spot::LiquidLine
        | Spot::SightGlass
        | Spot::ExpansionValve
        | Spot::SuctionHose
        | Spot::HeaterHoses
        | Spot::Receiver
        | Spot::Accumulator
        | Spot::LowPort
        | Spot::HighPort
        | Spot::Transducer
        | Spot::OrificeTube => None,
    }
}

fn pipes(page: &mut Svg) {
    page.rect("solid", (4.0, 6.0), (WIDTH_PX - 8.0, 5.0));
    page.text("small", (180.0, 22.0), Anchor::Middle, "bulkhead");
    let outlet: [At; 4] = [(98.0, 11.0), (98.0, 70.0), (156.0, 70.0), (156.0, 100.0)];
    page.path("pipe low gas", &outlet, false);
    let inlet: [At; 4] = [(262.0, 11.0), (262.0, 70.0), (176.0, 70.0), (176.0, 100.0)];
    page.path("pipe low gas", &inlet, false);
    shapes::arrow(page, "low-head", (128.0, 70.0), (98.0, 70.0));
    shapes::arrow(page, "low-head", (222.0, 70.0), (176.0, 70.0));
}

fn air_box(page: &mut Svg) {
    // The box, open where the blower is and where air leaves for the duct.
    let ceiling: [At; 4] = [
        (116.0, 154.0),
        (116.0, BOX_TOP_PX),
        (344.0, BOX_TOP_PX),
        (344.0, DUCT_PX - 12.0),
    ];
    page.path("part", &ceiling, false);
    let floor: [At; 4] = [
        (116.0, 196.0),
        (116.0, BOX_BOTTOM_PX),
        (296.0, BOX_BOTTOM_PX),
        (296.0, DUCT_PX - 12.0),
    ];
    page.path("part", &floor, false);
    // Air comes in from above, through the filter into the blower, and is thrown into the box.
    page.text("small", (80.0, 90.0), Anchor::Middle, "air in");
    shapes::air(page, (80.0, 98.0), (80.0, 118.0));
    shapes::core(page, (52.0, 128.0), (56.0, 14.0), 4.0);
    page.line("part", (80.0, 154.0), (116.0, 154.0));
    page.line("part", (101.0, 196.0), (116.0, 196.0));
    shapes::fan(page, (80.0, 180.0), 26.0);
    for y in [128.0, 210.0] {
        shapes::air(page, (121.0, y), (138.0, y));
    }
    shapes::core(page, (148.0, 100.0), (36.0, 130.0), 4.5);
    page.line("hose", (166.0, 230.0), (166.0, 256.0));
    page.circle("solid", (166.0, 262.0), 2.5);
    // Heater core below, the way past it above, and the door that shares out between them.
    shapes::core(page, (254.0, 166.0), (22.0, 64.0), 4.5);
    page.line("part", (242.0, 160.0), (282.0, 160.0));
    page.circle("solid", (242.0, 160.0), 3.5);
    page.line("door", (242.0, 160.0), (214.0, 212.0));
    page.text("small", (222.0, 108.0), Anchor::Middle, "past heater");
    page.text("small", (218.0, 224.0), Anchor::Middle, "door");
    page.text("small", (286.0, 190.0), Anchor::Start, "heater");
    page.text("small", (286.0, 203.0), Anchor::Start, "core");
    shapes::air(page, (212.0, 128.0), (262.0, 128.0));
    shapes::air(page, (320.0, 214.0), (320.0, 238.0));
}

fn vents(page: &mut Svg) {
    page.path(
        "part",
        &[(296.0, DUCT_PX - 12.0), (40.0, DUCT_PX - 12.0)],
        false,
    );
    page.line("part", (40.0, DUCT_PX - 12.0), (40.0, DUCT_PX + 12.0));
    page.line("part", (344.0, DUCT_PX - 12.0), (344.0, DUCT_PX + 12.0));
    page.line("part", (40.0, DUCT_PX + 12.0), (344.0, DUCT_PX + 12.0));
    for x in VENTS_ACROSS_PX {
        shapes::air(page, (x, DUCT_PX + 16.0), (x, VENTS_PX - 18.0));
        page.rounded("body", (x - 30.0, VENTS_PX - 8.0), (60.0, 18.0), 4.0);
        for slat in [-18.0, -6.0, 6.0, 18.0] {
            page.line(
                "part",
                (x + slat, VENTS_PX - 8.0),
                (x + slat, VENTS_PX + 10.0),
            );
        }
    }
}

fn key(page: &mut Svg) {
    page.line("pipe low gas", (8.0, 450.0), (44.0, 450.0));
    page.text("small", (50.0, 450.0), Anchor::Start, "low side: dashed");
}
