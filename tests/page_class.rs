//! A class that practises: everybody has sessions of their own, and whoever teaches sees them.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::thread::sleep;
use std::time::Duration;

use axum::http::StatusCode;
use coldtrail_checks::browse::{hidden, is_sound, words};
use coldtrail_checks::folder::Folder;
use coldtrail_checks::program::coldtrail;
use coldtrail_checks::room::{RoomVisit, id_of, office};
use runner::page::{class, practice};

#[test]
fn everybody_practises_for_themselves_and_whoever_teaches_sees_it() {
    let folder = Folder::new();
    let class = RoomVisit::class(office(&folder));
    let teacher = class.proctor();
    let codes = teacher.puts_down(&["Ada Quill", "Bo Marsh"]);
    let (ada, bo) = (class.learner(&codes[0]), class.learner(&codes[1]));
    let token = ada.token("/");
    let begun = [
        ("token", token.as_str()),
        ("case", "freezes-on-long-trips"),
        ("seed", "1"),
        ("units", "si"),
    ];
    let bay = ada.post("/begin", &begun).location().to_owned();
    for done in ["engine idle", "wear glasses", "look clutch-hub"] {
        let page = ada.get(&bay).text;
        let fields = [
            ("token", token.as_str()),
            ("steps", &hidden(&page, "steps")),
            ("words", done),
        ];
        assert_eq!(
            ada.post(&format!("{bay}/act"), &fields).status,
            StatusCode::SEE_OTHER
        );
    }
    assert!(words(&ada.get(&bay).text).contains("look at the clutch hub"));
    let table = words(&teacher.get("/room/live").text);
    assert!(
        table.contains("Ada Quill Only on the long trips look clutch-hub"),
        "{table}"
    );
    assert!(table.contains("Bo Marsh no car yet"), "{table}");
    // Ada's car is not Bo's, and neither may see the other's.
    assert_eq!(bo.get(&bay).status, StatusCode::NOT_FOUND);
    assert!(!words(&bo.get("/").text).contains("Go on"));
    let of_bo = bo.token("/");
    let fields = [
        ("token", of_bo.as_str()),
        ("steps", "3"),
        ("words", "look belt"),
    ];
    assert_eq!(
        ada.post(&format!("{bay}/act"), &fields).status,
        StatusCode::FORBIDDEN
    );
    let kept = folder
        .path()
        .join("practice")
        .join(id_of(&folder, "Ada Quill"));
    let files = std::fs::read_dir(&kept).unwrap().count();
    assert_eq!(files, 1);
    // The debrief comes, and its mark is seen by whoever teaches, after a restart, too.
    let _ = ada.post(&format!("{bay}/debrief"), &[("token", token.as_str())]);
    let mut page = String::new();
    for _ in 0..1200 {
        page = words(&ada.get(&format!("{bay}/debrief")).text);
        if page.contains("What your readings prove") {
            break;
        }
        sleep(Duration::from_millis(200));
    }
    assert!(page.contains("of 100"), "{page}");
    let again = RoomVisit::class(office(&folder));
    let practised = words(&again.proctor().get("/room/practised").text);
    assert!(
        practised.contains("Ada Quill Only on the long trips 3"),
        "{practised}"
    );
    let (_, mark) = practised
        .split_once("ago ")
        .or_else(|| practised.split_once("now "))
        .unwrap();
    assert!(
        mark.split(' ').next().unwrap().parse::<u8>().is_ok(),
        "{practised}"
    );
    // Whoever is erased leaves nothing of it behind, and an id from elsewhere leads out of no folder.
    let erased = coldtrail(&["records", "erase", "Ada Quill", "--records", folder.text()]);
    assert!(
        erased.output.contains("Ada Quill and 0 sittings"),
        "{}",
        erased.output
    );
    assert!(!kept.exists());
    let outside = folder.path().join("heads.jsonl");
    let there = outside.exists();
    assert_eq!(office(&folder).erase("../heads.jsonl").unwrap(), 0);
    assert_eq!(outside.exists(), there);
}

#[test]
fn nobody_practises_without_a_code_or_teaches_without_the_password() {
    let folder = Folder::new();
    let class = RoomVisit::class(office(&folder));
    let teacher = class.proctor();
    let codes = teacher.puts_down(&["Ada Quill"]);
    let (ada, guest) = (class.learner(&codes[0]), class.guest());
    let all = practice::ADDRESSES.iter().chain(&class::ADDRESSES);
    let open = ["/page.css", "/page.js", "/htmx.js", "/icon.svg"];
    for (method, address) in all.filter(|(_, address)| !open.contains(address)) {
        let address = address.replace("{id}", "0123456789abcdef");
        let answer = guest.ask(method, &address, &[("token", "0000")]);
        is_sound(&answer, &address);
        match address.as_str() {
            "/" => assert!(words(&answer.text).contains("The code you were given")),
            "/room/practised" => assert_eq!(answer.location(), "/room/enter"),
            _ => assert_eq!(answer.location(), "/", "{address}"),
        }
    }
    for address in ["/room", "/room/live", "/room/practised", "/room/codes"] {
        assert_eq!(ada.get(address).status, StatusCode::NOT_FOUND, "{address}");
    }
    // What lets in here does not let into the room of a form, nor the other way round.
    let room = RoomVisit::of(office(&folder), "first-weeks");
    let stranger = room.guest();
    stranger.set_cookie(&ada.cookie());
    assert_eq!(stranger.get("/sit").location(), "/");
    stranger.set_cookie(&teacher.cookie());
    assert_eq!(stranger.get("/room").location(), "/room/enter");
}
