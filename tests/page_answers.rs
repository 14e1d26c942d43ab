//! The page's answers: a session on it is the one that a terminal has, and no request breaks it.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::{BTreeMap, BTreeSet};
use std::thread::sleep;
use std::time::Duration;

use axum::http::StatusCode;
use coldtrail_checks::browse::{AT, Visit, is_sound, words};
use coldtrail_checks::program::{ScriptFile, coldtrail, typed};
use proptest::prelude::*;
use runner::page::practice::ADDRESSES;
use scenarios::{Bank, Case};

/// The case that other tests work on, too, on the day that they do.
const CASE: [&str; 4] = ["freezes-on-long-trips", "--seed", "1", "si"];

fn begun(visit: &Visit) -> String {
    let [case, _, seed, units] = CASE;
    visit.begin(case, seed, units)
}

/// The one file of a visit's sessions.
fn kept(visit: &Visit) -> String {
    let files = std::fs::read_dir(visit.sessions.path()).unwrap();
    let names = files.map(|file| file.unwrap().path().to_str().unwrap().to_owned());
    let kept: Vec<String> = names.filter(|name| name.ends_with(".session")).collect();
    assert_eq!(kept.len(), 1, "{kept:?}");
    kept[0].clone()
}

const DONE: [&str; 6] = [
    "engine 1500 rpm",
    "ac on",
    "blower 4",
    "wear glasses",
    "look clutch-hub",
    "thermometer centre-vent",
];

#[test]
fn a_session_on_the_page_is_the_one_a_terminal_has() {
    let visit = Visit::new();
    let bay = begun(&visit);
    let mut shown = String::new();
    for done in DONE {
        let page = visit.does(&bay, done);
        assert_eq!(page.status, StatusCode::OK, "{done}");
        shown = page.text;
    }
    // The same readings, by the same actions, as a script at a terminal takes.
    let [case, with, seed, _] = CASE;
    let script = ScriptFile::new(&DONE.join("\n"));
    let played = coldtrail(&["practice", case, with, seed, "--script", script.path()]);
    let readings = played
        .output
        .lines()
        .filter(|line| line.trim_start().starts_with('['));
    let page = words(&shown);
    let mut count = 0;
    for reading in readings {
        let (_, reading) = reading.split_once("] ").unwrap();
        let (what, value) = reading.rsplit_once(": ").unwrap();
        assert!(
            page.contains(what) && page.contains(value),
            "{reading}: {page}"
        );
        count += 1;
    }
    assert_eq!(count, 2, "{}", played.output);
    // It goes on at a terminal, and then on the page once more.
    let file = kept(&visit);
    let on = typed(&["practice", "--keep", &file], b"notes\nlook belt\nquit\n");
    assert!(on.output.contains("look at the belt"), "{}", on.output);
    let sessions = visit.sessions;
    let again = Visit::to(sessions);
    let page = words(&again.get(&bay).text);
    assert!(page.contains("look at the belt"), "{page}");
    assert!(words(&again.get("/").text).contains("Go on"));
}

#[test]
fn a_request_that_comes_twice_is_carried_out_once() {
    let visit = Visit::new();
    let bay = begun(&visit);
    let _ = visit.does(&bay, "engine idle");
    for _ in 0..2 {
        let fields = [("steps", "1"), ("words", "look belt")];
        let answer = visit.post(&format!("{bay}/act"), &fields);
        assert_eq!(answer.status, StatusCode::SEE_OTHER);
    }
    let text = std::fs::read_to_string(kept(&visit)).unwrap();
    let done: Vec<&str> = text.lines().filter(|line| !line.starts_with('#')).collect();
    assert_eq!(done, ["engine idle", "look belt"]);
}

#[test]
fn a_place_that_is_touched_offers_what_can_be_done_there_and_stays() {
    let visit = Visit::new();
    let bay = begun(&visit);
    let page = visit.get(&format!("{bay}?at=clutch-hub")).text;
    assert!(page.contains("id=\"at\""), "{page}");
    assert!(page.contains("value=\"look clutch-hub\""), "{page}");
    let fields = [
        ("steps", "0"),
        ("words", "look clutch-hub"),
        ("at", "clutch-hub"),
    ];
    let answer = visit.post(&format!("{bay}/act"), &fields);
    assert_eq!(answer.location(), format!("{bay}?at=clutch-hub"));
    // No address is made of what somebody else wrote.
    let fields = [
        ("steps", "1"),
        ("words", "look belt"),
        ("at", "//elsewhere\r\nX: y"),
    ];
    let answer = visit.post(&format!("{bay}/act"), &fields);
    assert_eq!(answer.location(), bay);
}

#[test]
fn the_dials_show_what_the_notebook_holds() {
    let visit = Visit::new();
    let bay = begun(&visit);
    let before = visit.get(&bay).text;
    assert!(!before.contains("low-gauge"));
    let _ = visit.does(&bay, "wear glasses");
    let _ = visit.does(&bay, "wear gloves");
    let _ = visit.does(&bay, "gauges connect");
    let open = visit.does(&bay, "gauges open").text;
    assert!(
        open.contains("low-gauge") && open.contains("not read"),
        "{open}"
    );
    let _ = visit.does(&bay, "gauges read");
    let _ = visit.does(&bay, "engine idle");
    let _ = visit.does(&bay, "ac on");
    let _ = visit.does(&bay, "blower 4");
    let _ = visit.does(&bay, "wait 2 min");
    let read = visit.does(&bay, "gauges read").text;
    // It ran in the meantime: both pointers come from where they stood.
    assert_eq!(read.matches("pointer swings from-").count(), 2, "{read}");
    let still = visit.does(&bay, "wait 30 s").text;
    assert!(!still.contains("swings from-"));
    // Watched for a minute, both go to and fro between what was noted; once that is over, they are still and say so.
    let watched = visit.does(&bay, "gauges watch").text;
    assert_eq!(watched.matches(" to-and-fro").count(), 2, "{watched}");
    let over = visit.does(&bay, "wait 30 s").text;
    assert!(!over.contains("swings from-") && !over.contains("to-and-fro"));
    assert!(over.contains("as it stood at "), "{over}");
}

#[test]
fn what_was_not_done_is_told_where_it_is_seen_and_older_readings_are_not() {
    let visit = Visit::new();
    let bay = begun(&visit);
    let _ = visit.does(&bay, "look belt");
    let refused = visit.does(&bay, "gauges read").text;
    let (_, bar) = refused.split_once("class=\"last heed\"").unwrap();
    let bar = words(&bar[..bar.find("</header>").unwrap()]);
    assert!(
        bar.contains("Not done: the gauge set is not on the car"),
        "{bar}"
    );
    let caution = visit.does(&bay, "gauges connect").text;
    let (_, bar) = caution.split_once("class=\"last heed\"").unwrap();
    let bar = words(&bar[..bar.find("</header>").unwrap()]);
    assert!(
        bar.contains("Wear safety glasses") && bar.contains("insulated gloves"),
        "{bar}"
    );
}

#[test]
fn what_was_pressed_on_a_page_that_is_behind_is_not_passed_over_in_silence() {
    let visit = Visit::new();
    let bay = begun(&visit);
    let _ = visit.does(&bay, "engine idle");
    let late = visit.post(&format!("{bay}/act"), &[("steps", "0"), ("words", "ac on")]);
    let page = words(&visit.get(late.location()).text);
    assert!(page.contains("something else was done"), "{page}");
    assert!(page.contains("A/C off"), "{page}");
}

/// CoolProp 8.0.0: R-134a boils at 292.80, 571.71 and 1016.59 kPa at 0, 20 and 40 °C; the air at sea level is at 101.325.
#[test]
fn the_table_on_the_wall_holds_against_coolprop() {
    let visit = Visit::new();
    let page = words(&visit.get(&begun(&visit)).text);
    for row in [
        "0 °C 191 kPa gauge",
        "20 °C 470 kPa gauge",
        "40 °C 915 kPa gauge",
    ] {
        assert!(page.contains(&format!(" {row} ")), "{row}: {page}");
    }
}

#[test]
fn a_watch_is_a_list_of_ordinary_readings() {
    let visit = Visit::new();
    let bay = begun(&visit);
    for done in [
        "wear glasses",
        "wear gloves",
        "gauges connect",
        "gauges open",
        "engine idle",
        "ac on",
    ] {
        let _ = visit.does(&bay, done);
    }
    let mut fields = [
        ("steps", "6".to_owned()),
        ("words", "gauges read".to_owned()),
        ("left", "3".to_owned()),
    ];
    let mut pages = Vec::new();
    for look in 1..=3 {
        let sent: Vec<(&str, &str)> = fields
            .iter()
            .map(|(name, value)| (*name, value.as_str()))
            .collect();
        let answer = visit.post(&format!("{bay}/watch"), &sent);
        let page = visit.get(answer.location()).text;
        assert_eq!(page.contains("id=\"watch-stop\""), look < 3, "{page}");
        fields[0].1 = (6 + 2 * look).to_string();
        fields[2].1 = (3 - look).to_string();
        // Opened once more later, the address lets no time pass.
        pages.push(answer.location().to_owned());
    }
    assert!(!visit.get(&pages[0]).text.contains("id=\"watch-stop\""));
    let text = std::fs::read_to_string(kept(&visit)).unwrap();
    assert!(
        text.ends_with(&"wait 20 s\ngauges read\n".repeat(3)),
        "{text}"
    );
    let nothing = visit.post(
        &format!("{bay}/watch"),
        &[("steps", "12"), ("words", "engine off"), ("left", "3")],
    );
    assert_eq!(nothing.status, StatusCode::BAD_REQUEST);
}

#[test]
fn a_hint_costs_a_step_and_comes_while_one_goes_on() {
    let visit = Visit::new();
    let bay = begun(&visit);
    let _ = visit.does(&bay, "engine idle");
    let asked = visit.does(&bay, "hint").text;
    assert!(words(&asked).contains("HINT"), "{asked}");
    // It comes by itself to whoever has gone on meanwhile.
    let mut page = visit.does(&bay, "ac on").text;
    for _ in 0..1200 {
        if !page.contains("It is being worked out") {
            break;
        }
        sleep(Duration::from_millis(200));
        page = visit.get(&bay).text;
    }
    // What a terminal says of the same session.
    let [case, with, seed, _] = CASE;
    let script = ScriptFile::new("engine idle\nhint\nac on\n");
    let played = coldtrail(&["practice", case, with, seed, "--script", script.path()]);
    let hint = played.output.lines().find(|line| line.contains("HINT"));
    let hint = hint
        .unwrap()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    assert!(words(&page).contains(&hint), "{hint}: {page}");
    let text = std::fs::read_to_string(kept(&visit)).unwrap();
    assert!(text.ends_with("engine idle\nhint\nac on\n"), "{text}");
}

#[test]
fn how_bad_it_is_changes_nothing_on_the_page_before_anything_is_read() {
    let visit = Visit::new();
    let bank = Bank::builtin().unwrap();
    let [case, _, _, units] = CASE;
    let mut pages: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for seed in 1..=24 {
        let bay = visit.begin(case, &seed.to_string(), units);
        let page = visit.get(&bay).text.replace(&bay, "/bay/it");
        let dealt = Case::deal(&bank, case, seed).unwrap();
        let severities: Vec<f64> = dealt.present().map(|(_, severity)| severity).collect();
        pages
            .entry(page)
            .or_default()
            .insert(format!("{severities:?}"));
    }
    // What the customer says is drawn, too: a few pages, and many cars behind each.
    assert!(pages.len() < 8, "{}", pages.len());
    assert!(
        pages.values().any(|cars| cars.len() > 2),
        "{:?}",
        pages.values()
    );
}

#[test]
fn a_page_with_all_that_it_asks_for_is_small() {
    const MOST_BYTES: usize = 300_000;
    let visit = Visit::new();
    let size = |address: &str| visit.get(address).text.len();
    let files: usize = ["/page.css", "/page.js", "/htmx.js", "/icon.svg"]
        .map(size)
        .iter()
        .sum();
    assert!(size("/") + files < MOST_BYTES);
    assert!(size(&begun(&visit)) + files < MOST_BYTES);
}

#[test]
fn a_debrief_is_made_of_the_session_and_shown_with_its_pictures() {
    let visit = Visit::new();
    let bay = begun(&visit);
    for done in DONE {
        let _ = visit.does(&bay, done);
    }
    let early = visit.get(&format!("{bay}/cycle.svg"));
    assert_eq!(early.status, StatusCode::NOT_FOUND);
    let fields = [("steps", "6"), ("fault", "undercharge"), ("percent", "40")];
    let _ = visit.post(&format!("{bay}/suspect"), &fields);
    let steps = std::fs::read_to_string(kept(&visit)).unwrap();
    let steps = steps
        .lines()
        .filter(|line| !line.starts_with('#'))
        .count()
        .to_string();
    let fields = [
        ("steps", steps.as_str()),
        ("fault", "no-fault"),
        ("cause", ""),
        ("because", "1"),
        ("because", "2"),
    ];
    let asked = visit.post(&format!("{bay}/conclude"), &fields);
    // Nobody is held to it before they have seen what it rests on.
    let before = std::fs::read_to_string(kept(&visit)).unwrap();
    assert!(!before.contains("conclude"), "{before}");
    let sure = visit.get(asked.location()).text;
    assert!(words(&sure).contains("Is that your conclusion?"), "{sure}");
    assert_eq!(sure.matches(" checked>").count(), 2, "{sure}");
    let _ = visit.does(&bay, "conclude no-fault because 1 2");
    let text = std::fs::read_to_string(kept(&visit)).unwrap();
    assert!(text.contains("conclude no-fault because 1 2"), "{text}");
    let asked = visit.post(&format!("{bay}/debrief"), &[]);
    assert_eq!(asked.location(), format!("{bay}/debrief"));
    let mut page = visit.get(asked.location()).text;
    for _ in 0..1200 {
        if page.contains("What your readings prove") {
            break;
        }
        sleep(Duration::from_millis(200));
        page = visit.get(asked.location()).text;
    }
    let file = kept(&visit);
    let [case, with, seed, _] = CASE;
    let played = coldtrail(&["practice", case, with, seed, "--script", &file]);
    let debrief = played.output.split_once("\nDebrief\n").unwrap().1;
    let told = words(&page);
    for line in debrief
        .lines()
        .filter(|line| line.starts_with("In this car"))
    {
        assert!(told.contains(line.trim()), "{line}: {told}");
    }
    for heading in ["Missed cues", "The way you took", "of 100"] {
        assert!(told.contains(heading), "{heading}");
    }
    for picture in ["trace.svg", "cycle.svg"] {
        let drawn = visit.get(&format!("{bay}/{picture}"));
        assert!(drawn.text.starts_with("<svg"), "{}", drawn.text);
    }
    // Nothing is done at this car any more.
    let after = visit.does(&bay, "look belt").text;
    assert!(
        words(&after).contains("nothing is done at this car any more"),
        "{after}"
    );
    assert_eq!(std::fs::read_to_string(&file).unwrap(), text);
}

#[test]
fn another_site_can_neither_read_nor_post() {
    let visit = Visit::new();
    let bay = begun(&visit);
    for host in ["elsewhere.example", "127.0.0.1:1", "localhost", ""] {
        let answer = visit.ask("GET", "/", host, "");
        assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST, "{host}");
        assert!(!answer.text.contains(visit.token()));
    }
    for (method, address) in ADDRESSES.iter().filter(|(method, _)| *method == "POST") {
        let address = address.replace("/bay/{id}", &bay);
        let body = "token=0000&case=school-run&units=si&steps=0&words=look+belt&fault=no-fault&percent=5&left=2";
        let answer = visit.ask(method, &address, AT, body);
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{address}");
    }
    let done = std::fs::read_to_string(kept(&visit)).unwrap();
    assert!(done.lines().all(|line| line.starts_with('#')), "{done}");
}

#[test]
fn no_request_breaks_the_page() {
    let visit = Visit::new();
    let bay = begun(&visit);
    let id = bay.strip_prefix("/bay/").unwrap().to_owned();
    let large = visit.post(&format!("{bay}/act"), &[("words", &"x".repeat(20_000))]);
    assert_eq!(large.status, StatusCode::PAYLOAD_TOO_LARGE);
    let ids = prop_oneof![
        Just(id),
        Just("..%2f..%2fetc%2fpasswd".to_owned()),
        Just("%00".to_owned()),
        Just("ffffffffffffffff".to_owned()),
        "[0-9a-f]{16}",
        "[a-z0-9%]{0,40}".prop_filter("an address", |text| !text.contains('%')),
    ];
    let words = prop_oneof![
        Just("engine idle".to_owned()),
        Just("wait 99999999999 min".to_owned()),
        Just("conclude".to_owned()),
        Just("hint".to_owned()),
        Just("look belt\nengine off".to_owned()),
        "\\PC{0,40}",
    ];
    let field = (
        prop_oneof![
            Just("at"),
            Just("case"),
            Just("seed"),
            Just("because"),
            Just("fault")
        ],
        "\\PC{0,20}",
    );
    let asked = (
        0..ADDRESSES.len(),
        ids,
        words,
        0..3_usize,
        proptest::collection::vec(field, 0..4),
    );
    let mut runner = proptest::test_runner::TestRunner::new_with_rng(
        proptest::test_runner::Config {
            cases: 120,
            failure_persistence: None,
            ..Default::default()
        },
        proptest::test_runner::TestRng::deterministic_rng(
            proptest::test_runner::RngAlgorithm::ChaCha,
        ),
    );
    let tried = runner.run(&asked, |(index, id, words, steps, more)| {
        let (method, address) = ADDRESSES[index];
        // A debrief takes its time; the one of this car is another test's.
        if (method, address) == ("POST", "/bay/{id}/debrief") {
            return Ok(());
        }
        let address = address.replace("{id}", &id);
        let steps = steps.to_string();
        let mut fields = vec![
            ("token", visit.token()),
            ("steps", &steps),
            ("words", &words),
        ];
        fields.extend(more.iter().map(|(name, value)| (*name, value.as_str())));
        let percent = [("percent", "30"), ("units", "si")];
        fields.extend(percent);
        let body = serde_urlencoded::to_string(fields).unwrap();
        is_sound(&visit.ask(method, &address, AT, &body), &address);
        Ok(())
    });
    tried.unwrap();
    // Whoever works at it still can.
    let page = visit.does(&bay, "doors open").text;
    assert!(
        page.contains("engine off, doors open") || page.contains("doors open"),
        "{page}"
    );
}
