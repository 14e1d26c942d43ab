//! A room's answers: who is let in where, what is told to whom, and that nothing is lost between processes.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::thread::sleep;
use std::time::Duration;

use axum::http::StatusCode;
use coldtrail_checks::browse::{hidden, words};
use coldtrail_checks::folder::Folder;
use coldtrail_checks::program::coldtrail;
use coldtrail_checks::room::{Guest, RoomVisit, id_of, office};
use runner::assess::Given;
use runner::invigilate::open::{again, sitting_id};
use runner::page::room::ADDRESSES;
use runner::records::Office;

const FORM: &str = "first-weeks";

fn heading(page: &str) -> String {
    let (_, after) = page.split_once("<h1>").unwrap();
    after.split('<').next().unwrap().to_owned()
}

/// Goes through every task as it comes, until all have been done; returns every page met.
fn sits(candidate: &Guest<'_>) -> Vec<String> {
    let mut pages = vec![candidate.get("/sit").text, candidate.begins().text];
    for _ in 0..40 {
        let page = pages.last().unwrap();
        let heading = heading(page);
        let page = if heading.ends_with("a question") {
            answered(candidate, page)
        } else if heading.contains(": a car") {
            for done in ["engine idle", "ac on", "wear glasses", "look fuse"] {
                pages.push(candidate.does(done).text);
            }
            let suspected = [("fault", "undercharge"), ("percent", "40")];
            pages.push(candidate.takes("/sit/suspect", &suspected).text);
            let concluded = [("fault", "no-fault"), ("cause", ""), ("because", "1")];
            let page = candidate.takes("/sit/conclude", &concluded).text;
            if page.contains("Without giving it back") {
                pages.push(page);
                candidate.takes("/sit/leave", &[]).text
            } else {
                page
            }
        } else {
            break;
        };
        pages.push(page);
    }
    pages
}

fn answered(candidate: &Guest<'_>, page: &str) -> String {
    if page.contains("chart.svg") {
        let chart = candidate.get("/sit/chart.svg");
        assert!(chart.text.starts_with("<svg"), "{}", chart.text);
    }
    let answer = if page.contains("type=\"radio\"") || page.contains("type=\"checkbox\"") {
        "a"
    } else {
        // What is no number, and what is no order, is left.
        return candidate.takes("/sit/leave", &[]).text;
    };
    candidate.takes("/sit/answer", &[("answer", answer)]).text
}

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
    assert!(table.contains("Ada Quill task 3 of 3"), "{table}");
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

/// A page without the list of all faults there are, and that list.
fn without_faults(page: &str) -> (String, BTreeSet<String>) {
    let (mut rest, mut lists) = (String::new(), BTreeSet::new());
    let mut page = page;
    while let Some((before, after)) = page
        .split_once("required><option")
        .or_else(|| page.split_once("name=\"cause\"><option"))
    {
        let (list, after) = after.split_once("</select>").unwrap();
        rest.push_str(before);
        lists.insert(list.to_owned());
        page = after;
    }
    rest.push_str(page);
    (rest, lists)
}

#[test]
fn nothing_that_gives_the_answer_away_is_sent_before_it_is_graded() {
    let folder = Folder::new();
    let room = RoomVisit::of(office(&folder), FORM);
    let codes = room.proctor().puts_down(&["Ada Quill", "Bo Marsh"]);
    let mut lists = BTreeSet::new();
    for (name, code) in ["Ada Quill", "Bo Marsh"].iter().zip(&codes) {
        let candidate = room.candidate(code);
        let mut pages = sits(&candidate);
        // Every address is asked, not only those that a page leads to.
        for (method, address) in ADDRESSES {
            if (method, address) == ("GET", "/sit/chart.svg") || address.contains("out") {
                continue;
            }
            let address = address.replace("{id}", &sitting_id(FORM, "x", 1));
            pages.push(candidate.ask(method, &address, &[]).text);
        }
        let office = Office::open(folder.path(), None).unwrap();
        let id = sitting_id(FORM, &id_of(&folder, name), 1);
        let entries = office.store().entries(&id).unwrap();
        let sitting = again(room.library, &office, &entries).unwrap();
        let mut secrets: Vec<String> = Vec::new();
        let mut faults = 0;
        for (task, given) in sitting.tasks().iter().zip(sitting.given()) {
            secrets.push(task.seed.to_string());
            match given {
                Given::Case { case, .. } => {
                    secrets.push(case.scenario.id.clone());
                    for (mode, severity) in case.present() {
                        faults += 1;
                        secrets.push(mode.id.clone());
                        secrets.push(mode.name.clone());
                        // `80 %` stands on many a page; a number this long has no other reason to.
                        let plain = severity.to_string();
                        secrets.extend((plain.len() > 3).then_some(plain));
                    }
                }
                Given::Question { dealt, .. } => {
                    secrets.push(dealt.id.clone());
                    secrets.push(dealt.explanation.clone());
                }
            }
        }
        assert!(faults > 1, "a form without faults proves nothing");
        // What the candidate said is theirs, and comes back to them.
        let undercharge = room.library.bank.catalogue().get("undercharge").unwrap();
        let said = [undercharge.id.as_str(), &undercharge.name, "no-fault"];
        for page in &pages {
            let (rest, listed) = without_faults(page);
            lists.extend(listed);
            for secret in secrets.iter().filter(|one| !said.contains(&one.as_str())) {
                assert!(!rest.contains(secret.as_str()), "{secret} in {rest}");
            }
        }
    }
    // Whatever the car, the same faults can be chosen: one list begins with "choose", one with "nothing else".
    assert_eq!(lists.len(), 2, "{lists:?}");
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
