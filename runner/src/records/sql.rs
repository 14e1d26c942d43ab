//! The statements, written so that both databases take them: `$1` to `$n`, used in order.

use super::store::{Filter, Of};

pub const ADD_SITTING: &str = "INSERT INTO sitting (id, form, candidate, started_ms) VALUES ($1, $2, $3, $4) ON CONFLICT DO NOTHING";

pub const ADD_ENTRY: &str = "INSERT INTO entry (sitting, number, kind, body, key, wall_ms, link) VALUES ($1, $2, $3, $4, $5, $6, $7) ON CONFLICT DO NOTHING";

/// Many entries in one statement, which only PostgreSQL knows and needs: its statements are a journey each.
pub const ADD_ENTRIES: &str = "INSERT INTO entry (sitting, number, kind, body, key, wall_ms, link) SELECT * FROM unnest($1::text[], $2::bigint[], $3::text[], $4::text[], $5::text[], $6::bigint[], $7::bytea[]) ON CONFLICT DO NOTHING";

pub const LAST: &str = "SELECT sitting, number, kind, body, key, wall_ms, link FROM entry WHERE sitting = $1 ORDER BY number DESC LIMIT 1";

pub const UNDER_KEY: &str = "SELECT sitting, number, kind, body, key, wall_ms, link FROM entry WHERE sitting = $1 AND key = $2";

pub const AT: &str = "SELECT sitting, number, kind, body, key, wall_ms, link FROM entry WHERE sitting = $1 AND number = $2";

pub const IS_GRADED: &str =
    "SELECT number FROM result WHERE sitting = $1 AND task = $2 AND program = $3";

pub const ADD_RESULT: &str = "INSERT INTO result (sitting, number, task, form, candidate, kind, item, answer, is_right, mark, diagnosis, evidence, calibration, efficiency, safety, hints, grave_slips, key_cue, competencies, shop_s, program, wall_ms) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, $19, $20, $21, $22)";

pub const SITTINGS: &str = "SELECT s.id, s.form, s.candidate, s.started_ms, e.number, e.link FROM sitting s JOIN entry e ON e.sitting = s.id AND e.number = (SELECT max(number) FROM entry WHERE sitting = s.id) ORDER BY s.id";

pub const PEOPLE: &str = "SELECT id, name FROM person ORDER BY id";

pub const NAME_PERSON: &str = "INSERT INTO person (id, name) VALUES ($1, $2) ON CONFLICT (id) DO UPDATE SET name = excluded.name";

pub const ERASE_PERSON: &str = "DELETE FROM person WHERE id = $1";

/// What is erased of a sitting, in this order.
pub const ERASE_SITTING: [&str; 3] = [
    "DELETE FROM result WHERE sitting = $1",
    "DELETE FROM entry WHERE sitting = $1",
    "DELETE FROM sitting WHERE id = $1",
];

pub const ADD_ERASED: &str =
    "INSERT INTO erased (sitting, count, wall_ms, signature) VALUES ($1, $2, $3, $4)";

pub const ERASED: &str = "SELECT sitting, count, wall_ms, signature FROM erased ORDER BY sitting";

/// Entries by sitting and number, and the values for `$1` to `$n`.
pub fn entries(of: Of<'_>) -> (String, Vec<&str>) {
    let (condition, values) = match of {
        Of::All => ("", Vec::new()),
        Of::Sitting(id) => ("WHERE sitting = $1 ", vec![id]),
        Of::Form(id) => (
            "WHERE sitting IN (SELECT id FROM sitting WHERE form = $1) ",
            vec![id],
        ),
        Of::LastOfForm(id) => (
            "WHERE (sitting, number) IN (SELECT sitting, max(number) FROM entry WHERE sitting IN (SELECT id FROM sitting WHERE form = $1) GROUP BY sitting) ",
            vec![id],
        ),
        Of::KindOfForm(kind, id) => (
            "WHERE kind = $1 AND sitting IN (SELECT id FROM sitting WHERE form = $2) ",
            vec![kind, id],
        ),
        Of::Candidate(id) => (
            "WHERE sitting IN (SELECT id FROM sitting WHERE candidate = $1) ",
            vec![id],
        ),
    };
    let statement = format!(
        "SELECT sitting, number, kind, body, key, wall_ms, link FROM entry {condition}ORDER BY sitting, number"
    );
    (statement, values)
}

/// A value that a filter asks for.
#[derive(Debug)]
pub enum Asked<'a> {
    Text(&'a String),
    Whole(&'a i64),
}

/// Results by sitting, task and number, and the values for `$1` to `$n`.
pub fn results(filter: &Filter) -> (String, Vec<Asked<'_>>) {
    let texts = [
        ("sitting =", &filter.sitting),
        ("form =", &filter.form),
        ("candidate =", &filter.candidate),
        ("item =", &filter.item),
        ("program =", &filter.program),
    ];
    let times = [
        ("wall_ms >=", &filter.from_ms),
        ("wall_ms <", &filter.until_ms),
    ];
    let texts = texts
        .into_iter()
        .filter_map(|(what, value)| value.as_ref().map(|value| (what, Asked::Text(value))));
    let times = times
        .into_iter()
        .filter_map(|(what, value)| value.as_ref().map(|value| (what, Asked::Whole(value))));
    let (mut conditions, mut values) = (Vec::new(), Vec::new());
    for (number, (what, value)) in texts.chain(times).enumerate() {
        conditions.push(format!("{what} ${}", number + 1));
        values.push(value);
    }
    let condition = if conditions.is_empty() {
        String::new()
    } else {
        format!("WHERE {} ", conditions.join(" AND "))
    };
    let statement = format!(
        "SELECT sitting, number, task, form, candidate, kind, item, answer, is_right, mark, diagnosis, evidence, calibration, efficiency, safety, hints, grave_slips, key_cue, competencies, shop_s, program, wall_ms FROM result {condition}ORDER BY sitting, task, number"
    );
    (statement, values)
}
