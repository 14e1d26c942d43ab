mod marks;

use super::*;

const SALOON: &str = include_str!("../../vehicles/saloon.toml");
const FAULT: &str = r#"version = 1

[[fault]]
id = "low-charge"
name = "low on refrigerant"
component = "charge"
mode = "less refrigerant than the label says"
effect = "Less liquid is left."
onset = "with-time"
cure = "Charge by weight."
prior = 20
severity = { meaning = "refrigerant missing", unit = "%", at_full = 95, least = 0.2, typical = 0.5 }
effects = [{ knob = "charge-share", full = 0.05 }]
"#;
const CASE: &str = r#"version = 1
title = "Warm since May"
level = 1
vehicle = "saloon"
arrival = "cold"
competencies = []

[weather]
temperature = "30 °C"
humidity = "50 %"
sun = "500 W/m2"

[work_order]
customer = "Ada"
complaint = "It does not cool."
mileage = "90000 km"
shop = "A workshop"

[[fault]]
mode = "low-charge"
severity = 0.5
"#;

fn read(vehicle: &str, fault: &str, case: &str) -> Result<Bank, BankErrors> {
    read_with(vehicle, fault, None, None, case)
}

fn read_with(
    vehicle: &str,
    fault: &str,
    together: Option<&str>,
    marks: Option<&str>,
    case: &str,
) -> Result<Bank, BankErrors> {
    let file = |name, text| SourceFile { name, text };
    Bank::from_parts(&BankFiles {
        components: &[COMPONENTS],
        vehicles: &[file("saloon.toml", vehicle)],
        faults: &[file("charge.toml", fault)],
        together: together.map(|text| file("my-together.toml", text)),
        marks: marks.map(|text| file("my-marks.toml", text)),
        counter: None,
        competencies: None,
        cases: &[file("my-case.toml", case)],
    })
}

/// A file of the two (1 fault, 2 case), a slip in it, and the whole answer.
#[test]
fn a_bad_file_is_answered_at_the_place() {
    let table: &[(usize, &str, &str, &str)] = &[
        (
            2,
            "\"low-charge\"",
            "\"low-chrage\"",
            r#"error: no fault is called `low-chrage`
  --> my-case.toml:20:8
   |
20 | mode = "low-chrage"
   |        ^^^^^^^^^^^^ did you mean `low-charge`?"#,
        ),
        (
            2,
            "\"saloon\"",
            "\"salon\"",
            r#"error: no vehicle is called `salon`
 --> my-case.toml:4:11
  |
4 | vehicle = "salon"
  |           ^^^^^^^ did you mean `saloon`?"#,
        ),
        (
            2,
            "severity = 0.5",
            "severity = 1.5",
            r#"error: a severity lies above 0 and not above 1
  --> my-case.toml:21:12
   |
21 | severity = 1.5
   |            ^^^"#,
        ),
        (
            2,
            "severity = 0.5",
            "severity = 0.05",
            r#"error: `low-charge` this slight is not a fault
  --> my-case.toml:21:12
   |
21 | severity = 0.05
   |            ^^^^ at least 0.2"#,
        ),
        (
            2,
            "severity = 0.5",
            "severity = 0.5\nrole = \"cause\"",
            r#"error: a cause needs a fault that it led to
  --> my-case.toml:20:8
   |
20 | mode = "low-charge"
   |        ^^^^^^^^^^^^"#,
        ),
        (
            2,
            "level = 1",
            "level = 4",
            r#"error: a level is 1, 2 or 3
 --> my-case.toml:3:9
  |
3 | level = 4
  |         ^"#,
        ),
        (
            2,
            "version = 1",
            "version = 2",
            r#"error: this is a file of version 2, but only version 1 can be read
 --> my-case.toml:1:11
  |
1 | version = 2
  |           ^"#,
        ),
        (
            2,
            "\"50 %\"",
            "\"150 %\"",
            r#"error: this must lie between 0 % and 100 %
  --> my-case.toml:10:12
   |
10 | humidity = "150 %"
   |            ^^^^^^^"#,
        ),
        (
            2,
            "\"30 °C\"",
            "\"70 °C\"",
            r#"error: no car is looked at in this weather
 --> my-case.toml:9:15
  |
9 | temperature = "70 °C"
  |               ^^^^^^^ from −5 °C to 50 °C"#,
        ),
        (
            2,
            "severity = 0.5",
            "severity = 0.5\n\n[prior]\nlow-chrage = 4",
            r#"error: no fault is called `low-chrage`
  --> my-case.toml:24:1
   |
24 | low-chrage = 4
   | ^^^^^^^^^^ did you mean `low-charge`?"#,
        ),
        (
            2,
            "severity = 0.5",
            "severity = 0.5\n\n[prior]\nlow-charge = 4\n\"nothing broken\" = 2",
            r#"error: no fault is called `nothing broken`
  --> my-case.toml:25:1
   |
25 | "nothing broken" = 2
   | ^^^^^^^^^^^^^^^^ did you mean `nothing-broken`?"#,
        ),
        (
            2,
            "severity = 0.5",
            "severity = 0.5\n\n[prior]\nlow-charge = 0",
            r#"error: this must be more than zero
  --> my-case.toml:24:14
   |
24 | low-charge = 0
   |              ^"#,
        ),
        (
            2,
            "severity = 0.5",
            "severity = 0.5\n\n[weights]\ndiagnosis = 50\nevidence = 40\ncalibration = 0\nefficiency = 0\nsafety = 15",
            r#"error: the weights add up to 105
  --> my-case.toml:23:1
   |
23 | [weights]
   | ^^^^^^^^^ they must add up to 100"#,
        ),
        (
            2,
            "severity = 0.5",
            "severity = 0.5\n\n[weights]\ndiagnosis = 85\nsafety = 15",
            r#"error: the field `evidence` is missing
  --> my-case.toml:23:1
   |
23 | [weights]
   | ^^^^^^^^^

error: the field `calibration` is missing
  --> my-case.toml:23:1
   |
23 | [weights]
   | ^^^^^^^^^

error: the field `efficiency` is missing
  --> my-case.toml:23:1
   |
23 | [weights]
   | ^^^^^^^^^"#,
        ),
        (
            1,
            "\"charge-share\"",
            "\"charge-shere\"",
            r#"error: no knob is called `charge-shere`
  --> charge.toml:13:21
   |
13 | effects = [{ knob = "charge-shere", full = 0.05 }]
   |                     ^^^^^^^^^^^^^^ did you mean `charge-share`?"#,
        ),
        (
            1,
            "full = 0.05",
            "full = 5",
            r#"error: `charge-share` cannot be 5
  --> charge.toml:13:44
   |
13 | effects = [{ knob = "charge-share", full = 5 }]
   |                                            ^ from 0 to 1.6, in share of the label's charge"#,
        ),
        (
            1,
            "least = 0.2",
            "least = 0.7",
            r#"error: `least` and `typical` must be in order, from 0 to 1
  --> charge.toml:12:12
   |
12 | severity = { meaning = "refrigerant missing", unit = "%", at_full = 95, least = 0.7, typical = 0.5 }
   |            ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^"#,
        ),
        (
            1,
            "component = \"charge\"",
            "component = \"chrage\"",
            r#"error: no component is called `chrage`
 --> charge.toml:6:13
  |
6 | component = "chrage"
  |             ^^^^^^^^ did you mean `charge`?"#,
        ),
    ];
    for (file, from, to, answer) in table {
        let mut texts = [SALOON, FAULT, CASE].map(str::to_owned);
        assert!(texts[*file].contains(from), "{from}");
        texts[*file] = texts[*file].replacen(from, to, 1);
        let errors = read(&texts[0], &texts[1], &texts[2]).expect_err("a slip");
        assert_eq!(errors.to_string(), *answer, "for {to}");
    }
}

/// The saloon's line that gives a key: its values are calibrated now and then.
fn line_of(key: &str) -> &'static str {
    let mut lines = SALOON.lines();
    lines
        .find(|line| line.split(" =").next() == Some(key))
        .expect("a line of the saloon")
}

/// A slip in the saloon, the answer, and the text it marks: no line numbers, since the
/// saloon's file may grow.
#[test]
fn a_bad_vehicle_is_answered_at_the_place() {
    let table: &[(&str, &str, &str, &str)] = &[
        (
            line_of("charge"),
            "charge = \"5 kg\"",
            "the loop is too small for this charge",
            "\"5 kg\"",
        ),
        (
            line_of("displacement"),
            "displacement = \"0 cm3\"",
            "this must be more than zero",
            "\"0 cm3\"",
        ),
        (
            "recirculation_share = \"92 %\"",
            "recirculation_share = \"920 %\"",
            "this must lie between 0 % and 100 %",
            "\"920 %\"",
        ),
        (
            "\"0.24 MPag\"",
            "\"0.14 MPag\"",
            "this switch acts on a falling value: it must reset above its trip",
            "\"0.14 MPag\"",
        ),
        (
            "\"2.3 MPag\"",
            "\"3.3 MPag\"",
            "this switch acts on a rising value: it must reset below its trip",
            "\"3.3 MPag\"",
        ),
        (
            "\"3.6 MPag\"",
            "\"2.6 MPag\"",
            "the relief valve opens before the high-pressure cut-out acts",
            "\"2.6 MPag\"",
        ),
        (
            "\"126 m3/h\", \"216 m3/h\"",
            "\"216 m3/h\", \"126 m3/h\"",
            "each blower step must give more air than the one before",
            "[\"216 m3/h\", \"126 m3/h\", \"306 m3/h\", \"414 m3/h\"]",
        ),
        ("gap = ", "gpa = ", "no field is called `gpa` here", "gpa"),
    ];
    let counter = Counter::read(COUNTER.name, COUNTER.text).expect("the counter");
    for (from, to, message, marked) in table {
        assert!(SALOON.contains(from), "{from}");
        let text = SALOON.replacen(from, to, 1);
        let error = Vehicle::read("saloon.toml", "saloon", &text, &counter).expect_err(to);
        let problem = &error.problems()[0];
        assert_eq!(problem.message, *message);
        assert_eq!(
            problem.span.clone().and_then(|span| text.get(span)),
            Some(*marked)
        );
    }
}

#[test]
fn the_files_without_a_slip_make_a_bank() {
    let bank = read(SALOON, FAULT, CASE).unwrap_or_else(|errors| panic!("{errors}"));
    assert_eq!(bank.case("my-case").map(|case| case.faults.len()), Some(1));
    assert_eq!(bank.nearest_case("my-csae"), Some("my-case"));
    let (bank, id) = bank
        .with_case("some/where/other-one.toml", CASE)
        .expect("a good case");
    assert_eq!(id, "other-one");
    assert_eq!(bank.cases().count(), 2);
    let taken = bank
        .with_case("my-case.toml", CASE)
        .expect_err("a name that is taken");
    assert_eq!(
        taken.to_string(),
        "error: there is a case called `my-case` already\n--> my-case.toml\n = help: give the file another name"
    );
}

#[test]
fn the_problems_of_all_files_come_together() {
    let vehicle = SALOON.replace("year = 2013", "year = \"new\"");
    let fault = FAULT.replace("prior = 20", "prior = 0");
    let errors = read(&vehicle, &fault, CASE).expect_err("two slips");
    assert_eq!(errors.0.len(), 2);
}
