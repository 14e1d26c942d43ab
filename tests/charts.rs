//! `coldtrail chart`: what is drawn is where it should be.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::program::coldtrail;
use coldtrail_checks::stand::{idling, run, weather};
use roxmltree::{Document, Node};
use runner::chart::cycle::{Condition, Cycle};
use runner::chart::shown::Units;
use runner::chart::{ph, pt};
use scenarios::units::UnitSystem;
use sim_core::car::Car;
use sim_core::fluid::Fluid;
use sim_core::spec::CarSpec;

/// Saturation at 0, 10, 50 and 70 °C: absolute pressure in kPa, enthalpies of liquid and vapour in
/// kJ/kg. CoolProp 8.0.0 (Tillner-Roth & Baehr 1994; Lemmon & Akasaka 2022).
const R134A: [(f64, f64, f64); 4] = [
    (292.80, 200.000, 398.603),
    (414.61, 213.577, 404.318),
    (1317.91, 271.623, 423.437),
    (2116.83, 304.282, 428.650),
];
const R1234YF: [(f64, f64, f64); 4] = [
    (315.88, 200.000, 363.483),
    (437.63, 213.182, 369.926),
    (1302.35, 270.021, 392.344),
    (2044.45, 302.452, 399.043),
];

/// An example car with a refrigerant, idling for ten minutes.
fn car(refrigerant: &str) -> Car {
    let spec = CarSpec {
        refrigerant: refrigerant.to_owned(),
        ..CarSpec::example()
    };
    let mut car = Car::soaked(spec.clone(), weather(30.0, 0.5)).unwrap();
    run(&mut car, &idling(&spec), 600.0);
    car
}

fn page(car: &Car, system: UnitSystem) -> String {
    ph::draw(&ph::Chart {
        fluid: car.fluid(),
        car: "a car & its <loop>".to_owned(),
        conditions: "30 °C".to_owned(),
        taken: "after 10:00 min".to_owned(),
        notes: vec!["The clutch pulled in 4 s ago.".to_owned(); 2],
        cycle: Cycle::of(car),
        healthy: Some(("after 10:00 min".to_owned(), Cycle::of(car))),
        units: Units::of(system),
    })
}

fn drawn(arguments: &[&str]) -> String {
    let mut all = vec!["chart"];
    all.extend(arguments);
    let ran = coldtrail(&all);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    ran.output
}

fn group<'a>(page: &'a Document<'_>, id: &str) -> Node<'a, 'a> {
    page.descendants()
        .find(|node| node.attribute("id") == Some(id))
        .unwrap_or_else(|| panic!("no group {id}"))
}

/// Values written along an axis, with the pixels they are written at.
fn written(page: &Document<'_>, id: &str, pixel: &str) -> Vec<(f64, f64)> {
    group(page, id)
        .descendants()
        .filter(|node| node.has_tag_name("text"))
        .map(|node| {
            let value = node.text().unwrap().parse().unwrap();
            (value, node.attribute(pixel).unwrap().parse().unwrap())
        })
        .collect()
}

/// Where a value lies, going by what is written at both ends of an axis.
fn pixel(axis: &[(f64, f64)], value: f64, turn: fn(f64) -> f64) -> f64 {
    let ((from, from_px), (to, to_px)) = (axis[0], *axis.last().unwrap());
    let share = (turn(value) - turn(from)) / (turn(to) - turn(from));
    from_px + share * (to_px - from_px)
}

/// Points of the first path in a group, and whether it is closed.
fn path(page: &Document<'_>, id: &str) -> (Vec<(f64, f64)>, bool) {
    let node = group(page, id);
    let node = node.descendants().find(|node| node.has_tag_name("path"));
    let text = node.expect("a path").attribute("d").unwrap();
    let closed = text.ends_with('Z');
    let points = text
        .trim_matches(|c| c == 'M' || c == 'Z')
        .split('L')
        .map(|pair| {
            let (x, y) = pair.split_once(' ').unwrap();
            (x.parse().unwrap(), y.parse().unwrap())
        })
        .collect();
    (points, closed)
}

/// Distance from a point to a line through points, px.
fn distance(line: &[(f64, f64)], at: (f64, f64)) -> f64 {
    line.windows(2)
        .map(|pair| {
            let (ax, ay) = pair[0];
            let (dx, dy) = (pair[1].0 - ax, pair[1].1 - ay);
            let along = ((at.0 - ax) * dx + (at.1 - ay) * dy) / (dx * dx + dy * dy).max(1e-12);
            let along = along.clamp(0.0, 1.0);
            let (ex, ey) = (ax + along * dx - at.0, ay + along * dy - at.1);
            (ex * ex + ey * ey).sqrt()
        })
        .fold(f64::INFINITY, f64::min)
}

fn ln(value: f64) -> f64 {
    value.ln()
}

fn plain(value: f64) -> f64 {
    value
}

#[test]
fn the_dome_passes_through_published_saturation() {
    for (refrigerant, anchors) in [("R-134a", R134A), ("R-1234yf", R1234YF)] {
        let car = car(refrigerant);
        for (system, kpa, kj) in [
            (UnitSystem::Si, 1.0, 1.0),
            // NIST SP 811: a psi is 6.894757 kPa; a Btu/lb is 2.326 kJ/kg.
            (UnitSystem::Us, 1.0 / 6.894_757, 1.0 / 2.326),
        ] {
            let text = page(&car, system);
            let page = Document::parse(&text).unwrap();
            let across = written(&page, "enthalpies", "x");
            let up = written(&page, "pressures", "y");
            let (dome, closed) = path(&page, "dome");
            assert!(!closed && dome.len() > 100);
            for (pressure, liquid, vapour) in anchors {
                for enthalpy in [liquid, vapour] {
                    let at = (
                        pixel(&across, enthalpy * kj, plain),
                        pixel(&up, pressure * kpa, ln),
                    );
                    let off = distance(&dome, at);
                    assert!(off < 0.3, "{refrigerant} {pressure} kPa: {off} px");
                }
            }
        }
    }
}

/// The compressor lifts the suction line's vapour to the head; the valve lets pressure fall at one
/// enthalpy; every point lies where the car's own state is.
#[test]
fn the_cycle_goes_round_through_the_cars_own_states() {
    let car = car("R-134a");
    let text = page(&car, UnitSystem::Si);
    let page = Document::parse(&text).unwrap();
    let across = written(&page, "enthalpies", "x");
    let up = written(&page, "pressures", "y");
    let (cycle, closed) = path(&page, "cycle");
    assert!(closed, "the compressor leads back to the first point");
    let state = &car.state().refrigerant;
    // A point for each volume, and one behind the valve.
    assert_eq!(cycle.len(), state.pressure_pa.len() + 1);
    let heights: Vec<f64> = state
        .pressure_pa
        .iter()
        .map(|pa| pixel(&up, pa / 1e3, ln))
        .collect();
    assert!((cycle[0].1 - heights[0]).abs() < 0.02);
    assert!((cycle[cycle.len() - 1].1 - heights[heights.len() - 1]).abs() < 0.02);
    let fall = cycle
        .windows(2)
        .max_by(|a, b| (a[1].1 - a[0].1).total_cmp(&(b[1].1 - b[0].1)))
        .unwrap();
    assert_eq!(fall[0].0, fall[1].0, "the valve does no work");
    // Compression goes up and to the right; work put in is what the enthalpy gains at the most.
    let (suction, head) = (cycle[cycle.len() - 1], cycle[0]);
    assert!(head.0 > suction.0 && head.1 < suction.1);
    let suction_kj = across[0].0
        + (suction.0 - across[0].1) / (across[1].1 - across[0].1) * (across[1].0 - across[0].0);
    let last = state.pressure_pa.len() - 1;
    let leaving = state.enthalpy_flow_w[last] / state.flow_kg_s[last] / 1e3;
    assert!(
        (suction_kj - leaving).abs() < 0.02,
        "{suction_kj} {leaving}"
    );
}

#[test]
fn the_states_beside_it_are_those_of_a_healthy_cycle() {
    let cycle = Cycle::of(&car("R-134a"));
    let after = |name: &str| {
        let stop = cycle.stops.iter().find(|stop| stop.after == name);
        stop.unwrap_or_else(|| panic!("no {name} among {:?}", cycle.stops))
    };
    assert!(matches!(after("suction line").condition, Condition::Superheated(k) if k > 1.0));
    assert!(matches!(after("compressor head").condition, Condition::Superheated(k) if k > 10.0));
    assert!(matches!(after("subcooler").condition, Condition::Subcooled(k) if k > 1.0));
    assert!(matches!(after("expansion").condition, Condition::Wet(x) if x > 0.1 && x < 0.5));
    assert!(cycle.turning && cycle.duty_w > 1e3);
}

#[test]
fn saturation_passes_through_published_pressures_in_both_units() {
    // Sea level, 101.325 kPa: pressures of CoolProp 8.0.0 less that.
    for (refrigerant, anchors) in [("R-134a", R134A), ("R-1234yf", R1234YF)] {
        let text = pt::draw(&Fluid::by_name(refrigerant).unwrap(), 0.0);
        assert_eq!(text, drawn(&["pt", refrigerant]));
        let page = Document::parse(&text).unwrap();
        for (half, celsius, anchor) in [
            ("low-side", 0.0, anchors[0]),
            ("low-side", 10.0, anchors[1]),
            ("high-side", 50.0, anchors[2]),
            ("high-side", 70.0, anchors[3]),
        ] {
            let across = written(&page, &format!("{half}-celsius"), "x");
            let up = written(&page, &format!("{half}-kpa"), "y");
            let (curve, _) = path(&page, &format!("{half}-curve"));
            let at = (
                pixel(&across, celsius, plain),
                pixel(&up, anchor.0 - 101.325, plain),
            );
            let off = distance(&curve, at);
            assert!(off < 0.3, "{refrigerant} at {celsius} °C: {off} px");
        }
    }
}

#[test]
fn every_chart_is_well_formed_and_the_same_again() {
    let kinds: [&[&str]; 5] = [
        &["ph", "town-and-country", "--compare-healthy"],
        &[
            "ph",
            "--vehicle",
            "van",
            "--fault",
            "undercharge=0.9",
            "--units",
            "us",
        ],
        &[
            "ph",
            "--vehicle",
            "van",
            "--fault",
            "liquid-line-restricted=1",
            "--compare-healthy",
        ],
        &[
            "ph",
            "--vehicle",
            "hatchback",
            "--fault",
            "clutch-coil-open=1",
            "--for",
            "1min",
        ],
        &["ph", "--vehicle", "saloon", "--for", "0s"],
    ];
    for arguments in kinds {
        let text = drawn(arguments);
        let page = Document::parse(&text).unwrap_or_else(|error| panic!("{arguments:?}: {error}"));
        assert_eq!(text, drawn(arguments));
        // Nothing that is not a number gets into a place on the page.
        assert!(
            !text.contains("NaN") && !text.contains("inf"),
            "{arguments:?}"
        );
        let title = page.descendants().find(|node| node.has_tag_name("title"));
        assert!(title.unwrap().text().unwrap().starts_with("R-134a"));
    }
}

/// The clutch pulls in at the start, and on a hot day with the cabin still warm stays in for a minute.
#[test]
fn a_chart_says_that_the_clutch_has_just_switched() {
    let at = |length| drawn(&["ph", "--vehicle", "saloon", "--for", length]);
    assert!(at("20s").contains("The clutch pulled in 20 s ago: nothing is steady yet."));
    assert!(!at("60s").contains("nothing is steady yet"));
}

#[test]
fn a_car_that_does_not_run_has_no_cycle_and_a_case_does_not_name_its_fault() {
    let text = drawn(&[
        "ph",
        "--vehicle",
        "hatchback",
        "--fault",
        "clutch-coil-open=1",
    ]);
    assert!(text.contains("The compressor does not turn: there is no cycle."));
    let page = Document::parse(&text).unwrap();
    let cycle = group(&page, "cycle");
    assert!(!cycle.descendants().any(|node| node.has_tag_name("path")));
    let case = drawn(&["ph", "silent-switch", "--for", "1min"]);
    for mode in coldtrail_checks::stand::bank().catalogue().modes() {
        assert!(
            !case.contains(&mode.id) && !case.contains(&mode.name),
            "{}",
            mode.id
        );
    }
}

#[test]
fn errors_say_what_to_change() {
    for (arguments, words) in [
        (&["pt", "R-12"][..], "R-134a, R-1234yf"),
        (&["ph", "--vehicle", "vam"], "did you mean `van`?"),
        (
            &["ph", "--vehicle", "van", "--for", "9d"],
            "give 0 s to 24 h",
        ),
        (
            &["ph", "--vehicle", "van", "--for", "9 bar"],
            "--for: expected",
        ),
        (
            &["ph", "--vehicle", "van", "--blower", "9"],
            "the blower has no step 9",
        ),
        (
            &["pt", "R-134a", "--out", "/no/such/folder/x.svg"],
            "/no/such/folder/x.svg cannot be written",
        ),
    ] {
        let ran = coldtrail(&[&["chart"], arguments].concat());
        assert_eq!((ran.code, ran.output.as_str()), (1, ""));
        assert!(ran.errors.contains(words), "{arguments:?}\n{}", ran.errors);
    }
}
