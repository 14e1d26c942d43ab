mod limits;

use super::*;
use crate::quantity::{GaugePressure, Temperature};

#[derive(Debug, serde::Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[allow(dead_code)] // Only whether it can be read matters here.
struct Written {
    ambient: Temperature,
    layout: Layout,
    #[serde(default)]
    note: String,
    #[serde(default)]
    factor: f64,
    #[serde(default)]
    count: u32,
    #[serde(default)]
    fault: Vec<Fault>,
}

#[derive(Debug, serde::Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Layout {
    ExpansionValve,
    OrificeTube,
}

#[derive(Debug, serde::Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[allow(dead_code)]
struct Fault {
    kind: String,
    cut_out: Option<GaugePressure>,
}

const GOOD: &str = "\
ambient = \"34 °C\"
layout = \"orifice-tube\"
note = \"\"\"Two lines,
a tab\tand a \\n.\"\"\"
factor = 1.5

[[fault]]
kind = \"low-charge\"
cut_out = \"28 psig\"
";

#[test]
fn a_good_file_is_read_with_either_line_end() {
    for text in [GOOD.to_owned(), GOOD.replace('\n', "\r\n")] {
        let read: Written = parse("good.toml", &text).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(read.ambient, Temperature(307.15));
        assert_eq!(read.fault.len(), 1);
    }
}

/// The text of a case, with a mistake in it, and the whole answer.
#[test]
fn a_bad_file_is_answered_at_the_place() {
    let swap = |from: &str, to: &str| {
        assert!(GOOD.contains(from), "{from}");
        GOOD.replace(from, to)
    };
    let add = |line: &str| format!("ambient = \"34 °C\"\nlayout = \"orifice-tube\"\n{line}\n");
    let table = [
        (
            swap("kind", "knid"),
            r#"error: no field is called `knid` here
 --> my-case.toml:8:1
  |
8 | knid = "low-charge"
  | ^^^^ did you mean `kind`?"#,
        ),
        (
            swap("orifice-tube", "orifice-tub"),
            r#"error: `orifice-tub` is not one of the choices
 --> my-case.toml:2:10
  |
2 | layout = "orifice-tub"
  |          ^^^^^^^^^^^^^ did you mean `orifice-tube`?"#,
        ),
        (
            swap("orifice-tube", "magic"),
            r#"error: `magic` is not one of the choices
 --> my-case.toml:2:10
  |
2 | layout = "magic"
  |          ^^^^^^^ the choices are `expansion-valve`, `orifice-tube`"#,
        ),
        (
            add("spring = 3"),
            r#"error: no field is called `spring` here
 --> my-case.toml:3:1
  |
3 | spring = 3
  | ^^^^^^ the fields are `ambient`, `layout`, `note`, `factor`, `count`, `fault`"#,
        ),
        (
            add("\"a`b\" = 3"),
            r#"error: no field is called `a`b` here
 --> my-case.toml:3:1
  |
3 | "a`b" = 3
  | ^^^^^ the fields are `ambient`, `layout`, `note`, `factor`, `count`, `fault`"#,
        ),
        (
            swap("\"34 °C\"", "34"),
            r#"error: a unit is missing after `34`: write for example `34 °C`
 --> my-case.toml:1:11
  |
1 | ambient = 34
  |           ^^"#,
        ),
        (
            swap("28 psig", "2 bar"),
            r#"error: expected a gauge pressure, for example `28 psig`, but `2 bar` is an absolute pressure
 --> my-case.toml:9:11
  |
9 | cut_out = "2 bar"
  |           ^^^^^^^"#,
        ),
        (
            swap("kind = \"low-charge\"\n", ""),
            r#"error: the field `kind` is missing
 --> my-case.toml:7:1
  |
7 | [[fault]]
  | ^^^^^^^^^"#,
        ),
        (
            swap("ambient = \"34 °C\"\n", ""),
            r#"error: the field `ambient` is missing
--> my-case.toml"#,
        ),
        (
            String::new(),
            r#"error: the field `ambient` is missing
--> my-case.toml

error: the field `layout` is missing
--> my-case.toml"#,
        ),
        (
            swap("1.5", "nan"),
            r#"error: a number must be finite
 --> my-case.toml:5:10
  |
5 | factor = nan
  |          ^^^"#,
        ),
        (
            swap("1.5", "1e999"),
            r#"error: a number must be finite
 --> my-case.toml:5:10
  |
5 | factor = 1e999
  |          ^^^^^"#,
        ),
        (
            swap("1.5", "\"x\""),
            r#"error: expected a number, but this is text
 --> my-case.toml:5:10
  |
5 | factor = "x"
  |          ^^^"#,
        ),
        (
            add("count = -3"),
            r#"error: `-3` does not fit: expected a whole number, 0 or more
 --> my-case.toml:3:9
  |
3 | count = -3
  |         ^^"#,
        ),
        (
            add("count = 1.5"),
            r#"error: expected a whole number, 0 or more, but this is a number with decimals
 --> my-case.toml:3:9
  |
3 | count = 1.5
  |         ^^^"#,
        ),
        (
            add("note = true"),
            r#"error: expected text in quotes, but this is true or false
 --> my-case.toml:3:8
  |
3 | note = true
  |        ^^^^"#,
        ),
        (
            add("fault = [1]"),
            r#"error: expected a table, but this is a whole number
 --> my-case.toml:3:10
  |
3 | fault = [1]
  |          ^"#,
        ),
        (
            swap("\"orifice-tube\"", "1"),
            r#"error: expected text in quotes or a table
 --> my-case.toml:2:10
  |
2 | layout = 1
  |          ^"#,
        ),
        (
            swap("1.5", "\nlayout"),
            r#"error: text stands in quotes
 --> my-case.toml:5:10
  |
5 | factor = 
  |          ^ put a quote, ", before and behind it

error: key with no value, expected `=`
 --> my-case.toml:6:7
  |
6 | layout
  |       ^"#,
        ),
        (
            add("layout = \"orifice-tube\""),
            r#"error: duplicate key
 --> my-case.toml:3:1
  |
3 | layout = "orifice-tube"
  | ^^^^^^"#,
        ),
        (
            add("note = \"a\u{202e}b\"\n# bell \u{7}"),
            r#"error: a character that changes the direction or the lines of text is not allowed in a file: U+202E
 --> my-case.toml:3:10
  |
3 | note = "a�b"
  |          ^ delete it

error: a control character is not allowed in a file: U+0007
 --> my-case.toml:4:8
  |
4 | # bell ␇
  |        ^ delete it"#,
        ),
        (
            add("note = \"a\\u202eb\""),
            r#"error: a character that changes the direction or the lines of text is not allowed in a file: U+202E
 --> my-case.toml:3:8
  |
3 | note = "a\u202eb"
  |        ^^^^^^^^^^ delete it"#,
        ),
    ];
    for (text, answer) in table {
        let error = parse::<Written>("my-case.toml", &text).expect_err(&text);
        assert_eq!(error.to_string(), answer, "for {text:?}");
    }
}

#[test]
fn every_mistake_of_a_kind_is_listed_and_twenty_are_drawn() {
    let error = parse::<Written>("my-case.toml", &"x\u{7}\n".repeat(23)).expect_err("bells");
    assert_eq!(error.problems().len(), 23);
    assert_eq!(error.line(&error.problems()[22]), Some(23));
    let drawn = error.to_string();
    assert_eq!(drawn.matches("error: ").count(), 20);
    assert!(drawn.ends_with("and 3 more problems"), "{drawn}");
    assert!(!drawn.contains('\u{7}'), "the bell would ring");
}

#[test]
fn a_span_that_does_not_fit_the_text_is_drawn_all_the_same() {
    for (start, end) in [
        (0, 0),
        (1, 2),
        (2, 1),
        (3, 900),
        (900, 901),
        (usize::MAX, usize::MAX),
    ] {
        let span = start..end;
        let error = LoadError::new(
            "a\u{1b}[2J.toml",
            "°°\n°",
            vec![Problem::new("odd").at(span.clone())],
        );
        let drawn = error.to_string();
        assert!(drawn.starts_with("error: odd\n"), "{span:?}: {drawn}");
        assert!(!drawn.contains('\u{1b}'), "{drawn}");
    }
}

/// A mistake of each kind, each told of, in the order of the text.
#[test]
fn every_mistake_comes_in_one_go() {
    let text = "\
ambient = \"34 psig\"
layuot = \"orifice-tube\"
factor = \"x\"
count = -3

[[fault]]
kind = 3
cut_out = \"2 bar\"

[[fault]]
cut_out = \"28 psig\"
colour = \"red\"
";
    let error = parse::<Written>("my-case.toml", text).expect_err("eight mistakes");
    let told: Vec<_> = error
        .problems()
        .iter()
        .map(|problem| (error.line(problem), problem.message.as_str()))
        .collect();
    let expected = [
        (
            Some(1),
            "expected a temperature, for example `34 °C`, but `34 psig` is a gauge pressure",
        ),
        (Some(2), "no field is called `layuot` here"),
        (Some(3), "expected a number, but this is text"),
        (
            Some(4),
            "`-3` does not fit: expected a whole number, 0 or more",
        ),
        (
            Some(7),
            "expected text in quotes, but this is a whole number",
        ),
        (
            Some(8),
            "expected a gauge pressure, for example `28 psig`, but `2 bar` is an absolute pressure",
        ),
        (Some(10), "the field `kind` is missing"),
        (Some(12), "no field is called `colour` here"),
    ];
    assert_eq!(told, expected);
}
