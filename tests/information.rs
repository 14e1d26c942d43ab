//! Bits against closed forms (Cover & Thomas, Elements of Information Theory, chapters 2, 7 and 8; from
//! memory) and against SciPy 1.16.3 (`reference/information.csv`).
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::bank;
use runner::evidence::alike::seen_bits;
use runner::evidence::information::{Bell, entropy_bits, mutual_bits, number_bits, pair_bits};
use runner::evidence::seen::{Shown, Swing};
use sim_core::instruments::Check;

/// Entropy of a coin.
fn binary(p: f64) -> f64 {
    -p * p.log2() - (1.0 - p) * (1.0 - p).log2()
}

fn assert_near(found: f64, expected: f64, within: f64, what: &str) {
    let off = (found - expected).abs();
    assert!(off <= within, "{what}: {found} for {expected}");
}

#[test]
fn the_entropy_of_a_coin_and_of_equal_chances() {
    for p in [0.01, 0.11, 0.25, 0.5, 0.9] {
        assert_near(entropy_bits(&[p, 1.0 - p]), binary(p), 1e-12, "coin");
    }
    for count in [1, 3, 8, 100] {
        let equal = vec![1.0 / f64::from(count); count as usize];
        assert_near(
            entropy_bits(&equal),
            f64::from(count).log2(),
            1e-12,
            "equal",
        );
    }
    // What cannot happen adds nothing.
    assert_eq!(entropy_bits(&[0.5, 0.0, 0.5]), 1.0);
}

/// A bit sent and turned over with a probability: 1 - H(p) arrives.
#[test]
fn a_binary_symmetric_channel_carries_one_less_its_noise() {
    for p in [0.001, 0.02, 0.11, 0.3, 0.5] {
        let (kept, turned) = (0.5 * (1.0 - p), 0.5 * p);
        let found = mutual_bits(&[vec![kept, turned], vec![turned, kept]]);
        assert_near(found, 1.0 - binary(p), 1e-12, "channel");
    }
}

#[test]
fn what_does_not_depend_on_the_hypothesis_tells_nothing() {
    let (hypotheses, read) = ([0.2, 0.3, 0.5], [0.6, 0.1, 0.3]);
    let joint: Vec<Vec<f64>> = hypotheses
        .iter()
        .map(|one| read.iter().map(|other| one * other).collect())
        .collect();
    assert_near(mutual_bits(&joint), 0.0, 1e-12, "independent");
    let same = |weight| {
        vec![Bell {
            weight,
            mean: 3.0,
            deviation: 0.5,
        }]
    };
    assert_near(number_bits(&[same(0.4), same(0.6)]), 0.0, 1e-12, "numbers");
}

/// Mixtures that no number belongs to two of leave nothing open, but for what lies beyond the outermost
/// cuts, 2.5 deviations from a mean: 1.24 % of a bell (two-sided tail of the normal distribution).
#[test]
fn numbers_far_apart_tell_which_hypothesis_holds() {
    let prior = [0.07, 0.13, 0.3, 0.5];
    let mixtures: Vec<Vec<Bell>> = prior
        .iter()
        .enumerate()
        .map(|(index, weight)| {
            // Two bells each, a hundred deviations and more from those of the others.
            let bell = |by: f64| Bell {
                weight: 0.5 * weight,
                mean: 200.0 * index as f64 + by,
                deviation: 1.0,
            };
            vec![bell(0.0), bell(20.0)]
        })
        .collect();
    let open = entropy_bits(&prior);
    assert_near(number_bits(&mixtures), open, 0.0124 * open, "apart");
    assert_near(
        pair_bits(&[(0.0, 1.0)], &[(40.0, 1.0)]),
        1.0,
        1e-6,
        "two apart",
    );
}

/// A gauge that swings for a quarter of the time and otherwise shows what a steady car does tells the two
/// apart in that quarter: a Z-channel, of which the table of cells is written out here.
#[test]
fn a_swing_tells_as_much_as_the_time_it_is_away() {
    let check = Check::LowGauge;
    let steady = Shown::Number(Swing([2e5; 5]));
    let swings = Shown::Number(Swing([2e5, 2e5, 2e5, 9e5, 9e5]));
    let found = seen_bits(check, &steady, &swings, 0.0, &bank().marks().slips);
    // A half at 2 bar, a quarter on the way, a quarter at 9 bar.
    let expected = mutual_bits(&[vec![0.5, 0.0], vec![0.25, 0.25]]);
    assert_near(found, expected, 0.03, "swing");
    // The mark of both ends taken as equally likely would be nearly a whole bit.
    assert!(found < 0.4);
}

/// Every row of the table. Cutting the line of numbers loses a little and adds nothing (the
/// data-processing inequality): cuts a tenth of a deviation apart next to nothing, the nine cuts a bell
/// of `number_bits` a few hundredths of a bit.
#[test]
fn the_table_of_scipy_is_met() {
    let mut joint: Vec<Vec<f64>> = Vec::new();
    let mut rows = 0;
    for line in include_str!("reference/information.csv").lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let [what, a, b, bits] = cells[..] else {
            panic!("{line}");
        };
        let number = |cell: &str| cell.parse::<f64>().unwrap();
        let expected = number(bits);
        rows += 1;
        match what {
            "joint-row" => joint.push(b.split(' ').map(number).collect()),
            "joint-together" => {
                assert_near(entropy_bits(&joint.concat()), expected, 1e-10, line);
            }
            "joint-hypotheses" => {
                let sums: Vec<f64> = joint.iter().map(|row| row.iter().sum()).collect();
                assert_near(entropy_bits(&sums), expected, 1e-10, line);
            }
            "joint-mutual" => assert_near(mutual_bits(&joint), expected, 1e-10, line),
            "pair" => {
                let found = pair_bits(&[(0.0, 1.0)], &[(number(a), number(b))]);
                assert!(found <= expected + 1e-10, "{line}: {found}");
                assert_near(found, expected, 1e-3, line);
            }
            "four" => {
                let bells: Vec<Vec<Bell>> = [0.1, 0.2, 0.3, 0.4]
                    .iter()
                    .enumerate()
                    .map(|(index, weight)| {
                        vec![Bell {
                            weight: *weight,
                            mean: number(a) * index as f64,
                            deviation: 1.0,
                        }]
                    })
                    .collect();
                let found = number_bits(&bells);
                assert!(found <= expected + 1e-10, "{line}: {found}");
                assert_near(found, expected, 0.03, line);
            }
            other => panic!("{other}"),
        }
    }
    assert_eq!(rows, 21);
    assert_eq!((joint.len(), joint[0].len()), (3, 4));
}
