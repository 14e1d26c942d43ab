//! The text form of actions: what parses, what comes back, what is said of the rest.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use runner::action::{Action, COMMANDS, command_of};
use sim_core::instruments::every_check;

#[test]
fn every_form_comes_back_from_its_text() {
    let forms = [
        "engine off",
        "engine idle",
        "engine 1500 rpm",
        "ac on",
        "ac off",
        "blower 0",
        "blower 4",
        "air recirculate",
        "air fresh",
        "temperature cold",
        "temperature hot",
        "temperature 22 °C",
        "doors open",
        "doors closed",
        "road 50 km/h",
        "road 0 km/h",
        "road 35 mph",
        "shop-fan on",
        "wait 5 min",
        "wait 90 s",
        "wear glasses",
        "wear gloves",
        "gauges connect",
        "gauges open",
        "gauges read",
        "gauges close",
        "gauges disconnect",
        "hygrometer cabin",
        "loosen liquid-line",
        "suspect undercharge 40 %",
        "conclude undercharge",
        "conclude undercharge cause leak-condenser because 3 5 8",
    ];
    for form in forms {
        let action = Action::parse(form).unwrap_or_else(|error| panic!("{form}: {error}"));
        let text = action.to_string();
        let again = Action::parse(&text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(again.to_string(), text, "{form}");
    }
    for command in COMMANDS {
        let known = forms.iter().any(|form| form.starts_with(command.verb))
            || every_check()
                .iter()
                .any(|check| command_of(*check).starts_with(command.verb));
        assert!(known, "no form of `{}` is tried", command.verb);
    }
}

#[test]
fn every_check_has_a_command_that_makes_it() {
    for check in every_check() {
        let text = command_of(check);
        let action = Action::parse(&text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(action.to_string(), text);
    }
}

#[test]
fn what_is_not_an_action_is_told_what_would_be() {
    let table = [
        (
            "engin idle",
            "`engin` is not an action. Allowed: engine, ac, blower, air, temperature, doors, road, shop-fan, wait, wear, gauges, clamp, thermometer, air-speed, hygrometer, meter, feeler, scan, look, listen, feel, smell, leak-search, loosen, suspect, conclude. Did you mean `engine`?",
        ),
        (
            "ac maybe",
            "`maybe` is not a position of the switch. Allowed: on, off.",
        ),
        (
            "blower two",
            "`two` is not a blower step. Write a whole number, 0 for off, such as `blower 3`.",
        ),
        (
            "engine 9000 rpm",
            "`9000 rpm` is beyond what can be asked for: off, idle, or 500 to 6000 rpm.",
        ),
        (
            "wait 2 h",
            "`2 h` is beyond what can be asked for: 1 s to 60 min.",
        ),
        (
            "meter coil-ohm",
            "`coil-ohm` is not a measurement on the clutch coil. Allowed: coil-ohms, coil-volts, coil-amps. Did you mean `coil-ohms`?",
        ),
        (
            "thermometer rear-vent",
            "`rear-vent` is not a vent. Allowed: left-vent, centre-vent, right-vent. Did you mean `left-vent`?",
        ),
        (
            "suspect undercharge",
            "Write a fault and how sure you are, such as `suspect undercharge 40 %`.",
        ),
        (
            "conclude",
            "Write what is wrong, such as `conclude undercharge cause leak-condenser because 3 5`; `faults` lists the names.",
        ),
        (
            "conclude undercharge because five",
            "`five` is not the number of a reading; `notes` lists them.",
        ),
    ];
    for (text, message) in table {
        assert_eq!(Action::parse(text).expect_err(text).to_string(), message);
    }
    for text in [
        "wait 5",
        "wait 5 kg",
        "road fast",
        "suspect undercharge 140 %",
        "engine -5 rpm",
        "",
    ] {
        assert!(Action::parse(text).is_err(), "{text}");
    }
}
