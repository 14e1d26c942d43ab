//! Packs at the command line: sealed and unsealed by offices, and the identities that it takes.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::path::{Path, PathBuf};

use coldtrail_checks::desk::{Desk, case};
use coldtrail_checks::folder::Folder;
use coldtrail_checks::golden;
use coldtrail_checks::program::{Ran, coldtrail};
use runner::records::packs::{seal, unseal};
use runner::records::{Identity, Keys, PublicKey, Recipient};
use scenarios::Bundle;

fn own() -> Bundle {
    Bundle::from_files("mine", [("cases/ours.toml".to_owned(), case())]).unwrap()
}

/// A folder with a bundle's files in it.
fn written(files: &[(&str, &str)]) -> Folder {
    let folder = Folder::new();
    for (name, text) in files {
        let path = folder.path().join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }
    folder
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn sealed(bundle: &Path, from: &Desk, to: &[&Desk], pack: &Path) -> Ran {
    let mut words = vec!["author", "seal", text(bundle), text(pack)];
    let recipients: Vec<String> = to.iter().map(|one| one.recipient().to_string()).collect();
    for one in &recipients {
        words.extend(["--to", one]);
    }
    coldtrail(&[&words[..], &["--records", from.folder.text()]].concat())
}

fn unsealed(pack: &Path, at: &Desk, from: &PublicKey, out: &Path) -> Ran {
    let from = from.to_string();
    coldtrail(&[
        "author",
        "unseal",
        text(pack),
        "--from",
        &from,
        "--out",
        text(out),
        "--records",
        at.folder.text(),
    ])
}

#[test]
fn a_bundle_goes_from_office_to_office() {
    let (author, reader) = (Desk::new(), Desk::new());
    let vehicle = golden::text("scenarios/vehicles/saloon.toml");
    let case = case().replace("\"saloon\"", "\"our-car\"");
    let bundle = written(&[
        ("vehicles/our-car.toml", &vehicle),
        ("cases/ours.toml", &case),
        ("README.md", "A note that stays at home."),
    ]);
    let out = Folder::new();
    let pack = out.path().join("ours.pack");
    let ran = sealed(bundle.path(), &author, &[&reader], &pack);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    assert!(ran.output.contains(&author.key().to_string()), "{ran:?}");
    // Nothing of a case can be read on the way.
    let bytes = std::fs::read(&pack).unwrap();
    assert!(!bytes.windows(4).any(|at| at == b"Ours" || at == b"case"));

    let folder = out.path().join("lessons");
    let ran = unsealed(&pack, &reader, &author.key(), &folder);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    for (name, wanted) in [
        ("vehicles/our-car.toml", &vehicle),
        ("cases/ours.toml", &case),
    ] {
        assert_eq!(&std::fs::read_to_string(folder.join(name)).unwrap(), wanted);
    }
    let file = out.path().join("lessons.bundle");
    let ran = unsealed(&pack, &reader, &author.key(), &file);
    assert_eq!((ran.code, ran.errors.as_str()), (0, ""));
    for bundle in [&folder, &file] {
        let listed = coldtrail(&["cases", "--bundle", text(bundle)]);
        assert!(
            listed.output.contains("Ours on the school run"),
            "{listed:?}"
        );
    }
    // Sealed again from what came of it, it is the same bundle.
    let again = out.path().join("again.pack");
    assert_eq!(sealed(&file, &reader, &[&author], &again).code, 0);
    let again = std::fs::read(again).unwrap();
    let (first, second) = (
        unseal(&bytes, &reader.identity, &author.key()).unwrap(),
        unseal(&again, &author.identity, &reader.key()).unwrap(),
    );
    assert_eq!(first.files(), second.files());

    // Nothing that is there is written over.
    for (path, what) in [(&folder, "a folder"), (&file, "a file")] {
        let ran = unsealed(&pack, &reader, &author.key(), path);
        assert_eq!(ran.code, 1, "{what}");
        assert!(ran.errors.contains("is there already"), "{}", ran.errors);
    }
    let ran = sealed(bundle.path(), &author, &[&reader], &pack);
    assert!(ran.errors.contains("is there already"), "{}", ran.errors);
    assert_eq!(std::fs::read(&pack).unwrap(), bytes);
}

#[test]
fn a_sealed_pack_is_told_from_a_bundle() {
    let (author, reader) = (Desk::new(), Desk::new());
    let out = Folder::new();
    let pack = out.path().join("ours.pack");
    let sealed = seal(&own(), &author.keys, &[reader.recipient()]).unwrap();
    std::fs::write(&pack, sealed).unwrap();
    for command in ["cases", "knowledge"] {
        let ran = coldtrail(&[command, "--bundle", text(&pack)]);
        assert_eq!(ran.code, 1);
        assert!(
            ran.errors.contains("is a sealed pack: unseal it first"),
            "{}",
            ran.errors
        );
    }
    // And the other way round.
    let plain = out.path().join("plain.bundle");
    std::fs::write(&plain, own().to_text().unwrap()).unwrap();
    let ran = unsealed(&plain, &reader, &author.key(), &out.path().join("x"));
    assert!(
        ran.errors.contains("it is no sealed pack"),
        "{}",
        ran.errors
    );
    assert!(!out.path().join("x").exists());
}

#[test]
fn a_broken_bundle_is_not_sealed() {
    let desk = Desk::new();
    let bundle = written(&[("cases/ours.toml", &case().replace("title", "tilte"))]);
    let out = Folder::new();
    let pack = out.path().join("ours.pack");
    let ran = sealed(bundle.path(), &desk, &[&desk], &pack);
    let loaded = coldtrail(&["cases", "--bundle", bundle.text()]);
    assert_eq!((ran.code, &ran.errors), (1, &loaded.errors));
    assert!(
        ran.errors.contains("did you mean `title`?"),
        "{}",
        ran.errors
    );
    assert!(!pack.exists());

    let bundle = written(&[("cases/ours.toml", &case())]);
    let records = ["--records", desk.folder.text()];
    let words = ["author", "seal", bundle.text(), text(&pack), "--to"];
    let ran = coldtrail(&[&words[..], &["age1zzz"], &records].concat());
    assert!(
        ran.errors.contains("\"age1zzz\" is no recipient"),
        "{}",
        ran.errors
    );
    let nowhere = Folder::new();
    let to = desk.recipient().to_string();
    let ran = coldtrail(&[&words[..], &[&to], &["--records", nowhere.text()]].concat());
    assert!(
        ran.errors.contains("there is no office in"),
        "{}",
        ran.errors
    );
    assert!(!pack.exists());
}

#[test]
fn a_bundle_larger_than_one_file_travels_as_a_folder() {
    let (author, reader) = (Desk::new(), Desk::new());
    let remarks = "# A long remark on a case.\n".repeat(4000);
    let files: Vec<(String, String)> = ["a", "b", "c"]
        .map(|id| (format!("cases/{id}.toml"), case() + &remarks))
        .into();
    let bundle = Bundle::from_files("mine", files.clone()).unwrap();
    let out = Folder::new();
    let pack = out.path().join("ours.pack");
    let sealed = seal(&bundle, &author.keys, &[reader.recipient()]).unwrap();
    std::fs::write(&pack, sealed).unwrap();
    let file = out.path().join("lessons.bundle");
    let ran = unsealed(&pack, &reader, &author.key(), &file);
    assert!(ran.errors.contains("name a folder"), "{}", ran.errors);
    assert!(!file.exists());
    let folder = out.path().join("lessons");
    assert_eq!(unsealed(&pack, &reader, &author.key(), &folder).code, 0);
    for (name, text) in &files {
        assert_eq!(&std::fs::read_to_string(folder.join(name)).unwrap(), text);
    }
}

fn line<'a>(printed: &'a str, begins: &str) -> &'a str {
    let line = printed.lines().find_map(|line| line.strip_prefix(begins));
    line.unwrap_or_else(|| panic!("{printed}"))
        .trim_end_matches('.')
}

#[test]
fn an_office_has_an_identity_and_tells_of_it() {
    let folder = Folder::new();
    let records = ["--records", folder.text()];
    let new = coldtrail(&[&["records", "new"], &records[..]].concat()).output;
    let told = coldtrail(&[&["records", "keys"], &records[..]].concat()).output;
    for begins in ["Its public key is ", "Its recipient is "] {
        assert_eq!(line(&new, begins), line(&told, begins));
    }
    assert!(Recipient::read(line(&told, "Its recipient is ")).is_some());
    let nowhere = Folder::new();
    let ran = coldtrail(&["records", "keys", "--records", nowhere.text()]);
    assert!(
        ran.errors.contains("there is no office in"),
        "{}",
        ran.errors
    );
    assert_eq!(std::fs::read_dir(nowhere.path()).unwrap().count(), 0);
}

#[test]
fn an_office_made_before_gets_its_identity_when_it_needs_one() {
    let folder = Folder::new();
    let keys = Keys::make(folder.path()).unwrap();
    let file = folder.path().join("age.key");
    assert!(!file.exists());
    let records = ["--records", folder.text()];
    let told = || coldtrail(&[&["records", "keys"], &records[..]].concat());
    let first = told();
    assert_eq!(
        line(&first.output, "Its public key is "),
        keys.public_key().to_string()
    );
    assert_eq!(told(), first);
    // No half of a key and no second one is left beside it.
    let names = std::fs::read_dir(folder.path()).unwrap();
    let names = names.map(|entry| entry.unwrap().file_name());
    let count = names.filter(|name| name.to_string_lossy().starts_with("age.key"));
    assert_eq!(count.count(), 1);
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = |file: &PathBuf| std::fs::metadata(file).unwrap().permissions();
        assert_eq!(mode(&file).mode() & 0o777, 0o600);
        std::fs::set_permissions(&file, PermissionsExt::from_mode(0o644)).unwrap();
        let ran = told();
        assert!(
            ran.errors.contains("others may read the key"),
            "{}",
            ran.errors
        );
        std::fs::set_permissions(&file, PermissionsExt::from_mode(0o600)).unwrap();
    }
    // A damaged identity is told of, and no other is put in its place.
    let kept = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, &kept[..kept.len() / 2]).unwrap();
    let ran = told();
    assert!(ran.errors.contains("is damaged"), "{}", ran.errors);
    assert_eq!(
        std::fs::read_to_string(&file).unwrap(),
        kept[..kept.len() / 2]
    );
}

#[test]
fn many_at_once_make_one_identity() {
    let folder = Folder::new();
    let recipients: Vec<String> = std::thread::scope(|scope| {
        let made: Vec<_> = (0..8)
            .map(|_| scope.spawn(|| Identity::open_or_make(folder.path()).unwrap().recipient()))
            .collect();
        made.into_iter()
            .map(|one| one.join().unwrap().to_string())
            .collect()
    });
    assert!(
        recipients.iter().all(|one| *one == recipients[0]),
        "{recipients:?}"
    );
}
