//! A graded task as a row, to be counted and averaged.
//!
//! A row is what its "graded" entry says, and can be made again from it at any time.

use serde::{Deserialize, Serialize};

use super::StoreError;
use super::entry::Entry;

/// A task's result. Grading again by another program adds a row; both are kept.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ResultRow {
    /// The sitting's id.
    pub sitting: String,
    /// The task's place in the form, from 1.
    pub task: u32,
    /// The form's id.
    pub form: String,
    /// The candidate's id, which tells nothing of the person.
    pub candidate: String,
    /// `case` or `question`.
    pub kind: String,
    /// The id of the case or question.
    pub item: String,
    /// What was answered or concluded.
    pub answer: String,
    /// Whether that was right.
    pub right: bool,
    /// The mark, 0 to 100.
    pub mark: f64,
    /// The diagnosis' part of it, 0 to 100.
    pub diagnosis: f64,
    /// The evidence's part, 0 to 100.
    pub evidence: f64,
    /// The confidences' part, 0 to 100.
    pub calibration: f64,
    /// Efficiency, 0 to 100.
    pub efficiency: f64,
    /// Safety, 0 to 100.
    pub safety: f64,
    /// Hints taken.
    pub hints: u32,
    /// Slips that nothing else makes good.
    pub grave_slips: u32,
    /// Whether the cue that tells most was taken, where there is one.
    pub key_cue: Option<bool>,
    /// Ids of competencies, with commas between.
    pub competencies: String,
    /// Time on the shop's clock, s.
    pub shop_s: f64,
    /// The program's version that graded it.
    pub program: String,
    /// When it was graded, Unix ms.
    pub wall_ms: i64,
}

impl ResultRow {
    /// What a "graded" entry says.
    ///
    /// # Errors
    /// The body lacks a field, or is about another sitting.
    pub fn of(entry: &Entry) -> Result<Self, StoreError> {
        let bad = |why: String| StoreError::BadDraft(format!("its body is no result: {why}"));
        let row: Self = serde_json::from_str(&entry.body).map_err(|why| bad(why.to_string()))?;
        if row.sitting != entry.sitting {
            return Err(bad(format!("it is about the sitting {:?}", row.sitting)));
        }
        let texts = [
            &row.form,
            &row.candidate,
            &row.kind,
            &row.item,
            &row.answer,
            &row.competencies,
            &row.program,
        ];
        // PostgreSQL keeps no such text, and both stores have to hold the same.
        if texts.iter().any(|text| text.contains('\0')) {
            return Err(bad("a text has a NUL character".to_owned()));
        }
        Ok(row)
    }
}
