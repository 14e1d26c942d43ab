//! A room's doors: who is let in where, what a stranger can do, and the workbench behind them.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::thread::sleep;
use std::time::Duration;

use axum::http::StatusCode;
use axum::http::header::SET_COOKIE;
use coldtrail_checks::browse::{hidden, is_sound, words};
use coldtrail_checks::folder::Folder;
use coldtrail_checks::program::coldtrail;
use coldtrail_checks::room::{PASSWORD, RoomVisit, id_of, office};
use proptest::prelude::*;
use runner::invigilate::open::sitting_id;
use runner::page::room::ADDRESSES;
use runner::records::Office;

const FORM: &str = "first-weeks";

#[test]
fn what_is_the_proctors_answers_nobody_else() {
    let folder = Folder::new();
    let room = RoomVisit::of(office(&folder), FORM);
    let proctor = room.proctor();
    let codes = proctor.puts_down(&["Ada Quill"]);
    let ada = room.candidate(&codes[0]);
    let guest = room.guest();
    let mut count = 0;
    for (method, address) in ADDRESSES
        .iter()
        .filter(|(_, address)| address.starts_with("/room") && *address != "/room/enter")
    {
        count += 1;
        let token = proctor.token("/room");
        for fields in [
            &[][..],
            &[
                ("token", token.as_str()),
                ("names", "Cy"),
                ("id", "x"),
                ("text", "x"),
                ("wants", "keep"),
                ("candidate", "x"),
            ][..],
        ] {
            let answer = ada.ask(method, address, fields);
            assert_eq!(answer.status, StatusCode::NOT_FOUND, "{address}");
            assert!(words(&answer.text).contains("nothing at this address"));
            let answer = guest.ask(method, address, fields);
            assert_eq!(answer.location(), "/room/enter", "{address}");
        }
    }
    assert!(count > 10);
    assert!(!words(&proctor.get("/room").text).contains("Cy"));
    // Nor does a candidate's address answer the proctor.
    assert_eq!(proctor.get("/sit").location(), "/");
    for address in ["/sit/act", "/sit/hand-in"] {
        let answer = proctor.post(
            address,
            &[("token", "x"), ("steps", "1"), ("words", "look fuse")],
        );
        assert_eq!(answer.status, StatusCode::NOT_FOUND);
    }
}

#[test]
fn a_cookie_that_was_changed_and_a_form_from_elsewhere_do_nothing() {
    let folder = Folder::new();
    let room = RoomVisit::of(office(&folder), FORM);
    let proctor = room.proctor();
    let codes = proctor.puts_down(&["Ada Quill", "Bo Marsh"]);
    let (ada, bo) = (room.candidate(&codes[0]), room.candidate(&codes[1]));
    let _ = ada.begins();
    let cookie = ada.cookie();
    assert!(cookie.contains("candidate."), "{cookie}");
    for (from, to) in [("candidate.", "proctor."), (".1.", ".2.")] {
        let forged = room.guest();
        forged.set_cookie(&cookie.replace(from, to));
        assert_eq!(forged.get("/room").location(), "/room/enter");
        assert_eq!(forged.get("/sit").location(), "/");
    }
    // What stands in Bo's forms is not what stands in Ada's.
    let steps = hidden(&ada.get("/sit").text, "steps");
    let of_bo = bo.token("/sit");
    let fields = [
        ("token", of_bo.as_str()),
        ("steps", &steps),
        ("words", "look fuse"),
    ];
    assert_eq!(ada.post("/sit/act", &fields).status, StatusCode::FORBIDDEN);
    assert_eq!(hidden(&ada.get("/sit").text, "steps"), steps);
    // Whoever leaves the machine is gone from it.
    let token = ada.token("/sit");
    let answer = ada.post("/out", &[("token", &token)]);
    let set = answer.headers[SET_COOKIE].to_str().unwrap().to_owned();
    assert!(
        set.contains("Max-Age=0") && set.contains("HttpOnly") && set.contains("SameSite=Strict"),
        "{set}"
    );
}

#[test]
fn who_tries_codes_and_passwords_is_slowed_down() {
    let folder = Folder::new();
    let room = RoomVisit::of(office(&folder), FORM);
    let codes = room.proctor().puts_down(&["Ada Quill"]);
    let guest = room.guest();
    let token = guest.token("/");
    let tried = (0..12).map(|number| {
        let code = format!("0000-0000-0000-{number:04}");
        guest
            .post("/join", &[("token", &token), ("code", &code)])
            .status
    });
    let tried: Vec<StatusCode> = tried.collect();
    assert!(tried.contains(&StatusCode::FORBIDDEN), "{tried:?}");
    assert_eq!(tried.last(), Some(&StatusCode::TOO_MANY_REQUESTS));
    // The right one still lets in: the address may be a whole school's.
    let _ = room.candidate(&codes[0]);
    let token = guest.token("/room/enter");
    let answer = guest.post("/room/enter", &[("token", &token), ("password", PASSWORD)]);
    assert_eq!(answer.status, StatusCode::TOO_MANY_REQUESTS);
    // And so is who sends forms faster than anybody works.
    let ada = room.candidate(&codes[0]);
    let page = ada.begins().text;
    let (token, steps) = (hidden(&page, "token"), hidden(&page, "steps"));
    let fields = [
        ("token", token.as_str()),
        ("steps", &steps),
        ("words", "look fuse"),
    ];
    let sent = (0..60).map(|_| ada.post("/sit/act", &fields).status);
    let sent: Vec<StatusCode> = sent.collect();
    assert_eq!(sent[0], StatusCode::SEE_OTHER);
    assert!(sent.contains(&StatusCode::TOO_MANY_REQUESTS));
    // However often it came, it was done once.
    let office = Office::open(folder.path(), None).unwrap();
    let id = sitting_id(FORM, &id_of(&folder, "Ada Quill"), 1);
    assert_eq!(office.store().entries(&id).unwrap().len(), 2);
}

#[test]
fn mistakes_in_a_case_are_told_at_their_lines() {
    let folder = Folder::new();
    let room = RoomVisit::of(office(&folder), FORM);
    let proctor = room.proctor();
    let page = proctor.get("/room/cases/edit").text;
    let token = hidden(&page, "token");
    let (_, text) = page.split_once("<textarea id=\"text\"").unwrap();
    let (_, text) = text.split_once(">\n").unwrap();
    let text = text.split("</textarea>").next().unwrap();
    let text = text
        .replace("&#34;", "\"")
        .replace("&#39;", "'")
        .replace("&#60;", "<")
        .replace("&#62;", ">")
        .replace("&#38;", "&");
    let sent = |id: &str, text: &str, wants: &str| {
        let fields = [
            ("token", token.as_str()),
            ("id", id),
            ("text", text),
            ("wants", wants),
        ];
        proctor.post("/room/cases/edit", &fields)
    };
    let good = words(&sent("warm-at-noon", &text, "look").text);
    assert!(good.contains("It can be read, line by line"), "{good}");
    let wrong = text.replace("level = ", "levle = ");
    assert_ne!(wrong, text);
    let line = 1 + wrong
        .lines()
        .position(|line| line.starts_with("levle"))
        .unwrap();
    let page = sent("warm-at-noon", &wrong, "keep").text;
    assert!(page.contains(&format!("data-line=\"{line}\"")), "{page}");
    assert!(
        page.contains(&format!(
            "id=\"line-{line}\" value=\"{line}\" class=\"wrong\""
        )),
        "{page}"
    );
    assert!(!folder.path().join("cases").exists());
    for name in ["../../elsewhere", "a/b", "", "Ö", "a.b"] {
        let page = words(&sent(name, &text, "keep").text);
        assert!(page.contains("A case is called by small letters"), "{page}");
    }
    let kept = words(&sent("warm-at-noon", &text, "keep").text);
    assert!(kept.contains("Kept in"), "{kept}");
    assert!(words(&proctor.get("/room/cases").text).contains("warm-at-noon"));
    let again = proctor.get("/room/cases/edit?id=warm-at-noon");
    assert_eq!(again.status, StatusCode::OK);
    assert_eq!(
        proctor.get("/room/cases/edit?id=..%2F..%2Fx").status,
        StatusCode::NOT_FOUND
    );
    // The same check as the command's.
    assert_eq!(
        sent("warm-at-noon", &text, "solve").location(),
        "/room/cases/solved"
    );
    let mut told = String::new();
    for _ in 0..1200 {
        told = words(&proctor.get("/room/cases/solved").text);
        if !told.contains("A careful reader goes through") {
            break;
        }
        sleep(Duration::from_millis(200));
    }
    let file = folder.path().join("cases/warm-at-noon.toml");
    let checked = coldtrail(&["author", "check", file.to_str().unwrap()]);
    let first = checked
        .output
        .lines()
        .find(|line| !line.trim().is_empty())
        .unwrap();
    assert!(
        told.contains(&first.split_whitespace().collect::<Vec<_>>().join(" ")),
        "{first}: {told}"
    );
}

#[test]
fn no_request_breaks_the_room() {
    let folder = Folder::new();
    let room = RoomVisit::of(office(&folder), FORM);
    let proctor = room.proctor();
    let codes = proctor.puts_down(&["Ada Quill"]);
    let ada = room.candidate(&codes[0]);
    let _ = ada.begins();
    let guest = room.guest();
    let long = proctor.post("/room/cases/edit", &[("text", &"x".repeat(70_000))]);
    assert_eq!(long.status, StatusCode::PAYLOAD_TOO_LARGE);
    let value = || {
        prop_oneof![
            Just("..%2f..%2fetc%2fpasswd".to_owned()),
            Just("wait 99999999999 min".to_owned()),
            Just("-1".to_owned()),
            Just("1".to_owned()),
            Just("keep".to_owned()),
            "\\PC{0,40}",
        ]
    };
    let names = [
        "words",
        "steps",
        "fault",
        "percent",
        "because",
        "answer",
        "code",
        "password",
        "names",
        "candidate",
        "id",
        "text",
        "wants",
        "units",
        "at",
    ];
    let field = (0..names.len(), value());
    let asked = (
        0..ADDRESSES.len(),
        0..3_usize,
        "[a-z0-9.]{0,40}",
        proptest::collection::vec(field, 0..8),
    );
    let mut runner = proptest::test_runner::TestRunner::new_with_rng(
        proptest::test_runner::Config {
            cases: 250,
            failure_persistence: None,
            ..Default::default()
        },
        proptest::test_runner::TestRng::deterministic_rng(
            proptest::test_runner::RngAlgorithm::ChaCha,
        ),
    );
    let tokens = [proctor.token("/room"), ada.token("/sit"), guest.token("/")];
    let people = [&proctor, &ada, &guest];
    let tried = runner.run(&asked, |(index, who, id, more)| {
        let (method, address) = ADDRESSES[index];
        // Whoever goes out, goes; the others still have to be asked.
        if address == "/out" || address == "/sit/hand-in" {
            return Ok(());
        }
        let address = address.replace("{id}", &id);
        let mut fields = vec![("token", tokens[who].as_str())];
        fields.extend(
            more.iter()
                .map(|(name, value)| (names[*name], value.as_str())),
        );
        is_sound(&people[who].ask(method, &address, &fields), &address);
        Ok(())
    });
    tried.unwrap();
    // Whoever works there still can.
    assert_eq!(proctor.get("/room").status, StatusCode::OK);
    assert_eq!(ada.get("/sit").status, StatusCode::OK);
}
