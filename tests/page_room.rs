//! A room's answers: who is let in where, what is told to whom, and that nothing is lost between processes.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::thread::sleep;
use std::time::Duration;

use axum::http::StatusCode;
use coldtrail_checks::browse::{hidden, words};
use coldtrail_checks::folder::Folder;
use coldtrail_checks::program::coldtrail;
use coldtrail_checks::room::{Guest, RoomVisit, id_of, office};
use coldtrail_checks::sitting::sits;
use runner::invigilate::open::{again, sitting_id};
use runner::records::Office;

const FORM: &str = "first-weeks";

#[test]
fn a_form_is_sat_by_code_marked_and_told_and_a_terminal_has_the_same_record() {
    let folder = Folder::new();
    let room = RoomVisit::of_a_short_form(office(&folder));
    let proctor = room.proctor();
    let codes = proctor.puts_down(&["Ada Quill", "Bo Marsh"]);
    assert_ne!(codes[0], codes[1]);
    let slips = words(&proctor.get("/room/codes").text);
    assert!(
        slips.contains(&codes[0]) && slips.contains("Bo Marsh"),
        "{slips}"
    );
    // Small letters and no hyphens will do.
    let ada = room.candidate(&codes[0].to_lowercase().replace('-', " "));
    let pages = sits(&ada);
    let rules = words(&pages[0]);
    assert!(
        rules.contains("Ada Quill") && rules.contains("2 questions"),
        "{rules}"
    );
    let last = words(pages.last().unwrap());
    assert!(last.contains("All tasks have been done or left"), "{last}");
    let table = words(&proctor.get("/room/live").text);
    assert!(
        table.contains("Ada Quill all tasks done, not handed in"),
        "{table}"
    );
    assert!(table.contains("Bo Marsh not begun"), "{table}");
    let handed_in = ada.takes("/sit/hand-in", &[]).text;
    assert!(
        words(&handed_in).contains("It is being marked"),
        "{handed_in}"
    );
    let mut page = String::new();
    for _ in 0..1200 {
        page = words(&ada.get("/sit").text);
        if page.contains("What it came to") {
            break;
        }
        sleep(Duration::from_millis(200));
    }
    assert!(
        page.contains("ot passed: ") && page.contains("of 100 marks"),
        "{page}"
    );
    let table = words(&proctor.get("/room").text);
    assert!(table.contains("Ada Quill not passed, "), "{table}");
    // The terminal tells the same of it.
    let records = ["--records", folder.text()];
    let listed = coldtrail(&[&["records", "list"], &records[..]].concat());
    assert!(listed.output.contains("Ada Quill"), "{}", listed.output);
    let checked = coldtrail(&[&["records", "verify"], &records[..]].concat());
    assert!(
        checked.output.contains("Everything is as it was written"),
        "{}",
        checked.output
    );
    let shown = words(&proctor.get("/room/class").text);
    assert!(shown.contains("Ada Quill"), "{shown}");
    let tasks = words(&proctor.get("/room/tasks").text);
    assert!(tasks.contains("worth a look"), "{tasks}");
    let id = sitting_id("short", &id_of(&folder, "Ada Quill"), 1);
    let sat = words(&proctor.get(&format!("/room/sitting/{id}")).text);
    for told in [
        "Ada Quill",
        "ot passed: ",
        "look at the fuse: ",
        "Answered",
        "Right",
    ] {
        assert!(sat.contains(told), "{told}: {sat}");
    }
    // Once more only with a code of its own.
    let again = [
        ("token", proctor.token("/room")),
        ("candidate", id_of(&folder, "Ada Quill")),
    ];
    let again: Vec<(&str, &str)> = again
        .iter()
        .map(|(name, value)| (*name, value.as_str()))
        .collect();
    let slip = proctor.post("/room/again", &again).text;
    let (_, code) = slip.split_once("class=\"code\">").unwrap();
    let code = code.split('<').next().unwrap();
    assert_ne!(code, codes[0]);
    let second = room.candidate(code);
    assert!(
        words(&second.get("/sit").text).contains("The clock on the wall starts when you begin")
    );
}

/// Sends a proctor's form; returns the room as it stands then.
fn orders(proctor: &Guest<'_>, address: &str, fields: &[(&str, &str)]) -> String {
    let token = proctor.token("/room");
    let fields = [&[("token", token.as_str())], fields].concat();
    let answer = proctor.post(address, &fields);
    assert_eq!(answer.location(), "/room", "{}", answer.text);
    words(&proctor.get("/room").text)
}

#[test]
fn a_proctor_gives_time_hands_in_and_puts_names_right_and_the_record_says_so() {
    let folder = Folder::new();
    let room = RoomVisit::of_a_short_form(office(&folder));
    let proctor = room.proctor();
    let codes = proctor.puts_down(&["Ada Quill", "Bo Marsh"]);
    let twice = orders(
        &proctor,
        "/room/people",
        &[("names", "Bo  Marsh\nCleo Fen")],
    );
    assert!(
        twice.contains("Down already, with one code each: Bo Marsh"),
        "{twice}"
    );
    let [ada_id, bo_id, cleo_id] =
        ["Ada Quill", "Bo Marsh", "Cleo Fen"].map(|one| id_of(&folder, one));
    let cleo = [("candidate", cleo_id.as_str())];
    let named = orders(&proctor, "/room/rename", &[cleo[0], ("name", "Cleo Fenn")]);
    assert!(
        named.contains("Cleo Fen is called Cleo Fenn from now on"),
        "{named}"
    );
    let off = orders(&proctor, "/room/remove", &cleo);
    assert!(
        off.contains("Cleo Fenn is off the list") && !off.contains("Cleo Fenn not begun"),
        "{off}"
    );

    let ada = room.candidate(&codes[0]);
    let page = ada.begins().text;
    let before: i64 = left_s(&page);
    let table = orders(
        &proctor,
        "/room/more",
        &[("candidate", &ada_id), ("minutes", "20")],
    );
    assert!(table.contains("Ada Quill has 20 min more"), "{table}");
    // The clock on the page asks for itself.
    let more = left_s(&ada.get("/sit/clock").text) - before;
    assert!((1100..=1200).contains(&more), "{more}");
    // The form that was on the screen then is taken as if nothing had happened.
    let fields = [
        ("token", hidden(&page, "token")),
        ("steps", hidden(&page, "steps")),
    ];
    let fields = fields
        .each_ref()
        .map(|(name, value)| (*name, value.as_str()));
    let done = ada.post(
        "/sit/act",
        &[fields[0], fields[1], ("words", "engine idle")],
    );
    let page = ada.get(done.location()).text;
    assert!(words(&page).contains("850 rpm, A/C off"), "{page}");
    let more = left_s(&page) - before;
    assert!((1100..=1200).contains(&more), "{more}");
    let table = words(&proctor.get("/room/live").text);
    assert!(
        table.contains("Ada Quill task 1 of 3 engine idle"),
        "{table}"
    );

    let begun = proctor.post(
        "/room/remove",
        &[("token", &proctor.token("/room")), ("candidate", &ada_id)],
    );
    assert_eq!(begun.status, StatusCode::BAD_REQUEST);
    let nobody = [("token", proctor.token("/room")), ("candidate", bo_id)];
    let nobody = nobody
        .each_ref()
        .map(|(name, value)| (*name, value.as_str()));
    assert_eq!(
        proctor.post("/room/end", &nobody).status,
        StatusCode::BAD_REQUEST
    );
    let _ = orders(
        &proctor,
        "/room/rename",
        &[("candidate", &ada_id), ("name", "Ada Quillon")],
    );
    assert!(words(&ada.get("/sit").text).contains("Ada Quillon shop clock"));
    let ended = orders(&proctor, "/room/end", &[("candidate", &ada_id)]);
    assert!(
        ended.contains("Ada Quillon was handed in as it stood"),
        "{ended}"
    );
    let clock = words(&ada.get("/sit/clock").text);
    assert_eq!(clock, "This form is over: look what comes now");
    let over = words(&ada.get("/sit").text);
    assert!(
        over.contains("Whoever looks after the sitting has handed it in")
            && over.contains("being marked"),
        "{over}"
    );

    let office = Office::open(folder.path(), None).unwrap();
    let id = sitting_id("short", &ada_id, 1);
    let sat = words(&proctor.get(&format!("/room/sitting/{id}")).text);
    for told in [
        "20 min more were given",
        "handed in by whoever looked after",
    ] {
        assert!(sat.contains(told), "{told}: {sat}");
    }
    let entries = office.store().entries(&id).unwrap();
    let kept: Vec<(&str, bool)> = entries
        .iter()
        .skip(1)
        .take(3)
        .map(|entry| {
            (
                entry.kind.as_str(),
                entry.body.contains("by whoever looked after"),
            )
        })
        .collect();
    assert_eq!(
        kept,
        [("more-time", false), ("acted", false), ("handed-in", true)]
    );
    // It can be played again with the time that was given.
    assert!(
        again(room.library, &office, &entries)
            .unwrap()
            .is_handed_in()
    );
}

fn left_s(page: &str) -> i64 {
    let (_, after) = page.split_once("data-left=\"").unwrap();
    after.split('"').next().unwrap().parse().unwrap()
}

#[test]
fn a_text_that_is_checked_is_there_to_go_on_with() {
    let folder = Folder::new();
    let room = RoomVisit::of_a_short_form(office(&folder));
    let proctor = room.proctor();
    let token = proctor.token("/room");
    let text = textarea(&proctor.get("/room/cases/edit").text);
    let text = format!("{text}# not kept anywhere\n");
    let fields = [
        ("token", token.as_str()),
        ("id", "my-case"),
        ("text", &text),
        ("wants", "solve"),
    ];
    let sent = proctor.post("/room/cases/edit", &fields);
    assert_eq!(sent.location(), "/room/cases/solved", "{}", sent.text);
    let page = proctor.get("/room/cases/solved").text;
    assert_eq!(
        hidden(&page, "text")
            .replace("&#34;", "\"")
            .replace("&#39;", "'"),
        text
    );
}

/// What stands in the one field of many lines.
fn textarea(page: &str) -> String {
    let (_, after) = page.split_once("<textarea").unwrap();
    let (_, text) = after.split_once('>').unwrap();
    let text = text.split("</textarea>").next().unwrap();
    text.trim_start()
        .replace("&#34;", "\"")
        .replace("&#39;", "'")
}

#[test]
fn two_processes_on_one_store_answer_anybody() {
    let folder = Folder::new();
    let (one, other) = (
        RoomVisit::of(office(&folder), FORM),
        RoomVisit::of(office(&folder), FORM),
    );
    both(&folder, &one, &other, &office(&folder));
}

#[test]
fn two_processes_on_one_postgresql_answer_anybody() {
    let Some(server) = coldtrail_checks::postgres::server() else {
        return;
    };
    let address = server.database();
    // Two machines: a folder each, with the same keys.
    let (first, second) = (Folder::new(), Folder::new());
    let open = |folder: &Folder| Office::open(folder.path(), Some(&address)).unwrap();
    drop(office(&first));
    for name in ["signing.key", "seeds.key", "public.key"] {
        std::fs::copy(first.path().join(name), second.path().join(name)).unwrap();
    }
    let (one, other) = (
        RoomVisit::of(open(&first), FORM),
        RoomVisit::of(open(&second), FORM),
    );
    both(&first, &one, &other, &open(&first));
}

/// A sitting of which every step is taken at another process than the one before.
fn both(folder: &Folder, one: &RoomVisit, other: &RoomVisit, office: &Office) {
    let codes = one.proctor().puts_down(&["Ada Quill"]);
    let here = one.candidate(&codes[0]);
    // What let her in here lets her in there.
    let there = other.guest();
    there.set_cookie(&here.cookie());
    let _ = here.begins();
    let done = [
        "engine idle",
        "ac on",
        "wear glasses",
        "wear gloves",
        "look fuse",
        "gauges connect",
        "gauges open",
        "wait 60 s",
        "gauges read",
        "thermometer centre-vent",
    ];
    for (number, words) in done.iter().enumerate() {
        let who = if number % 2 == 0 { &there } else { &here };
        let page = who.does(words);
        assert_eq!(page.status, StatusCode::OK, "{words}");
        let (a, b) = (here.get("/sit").text, there.get("/sit").text);
        assert_eq!(
            hidden(&a, "steps"),
            (number + 2).to_string(),
            "{words} {}",
            page.text
        );
        assert_eq!(notebook(&a), notebook(&b), "{words}");
    }
    let table = words(&other.proctor().get("/room").text);
    assert!(table.contains("Ada Quill task 1 of 12"), "{table}");
    let people = office.store().people().unwrap();
    let id = sitting_id(FORM, &people[0].id, 1);
    let entries = office.store().entries(&id).unwrap();
    assert_eq!(entries.len(), done.len() + 1);
    let kept: Vec<&String> = entries.iter().skip(1).map(|entry| &entry.body).collect();
    for (body, words) in kept.iter().zip(done) {
        assert!(body.contains(words), "{body}");
    }
    let _ = folder;
}

fn notebook(page: &str) -> String {
    let (_, after) = page.split_once("id=\"notebook\"").unwrap();
    words(after.split("</section>").next().unwrap())
}
