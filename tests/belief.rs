//! The belief of the ideal reader: what must hold of it whatever the car.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::sync::LazyLock;

use coldtrail_checks::stand::bank;
use coldtrail_checks::tours::{actions, followed};
use rayon::ThreadPoolBuilder;
use runner::bay::{Bay, Note};
use runner::evidence::belief::Weighed;
use runner::evidence::follow::Follower;
use runner::evidence::layout::Spread;
use runner::evidence::reader::Reader;
use scenarios::Case;

/// Findings, numbers, a wait that is long enough to leave unlikely cars standing, and a late reading.
const SESSION: &str = "wear glasses\nwear gloves\nlook condenser-face\ngauges connect\ngauges open\n\
    gauges read\nengine idle\nac on\nblower 4\nwait 3 min\ngauges read\ngauges read\n\
    clamp liquid-line\nthermometer centre-vent\nlisten compressor\nwait 2 min\nclamp evaporator-outlet";

fn case() -> Case {
    Case::deal(bank(), "school-run", 3).unwrap()
}

static FOLLOWED: LazyLock<(Reader, Bay)> =
    LazyLock::new(|| followed(bank(), &case(), &actions(SESSION)));

fn weighed(columns: &[usize]) -> Weighed {
    FOLLOWED.0.follower().weigh(columns)
}

fn all_columns() -> Vec<usize> {
    (0..FOLLOWED.1.notes().len()).collect()
}

#[test]
fn probabilities_add_up_after_every_reading() {
    let weighed = weighed(&all_columns());
    assert_eq!(weighed.readings(), FOLLOWED.1.notes().len());
    for readings in 0..=weighed.readings() {
        let probabilities = weighed.after(readings).probabilities;
        let sum: f64 = probabilities.iter().sum();
        assert!((sum - 1.0).abs() < 1e-12, "{readings}: {sum}");
        assert!(probabilities.iter().all(|one| (0.0..=1.0).contains(one)));
    }
    let sum: f64 = weighed.components.iter().map(|one| one.weight()).sum();
    // Components lighter than one in ten million are dropped.
    assert!((sum - 1.0).abs() < 1e-3, "{sum}");
}

/// No set with fewer explanations holds as much: the likeliest of so many are the most there is to hold.
#[test]
fn the_set_in_play_is_the_smallest_that_holds_its_share() {
    let weighed = weighed(&all_columns());
    for readings in 0..=weighed.readings() {
        let belief = weighed.after(readings);
        for share in [0.5, 0.95] {
            let set = belief.in_play(share);
            let held: f64 = set.iter().map(|one| belief.probabilities[*one]).sum();
            let mut sorted = belief.probabilities.clone();
            sorted.sort_by(|a, b| b.total_cmp(a));
            let fewer: f64 = sorted.iter().take(set.len() - 1).sum();
            assert!(held >= share && fewer < share, "{held} {fewer}");
        }
    }
}

/// Whatever is read first, the belief at the end is one: findings to round-off.
///
/// Numbers as far as they are taken in. What a component hardly expects it takes partly as a slip, with
/// a hundredth of the weight spread over all that the instrument can show, and learns from it by what it
/// has learned before: that share may differ, less than a ten-thousandth of the belief here.
#[test]
fn the_order_of_readings_does_not_matter() {
    let all = all_columns();
    let notes = FOLLOWED.1.notes();
    let is_finding = |column: &&usize| notes[**column].reading.check.tool().is_none();
    let findings: Vec<usize> = all.iter().filter(is_finding).copied().collect();
    assert!(findings.len() >= 2 && findings.len() < all.len());
    for (columns, within) in [(findings, 1e-12), (all, 1e-4)] {
        let forth = weighed(&columns).belief();
        let mut turned = columns.clone();
        turned.reverse();
        let (odd, even): (Vec<usize>, Vec<usize>) = columns.iter().partition(|one| *one % 2 == 1);
        for other in [turned, [odd, even].concat()] {
            let back = weighed(&other).belief();
            for (one, other) in forth.probabilities.iter().zip(&back.probabilities) {
                assert!((one - other).abs() < within, "{one} and {other}");
            }
        }
    }
}

/// The same bytes, however many threads there are and however the session was cut.
#[test]
fn threads_and_steps_change_nothing() {
    let (reader, bay) = &*FOLLOWED;
    let table = reader.follower().table();
    let belief = weighed(&all_columns());
    for threads in [1, 2, 4] {
        let pool = ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        let mut follower = Follower::new(bank(), &case(), Spread::Healthy).unwrap();
        pool.install(|| {
            for done in 1..=bay.actions().len() {
                // In one go on two threads, action by action on one and on four.
                let done = if threads == 2 {
                    bay.actions().len()
                } else {
                    done
                };
                let so_far = |note: &&Note| note.action < done;
                let notes: Vec<Note> = bay.notes().iter().filter(so_far).cloned().collect();
                follower.follow(&bay.actions()[..done], &notes, &());
            }
        });
        assert_eq!(
            follower.cars(),
            reader.follower().cars(),
            "{threads} threads"
        );
        assert!(follower.table() == table, "{threads} threads");
        assert!(
            follower.weigh(&all_columns()) == belief,
            "{threads} threads"
        );
    }
}

/// Cars that early readings left standing are needed again by who relies on a late reading alone.
#[test]
fn cars_left_standing_are_taken_up_again() {
    let (reader, bay) = &*FOLLOWED;
    let last = bay.notes().len() - 1;
    let mut follower = reader.follower().clone();
    assert!(follower.cars().1 > 0, "no car was left standing");
    follower.take_up(&[last], bay.actions(), bay.notes(), &());
    let relied_on = follower.weigh(&[last]).belief();
    // A follower that is told of no reading but the last has nothing to leave a car standing by.
    let mut brute = Follower::new(bank(), &case(), Spread::Healthy).unwrap();
    brute.follow(bay.actions(), &bay.notes()[last..], &());
    assert_eq!(brute.cars().1, 0);
    let expected = brute.weigh(&[0]).belief();
    assert_ne!(relied_on, weighed(&all_columns()).belief());
    for (one, other) in relied_on.probabilities.iter().zip(&expected.probabilities) {
        assert!((one - other).abs() < 1e-6, "{one} and {other}");
    }
    // One that had time to run them ahead comes to the same bytes, before and after.
    let mut ahead = reader.follower().clone();
    let mut moments = 1;
    while ahead.catch_up(bay.actions(), bay.notes(), 64) {
        moments += 1;
    }
    assert!(moments > 1, "nothing to run ahead");
    assert!(ahead.weigh(&all_columns()) == weighed(&all_columns()));
    assert!(ahead.table() == reader.follower().table());
    ahead.take_up(&[last], bay.actions(), bay.notes(), &());
    assert!(ahead.table() == follower.table());
    assert_eq!(ahead.weigh(&[last]).belief(), relied_on);
}
