//! An instructor's own cases, vehicles and faults from disk, beside those built in.
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
