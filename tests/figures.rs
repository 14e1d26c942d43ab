//! Figures about tasks and forms against published libraries: `reference/figures.csv`, made by SciPy
//! 1.16.3, pingouin 0.7.0, girth 0.8.0 and statsmodels 0.15.0.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;

use coldtrail_checks::results::{result, rows};
use runner::figures::calibration::{BINS, curve};
use runner::figures::decision::decision;
use runner::figures::item::items;
use runner::figures::matrix::Matrix;
use runner::figures::parallel::versions;
use runner::figures::rasch::difficulties;
use runner::figures::reliability::{Reliability, reliability};
use runner::figures::rows::{Confidence, Sittings, TaskResult};
use runner::figures::special::{beta_below, f_above};
use runner::figures::standard::{Judge, angoff};

/// A line of the table: what was given, and the value.
struct Line {
    given: Vec<String>,
    value: f64,
}

impl Line {
    fn number(&self, place: usize) -> f64 {
        self.given[place].parse().unwrap()
    }
}

/// Lines about something, at least one.
fn about(what: &str) -> Vec<Line> {
    let table = include_str!("reference/figures.csv");
    let found: Vec<Line> = table
        .lines()
        .skip(2)
        .map(|line| line.split(',').collect::<Vec<_>>())
        .filter(|cells| cells[0] == what)
        .map(|cells| Line {
            given: cells[1..5].iter().map(|cell| (*cell).to_owned()).collect(),
            value: cells[5].parse().unwrap(),
        })
        .collect();
    assert!(!found.is_empty(), "nothing about {what}");
    found
}

fn the(what: &str) -> f64 {
    about(what)[0].value
}

fn assert_near(found: f64, expected: f64, within: f64, what: &str) {
    let off = (found - expected).abs();
    assert!(off <= within, "{what}: {found} for {expected}");
}

fn marks() -> Vec<Vec<f64>> {
    let table = include_str!("reference/figures_marks.csv");
    let lines = table.lines().filter(|line| !line.starts_with('#'));
    lines
        .map(|line| line.split(',').map(|cell| cell.parse().unwrap()).collect())
        .collect()
}

#[test]
fn every_task_is_as_hard_and_tells_as_much_as_the_libraries_say() {
    let rows = rows(&marks());
    let figures = items(&Sittings::of(&rows).unwrap());
    assert_eq!(figures.len(), 12);
    for (index, item) in figures.iter().enumerate() {
        let expected = |what: &str| about(what)[index].value;
        let near = |found: f64, what: &str| {
            assert_near(
                found,
                expected(what),
                1e-10,
                &format!("{what} {}", item.item),
            );
        };
        near(item.share_right, "share-right");
        near(item.mean_mark, "mean-mark");
        near(item.mark_deviation.unwrap(), "deviation");
        let discrimination = item.discrimination.unwrap();
        near(discrimination.r, "discrimination");
        near(discrimination.low, "discrimination-low");
        near(discrimination.high, "discrimination-high");
        near(item.point_biserial.unwrap().r, "point-biserial");
        near(item.upper_lower.unwrap(), "upper-lower");
    }
}

/// Where girth's search ends and SciPy's goes on, on a likelihood of its own with slopes by differences.
#[test]
fn rasch_difficulties_are_girths() {
    let rows = rows(&marks());
    let found = difficulties(&Sittings::of(&rows).unwrap()).unwrap();
    assert_eq!(found.len(), 12);
    for (index, item) in found.iter().enumerate() {
        assert_near(item.logits, about("rasch")[index].value, 1e-5, &item.item);
        let error = about("rasch-error")[index].value;
        assert_near(item.standard_error, error, 1e-4, &item.item);
    }
    let sum: f64 = found.iter().map(|item| item.logits).sum();
    assert!(sum.abs() < 1e-9);
}

#[test]
fn reliability_of_marks_and_of_rights_is_pingouins() {
    let rows = rows(&marks());
    let sittings = Sittings::of(&rows).unwrap();
    let cases = [
        ("alpha", Matrix::of(&sittings)),
        ("kr20", Matrix::of_right(&sittings)),
    ];
    for (what, matrix) in cases {
        let found = reliability(&matrix).unwrap();
        assert_near(found.alpha, the(what), 1e-10, what);
        // pingouin rounds its interval to three digits.
        assert_near(found.low, the(&format!("{what}-low")), 5e-4, what);
        assert_near(found.high, the(&format!("{what}-high")), 5e-4, what);
        assert_eq!((found.people, found.tasks, found.left_out), (60, 12, 0));
    }
    let found = reliability(&Matrix::of(&sittings)).unwrap();
    assert_near(found.mean_mark, the("mean-of-means"), 1e-9, "mean");
    assert_near(found.deviation, the("deviation-of-means"), 1e-9, "spread");
    assert_near(found.standard_error, the("standard-error"), 1e-9, "error");
}

/// The worked example of real-statistics.com, "Cronbach's alpha", as pingouin's documentation gives it:
/// 0.5917188485995826, from 0.195 to 0.840.
#[test]
fn the_published_worked_example_of_alpha_is_met() {
    let marks: Vec<Vec<f64>> = about("likert")
        .iter()
        .map(|line| {
            let cells = line.given[0].split(' ');
            cells.map(|cell| cell.parse().unwrap()).collect()
        })
        .collect();
    let rows = rows(&marks);
    let found = reliability(&Matrix::of(&Sittings::of(&rows).unwrap())).unwrap();
    assert_near(found.alpha, 0.591_718_848_599_582_6, 1e-12, "alpha");
    assert_near(found.low, 0.195, 5e-4, "low");
    assert_near(found.high, 0.840, 5e-4, "high");
}

#[test]
fn distributions_are_scipys() {
    for line in about("beta-below") {
        let found = beta_below(line.number(0), line.number(1), line.number(2));
        assert_near(found, line.value, 1e-11, "beta");
    }
    for line in about("f-above") {
        let found = f_above(line.number(0), line.number(1), line.number(2));
        assert_near(found / line.value, 1.0, 1e-9, "F");
    }
}

/// What is summed in closed form here is integrated over people there.
#[test]
fn the_pass_decision_is_as_reliable_as_an_integral_over_people_says() {
    let form = |line: &Line| {
        let given = Reliability {
            people: 100,
            tasks: 10,
            left_out: 0,
            alpha: line.number(2),
            low: 0.0,
            high: 1.0,
            mean_mark: 100.0 * line.number(0),
            deviation: 100.0 * line.number(1),
            standard_error: 0.0,
        };
        decision(&given, 100.0 * line.number(3)).unwrap()
    };
    for line in about("decision-tasks") {
        assert_near(f64::from(form(&line).effective_tasks), line.value, 0.0, "n");
    }
    for line in about("decision-consistency") {
        let found = form(&line);
        assert_near(found.consistency, line.value, 1e-8, "consistency");
        let wrong = found.false_pass + found.false_fail;
        assert_near(found.accuracy, 1.0 - wrong, 1e-12, "accuracy");
    }
    for line in about("decision-kappa") {
        assert_near(form(&line).kappa, line.value, 1e-6, "kappa");
    }
    for line in about("decision-false-pass") {
        assert_near(form(&line).false_pass, line.value, 1e-8, "false pass");
    }
    for line in about("decision-false-fail") {
        assert_near(form(&line).false_fail, line.value, 1e-8, "false fail");
    }
}

#[test]
fn a_panels_cut_has_scipys_standard_error() {
    let mut panel: BTreeMap<String, BTreeMap<u32, f64>> = BTreeMap::new();
    for line in about("rating") {
        let judge = panel.entry(line.given[0].clone()).or_default();
        judge.insert(line.number(1) as u32, line.value);
    }
    let panel: Vec<Judge> = panel
        .into_iter()
        .map(|(name, expected)| Judge { name, expected })
        .collect();
    assert_eq!(panel.len(), 6);
    let cut = angoff(&panel).unwrap();
    assert_near(cut.mark, the("cut"), 1e-10, "cut");
    assert_near(cut.standard_error, the("cut-error"), 1e-10, "error");
    for line in about("judges-apart") {
        let task = line.number(0) as u32;
        let found = cut.apart.iter().find(|one| one.0 == task).unwrap().1;
        assert_near(found, line.value, 1e-10, "apart");
    }
    assert!(cut.apart.windows(2).all(|pair| pair[0].1 >= pair[1].1));
}

/// Three versions of a slot, one of them made twice as hard.
#[test]
fn versions_lie_as_far_apart_as_scipys_f_test_says() {
    let marks = marks();
    let dealt = |person: usize| match person {
        0..20 => ("one", 1.0),
        20..35 => ("two", 1.0),
        _ => ("three", 0.5),
    };
    let rows: Vec<TaskResult> = (0..marks.len())
        .map(|person| {
            let (item, share) = dealt(person);
            TaskResult {
                item: item.to_owned(),
                ..result(person, 4, share * marks[person][3])
            }
        })
        .collect();
    let found = versions(&Sittings::of(&rows).unwrap());
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].task, 4);
    let deviation = found[0].deviation.unwrap();
    assert_near(deviation, the("versions-deviation"), 1e-9, "versions");
}

#[test]
fn a_calibration_curve_adds_up_to_its_brier_score() {
    let stated: Vec<Confidence> = about("stated")
        .iter()
        .map(|line| Confidence {
            stated: line.value,
            is_so: line.given[0] == "1",
        })
        .collect();
    let found = curve(&stated, BINS).unwrap();
    assert_eq!(found.count, 80);
    assert_near(found.brier, the("brier"), 1e-12, "brier");
    for (value, what) in [
        (found.reliability, "curve-reliability"),
        (found.resolution, "curve-resolution"),
        (found.uncertainty, "curve-uncertainty"),
        (found.within, "curve-within"),
    ] {
        assert_near(value, the(what), 1e-12, what);
    }
    let parts = found.reliability - found.resolution + found.uncertainty + found.within;
    assert_near(parts, found.brier, 1e-12, "parts");
    for (index, bin) in found.bins.iter().enumerate() {
        let expected = |what: &str| about(what)[index].value;
        assert_near(bin.so, expected("bin-so"), 1e-12, "share");
        assert_near(bin.low, expected("bin-low"), 1e-9, "low");
        assert_near(bin.high, expected("bin-high"), 1e-9, "high");
    }
}
