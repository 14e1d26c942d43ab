//! What an action is said to take is what it takes: hints, paths and tours add up those seconds.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;

use coldtrail_checks::forms::FORMS;
use coldtrail_checks::stand::bank;
use coldtrail_checks::tours::actions;
use runner::action::{Action, COMMANDS, command_of};
use runner::bay::Bay;
use scenarios::Case;
use sim_core::instruments::{Check, Misuse, every_check};

/// A case of each vehicle.
fn cases() -> BTreeMap<String, Case> {
    let cases = bank().cases().map(|scenario| {
        let case = Case::deal(bank(), &scenario.id, 2).unwrap();
        (case.vehicle.id.clone(), case)
    });
    cases.collect()
}

/// What has to be done before some of them.
const BEFORE: [&str; 6] = [
    "wait 10 s",
    "wear glasses\nwear gloves\ngauges connect",
    "wear glasses\nwear gloves\ngauges connect\ngauges open",
    "engine idle\nac on\nblower 4\nwait 30 s",
    "wear glasses\nwear gloves\nrecover 20 min\nrecover 10 min\nevacuate on",
    "wear glasses\nwear gloves\nrecover 20 min\nrecover 10 min\nevacuate on\nwait 10 min\nevacuate off",
];

#[test]
fn every_action_takes_the_seconds_it_says() {
    let mut bays: Vec<Bay> = Vec::new();
    for case in cases().values() {
        for before in BEFORE {
            let mut bay = Bay::new(bank(), case).unwrap();
            for action in actions(before) {
                bay.act(&action)
                    .unwrap_or_else(|why| panic!("{action}: {why}"));
            }
            bays.push(bay);
        }
    }
    let checks = every_check().into_iter().map(command_of);
    let forms = FORMS.iter().map(|form| (*form).to_owned());
    let mut verbs: Vec<String> = Vec::new();
    for form in forms.chain(checks) {
        let action = Action::parse(&form).unwrap_or_else(|error| panic!("{form}: {error}"));
        let mut taken = 0;
        for bay in &bays {
            let mut bay = bay.clone();
            let before_s = bay.clock_s();
            // What cannot be done on this car, or now, takes no time and is tried on another.
            let Ok(outcome) = bay.act(&action) else {
                assert_eq!(bay.clock_s(), before_s, "{form}");
                continue;
            };
            taken += 1;
            let took_s = outcome.clock_s - before_s;
            // A sample of liquid is a slip only on a car that has liquid there, and takes longer then.
            let spoilt = Check::Misused(Misuse::GasFromLiquid);
            let is_spoilt = outcome
                .notes
                .iter()
                .any(|note| note.reading.check == spoilt);
            let says_s = if is_spoilt {
                spoilt.time_s()
            } else {
                action.seconds()
            };
            assert!((took_s - says_s).abs() < 1e-6, "{form}: {took_s} s");
            assert!(action.seconds() > 0.0, "{form} takes no time");
        }
        // Readings of the notebook that a conclusion needs are another test's matter.
        assert!(
            taken > 0 || form.contains("because"),
            "`{form}` was never taken"
        );
        verbs.extend(form.split(' ').next().map(str::to_owned));
    }
    for command in COMMANDS {
        assert!(
            verbs.iter().any(|verb| verb == command.verb),
            "{}",
            command.verb
        );
    }
}
