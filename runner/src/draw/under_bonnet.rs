//! Under the bonnet, the car's front at the top: compressor, condenser, fan, bottle, lines and ports,
//! and the circuit that switches the compressor.
//!
//! Schematic: where on the engine a part is differs from car to car, and its label says it in the words
//! of the vehicle's file. Hoses run in two lanes, labels stand beside them.

mod slots;

use scenarios::vehicle::Vehicle;
use sim_core::parts::displacement::Capacity;
use sim_core::parts::storage::Place as Bottle;
use sim_core::spec::{CarSpec, HighPort};

use crate::chart::svg::{Anchor, Place as At, Svg};
use crate::draw::behind_dash;
use crate::draw::callout::{self, Links, SHELF_LEFT_PX, Slot, WIDTH_PX};
use crate::draw::places::{Place, places};
use crate::draw::shapes;
use crate::draw::under_bonnet::slots::{LEFT_PX, RIGHT_LABELS_PX, RIGHT_PX, SHAFT, slot_of};

/// Shaft of the engine.
const CRANK: At = (210.0, 245.0);
/// The bulkhead, and where the key below it ends.
const BULKHEAD_PX: f64 = 640.0;
const BOTTOM_PX: f64 = 722.0;

/// The picture; each place leads where `links` says.
#[must_use]
pub fn under_bonnet(vehicle: &Vehicle, links: Links<'_>) -> String {
    let spec = &vehicle.spec;
    let every = places(vehicle);
    let here: Vec<(&Place, Option<Slot>)> = every
        .iter()
        .filter(|place| behind_dash::slot_of(place.id).is_none())
        .map(|place| (place, slot_of(place.id, spec)))
        .collect();
    let stored = here.iter().filter(|(_, slot)| slot.is_none());
    let shelf = callout::shelf_height(stored.map(|(place, _)| *place));
    let words = words(spec);
    let name = format!(
        "Under the bonnet of the {}: {}",
        vehicle.name,
        words.join("; ")
    );
    let size = (WIDTH_PX, BOTTOM_PX + shelf);
    let mut page = Svg::in_page("draw car", size, "group", &name);
    page.inside("g", &[("aria-hidden", "true")], |page| {
        front(page, spec);
        compressor(page, spec);
        circuit(page);
        low_side(page, spec);
        high_side(page, spec);
        bulkhead(page, spec);
        key(page, &words);
    });
    callout::draw_all(&mut page, here, (SHELF_LEFT_PX, BOTTOM_PX), links);
    page.finish()
}

/// What the car's air conditioning is made of.
fn words(spec: &CarSpec) -> [String; 3] {
    let drive = match (spec.compressor.turned.pulley_ratio(), &spec.clutch) {
        (Some(_), Some(_)) => "belt and clutch",
        (Some(_), None) => "belt, no clutch",
        (None, _) => "a motor of its own",
    };
    let capacity = match spec.compressor.capacity {
        Capacity::Fixed => "fixed",
        Capacity::Variable(_) => "variable",
    };
    let bottle = match spec.storage.place {
        Bottle::InCondenser => "receiver-drier in the condenser, at its side",
        Bottle::LiquidLine => "receiver in the liquid line",
        Bottle::Suction => "accumulator in the suction line",
    };
    let device = match spec.expansion.valve() {
        Some(_) => "expansion valve",
        None => "orifice tube",
    };
    [
        format!("Compressor: {capacity}, {drive}"),
        format!("Bottle: {bottle}"),
        format!("Expansion: {device}"),
    ]
}

fn front(page: &mut Svg, spec: &CarSpec) {
    for x in [116.0, 130.0, 230.0, 244.0] {
        shapes::air(page, (x, 12.0), (x, 40.0));
    }
    page.text(
        "small",
        (RIGHT_LABELS_PX, 22.0),
        Anchor::Middle,
        "front of car",
    );
    let (corner, size) = ((112.0, 52.0), (136.0, 60.0));
    shapes::core(page, corner, size, 5.0);
    for x in [104.0, 248.0] {
        page.rect("body", (x, 50.0), (8.0, 64.0));
    }
    if spec.condenser.subcooler.is_some() {
        page.line("part", (112.0, 100.0), (248.0, 100.0));
    }
    if spec.storage.place == Bottle::InCondenser {
        for y in [94.0, 106.0] {
            page.line("pipe high liquid", (256.0, y), (264.0, y));
        }
        shapes::bottle(page, (262.0, 52.0), (17.0, 60.0));
    }
    page.rect("part", (116.0, 120.0), (60.0, 4.0));
    shapes::fan(page, (150.0, 152.0), 25.0);
    shapes::air(page, (136.0, 182.0), (136.0, 202.0));
}

fn compressor(page: &mut Svg, spec: &CarSpec) {
    page.rounded("body", (176.0, 209.0), (72.0, 58.0), 4.0);
    let belt = spec.compressor.turned.pulley_ratio().is_some();
    if !belt {
        page.rounded("body", (104.0, 284.0), (96.0, 42.0), 8.0);
        // The motor's winding, and the inverter with its cable at high voltage.
        for x in [154.0, 162.0, 170.0, 178.0, 186.0] {
            page.line("part", (x, 292.0), (x, 318.0));
        }
        page.line("part", (146.0, 284.0), (146.0, 326.0));
        page.rect("body", (150.0, 268.0), (46.0, 16.0));
        page.path(
            "cable",
            &[
                (196.0, 276.0),
                (236.0, 276.0),
                (236.0, 322.0),
                (250.0, 322.0),
            ],
            false,
        );
        page.text("small", (214.0, 338.0), Anchor::Middle, "high voltage");
        page.text("small", (212.0, 238.0), Anchor::Middle, "engine");
    } else {
        page.rounded("body", (104.0, 284.0), (52.0, 42.0), 8.0);
        page.circle("body", CRANK, 18.0);
        page.circle("solid", CRANK, 3.0);
        page.text("small", (212.0, 218.0), Anchor::Middle, "engine");
        shapes::belt(page, (CRANK, 18.0), (SHAFT, 22.0));
        page.circle("body", SHAFT, 22.0);
        page.circle("part", SHAFT, 18.5);
    }
    if spec.clutch.is_some() {
        // The plate, held to the hub by three springs.
        page.circle("body", SHAFT, 13.0);
        for (x, y) in [(0.0, -13.0), (11.3, 6.5), (-11.3, 6.5)] {
            page.line("part", SHAFT, (SHAFT.0 + x, SHAFT.1 + y));
        }
    }
    if belt {
        page.circle("solid", SHAFT, 4.0);
    }
    if matches!(spec.compressor.capacity, Capacity::Variable(_)) {
        page.rect("body", (114.0, 322.0), (10.0, 14.0));
    }
    page.rect("body", (134.0, 336.0), (12.0, 12.0));
    page.line("wire", (140.0, 326.0), (140.0, 336.0));
}

fn circuit(page: &mut Svg) {
    let feed: [At; 4] = [
        (140.0, 348.0),
        (140.0, 438.0),
        (124.0, 438.0),
        (124.0, 540.0),
    ];
    page.path("wire", &feed, false);
    let ground: [At; 3] = [(146.0, 342.0), (152.0, 342.0), (152.0, 432.0)];
    page.path("wire", &ground, false);
    shapes::earth(page, (152.0, 432.0));
    let strap: [At; 4] = [
        (124.0, 540.0),
        (124.0, 556.0),
        (222.0, 556.0),
        (222.0, 502.0),
    ];
    page.path("wire", &strap, false);
    // Relay with its contact, fuse, battery.
    page.rect("body", (114.0, 448.0), (20.0, 20.0));
    page.line("wire", (119.0, 464.0), (130.0, 452.0));
    page.rect("body", (118.0, 484.0), (12.0, 20.0));
    page.line("wire", (124.0, 484.0), (124.0, 504.0));
    page.rect("body", (112.0, 520.0), (24.0, 22.0));
    for x in [118.0, 130.0] {
        page.rect("solid", (x - 2.0, 516.0), (4.0, 4.0));
    }
}

fn low_side(page: &mut Svg, spec: &CarSpec) {
    let bottle = spec.storage.place == Bottle::Suction;
    let from = if bottle { 586.0 } else { BULKHEAD_PX };
    page.path(
        "pipe low gas",
        &[
            (LEFT_PX, if bottle { 506.0 } else { from }),
            (LEFT_PX, 340.0),
            (110.0, 340.0),
            (110.0, 326.0),
        ],
        false,
    );
    if bottle {
        page.line("pipe low gas", (LEFT_PX, BULKHEAD_PX), (LEFT_PX, from));
        shapes::bottle(page, (86.0, 506.0), (24.0, 80.0));
    }
    shapes::arrow(page, "low-head", (LEFT_PX, 372.0), (LEFT_PX, 300.0));
    shapes::port(page, (LEFT_PX, if bottle { 604.0 } else { 446.0 }), true);
}

fn high_side(page: &mut Svg, spec: &CarSpec) {
    page.path(
        "pipe high gas",
        &[
            (110.0, 284.0),
            (110.0, 272.0),
            (LEFT_PX, 272.0),
            (LEFT_PX, 70.0),
            (104.0, 70.0),
        ],
        false,
    );
    shapes::arrow(page, "high-head", (LEFT_PX, 230.0), (LEFT_PX, 0.0));
    page.path(
        "pipe high liquid",
        &[
            (252.0, 114.0),
            (252.0, 122.0),
            (RIGHT_PX, 122.0),
            (RIGHT_PX, 600.0),
        ],
        false,
    );
    if spec.storage.place == Bottle::LiquidLine {
        shapes::bottle(page, (RIGHT_PX - 11.0, 182.0), (22.0, 48.0));
    }
    if spec.sight_glass {
        page.circle("body", (RIGHT_PX, 284.0), 7.0);
    }
    shapes::arrow(page, "high-head", (RIGHT_PX, 500.0), (RIGHT_PX, 600.0));
    match spec.high_port {
        HighPort::LiquidLine => {
            shapes::port(page, (RIGHT_PX, 356.0), false);
            page.rect("body", (RIGHT_PX - 5.0, 387.0), (10.0, 10.0));
        }
        HighPort::DischargeHose => {
            shapes::port(page, (LEFT_PX, 166.0), true);
            page.rect("body", (LEFT_PX - 5.0, 199.0), (10.0, 10.0));
        }
    }
}

fn bulkhead(page: &mut Svg, spec: &CarSpec) {
    match spec.expansion.valve() {
        Some(_) => {
            page.rect("body", (RIGHT_PX - 11.0, 590.0), (22.0, 30.0));
            page.circle("body", (RIGHT_PX, 584.0), 8.0);
            page.path(
                "part",
                &[
                    (RIGHT_PX - 6.0, 596.0),
                    (RIGHT_PX + 6.0, 614.0),
                    (RIGHT_PX - 6.0, 614.0),
                    (RIGHT_PX + 6.0, 596.0),
                ],
                true,
            );
        }
        // The dimple that holds it, and the tube in the pipe.
        None => {
            page.path(
                "body",
                &[
                    (RIGHT_PX - 7.0, 580.0),
                    (RIGHT_PX + 7.0, 580.0),
                    (RIGHT_PX + 7.0, 596.0),
                    (RIGHT_PX + 2.0, 604.0),
                    (RIGHT_PX + 7.0, 612.0),
                    (RIGHT_PX + 7.0, 626.0),
                    (RIGHT_PX - 7.0, 626.0),
                    (RIGHT_PX - 7.0, 612.0),
                    (RIGHT_PX - 2.0, 604.0),
                    (RIGHT_PX - 7.0, 596.0),
                ],
                true,
            );
        }
    }
    page.line("pipe low gas", (RIGHT_PX, 626.0), (RIGHT_PX, BULKHEAD_PX));
    for x in [144.0, 156.0] {
        page.line("hose", (x, 572.0), (x, BULKHEAD_PX));
    }
    if spec.air_box.heater_valve {
        page.path(
            "body",
            &[
                (138.0, 582.0),
                (150.0, 594.0),
                (138.0, 594.0),
                (150.0, 582.0),
            ],
            true,
        );
    }
    page.rect("solid", (4.0, BULKHEAD_PX), (WIDTH_PX - 8.0, 5.0));
    page.text(
        "small",
        (180.0, BULKHEAD_PX - 10.0),
        Anchor::Start,
        "bulkhead",
    );
}

fn key(page: &mut Svg, words: &[String; 3]) {
    page.line("pipe high liquid", (8.0, 660.0), (44.0, 660.0));
    page.text("small", (50.0, 660.0), Anchor::Start, "high side: solid");
    page.line("pipe low gas", (184.0, 660.0), (220.0, 660.0));
    page.text("small", (226.0, 660.0), Anchor::Start, "low side: dashed");
    for (index, line) in words.iter().enumerate() {
        let at = (8.0, 680.0 + 15.0 * index as f64);
        page.text("small", at, Anchor::Start, line);
    }
}
