//! A question's chart as SVG: it parses, and its points are those the question was dealt.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::path::Path;

use coldtrail_checks::program::{coldtrail, launch};
use roxmltree::{Document, Node};
use runner::knowledge::picture;
use scenarios::question::{Chart, Dealt, Kind, Questions};
use scenarios::units::UnitSystem;

fn group<'a>(page: &'a Document<'_>, id: &str) -> Node<'a, 'a> {
    let mut nodes = page.descendants();
    nodes
        .find(|node| node.attribute("id") == Some(id))
        .unwrap_or_else(|| panic!("no group {id}"))
}

fn number(node: &Node<'_, '_>, name: &str) -> f64 {
    node.attribute(name).unwrap().parse().unwrap()
}

/// From a pixel to the value there, going by what is written at both ends of an edge.
fn scale(page: &Document<'_>, id: &str, pixel: &str, logarithmic: bool) -> impl Fn(f64) -> f64 {
    let written: Vec<(f64, f64)> = group(page, id)
        .descendants()
        .filter(|node| node.has_tag_name("text"))
        .map(|node| (node.text().unwrap().parse().unwrap(), number(&node, pixel)))
        .collect();
    assert!((4..=16).contains(&written.len()), "{id}: {written:?}");
    let (first, last) = (written[0], written[written.len() - 1]);
    move |px| {
        let share = (px - first.1) / (last.1 - first.1);
        match logarithmic {
            true => first.0 * (last.0 / first.0).powf(share),
            false => first.0 + share * (last.0 - first.0),
        }
    }
}

/// What stands at each point of a picture.
fn points(page: &Document<'_>, logarithmic: bool) -> Vec<(f64, f64)> {
    let (x, y) = (
        scale(page, "across", "x", false),
        scale(page, "up", "y", logarithmic),
    );
    let discs = group(page, "points").descendants();
    let discs = discs.filter(|node| node.has_tag_name("circle"));
    discs
        .map(|node| (x(number(&node, "cx")), y(number(&node, "cy"))))
        .collect()
}

/// What a chart should show in a system's units: temperature with pressure or water, or enthalpy with
/// pressure by letter. NIST SP 811 (2008): 1 psi is 6894.757 Pa, 1 Btu/lb 2326 J/kg.
fn wanted(dealt: &Dealt) -> Vec<(f64, f64)> {
    let us = dealt.units == UnitSystem::Us;
    let celsius = |k: f64| k - 273.15;
    let temperature = |k: f64| {
        if us {
            celsius(k) * 1.8 + 32.0
        } else {
            celsius(k)
        }
    };
    let pressure = |pa: f64| pa / if us { 6894.757 } else { 1e3 };
    let enthalpy = |j_per_kg: f64| j_per_kg / if us { 2326.0 } else { 1e3 };
    match dealt.chart.as_ref().unwrap() {
        Chart::Saturation { line, .. } => {
            let line = line.iter();
            line.map(|(k, pa)| (temperature(*k), pressure(*pa)))
                .collect()
        }
        Chart::HumidAir { line } => {
            let line = line.iter();
            line.map(|(k, ratio)| (temperature(*k), ratio * 1e3))
                .collect()
        }
        Chart::Cycle { cycle, letters, .. } => {
            let mut corners: Vec<_> = (0..4)
                .map(|at| {
                    let (pa, j_per_kg) = (cycle.pressure_pa[at], cycle.enthalpy_j_per_kg[at]);
                    (letters[at], (enthalpy(j_per_kg), pressure(pa)))
                })
                .collect();
            corners.sort_by_key(|(letter, _)| *letter);
            corners.into_iter().map(|(_, corner)| corner).collect()
        }
    }
}

#[test]
fn every_chart_of_a_question_is_drawn_with_its_points() {
    let questions = Questions::builtin().unwrap();
    let charts = questions.all().iter();
    let mut kinds = [0; 3];
    for question in charts.filter(|question| question.kind() == Kind::Chart) {
        for (seed, units) in [
            (1, UnitSystem::Si),
            (2, UnitSystem::Us),
            (3, UnitSystem::Si),
        ] {
            let dealt = question.deal(seed, units).unwrap();
            let text = picture(&dealt).unwrap();
            let page = Document::parse(&text).unwrap();
            assert!(page.root_element().has_tag_name("svg"));
            let cycle = matches!(dealt.chart, Some(Chart::Cycle { .. }));
            kinds[match dealt.chart.as_ref().unwrap() {
                Chart::Saturation { .. } => 0,
                Chart::Cycle { .. } => 1,
                Chart::HumidAir { .. } => 2,
            }] += 1;
            let (found, wanted) = (points(&page, cycle), wanted(&dealt));
            assert_eq!(found.len(), wanted.len(), "{}", dealt.id);
            // A hundredth of a pixel at each end of a scale, and at the point.
            let reach = |of: fn(&(f64, f64)) -> f64| {
                let most = wanted.iter().map(of).fold(f64::MIN, f64::max);
                most - wanted.iter().map(of).fold(f64::MAX, f64::min)
            };
            let off = (1e-3 * reach(|one| one.0), 1e-3 * reach(|one| one.1));
            for (found, wanted) in found.iter().zip(&wanted) {
                let away = ((found.0 - wanted.0).abs(), (found.1 - wanted.1).abs());
                assert!(away.0 < off.0 && away.1 < off.1, "{found:?} {wanted:?}");
            }
            if cycle {
                let letters = group(&page, "letters").descendants();
                let letters: String = letters
                    .filter(|node| node.has_tag_name("text"))
                    .filter_map(|node| node.text())
                    .collect();
                assert_eq!(letters, "ABCD");
            }
        }
    }
    assert!(kinds.iter().all(|count| *count > 0), "{kinds:?}");
}

#[test]
fn a_question_without_a_chart_has_no_picture() {
    let questions = Questions::builtin().unwrap();
    let one = questions.question("gauge-at-rest").unwrap();
    assert_eq!(picture(&one.deal(1, UnitSystem::Si).unwrap()), None);
}

#[test]
fn a_round_writes_its_charts_and_keeps_its_tables() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("pictures");
    let _ = std::fs::remove_dir_all(&folder);
    let plain = [
        "knowledge",
        "--topic",
        "charts",
        "--seed",
        "2",
        "--count",
        "3",
    ];
    let shown = folder.to_str().unwrap();
    let with = [&plain[..], &["--answers", "-", "--picture", shown]].concat();
    let ran = launch(&with, b"", false);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    let without = launch(&[&plain[..], &["--answers", "-"]].concat(), b"", false);
    let told = |number: usize| format!("The chart is drawn in {shown}/question-{number}.svg.\n");
    let mut text = ran.output;
    for number in 1..=3 {
        let path = folder.join(format!("question-{number}.svg"));
        let drawn = std::fs::read_to_string(path).unwrap();
        assert!(Document::parse(&drawn).is_ok());
        assert!(text.contains(&told(number)));
        text = text.replace(&told(number), "");
    }
    // The lines that tell of pictures are all there is between the two.
    assert_eq!(text, without.output);
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 3);
}

#[test]
fn a_folder_that_cannot_be_written_is_said() {
    let file = Path::new(env!("CARGO_TARGET_TMPDIR")).join("no-folder");
    std::fs::write(&file, "").unwrap();
    let answers = file.to_str().unwrap();
    let ran = coldtrail(&[
        "knowledge",
        "--topic",
        "charts",
        "--answers",
        answers,
        "--picture",
        answers,
    ]);
    assert_eq!((ran.code, ran.output.as_str()), (1, ""));
    assert!(ran.errors.contains("cannot be written"), "{}", ran.errors);
}
