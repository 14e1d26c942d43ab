//! Records that leave the office: exports alike from both stores, and bundles that only ever add.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use coldtrail_checks::records::{Stand, action, grade, on_both, result, sit, start};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
use runner::records::entry::STARTED;
use runner::records::exchange::{Taken, bundle};
use runner::records::export::{ALL, Format, What, export};
use runner::records::{Draft, Office, Person, PublicKey, ResultRow};

/// All that an office gives out, one after the other.
fn all_of(office: &Office) -> Vec<String> {
    let formats = [Format::Csv, Format::JsonLines];
    let each = formats
        .iter()
        .flat_map(|format| ALL.map(|what| (*format, what)));
    each.map(|(format, what)| {
        let mut out = Vec::new();
        export(office.store().as_mut(), what, format, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    })
    .collect()
}

/// A sitting's id and candidate, and each task's answer, mark, cue and time.
type Written = (String, String, Vec<(String, f64, Option<bool>, i64)>);

/// A sitting with texts and numbers of any kind.
fn any_sitting() -> impl Strategy<Value = Written> {
    let text = "[^\\p{Cc}]{1,12}";
    let row = (
        "[^\\x00]{0,12}",
        0.0..100.0,
        any::<Option<bool>>(),
        0..4_000_000_000_000_i64,
    );
    (text, "[^\\x00]{0,12}", proptest::collection::vec(row, 0..4))
}

fn write(office: &Office, sittings: &[Written]) {
    for (id, candidate, rows) in sittings {
        let body = serde_json::json!({ "form": "f", "candidate": candidate }).to_string();
        let start = Draft {
            kind: STARTED.to_owned(),
            body,
            ..start(id)
        };
        // Two sittings may have drawn one id: then the second is told so, in both stores.
        if office.journal().append(start).is_err() {
            continue;
        }
        let name = candidate.clone();
        let person = Person {
            id: candidate.clone(),
            name,
        };
        office.store().name_person(&person).unwrap();
        for (index, (answer, mark, cue, wall_ms)) in rows.iter().enumerate() {
            let task = index as u32 + 1;
            let row = ResultRow {
                answer: answer.clone(),
                candidate: candidate.clone(),
                key_cue: *cue,
                wall_ms: *wall_ms,
                ..result(id, task, *mark)
            };
            let draft = Draft {
                wall_ms: *wall_ms,
                ..grade(task + 1, &row)
            };
            office.journal().append(draft).unwrap();
        }
    }
}

#[test]
fn both_stores_give_out_the_same_bytes() {
    if coldtrail_checks::postgres::server().is_none() {
        return;
    }
    let config = Config {
        cases: 12,
        failure_persistence: None,
        ..Config::default()
    };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, rng);
    let sittings = proptest::collection::vec(any_sitting(), 1..6);
    runner
        .run(&sittings, |sittings| {
            let (file, server) = (Stand::file(), Stand::server().unwrap());
            let (file, server) = (file.office(), server.office());
            write(&file, &sittings);
            write(&server, &sittings);
            prop_assert_eq!(all_of(&file), all_of(&server));
            prop_assert!(file.verify().unwrap().is_clean());
            prop_assert!(server.verify().unwrap().is_clean());
            Ok(())
        })
        .unwrap();
}

#[test]
fn an_export_as_it_looks() {
    let stand = Stand::file();
    let office = stand.office();
    sit(&office, "s-1", 1).unwrap();
    let out = |what, format| {
        let mut out = Vec::new();
        export(office.store().as_mut(), what, format, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    };
    let csv = out(What::Results, Format::Csv);
    let head = csv.lines().next().unwrap();
    assert_eq!(
        head,
        "sitting,task,form,candidate,kind,item,answer,right,mark,diagnosis,evidence,calibration,efficiency,safety,hints,grave_slips,key_cue,competencies,shop_s,program,wall_ms"
    );
    // Read back by another reader, it is what was kept.
    let mut read = csv::Reader::from_reader(csv.as_bytes());
    let rows: Vec<ResultRow> = read.deserialize().map(Result::unwrap).collect();
    assert_eq!(
        rows,
        office
            .store()
            .results(&runner::records::Filter::default())
            .unwrap()
    );
    let lines = out(What::Entries, Format::JsonLines);
    let second: serde_json::Value = serde_json::from_str(lines.lines().nth(1).unwrap()).unwrap();
    assert_eq!(second["number"], 2);
    assert_eq!(second["body"], action("s-1", 2).body);
}

#[test]
fn no_cell_of_a_table_is_a_formula() {
    let stand = Stand::file();
    let office = stand.office();
    let odd = [
        "=HYPERLINK(\"x\")",
        "+1",
        "-Ines",
        "@sum",
        "\tx",
        "\rx",
        "\nx",
    ];
    let sittings: Vec<Written> = odd
        .iter()
        .enumerate()
        .map(|(index, text)| {
            let row = (text.to_string(), 62.5, None, -1_000);
            (format!("s-{index}"), text.to_string(), vec![row])
        })
        .collect();
    write(&office, &sittings);
    let out = |what, format| {
        let mut out = Vec::new();
        export(office.store().as_mut(), what, format, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    };
    let mut guarded = 0;
    for what in ALL {
        let text = out(what, Format::Csv);
        for row in csv::Reader::from_reader(text.as_bytes()).records() {
            for cell in row.unwrap().iter() {
                let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']);
                assert!(!formula || cell.parse::<f64>().is_ok(), "{cell:?}");
                guarded += usize::from(cell.starts_with('\''));
            }
        }
    }
    // A candidate in a sitting and in a result, an answer, and a person's id and name.
    assert_eq!(guarded, 5 * odd.len());
    // What begins with a sign and is a number stays one.
    let results = out(What::Results, Format::Csv);
    assert_eq!(results.matches(",-1000\n").count(), odd.len());
    // JSON lines hold each name as it is.
    let people = out(What::People, Format::JsonLines);
    let mut names: Vec<String> = people
        .lines()
        .map(|line| serde_json::from_str::<Person>(line).unwrap().name)
        .collect();
    names.sort();
    let mut odd = odd.map(str::to_owned);
    odd.sort();
    assert_eq!(names, odd);
}

fn bundled(office: &Office, sittings: Option<&[String]>) -> Vec<u8> {
    let mut out = Vec::new();
    bundle(office.store().as_mut(), office.keys(), sittings, &mut out).unwrap();
    out
}

#[test]
fn a_bundle_taken_twice_adds_nothing() {
    let school = Stand::file();
    let school = school.office();
    sit(&school, "s-1", 3).unwrap();
    sit(&school, "s-2", 2).unwrap();
    let trusted = [school.keys().public_key()];
    on_both(|stand| {
        let district = stand.office();
        let one = bundled(&school, Some(&["s-1".to_owned()]));
        let first = district.take(&one, &trusted).unwrap();
        assert_eq!(
            first,
            Taken {
                sittings: 1,
                added: 7,
                known: 0,
                erased: 0
            }
        );
        let all = bundled(&school, None);
        let second = district.take(&all, &trusted).unwrap();
        assert_eq!(
            second,
            Taken {
                sittings: 2,
                added: 6,
                known: 7,
                erased: 0
            }
        );
        let third = district.take(&all, &trusted).unwrap();
        assert_eq!((third.added, third.known), (0, 13));
        assert_eq!(all_of(&district), all_of(&school));
        let report = district.verify().unwrap();
        assert!(
            report.is_clean() && report.without_head.is_empty(),
            "{report:?}"
        );
        // What this office has erased does not come back.
        assert_eq!(district.erase("c-17").unwrap(), 2);
        let fourth = district.take(&all, &trusted).unwrap();
        assert_eq!(
            fourth,
            Taken {
                sittings: 0,
                added: 0,
                known: 0,
                erased: 2
            }
        );
        assert!(district.verify().unwrap().is_clean());
    });
}

#[test]
fn a_bundle_that_is_refused_adds_nothing() {
    let school = Stand::file();
    let office = school.office();
    sit(&office, "s-1", 3).unwrap();
    let whole = String::from_utf8(bundled(&office, None)).unwrap();
    let trusted = [office.keys().public_key()];
    on_both(|stand| {
        let district = stand.office();
        let refused = |bundle: &str, trusted: &[PublicKey]| {
            district
                .take(bundle.as_bytes(), trusted)
                .unwrap_err()
                .to_string()
        };
        assert!(refused(&whole, &[district.keys().public_key()]).contains("is not trusted here"));
        let changed = whole.replace("gauges 3", "gauges 4");
        assert!(refused(&changed, &trusted).contains("changed on its way"));
        let lines: Vec<&str> = whole.lines().collect();
        let cut = lines[..5].join("\n") + "\n";
        assert!(refused(&cut, &trusted).contains("not whole"));
        assert!(refused("", &trusted).contains("not whole"));
        assert!(refused("a\nb\n", &trusted).contains("does not begin"));
        assert_eq!(district.store().sittings().unwrap(), []);
        // Signed, and at odds with what is here: one id, two sittings.
        let other = Stand::file();
        let other = other.office();
        sit(&other, "s-1", 4).unwrap();
        sit(&other, "s-0", 1).unwrap();
        district.take(whole.as_bytes(), &trusted).unwrap();
        let before = all_of(&district);
        let bundle = String::from_utf8(bundled(&other, None)).unwrap();
        let said = refused(&bundle, &[other.keys().public_key()]);
        assert!(said.contains("\"s-1\" has another entry 5 here"), "{said}");
        assert_eq!(all_of(&district), before);
    });
    // An office whose store was changed signs what is no chain.
    school.tamper("UPDATE entry SET body = '{}' WHERE number = 3");
    let broken = bundled(&office, None);
    let refused = Stand::file()
        .office()
        .take(&broken, &trusted)
        .unwrap_err()
        .to_string();
    assert!(
        refused.contains("entry 3 of the sitting \"s-1\" does not follow"),
        "{refused}"
    );
}
