//! What an office has kept, as rows that figures are made of.

use std::collections::BTreeMap;

use scenarios::Library;
use serde::Deserialize;

use crate::figures::report::Verdict;
use crate::figures::rows::{Confidence, Parts, TaskKind, TaskResult};
use crate::records::entry::{FINISHED, GRADED};
use crate::records::store::{Filter, Of};
use crate::records::{Entry, Office, ResultRow, StoreError};

/// What is kept of some sittings.
pub(crate) struct Found {
    /// A row for each task, by the program that marked it last.
    pub rows: Vec<TaskResult>,
    /// What was decided, by sitting; a sitting that is not over has nothing.
    pub verdicts: BTreeMap<String, Verdict>,
    /// How many sat each text of a form, by its SHA-256 in letters: a form may have been changed since.
    pub texts: BTreeMap<String, usize>,
}

/// What a filter lets through.
pub(crate) fn results(
    library: &Library,
    office: &Office,
    filter: &Filter,
) -> Result<Found, StoreError> {
    let mut store = office.store();
    // What was marked last stands.
    let mut newest: BTreeMap<String, BTreeMap<u32, ResultRow>> = BTreeMap::new();
    for row in store.results(filter)? {
        let tasks = newest.entry(row.sitting.clone()).or_default();
        let known = tasks.get(&row.task);
        if known.is_none_or(|known| known.wall_ms <= row.wall_ms) {
            tasks.insert(row.task, row);
        }
    }
    let mut found = Found {
        rows: Vec::new(),
        verdicts: BTreeMap::new(),
        texts: BTreeMap::new(),
    };
    let of = match filter {
        Filter {
            sitting: Some(id), ..
        } => Of::Sitting(id),
        Filter { form: Some(id), .. } => Of::Form(id),
        Filter {
            candidate: Some(id),
            ..
        } => Of::Candidate(id),
        _ => Of::All,
    };
    // Entries come sitting by sitting, and not every sitting has results.
    let mut told = Told::default();
    store.each_entry(of, &mut |entry| {
        if entry.sitting != told.sitting {
            found.add(library, std::mem::take(&mut told), &mut newest);
            told.sitting.clone_from(&entry.sitting);
        }
        told.see(entry);
        Ok(())
    })?;
    found.add(library, told, &mut newest);
    // Results whose entries are gone: `verify` names them.
    for sitting in newest.keys().cloned().collect::<Vec<_>>() {
        let told = Told {
            sitting,
            ..Told::default()
        };
        found.add(library, told, &mut newest);
    }
    Ok(found)
}

impl Found {
    /// Adds a sitting, where it has results.
    fn add(
        &mut self,
        library: &Library,
        told: Told,
        newest: &mut BTreeMap<String, BTreeMap<u32, ResultRow>>,
    ) {
        let Some(tasks) = newest.remove(&told.sitting) else {
            return;
        };
        let rows = tasks.values().map(|row| result(library, row, &told));
        self.rows.extend(rows);
        if let Some(text) = told.form_sha256 {
            *self.texts.entry(text).or_default() += 1;
        }
        if let Some(verdict) = told.verdict {
            self.verdicts.insert(told.sitting, verdict);
        }
    }
}

/// What the entries of a sitting tell besides its rows.
#[derive(Default)]
struct Told {
    sitting: String,
    /// When the entry before was written, Unix ms.
    before_ms: Option<i64>,
    /// When each task was begun and ended, Unix ms: from the entry before its first to its last.
    times_ms: BTreeMap<u32, (i64, i64)>,
    /// Confidences stated at each task, with whether it was so.
    confidences: BTreeMap<u32, Vec<(f64, bool)>>,
    verdict: Option<Verdict>,
    /// SHA-256 of the form's text as it was sat.
    form_sha256: Option<String>,
}

/// What is read of any entry's body.
#[derive(Default, Deserialize)]
struct Body {
    task: Option<u32>,
    #[serde(default)]
    confidences: Vec<(f64, bool)>,
    passed: Option<bool>,
    #[serde(default)]
    reasons: Vec<String>,
    form_sha256: Option<String>,
}

impl Told {
    fn see(&mut self, entry: Entry) {
        let body: Body = serde_json::from_str(&entry.body).unwrap_or_default();
        self.form_sha256 = self.form_sha256.take().or(body.form_sha256);
        let before_ms = *self.before_ms.get_or_insert(entry.wall_ms);
        match (entry.kind.as_str(), body.task) {
            (FINISHED, _) => {
                self.verdict = body.passed.map(|passes| Verdict {
                    passes,
                    reasons: body.reasons,
                });
            }
            (GRADED, Some(task)) => drop(self.confidences.insert(task, body.confidences)),
            (_, Some(task)) => {
                let times = self.times_ms.entry(task);
                times.or_insert((before_ms, before_ms)).1 = entry.wall_ms;
                self.before_ms = Some(entry.wall_ms);
            }
            _ => {}
        }
    }
}

fn result(library: &Library, row: &ResultRow, told: &Told) -> TaskResult {
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
    let confidences = told.confidences.get(&row.task).into_iter().flatten();
    let times_ms = told.times_ms.get(&row.task).copied();
    let (began_ms, ended_ms) = times_ms.unwrap_or((row.wall_ms, row.wall_ms));
    TaskResult {
        sitting: row.sitting.clone(),
        candidate: row.candidate.clone(),
        form: row.form.clone(),
        task: row.task,
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
            .map(|(stated, is_so)| Confidence {
                stated: *stated,
                is_so: *is_so,
            })
            .collect(),
        wall_ms: u64::try_from(ended_ms - began_ms).unwrap_or(0),
        ended_unix_s: ended_ms / 1000,
    }
}
