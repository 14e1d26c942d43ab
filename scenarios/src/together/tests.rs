use super::*;
use crate::fault::read_components;

const COMPONENTS: &str = "version = 1\n\n[[component]]\nid = \"charge\"\nname = \"charge\"\n";

/// A catalogue of four modes.
fn catalogue() -> Catalogue {
    let entry = |id: &str| {
        format!(
            "\n[[fault]]\nid = \"{id}\"\nname = \"{id}\"\ncomponent = \"charge\"\nmode = \"m\"\n\
             effect = \"e\"\nonset = \"sudden\"\ncure = \"c\"\nprior = 1\nseverity = {{ meaning = \
             \"s\", unit = \"%\", at_full = 95, least = 0.2, typical = 0.5 }}\neffects = [{{ knob = \
             \"charge-share\", full = 0.05 }}]\n"
        )
    };
    let entries: String = ["burnt", "seizing", "debris", "leak"].map(entry).concat();
    let components = read_components("components.toml", COMPONENTS).expect("components");
    let mut catalogue = Catalogue::default();
    let added = catalogue.add("f.toml", &format!("version = 1\n{entries}"), &components);
    added.unwrap_or_else(|error| panic!("{error}"));
    catalogue
}

const GOOD: &str = r#"version = 1

[[together]]
modes = ["burnt", "seizing"]
share = 0.6
why = "It drags."

[[together]]
modes = ["burnt", "seizing", "debris"]
share = 0.3
why = "It drags and sheds."
"#;

fn read(text: &str) -> Result<Vec<Together>, LoadError> {
    Together::read_all("together.toml", text, &catalogue())
}

#[test]
fn groups_are_read_in_their_order() {
    let groups = read(GOOD).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(groups.len(), 2);
    assert_eq!(groups[1].modes, ["burnt", "seizing", "debris"]);
    assert_eq!(groups[1].why, "It drags and sheds.");
    assert_eq!((groups[0].share, groups[1].share), (0.6, 0.3));
}

/// A slip, and the whole answer.
#[test]
fn a_bad_group_is_answered_at_the_place() {
    let table = [
        (
            "\"seizing\"]",
            "\"siezing\"]",
            r#"error: no fault is called `siezing`
 --> together.toml:4:19
  |
4 | modes = ["burnt", "siezing"]
  |                   ^^^^^^^^^ did you mean `seizing`?"#,
        ),
        (
            "[\"burnt\", \"seizing\"]",
            "[\"burnt\"]",
            r#"error: two or three faults travel together
 --> together.toml:4:9
  |
4 | modes = ["burnt"]
  |         ^^^^^^^^^"#,
        ),
        (
            "[\"burnt\", \"seizing\"]",
            "[]",
            r#"error: two or three faults travel together
 --> together.toml:4:9
  |
4 | modes = []
  |         ^^"#,
        ),
        (
            "\"debris\"]",
            "\"debris\", \"leak\"]",
            r#"error: two or three faults travel together
 --> together.toml:9:9
  |
9 | modes = ["burnt", "seizing", "debris", "leak"]
  |         ^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^^"#,
        ),
        (
            "\"debris\"]",
            "\"burnt\"]",
            r#"error: `burnt` is in this group already
 --> together.toml:9:30
  |
9 | modes = ["burnt", "seizing", "burnt"]
  |                              ^^^^^^^"#,
        ),
        (
            "[\"burnt\", \"seizing\", \"debris\"]",
            "[\"seizing\", \"burnt\"]",
            r#"error: these faults are together already, in one order or another
 --> together.toml:9:9
  |
9 | modes = ["seizing", "burnt"]
  |         ^^^^^^^^^^^^^^^^^^^^"#,
        ),
        (
            "share = 0.6",
            "share = 0",
            r#"error: a share lies above 0 and below 1
 --> together.toml:5:9
  |
5 | share = 0
  |         ^"#,
        ),
        (
            "share = 0.3",
            "share = 1.0",
            r#"error: a share lies above 0 and below 1
  --> together.toml:10:9
   |
10 | share = 1.0
   |         ^^^"#,
        ),
        (
            "share = 0.3",
            "share = 0.4",
            r#"error: with this no car is left with `burnt` alone
  --> together.toml:10:9
   |
10 | share = 0.4
   |         ^^^ its shares must add up to less than 1"#,
        ),
        (
            "\"It drags.\"",
            "\" \"",
            r#"error: this must say something
 --> together.toml:6:7
  |
6 | why = " "
  |       ^^^"#,
        ),
        (
            "version = 1\n",
            "version = 2\n",
            r#"error: this is a file of version 2, but only version 1 can be read
 --> together.toml:1:11
  |
1 | version = 2
  |           ^"#,
        ),
        (
            "share = 0.6\n",
            "",
            r#"error: the field `share` is missing
 --> together.toml:3:1
  |
3 | [[together]]
  | ^^^^^^^^^^^^"#,
        ),
        (
            "why = \"It drags.\"",
            "wyh = \"It drags.\"",
            r#"error: no field is called `wyh` here
 --> together.toml:6:1
  |
6 | wyh = "It drags."
  | ^^^ did you mean `why`?"#,
        ),
    ];
    for (from, to, answer) in table {
        assert!(GOOD.contains(from), "{from}");
        let error = read(&GOOD.replacen(from, to, 1)).expect_err(to);
        assert_eq!(error.to_string(), answer, "for {to}");
    }
}

/// Ten tenths are every car, though in binary they add up to a little less.
#[test]
fn shares_that_fill_up_are_told_of_once() {
    let others = ["seizing", "debris", "leak"];
    let mut sets: Vec<String> = others.iter().map(|other| format!("\"{other}\"")).collect();
    for (index, one) in others.iter().enumerate() {
        for two in &others[index + 1..] {
            sets.push(format!("\"{one}\", \"{two}\""));
        }
    }
    let with_share = |share: f64| {
        let group = |set: &String| {
            format!("[[together]]\nmodes = [\"burnt\", {set}]\nshare = {share}\nwhy = \"y\"\n")
        };
        format!(
            "version = 1\n{}",
            sets.iter().map(group).collect::<String>()
        )
    };
    assert_eq!(read(&with_share(0.16)).map(|groups| groups.len()), Ok(6));
    let error = read(&with_share(0.3)).expect_err("1.8 cars");
    assert_eq!(error.problems().len(), 1);
    assert_eq!(error.line(&error.problems()[0]), Some(2 + 3 * 4 + 2));

    let tenths = [0.1, 0.1, 0.2, 0.3, 0.2, 0.1];
    assert!(tenths.iter().sum::<f64>() < 1.0);
    let mut text = with_share(7.0);
    for tenth in tenths {
        text = text.replacen("share = 7", &format!("share = {tenth}"), 1);
    }
    assert_eq!(read(&text).map_err(|error| error.problems().len()), Err(1));
}

#[test]
fn all_that_is_wrong_comes_together() {
    let text = GOOD
        .replace("\"debris\"", "\"debirs\"")
        .replace("share = 0.6", "share = -1")
        .replace("\"It drags.\"", "\"\"");
    let error = read(&text).expect_err("three slips");
    assert_eq!(error.problems().len(), 3, "{error}");
}
