//! What a candidate is never sent before the form is graded: anything that gives the answer away.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeSet;

use coldtrail_checks::browse::words;
use coldtrail_checks::folder::Folder;
use coldtrail_checks::room::{RoomVisit, id_of, office};
use coldtrail_checks::sitting::sits;
use runner::assess::Given;
use runner::invigilate::open::{again, sitting_id};
use runner::page::room::ADDRESSES;
use runner::records::Office;

const FORM: &str = "first-weeks";

/// The numbers that a car's page tells, but for the table on the wall, which is the label's.
fn numbers(page: &str) -> BTreeSet<String> {
    let (before, after) = page.split_once("<section class=\"wall\"").unwrap();
    let (_, after) = after.split_once("</section>").unwrap();
    words(&format!("{before}{after}"))
        .split(|letter: char| !letter.is_ascii_digit() && letter != '.')
        .map(|number| number.trim_matches('.').to_owned())
        .collect()
}

/// A page without the list of all faults there are, and that list.
fn without_faults(page: &str) -> (String, BTreeSet<String>) {
    let (mut rest, mut lists) = (String::new(), BTreeSet::new());
    let mut page = page;
    while let Some((before, after)) = page
        .split_once("name=\"fault\" required><option")
        .or_else(|| page.split_once("name=\"cause\"><option"))
    {
        let (list, after) = after.split_once("</select>").unwrap();
        rest.push_str(before);
        lists.insert(list.replace(" selected", ""));
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
        let (mut secrets, mut severities) = (Vec::new(), Vec::new());
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
                        severities.extend((plain.len() > 3).then_some(plain));
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
            if page.contains(": a car</h1>") {
                let told = numbers(&rest);
                let severity = severities.iter().find(|one| told.contains(*one));
                assert!(severity.is_none(), "{severity:?} in {rest}");
            }
        }
    }
    // Whatever the car, the same faults can be chosen: one list begins with "choose", one with "nothing else".
    assert_eq!(lists.len(), 2, "{lists:?}");
}
