//! Pictures of the car and of its instruments: what can be touched is there to be touched, once, and large
//! enough for a finger; a dial points where its numbers say.
//!
//! Sizes and distances: WCAG 2.2 (2023), success criterion 2.5.8, 24 CSS pixels on a page 360 wide;
//! contrasts: 1.4.3 and 1.4.11.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

#[path = "draw/dials.rs"]
mod dials;
#[path = "draw/frame.rs"]
mod frame;

use std::collections::{BTreeMap, BTreeSet};

use coldtrail_checks::stand::{vehicles, warm_car, weather};
use roxmltree::{Document, Node};
use runner::action::Action;
use runner::draw::behind_dash::behind_dash;
use runner::draw::gauge::{Pointed, gauge, swings};
use runner::draw::places::{Place, places};
use runner::draw::readout::readout;
use runner::draw::under_bonnet::under_bonnet;
use runner::draw::{Link, STYLE_SHEET};
use runner::session::{Nobody, Refusal, Session};
use scenarios::units::UnitSystem;
use scenarios::vehicle::Vehicle;
use sim_core::instruments::{
    CondenserSide, Gauge, Impossible, LEAK_SPOTS, Line, Named, Room, Sense, Spot, Value, Vent,
    Wheel, sensible,
};

use self::dials::shown;
use self::frame::{Frame, child, number, view_box};

const PAGE_PX: f64 = 360.0;
const LEAST_PX: f64 = 24.0;

fn led(place: &Place) -> Option<Link> {
    Some(Link {
        href: format!("/bay?at={}&again=1", place.id),
        chosen: place.id == "compressor",
    })
}

fn pictures(vehicle: &Vehicle) -> [String; 2] {
    [under_bonnet(vehicle, &led), behind_dash(vehicle, &led)]
}

fn groups<'a>(page: &'a Document<'_>) -> Vec<Node<'a, 'a>> {
    page.descendants()
        .filter(|node| node.attribute("class") == Some("place"))
        .collect()
}

/// Every action at a place that the language has a word for, whether this car has the place or not.
fn every_action() -> Vec<String> {
    let mut texts = Vec::new();
    for spot in Spot::ALL {
        for sense in Sense::ALL.iter().filter(|sense| sensible(**sense, *spot)) {
            texts.push(format!("{} {}", sense.name(), spot.name()));
        }
    }
    for verb in ["leak-search", "soap", "lamp", "wipe"] {
        texts.extend(LEAK_SPOTS.map(|spot| format!("{verb} {}", spot.name())));
    }
    for line in Line::ALL.iter().map(|line| line.name()) {
        texts.extend(["clamp", "loosen"].map(|verb| format!("{verb} {line}")));
        texts.push(format!("infrared {line} tape"));
    }
    for vent in Vent::ALL.iter().map(|vent| vent.name()) {
        texts.extend(["thermometer", "air-speed"].map(|verb| format!("{verb} {vent}")));
    }
    for side in CondenserSide::ALL {
        texts.push(format!("thermometer {}", side.name()));
    }
    for room in Room::ALL {
        texts.push(format!("hygrometer {}", room.name()));
    }
    for wheel in Wheel::ALL {
        texts.push(format!("tachometer {}", wheel.name()));
    }
    texts.extend(
        [
            "belt-tension right-span",
            "pulley-line grooves",
            "feeler clutch-gap",
        ]
        .map(str::to_owned),
    );
    // What a multimeter can be put on is in what is said of a word that is nothing.
    let refused = Action::parse("meter nothing").unwrap_err().to_string();
    let (_, words) = refused.split_once("Allowed: ").unwrap();
    let words = words.trim_end_matches('.').split(", ");
    texts.extend(words.map(|word| format!("meter {word}")));
    texts
}

/// Whether a car has what an action is done to, by doing it.
fn is_there(session: &Session, text: &str) -> bool {
    let action = Action::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"));
    let done = session.clone().perform(&action, &mut Nobody);
    !matches!(
        done,
        Err(Refusal::NoSuchLine { .. } | Refusal::Impossible(Impossible::NoSuchPlace { .. }))
    )
}

#[test]
fn what_a_car_lets_one_touch_is_drawn_once_and_nothing_else() {
    let every = every_action();
    assert!(every.len() > 150, "{}", every.len());
    let mut lacking = 0;
    for vehicle in vehicles() {
        let session = Session::new(warm_car(&vehicle.spec, weather(25.0, 0.5)));
        let places = places(vehicle);
        let mut offered: BTreeMap<&str, usize> = BTreeMap::new();
        for action in places.iter().flat_map(|place| &place.actions) {
            assert!(is_there(&session, action), "{}: {action}", vehicle.id);
            *offered.entry(action).or_default() += 1;
        }
        for action in &every {
            let expected = usize::from(is_there(&session, action));
            let found = offered.get(action.as_str()).copied().unwrap_or(0);
            assert_eq!(found, expected, "{}: {action}", vehicle.id);
            lacking += 1 - expected;
        }
        let mut drawn = Vec::new();
        for picture in pictures(vehicle) {
            let page = Document::parse(&picture).unwrap();
            for group in groups(&page) {
                let id = group.attribute("data-place").unwrap().to_owned();
                assert_eq!(group.attribute("id"), Some(format!("place-{id}").as_str()));
                drawn.push(id);
            }
        }
        drawn.sort();
        let mut known: Vec<&str> = places.iter().map(|place| place.id).collect();
        known.sort_unstable();
        assert_eq!(drawn, known, "{}", vehicle.id);
    }
    assert!(lacking > 100, "{lacking}");
}

#[test]
fn a_finger_finds_every_place_and_no_two_at_once() {
    for vehicle in vehicles() {
        for picture in pictures(vehicle) {
            let page = Document::parse(&picture).unwrap();
            let (width, height) = view_box(&page);
            let scale = PAGE_PX / width;
            let whole = Frame([0.0, 0.0, width, height]);
            let groups = groups(&page);
            let frames: Vec<Frame> = groups.iter().map(Frame::of_hit).collect();
            for (index, frame) in frames.iter().enumerate() {
                let id = groups[index].attribute("data-place").unwrap();
                let why = || format!("{}: {id} {frame:?}", vehicle.id);
                let [left, top, right, bottom] = frame.0;
                assert!(scale * (right - left) >= LEAST_PX, "{}", why());
                assert!(scale * (bottom - top) >= LEAST_PX, "{}", why());
                assert!(frame.is_inside(&whole), "{}", why());
                for (other, beside) in frames
                    .iter()
                    .enumerate()
                    .filter(|(other, _)| *other != index)
                {
                    let other_id = groups[other].attribute("data-place").unwrap();
                    assert!(!frame.meets(beside), "{} over {other_id}", why());
                    // Nor does it hide what another label speaks of.
                    let dot = child(&groups[other], "dot");
                    let (x, y) = (number(&dot, "cx"), number(&dot, "cy"));
                    assert!(
                        !frame.meets(&Frame([x, y, x, y])),
                        "{} hides {other_id}",
                        why()
                    );
                }
                for text in groups[index]
                    .children()
                    .filter(|one| one.has_tag_name("text"))
                {
                    assert!(Frame::of_text(&text, 12.0).is_inside(frame), "{}", why());
                }
            }
        }
    }
}

#[test]
fn words_stay_on_the_picture_and_off_the_labels() {
    for vehicle in vehicles() {
        for picture in pictures(vehicle) {
            let page = Document::parse(&picture).unwrap();
            let (width, height) = view_box(&page);
            let whole = Frame([0.0, 0.0, width, height]);
            let frames: Vec<Frame> = groups(&page).iter().map(Frame::of_hit).collect();
            let small = page
                .descendants()
                .filter(|node| node.attribute("class") == Some("small"));
            let mut count = 0;
            for node in small {
                let words = node.text().unwrap();
                let frame = Frame::of_text(&node, 11.0);
                assert!(frame.is_inside(&whole), "{}: {words}", vehicle.id);
                for hit in &frames {
                    assert!(!frame.meets(hit), "{}: {words} {hit:?}", vehicle.id);
                }
                count += 1;
            }
            assert!(count > 0);
        }
    }
}

#[test]
fn a_place_says_what_it_is_and_leads_where_it_is_told() {
    for vehicle in vehicles() {
        let places = places(vehicle);
        let mut chosen = 0;
        for picture in pictures(vehicle) {
            let page = Document::parse(&picture).unwrap();
            assert_eq!(page.root_element().attribute("role"), Some("group"));
            assert!(
                page.root_element()
                    .attribute("aria-label")
                    .unwrap()
                    .contains(&vehicle.name)
            );
            for group in groups(&page) {
                let id = group.attribute("data-place").unwrap();
                let place = places.iter().find(|place| place.id == id).unwrap();
                let title = group.first_element_child().unwrap();
                assert!(title.has_tag_name("title"));
                let title = title.text().unwrap();
                assert_eq!(title, place.title());
                let link = group.parent().unwrap();
                assert!(link.has_tag_name("a"), "{id}");
                let href = format!("/bay?at={id}&again=1");
                assert_eq!(link.attribute("href"), Some(href.as_str()));
                // What is seen is in what is heard (WCAG 2.2, 2.5.3), and in one piece.
                let heard = link.attribute("aria-label").unwrap();
                let seen: Vec<&str> = group
                    .children()
                    .filter(|one| one.has_tag_name("text"))
                    .map(|one| one.text().unwrap())
                    .collect();
                assert!(heard.starts_with(&seen.join(" ")), "{heard}: {seen:?}");
                chosen += usize::from(link.attribute("aria-current") == Some("true"));
            }
        }
        assert_eq!(chosen, 1, "{}", vehicle.id);
        let alone = under_bonnet(vehicle, &|_| None);
        let page = Document::parse(&alone).unwrap();
        assert!(!page.descendants().any(|node| node.has_tag_name("a")));
        assert!(groups(&page).len() > 20);
    }
}

#[test]
fn the_words_of_a_label_fit_the_car() {
    let labels = |id: &str| -> BTreeMap<&str, String> {
        let vehicle = vehicles().find(|vehicle| vehicle.id == id).unwrap();
        let places = places(vehicle).into_iter();
        places.map(|place| (place.id, place.label)).collect()
    };
    // A clutch; a control valve's plug where there is none; a motor of its own.
    assert_eq!(labels("saloon")["clutch-plug"], "clutch plug");
    assert_eq!(
        labels("people-carrier")["clutch-plug"],
        "control valve plug"
    );
    assert_eq!(labels("hybrid")["clutch-plug"], "inverter plug");
    assert_eq!(labels("hybrid")["coil-ground"], "inverter ground");
    let saloon = vehicles().find(|vehicle| vehicle.id == "saloon").unwrap();
    let port = places(saloon)
        .into_iter()
        .find(|place| place.id == "low-port");
    assert!(
        port.unwrap()
            .title()
            .starts_with(&format!("low port, {}", saloon.places.low_side_port))
    );
}

/// Every picture there is, with its name.
fn all_pictures() -> Vec<(String, String)> {
    let mut all = Vec::new();
    for vehicle in vehicles() {
        let [bonnet, dash] = pictures(vehicle);
        all.push((format!("{} bonnet", vehicle.id), bonnet));
        all.push((format!("{} dash", vehicle.id), dash));
    }
    let (pressure, before) = (shown(231e3), shown(120e3));
    let words = Value::Finding {
        key: "dry",
        words: "oil and dust < a hand's width around the \"seal\" & down the side",
    };
    for system in [UnitSystem::Si, UnitSystem::Us] {
        for side in [Gauge::Low, Gauge::High] {
            for value in [None, Some(&pressure), Some(&Value::OutOfRange(true))] {
                let name = format!("{side:?} {system:?} {value:?}");
                all.push((
                    name,
                    gauge(
                        side,
                        Pointed {
                            value,
                            from: Some(&before),
                            swung: value == Some(&pressure),
                            is_old: false,
                        },
                        system,
                        "1500 rpm, A/C on, blower 4, recirculated air",
                    ),
                ));
            }
        }
        for value in [&pressure, &words, &Value::OutOfRange(false)] {
            let name = format!("{system:?} {value:?}");
            all.push((
                name,
                readout(
                    "look at the compressor",
                    value,
                    system,
                    "engine off, doors closed",
                ),
            ));
        }
    }
    all
}

#[test]
fn a_strict_page_may_show_every_picture() {
    for ((name, picture), (_, again)) in all_pictures().into_iter().zip(all_pictures()) {
        assert_eq!(picture, again, "{name}");
        assert!(
            !picture.contains("NaN") && !picture.contains("inf\""),
            "{name}"
        );
        let page = Document::parse(&picture).unwrap_or_else(|error| panic!("{name}: {error}"));
        for node in page.descendants().filter(Node::is_element) {
            let tag = node.tag_name().name();
            let drawn = ["svg", "g", "a", "title", "text", "path", "rect", "circle"];
            assert!(drawn.contains(&tag), "{name}: <{tag}>");
            for attribute in node.attributes() {
                let attribute = attribute.name();
                let forbidden = attribute == "style" || attribute.starts_with("on");
                assert!(!forbidden, "{name}: <{tag} {attribute}>");
                let colour = ["fill", "stroke", "color"].contains(&attribute);
                assert!(!colour, "{name}: colours are the style sheet's");
            }
        }
    }
}

#[test]
fn the_style_sheet_knows_every_class() {
    let mut used = BTreeSet::new();
    for (_, picture) in all_pictures() {
        let page = Document::parse(&picture).unwrap();
        for class in page
            .descendants()
            .filter_map(|node| node.attribute("class"))
        {
            used.extend(class.split(' ').map(str::to_owned));
        }
    }
    // Groups that only carry a name, for scripts and tests.
    for plain in ["place", "car", "mark", "pointer"] {
        assert!(used.remove(plain), "{plain}");
    }
    let sheet = format!("{STYLE_SHEET}{}", swings());
    for class in used {
        let known = [" ", ",", "{", "."];
        let known = known
            .iter()
            .any(|end| sheet.contains(&format!(".{class}{end}")));
        assert!(known, "{class}");
    }
    assert!(!STYLE_SHEET.contains("url(") && !STYLE_SHEET.contains("@import"));
}

/// Contrast of two colours, WCAG 2.2: (lighter + 0.05) / (darker + 0.05) of their relative luminances.
fn contrast(one: &str, other: &str) -> f64 {
    let luminance = |colour: &str| {
        let channel = |at: usize| {
            let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    };
    let (a, b) = (luminance(one), luminance(other));
    (a.max(b) + 0.05) / (a.min(b) + 0.05)
}

#[test]
fn what_has_to_be_read_stands_out_on_light_and_on_dark() {
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    let (light, dark) = STYLE_SHEET
        .split_once("prefers-color-scheme: dark")
        .unwrap();
    for sheet in [light, dark] {
        let colour = |name: &str| {
            let (_, after) = sheet.split_once(&format!("--draw-{name}: ")).unwrap();
            after.split(';').next().unwrap().to_owned()
        };
        let paper = colour("paper");
        for text in ["ink", "soft", "low", "high"] {
            let ratio = contrast(&colour(text), &paper);
            assert!(ratio >= 4.5, "{text} {ratio}");
        }
        assert!(contrast(&colour("air"), &paper) >= 3.0);
        assert!(contrast(&colour("ink"), &colour("chosen")) >= 4.5);
    }
}
