//! `author check` over a folder: a file that is wrong, and files that are the bank's own.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::{golden, program};
use serde_json::Value;

/// A folder of its own with these files in it.
fn folder(name: &str, files: &[(&str, &str)]) -> String {
    let folder = format!("{}/folders/{name}", env!("CARGO_TARGET_TMPDIR"));
    std::fs::create_dir_all(&folder).unwrap();
    for (name, text) in files {
        std::fs::write(format!("{folder}/{name}"), text).unwrap();
    }
    folder
}

/// A case of the bank as it stands in its file.
fn of_the_bank(id: &str) -> String {
    golden::text(&format!("scenarios/bank/{id}.toml"))
}

#[test]
fn a_file_that_is_wrong_does_not_keep_the_others_from_being_checked() {
    let right = of_the_bank("school-run");
    let wrong = right.replace("mode = \"", "mode = \"not-");
    assert_ne!(right, wrong);
    let remarked = format!("# A remark.\n{right}");
    let files = [
        // Read before the one that is right, and after it.
        ("a-wrong-one.toml", wrong.as_str()),
        ("no-toml.toml", "title ="),
        ("of-my-own.toml", right.as_str()),
        // A remark changes nothing of what it says.
        ("school-run.toml", remarked.as_str()),
        ("town-and-country.toml", right.as_str()),
        ("notes.txt", "no case"),
    ];
    let folder = folder("mixed", &files);
    let ran = program::coldtrail(&["author", "check", &folder, "--format", "json"]);
    assert_eq!(ran.code, 1);
    let cases: Value = serde_json::from_str(&ran.output).expect(&ran.output);
    let names: Vec<&str> = cases
        .as_array()
        .unwrap()
        .iter()
        .map(|case| case["case"].as_str().unwrap())
        .collect();
    let asked = [
        "a-wrong-one",
        "no-toml",
        "of-my-own",
        "school-run",
        "town-and-country",
    ];
    assert_eq!(names, asked);
    let error = |index: usize| cases[index]["error"].as_str().unwrap_or_default();
    assert!(error(0).contains("a-wrong-one.toml:"), "{}", error(0));
    assert!(error(0).contains("no fault is called"), "{}", error(0));
    assert!(error(1).contains("no-toml.toml:1:"), "{}", error(1));
    // The same case under another name, and the bank's own case.
    for index in [2, 3] {
        assert_eq!(cases[index]["proved"], true, "{:#}", cases[index]);
        assert!(cases[index]["error"].is_null());
    }
    assert_eq!(cases[2]["best_path"], cases[3]["best_path"]);
    // Another case under a name of the bank's.
    assert!(
        error(4).contains("there is a case called `town-and-country` already"),
        "{}",
        error(4)
    );
    let ran = program::coldtrail(&["author", "check", &folder]);
    assert_eq!(ran.code, 1);
    let page = ran.output;
    assert!(
        page.contains("a-wrong-one.toml: this case cannot be read\n"),
        "{page}"
    );
    // The place of the mistake stays drawn as it is.
    assert!(page.contains("| mode = \"not-"), "{page}");
    assert!(page.contains("school-run: "), "{page}");
    // What has left the screen is named once more.
    let last = "5 cases, 2 can be used. Not yet: a-wrong-one, no-toml, town-and-country.\n";
    assert!(page.ends_with(last), "{page}");
}
