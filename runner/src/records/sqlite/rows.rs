//! Rows of the file as our types.

use rusqlite::Row;

use super::super::{Entry, ResultRow};

/// A count; one below zero was put there by somebody else: it reads as 0, which no entry has.
pub fn count(row: &Row<'_>, column: usize) -> rusqlite::Result<u64> {
    let number: i64 = row.get(column)?;
    Ok(u64::try_from(number).unwrap_or(0))
}

pub fn entry(row: &Row<'_>) -> rusqlite::Result<Entry> {
    Ok(Entry {
        sitting: row.get(0)?,
        number: count(row, 1)?,
        kind: row.get(2)?,
        body: row.get(3)?,
        key: row.get(4)?,
        wall_ms: row.get(5)?,
        link: row.get(6)?,
    })
}

pub fn result(row: &Row<'_>) -> rusqlite::Result<(u64, ResultRow)> {
    let number = count(row, 1)?;
    let row = ResultRow {
        sitting: row.get(0)?,
        task: row.get(2)?,
        form: row.get(3)?,
        candidate: row.get(4)?,
        kind: row.get(5)?,
        item: row.get(6)?,
        answer: row.get(7)?,
        right: row.get(8)?,
        mark: row.get(9)?,
        diagnosis: row.get(10)?,
        evidence: row.get(11)?,
        calibration: row.get(12)?,
        efficiency: row.get(13)?,
        safety: row.get(14)?,
        hints: row.get(15)?,
        grave_slips: row.get(16)?,
        key_cue: row.get(17)?,
        competencies: row.get(18)?,
        shop_s: row.get(19)?,
        program: row.get(20)?,
        wall_ms: row.get(21)?,
    };
    Ok((number, row))
}
