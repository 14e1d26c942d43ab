//! `coldtrail readings`: a run as a table.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::golden;
use coldtrail_checks::program::{self, Ran, coldtrail};
use coldtrail_checks::stand::bank;
use sim_core::instruments::Tool;

/// A table read back: names, then rows of text.
struct Table {
    names: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Table {
    fn of(arguments: &[&str]) -> Self {
        let ran = readings(arguments);
        assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
        let mut reader = csv::Reader::from_reader(ran.output.as_bytes());
        let words = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect();
        Self {
            names: words(reader.headers().unwrap()),
            rows: reader.records().map(|row| words(&row.unwrap())).collect(),
        }
    }

    fn column(&self, name: &str) -> Vec<&str> {
        let index = self.names.iter().position(|one| one == name);
        let index = index.unwrap_or_else(|| panic!("no column {name}"));
        self.rows.iter().map(|row| row[index].as_str()).collect()
    }

    fn numbers(&self, name: &str) -> Vec<f64> {
        let cells = self.column(name);
        cells.iter().map(|cell| cell.parse().unwrap()).collect()
    }
}

fn readings(arguments: &[&str]) -> Ran {
    let mut all = vec!["readings"];
    all.extend(arguments);
    coldtrail(&all)
}

fn refused(arguments: &[&str]) -> String {
    let ran = readings(arguments);
    assert_eq!((ran.code, ran.output.as_str()), (1, ""));
    ran.errors
}

/// Bytes that somebody else's script may rely on. A change here is a change of the format, of the
/// physics or of the draws: read the difference.
#[test]
fn a_short_run_is_these_bytes() {
    let ran = readings(&["town-and-country", "--every", "1min", "--for", "3min"]);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    golden::expect("tests/readings/town-and-country.csv", &ran.output);
}

#[test]
fn a_case_and_a_seed_are_a_table_and_another_seed_is_another() {
    let run = |seed| readings(&["school-run", "--seed", seed, "--for", "30s"]).output;
    assert_eq!(run("7"), run("7"));
    assert_ne!(run("7"), run("8"));
}

#[test]
fn what_is_shown_stands_beside_what_is_true() {
    let table = Table::of(&["--vehicle", "saloon", "--every", "10s", "--for", "5min"]);
    assert_eq!(table.rows.len(), 31);
    assert_eq!(table.numbers("time_s")[30], 300.0);
    let mut names = table.names.clone();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), table.names.len(), "two columns share a name");
    let mut pairs = 0;
    for (index, name) in table.names.iter().enumerate() {
        if let Some(stem) = name.strip_suffix("_read") {
            assert_eq!(table.names[index - 1], format!("{stem}_true"));
            pairs += 1;
        }
    }
    // Two gauges, seven lines, three vents twice, two rooms twice, four on the coil, two on the scan tool.
    assert!(pairs >= 25, "{pairs} instruments");
}

/// The instruments' own data: half the limit of error is a standard deviation, cut at two of them,
/// and half a step is added by rounding.
#[test]
fn readings_err_within_what_the_instrument_promises_and_do_err() {
    let table = Table::of(&["--vehicle", "van", "--every", "1s", "--for", "10min"]);
    let spec = Tool::AirThermometer.spec();
    let truths = table.numbers("air_temperature_outside_k_true");
    let shown = table.numbers("air_temperature_outside_k_read");
    let mut squares = 0.0;
    for (truth, shown) in truths.iter().zip(&shown) {
        let error = shown - truth;
        assert!(error.abs() <= spec.limit_of_error(*truth) + 1e-9, "{error}");
        squares += error * error;
    }
    let deviation = (squares / shown.len() as f64).sqrt();
    // A normal deviate cut at two of them keeps 0.96 of its spread, and the thermometer's steps of
    // a tenth add less than a hundredth; three standard errors of 601 draws are 9 %.
    let expected = 0.96 * 0.5 * spec.accuracy;
    assert!((deviation / expected - 1.0).abs() < 0.09, "{deviation} K");
}

/// A clamp thermometer's eight seconds: on a hose that heats up it shows less than is there.
#[test]
fn instruments_lag() {
    let table = Table::of(&["--vehicle", "saloon", "--every", "1s", "--for", "20s"]);
    let hose = "line_temperature_compressor_discharge_k";
    let truths = table.numbers(&format!("{hose}_true"));
    let shown = table.numbers(&format!("{hose}_read"));
    assert!(
        truths[3] - truths[0] > 15.0,
        "the hose heats up: {truths:?}"
    );
    assert!(truths[3] - shown[3] > 8.0, "{} {}", truths[3], shown[3]);
}

#[test]
fn a_cell_is_empty_where_nothing_can_be_measured() {
    let table = Table::of(&["--vehicle", "saloon", "--every", "5s", "--for", "5s"]);
    // The first row is the car as handed over, engine off: the coil can be measured, the vents not.
    assert_ne!(table.column("coil_resistance_ohm_read")[0], "");
    assert_eq!(table.column("coil_resistance_ohm_read")[1], "");
    assert_eq!(table.column("air_speed_centre_m_per_s_true")[0], "");
    assert_ne!(table.column("air_speed_centre_m_per_s_true")[1], "");
    assert_eq!(table.column("ac_on"), ["false", "true"]);
}

#[test]
fn json_lines_say_the_same() {
    let arguments = ["--vehicle", "van", "--every", "1min", "--for", "2min"];
    let table = Table::of(&arguments);
    let ran = readings(&[&arguments[..], &["--format", "jsonl"]].concat());
    let lines: Vec<serde_json::Map<String, serde_json::Value>> = ran
        .output
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(lines.len(), table.rows.len());
    for (line, row) in lines.iter().zip(&table.rows) {
        assert_eq!(line.len(), table.names.len());
        for (name, cell) in table.names.iter().zip(row) {
            match &line[name] {
                serde_json::Value::Null => assert_eq!(cell, "", "{name}"),
                serde_json::Value::Number(number) => {
                    assert_eq!(
                        number.as_f64().unwrap(),
                        cell.parse::<f64>().unwrap(),
                        "{name}"
                    );
                }
                serde_json::Value::String(word) => assert_eq!(word, cell, "{name}"),
                other => assert_eq!(&other.to_string(), cell, "{name}"),
            }
        }
    }
}

#[test]
fn a_case_does_not_name_its_fault_unless_asked() {
    let short = ["--every", "1s", "--for", "2s"];
    for case in bank().cases() {
        let output = readings(&[&[case.id.as_str()], &short[..]].concat()).output;
        for mode in bank().catalogue().modes() {
            assert!(!output.contains(&mode.id), "{}: {}", case.id, mode.id);
        }
        let told = readings(&[&[case.id.as_str(), "--truth"], &short[..]].concat()).output;
        for fault in &case.faults {
            assert!(told.contains(&fault.mode_id), "{}", case.id);
        }
    }
}

#[test]
fn a_made_fault_is_labelled_and_changes_the_car() {
    let run = |faults: &[&str]| {
        let car = [
            "--vehicle",
            "saloon",
            "--truth",
            "--every",
            "1min",
            "--for",
            "10min",
        ];
        Table::of(&[&car[..], faults].concat())
    };
    let healthy = run(&[]);
    let faulty = run(&["--fault", "undercharge=0.4", "--fault", "belt-slipping=0.1"]);
    assert!(healthy.column("faults").iter().all(|cell| *cell == "none"));
    let label = "undercharge=0.4;belt-slipping=0.1";
    assert!(faulty.column("faults").iter().all(|cell| *cell == label));
    let charge = |table: &Table| table.numbers("charge_kg_true")[0];
    // The catalogue's 95 % missing at full, so 38 % of the label here, from 0.53 kg.
    assert!(charge(&healthy) - charge(&faulty) > 0.15);
}

#[test]
fn a_script_turns_the_controls() {
    let script = "# to speed\nengine idle\nac on\nblower 2\nwait 30 s\nengine 2000 rpm\n";
    let file = program::ScriptFile::new(script);
    let table = Table::of(&[
        "--vehicle",
        "saloon",
        "--every",
        "5s",
        "--for",
        "1min",
        "--script",
        file.path(),
    ]);
    let speeds = table.numbers("engine_rev_per_s");
    // A control takes five seconds, as in practice: idle from 0 s, the higher speed from 45 s.
    assert_eq!(speeds[0], 0.0);
    assert!(
        speeds[1..=9]
            .iter()
            .all(|speed| (*speed - 850.0 / 60.0).abs() < 1e-4),
        "{speeds:?}"
    );
    assert!(
        speeds[10..]
            .iter()
            .all(|speed| (*speed - 2000.0 / 60.0).abs() < 1e-4),
        "{speeds:?}"
    );
    assert_eq!(table.column("blower_step")[12], "2");
    assert_eq!(table.column("recirculate")[12], "false");
}

#[test]
fn errors_say_what_to_change() {
    let expected = [
        (
            &["--vehicle", "saloon", "--every", "10ms"][..],
            "makes 120001 rows, and a table has at most 100000: make --every longer (at least 0.013 s) or --for shorter",
        ),
        (
            &["--vehicle", "saloon", "--every", "0s"],
            "--every: `0s` is not a time between rows; give 10 ms to 24 h",
        ),
        (&["--vehicle", "saloon", "--for", "3kg"], "--for: expected"),
        (
            &["--vehicle", "saloon", "--for", "2d"],
            "--for: `2d` is not a length; give 0 s to 24 h",
        ),
        (
            &["--vehicle", "salon"],
            "no vehicle is called `salon`; did you mean `saloon`? There are",
        ),
        (
            &[],
            "name a case (`coldtrail cases` lists them), or a vehicle with --vehicle:",
        ),
        (
            &["school-run", "--vehicle", "van"],
            "give a case or --vehicle, not both",
        ),
        (&["school-rum"], "did you mean `school-run`?"),
        (
            &["school-run", "--fault", "fan-dead=1"],
            "--fault goes with --vehicle ID",
        ),
        (
            &["--vehicle", "van", "--fault", "fan-dead"],
            "such as `fan-dead=0.5`",
        ),
        (
            &["--vehicle", "van", "--fault", "fan-ded=1"],
            "did you mean `fan-dead`?",
        ),
        (
            &["--vehicle", "van", "--fault", "fan-dead=2"],
            "`2` is not a severity; give a number from 0 (healthy) to 1",
        ),
        (
            &["--vehicle", "van", "--ambient", "90°C"],
            "give −10 °C to 50 °C",
        ),
        (
            &["--vehicle", "van", "--humidity", "120%"],
            "give 0 % to 100 %",
        ),
        (
            &["--vehicle", "van", "--blower", "9"],
            "the blower has no step 9; it has 0 (off) to",
        ),
        (&["--vehicle", "van", "--rpm", "9000"], "--rpm: "),
        (&["--vehicle", "van", "--air", "out"], "--air: "),
    ];
    for (arguments, words) in expected {
        let errors = refused(arguments);
        assert!(errors.contains(words), "{arguments:?}\n{errors}");
    }
    let scripts = [
        (
            "engine idle\ngauges read\n",
            "line 2: `gauges read` is no set-up",
        ),
        ("engine idel\n", "line 1: `engine idel` was not taken"),
        ("\nblower 9\n", "line 2: the blower has no step 9"),
    ];
    for (script, words) in scripts {
        let file = program::ScriptFile::new(script);
        let errors = refused(&["school-run", "--script", file.path()]);
        assert!(errors.contains(words), "{script:?}\n{errors}");
        let both = refused(&["school-run", "--script", file.path(), "--rpm", "900"]);
        assert!(both.contains("leave --rpm out, or the script"), "{both}");
    }
}
