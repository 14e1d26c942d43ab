//! A room's answers: who is let in where, what is told to whom, and that nothing is lost between processes.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeSet;
use std::thread::sleep;
use std::time::Duration;

use axum::http::StatusCode;
use axum::http::header::SET_COOKIE;
use coldtrail_checks::browse::{hidden, is_sound};
use coldtrail_checks::folder::Folder;
use coldtrail_checks::program::coldtrail;
use coldtrail_checks::room::{Guest, PASSWORD, RoomVisit};
use proptest::prelude::*;
use runner::assess::Given;
use runner::invigilate::open::{again, sitting_id};
use runner::page::room::ADDRESSES;
use runner::records::Office;

const FORM: &str = "first-weeks";

fn office(folder: &Folder) -> Office {
    Office::open_or_create(folder.path(), None).unwrap()
}

/// A page's words, without its marks.
fn words(page: &str) -> String {
    let mut text = String::new();
    let mut inside = false;
    for letter in page.chars() {
        match letter {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            other if !inside => text.push(other),
            _ => {}
        }
    }
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

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
    let room = RoomVisit::of(office(&folder), FORM);
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
        rules.contains("Ada Quill") && rules.contains("10 questions"),
        "{rules}"
    );
    let last = words(pages.last().unwrap());
    assert!(last.contains("All tasks have been done or left"), "{last}");
    let table = words(&proctor.get("/room/live").text);
    assert!(table.contains("Ada Quill task 12 of 12"), "{table}");
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
    let class = coldtrail(&[&["records", "class", FORM], &records[..]].concat());
    let shown = words(&proctor.get("/room/class").text);
    assert!(class.output.contains("Ada Quill") && shown.contains("Ada Quill"));
    let tasks = words(&proctor.get("/room/tasks").text);
    assert!(tasks.contains("worth a look"), "{tasks}");
    // Once more only with a code of its own.
    let again = [
        ("token", proctor.token("/room")),
        ("candidate", id_of(&room, &folder, "Ada Quill")),
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

/// A candidate's id.
fn id_of(_: &RoomVisit, folder: &Folder, name: &str) -> String {
    let office = Office::open(folder.path(), None).unwrap();
    let people = office.store().people().unwrap();
    people.into_iter().find(|one| one.name == name).unwrap().id
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
        let id = sitting_id(FORM, &id_of(&room, &folder, name), 1);
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
                        // A half stands on many a button; how bad it is in words stands nowhere.
                        let plain = severity.to_string();
                        secrets.extend((plain.len() > 3).then_some(plain));
                        secrets.push(mode.severity.show(severity));
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
    let id = sitting_id(FORM, &id_of(&room, &folder, "Ada Quill"), 1);
    assert_eq!(office.store().entries(&id).unwrap().len(), 2);
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
