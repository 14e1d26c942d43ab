//! What an office has kept, as rows that figures are made of.

use std::collections::BTreeMap;

use scenarios::Library;

use crate::cli::assess::Words;
use crate::figures::rows::{Confidence, Parts, TaskKind, TaskResult};
use crate::records::entry::GRADED;
use crate::records::store::Filter;
use crate::records::{Entry, Office, ResultRow, StoreError};

/// What a graded entry says besides its row.
#[derive(Default, serde::Deserialize)]
pub(super) struct Besides {
    #[serde(default)]
    pub confidences: Vec<(f64, bool)>,
}

/// Results of a form, or of one sitting, by the newest program that marked each sitting.
pub(super) fn results(
    library: &Library,
    office: &Office,
    filter: &Filter,
) -> Result<Vec<TaskResult>, StoreError> {
    let mut store = office.store();
    let rows = store.results(filter)?;
    // What was marked last stands.
    let mut newest: BTreeMap<(String, u32), ResultRow> = BTreeMap::new();
    for row in rows {
        let place = (row.sitting.clone(), row.task);
        let known = newest.get(&place);
        if known.is_none_or(|known| known.wall_ms <= row.wall_ms) {
            newest.insert(place, row);
        }
    }
    let mut found = Vec::new();
    let mut of: Option<(String, Vec<Entry>)> = None;
    for ((sitting, task), row) in newest {
        if of.as_ref().is_none_or(|(id, _)| *id != sitting) {
            let entries = store.entries(&sitting)?;
            of = Some((sitting, entries));
        }
        let entries = of.as_ref().map_or(&[][..], |(_, entries)| entries);
        found.push(result(library, &row, task, entries));
    }
    Ok(found)
}

fn result(library: &Library, row: &ResultRow, task: u32, entries: &[Entry]) -> TaskResult {
    let is_case = row.kind == "case";
    let parts = Parts {
        diagnosis: row.diagnosis,
        evidence: row.evidence,
        calibration: row.calibration,
        efficiency: row.efficiency,
        safety: row.safety,
    };
    let case = library.bank.case(&row.item);
    let modes = case.map_or(&[][..], |case| &case.faults);
    let confidences = besides(entries, task).confidences.into_iter();
    let (began_ms, ended_ms) = times(entries, task);
    TaskResult {
        sitting: row.sitting.clone(),
        candidate: row.candidate.clone(),
        form: row.form.clone(),
        task,
        kind: if is_case {
            TaskKind::Case
        } else {
            TaskKind::Question
        },
        item: row.item.clone(),
        answer: row.answer.clone(),
        right: row.right,
        mark: row.mark,
        parts: is_case.then_some(parts),
        hints: row.hints,
        grave_slips: row.grave_slips,
        key_cue: row.key_cue,
        competencies: (row.competencies.split(','))
            .filter(|id| !id.is_empty())
            .map(str::to_owned)
            .collect(),
        failure_modes: modes.iter().map(|one| one.mode_id.clone()).collect(),
        confidences: confidences
            .map(|(stated, is_so)| Confidence { stated, is_so })
            .collect(),
        wall_ms: u64::try_from(ended_ms - began_ms).unwrap_or(0),
        ended_unix_s: ended_ms / 1000,
    }
}

/// What the last grade of a task says besides its row.
pub(super) fn besides(entries: &[Entry], task: u32) -> Besides {
    let graded = entries.iter().rev().filter(|entry| entry.kind == GRADED);
    let of_task = graded.filter_map(|entry| {
        let body: serde_json::Value = serde_json::from_str(&entry.body).ok()?;
        let is_it = body.get("task").and_then(serde_json::Value::as_u64) == Some(u64::from(task));
        is_it.then(|| serde_json::from_value(body).unwrap_or_default())
    });
    of_task.into_iter().next().unwrap_or_default()
}

/// When a task was begun and ended, Unix ms: from the entry before its first to its last.
fn times(entries: &[Entry], task: u32) -> (i64, i64) {
    let mut before_ms = entries.first().map_or(0, |entry| entry.wall_ms);
    let mut began_ms = None;
    let mut ended_ms = before_ms;
    for entry in entries {
        let words: Option<Words> = serde_json::from_str(&entry.body).ok();
        if words.is_some_and(|words| words.task == task as usize) && entry.kind != GRADED {
            began_ms.get_or_insert(before_ms);
            ended_ms = entry.wall_ms;
        }
        if entry.kind != GRADED {
            before_ms = entry.wall_ms;
        }
    }
    match began_ms {
        Some(began_ms) => (began_ms, ended_ms),
        None => (before_ms, before_ms),
    }
}
