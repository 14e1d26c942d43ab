//! Bundles on their way from one office to another: sealed, signed, and opened by whom they are for alone.
//!
//! `packs/by-age.pack` was sealed by another program, the `age` of Debian 12 (1.1.1, written in Go), for the identity
//! `packs/age.key` that its `age-keygen` made. What it sealed is a pack of this program, opened by the same:
//!
//! ```sh
//! age-keygen -o tests/packs/age.key
//! coldtrail author seal tests/packs/cases.bundle --to $(age-keygen -y tests/packs/age.key) ours.pack
//! age -d -i tests/packs/age.key ours.pack | age -r $(age-keygen -y tests/packs/age.key) -o tests/packs/by-age.pack
//! ```
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::io::{Read, Write};
use std::str::FromStr;

use coldtrail_checks::desk::{Desk, case};
use coldtrail_checks::folder::Folder;
use coldtrail_checks::golden;
use runner::records::packs::{LARGEST_PACK, MOST_RECIPIENTS, PackError, seal, unseal};
use runner::records::{Identity, PublicKey, Recipient};
use scenarios::Bundle;

/// What anybody with an office's folder can read of a pack, by the library alone.
fn read_by_hand(desk: &Desk, pack: &[u8]) -> String {
    let text = std::fs::read_to_string(desk.folder.path().join("age.key")).unwrap();
    let identity = age::x25519::Identity::from_str(text.trim()).unwrap();
    let opened = age::Decryptor::new(pack).unwrap();
    let own: [&dyn age::Identity; 1] = [&identity];
    let mut text = String::new();
    let mut inside = opened.decrypt(own.into_iter()).unwrap();
    inside.read_to_string(&mut text).unwrap();
    text
}

/// Seals any text for somebody, as anybody can.
fn sealed_by_hand(text: &str, recipient: &Recipient) -> Vec<u8> {
    let recipient = age::x25519::Recipient::from_str(&recipient.to_string()).unwrap();
    let own: [&dyn age::Recipient; 1] = [&recipient];
    let encryptor = age::Encryptor::with_recipients(own.into_iter()).unwrap();
    let mut bytes = Vec::new();
    let mut out = encryptor.wrap_output(&mut bytes).unwrap();
    out.write_all(text.as_bytes()).unwrap();
    out.finish().unwrap();
    bytes
}

fn own() -> Bundle {
    Bundle::from_files("mine", [("cases/ours.toml".to_owned(), case())]).unwrap()
}

fn refused(pack: &[u8], at: &Desk, from: &Desk) -> PackError {
    unseal(pack, &at.identity, &from.key()).expect_err("refused")
}

#[test]
fn whatever_is_changed_on_the_way_is_refused() {
    let (author, reader) = (Desk::new(), Desk::new());
    let small = [("faults/ours.toml".to_owned(), "version = 1\n".to_owned())];
    let small = Bundle::from_files("mine", small).unwrap();
    let pack = seal(
        &small,
        &author.keys,
        &[author.recipient(), reader.recipient()],
    )
    .unwrap();
    assert!(unseal(&pack, &reader.identity, &author.key()).is_ok());
    for place in 0..pack.len() {
        let mut changed = pack.clone();
        changed[place] ^= 1 << (place % 8);
        let why = refused(&changed, &reader, &author);
        let told = matches!(
            why,
            PackError::Changed | PackError::NotForUs | PackError::NotAPack | PackError::Newer
        );
        assert!(told, "byte {place}: {why:?}");
        let why = refused(&pack[..place], &reader, &author);
        let told = matches!(why, PackError::Changed | PackError::NotAPack);
        assert!(told, "{place} bytes: {why:?}");
    }
    let more = [&pack[..], b"x"].concat();
    assert!(matches!(
        refused(&more, &reader, &author),
        PackError::Changed
    ));
}

#[test]
fn who_it_is_from_and_for_is_held_against_the_signature() {
    let (author, reader, third) = (Desk::new(), Desk::new(), Desk::new());
    let pack = seal(&own(), &author.keys, &[reader.recipient()]).unwrap();
    assert!(matches!(
        refused(&pack, &third, &author),
        PackError::NotForUs
    ));
    let why = refused(&pack, &reader, &third);
    assert!(matches!(&why, PackError::FromAnother(office) if *office == author.key().to_string()));

    // A recipient seals what is in it, signature and all, for somebody whom the author did not name.
    let inside = read_by_hand(&reader, &pack);
    let passed_on = sealed_by_hand(&inside, &third.recipient());
    assert!(matches!(
        refused(&passed_on, &third, &author),
        PackError::PassedOn
    ));
    // The same for a recipient who was named is the author's pack still.
    let again = sealed_by_hand(&inside, &reader.recipient());
    assert!(unseal(&again, &reader.identity, &author.key()).is_ok());
    // Another name in place of the first, or another case, is not what was signed.
    let own_name = reader.recipient().to_string();
    let other_name = inside.replace(&own_name, &third.recipient().to_string());
    let other_case = inside.replace("Ours on the", "Theirs on the");
    let other_author = inside.replace(&author.key().to_string(), &reader.key().to_string());
    for (text, from) in [
        (&other_name, &author),
        (&other_case, &author),
        (&other_author, &reader),
    ] {
        assert_ne!(*text, inside);
        let forged = sealed_by_hand(text, &third.recipient());
        assert!(matches!(
            refused(&forged, &third, from),
            PackError::NotSigned
        ));
    }
    // A signature of the same office under another label is none.
    let body = inside.trim_end().rsplit_once('\n').unwrap().0.to_owned() + "\n";
    let label = runner::records::hex(&author.keys.sign(body.as_bytes()));
    let relabelled = format!("{body}{{\"signature\":\"{label}\"}}\n");
    let relabelled = sealed_by_hand(&relabelled, &reader.recipient());
    assert!(matches!(
        refused(&relabelled, &reader, &author),
        PackError::NotSigned
    ));
}

#[test]
fn what_is_inside_need_not_be_a_pack() {
    let (author, reader) = (Desk::new(), Desk::new());
    let inside = read_by_hand(
        &reader,
        &seal(&own(), &author.keys, &[reader.recipient()]).unwrap(),
    );
    let newer = inside.replace("\"coldtrail_pack\":1", "\"coldtrail_pack\":2,\"more\":[]");
    let newer = sealed_by_hand(&newer, &reader.recipient());
    assert!(matches!(
        refused(&newer, &reader, &author),
        PackError::Newer
    ));
    for text in [
        "",
        "\n",
        "{}\n{}\n",
        "Lessons of mine.\nMore.\n",
        "[\n\n",
        &own().to_text().unwrap(),
    ] {
        let other = sealed_by_hand(text, &reader.recipient());
        assert!(
            matches!(refused(&other, &reader, &author), PackError::NotAPack),
            "{text:?}"
        );
    }
}

/// An author whose key is trusted may still have written a name that leaves the folder.
#[test]
fn a_name_inside_stays_inside() {
    let (author, reader) = (Desk::new(), Desk::new());
    for name in [
        "../cases/ours.toml",
        "cases/../../ours.toml",
        "/tmp/ours.toml",
    ] {
        let first = format!(
            "{{\"coldtrail_pack\":1,\"office\":\"{}\",\"for\":[\"{}\"]}}\n-- {name} --\n",
            author.key(),
            reader.recipient()
        );
        let mut message = b"coldtrail pack 1".to_vec();
        message.extend(<sha2::Sha256 as sha2::Digest>::digest(first.as_bytes()));
        let signature = runner::records::hex(&author.keys.sign(&message));
        let inside = format!("{first}{{\"signature\":\"{signature}\"}}\n");
        let pack = sealed_by_hand(&inside, &reader.recipient());
        let why = refused(&pack, &reader, &author).to_string();
        assert!(why.contains("leaves the bundle"), "{why}");
    }
}

#[test]
fn packs_are_bounded() {
    let (author, reader) = (Desk::new(), Desk::new());
    let none = seal(&own(), &author.keys, &[]).expect_err("for nobody");
    assert!(matches!(none, PackError::Recipients(0)));
    let twice = [reader.recipient(), reader.recipient()];
    let once = seal(&own(), &author.keys, &twice).unwrap();
    assert_eq!(read_by_hand(&reader, &once).matches("age1").count(), 1);
    let mut many = vec![reader.recipient()];
    let scratch = Folder::new();
    for index in 1..=MOST_RECIPIENTS {
        let folder = scratch.path().join(index.to_string());
        std::fs::create_dir(&folder).unwrap();
        many.push(Identity::open_or_make(&folder).unwrap().recipient());
    }
    let all = seal(&own(), &author.keys, &many).expect_err("for too many");
    assert!(matches!(all, PackError::Recipients(count) if count == MOST_RECIPIENTS + 1));
    let most = seal(&own(), &author.keys, &many[..MOST_RECIPIENTS]).unwrap();
    assert!(unseal(&most, &reader.identity, &author.key()).is_ok());

    let mut large = b"age-encryption.org/v1\n-> X25519 ".to_vec();
    large.resize(LARGEST_PACK, b'x');
    assert!(matches!(
        refused(&large, &reader, &author),
        PackError::Changed
    ));
    large.push(b'x');
    assert!(matches!(
        refused(&large, &reader, &author),
        PackError::TooLarge
    ));
}

#[test]
fn what_another_program_sealed_is_opened() {
    let folder = Folder::new();
    let file = folder.path().join("age.key");
    std::fs::write(&file, golden::text("tests/packs/age.key")).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::set_permissions(&file, PermissionsExt::from_mode(0o600)).unwrap();
    }
    let identity = Identity::open_or_make(folder.path()).unwrap();
    let pack = std::fs::read(golden::path("tests/packs/by-age.pack")).unwrap();
    let key = golden::text("tests/packs/public.key");
    let key = PublicKey::read(&key).unwrap();
    let bundle = unseal(&pack, &identity, &key).unwrap_or_else(|why| panic!("{why}"));
    let text = golden::text("tests/packs/cases.bundle");
    assert_eq!(bundle.to_text().unwrap(), text);
}
