//! `coldtrail vehicles`: the list, and all about one, held to the vehicle's own file.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::golden;
use coldtrail_checks::program::coldtrail;
use coldtrail_checks::stand::bank;

fn shown(arguments: &[&str]) -> String {
    let ran = coldtrail(&[&["vehicles"], arguments].concat());
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    let long = ran.output.lines().find(|line| line.chars().count() > 100);
    assert_eq!(long, None);
    ran.output
}

/// The page of a vehicle with its line breaks undone.
fn page(id: &str) -> String {
    shown(&[id])
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

/// What a vehicle's file says of a key, wherever it stands at the start of a line before the service page:
/// that one is for the parts counter, and names jobs as the fields before it name parts.
fn written(id: &str, key: &str) -> Vec<String> {
    golden::text(&format!("scenarios/vehicles/{id}.toml"))
        .lines()
        .take_while(|line| *line != "[service]")
        .filter_map(|line| line.strip_prefix(&format!("{key} = ")))
        .map(|value| value.trim_matches('"').to_owned())
        .collect()
}

/// A set point of a file as the page shows it; 1 psi is 6.894757 kPa (NIST SP 811, appendix B.8).
fn as_shown(written: &str) -> String {
    let (number, unit) = written.split_once(' ').unwrap();
    let number: f64 = number.parse().unwrap();
    match unit {
        "MPag" => format!("{:.0} kPa gauge", number * 1e3),
        "psig" => format!("{:.0} kPa gauge", number * 6.894_757),
        "°C" => format!("{number:.1} °C"),
        other => panic!("{other} is no unit of a set point"),
    }
}

#[test]
fn the_list_keeps_its_columns_however_long_an_id_is() {
    let list = shown(&[]);
    let ids: Vec<&str> = bank().vehicles().map(|one| one.id.as_str()).collect();
    let column = ids.iter().map(|id| id.len()).max().unwrap() + 2;
    let mut told = Vec::new();
    for line in list.lines().take_while(|line| !line.is_empty()) {
        let (id, words) = line.split_at(column);
        assert!(!words.starts_with(' ') && id.ends_with("  "), "{line:?}");
        told.extend(Some(id.trim()).filter(|id| !id.is_empty()));
    }
    assert_eq!(told, ids);
}

#[test]
fn a_page_tells_the_vehicles_own_data() {
    for vehicle in bank().vehicles() {
        let id = vehicle.id.as_str();
        let page = page(id);
        let has = |words: &str| assert!(page.contains(words), "{words:?} is not in\n{page}");
        let keys = [
            "name",
            "description",
            "refrigerant",
            "charge",
            "oil",
            "condenser_fitting",
            "fitting",
            "low_side_port",
            "high_side_port",
            "compressor",
            "clutch_connector",
            "clutch_fuse",
            "transducer",
            "expansion_valve",
            "evaporator_sensor",
            "cabin_filter",
        ];
        for key in keys {
            written(id, key).iter().for_each(|value| has(value));
        }
        for key in ["oil_amount", "displacement"] {
            has(&written(id, key)[0].replace("cm3", "cm³"));
        }
        for key in ["low_speed", "high_speed"] {
            let m_s: f64 = written(id, key)[0]
                .trim_end_matches(" m/s")
                .parse()
                .unwrap();
            has(&format!("{m_s:.2} m/s"));
        }
        assert_eq!(page.contains("Clutch yes"), vehicle.spec.clutch.is_some());
    }
}

#[test]
fn a_page_tells_every_set_point() {
    let mut told = 0;
    for vehicle in bank().vehicles() {
        let (id, page) = (vehicle.id.as_str(), page(&vehicle.id));
        for (label, key, side) in [
            (
                "Low cut-out compressor off below",
                "low_cut_out",
                " on the high side",
            ),
            (
                "High cut-out compressor off above",
                "high_cut_out",
                " on the high side",
            ),
            (
                "Cycling switch compressor off below",
                "cycling_switch",
                " on the low side",
            ),
            (
                "Evaporator cut-out compressor off below",
                "frost_cut_out",
                "",
            ),
            (
                "Ambient cut-out compressor off below",
                "ambient_cut_out",
                "",
            ),
        ] {
            let switches = written(id, key);
            assert_eq!(page.contains(label), !switches.is_empty(), "{id}: {label}");
            for switch in switches {
                // { trip = "A", reset = "B" }
                let quoted: Vec<&str> = switch.split('"').collect();
                let (trip, reset) = (as_shown(quoted[1]), as_shown(quoted[3]));
                let words = format!("{label} {trip}{side}, on again at {reset}");
                assert!(page.contains(&words), "{words:?} is not in\n{page}");
                told += 1;
            }
        }
        for key in ["fan_high", "fan_coolant"] {
            let switch = &written(id, key)[0];
            let quoted: Vec<&str> = switch.split('"').collect();
            for words in [
                as_shown(quoted[1]),
                format!("back at {}", as_shown(quoted[3])),
            ] {
                assert!(page.contains(&words), "{words:?} is not in\n{page}");
            }
        }
    }
    assert!(told > 30, "{told}");
}

#[test]
fn a_page_can_be_had_in_the_units_of_ones_gauges() {
    // 22 and 45 psi gauge are what the estate's file says.
    let page = shown(&["estate", "--units", "us"]);
    assert!(
        page.contains("below 22 psig on the low side, on again at 45 psig"),
        "{page}"
    );
    assert!(page.contains("20.5 oz"), "{page}");
}

#[test]
fn a_vehicle_that_there_is_not_is_met_with_those_that_there_are() {
    let ran = coldtrail(&["vehicles", "estat"]);
    assert_eq!((ran.code, ran.output.as_str()), (1, ""));
    assert!(
        ran.errors
            .contains("did you mean `estate`? There are city-car,"),
        "{}",
        ran.errors
    );
}
