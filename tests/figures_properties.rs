//! What figures about people may not depend on, and what they must say of made-up people.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;

use coldtrail_checks::results::{result, rows};
use proptest::prelude::*;
use runner::figures::calibration::curve;
use runner::figures::decision::decision;
use runner::figures::enough::Enough;
use runner::figures::item::items;
use runner::figures::matrix::Matrix;
use runner::figures::parallel::{luck, minutes_per_bit, spread, versions};
use runner::figures::rasch::{NoDifficulties, difficulties};
use runner::figures::reliability::{NoReliability, reliability};
use runner::figures::rows::{BadResult, Confidence, Sittings, TaskResult};
use runner::figures::standard::{Judge, NoCut, Standing, angoff};

/// Marks of 10 to 40 people on 2 to 8 tasks, many of them the same.
fn tables() -> impl Strategy<Value = Vec<Vec<f64>>> {
    (10..40usize, 2..8usize).prop_flat_map(|(people, tasks)| {
        let mark = (0..=10u32).prop_map(|tenth| f64::from(tenth) * 10.0);
        prop::collection::vec(prop::collection::vec(mark, tasks), people)
    })
}

/// The same people under other names, told in another order.
fn renamed(rows: &[TaskResult], by: usize) -> Vec<TaskResult> {
    let mut others: Vec<TaskResult> = rows
        .iter()
        .map(|row| {
            let number: usize = row.sitting["sitting-".len()..].parse().unwrap();
            // 7919 is prime to every count of people here, so that no two names meet.
            let number = (number + by) * 7919 % 100_003;
            TaskResult {
                sitting: format!("sitting-{number:06}"),
                candidate: format!("candidate-{number:06}"),
                ..row.clone()
            }
        })
        .collect();
    let half = others.len() / 2;
    others.rotate_left(half);
    others.reverse();
    others
}

fn same(one: Option<f64>, other: Option<f64>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => (one - other).abs() < 1e-9,
        (one, other) => one.is_none() && other.is_none(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn it_does_not_matter_who_is_who_or_which_row_comes_first(marks in tables(), by in 0..50usize) {
        let rows = rows(&marks);
        let others = renamed(&rows, by);
        let (one, other) = (Sittings::of(&rows).unwrap(), Sittings::of(&others).unwrap());
        for (a, b) in items(&one).iter().zip(items(&other)) {
            prop_assert_eq!(&a.item, &b.item);
            prop_assert_eq!(&a.wrong, &b.wrong);
            prop_assert!((a.mean_mark - b.mean_mark).abs() < 1e-9);
            prop_assert!(same(a.discrimination.map(|it| it.r), b.discrimination.map(|it| it.r)));
            prop_assert!(same(a.upper_lower, b.upper_lower));
        }
        match (reliability(&Matrix::of(&one)), reliability(&Matrix::of(&other))) {
            (Ok(a), Ok(b)) => prop_assert!((a.alpha - b.alpha).abs() < 1e-9 && (a.low - b.low).abs() < 1e-7),
            (a, b) => prop_assert_eq!(a, b),
        }
    }

    /// Tasks that are copies of each other agree wholly.
    #[test]
    fn copies_of_one_task_are_wholly_reliable(column in prop::collection::vec(0..=100u32, 5..30), copies in 2..9usize) {
        prop_assume!(column.iter().any(|mark| *mark != column[0]));
        let marks: Vec<Vec<f64>> = column.iter().map(|mark| vec![f64::from(*mark); copies]).collect();
        let rows = rows(&marks);
        let found = reliability(&Matrix::of(&Sittings::of(&rows).unwrap())).unwrap();
        prop_assert!((found.alpha - 1.0).abs() < 1e-9, "{}", found.alpha);
        prop_assert!(found.standard_error < 1e-3);
    }

    #[test]
    fn the_parts_of_a_curve_add_up(stated in prop::collection::vec((0..=100u32, any::<bool>()), 1..60), bins in 1..12usize) {
        let stated: Vec<Confidence> = stated
            .iter()
            .map(|(percent, is_so)| Confidence { stated: f64::from(*percent) / 100.0, is_so: *is_so })
            .collect();
        let found = curve(&stated, bins).unwrap();
        let parts = found.reliability - found.resolution + found.uncertainty + found.within;
        prop_assert!((parts - found.brier).abs() < 1e-12);
        prop_assert_eq!(found.bins.iter().map(|bin| bin.count).sum::<usize>(), stated.len());
        for bin in &found.bins {
            prop_assert!(bin.from - 1e-9 <= bin.stated && bin.stated <= bin.to + 1e-9);
            prop_assert!(bin.low <= bin.so + 1e-12 && bin.so <= bin.high + 1e-12);
        }
    }

    #[test]
    fn decisions_stay_within_bounds(marks in tables(), cut in 0..=100u32) {
        let rows = rows(&marks);
        let Ok(form) = reliability(&Matrix::of(&Sittings::of(&rows).unwrap())) else {
            return Ok(());
        };
        let Some(found) = decision(&form, f64::from(cut)) else {
            let (share, deviation) = (form.mean_mark / 100.0, form.deviation / 100.0);
            let beyond_a_beta = form.alpha * deviation * deviation >= share * (1.0 - share);
            prop_assert!(form.alpha <= 0.0 || form.alpha >= 1.0 || beyond_a_beta, "{form:?}");
            return Ok(());
        };
        prop_assert!((0.5 - 1e-9..=1.0 + 1e-9).contains(&found.consistency), "{found:?}");
        prop_assert!(found.false_pass > -1e-9 && found.false_fail > -1e-9, "{found:?}");
        prop_assert!((0.0..=1.0 + 1e-9).contains(&found.accuracy), "{found:?}");
    }
}

#[test]
fn few_people_get_a_word_in_place_of_a_number() {
    let table = |people: usize| -> Vec<Vec<f64>> {
        (0..people)
            .map(|person| {
                vec![
                    (person * 7 % 11) as f64 * 9.0,
                    (person * 5 % 13) as f64 * 8.0,
                ]
            })
            .collect()
    };
    for (people, enough, told) in [
        (9, Enough::TooFew(9), false),
        (10, Enough::Hint(10), true),
        (29, Enough::Hint(29), true),
        (30, Enough::Fair(30), true),
        (60, Enough::Good(60), true),
    ] {
        let rows = rows(&table(people));
        let found = items(&Sittings::of(&rows).unwrap());
        assert_eq!(found[0].enough, enough);
        assert_eq!(found[0].discrimination.is_some(), told, "{people}");
        assert_eq!(found[0].upper_lower.is_some(), told, "{people}");
    }
    assert_eq!(Enough::TooFew(9).to_string(), "too few people");
}

/// Ten people, the three best and worst of whom are told apart by nothing but luck at the edge: four of
/// them share the third place. Reckoned by hand: of the best, one place is shared by four with one right.
#[test]
fn people_who_did_equally_well_share_the_places_of_a_group() {
    let marks: Vec<Vec<f64>> = [
        [100.0, 100.0],
        [90.0, 100.0],
        [80.0, 40.0],
        [40.0, 80.0],
        [40.0, 80.0],
        [40.0, 80.0],
        [50.0, 40.0],
        [30.0, 30.0],
        [10.0, 20.0],
        [0.0, 0.0],
    ]
    .map(Vec::from)
    .into();
    let rows = rows(&marks);
    let found = items(&Sittings::of(&rows).unwrap());
    // Best three places: two right, and one place shared by four of whom one was right. Worst three: none.
    let expected = (2.0 + 0.25) / 3.0;
    assert!((found[0].upper_lower.unwrap() - expected).abs() < 1e-12);
}

#[test]
fn a_second_sitting_is_no_second_person_and_a_broken_off_one_is_left_out() {
    let mut all = rows(&[vec![80.0, 40.0], vec![60.0, 70.0], vec![20.0, 10.0]]);
    for task in [1, 2] {
        // The first person again, a day later.
        all.push(TaskResult {
            sitting: "again".to_owned(),
            ended_unix_s: 1_800_086_400,
            ..result(0, task, 100.0)
        });
    }
    // A fourth one did the first task only.
    all.push(result(3, 1, 50.0));
    let sittings = Sittings::of(&all).unwrap();
    assert_eq!(sittings.all().len(), 5);
    let first = sittings.first_of_each();
    assert_eq!(first.all().len(), 4);
    assert!(first.all().iter().all(|one| one.id() != "again"));
    let matrix = Matrix::of(&first);
    assert_eq!((matrix.marks.len(), matrix.left_out), (3, 1));
    let heavy = matrix.weighted(&BTreeMap::from([(1, 3.0), (2, 1.0)]));
    assert!((heavy.means()[0] - 0.25 * (3.0 * 80.0 + 40.0)).abs() < 1e-9);
    let none = matrix.weighted(&BTreeMap::from([(1, 0.0), (2, 0.0)]));
    assert_eq!(none, matrix);
}

#[test]
fn results_that_cannot_be_counted_are_told_with_their_place() {
    let said = |rows: &[TaskResult]| Sittings::of(rows).unwrap_err();
    let off = [result(0, 1, f64::NAN)];
    assert!(matches!(said(&off), BadResult::Mark { task: 1, .. }));
    let far = [result(0, 2, 100.5)];
    assert_eq!(
        said(&far).to_string(),
        "sitting `sitting-000000`, task 2: the mark is 100.5; marks go from 0 to 100. Grade the sitting again"
    );
    let twice = [result(0, 1, 10.0), result(0, 1, 20.0)];
    assert!(matches!(said(&twice), BadResult::Twice { task: 1, .. }));
    let mut mixed = [result(0, 1, 10.0), result(0, 2, 20.0)];
    mixed[1].candidate = "somebody else".to_owned();
    assert!(matches!(said(&mixed), BadResult::Mixed { .. }));
    let mut unsure = result(0, 1, 10.0);
    unsure.confidences.push(Confidence {
        stated: 1.2,
        is_so: true,
    });
    assert!(matches!(said(&[unsure]), BadResult::Confidence { .. }));
}

#[test]
fn a_form_that_says_nothing_says_why() {
    let of = |marks: &[Vec<f64>]| {
        let rows = rows(marks);
        reliability(&Matrix::of(&Sittings::of(&rows).unwrap())).unwrap_err()
    };
    assert_eq!(of(&[vec![50.0, 60.0]]), NoReliability::People(1));
    assert_eq!(of(&[vec![50.0], vec![60.0]]), NoReliability::Tasks(1));
    assert_eq!(of(&vec![vec![50.0, 70.1]; 5]), NoReliability::Alike);
    assert_eq!(of(&[]), NoReliability::Tasks(0));
}

#[test]
fn a_panel_that_gives_no_cut_says_why() {
    let judge = |name: &str, ratings: &[(u32, f64)]| Judge {
        name: name.to_owned(),
        expected: ratings.iter().copied().collect(),
    };
    let whole = judge("A", &[(1, 60.0), (2, 70.0)]);
    assert_eq!(
        angoff(std::slice::from_ref(&whole)).unwrap_err(),
        NoCut::Judges(1)
    );
    let lacks = judge("B", &[(1, 50.0)]);
    assert_eq!(
        angoff(&[whole.clone(), lacks]).unwrap_err().to_string(),
        "B did not rate task 2; ask for that rating"
    );
    let off = judge("B", &[(1, 50.0), (2, f64::NAN)]);
    assert!(matches!(
        angoff(&[whole, off]).unwrap_err(),
        NoCut::Rating { task: 2, .. }
    ));
    let empty = judge("A", &[]);
    assert_eq!(angoff(&[empty.clone(), empty]).unwrap_err(), NoCut::Tasks);
}

#[test]
fn near_the_cut_whoever_decides_is_told() {
    // 3 and 4 make 5.
    let near = Standing::of(68.0, 3.0, 65.0, 4.0);
    assert!(near.passes && near.is_near());
    assert!(near.to_string().contains("within one standard error"));
    let far = Standing::of(59.0, 3.0, 65.0, 4.0);
    assert!(!far.passes && !far.is_near());
    assert_eq!(
        far.to_string(),
        "6.0 points below the pass mark, with a standard error of 5.0"
    );
    assert!(Standing::of(65.0, 3.0, 65.0, 0.0).passes);
}

#[test]
fn forms_are_as_parallel_as_their_sums() {
    let found = spread(&[vec![2.0, 5.0], vec![3.0, 4.0], vec![4.0, 6.0]]).unwrap();
    assert_eq!((found.mean, found.least, found.most), (8.0, 7.0, 10.0));
    // Sums 7, 7 and 10.
    assert!((found.deviation - 3.0_f64.sqrt()).abs() < 1e-12);
    assert!((found.share() - 3.0_f64.sqrt() / 8.0).abs() < 1e-12);
    assert!(spread(&[vec![1.0], vec![1.0, 2.0]]).is_none());
    assert_eq!(minutes_per_bit(4.0, 12.0), Some(3.0));
    assert_eq!(minutes_per_bit(0.0, 12.0), None);
}

/// Versions that differ by nothing but the people who got them are not called different.
#[test]
fn versions_that_are_alike_give_no_luck() {
    let rows: Vec<TaskResult> = (0..40)
        .map(|person| TaskResult {
            item: if person % 2 == 0 { "a" } else { "b" }.to_owned(),
            ..result(person, 1, 40.0 + (person / 2 % 5) as f64 * 5.0)
        })
        .collect();
    let found = versions(&Sittings::of(&rows).unwrap());
    assert_eq!(found[0].deviation, Some(0.0));
    assert_eq!(luck(&found), 0.0);
    // Twenty points apart, they are.
    let apart: Vec<TaskResult> = rows
        .iter()
        .map(|row| TaskResult {
            mark: row.mark + if row.item == "b" { 20.0 } else { 0.0 },
            ..row.clone()
        })
        .collect();
    let found = versions(&Sittings::of(&apart).unwrap());
    assert!(
        (luck(&found) - 20.0 / 2.0_f64.sqrt()).abs() < 0.5,
        "{found:?}"
    );
}

/// People made up by the model itself, half of whom got one half of the versions: the difficulties come out
/// on one scale within three of their standard errors.
#[test]
fn versions_that_share_tasks_come_out_on_one_scale() {
    let hard = [-1.5, -0.5, 0.0, 0.5, 1.5, 1.0, -1.0];
    let mut draws = sim_core::random::Draws::new(5, 0);
    let mut rows = Vec::new();
    for person in 0..600 {
        let ability = draws.normal();
        // All get the first five; the sixth slot is one version or the other.
        let last = 5 + person % 2;
        for (task, item) in (1..).zip([0, 1, 2, 3, 4, last]) {
            let right = draws.uniform() < 1.0 / (1.0 + (hard[item] - ability).exp());
            rows.push(TaskResult {
                item: format!("item-{item}"),
                ..result(person, task, if right { 100.0 } else { 0.0 })
            });
        }
    }
    let found = difficulties(&Sittings::of(&rows).unwrap()).unwrap();
    assert_eq!(found.len(), 7);
    for (item, hard) in found.iter().zip(hard) {
        let off = (item.logits - hard).abs();
        assert!(off < 3.0 * item.standard_error, "{item:?} for {hard}");
        assert!(item.standard_error < 0.2, "{item:?}");
    }
    assert!(found[5].people < 400 && found[0].people > 450);
}

#[test]
fn difficulties_that_cannot_be_had_say_why() {
    let of = |marks: &[Vec<f64>]| {
        let rows = rows(marks);
        difficulties(&Sittings::of(&rows).unwrap()).unwrap_err()
    };
    let mixed = |person: usize| vec![(person % 2) as f64 * 100.0, (person % 3) as f64 * 50.0];
    let few: Vec<Vec<f64>> = (0..20).map(mixed).collect();
    assert!(matches!(of(&few), NoDifficulties::TooFew { .. }));
    let one: Vec<Vec<f64>> = (0..40).map(|person| vec![(person % 2) as f64]).collect();
    assert_eq!(of(&one), NoDifficulties::Items(1));
    let easy: Vec<Vec<f64>> = (0..80)
        .map(|person| {
            vec![
                100.0,
                (person % 2) as f64 * 100.0,
                (person % 3) as f64 * 50.0,
            ]
        })
        .collect();
    assert!(matches!(of(&easy), NoDifficulties::Extreme { item } if item == "item-001"));
    // Two halves of the people, with nothing in common.
    let mut rows = Vec::new();
    for person in 0..160 {
        for task in [1, 2] {
            let right = (person / 2 + task as usize).is_multiple_of(2);
            rows.push(TaskResult {
                item: format!("item-{}-{task}", person % 2),
                ..result(person, task, if right { 100.0 } else { 0.0 })
            });
        }
    }
    let found = difficulties(&Sittings::of(&rows).unwrap());
    assert_eq!(found, Err(NoDifficulties::NotLinked));
}
