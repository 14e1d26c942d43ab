//! Results as statements in the form of IEEE 9274.1.1 (xAPI): what 1.0.3 and 2.0 share.
//!
//! An actor, a verb, an object and a result each; nothing is null, scores are scaled from -1 to 1, and people
//! are accounts of this office by an id that tells nothing of them. `tests/xapi.rs` holds statements against the
//! published rules (xAPI 1.0.3, part two) and a published validator; the verbs are those of the standard's own
//! vocabulary.

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
/// Its time is none, or before the year 0.
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
        object: iri(&row.kind, &row.item),
        kind,
        name: &row.item,
        within: Some(iri("form", &row.form)),
        success: row.right,
        mark: row.mark,
        seconds: (row.shop_s > 0.0 && row.shop_s.is_finite()).then_some(row.shop_s),
        wall_ms: row.wall_ms,
    })
}

/// A statement about a sitting.
///
/// # Errors
/// Its time is none, or before the year 0.
pub fn of_sitting(office: &PublicKey, decided: &Decided) -> Result<Value, StoreError> {
    statement(&Said {
        office,
        id: &["sitting", &decided.sitting],
        candidate: &decided.candidate,
        verb: if decided.passed { "passed" } else { "failed" },
        object: iri("form", &decided.form),
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
    let moment = moment.to_string();
    if moment.starts_with('-') {
        // RFC 3339 has no such years.
        return Err(StoreError::Output(format!("{moment} is before the year 0")));
    }
    let mut result = json!({ "success": said.success, "completion": true });
    // What another office signed may hold any number; one that is no mark is not told as one.
    if (0.0..=100.0).contains(&said.mark) {
        result["score"] =
            json!({ "scaled": said.mark / 100.0, "raw": said.mark, "min": 0, "max": 100 });
    }
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
        "timestamp": moment,
    });
    if let Some(form) = &said.within {
        statement["context"] = json!({
            "contextActivities": { "parent": [{ "objectType": "Activity", "id": form }] },
        });
    }
    Ok(statement)
}

/// A name of ours for a thing of a kind. What a path may not hold as it is stands there byte by byte (RFC 3986,
/// 2.1): ids are plain here, and those that come from another office need not be.
fn iri(kind: &str, id: &str) -> String {
    let mut name = OURS.to_owned();
    for (index, part) in [kind, id].iter().enumerate() {
        if index > 0 {
            name.push('/');
        }
        for byte in part.bytes() {
            if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
                name.push(char::from(byte));
            } else {
                name.push_str(&format!("%{byte:02X}"));
            }
        }
    }
    name
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
