//! Gauges and read-outs.

use roxmltree::Document;
use runner::draw::gauge::{Pointed, angle_degrees, gauge};
use runner::draw::readout::readout;
use scenarios::units::UnitSystem;
use sim_core::instruments::{Gauge, Unit, Value};

use super::frame::{Frame, number, view_box};

pub fn shown(pa: f64) -> Value {
    Value::Number {
        shown: pa,
        error: 10e3,
        unit: Unit::GaugePressure,
    }
}

/// The angle that a picture turns its pointer by.
fn pointer(picture: &str) -> Option<f64> {
    let page = Document::parse(picture).unwrap();
    let mut nodes = page.descendants();
    let node = nodes.find(|node| node.attribute("class") == Some("pointer"))?;
    let turn = node.attribute("transform").unwrap();
    let angle = turn
        .trim_start_matches("rotate(")
        .split(' ')
        .next()
        .unwrap();
    Some(angle.parse().unwrap())
}

/// A dial that was just read.
fn read(value: &Value) -> Pointed<'_> {
    Pointed {
        value: Some(value),
        ..Pointed::default()
    }
}

#[test]
fn a_pointer_follows_the_pressure_and_stops_at_the_ends() {
    for (side, least_pa, most_pa) in [(Gauge::Low, -1e5, 17e5), (Gauge::High, 0.0, 35e5)] {
        let at = |pa: f64| pointer(&gauge(side, read(&shown(pa)), UnitSystem::Us, "")).unwrap();
        let mut last = -135.0;
        for step in 1..=200 {
            let pa = least_pa + (most_pa - least_pa) * f64::from(step) / 200.0;
            let now = at(pa);
            assert!(now > last, "{side:?} {pa}: {now} after {last}");
            assert!((now - angle_degrees(side, pa)).abs() <= 0.005 + 1e-9);
            last = now;
        }
        assert_eq!((at(least_pa), last), (-135.0, 135.0));
        assert_eq!((at(least_pa - 1e5), at(most_pa + 1e6)), (-135.0, 135.0));
        let beyond = |above| gauge(side, read(&Value::OutOfRange(above)), UnitSystem::Si, "");
        assert_eq!(pointer(&beyond(true)), Some(135.0));
        assert_eq!(pointer(&beyond(false)), Some(-135.0));
        assert_eq!(
            pointer(&gauge(side, Pointed::default(), UnitSystem::Si, "")),
            None
        );
    }
}

/// Numbers stand where the pointer goes at their pressure. NIST SP 811 (2008), appendix B.8: 1 psi is 6894.757 Pa.
#[test]
fn the_numbers_of_a_dial_are_pressures_in_its_unit() {
    for (system, one_pa, unit) in [
        (UnitSystem::Si, 1e3, "kPa gauge"),
        (UnitSystem::Us, 6894.757, "psig"),
    ] {
        for side in [Gauge::Low, Gauge::High] {
            let picture = gauge(side, read(&shown(231e3)), system, "engine off");
            let page = Document::parse(&picture).unwrap();
            let rim = page
                .descendants()
                .find(|node| node.attribute("class") == Some("rim"));
            let (x, y) = (number(&rim.unwrap(), "cx"), number(&rim.unwrap(), "cy"));
            let radius = number(&rim.unwrap(), "r");
            let named: Vec<_> = page
                .descendants()
                .filter(|node| node.attribute("class") == Some("dial"))
                .collect();
            assert!(
                (5..=12).contains(&named.len()),
                "{side:?} {system:?} {}",
                named.len()
            );
            let mut values = Vec::new();
            let frames: Vec<Frame> = named
                .iter()
                .map(|node| Frame::of_text(node, 14.0))
                .collect();
            for (index, node) in named.iter().enumerate() {
                let value: f64 = node.text().unwrap().parse().unwrap();
                let angle = (number(node, "x") - x)
                    .atan2(y - number(node, "y"))
                    .to_degrees();
                // Below the air's pressure a gauge in US units counts inches of mercury down: 3386.389 Pa each.
                let is_below = system == UnitSystem::Us && angle < angle_degrees(side, 0.0) - 1.0;
                let pa = if is_below {
                    -value * 3386.389
                } else {
                    value * one_pa
                };
                let expected = angle_degrees(side, pa);
                assert!(
                    (angle - expected).abs() < 0.02,
                    "{value}: {angle} {expected}"
                );
                values.push(pa / one_pa);
                let [left, top, right, bottom] = frames[index].0;
                for corner in [(left, top), (right, top), (left, bottom), (right, bottom)] {
                    let off = ((corner.0 - x).powi(2) + (corner.1 - y).powi(2)).sqrt();
                    assert!(off < radius - 15.0, "{value} in its marks: {off}");
                }
                let others = frames
                    .iter()
                    .enumerate()
                    .filter(|(other, _)| *other != index);
                for (_, other) in others {
                    assert!(!frames[index].meets(other), "{side:?} {system:?} {value}");
                }
            }
            assert!(
                values.windows(2).all(|pair| pair[0] < pair[1]),
                "{values:?}"
            );
            assert!(values.contains(&0.0));
            let heard = page.root_element().attribute("aria-label").unwrap();
            let told = if system == UnitSystem::Si {
                "231 kPa gauge"
            } else {
                "34 psig"
            };
            assert!(
                heard.contains(told) && heard.contains("engine off"),
                "{heard}"
            );
            let words: Vec<&str> = page.descendants().filter_map(|node| node.text()).collect();
            let has_unit = words.iter().any(|word| word.starts_with(unit));
            assert!(words.contains(&told) && has_unit, "{words:?}");
        }
    }
}

#[test]
fn a_readout_holds_its_words() {
    let long = Value::Finding {
        key: "oil",
        words: "oil and dust a hand's width around the shaft seal and down the side of the body, still wet",
    };
    for (value, letters_px) in [(&long, 16.0), (&shown(231e3), 30.0)] {
        let picture = readout(
            "look at the compressor",
            value,
            UnitSystem::Si,
            "engine off, doors closed",
        );
        let page = Document::parse(&picture).unwrap();
        let (width, height) = view_box(&page);
        let inside = Frame([4.0, 4.0, width - 4.0, height - 4.0]);
        let mut lines = 0;
        for node in page.descendants().filter(|node| node.has_tag_name("text")) {
            let px = match node.attribute("class").unwrap() {
                "label" | "small" => 12.0,
                _ => letters_px,
            };
            assert!(
                Frame::of_text(&node, px).is_inside(&inside),
                "{:?}",
                node.text()
            );
            lines += 1;
        }
        assert!(lines >= 3);
    }
}
