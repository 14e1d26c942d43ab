//! Right and wrong uses of every instrument in one session, set against the same session on the car that
//! was really there.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::stand::{bank, fluid_by_name};
use coldtrail_checks::tours::actions;
use runner::bay::Bay;
use runner::evidence::cues::{Pair, missed, panels};
use runner::evidence::replay::Stage;
use runner::evidence::seen::Seen;
use runner::grade::present;
use scenarios::Case;
use sim_core::instruments::{Check, Reading, Value};

const SCRIPT: &str = "wear glasses\nwear gloves\ngauges zero\ngauges connect\ngauges read\n\
    gauges open\ndye add\nengine idle\nac on\nblower 4\nwait 5 min\ngauges watch\n\
    clamp liquid-line quick\nclamp liquid-line bare\ninfrared liquid-line bare\n\
    infrared liquid-line far\ninfrared condenser-inlet hose\ninfrared liquid-line tape\n\
    thermometer centre-vent quick\nthermometer condenser-behind\nair-speed left-vent askew\n\
    hygrometer cabin quick\nscan pressure slow\nscan evaporator slow\ntachometer hub\n\
    scan ambient soaked\nthermometer condenser-front on-fins\nmeter coil-volts ac-range\n\
    meter coil-amps unzeroed\nfeel liquid-line\nlook transducer\nleak-search high-port\n\
    tachometer pulley unmarked\nengine off\nmeter coil-ohms unzeroed\nidentifier vapour\nidentifier cold\n\
    belt-tension right-span\nbelt-tension wrong-span\npulley-line grooves\npulley-line rims\nfeeler clutch-gap one-place\n\
    leak-search compressor 4-g\nleak-search compressor above\nlamp compressor\nwipe compressor\n\
    soap liquid-line\ngauges close\ngauges read\ngauges disconnect\nrecover 3 min\n\
    recover 20 min\nvacuum-gauge read\nconclude no-fault because 1";

/// A reading is what the car shows, give or take the limit of the instrument's error.
fn explains(seen: &Seen, reading: &Reading) -> bool {
    let spec = || reading.check.tool().expect("an instrument").spec();
    match (seen, reading.value) {
        (Seen::Range(..) | Seen::Swing(_), value) => {
            let (low, high) = seen.number().expect("a number").ends();
            match value {
                Value::Number { shown, error, .. } => shown >= low - error && shown <= high + error,
                Value::OutOfRange(true) => high > spec().most - spec().limit_of_error(spec().most),
                Value::OutOfRange(false) => {
                    low < spec().least + spec().limit_of_error(spec().least)
                }
                Value::Finding { .. } => false,
            }
        }
        (Seen::Findings(findings), Value::Finding { key, .. }) => {
            findings.iter().any(|finding| finding.key == key)
        }
        _ => false,
    }
}

/// The car that was really there explains every reading, and what a learner is told they missed is no
/// wrong use.
#[test]
fn the_true_car_explains_every_reading_however_it_was_taken() {
    let case = Case::deal(bank(), "town-and-country", 4).unwrap();
    let actions = actions(SCRIPT);
    let mut bay = Bay::new(bank(), &case).unwrap();
    for action in &actions {
        let taken = bay.act(action);
        assert!(taken.is_ok(), "{action}: {taken:?}");
    }
    assert_eq!(bay.slips(), []);
    let stage = Stage {
        bank: bank(),
        case: &case,
        fluid: fluid_by_name(&case.healthy.refrigerant),
    };
    let mut replay = stage.start(&case.healthy, &present(&case));
    let mut compared = 0;
    for (index, action) in actions.iter().enumerate() {
        let notes = bay.notes().iter().filter(|note| note.action == index);
        let checks: Vec<Check> = notes.clone().map(|note| note.reading.check).collect();
        let seen = replay.perform(action, &checks);
        for (note, seen) in notes.zip(seen) {
            let seen = seen.unwrap_or_else(|| panic!("{note:?}: not on this car"));
            assert!(explains(&seen, &note.reading), "{note:?} beside {seen:?}");
            compared += 1;
        }
    }
    assert_eq!(compared, bay.notes().len());
    let offered = missed(
        Pair {
            truth: &panels(&stage, &case.healthy, &present(&case), &actions),
            rival: &panels(&stage, &case.healthy, &[], &actions),
            individuals: &[],
        },
        bay.notes(),
        &[1],
        &bank().marks().slips,
    );
    assert!(!offered.is_empty());
    assert!(offered.iter().all(|cue| !cue.check.is_misuse()));
}
