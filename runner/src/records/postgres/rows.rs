//! Rows of the server as our types, and back.

use postgres::types::ToSql;
use postgres::{Error, Row};

use super::super::store::{Erased, Person, Sitting};
use super::super::{Entry, ResultRow};

/// A count as the server keeps it; what is beyond its range never occurs, and stays at its end.
pub fn whole(number: u64) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

/// A count from the server. One below zero was put there by somebody else: it reads as 0, which no entry has.
fn count(row: &Row, column: usize) -> Result<u64, Error> {
    let number: i64 = row.try_get(column)?;
    Ok(u64::try_from(number).unwrap_or(0))
}

fn small(row: &Row, column: usize) -> Result<u32, Error> {
    Ok(u32::try_from(count(row, column)?).unwrap_or(u32::MAX))
}

/// A link; one of another length was put there by somebody else, and is none that a hash could be.
fn link(row: &Row, column: usize) -> Result<[u8; 32], Error> {
    let bytes: Vec<u8> = row.try_get(column)?;
    Ok(bytes.try_into().unwrap_or([0; 32]))
}

pub fn entry(row: &Row) -> Result<Entry, Error> {
    Ok(Entry {
        sitting: row.try_get(0)?,
        number: count(row, 1)?,
        kind: row.try_get(2)?,
        body: row.try_get(3)?,
        key: row.try_get(4)?,
        wall_ms: row.try_get(5)?,
        link: link(row, 6)?,
    })
}

pub fn result(row: &Row) -> Result<(u64, ResultRow), Error> {
    let result = ResultRow {
        sitting: row.try_get(0)?,
        task: small(row, 2)?,
        form: row.try_get(3)?,
        candidate: row.try_get(4)?,
        kind: row.try_get(5)?,
        item: row.try_get(6)?,
        answer: row.try_get(7)?,
        right: row.try_get(8)?,
        mark: row.try_get(9)?,
        diagnosis: row.try_get(10)?,
        evidence: row.try_get(11)?,
        calibration: row.try_get(12)?,
        efficiency: row.try_get(13)?,
        safety: row.try_get(14)?,
        hints: small(row, 15)?,
        grave_slips: small(row, 16)?,
        key_cue: row.try_get(17)?,
        competencies: row.try_get(18)?,
        shop_s: row.try_get(19)?,
        program: row.try_get(20)?,
        wall_ms: row.try_get(21)?,
    };
    Ok((count(row, 1)?, result))
}

/// Gives a result's values to a statement, in the order of its columns.
pub fn with_values<T>(
    number: u64,
    row: &ResultRow,
    give: impl FnOnce(&[&(dyn ToSql + Sync)]) -> T,
) -> T {
    give(&[
        &row.sitting,
        &whole(number),
        &i64::from(row.task),
        &row.form,
        &row.candidate,
        &row.kind,
        &row.item,
        &row.answer,
        &row.right,
        &row.mark,
        &row.diagnosis,
        &row.evidence,
        &row.calibration,
        &row.efficiency,
        &row.safety,
        &i64::from(row.hints),
        &i64::from(row.grave_slips),
        &row.key_cue,
        &row.competencies,
        &row.shop_s,
        &row.program,
        &row.wall_ms,
    ])
}

pub fn sitting(row: &Row) -> Result<Sitting, Error> {
    Ok(Sitting {
        id: row.try_get(0)?,
        form: row.try_get(1)?,
        candidate: row.try_get(2)?,
        started_ms: row.try_get(3)?,
        count: count(row, 4)?,
        link: link(row, 5)?,
    })
}

pub fn person(row: &Row) -> Result<Person, Error> {
    Ok(Person {
        id: row.try_get(0)?,
        name: row.try_get(1)?,
    })
}

pub fn erased(row: &Row) -> Result<Erased, Error> {
    Ok(Erased {
        sitting: row.try_get(0)?,
        count: count(row, 1)?,
        wall_ms: row.try_get(2)?,
        signature: row.try_get(3)?,
    })
}
