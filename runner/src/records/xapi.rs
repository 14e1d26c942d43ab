//! Results as statements in the form of IEEE 9274.1.1 (xAPI): what 1.0.3 and 2.0 share.
//!
//! An actor, a verb, an object and a result each; nothing is null, scores are scaled from -1 to 1, and people
//! are accounts of this office by an id that tells nothing of them. The rules are from memory; the verbs are
//! those of the standard's own published vocabulary.

use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use super::{PublicKey, ResultRow, StoreError, hex};

/// Where the published verbs stand.
const VERBS: &str = "http://adlnet.gov/expapi/verbs/";
/// Kinds of activities of the same vocabulary.
const ACTIVITIES: &str = "http://adlnet.gov/expapi/activities/";
/// What names of ours begin with. Nothing stands there: `.invalid` is kept free for such names (RFC 2606).
const OURS: &str = "https://coldtrail.invalid/";

/// Finished sittings with what was decided: sitting, form, candidate, whether it passed, mark 0 to 100, Unix ms.
#[derive(Clone, Debug, PartialEq)]
pub struct Decided {
    /// The sitting's id.
    pub sitting: String,
    /// The form's id.
    pub form: String,
    /// The candidate's id.
    pub candidate: String,
    /// Whether it passed.
    pub passed: bool,
    /// The mark, 0 to 100.
    pub mark: f64,
    /// When, Unix ms.
    pub wall_ms: i64,
}

/// A statement about a task.
///
/// # Errors
/// Its time is none.
pub fn of_task(office: &PublicKey, row: &ResultRow) -> Result<Value, StoreError> {
    let kind = if row.kind == "case" {
        "simulation"
    } else {
        "question"
    };
    statement(&Said {
        office,
        id: &["task", &row.sitting, &row.task.to_string(), &row.program],
        candidate: &row.candidate,
        verb: if row.kind == "case" {
            "completed"
        } else {
            "answered"
        },
        object: format!("{OURS}{}/{}", row.kind, row.item),
        kind,
        name: &row.item,
        within: Some(format!("{OURS}form/{}", row.form)),
        success: row.right,
        mark: row.mark,
        seconds: (row.shop_s > 0.0).then_some(row.shop_s),
        wall_ms: row.wall_ms,
    })
}

/// A statement about a sitting.
///
/// # Errors
/// Its time is none.
pub fn of_sitting(office: &PublicKey, decided: &Decided) -> Result<Value, StoreError> {
    statement(&Said {
        office,
        id: &["sitting", &decided.sitting],
        candidate: &decided.candidate,
        verb: if decided.passed { "passed" } else { "failed" },
        object: format!("{OURS}form/{}", decided.form),
        kind: "assessment",
        name: &decided.form,
        within: None,
        success: decided.passed,
        mark: decided.mark,
        seconds: None,
        wall_ms: decided.wall_ms,
    })
}

/// What a statement says.
struct Said<'a> {
    office: &'a PublicKey,
    id: &'a [&'a str],
    candidate: &'a str,
    verb: &'a str,
    object: String,
    kind: &'a str,
    name: &'a str,
    within: Option<String>,
    success: bool,
    mark: f64,
    seconds: Option<f64>,
    wall_ms: i64,
}

fn statement(said: &Said<'_>) -> Result<Value, StoreError> {
    let moment = jiff::Timestamp::from_millisecond(said.wall_ms);
    let moment = moment.map_err(|why| StoreError::Output(why.to_string()))?;
    let mut result = json!({
        "score": { "scaled": said.mark / 100.0, "raw": said.mark, "min": 0, "max": 100 },
        "success": said.success,
        "completion": true,
    });
    if let Some(seconds) = said.seconds {
        result["duration"] = json!(format!("PT{seconds:.0}S"));
    }
    let mut statement = json!({
        "id": uuid(said.office, said.id),
        "actor": {
            "objectType": "Agent",
            "account": {
                "homePage": format!("{OURS}office/{}", said.office),
                "name": said.candidate,
            },
        },
        "verb": {
            "id": format!("{VERBS}{}", said.verb),
            "display": { "en": said.verb },
        },
        "object": {
            "objectType": "Activity",
            "id": said.object,
            "definition": {
                "type": format!("{ACTIVITIES}{}", said.kind),
                "name": { "en": said.name },
            },
        },
        "result": result,
        "timestamp": moment.to_string(),
    });
    if let Some(form) = &said.within {
        statement["context"] = json!({
            "contextActivities": { "parent": [{ "objectType": "Activity", "id": form }] },
        });
    }
    Ok(statement)
}

/// An id that is the same whenever the same thing is said: a UUID of version 8 (RFC 9562), from a hash.
fn uuid(office: &PublicKey, parts: &[&str]) -> String {
    let mut hasher = Sha256::new();
    hasher.update(b"coldtrail statement 1");
    hasher.update(office.0);
    for part in parts {
        hasher.update((part.len() as u64).to_be_bytes());
        hasher.update(part);
    }
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&hasher.finalize()[..16]);
    bytes[6] = (bytes[6] & 0x0f) | 0x80;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    let digits = hex(&bytes);
    let [a, b, c, d] = [
        &digits[..8],
        &digits[8..12],
        &digits[12..16],
        &digits[16..20],
    ];
    format!("{a}-{b}-{c}-{d}-{}", &digits[20..])
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use super::*;

    fn row(kind: &str) -> ResultRow {
        ResultRow {
            sitting: "s1".to_owned(),
            task: 2,
            form: "short".to_owned(),
            candidate: "c1".to_owned(),
            kind: kind.to_owned(),
            item: "school-run".to_owned(),
            answer: "fan-dead".to_owned(),
            right: false,
            mark: 37.5,
            diagnosis: 0.0,
            evidence: 100.0,
            calibration: 0.0,
            efficiency: 50.0,
            safety: 100.0,
            hints: 0,
            grave_slips: 0,
            key_cue: None,
            competencies: String::new(),
            shop_s: if kind == "case" { 754.0 } else { 0.0 },
            program: "1".to_owned(),
            wall_ms: 1_795_000_000_123,
        }
    }

    /// The rules of a statement, from memory of the standard: what must be there, what a name may be, how
    /// scores, times and ids look, and that nothing is null.
    fn check(statement: &Value) {
        let known = [
            "id",
            "actor",
            "verb",
            "object",
            "result",
            "context",
            "timestamp",
        ];
        for (name, value) in statement.as_object().unwrap() {
            assert!(known.contains(&name.as_str()), "{name}");
            assert!(!value.is_null(), "{name}");
        }
        assert!(!statement.to_string().contains("null"));
        let iri = |place: &str| {
            let name = statement.pointer(place).and_then(Value::as_str).unwrap();
            let (scheme, rest) = name.split_once("://").unwrap();
            assert!(
                ["http", "https"].contains(&scheme) && !rest.is_empty(),
                "{name}"
            );
            assert!(name.chars().all(|c| c.is_ascii_graphic()), "{name}");
        };
        iri("/actor/account/homePage");
        iri("/verb/id");
        iri("/object/id");
        iri("/object/definition/type");
        assert!(statement["actor"]["account"]["name"].is_string());
        let scaled = statement["result"]["score"]["scaled"].as_f64().unwrap();
        assert!((-1.0..=1.0).contains(&scaled));
        let score = &statement["result"]["score"];
        let of = |name: &str| score[name].as_f64().unwrap();
        assert!(of("min") <= of("raw") && of("raw") <= of("max") && of("min") < of("max"));
        let id: Vec<usize> = statement["id"]
            .as_str()
            .unwrap()
            .split('-')
            .map(str::len)
            .collect();
        assert_eq!(id, [8, 4, 4, 4, 12]);
        let time = statement["timestamp"].as_str().unwrap();
        assert!(
            time.parse::<jiff::Timestamp>().is_ok() && time.ends_with('Z'),
            "{time}"
        );
    }

    #[test]
    fn statements_keep_the_rules() {
        let office = PublicKey([7; 32]);
        let case = of_task(&office, &row("case")).unwrap();
        let question = of_task(&office, &row("question")).unwrap();
        let sitting = of_sitting(
            &office,
            &Decided {
                sitting: "s1".to_owned(),
                form: "short".to_owned(),
                candidate: "c1".to_owned(),
                passed: true,
                mark: 100.0,
                wall_ms: 0,
            },
        )
        .unwrap();
        for one in [&case, &question, &sitting] {
            check(one);
        }
        assert_eq!(case["result"]["duration"], "PT754S");
        assert_eq!(question["result"].get("duration"), None);
        assert_eq!(
            sitting["verb"]["id"],
            "http://adlnet.gov/expapi/verbs/passed"
        );
        // Said again it is the same statement; another task's is another.
        assert_eq!(case, of_task(&office, &row("case")).unwrap());
        let mut other = row("case");
        other.task = 3;
        assert_ne!(case["id"], of_task(&office, &other).unwrap()["id"]);
    }
}
