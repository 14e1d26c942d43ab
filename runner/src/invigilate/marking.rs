//! A sitting's marks and its verdict, kept; the last entry is signed.

use serde_json::{Value, json};

use super::kept::Kept;
use super::open::{PROGRAM, Started};
use crate::assess::{Marked, Parts, Sitting, Verdict, is_grave, reasons};
use crate::records::entry::{FINISHED, GRADED};
use crate::records::{Entry, Office, ResultRow};

/// Marks a finished sitting again, where this version of the program has not marked it yet; the marks that
/// are there stay. Returns how many tasks were marked.
///
/// # Errors
/// A sentence where they cannot be kept.
pub fn mark_again(
    sitting: &Sitting<'_>,
    office: &Office,
    id: &str,
    marked: &[Marked],
    now_ms: i64,
) -> Result<usize, String> {
    let entries = office.journal().take_up(id);
    let entries = entries.map_err(|why| why.to_string())?;
    Kept::after(id.to_owned(), entries.len()).grades(office, sitting, (&entries, marked), now_ms)
}

impl Kept {
    /// Keeps what the tasks were worth that this version of the program has not marked yet; returns how many.
    fn grades(
        &mut self,
        office: &Office,
        sitting: &Sitting<'_>,
        (entries, marked): (&[Entry], &[Marked]),
        now_ms: i64,
    ) -> Result<usize, String> {
        let candidate = Started::of(entries)?.candidate;
        let rows = entries.iter().filter(|entry| entry.kind == GRADED);
        let rows = rows.filter_map(|entry| serde_json::from_str::<ResultRow>(&entry.body).ok());
        let known: Vec<u32> = rows
            .filter(|row| row.program == PROGRAM)
            .map(|row| row.task)
            .collect();
        let mut count = 0;
        for (task, one) in (1..).zip(marked).filter(|(task, _)| !known.contains(task)) {
            self.graded(
                office,
                (&sitting.form().id, &candidate),
                (task, one),
                now_ms,
            )?;
            count += 1;
        }
        Ok(count)
    }

    /// Keeps what a task was worth.
    fn graded(
        &mut self,
        office: &Office,
        (form, candidate): (&str, &str),
        (task, one): (u32, &Marked),
        now_ms: i64,
    ) -> Result<(), String> {
        let row = row_of(self, (form, candidate), (task, one), now_ms);
        let mut body = serde_json::to_value(&row).map_err(|why| why.to_string())?;
        if let (
            Value::Object(body),
            Parts::Case {
                slips,
                confidences,
                repair,
                ..
            },
        ) = (&mut body, &one.parts)
        {
            let names: Vec<&str> = slips.iter().map(|slip| slip.name()).collect();
            body.insert("slips".to_owned(), json!(names));
            body.insert("confidences".to_owned(), json!(confidences));
            body.insert("repair".to_owned(), json!(repair));
        }
        self.append(office, GRADED, body.to_string(), now_ms)
            .map(drop)
    }
}

/// Writes marks and verdict down; the last entry is signed.
///
/// # Errors
/// A sentence where they cannot be kept.
pub fn finish(
    office: &Office,
    (sitting, kept): (&Sitting<'_>, &mut Kept),
    (marked, verdict): (&[Marked], &Verdict),
    now_ms: i64,
) -> Result<(), String> {
    let entries = office.journal().take_up(&kept.sitting);
    let entries = entries.map_err(|why| why.to_string())?;
    kept.grades(office, sitting, (&entries, marked), now_ms)?;
    let body = json!({
        "passed": verdict.passed,
        "mark": verdict.mark,
        "gate": verdict.gate.passed,
        "reasons": reasons(sitting.library(), sitting.form(), verdict),
        "program": PROGRAM,
    });
    kept.append(office, FINISHED, body.to_string(), now_ms)
        .map(drop)
}

fn row_of(
    kept: &Kept,
    (form, candidate): (&str, &str),
    (task, one): (u32, &Marked),
    wall_ms: i64,
) -> ResultRow {
    let mut row = ResultRow {
        sitting: kept.sitting.clone(),
        task,
        form: form.to_owned(),
        candidate: candidate.to_owned(),
        kind: "question".to_owned(),
        item: one.item.clone(),
        answer: one.answer.clone(),
        right: one.right,
        mark: one.mark,
        diagnosis: 0.0,
        evidence: 0.0,
        calibration: 0.0,
        efficiency: 0.0,
        safety: 100.0,
        hints: 0,
        grave_slips: 0,
        key_cue: None,
        competencies: one.competencies.join(","),
        shop_s: 0.0,
        program: PROGRAM.to_owned(),
        wall_ms,
    };
    if let Parts::Case {
        shares,
        hints,
        slips,
        key_cue,
        shop_s,
        ..
    } = &one.parts
    {
        "case".clone_into(&mut row.kind);
        let [diagnosis, evidence, calibration, efficiency] = shares.map(|share| 100.0 * share);
        row.diagnosis = diagnosis;
        row.evidence = evidence;
        row.calibration = calibration;
        row.efficiency = efficiency;
        let cost: f64 = slips.iter().map(|slip| slip.cost()).sum();
        row.safety = (100.0 - cost).max(0.0);
        row.hints = u32::try_from(*hints).unwrap_or(u32::MAX);
        let grave = slips.iter().filter(|slip| is_grave(**slip)).count();
        row.grave_slips = u32::try_from(grave).unwrap_or(u32::MAX);
        row.key_cue = *key_cue;
        row.shop_s = *shop_s;
    }
    row
}
