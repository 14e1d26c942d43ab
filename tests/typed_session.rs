//! A session typed at a terminal: menus by number, words, mistakes, a conclusion.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::folder::Folder;
use coldtrail_checks::program::{coldtrail, play, typed, typed_on};
use runner::action::COMMANDS;

const CASE: [&str; 4] = ["practice", "silent-switch", "--seed", "7"];

#[test]
fn nobody_needs_to_know_a_command() {
    // Menu, engine, idle; menu, look, the hub; a word alone asks; leave.
    let ran = typed(&CASE, b"\n1\n1\n2\nmenu\n2\n1\n1\nclamp\n5\nnotes\nquit\n");
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    for words in [
        "WORK ORDER",
        "What do you do?",
        "   1  engine       start, stop or hold the engine",
        "now: 900 rpm, A/C off, blower 0",
        "[1] look at the clutch hub: the pulley turns, the hub stands still",
        "   5  liquid-line",
        "[2] temperature at the liquid line:",
        "You left case `silent-switch`, seed 7",
    ] {
        assert!(
            ran.output.contains(words),
            "{words:?} is not in\n{}",
            ran.output
        );
    }
    assert!(!ran.output.contains("Debrief"));
}

#[test]
fn a_mistake_is_explained_and_the_session_goes_on() {
    let ran = typed(
        &CASE,
        b"engine idel\nclamp drier-inlet\nlook clutch-hub\nquit\n",
    );
    assert!(ran.output.contains(
        "`idel` is not an engine speed. Did you mean `idle`? Allowed: off, idle, 1500 rpm."
    ));
    assert!(
        ran.output
            .contains("this car has no drier inlet; it has compressor-suction,")
    );
    assert!(ran.output.contains("[1] look at the clutch hub"));
}

#[test]
fn a_conclusion_by_number_ends_in_a_debrief() {
    let mut keys = b"meter coil-ohms\nconclude\n".to_vec();
    // Component and mode by name, no cause, reading 1, and yes.
    keys.extend(b"clutch-circuit\nclutch-coil-open\n\n1\nyes\n");
    let ran = typed(&CASE, &keys);
    assert!(
        ran.output.contains("conclude clutch-coil-open because 1"),
        "{}",
        ran.output
    );
    assert!(
        ran.output.contains("Right: open compressor coil."),
        "{}",
        ran.output
    );
    // What was typed, as a script, ends in the same debrief.
    let script = "meter coil-ohms\nconclude clutch-coil-open because 1\n";
    let played = play(script, &CASE[1..]).output;
    let debrief = |text: &str| text[text.find("\nDebrief\n").unwrap()..].to_owned();
    assert_eq!(debrief(&ran.output), debrief(&played));
}

/// The number a choice stands under on the screen.
fn number_of(screen: &str, choice: &str) -> String {
    // A list may stand in columns: the choice's number is the last one before it.
    let cell = |line: &str| {
        let (before, after) = line.split_once(choice)?;
        let whole = before.ends_with(' ') && (after.is_empty() || after.starts_with("  "));
        let mut words = before.split_whitespace().rev();
        whole
            .then(|| words.find(|word| word.parse::<u32>().is_ok()))?
            .map(str::to_owned)
    };
    let number = screen.lines().rev().find_map(cell);
    number.unwrap_or_else(|| panic!("no `{choice}` in\n{screen}"))
}

#[test]
fn a_whole_session_needs_only_numbers() {
    let mut keys = String::new();
    let mut press = |screen: &str, choice: &str| {
        let seen = typed(&CASE, format!("{keys}{screen}").as_bytes()).output;
        keys.push_str(screen);
        keys.push_str(&number_of(&seen, choice));
        keys.push('\n');
    };
    // Enter opens the menu; what is typed next is a number off the screen.
    press("\n", "meter scan feeler tachometer belt-tension");
    press("", "multimeter on the compressor's circuit");
    press("", "coil-ohms");
    press("\n", "suspect hint conclude");
    press("", "name the fault and end");
    press("", "compressor coil and its wiring");
    press("", "open compressor coil");
    keys.push_str("\n1\nyes\n");
    let ran = typed(&CASE, keys.as_bytes());
    assert!(
        keys.chars()
            .all(|key| key == '\n' || key.is_ascii_digit() || "yes".contains(key))
    );
    assert!(
        ran.output.contains("Right: open compressor coil."),
        "{}",
        ran.output
    );
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
}

#[test]
fn the_end_of_input_leaves_politely() {
    let ran = typed(&CASE, b"engine idle\n");
    assert_eq!(ran.code, 0);
    assert!(
        ran.output
            .contains("You left case `silent-switch`, seed 7, after 0:05 min")
    );
    let ran = typed(&CASE, b"look fuse\ngive-up\n");
    assert!(
        ran.output.contains("You gave no conclusion."),
        "{}",
        ran.output
    );
}

#[test]
fn without_a_terminal_or_a_script_it_says_how() {
    let ran = coldtrail(&CASE);
    assert_eq!(ran.code, runner::cli::EXIT_FAILED);
    assert_eq!(
        ran.errors,
        "error: practice is typed at a terminal, and standard input is not one: play a file of actions with `coldtrail practice --script FILE`, or run it in a terminal\n"
    );
    let ran = coldtrail(&["practice", "school-rum"]);
    assert!(ran.errors.contains("school-run"), "{}", ran.errors);
    for (id, words) in [
        (
            "nope",
            "no case is called `nope`. `coldtrail cases` lists them all.",
        ),
        (
            "school",
            "did you mean `school-run`? `coldtrail cases` lists them all.",
        ),
    ] {
        let ran = coldtrail(&["practice", id]);
        assert!(ran.errors.contains(words), "{}", ran.errors);
    }
    let ran = coldtrail(&["practice", "--script", "/no/such/file"]);
    assert!(
        ran.errors.contains("/no/such/file cannot be read"),
        "{}",
        ran.errors
    );
}

#[test]
fn enter_goes_back_one_question_at_a_time() {
    // Suspect: a component; Enter goes back to the components, Enter again out of the question.
    let ran = typed(&CASE, b"suspect\n1\n\n\nnotes\nquit\n");
    assert_eq!(
        ran.output.matches("What do you suspect?").count(),
        2,
        "{}",
        ran.output
    );
    assert_eq!(
        ran.output.matches("What is wrong with it?").count(),
        1,
        "{}",
        ran.output
    );
    assert!(
        ran.output.contains("The notebook is empty"),
        "{}",
        ran.output
    );
}

#[test]
fn help_keeps_its_columns_however_long_a_word_is() {
    let help = typed(&CASE, b"help all\nquit\n").output;
    assert!(
        help.lines().all(|line| line.chars().count() <= 100),
        "{help}"
    );
    let longest = COMMANDS.iter().map(|command| command.verb.len()).max();
    let column = 2 + longest.unwrap() + 2;
    for command in COMMANDS {
        let line = help
            .lines()
            .find(|line| line.split(' ').nth(2) == Some(command.verb));
        let line = line.unwrap_or_else(|| panic!("no {} in\n{help}", command.verb));
        let (verb, follows) = line.split_at(column);
        assert!(
            verb.ends_with("  ") && follows.starts_with(' ') == command.follows.is_empty(),
            "{line:?}"
        );
    }
}

#[test]
fn no_question_of_a_conclusion_is_a_trap() {
    let asked = "Did something else lead to it?";
    // A component by its name asks for its mode; a name there is not is refused where it was typed.
    let start = "look belt\nconclude\ncondenser-fan\nfan-dead\n";
    let by_name = typed(
        &CASE,
        format!("{start}condenser fan\n\n\n1\nno\nquit\n").as_bytes(),
    );
    assert_eq!(
        by_name.output.matches("What is wrong with it?").count(),
        2,
        "{}",
        by_name.output
    );
    assert!(by_name.output.contains("conclude fan-dead because 1\n"));
    let unknown = typed(&CASE, format!("{start}xyz\n\n9\n1\nno\nquit\n").as_bytes());
    assert!(unknown.output.contains("no fault is called `xyz`"));
    assert_eq!(
        unknown.output.matches(asked).count(),
        2,
        "{}",
        unknown.output
    );
    assert!(unknown.output.contains("there is no reading 9"));
    // At each question one can leave, and the input may end.
    for depth in [
        "",
        "xyz\n",
        "condenser fan\n",
        "\n",
        "\n9\n",
        "\n1\n",
        "\n1\nperhaps\n",
    ] {
        for (end, words) in [
            ("", "You left case"),
            ("quit\n", "You left case"),
            ("Give up\n", "You gave no conclusion."),
        ] {
            let ran = typed(&CASE, format!("{start}{depth}{end}").as_bytes());
            assert!(
                ran.output.contains(words),
                "{depth:?} {end:?}\n{}",
                ran.output
            );
        }
    }
}

#[test]
fn nothing_broken_has_no_cause_and_no_answers_the_question_for_one() {
    let asked = "Did something else lead to it?";
    let nothing = typed(
        &CASE,
        b"look belt\nconclude\nnothing is broken\n1\nno\nquit\n",
    );
    assert!(!nothing.output.contains(asked), "{}", nothing.output);
    assert!(nothing.output.contains("conclude no-fault because 1\n"));
    let no = typed(&CASE, b"look belt\nconclude\nfan-dead\nno\n1\nno\nquit\n");
    assert!(
        no.output.contains("conclude fan-dead because 1\n"),
        "{}",
        no.output
    );
    let what = typed(&CASE, b"conclude\nno\n\nquit\n");
    assert!(
        what.output.contains("no fault is called `no`"),
        "{}",
        what.output
    );
    assert!(!what.output.contains(asked), "{}", what.output);
}

#[test]
fn the_menu_offers_the_faults_this_car_can_have() {
    let saloon = typed(&CASE, b"conclude\nquit\n").output;
    assert!(saloon.contains("expansion valve"), "{saloon}");
    for absent in ["orifice tube", "accumulator", "compressor's control valve"] {
        assert!(
            !saloon
                .lines()
                .any(|line| line.ends_with(&format!("  {absent}"))),
            "{absent} in\n{saloon}"
        );
    }
}

#[test]
fn plain_names_and_any_case_do_in_the_bay() {
    let ran = typed(
        &CASE,
        b"Notes\nLOOK Belt\nconclude Blocked Drier because 1\n",
    );
    assert!(
        ran.output.contains("The notebook is empty"),
        "{}",
        ran.output
    );
    assert!(
        ran.output.contains("you said blocked drier"),
        "{}",
        ran.output
    );
    let ran = typed(&CASE, b"note\nGive Up\n");
    let hint = "`note` is not an action. Did you mean `notes`? `help` shows the groups";
    assert!(ran.output.contains(hint), "{}", ran.output);
    assert!(
        ran.output.contains("You gave no conclusion."),
        "{}",
        ran.output
    );
    let played = play("quit\n", &CASE[1..]).output;
    assert!(played.contains("`quit` is for a typed session"), "{played}");
}

#[test]
fn a_terminal_of_80_by_24_shows_lines_and_lists_whole() {
    let keys = b"\n1\n\n9\n\n\nhelp\ntools\nfaults\norder\nmeter\n\nlook\n\nconclude\n\ngive-up\n";
    for columns in [60, 80] {
        let ran = typed_on(columns, &CASE, keys);
        // What is typed ends a prompt's line on the screen, and is not in the output.
        for line in ran.output.lines().flat_map(|line| line.split(" > ")) {
            assert!(line.chars().count() <= columns, "{columns}: {line:?}");
        }
    }
    let screen = typed_on(80, &CASE, b"\n\nmeter\n\nlook\n\nconclude\n\nquit\n").output;
    for list in screen.split("\nbay ").skip(1) {
        assert!(list.lines().count() <= 24, "{list}");
    }
}

#[test]
fn hints_are_in_the_units_asked_for() {
    let keys = "temperature 70\nroad 30 mph\ndoors open\nroad 200 mph\nroad\n\nhelp\nquit\n";
    let us: Vec<&str> = [&CASE[..], &["--units", "us"]].concat();
    let ran = typed(&us, keys.as_bytes()).output;
    for words in [
        "a unit is missing after `70`: write for example `72 °F`",
        "stop it with `road 0 mph` first",
        "`200 mph` is beyond what can be asked for: 0 to 80 mph.",
        "  4  55 mph",
    ] {
        assert!(ran.contains(words), "{words:?} is not in\n{ran}");
    }
    assert!(!ran.contains("km/h") && !ran.contains("°C"), "{ran}");
    let si = typed(&CASE, b"temperature 20\nquit\n").output;
    assert!(si.contains("write for example `22 °C`"), "{si}");
}

#[test]
fn the_label_can_be_read_in_the_bay() {
    let ran = typed(&CASE, b"label\nlook label\nquit\n").output;
    assert!(ran.contains("Halbrin Pip 1.2 (hatchback), "), "{ran}");
    let page = coldtrail(&["vehicles", "hatchback"]).output;
    let row = |page: &str, label: &str| {
        let line = page
            .lines()
            .find(|line| line.trim_start().starts_with(label));
        line.map(|line| line.trim_start().replacen(label, "", 1).trim().to_owned())
    };
    for label in ["Refrigerant", "Oil"] {
        assert_eq!(row(&ran, label), row(&page, label), "{ran}\n{page}");
    }
    let place = row(&page, "Label").expect("a place");
    assert_eq!(
        ran.matches(&format!("The label, {place}:")).count(),
        2,
        "{ran}"
    );
}

#[test]
fn one_word_of_help_tools_and_faults_can_be_asked_for() {
    let ran = typed(
        &CASE,
        b"help clamp\nTools clamp\ntools recover\ntools meter\nfaults fan-dead\nhelp clmp\ntools hammer\nquit\n",
    )
    .output;
    for words in [
        "clamp  a line, such as liquid-line [quick | bare]",
        "bay 0:00 > clamp thermometer\n",
        "recovery",
        "condenser fan that does not turn  (fan-dead)",
        "Did you mean `clamp`?",
        "No tool is called `hammer`",
    ] {
        assert!(ran.contains(words), "{words:?} is not in\n{ran}");
    }
    assert!(ran.contains("ohmmeter: errs"), "{ran}");
    assert!(!ran.contains("hygrometer: errs"), "{ran}");
}

/// A repair typed with the menu's help, from the question to the debrief.
#[test]
fn a_repair_is_typed_to_its_end() {
    let case = ["practice", "harvest-dust", "--seed", "1"];
    let keys = "look condenser-face\nconclude condenser-face-blocked because 1\nmaybe\nyes\n\
        engine off\nfit condenser A\nmend\ncondenser-face\nhint\nengine idle\nac on\nblower 4\n\
        wait 10 min\nthermometer centre-vent\nsuspect fan-dead 20 %\nhand-over\n";
    let ran = typed(&case, keys.as_bytes());
    for words in [
        "Repair the car now? yes / no",
        "`condenser` is still on the car: `remove condenser` first",
        "what is left is the repair, and `hand-over`",
        "The car cools as it should, and in the six weeks after nothing comes back.",
        "Mark of the repair",
    ] {
        assert!(ran.output.contains(words), "{words}: {}", ran.output);
    }
    let untouched = "look belt\nconclude no-fault because 1\nno\n";
    let ran = typed(&case, untouched.as_bytes());
    assert!(ran.output.contains("Debrief") && !ran.output.contains("Mark of the repair"));
    let left = "look belt\nconclude no-fault because 1\nyes\nquit\n";
    assert!(
        typed(&case, left.as_bytes())
            .output
            .contains("You left case")
    );
}

/// What was done is in the file, and the same command goes on behind it.
#[test]
fn a_session_that_is_kept_goes_on() {
    let folder = Folder::new();
    let file = folder.path().join("monday.session");
    let file = file.to_str().unwrap();
    let keep = |more: &[&str], keys: &[u8]| {
        let arguments = ["practice", "--keep", file];
        typed(&[&arguments, more].concat(), keys)
    };
    let begun = keep(
        &CASE[1..],
        b"look clutch-hub\nsuspect fan-dead 20 %\nquit\n",
    );
    // How its lines are broken goes by the length of the path.
    let told: Vec<&str> = begun.output.split_whitespace().collect();
    let told = told.join(" ");
    assert!(told.contains("goes on where you left"), "{told}");
    let on = keep(&[], b"notes\nsuspects\nlook belt\nquit\n");
    for words in [
        "goes on where it broke off",
        "look at the clutch hub",
        "20 %",
        "[2] look at the belt",
    ] {
        assert!(on.output.contains(words), "{words}: {}", on.output);
    }
    let other = keep(&["school-run", "--seed", "77"], b"quit\n");
    assert!(
        other.errors.contains("holds a session of case"),
        "{}",
        other.errors
    );
    let text = std::fs::read_to_string(file).unwrap();
    assert_eq!(
        text.lines().filter(|line| !line.starts_with('#')).count(),
        3,
        "{text}"
    );
    // It is a script, too.
    let played = coldtrail(&[&["practice", "--script", file], &CASE[1..]].concat());
    assert!(
        played.output.contains("look at the belt"),
        "{}",
        played.output
    );
}
