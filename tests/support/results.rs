//! Results of people on tasks, for figures about them.

use runner::figures::rows::{TaskKind, TaskResult};

/// The mark from which these results count as right.
pub const RIGHT_FROM: f64 = 60.0;

/// A person's result on a task, the first one being 1, of one form on one day.
#[must_use]
pub fn result(person: usize, task: u32, mark: f64) -> TaskResult {
    let right = mark >= RIGHT_FROM;
    TaskResult {
        sitting: format!("sitting-{person:06}"),
        candidate: format!("candidate-{person:06}"),
        form: "form".to_owned(),
        task,
        kind: TaskKind::Question,
        item: format!("item-{task:03}"),
        answer: if right { "right" } else { "wrong" }.to_owned(),
        right,
        mark,
        parts: None,
        hints: 0,
        grave_slips: 0,
        key_cue: None,
        competencies: Vec::new(),
        failure_modes: Vec::new(),
        confidences: Vec::new(),
        wall_ms: 60_000,
        ended_unix_s: 1_800_000_000 + i64::from(task) * 60,
    }
}

/// Results of a table of marks: a row for each person, a column for each task.
#[must_use]
pub fn rows(marks: &[Vec<f64>]) -> Vec<TaskResult> {
    let mut rows = Vec::new();
    for (person, marks) in marks.iter().enumerate() {
        for (task, mark) in (1..).zip(marks) {
            rows.push(result(person, task, *mark));
        }
    }
    rows
}
