use super::*;

const GOOD: &str = r#"version = 1

[weights]
diagnosis = 40
evidence = 30.1
calibration = 9.9
efficiency = 0
safety = 20

[diagnosis]
component = 0.7
mode = 0.2
cause = 0.1

[hint]
cost = 2.5

[reader]
nothing-broken = 7
sure = 0.9

[slips-of-the-senses]
look = 0.01
listen = 0.02
feel = 0.03
smell = 0.04
detector = 0.05

[repair]
cured = 25.5
lasting = 24.5
parts = 15
order = 15
cost = 6
air = 4
safety = 10
"#;

/// Every number in its place; 0.7 + 0.2 + 0.1 is not quite 1 in binary.
#[test]
fn every_number_goes_where_it_belongs() {
    let marks = Marks::read("marks.toml", GOOD).unwrap_or_else(|error| panic!("{error}"));
    let expected = Marks {
        repair: RepairWeights {
            cured: 25.5,
            lasting: 24.5,
            parts: 15.0,
            order: 15.0,
            cost: 6.0,
            air: 4.0,
            safety: 10.0,
        },
        weights: Weights {
            diagnosis: 40.0,
            evidence: 30.1,
            calibration: 9.9,
            efficiency: 0.0,
            safety: 20.0,
        },
        diagnosis: DiagnosisShares {
            component: 0.7,
            mode: 0.2,
            cause: 0.1,
        },
        hint: Hint { cost: 2.5 },
        reader: Reader {
            nothing_broken: 7.0,
            sure: 0.9,
        },
        slips: SenseSlips {
            look: 0.01,
            listen: 0.02,
            feel: 0.03,
            smell: 0.04,
            detector: 0.05,
        },
    };
    assert_eq!(marks, expected);
}

/// A slip, the message, the text it marks, and what stands beside it.
#[test]
fn a_bad_number_is_answered_at_the_place() {
    let table: &[(&str, &str, &str, &str, Option<&str>)] = &[
        (
            "safety = 20",
            "safety = 19",
            "the weights add up to 99",
            "[weights]",
            Some("they must add up to 100"),
        ),
        (
            "efficiency = 0",
            "efficiency = -0.5",
            "this must not be less than zero",
            "-0.5",
            None,
        ),
        (
            "efficiency = 0\n",
            "",
            "the field `efficiency` is missing",
            "[weights]",
            None,
        ),
        (
            "calibration = ",
            "calibraton = ",
            "no field is called `calibraton` here",
            "calibraton",
            Some("did you mean `calibration`?"),
        ),
        (
            "mode = 0.2",
            "mode = 0.5",
            "the shares of the diagnosis add up to 1.3",
            "[diagnosis]",
            Some("they must add up to 1"),
        ),
        (
            "mode = 0.2",
            "mode = 1.2",
            "this must lie between 0 and 1",
            "1.2",
            None,
        ),
        (
            "component = 0.7\nmode = 0.2\ncause = 0.1",
            "component = 0\nmode = 0\ncause = 1",
            "a car with one fault has no cause to earn marks with",
            "[diagnosis]",
            Some("give `component` or `mode` a share"),
        ),
        (
            "cost = 2.5",
            "cost = 101",
            "this must lie between 0 and 100",
            "101",
            None,
        ),
        (
            "nothing-broken = 7",
            "nothing-broken = 0",
            "this must be more than zero",
            "0",
            None,
        ),
        (
            "sure = 0.9",
            "sure = 0.5",
            "this must be above 0.5 and below 1",
            "0.5",
            None,
        ),
        (
            "sure = 0.9",
            "sure = 1",
            "this must be above 0.5 and below 1",
            "1",
            None,
        ),
        (
            "feel = 0.03",
            "feel = 0.0",
            "this must be above 0 and below 1",
            "0.0",
            None,
        ),
        (
            "smell = 0.04",
            "smell = 1",
            "this must be above 0 and below 1",
            "1",
            None,
        ),
        (
            "sure = 0.9",
            "sure = \"95 %\"",
            "expected a number, but this is text",
            "\"95 %\"",
            None,
        ),
    ];
    for (from, to, message, marked, label) in table {
        assert!(GOOD.contains(from), "{from}");
        let text = GOOD.replacen(from, to, 1);
        let error = Marks::read("marks.toml", &text).expect_err(to);
        let problem = &error.problems()[0];
        assert_eq!(problem.message, *message, "for {to}");
        let found = problem.span.clone().and_then(|span| text.get(span));
        assert_eq!(found, Some(*marked), "for {to}");
        assert_eq!(problem.label.as_deref(), *label, "for {to}");
    }
}

#[test]
fn both_sums_are_told_of_together() {
    let text = GOOD
        .replace("safety = 20", "safety = 2")
        .replace("cause = 0.1", "cause = 0");
    let error = Marks::read("marks.toml", &text).expect_err("two sums");
    assert_eq!(error.problems().len(), 2, "{error}");
}
