//! Verification: whatever is changed behind the office's back is named, and what is whole is not.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::records::{Stand, on_both, sit};
use runner::records::{Fault, Head, Heads, Office, hex};

/// What is done to a sitting of nine entries: start, five actions, two grades, end; and what is found.
type Case = (&'static str, fn(&Stand, &Office), fn(&str) -> Vec<Fault>);

fn own(sitting: &str) -> String {
    sitting.to_owned()
}

fn acted(sitting: &str, number: u64) -> Fault {
    Fault::Changed(own(sitting), number, "acted".to_owned())
}

const VERSION: &str = "0.1.0";

/// Writes a sitting anew from its third entry on, each link right: what somebody does who knows how.
fn write_anew(stand: &Stand, office: &Office) {
    let entries = office.store().entries("anew").unwrap();
    let mut before = entries[1].link;
    for mut entry in entries.into_iter().skip(2) {
        if entry.number == 3 {
            entry.body = "{}".to_owned();
        }
        before = entry.linked_to(&before);
        stand.tamper(&format!(
            "UPDATE entry SET body = '{}', link = {} WHERE sitting = 'anew' AND number = {}",
            entry.body.replace('\'', "''"),
            bytes(stand, &before),
            entry.number
        ));
    }
}

/// A grade added after the end by somebody who has no key.
fn add_grade(stand: &Stand, office: &Office) {
    let mut entry = office.store().entries("added").unwrap().remove(8);
    let before = entry.link;
    (entry.number, entry.kind, entry.key) = (10, "graded".to_owned(), "x".to_owned());
    let link = entry.linked_to(&before);
    stand.tamper(&format!(
        "INSERT INTO entry VALUES ('added', 10, 'graded', '{{}}', 'x', {}, {})",
        entry.wall_ms,
        bytes(stand, &link)
    ));
}

fn bytes(stand: &Stand, bytes: &[u8]) -> String {
    match stand.address {
        None => format!("x'{}'", hex(bytes)),
        Some(_) => format!("decode('{}', 'hex')", hex(bytes)),
    }
}

const CASES: &[Case] = &[
    (
        "action",
        |stand, _| {
            stand.tamper("UPDATE entry SET body = '{}' WHERE sitting = 'action' AND number = 3")
        },
        |s| vec![acted(s, 3)],
    ),
    (
        "kind",
        |stand, _| {
            stand.tamper("UPDATE entry SET kind = 'looked' WHERE sitting = 'kind' AND number = 4")
        },
        |s| vec![Fault::Changed(own(s), 4, "looked".to_owned())],
    ),
    (
        "key",
        |stand, _| {
            stand.tamper("UPDATE entry SET key = 'other' WHERE sitting = 'key' AND number = 2")
        },
        |s| vec![acted(s, 2)],
    ),
    (
        "grade",
        |stand, _| {
            stand.tamper("UPDATE entry SET body = replace(body, '12.5', '92.5') WHERE sitting = 'grade' AND number = 8")
        },
        |s| {
            vec![
                Fault::Changed(own(s), 8, "graded".to_owned()),
                Fault::OtherResult(own(s), 2, own(VERSION), 8),
            ]
        },
    ),
    (
        "mark",
        |stand, _| {
            stand.tamper("UPDATE result SET mark = 92.5 WHERE sitting = 'mark' AND task = 2")
        },
        |s| vec![Fault::OtherResult(own(s), 2, own(VERSION), 8)],
    ),
    (
        "time",
        |stand, _| {
            stand.tamper(
                "UPDATE entry SET wall_ms = wall_ms - 5000 WHERE sitting = 'time' AND number = 5",
            )
        },
        |s| vec![acted(s, 5), Fault::Backwards(own(s), 5, "acted".to_owned())],
    ),
    (
        "row",
        |stand, _| stand.tamper("DELETE FROM entry WHERE sitting = 'row' AND number IN (4, 5)"),
        |s| vec![Fault::Gap(own(s), 4, 5)],
    ),
    (
        "first",
        |stand, _| stand.tamper("DELETE FROM entry WHERE sitting = 'first' AND number = 1"),
        |s| vec![Fault::Gap(own(s), 1, 1)],
    ),
    (
        "tail",
        |stand, _| {
            stand.tamper(
            "DELETE FROM result WHERE sitting = 'tail' AND number > 7; DELETE FROM entry WHERE sitting = 'tail' AND number > 7",
        )
        },
        |s| vec![Fault::LostTail(own(s), 9, 7)],
    ),
    (
        "swap",
        |stand, _| {
            stand.tamper(
                "UPDATE entry SET number = 0 WHERE sitting = 'swap' AND number = 3;
             UPDATE entry SET number = 3 WHERE sitting = 'swap' AND number = 4;
             UPDATE entry SET number = 4 WHERE sitting = 'swap' AND number = 0",
            )
        },
        |s| {
            vec![
                acted(s, 3),
                acted(s, 4),
                Fault::Backwards(own(s), 4, "acted".to_owned()),
                acted(s, 5),
                Fault::OtherChain(own(s), 3),
            ]
        },
    ),
    ("anew", write_anew, |s| vec![Fault::OtherChain(own(s), 3)]),
    (
        "gone",
        |stand, _| {
            stand.tamper(
            "DELETE FROM result WHERE sitting = 'gone'; DELETE FROM entry WHERE sitting = 'gone'; DELETE FROM sitting WHERE id = 'gone'",
        )
        },
        |s| vec![Fault::MissingSitting(own(s), 9)],
    ),
    (
        "listed",
        |stand, _| stand.tamper("UPDATE sitting SET candidate = 'c-1' WHERE id = 'listed'"),
        |s| vec![Fault::OtherSitting(own(s))],
    ),
    (
        "result",
        |stand, _| stand.tamper("DELETE FROM result WHERE sitting = 'result' AND task = 1"),
        |s| vec![Fault::NoResult(own(s), 7)],
    ),
    (
        "extra",
        |stand, _| {
            stand.tamper("UPDATE result SET number = 5 WHERE sitting = 'extra' AND task = 1")
        },
        |s| {
            vec![
                Fault::NoGrade(own(s), 1, own(VERSION)),
                Fault::NoResult(own(s), 7),
            ]
        },
    ),
    ("added", add_grade, |s| {
        vec![Fault::NoResult(own(s), 10), Fault::Unsigned(own(s), 10)]
    }),
];

#[test]
fn what_was_changed_is_named() {
    on_both(|stand| {
        let office = stand.office();
        for (sitting, ..) in CASES {
            sit(&office, sitting, 5).unwrap();
        }
        let before = office.verify().unwrap();
        assert!(
            before.is_clean() && before.without_head.is_empty(),
            "{before:?}"
        );
        assert_eq!(before.sittings, CASES.len() as u64);
        let mut expected = Vec::new();
        for (sitting, change, found) in CASES {
            change(stand, &office);
            expected.extend(found(sitting));
        }
        let told = |faults: Vec<Fault>| {
            let mut told: Vec<String> = faults.iter().map(ToString::to_string).collect();
            told.sort();
            told
        };
        let found = office.verify().unwrap().faults;
        assert_eq!(told(found), told(expected));
    });
}

/// Each sentence names its sitting, the place and what is wrong there.
#[test]
fn the_sentences() {
    let lost = Fault::LostTail("s-9".to_owned(), 41, 37).to_string();
    assert_eq!(
        lost,
        "sitting \"s-9\" has lost its end: the heads say that it had come to 41, the store ends at 37"
    );
    let changed = acted("s-9", 12).to_string();
    assert!(
        changed.contains("\"s-9\": the entry 12 (acted)"),
        "{changed}"
    );
}

#[test]
fn the_heads_are_checked_too() {
    on_both(|stand| {
        let office = stand.office();
        sit(&office, "one", 2).unwrap();
        sit(&office, "two", 2).unwrap();
        let path = stand.folder.path().join("heads.jsonl");
        let whole = std::fs::read_to_string(&path).unwrap();
        let faults = |text: &str| {
            std::fs::write(&path, text).unwrap();
            office.verify().unwrap().faults
        };
        assert_eq!(faults(&whole), []);
        // A signature over another sitting's end.
        let kept = Heads::read(&path).unwrap().heads;
        let end = |sitting: &str| {
            let mut of_it = kept.iter().filter(|head| head.sitting == sitting);
            of_it.next_back().and_then(|head| head.signature).unwrap()
        };
        let forged = whole.replace(&hex(&end("one")), &hex(&end("two")));
        assert_eq!(faults(&forged), [Fault::Forged("one".to_owned(), 6)]);
        // Its lines without the signatures.
        let unsigned: String = whole
            .lines()
            .filter(|line| !line.contains("\"one\"") || !line.contains("signature"))
            .map(|line| format!("{line}\n"))
            .collect();
        assert_eq!(faults(&unsigned), [Fault::Unsigned("one".to_owned(), 6)]);
        // A line that is none.
        let changed = whole.replacen("{\"sitting", "{\"setting", 1);
        assert!(faults(&changed).contains(&Fault::HeadLine(2)));
        // A line that a kill or a power cut tore says nothing, and swallows nothing that is written after it.
        let torn = &whole[..whole.len() - 30];
        std::fs::write(&path, torn).unwrap();
        let found = office.verify().unwrap();
        assert_eq!(found.torn, [whole.lines().count()]);
        assert_eq!(found.faults, [Fault::Unsigned("two".to_owned(), 6)]);
        // The end asked for again is signed again.
        let other = stand.office();
        let last = other.store().entries("two").unwrap().remove(5);
        let draft = runner::records::Draft {
            sitting: last.sitting,
            kind: last.kind,
            body: last.body,
            key: last.key,
            wall_ms: last.wall_ms,
        };
        assert!(other.journal().append(draft).unwrap().repeated);
        let found = office.verify().unwrap();
        assert_eq!((found.torn.len(), found.faults), (1, Vec::new()));
    });
}

/// Another office's store that this one's heads are held against, and its own that has no heads at all.
#[test]
fn a_store_without_heads() {
    let stand = Stand::file();
    sit(&stand.office(), "s", 2).unwrap();
    std::fs::remove_file(stand.folder.path().join("heads.jsonl")).unwrap();
    let report = stand.office().verify().unwrap();
    assert_eq!(report.without_head, ["s"]);
    assert_eq!(report.faults, [Fault::Unsigned("s".to_owned(), 6)]);
    let Some(stand) = Stand::server() else { return };
    let mut other = Stand::file();
    other.address.clone_from(&stand.address);
    sit(&other.office(), "theirs", 2).unwrap();
    let office = stand.office();
    sit(&office, "ours", 2).unwrap();
    let report = office.verify().unwrap();
    assert_eq!(
        (report.without_head.as_slice(), report.faults.as_slice()),
        (&["theirs".to_owned()][..], &[][..])
    );
}

#[test]
fn a_head_is_signed_for_what_it_says() {
    let stand = Stand::file();
    let office = stand.office();
    let mut head = Head {
        sitting: "s".to_owned(),
        number: 3,
        link: [7; 32],
        signature: None,
    };
    let key = office.keys().public_key();
    assert_eq!(head.signed_by(&key), None);
    head.sign(office.keys());
    assert_eq!(head.signed_by(&key), Some(true));
    for other in [
        Head {
            number: 4,
            ..head.clone()
        },
        Head {
            link: [8; 32],
            ..head.clone()
        },
        Head {
            sitting: "t".to_owned(),
            ..head.clone()
        },
    ] {
        assert_eq!(other.signed_by(&key), Some(false));
    }
    let stranger = Stand::file();
    assert_eq!(
        head.signed_by(&stranger.office().keys().public_key()),
        Some(false)
    );
}
