//! A gauge read twice is one gauge: what individuals of a model differ by, no repeat averages out.
//!
//! Tables are written by hand: two explanations, a sound car and one fault, that differ at the centre
//! vent by less than the individuals of the model do.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::bank;
use runner::evidence::belief::Weighed;
use runner::evidence::column::Column;
use runner::evidence::explanation::{Explanation, Grain, explanations};
use runner::evidence::layout::{CARS, Layout, Spread};
use runner::evidence::seen::Seen;
use runner::evidence::table::Table;
use scenarios::Case;
use sim_core::instruments::{Check, Unit, Value, Vent};

const CHECK: Check = Check::VentTemperature(Vent::Centre);
/// What the typical sound car shows, K.
const SOUND_K: f64 = 283.0;
/// By how much the fault warms it, K.
const FAULT_K: f64 = 1.5;
/// How the individuals differ from the typical car, K: by 2 K on average, in another order for another
/// place on the car, so that the two do not go together.
const ONE_PLACE_K: [f64; CARS] = [2.0, 2.0, 2.0, 2.0, -2.0, -2.0, -2.0, -2.0];
const OTHER_PLACE_K: [f64; CARS] = [2.0, -2.0, 2.0, -2.0, 2.0, -2.0, 2.0, -2.0];

fn two() -> Vec<Explanation> {
    let case = Case::deal(bank(), "school-run", 1).unwrap();
    let mut two = explanations(bank(), &case, Grain::Fine);
    two.truncate(2);
    assert!(two[0].modes.is_empty());
    for one in &mut two {
        one.prior = 0.5;
    }
    two
}

/// A column in which individuals differ so.
fn column(explanations: &[Explanation], individuals: [f64; CARS]) -> Column {
    let sound = [0.0].into_iter().chain(individuals);
    let faulty = (0..explanations[1].nodes()).map(|_| FAULT_K);
    let seen: Vec<Seen> = sound
        .chain(faulty)
        .map(|off| Seen::Range(SOUND_K + off, SOUND_K + off))
        .collect();
    Column::of(seen.iter().map(Some))
}

/// Probability of the fault when every reading shows what the typical car with it shows.
fn of_fault(columns: Vec<[f64; CARS]>) -> f64 {
    let explanations = two();
    let count = columns.len();
    let columns = columns.into_iter();
    let table = Table {
        checks: vec![CHECK; count],
        columns: columns.map(|one| column(&explanations, one)).collect(),
        layout: Layout::new(&explanations, Spread::Healthy),
    };
    let shown = Value::Number {
        shown: SOUND_K + FAULT_K,
        error: 0.5,
        unit: Unit::Temperature,
    };
    let numbers: Vec<usize> = (0..count).collect();
    let slips = bank().marks().slips;
    let weighed = Weighed::weigh(&explanations, &table, &numbers, &vec![shown; count], &slips);
    weighed.belief().probabilities[1]
}

#[test]
fn a_reading_twice_is_no_fresh_proof_of_the_spread() {
    let once = of_fault(vec![ONE_PLACE_K]);
    let twice = of_fault(vec![ONE_PLACE_K, ONE_PLACE_K]);
    let elsewhere = of_fault(vec![ONE_PLACE_K, OTHER_PLACE_K]);
    assert!(once > 0.5, "{once}");
    assert!(twice < elsewhere - 0.02, "{twice} and {elsewhere}");
    let odds = |p: f64| (p / (1.0 - p)).ln();
    assert!(odds(twice) < 1.5 * odds(once), "{twice} after {once}");
}

/// However often one gauge is read, the belief stays where the individuals' spread leaves it.
#[test]
fn repeats_converge_and_not_to_certainty() {
    let after = |count: usize| of_fault(vec![ONE_PLACE_K; count]);
    let (some, many, most) = (after(32), after(128), after(512));
    assert!((most - many).abs() < 0.25 * (many - some).abs() + 1e-3);
    assert!(most < 0.9, "{some}, {many}, {most}");
    // Nothing shared: the same number of gauges without a spread settle it.
    assert!(of_fault(vec![[0.0; CARS]; 32]) > 0.999);
}
