//! An instructor's own cases, vehicles, faults and questions from disk, beside those built in.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use coldtrail_checks::{golden, program};

/// A folder of its own with files in it.
fn folder(name: &str, files: &[(&str, &str)]) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    for (file, text) in files {
        let path = folder.join(file);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    folder
}

fn cases(bundle: &Path) -> program::Ran {
    program::coldtrail(&["cases", "--bundle", bundle.to_str().unwrap()])
}

/// A topic of its own with a question that names a topic of the syllabus.
const QUESTIONS: &str = r#"version = 1
title = "Our own shop"

[[question]]
id = "where-our-keys-are"
kind = "single"
text = "Where do the keys of a car with high voltage stay while somebody works on it?"
right = ["Locked away, with the one who isolated it"]
wrong = ["In the car", "On the bench"]
explanation = "Whoever has them can switch it on."
source = "Common practice, no source"
tags = ["our-keys"]
syllabus = ["standards/high-voltage-safety"]
"#;

fn case() -> String {
    golden::text("scenarios/bank/school-run.toml").replace("Warm on the", "Ours on the")
}

#[test]
fn a_folder_and_a_file_bring_the_same() {
    let own = folder(
        "own",
        &[
            ("cases/ours.toml", &case()),
            ("README.md", "Notes."),
            (".git/config", "x"),
        ],
    );
    let listed = cases(&own);
    assert_eq!((listed.code, listed.errors.as_str()), (0, ""));
    assert!(listed.output.contains("Ours on the school run"));
    let file = own.join("all.bundle");
    std::fs::write(&file, format!("-- cases/ours.toml --\n{}", case())).unwrap();
    assert_eq!(cases(&file), listed);
}

#[test]
fn a_case_of_a_bundle_is_played() {
    let own = folder("played", &[("cases/ours.toml", &case())]);
    let arguments = ["practice", "ours", "--bundle", own.to_str().unwrap()];
    let ran = program::typed(&arguments, b"quit\n");
    assert!(ran.output.contains("Ines"), "{ran:?}");
}

/// Questions of the syllabus' topic of high voltage, as `syllabus` counts them.
fn counted(arguments: &[&str]) -> u64 {
    let mut all = vec!["syllabus", "--rule", "standards", "--format", "json"];
    all.extend(arguments);
    let told: serde_json::Value = serde_json::from_str(&program::coldtrail(&all).output).unwrap();
    let topics = told.as_array().unwrap().iter();
    let mut wanted = topics.filter(|one| one["topic"] == "high-voltage-safety");
    wanted.next().unwrap()["questions"].as_u64().unwrap()
}

#[test]
fn questions_of_a_bundle_are_asked_and_counted() {
    let own = folder("asked", &[("questions/ours.toml", QUESTIONS)]);
    let file = own.join("all.bundle");
    std::fs::write(&file, format!("-- questions/ours.toml --\n{QUESTIONS}")).unwrap();
    let mut rounds = Vec::new();
    for path in [&own, &file] {
        let bundle = ["--bundle", path.to_str().unwrap()];
        let ask = ["knowledge", "--topic", "ours", "--seed", "4", "--answers"];
        let answers = own.join("answers.txt");
        std::fs::write(&answers, "").unwrap();
        let ran = program::coldtrail(&[&ask[..], &[answers.to_str().unwrap()], &bundle].concat());
        assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
        assert!(ran.output.contains("Question 1 of 1 · Our own shop"));
        assert!(ran.output.contains("Locked away"));
        rounds.push(ran);
        assert_eq!(counted(&bundle), counted(&[]) + 1);
    }
    assert_eq!(rounds[0], rounds[1]);
    // Built-in topics are there as before, and their questions with ours where none is picked.
    let json = ["--format", "json", "--answers", "-", "--count", "999"];
    let asked = |more: &[&str]| {
        let ran = program::coldtrail(&[&["knowledge"], &json[..], more].concat());
        let told: serde_json::Value = serde_json::from_str(&ran.output).unwrap();
        told["asked"].as_u64().unwrap()
    };
    assert_eq!(asked(&["--bundle", own.to_str().unwrap()]), asked(&[]) + 1);
}

/// Each with the file, the line and the words that are wrong, whatever the command.
#[test]
fn mistakes_in_questions_are_told_at_their_place() {
    let table = [
        (
            "id-taken",
            "ours",
            QUESTIONS.replace("where-our-keys-are", "us-venting"),
            "there is a question called `us-venting` already",
            "questions/ours.toml:5:6",
        ),
        (
            "topic-taken",
            "safety",
            QUESTIONS.to_owned(),
            "there is a topic called `safety` already",
            "questions/safety.toml",
        ),
        (
            "no-such-topic",
            "ours",
            QUESTIONS.replace("high-voltage-safety", "high-voltage-safty"),
            "no topic of the syllabus is called `standards/high-voltage-safty`",
            "questions/ours.toml:13:13",
        ),
    ];
    for (name, topic, text, message, place) in table {
        let file = format!("questions/{topic}.toml");
        let own = folder(name, &[(&file, &text), ("cases/ours.toml", &case())]);
        for command in ["knowledge", "syllabus", "cases"] {
            let ran = program::coldtrail(&[command, "--bundle", own.to_str().unwrap()]);
            assert_eq!((ran.code, ran.output.as_str()), (1, ""), "{name}");
            assert!(ran.errors.contains(message), "{name}: {}", ran.errors);
            assert!(ran.errors.contains(place), "{name}: {}", ran.errors);
        }
    }
    let own = folder(
        "both-wrong",
        &[
            (
                "questions/ours.toml",
                &QUESTIONS.replace("single", "sinlge"),
            ),
            ("cases/ours.toml", &case().replace("title", "tilte")),
        ],
    );
    let ran = cases(&own);
    assert!(
        ran.errors.contains("questions/ours.toml:6:8"),
        "{}",
        ran.errors
    );
    assert!(
        ran.errors.contains("did you mean `title`?"),
        "{}",
        ran.errors
    );
}

#[test]
fn what_a_bundle_may_not_hold_is_refused() {
    let large = "#".repeat(256 * 1024 + 1);
    let table = [
        (
            "taken",
            "cases/school-run.toml",
            case(),
            "there is a case called `school-run` already",
        ),
        ("folder", "case/ours.toml", case(), "did you mean `cases`?"),
        ("loose", "ours.toml", case(), "is in no folder"),
        ("large", "cases/ours.toml", large, "larger than 256 KiB"),
        (
            "wrong",
            "cases/ours.toml",
            "versoin = 1".to_owned(),
            "did you mean `version`?",
        ),
    ];
    for (name, file, text, message) in table {
        let ran = cases(&folder(name, &[(file, &text)]));
        assert_eq!(ran.code, 1, "{name}");
        assert!(ran.errors.contains(message), "{name}: {}", ran.errors);
    }
    let ran = cases(Path::new("/nowhere/at-all"));
    assert_eq!(ran.code, 1);
    assert!(ran.errors.contains("cannot be read"), "{}", ran.errors);
    let out = folder("out", &[("all.bundle", "-- ../cases/ours.toml --\n")]);
    let ran = cases(&out.join("all.bundle"));
    assert!(ran.errors.contains("leaves the bundle"), "{}", ran.errors);
}

#[cfg(unix)]
#[test]
fn links_are_refused() {
    use std::os::unix::fs::symlink;
    let elsewhere = folder("elsewhere", &[("cases/ours.toml", &case())]);
    let file = folder("file-link", &[("cases/mine.toml", &case())]);
    symlink(
        elsewhere.join("cases/ours.toml"),
        file.join("cases/ours.toml"),
    )
    .unwrap();
    let inner = folder("folder-link", &[]);
    symlink(elsewhere.join("cases"), inner.join("cases")).unwrap();
    let whole = folder("whole-link", &[]).join("link");
    symlink(&elsewhere, &whole).unwrap();
    for path in [&file, &inner, &whole] {
        let ran = cases(path);
        assert_eq!(ran.code, 1);
        assert!(ran.errors.contains("is a link"), "{}", ran.errors);
    }
}
