#![allow(clippy::unwrap_used)]

use std::sync::LazyLock;

use scenarios::Library;
use scenarios::form::Item;

use super::*;
use crate::assess::marked::Parts;

static LIBRARY: LazyLock<Library> = LazyLock::new(|| Library::builtin().unwrap());

fn form() -> Form {
    LIBRARY
        .form("before-you-touch-refrigerant")
        .unwrap()
        .clone()
}

/// Every task with one mark; cars train what the bank says they do.
fn all_with(form: &Form, mark: f64) -> (Vec<Task>, Vec<Marked>) {
    let tasks = form.draw(1);
    let marked = tasks.iter().map(|task| {
        let (parts, competencies, topic) = match &task.item {
            Item::Case { id, .. } => {
                let case = LIBRARY.bank.case(id).unwrap();
                let parts = Parts::Case {
                    shares: [1.0; 4],
                    repair: None,
                    hints: 0,
                    slips: Vec::new(),
                    key_cue: None,
                    confidences: Vec::new(),
                    shop_s: 600.0,
                };
                (parts, case.competencies.clone(), None)
            }
            Item::Question(id) => {
                let question = LIBRARY.questions.question(id).unwrap();
                (
                    Parts::Question(1.0),
                    Vec::new(),
                    Some(question.topic.clone()),
                )
            }
        };
        Marked {
            item: task.item.id().to_owned(),
            parts,
            answer: String::new(),
            right: true,
            mark,
            competencies,
            topic,
        }
    });
    let marked = marked.collect();
    (tasks, marked)
}

fn slip(marked: &mut [Marked], kind: SlipKind) {
    if let Parts::Case { slips, .. } = &mut marked[0].parts {
        slips.push(kind);
    }
}

#[test]
fn a_mark_weighs_tasks_as_the_form_does() {
    let form = form();
    let (tasks, mut marked) = all_with(&form, 0.0);
    // One car counts 1 of 1 + 1 + 2 + 16 × 0.1, and the one that is repaired twice as much.
    marked[0].mark = 100.0;
    let verdict = Verdict::of(&form, &tasks, &marked);
    assert!(
        (verdict.mark - 100.0 / 5.6).abs() < 1e-9,
        "{}",
        verdict.mark
    );
    marked[0].mark = 0.0;
    marked[2].mark = 100.0;
    let verdict = Verdict::of(&form, &tasks, &marked);
    assert!(
        (verdict.mark - 200.0 / 5.6).abs() < 1e-9,
        "{}",
        verdict.mark
    );
    assert!(!verdict.passed);
}

#[test]
fn the_gate_is_shut_by_one_grave_act_whatever_the_marks() {
    let form = form();
    let (tasks, mut marked) = all_with(&form, 100.0);
    assert!(Verdict::of(&form, &tasks, &marked).passed);
    for _ in 0..form.pass.most_slips {
        slip(&mut marked, SlipKind::NoGloves);
    }
    assert!(Verdict::of(&form, &tasks, &marked).passed);
    let mut often = marked.clone();
    slip(&mut often, SlipKind::NoGlasses);
    assert!(!Verdict::of(&form, &tasks, &often).passed);
    let (_, mut grave) = all_with(&form, 100.0);
    slip(&mut grave, SlipKind::OpenedChargedLoop);
    let verdict = Verdict::of(&form, &tasks, &grave);
    assert!(!verdict.passed && !verdict.gate.passed);
    assert_eq!(verdict.gate.grave, [SlipKind::OpenedChargedLoop]);
    assert!((verdict.mark - 100.0).abs() < 1e-9);
}

#[test]
fn a_need_that_is_not_met_fails_and_says_so() {
    let form = form();
    let (tasks, mut marked) = all_with(&form, 100.0);
    for one in &mut marked {
        if one.topic.as_deref() == Some("safety") {
            one.mark = 50.0;
        }
    }
    let verdict = Verdict::of(&form, &tasks, &marked);
    assert!(!verdict.passed && verdict.gate.passed && verdict.mark > form.pass.mark);
    let met: Vec<bool> = verdict.needs.iter().map(|need| need.met).collect();
    assert_eq!(met, [false, true]);
    assert!((verdict.needs[0].mark - 50.0).abs() < 1e-9);
}

#[test]
fn a_mark_within_the_panels_error_is_told() {
    let mut form = form();
    let (tasks, marked) = all_with(&form, 62.0);
    assert_eq!(Verdict::of(&form, &tasks, &marked).within_error, None);
    form.pass.standard_error = Some(3.0);
    assert_eq!(Verdict::of(&form, &tasks, &marked).within_error, Some(true));
    form.pass.standard_error = Some(1.0);
    assert_eq!(
        Verdict::of(&form, &tasks, &marked).within_error,
        Some(false)
    );
}
