//! The pages of figures: the class and its tasks as text (`figures/*.txt`, rewritten by
//! `COLDTRAIL_BLESS=1`), and a candidate's two sheets.
#![allow(clippy::expect_used, clippy::panic, clippy::unwrap_used)]

use std::collections::BTreeMap;

use coldtrail_checks::candidate::{ODD, candidate, long};
use coldtrail_checks::golden;
use coldtrail_checks::results::result;
use roxmltree::{Document, Node, ParsingOptions};
use runner::figures::item::items;
use runner::figures::report::Verdict;
use runner::figures::report::class::{ClassReport, FormFacts, class};
use runner::figures::report::tasks;
use runner::figures::report::words::to_say;
use runner::figures::rows::{Sittings, TaskKind, TaskResult};

/// Fourteen people on four tasks. The fourth one's key is wrong: the better somebody is, the worse.
fn people() -> Vec<TaskResult> {
    let mut rows = Vec::new();
    for person in 0..14_usize {
        let able = 30.0 + 5.0 * person as f64;
        let marks = [
            able + 3.0 * (person % 3) as f64,
            able - 4.0 * (person % 2) as f64,
            able + 2.0 * (person % 5) as f64,
            100.0 - able,
        ];
        for (task, mark) in (1..).zip(marks) {
            let row = result(person, task, mark.clamp(0.0, 100.0));
            let wrong = ["overcharge", "", "stuck-open"][person % 3];
            rows.push(TaskResult {
                kind: if task == 1 {
                    TaskKind::Case
                } else {
                    TaskKind::Question
                },
                answer: if row.right { "right" } else { wrong }.to_owned(),
                key_cue: (task == 1).then_some(person >= 6),
                grave_slips: u32::from(task == 1 && person == 13),
                hints: u32::from(task == 1 && person % 4 == 0),
                competencies: vec![if task == 1 { "senses" } else { "circuit" }.to_owned()],
                wall_ms: 61_000 * (person as u64 + 1),
                ..row
            });
        }
    }
    rows
}

fn report(rows: &[TaskResult]) -> ClassReport {
    let sittings = Sittings::of(rows).unwrap();
    let form = FormFacts {
        title: "Autumn & winter <shop>".to_owned(),
        cut: 60.0,
        cut_error: 1.5,
        weights: BTreeMap::from([(1, 3.0)]),
        sat_otherwise: 0,
        competencies: BTreeMap::from([("senses".to_owned(), "look and listen".to_owned())]),
    };
    let verdicts = sittings.all().iter().map(|sitting| {
        let passes = form.mark(sitting) >= form.cut && sitting.grave_slips() == 0;
        let verdict = Verdict {
            passes,
            reasons: Vec::new(),
        };
        (sitting.id().to_owned(), verdict)
    });
    let verdicts: BTreeMap<String, Verdict> = verdicts.skip(1).collect();
    let long =
        "A name that goes on and on and on, for as long as anybody will listen to it".to_owned();
    let names = BTreeMap::from([
        ("candidate-000004".to_owned(), ODD.to_owned()),
        ("candidate-000005".to_owned(), long),
    ]);
    class(form, &sittings, &names, &verdicts)
}

#[test]
fn the_class_as_text() {
    let page = report(&people()).text();
    for line in page.lines() {
        assert!(line.chars().count() <= 90, "{line}");
    }
    golden::expect("tests/figures/class.txt", &page);
}

#[test]
fn the_tasks_as_text() {
    let rows = people();
    let items = items(&Sittings::of(&rows).unwrap());
    let page = tasks::text(&items);
    for line in page.lines() {
        assert!(line.chars().count() <= 90, "{line}");
    }
    // The one whose key is wrong, and no other.
    let looked: Vec<&str> = items.iter().map(tasks::look).collect();
    assert_eq!(looked, ["", "", "", "check the key"]);
    golden::expect("tests/figures/tasks.txt", &page);
}

#[test]
fn safety_is_no_matter_of_the_mark() {
    let report = report(&people());
    let best = &report.rows[0];
    assert!(best.mark > 80.0 && best.grave_slips == 1);
    assert!(!best.verdict.as_ref().unwrap().passes);
}

#[test]
fn near_is_said_where_the_mark_decided_and_enough_people_sat() {
    let rows = people();
    let near = |report: &ClassReport| report.text().matches(", near").count();
    let mut all = report(&rows);
    let before = near(&all);
    assert!(before > 0);
    // The gate shuts for all who passed: how near their marks are says nothing then.
    let shut = |verdict: &mut Verdict| verdict.passes = false;
    let passed: Vec<usize> = (0..all.rows.len())
        .filter(|at| all.rows[*at].standing.passes && all.rows[*at].standing.is_near())
        .collect();
    for row in &mut all.rows {
        row.verdict.as_mut().into_iter().for_each(shut);
    }
    assert!(!passed.is_empty());
    assert!(near(&all) < before);
    let few: Vec<TaskResult> = rows.iter().take(12).cloned().collect();
    assert_eq!(near(&report(&few)), 0);
}

#[test]
fn who_sat_another_text_of_the_form_is_told_of() {
    let mut report = report(&people());
    assert!(!report.text().contains("another text"));
    report.form.sat_otherwise = 3;
    assert!(report.text().contains("another text of this form"));
    assert!(report.html().contains("another text of this form"));
}

fn parsed(page: &str) -> Document<'_> {
    let options = ParsingOptions {
        allow_dtd: true,
        ..ParsingOptions::default()
    };
    Document::parse_with_options(page, options).expect("well-formed")
}

/// A page asks for nothing and runs nothing.
fn assert_self_contained(page: &Document<'_>) {
    for node in page.descendants().filter(Node::is_element) {
        let name = node.tag_name().name();
        for absent in ["script", "link", "img", "iframe", "object", "image", "use"] {
            assert_ne!(name, absent);
        }
        for attribute in node.attributes() {
            assert!(!attribute.name().starts_with("on"), "{}", attribute.name());
            assert!(!["href", "src"].contains(&attribute.name()));
        }
        if name == "style" {
            let style = node.text().unwrap();
            assert!(
                !style.contains("url(") && !style.contains("@import"),
                "{style}"
            );
        }
    }
}

#[test]
fn pages_ask_for_nothing_and_names_stay_names() {
    let rows = people();
    let items = items(&Sittings::of(&rows).unwrap());
    let text = candidate().html();
    for page in [report(&rows).html(), tasks::html(ODD, &items), text] {
        let page = parsed(&page);
        assert_self_contained(&page);
        let said = page.descendants().filter(Node::is_text);
        let said: String = said.filter_map(|node| node.text()).collect();
        let told = ODD.replace(['\u{202e}', '\u{7}'], "");
        assert!(said.contains(&told), "{said}");
    }
}

#[test]
fn a_candidates_report_is_two_sheets_however_much_there_is_to_tell() {
    let text = long().html();
    golden::expect("tests/figures/candidate-long.html", &text);
    let page = parsed(&text);
    let count = |name: &str| {
        let all = page.descendants();
        all.filter(|node| node.has_tag_name(name)).count()
    };
    assert_eq!(count("section"), 2);
    // One for each bin and trace: what does not fit is told as a number, and grave slips come first.
    assert_eq!(
        page.descendants()
            .filter(|node| node.tag_name().name() == "svg")
            .count(),
        5
    );
    for left_out in ["90 tasks", "37 slips", "12 competencies", "5 cases"] {
        assert!(text.contains(left_out), "{left_out}");
    }
    assert!(text.contains("<b>Grave.</b>"));
    assert!(text.len() < 60_000, "{}", text.len());
}

/// 600 s are the right edge and 60 s a tenth of the way; 95 % is near the top.
#[test]
fn a_belief_trace_is_drawn_where_it_is() {
    let text = candidate().html();
    golden::expect("tests/figures/candidate.html", &text);
    let page = parsed(&text);
    let path = |class: &str| {
        let mut all = page.descendants();
        let path = all.find(|node| {
            node.tag_name().name() == "path" && node.attribute("class") == Some(class)
        });
        path.unwrap().attribute("d").unwrap().to_owned()
    };
    // From 42 to 328 px across, and 126 up to 26: steps, level first.
    assert_eq!(path("car"), "M70.6 116L185 116L185 76L328 76L328 31");
    assert_eq!(path("healthy"), "M70.6 86L185 86L185 76L328 76L328 31");
    // A square for what was not so at 70 %, and the disc of what was at 90 %.
    let square = page.descendants().find(|node| {
        node.tag_name().name() == "rect" && node.attribute("class") == Some("healthy-mark")
    });
    assert_eq!(square.unwrap().attribute("y"), Some("52"));
    let disc = page
        .descendants()
        .find(|node| node.tag_name().name() == "circle");
    assert_eq!(disc.unwrap().attribute("cy"), Some("36"));
}

#[test]
fn the_words_begin_with_the_result_and_follow_the_record() {
    let said = to_say(&candidate());
    assert_eq!(
        said,
        [
            "You have not passed this time. Your mark is 63 of 100 points.",
            "Grave slips: 1.",
            "You had slips that could have hurt somebody or let refrigerant out. No mark makes up for them: go through them first.",
            "Your strength: look and listen.",
            "Work on this first: the compressor's circuit with a meter.",
            "You were surer than it came true: before you name a cause, ask what else would show the same.",
        ]
    );
    // What was in a car that was not found out is said.
    let mut wrong = candidate();
    wrong.tasks[0].was = Some("blocked condenser face".to_owned());
    let words = "Task 1, it was: blocked condenser face; you named: condenser-fan-dead.";
    assert!(to_say(&wrong).contains(&words.to_owned()));
    // What is to be worked on first is not said twice; ties name nothing.
    let mut other = candidate();
    other.next = Some("leaks".to_owned());
    assert_eq!(to_say(&other).last().unwrap(), "Practise next: leaks.");
    for one in &mut other.competencies {
        one.mark = 41.0;
    }
    let said = to_say(&other).join(" ");
    assert!(!said.contains("Work on this first"), "{said}");
    // Near the cut only where the mark decided.
    let mut near = candidate();
    near.verdict = Some(Verdict {
        passes: true,
        reasons: Vec::new(),
    });
    assert!(to_say(&near)[1].starts_with("Your mark is close above"));
    let mut practice = candidate();
    practice.verdict = None;
    practice.safety.clear();
    practice.calibration = None;
    let said = to_say(&practice);
    assert!(said[0].contains("gives no verdict"));
    assert_eq!(said[1], "No unsafe act of yours was seen.");
    assert!(!said.iter().any(|words| words.contains("surer")));
    assert!(practice.html().contains("Practice: no verdict"));
}
