//! A sitting that an office keeps: begun or gone on with, marked, and signed.

use scenarios::Library;
use scenarios::form::Form;
use scenarios::units::UnitSystem;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use super::keeper::{Kept, Words};
use crate::assess::{Marked, Parts, Sitting, Step, Verdict, is_grave, reasons};
use crate::cli::Units;
use crate::records::entry::{FINISHED, GRADED, STARTED};
use crate::records::keys::Seed;
use crate::records::{Entry, Office, Person, ResultRow, hex};

/// The longest name of a person, characters.
const LONGEST_NAME: usize = 100;

/// The body of a sitting's first entry.
#[derive(Debug, Deserialize, Serialize)]
pub(crate) struct Started {
    /// The form's id.
    pub form: String,
    /// SHA-256 of its text.
    pub form_sha256: String,
    /// The candidate's id, which tells nothing of the person.
    pub candidate: String,
    /// Which attempt of this candidate at this form it is, from 1.
    pub attempt: u32,
    /// What was made known of the seed before the start.
    pub commitment: String,
    /// Units shown.
    pub units: String,
    /// The program that deals the cars.
    pub program: String,
    /// SHA-256 of what was dealt; none in records of before it was kept.
    #[serde(default)]
    pub dealt_sha256: Option<String>,
}

/// The program that deals cars and marks them, with the version of its simulator.
pub(crate) const PROGRAM: &str = concat!(env!("CARGO_PKG_VERSION"), " ", env!("SIMULATOR_VERSION"));

/// The id of a person, who is written down where they are new.
fn person(office: &Office, name: &str) -> Result<String, String> {
    // Two spaces are typed as easily as one, and make nobody somebody else.
    let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
    let hidden = name.chars().any(scenarios::load::is_hidden);
    if name.is_empty() || hidden || name.chars().count() > LONGEST_NAME {
        return Err(format!(
            "a candidate's name has 1 to {LONGEST_NAME} characters that can be seen"
        ));
    }
    let mut store = office.store();
    let people = store.people().map_err(|why| why.to_string())?;
    if let Some(known) = people.iter().find(|person| person.name == name) {
        return Ok(known.id.clone());
    }
    let mut bytes = [0; 8];
    getrandom::fill(&mut bytes).map_err(|why| format!("the system draws no number: {why}"))?;
    let new = Person {
        id: hex(&bytes),
        name,
    };
    store.name_person(&new).map_err(|why| why.to_string())?;
    Ok(new.id)
}

/// The id of an attempt: two programs that begin the same one meet at its first entry.
fn sitting_id(form: &str, candidate: &str, attempt: u32) -> String {
    let mut hasher = Sha256::new();
    for field in [form, candidate, &attempt.to_string()] {
        hasher.update((field.len() as u64).to_be_bytes());
        hasher.update(field);
    }
    hex(&hasher.finalize()[..8])
}

/// Begins a candidate's sitting, or takes up the one that broke off. With `again` one that is over is
/// followed by another.
pub(super) fn open<'a, 'o>(
    (library, form): (&'a Library, &'a Form),
    office: &'o Office,
    (name, again): (&str, bool),
    units: Units,
    now_ms: i64,
) -> Result<(Sitting<'a>, Kept<'o>), String> {
    let candidate = person(office, name)?;
    for attempt in 1.. {
        let id = sitting_id(&form.id, &candidate, attempt);
        let entries = office.journal().take_up(&id);
        let entries = entries.map_err(|why| why.to_string())?;
        if entries.iter().any(|entry| entry.kind == FINISHED) {
            if again {
                continue;
            }
            return Err(format!(
                "{name} has finished this form: `coldtrail records show {id}` tells of it, and `--again` deals another"
            ));
        }
        let mut kept = Kept::of(office, id, &entries);
        if !entries.is_empty() {
            let started = Started::of(&entries)?;
            if started.program != PROGRAM {
                return Err(format!(
                    "this sitting was begun with another version of the program ({}): end it with that one",
                    started.program
                ));
            }
            kept.commitment.clone_from(&started.commitment);
            return Ok((self::again(library, office, &entries)?, kept));
        }
        let mut started = Started {
            form: form.id.clone(),
            form_sha256: hex(&hash_of(form)),
            candidate,
            attempt,
            commitment: String::new(),
            units: units_name(units).to_owned(),
            program: PROGRAM.to_owned(),
            dealt_sha256: None,
        };
        let drawn = started.seed(office, form);
        kept.commitment.clone_from(&drawn.commitment);
        started.commitment = drawn.commitment;
        let seeded = (drawn.seed, units.into());
        let dealt = Sitting::new(library, form, seeded, now_ms).map_err(|why| why.to_string())?;
        started.dealt_sha256 = Some(hex(&dealt.fingerprint()));
        let body = serde_json::to_string(&started).map_err(|why| why.to_string())?;
        // The clock of the wall runs from the moment that is written.
        let started_ms = kept.append(STARTED, body, now_ms)?.wall_ms;
        let sitting = Sitting::new(library, form, seeded, started_ms);
        return Ok((sitting.map_err(|why| why.to_string())?, kept));
    }
    Err("there are too many attempts".to_owned())
}

/// SHA-256 of a form's text.
pub(crate) fn hash_of(form: &Form) -> [u8; 32] {
    Sha256::digest(&form.text).into()
}

impl Started {
    /// What a sitting's first entry says.
    fn of(entries: &[Entry]) -> Result<Self, String> {
        let first = entries
            .first()
            .ok_or("no sitting is called so; `coldtrail records list` names them")?;
        serde_json::from_str(&first.body)
            .map_err(|why| format!("the start of this sitting cannot be read: {why}"))
    }

    /// The seed of its tasks.
    fn seed(&self, office: &Office, form: &Form) -> Seed {
        let of = format!("{}/{}", self.candidate, self.attempt);
        office.keys().seed(&form.id, &hash_of(form), &of)
    }

    fn units(&self) -> UnitSystem {
        if self.units == units_name(Units::Us) {
            UnitSystem::Us
        } else {
            UnitSystem::Si
        }
    }
}

fn units_name(units: Units) -> &'static str {
    match units {
        Units::Si => "si",
        Units::Us => "us",
    }
}

/// A sitting as its entries have it.
fn followed<'a>(mut sitting: Sitting<'a>, entries: &[Entry]) -> Result<Sitting<'a>, String> {
    for entry in entries.iter().skip(1) {
        let cannot = |why: &dyn std::fmt::Display| {
            format!(
                "entry {} of this sitting cannot be followed: {why}; `coldtrail records verify` looks for what was changed",
                entry.number
            )
        };
        // Grades and the verdict are no steps of the candidate's.
        if [GRADED, FINISHED].contains(&entry.kind.as_str()) {
            continue;
        }
        let words: Words = serde_json::from_str(&entry.body).map_err(|why| cannot(&why))?;
        if let Some(step) = Step::read(&entry.kind, &words.words).map_err(|why| cannot(&why))? {
            sitting
                .take(&step, entry.wall_ms)
                .map_err(|why| cannot(&why))?;
        }
    }
    Ok(sitting)
}

/// A sitting that was kept, from its entries.
///
/// # Errors
/// A sentence where its form is not here, or its entries cannot be followed.
pub(crate) fn again<'a>(
    library: &'a Library,
    office: &Office,
    entries: &[Entry],
) -> Result<Sitting<'a>, String> {
    let started = Started::of(entries)?;
    let form = library.form(&started.form);
    let form = form.filter(|form| hex(&hash_of(form)) == started.form_sha256);
    let form = form.ok_or_else(|| {
        format!(
            "the form `{}` of this sitting is not here as it was then: put the old one back, or bring it with --bundle PATH",
            started.form
        )
    })?;
    let seed = started.seed(office, form).seed;
    let started_ms = entries.first().map_or(0, |entry| entry.wall_ms);
    let sitting = Sitting::new(library, form, (seed, started.units()), started_ms);
    let sitting = sitting.map_err(|why| why.to_string())?;
    let dealt = hex(&sitting.fingerprint());
    if started.dealt_sha256.is_some_and(|then| then != dealt) {
        return Err(format!(
            "the cases and questions of the form `{}` are not here as they were then, so this would be another car: put the old ones back, or bring them with --bundle PATH",
            started.form
        ));
    }
    followed(sitting, entries)
}

/// Marks a finished sitting again, where this version of the program has not marked it yet; the marks that
/// are there stay. Returns how many tasks were marked.
///
/// # Errors
/// A sentence where they cannot be kept.
pub(crate) fn mark_again(
    sitting: &Sitting<'_>,
    office: &Office,
    id: &str,
    marked: &[Marked],
    now_ms: i64,
) -> Result<usize, String> {
    let entries = office.journal().take_up(id);
    let entries = entries.map_err(|why| why.to_string())?;
    Kept::of(office, id.to_owned(), &entries).grades(sitting, &entries, marked, now_ms)
}

impl Kept<'_> {
    /// Keeps what the tasks were worth that this version of the program has not marked yet; returns how many.
    fn grades(
        &mut self,
        sitting: &Sitting<'_>,
        entries: &[Entry],
        marked: &[Marked],
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
            self.graded((&sitting.form().id, &candidate), (task, one), now_ms)?;
            count += 1;
        }
        Ok(count)
    }

    /// Keeps what a task was worth.
    fn graded(
        &mut self,
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
        self.append(GRADED, body.to_string(), now_ms).map(drop)
    }
}

/// Writes marks and verdict down; the last entry is signed.
pub(super) fn finish(
    sitting: &Sitting<'_>,
    kept: &mut Kept<'_>,
    (marked, verdict): (&[Marked], &Verdict),
    now_ms: i64,
) -> Result<(), String> {
    let entries = kept.office.journal().take_up(&kept.sitting);
    let entries = entries.map_err(|why| why.to_string())?;
    kept.grades(sitting, &entries, marked, now_ms)?;
    let body = json!({
        "passed": verdict.passed,
        "mark": verdict.mark,
        "gate": verdict.gate.passed,
        "reasons": reasons(sitting.library(), sitting.form(), verdict),
        "program": PROGRAM,
    });
    kept.append(FINISHED, body.to_string(), now_ms).map(drop)
}

fn row_of(
    kept: &Kept<'_>,
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
