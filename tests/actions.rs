//! The text form of actions: what parses, what comes back, what is said of the rest.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::forms::FORMS;
use runner::action::{Action, COMMANDS, command_of};
use sim_core::instruments::every_check;
use sim_core::random::Draws;

#[test]
fn every_form_comes_back_from_its_text() {
    for form in FORMS {
        let action = Action::parse(form).unwrap_or_else(|error| panic!("{form}: {error}"));
        let text = action.to_string();
        let again = Action::parse(&text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(again, action, "{form}");
        assert_eq!(again.to_string(), text, "{form}");
    }
    for command in COMMANDS {
        let known = FORMS.iter().any(|form| form.starts_with(command.verb))
            || every_check()
                .iter()
                .any(|check| command_of(*check).starts_with(command.verb));
        assert!(known, "no form of `{}` is tried", command.verb);
    }
}

/// An attempt is kept as its texts: what they give back must be the same to the last bit.
#[test]
fn every_quantity_comes_back_to_the_last_bit() {
    let mut draws = Draws::new(5, 0);
    for _ in 0..2000 {
        let share = draws.uniform();
        let forms = [
            format!("engine {} rpm", 500.0 + 5500.0 * share),
            format!("road {} mph", 80.0 * share),
            format!("road {} m/s", 36.0 * share),
            format!("temperature {} °F", 61.0 + 28.0 * share),
            format!("wait {} min", 1.0 + 59.0 * share),
            format!("suspect undercharge {} %", 100.0 * share),
        ];
        for form in forms {
            let action = Action::parse(&form).unwrap_or_else(|error| panic!("{form}: {error}"));
            let text = action.to_string();
            assert_eq!(Action::parse(&text), Ok(action), "{form}, told as {text}");
        }
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
            "ai recirculate",
            "`ai` is not an action. Did you mean `ac` or `air`? `help car` of a typed session shows what is beside it, `help` the groups.",
        ),
        (
            "warm-cylinder stove",
            "`stove` is not a way to warm a cylinder. Allowed: water, flame.",
        ),
        (
            "engin idle",
            "`engin` is not an action. Did you mean `engine`? `help car` of a typed session shows what is beside it, `help` the groups.",
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
            "`coil-ohm` is not a measurement on the compressor's circuit. Did you mean `coil-ohms`? Allowed: coil-ohms, coil-volts, coil-amps, battery-volts, fuse-in-volts, fuse-out-volts, relay-feed-volts, relay-output-volts, relay-coil-volts, relay-control-volts, plug-harness-volts, plug-coil-volts, coil-ground-volts, engine-ground-volts, feed-drop, fuse-drop, fuse-to-relay-drop, relay-drop, harness-drop, plug-drop, ground-drop, strap-drop, fuse-ohms, relay-coil-ohms, relay-contacts-ohms, ground-ohms.",
        ),
        (
            "thermometer rear-vent",
            "`rear-vent` is not a place in the air. Did you mean `left-vent`? Allowed: left-vent, centre-vent, right-vent, condenser-front, condenser-behind.",
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
        (
            "wait 5",
            "a unit is missing after `5`: write for example `5 min`",
        ),
        ("wait", "nothing is written here: write for example `5 min`"),
        (
            "wait 5 kg",
            "expected a duration, for example `5 min`, but `5 kg` is a mass",
        ),
        (
            "wait 0 s",
            "`0 s` is beyond what can be asked for: 1 s to 60 min.",
        ),
        (
            "road fast",
            "`fast` does not begin with a number: write for example `60 km/h`",
        ),
        (
            "road 200 km/h",
            "`200 km/h` is beyond what can be asked for: 0 to 130 km/h.",
        ),
        (
            "suspect undercharge 140 %",
            "`140 %` is beyond what can be asked for: 0 % to 100 %.",
        ),
        (
            "engine -5 rpm",
            "`-5 rpm` is not an engine speed. Allowed: off, idle, 1500 rpm.",
        ),
        (
            "engine",
            "an engine speed is missing. Allowed: off, idle, 1500 rpm.",
        ),
        (
            "temperature 40 °C",
            "`40 °C` is beyond what can be asked for: cold, hot, or 16 to 32 °C.",
        ),
        (
            "blower -1",
            "`-1` is not a blower step. Write a whole number, 0 for off, such as `blower 3`.",
        ),
        (
            "air outside",
            "`outside` is not a position of the intake door. Allowed: recirculate, fresh.",
        ),
        (
            "doors ajar",
            "`ajar` is not a position of the doors. Allowed: open, closed.",
        ),
        (
            "shop-fan 1",
            "`1` is not a position of the fan's switch. Allowed: on, off.",
        ),
        (
            "wear hat",
            "`hat` is not protection. Allowed: glasses, gloves.",
        ),
        (
            "gauges attach",
            "`attach` is not a step with the gauge set. Allowed: connect, open, read, close, disconnect, zero, watch.",
        ),
        (
            "clamp liquid",
            "`liquid` is not a line of the loop. Did you mean `liquid-line`? Allowed: compressor-suction, compressor-discharge, condenser-inlet, condenser-outlet, liquid-line, evaporator-inlet, evaporator-outlet, drier-inlet, drier-outlet, accumulator-outlet.",
        ),
        (
            "air-speed roof",
            "`roof` is not a vent. Allowed: left-vent, centre-vent, right-vent.",
        ),
        (
            "hygrometer boot",
            "`boot` is not a place for the hygrometer. Allowed: outside, cabin.",
        ),
        ("feeler belt", "`belt` is not a gap. Allowed: clutch-gap."),
        (
            "scan presure",
            "`presure` is not a value the scan tool shows. Did you mean `pressure`? Allowed: pressure, evaporator, request, ambient, reason, speed, insulation.",
        ),
        (
            "look vents",
            "`vents` is not a spot to look at. Allowed: clutch-hub, compressor, belt, clutch-plug, fuse, condenser-face, condenser-fan, discharge-hose, liquid-line, sight-glass, expansion-valve, drain, suction-hose, cabin-filter, receiver, accumulator, low-port, high-port, transducer, orifice-tube.",
        ),
        (
            "listen fuse",
            "`fuse` is not a spot to listen to. Allowed: compressor, belt, expansion-valve, blower, orifice-tube.",
        ),
        (
            "feel fuse",
            "`fuse` is not a spot to feel. Allowed: clutch-hub, compressor, belt, discharge-hose, liquid-line, expansion-valve, suction-hose, vents, heater-hoses, accumulator, orifice-tube.",
        ),
        (
            "smell vent",
            "`vent` is not a spot to smell. Did you mean `vents`? Allowed: clutch-hub, vents.",
        ),
        (
            "leak-search drain",
            "`drain` is not a spot for the leak detector. Allowed: compressor, condenser-face, discharge-hose, liquid-line, suction-hose, evaporator, receiver, accumulator, expansion-valve, orifice-tube, low-port, high-port, transducer.",
        ),
        (
            "leak-search compressor 5-g",
            "`5-g` is not a way to use it. Did you mean `4-g`? Allowed: 4-g, 7-g, 14-g, above.",
        ),
        (
            "infrared liquid-line",
            "a surface to point it at is missing. Allowed: tape, hose, bare, far.",
        ),
        (
            "tachometer fan",
            "`fan` is not a thing that turns. Allowed: pulley, hub.",
        ),
        (
            "clamp liquid-line fast",
            "`fast` is not a way to use it. Allowed: quick, bare.",
        ),
        (
            "scan request slow",
            "nothing can follow here; leave `slow` out.",
        ),
        (
            "recover 2 h",
            "`2 h` is beyond what can be asked for: 30 s to 60 min.",
        ),
        (
            "evacuate",
            "a state of the vacuum pump is missing. Allowed: on, off.",
        ),
        (
            "charge gas 100 g",
            "`gas` is not what the cylinder gives. Allowed: liquid, vapour.",
        ),
        (
            "charge liquid",
            "a mass to charge is missing. Write one, such as `charge liquid 450 g`.",
        ),
        (
            "charge liquid 5 kg",
            "`5 kg` is beyond what can be asked for: 10 g to 3 kg.",
        ),
        (
            "loosen bolt",
            "`bolt` is not a line of the loop. Allowed: compressor-suction, compressor-discharge, condenser-inlet, condenser-outlet, liquid-line, evaporator-inlet, evaporator-outlet, drier-inlet, drier-outlet, accumulator-outlet.",
        ),
        (
            "conclude undercharge cause",
            "`cause` wants the name of a fault behind it.",
        ),
        (
            "conclude fan-dead why",
            "`why` is not part of a conclusion. Allowed: cause, because.",
        ),
        (
            "",
            "an action is missing. `help` of a typed session shows the groups of actions.",
        ),
        (
            "fit condenser",
            "Write the letter of a part at the counter, such as `fit condenser B`; `compare condenser` shows them.",
        ),
        (
            "fit condensor b",
            "`condensor` is not a part. Did you mean `condenser`? Allowed: compressor, condenser, drier, expansion-device, evaporator, discharge-hose, liquid-line, suction-hose, service-valves, control-valve, clutch, coil, connector, coil-wire, coil-ground, fuse, fuse-holder, relay, belt, condenser-fan, fan-shroud, front-seals, transducer, pressure-switches, evaporator-sensor, ambient-sensor, cabin-filter, blower, blower-resistor, blend-door, intake-door, mode-door, heater-valve.",
        ),
        (
            "seal condenser 10.8",
            "Write inner diameter and thickness, such as `seal condenser 10.8 x 1.8 mm`; `service-data` names the sizes.",
        ),
        (
            "torque condenser 900 N m",
            "`900 N m` is beyond what can be asked for: up to 200 N m.",
        ),
        (
            "oil add 40 cm3",
            "Write an amount and the kind of oil, such as `oil add 40 cm3 pag-46`; `service-data` names the right one.",
        ),
        (
            "press nitrogen 40 bar",
            "`40 bar` is beyond what can be asked for: 0.5 to 20 bar.",
        ),
        (
            "press oxygen 10 bar",
            "`oxygen` is not a gas to press with, or `off`. Allowed: nitrogen, tracer, air.",
        ),
        ("turn-hub twice", "`turn-hub` stands alone."),
        (
            "blower",
            "a blower step is missing. Write one, such as `blower 3`.",
        ),
        (
            "clamp",
            "a line of the loop is missing. Allowed: compressor-suction, compressor-discharge, condenser-inlet, condenser-outlet, liquid-line, evaporator-inlet, evaporator-outlet, drier-inlet, drier-outlet, accumulator-outlet.",
        ),
    ];
    for (text, message) in table {
        assert_eq!(Action::parse(text).expect_err(text).to_string(), message);
    }
}

#[test]
fn any_case_and_names_of_two_words_are_understood() {
    for (typed, meant) in [
        ("WAIT 5 MIN", "wait 300 s"),
        ("Look Belt", "look belt"),
        ("look clutch hub", "look clutch-hub"),
        ("Temperature 22 °c", "temperature 295.15 K"),
        ("road 30 MPH", "road 48.28032 km/h"),
        ("shop fan on", "shop-fan on"),
        ("meter relay coil volts", "meter relay-coil-volts"),
        ("infrared liquid line tape", "infrared liquid-line tape"),
        ("conclude fan dead", "conclude fan-dead"),
        ("Fit Condenser b", "fit condenser B"),
        ("remove expansion device", "remove expansion-device"),
        ("seal condenser 10.8x1.8", "seal condenser 10.8 x 1.8 mm"),
        ("torque liquid line 15 Nm", "torque liquid-line 15 N m"),
        ("oil add 40 cm3 PAG 46 YF", "oil add 40 cm3 pag-46-yf"),
        ("oil drain 2 fl oz", "oil drain 59.147059125 cm3"),
        ("press nitrogen 10 bar", "press nitrogen 1000 kPa"),
        (
            "press nitrogen 150 psig",
            "press nitrogen 1034.213593975 kPa",
        ),
        ("hand over", "hand-over"),
        (
            "Conclude low on refrigerant cause leaking condenser because 3 5",
            "conclude low-on-refrigerant cause leaking-condenser because 3 5",
        ),
        (
            "suspect low on refrigerant 40 %",
            "suspect low-on-refrigerant 40 %",
        ),
    ] {
        let told = Action::parse(typed).map(|action| action.to_string());
        assert_eq!(told.as_deref(), Ok(meant), "{typed}");
    }
}
