//! An office: it keeps every step of a sitting, tells of a class, and hands its records on.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use clap::Parser;
use coldtrail_checks::folder::Folder;
use coldtrail_checks::golden;
use coldtrail_checks::program::{ScriptFile, typed};
use coldtrail_checks::sitting::FORM;
use runner::cli::Cli;

#[test]
fn an_office_keeps_every_step_and_a_sitting_goes_on_where_it_broke_off() {
    let office = Folder::new();
    let file = ScriptFile::ending(FORM, "toml");
    let at = ["--records", office.text()];
    let records = |what: &[&str]| {
        let arguments: Vec<&str> = ["records"].iter().chain(what).chain(&at).copied().collect();
        typed(&arguments, b"")
    };
    let sit = |name: &str, more: &[&str], keys: &str| {
        let mut arguments = vec!["assess", file.path(), "--candidate", name];
        arguments.extend(at);
        arguments.extend(more);
        typed(&arguments, keys.as_bytes())
    };
    let none = sit("Ines Okafor", &[], "quit\n");
    assert!(
        none.errors.contains("no office in that folder"),
        "{}",
        none.errors
    );
    let new = records(&["new"]);
    assert!(new.output.contains("public key"), "{}", new.output);
    let twice = records(&["new"]);
    assert_eq!(twice.code, 1, "{}", twice.output);

    let begun = sit(
        "Ines Okafor",
        &[],
        "wear glasses\nengine idle\nlook clutch-hub\nquit\n",
    );
    assert!(
        begun.output.contains("[1] look at the clutch hub"),
        "{}",
        begun.output
    );
    assert!(
        begun.output.contains("All you did is kept"),
        "{}",
        begun.output
    );
    assert!(
        !begun.output.contains("This is practice"),
        "{}",
        begun.output
    );
    let verified = records(&["verify"]);
    assert!(
        verified.output.contains("Everything is as it was written"),
        "{}",
        verified.output
    );

    // It goes on: the notebook still has the reading, and the clock stands where it stood.
    let keys = "notes\nconclude drier-spent because 1\ngive-up\nno\ngive-up\nyes\ngive-up\ngive-up\ngive-up\nYes\n";
    let ended = sit(" Ines Okafor ", &[], keys);
    assert!(
        ended.output.contains("1    0:40  look at the clutch hub"),
        "{}",
        ended.output
    );
    assert!(
        ended.output.contains("It goes on where it broke off"),
        "{}",
        ended.output
    );
    assert!(ended.output.contains("not passed"), "{}", ended.output);
    let over = sit("Ines Okafor", &[], "quit\n");
    assert!(
        over.errors.contains("has finished this form"),
        "{}",
        over.errors
    );
    let again = sit("Ines Okafor", &["--again"], "quit\n");
    assert!(again.output.contains("Task 1 of 3"), "{}", again.output);
    let odd = sit("Ines\u{202e}", &[], "quit\n");
    assert!(
        odd.errors.contains("characters that can be seen"),
        "{}",
        odd.errors
    );

    let listed = records(&["list"]).output;
    assert_eq!(listed.lines().count(), 2, "{listed}");
    assert!(
        listed.contains("Ines Okafor") && listed.contains("not passed"),
        "{listed}"
    );
    let ids = listed.lines().filter(|line| line.contains("not passed"));
    let id = ids.clone().next().unwrap().split(' ').next().unwrap();
    let shown = records(&["show", id]).output;
    for words in [
        "task 1: acted engine idle",
        "task 1: acted conclude drier-spent because 1",
        "Marked by",
    ] {
        assert!(shown.contains(words), "{words}: {shown}");
    }
    // The form is not built in: what is told of it needs it beside.
    let unknown = records(&["class", "short"]);
    assert!(
        unknown.errors.contains("no form is called"),
        "{}",
        unknown.errors
    );
    let unmarked = records(&["mark", id]);
    assert!(
        unmarked.errors.contains("bring it with --bundle"),
        "{}",
        unmarked.errors
    );

    let out = Folder::new();
    let exported = records(&["export", out.text()]);
    assert_eq!((exported.code, exported.output.lines().count()), (0, 4));
    let entries = std::fs::read_to_string(out.path().join("entries.csv")).unwrap();
    assert!(entries.contains("engine idle"), "{entries}");
    assert!(
        !entries.contains("Okafor"),
        "names stand in one file alone: {entries}"
    );

    let erased = records(&["erase", "Ines Okafor"]);
    assert!(
        erased.output.contains("2 sittings are erased"),
        "{}",
        erased.output
    );
    assert!(records(&["list"]).output.contains("Nothing has been kept"));
    let verified = records(&["verify"]);
    assert_eq!(verified.code, 0, "{}", verified.output);
}

#[test]
fn a_class_is_told_of_and_its_records_travel_to_another_office() {
    let [office, other, mine] = std::array::from_fn(|_| Folder::new());
    let forms = mine.path().join("forms");
    std::fs::create_dir_all(&forms).unwrap();
    std::fs::write(forms.join("short.toml"), FORM).unwrap();
    let run = |at: &Folder, what: &[&str], keys: &str| {
        let beside = ["--records", at.text(), "--bundle", mine.text()];
        let arguments: Vec<&str> = what.iter().chain(&beside).copied().collect();
        let ran = typed(&arguments, keys.as_bytes());
        assert_eq!(ran.errors, "", "{what:?}");
        ran.output
    };
    let new = run(&office, &["records", "new"], "");
    let key = new.split("public key is ").nth(1).unwrap();
    let key = key.split('.').next().unwrap().to_owned();
    run(&other, &["records", "new"], "");
    for (name, keys) in [
        (
            "Lior",
            "engine idle\nlook clutch-hub\nsuspect drier-spent 70 %\nconclude drier-spent because 1\ngive-up\nyes\ngive-up\nyes\ngive-up\nyes\n",
        ),
        (
            "Maren",
            "give-up\ngive-up\ngive-up\ngive-up\ngive-up\ngive-up\n",
        ),
    ] {
        let ended = run(&office, &["assess", "short", "--candidate", name], keys);
        assert!(ended.contains("not passed"), "{ended}");
    }
    let page = office.path().join("class.html");
    let class = run(
        &office,
        &[
            "records",
            "class",
            "short",
            "--html",
            page.to_str().unwrap(),
        ],
        "",
    );
    for words in ["Lior", "Maren", "fail", "freezes-on-long"] {
        assert!(class.contains(words), "{words}: {class}");
    }
    let lines = class.lines().find(|line| line.chars().count() > 90);
    assert_eq!(lines, None);
    assert!(std::fs::read_to_string(&page).unwrap().contains("Lior"));

    let listed = run(&office, &["records", "list"], "");
    let of_lior = listed.lines().find(|line| line.contains("Lior")).unwrap();
    let id = of_lior.split(' ').next().unwrap();
    let marked = run(&office, &["records", "mark", id], "");
    assert!(marked.contains("has marked it before"), "{marked}");
    let sheets = office.path().join("lior.html");
    let printed = office.path().join("lior.pdf");
    let both = [
        "--html",
        sheets.to_str().unwrap(),
        "--pdf",
        printed.to_str().unwrap(),
    ];
    let report = ["records", "report", id];
    let neither = Cli::try_parse_from(["coldtrail", "records", "report", id]);
    let neither = neither.unwrap_err().to_string();
    assert!(
        neither.contains("<--html <FILE>|--pdf <FILE>>"),
        "{neither}"
    );
    run(&office, &[report.as_slice(), &both].concat(), "");
    assert!(std::fs::read(&printed).unwrap().starts_with(b"%PDF"));
    std::fs::remove_file(&printed).unwrap();
    run(&office, &[report.as_slice(), &both[2..]].concat(), "");
    assert!(std::fs::read(&printed).unwrap().ends_with(b"%%EOF"));
    let sheets = std::fs::read_to_string(sheets).unwrap();
    for words in [
        "Lior",
        "<svg",
        "needed",
        "Only on the long trips",
        "certifies nobody",
        "it was: ",
    ] {
        assert!(sheets.contains(words), "{words}");
    }

    // Both got the same car with a little more or less of the fault, and questions of their own.
    let draws = ["author", "parallel", "short", "--draws", "3"];
    let parallel = run(&office, &draws, "");
    // How wide a column is goes by the questions that this office's secret drew.
    let parallel = parallel.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in [
        "minutes of the best path for each bit",
        "freezes-on-long-trips",
        "standard deviation",
        "freezes-on-long-trips 2",
    ] {
        assert!(parallel.contains(words), "{words}: {parallel}");
    }

    let learner = ["records", "learner", "Lior", "--by", "2099-01-01"];
    let learner = run(&office, &learner, "");
    for words in ["said  70 %", "too few to tell", "practised now"] {
        assert!(learner.contains(words), "{words}: {learner}");
    }

    let out = office.path().join("out");
    let out = out.to_str().unwrap();
    run(&office, &["records", "export", out, "--format", "xapi"], "");
    let text = std::fs::read_to_string(office.path().join("out/statements.json")).unwrap();
    let statements: serde_json::Value = serde_json::from_str(&text).unwrap();
    // Three tasks and a verdict for each of two people, and nobody's name.
    assert_eq!(statements.as_array().unwrap().len(), 8);
    assert!(!text.contains("Lior"), "{text}");
    run(&office, &["records", "export", out, "--of", "Lior"], "");
    let all = std::fs::read_to_string(office.path().join("out/person.json")).unwrap();
    assert!(
        all.contains("Lior") && all.contains("look clutch-hub"),
        "{all}"
    );
    assert!(!all.contains("Maren"), "{all}");

    let file = office.path().join("all.bundle");
    let file = file.to_str().unwrap();
    run(&office, &["records", "bundle", file], "");
    let take = ["records", "take", file, "--from", &key];
    let first = run(&other, &take, "");
    assert!(
        first.starts_with("2 sittings") && first.contains(" 0 were here"),
        "{first}"
    );
    let second = run(&other, &take, "");
    assert!(second.contains("0 entries are new"), "{second}");
    let verified = run(&other, &["records", "verify"], "");
    assert!(
        verified.contains("Everything is as it was written"),
        "{verified}"
    );
}

/// A bundle that is changed while somebody sits would deal them another car.
#[test]
fn a_sitting_goes_on_with_the_car_that_stood_there_or_not_at_all() {
    let [office, mine] = std::array::from_fn(|_| Folder::new());
    let write = |name: &str, text: &str| {
        let path = mine.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    };
    let case = golden::text("scenarios/bank/freezes-on-long-trips.toml");
    write("cases/own.toml", &case);
    write(
        "forms/short.toml",
        &FORM.replace("freezes-on-long-trips", "own"),
    );
    let run = |what: &[&str], keys: &str| {
        let beside = ["--records", office.text(), "--bundle", mine.text()];
        let arguments: Vec<&str> = what.iter().chain(&beside).copied().collect();
        typed(&arguments, keys.as_bytes())
    };
    run(&["records", "new"], "");
    let sit = ["assess", "short", "--candidate", "Lior"];
    let begun = run(&sit, "engine idle\nquit\n");
    assert!(begun.output.contains("All you did is kept"), "{begun:?}");
    // A remark changes nothing.
    write("cases/own.toml", &format!("{case}\n# A remark.\n"));
    let same = run(&sit, "quit\n");
    assert!(same.output.contains("All you did is kept"), "{same:?}");
    write(
        "cases/own.toml",
        &case.replace("[0.97, 0.99]", "[0.91, 0.92]"),
    );
    let other = run(&sit, "quit\n");
    assert!(other.errors.contains("another car"), "{other:?}");
    write("cases/own.toml", &case);
    let again = run(&sit, "quit\n");
    assert!(again.output.contains("All you did is kept"), "{again:?}");
}
