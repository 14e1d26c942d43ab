//! Hints: what they say, what they cost, and that what they say can be done.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::program::{play, typed};
use coldtrail_checks::stand::bank;
use coldtrail_checks::tours::{actions, tours};
use runner::action::Action;
use runner::bay::{Bay, spelt};
use runner::evidence::reader::{Hint, Reader, Tours};
use runner::evidence::tour::Tour;
use scenarios::Case;

const CASE: [&str; 3] = ["school-run", "--seed", "5"];
const SCRIPT: &str =
    "hint\nengine idle\nac on\nblower 4\ndoors open\nwait 5 min\nscan pressure\nhint\n";

/// What a session's hints say, on one line each however it was broken.
fn hints(output: &str) -> Vec<String> {
    let words: Vec<&str> = output.split_whitespace().collect();
    let whole = words.join(" ");
    let told = whole.split("HINT ").skip(1);
    let sentence = |rest: &str| rest.split(" bits").next().map(str::to_owned);
    told.filter_map(sentence).collect()
}

#[test]
fn a_hint_names_a_check_and_no_fault_and_costs_its_marks() {
    let ran = play(SCRIPT, &CASE);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    let told = hints(&ran.output);
    assert_eq!(told.len(), 2, "{}", ran.output);
    for hint in &told {
        let command = hint.split('`').nth(1).expect("a command");
        assert!(Action::parse(command).is_ok(), "{hint}");
        assert!(hint.contains(" min, and it should tell "), "{hint}");
        for mode in bank().catalogue().modes() {
            let words = spelt(hint);
            for name in [spelt(&mode.id), spelt(&mode.name)] {
                assert!(!words.contains(&name), "{hint} names {name}");
            }
        }
    }
    let cost = bank().marks().hint.cost;
    assert!(
        ran.output
            .contains(&format!("{:.1} for 2 hints", -2.0 * cost))
    );
    // The same again, and the same where it is typed.
    assert_eq!(play(SCRIPT, &CASE), ran);
    let practice = [&["practice"], &CASE[..]].concat();
    let at_the_bay = typed(&practice, format!("{SCRIPT}quit\n").as_bytes());
    assert_eq!(hints(&at_the_bay.output), told);
}

/// Does what a hint says: sets the car up as it says, and makes the check.
fn obey(bay: &mut Bay, tour: &Tour, hint: &Hint) {
    let mut lines: Vec<Action> = Vec::new();
    if let Some(set_up) = hint.set_up {
        let stop = tour.stops.iter().position(|stop| stop.name == set_up);
        let way = &tour.stops[..=stop.expect("a stop of the tour")];
        lines.extend(way.iter().flat_map(|stop| stop.actions.clone()));
    }
    if hint.action == Action::parse("gauges read").unwrap() {
        let on = "wear glasses\nwear gloves\ngauges connect\ngauges open";
        lines.splice(0..0, actions(on));
    }
    lines.push(hint.action.clone());
    for action in lines {
        let taken = bay.act(&action);
        assert!(taken.is_ok(), "{hint:?}: `{action}`: {taken:?}");
    }
}

#[test]
fn what_a_hint_says_can_be_done_there_and_tells_more_and_more() {
    let case = Case::deal(bank(), "school-run", 5).unwrap();
    let tour = tours().tour(bank(), &case, &()).unwrap();
    let mut bay = Bay::new(bank(), &case).unwrap();
    let mut reader = Reader::new(bank(), &case).unwrap();
    let believed = |reader: &Reader, readings: usize| {
        let columns: Vec<usize> = (0..readings).collect();
        reader.follower().weigh(&columns).belief()
    };
    let before = believed(&reader, 0).of_mode(reader.explanations(), "valve-stuck-shut");
    for _ in 0..5 {
        let Some(hint) = reader.hint(&bay, &tour) else {
            break;
        };
        assert!(hint.bits > 0.0 && hint.seconds > 0.0, "{hint:?}");
        let notes = bay.notes().len();
        obey(&mut bay, &tour, &hint);
        assert!(bay.notes().len() > notes, "{hint:?} showed nothing");
        assert_eq!(bay.slips(), [], "{hint:?}");
        reader.follow(bay.actions(), bay.notes(), &());
    }
    // Who does as told gets on: what is in the car is believed far more than before.
    let after = believed(&reader, bay.notes().len());
    let after = after.of_mode(reader.explanations(), "valve-stuck-shut");
    assert!(after > 10.0 * before, "{before} and {after}");
}
