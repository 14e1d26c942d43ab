//! A case written from answers: by options, by lines typed, and what is refused.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::program;
use coldtrail_checks::program::Ran;
use coldtrail_checks::stand::bank;
use scenarios::{FaultRole, Scenario, Varied};

/// A file that is not there.
fn absent(name: &str) -> String {
    let path = format!("{}/new/{name}.toml", env!("CARGO_TARGET_TMPDIR"));
    let _ = std::fs::remove_file(&path);
    path
}

fn new(path: &str, more: &[&str]) -> Ran {
    let mut arguments = vec!["author", "new", path];
    arguments.extend(more);
    program::coldtrail(&arguments)
}

fn read(path: &str) -> (String, Scenario) {
    let text = std::fs::read_to_string(path).unwrap();
    let case = scenario(&text);
    (text, case)
}

fn scenario(text: &str) -> Scenario {
    Scenario::read("mine.toml", "mine", text, bank().known())
        .unwrap_or_else(|error| panic!("{error}\n{text}"))
}

#[test]
fn options_answer_every_question() {
    let path = absent("by-options");
    let options = [
        "--vehicle",
        "saloon",
        "--level",
        "2",
        "--fault",
        "undercharge=0.6",
        "--cause",
        "leak-condenser=0.5",
        "--temperature",
        "28°C to 34°C",
        "--humidity",
        "40%",
        "--sun",
        "0W/m2",
        "--customer",
        "a \"poet\"",
        "--complaint",
        "No.",
        "--title",
        "Nothing \\ at all",
        "--history",
        "One: {charge}.",
        "--history",
        "Two.",
        "--arrival",
        "cold",
        "--mileage",
        "12000km",
        "--shop",
        "None",
        "--defaults",
        "--no-check",
    ];
    let ran = new(&path, &options);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    let (text, case) = read(&path);
    assert_eq!((case.vehicle.as_str(), case.level), ("saloon", 2));
    assert_eq!(case.title, "Nothing \\ at all");
    assert_eq!(case.work_order.customer, "a \"poet\"");
    assert_eq!(case.work_order.history.len(), 2);
    assert_eq!(case.ranges.len(), 1);
    assert_eq!(case.ranges[0].of, Varied::Temperature);
    let roles: Vec<(&str, f64, FaultRole)> = case
        .faults
        .iter()
        .map(|one| (one.mode_id.as_str(), one.severity, one.role))
        .collect();
    let wanted = [
        ("undercharge", 0.6, FaultRole::Fault),
        ("leak-condenser", 0.5, FaultRole::Cause),
    ];
    assert_eq!(roles, wanted);
    // A remark stands above each line.
    let lines: Vec<&str> = text.lines().collect();
    for pair in lines.windows(2) {
        let is_key = pair[1].split_once(" = ").is_some() && !pair[1].starts_with('#');
        assert!(
            !is_key || pair[0].starts_with('#'),
            "{}\n{}",
            pair[0],
            pair[1]
        );
        assert!(pair[1].chars().count() <= 80, "{}", pair[1]);
    }
    // What is there is kept.
    let again = new(&path, &options);
    assert_eq!(again.code, 1);
    assert!(again.errors.contains("and it is kept"), "{}", again.errors);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
}

/// The remarks say what else may stand in a line; whoever takes their word gets a case.
#[test]
fn what_a_remark_offers_can_stand_there() {
    let path = absent("offers");
    let options = [
        "--vehicle",
        "saloon",
        "--fault",
        "undercharge=0.5",
        "--defaults",
        "--no-check",
    ];
    assert_eq!(new(&path, &options).code, 0);
    let (text, _) = read(&path);
    let mut offered = Vec::new();
    for line in text.lines().filter(|line| line.starts_with('#')) {
        let keys = [
            "vehicle",
            "temperature",
            "humidity",
            "sun",
            "altitude",
            "complaint",
            "history",
            "severity",
        ];
        for key in keys {
            let Some(at) = line.find(&format!("{key} = ")) else {
                continue;
            };
            let own = text
                .lines()
                .find(|one| one.starts_with(&format!("{key} = ")));
            let changed = match own {
                Some(own) => text.replace(own, &line[at..]),
                // A line that is switched off.
                None => text.replace(line, &line[at..]),
            };
            assert_ne!(changed, text, "{line}");
            scenario(&changed);
            offered.push(key);
        }
    }
    let wanted = [
        "vehicle",
        "temperature",
        "humidity",
        "altitude",
        "complaint",
        "history",
        "severity",
    ];
    assert_eq!(offered, wanted);
}

/// The day that the bank's hatchbacks have in the middle of theirs: its tour serves these cases, too.
const DAY: [&str; 6] = [
    "--temperature",
    "30 °C",
    "--humidity",
    "50 %",
    "--sun",
    "500 W/m2",
];

#[test]
fn answers_are_typed_refused_with_a_reason_and_checked() {
    let path = absent("typed");
    let lines = [
        "hatchbag", // No such vehicle,
        "hatchback",
        "7", // level,
        "1",
        "blover", // fault,
        "charge", // a word that several have,
        "99",     // number,
        "undercharge",
        "a lot", // severity,
        "0.01",
        "0.9",
        "flat tyre", // or companion.
        "",
        "a piper",
        "",
        "",
        "Filled in spring with {carge}.", // Nothing is filled in for that.
        "Filled in spring with {charge}.",
        "",
    ];
    let mut arguments = vec!["author", "new", &path];
    arguments.extend(DAY);
    let ran = program::typed_on(80, &arguments, (lines.join("\n") + "\n").as_bytes());
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""), "{}", ran.output);
    let refusals = [
        "did you mean `hatchback`?",
        "a level is 1, 2 or 3",
        "Nothing of this car is found for `blover`",
        "There is no 99 here",
        "`a lot` is no number",
        "this slight is not a fault",
        "No shop finds `flat tyre` with it",
        "nothing is filled in for `{carge}`",
        "It passes.",
    ];
    let mut rest = ran.output.as_str();
    for refusal in refusals {
        let at = rest
            .find(refusal)
            .unwrap_or_else(|| panic!("{refusal}: {rest}"));
        rest = &rest[at..];
    }
    for line in ran.output.lines() {
        // What is typed is not in it: the next line follows the prompt.
        let line = line.rsplit("> ").next().unwrap();
        assert!(line.chars().count() <= 80, "{line}");
    }
    let (_, case) = read(&path);
    assert_eq!(case.vehicle, "hatchback");
    assert_eq!(case.work_order.customer, "a piper");
    assert_eq!(case.faults.len(), 1);
    assert!((case.faults[0].severity - 0.9).abs() < 1e-12);
    // What was written is what is checked.
    let checked = program::coldtrail(&["author", "check", &path]);
    assert_eq!(checked.code, 0);
    assert!(ran.output.contains(checked.output.lines().next().unwrap()));
}

#[test]
fn a_fault_that_is_not_felt_says_which_answer_to_change() {
    let path = absent("slight");
    let mut options = vec![
        "--vehicle",
        "hatchback",
        "--fault",
        "clutch-slipping=0.5",
        "--defaults",
    ];
    options.extend(DAY);
    let ran = new(&path, &options);
    assert_eq!(ran.code, 1);
    assert!(
        ran.output.contains("Change how bad it is"),
        "{}",
        ran.output
    );
    assert!(ran.output.contains("`severity`"), "{}", ran.output);
    // It is there to be changed.
    assert_eq!(read(&path).1.faults[0].mode_id, "clutch-slipping");
}

#[test]
fn nothing_is_written_where_the_answers_end_or_do_not_fit() {
    let path = absent("never");
    let ran = program::launch(&["author", "new", &path], b"saloon\n2\n", false);
    assert_eq!(ran.code, 1);
    assert!(
        ran.errors.contains("nothing has been written"),
        "{}",
        ran.errors
    );
    let left = program::typed(&["author", "new", &path], b"saloon\nquit\n");
    assert_eq!(left.code, 1);
    let table = [
        (
            ["--vehicle", "salon"],
            "--vehicle: no vehicle is called `salon`",
        ),
        (["--level", "hard"], "--level: "),
        (["--fault", "undercharge"], "such as `undercharge=0.5`"),
        (
            ["--fault", "undercharge=2"],
            "--fault: a severity lies above 0",
        ),
        (
            ["--temperature", "90 °C"],
            "--temperature: no car is looked at in this weather",
        ),
        (["--title", ""], "--title: this must say something"),
        (["--arrival", "towed"], "--arrival: "),
    ];
    for (options, said) in table {
        let mut more = options.to_vec();
        more.extend(["--defaults", "--no-check"]);
        let ran = new(&path, &more);
        assert_eq!(ran.code, 1, "{options:?}");
        assert!(ran.errors.contains(said), "{options:?}: {}", ran.errors);
    }
    // A car without a clutch has no clutch that slips; where none is named, one with a clutch is taken.
    let slips = ["--fault", "clutch-slipping=0.9", "--defaults", "--no-check"];
    let on_wrong = [&["--vehicle", "hybrid"][..], &slips].concat();
    let ran = new(&path, &on_wrong);
    assert!(
        ran.errors
            .contains("`hybrid` has no part that `clutch-slipping` is a fault of"),
        "{}",
        ran.errors
    );
    let other = absent("a-car-with-a-clutch");
    assert_eq!(new(&other, &slips).code, 0);
    let (_, case) = read(&other);
    let spec = &bank().vehicle(&case.vehicle).unwrap().spec;
    assert!(
        bank()
            .catalogue()
            .get("clutch-slipping")
            .unwrap()
            .concerns(spec)
    );
    // Names that no case can have.
    for (name, said) in [("school-run", "already"), ("No Such Name", "small letters")] {
        let ran = new(&absent(name), &["--defaults", "--no-check"]);
        assert_eq!(ran.code, 1, "{name}");
        assert!(ran.errors.contains(said), "{name}: {}", ran.errors);
    }
    assert!(!std::path::Path::new(&path).exists());
}
