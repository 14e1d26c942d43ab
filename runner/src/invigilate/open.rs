//! A sitting begun, or gone on with from what was kept of it.

use scenarios::Library;
use scenarios::form::Form;
use scenarios::units::UnitSystem;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

use super::kept::{Kept, Words};
use crate::assess::{Sitting, Step};
use crate::records::entry::{FINISHED, GRADED, STARTED};
use crate::records::keys::Seed;
use crate::records::{Entry, Office, Person, hex};

/// The longest name of a person, characters.
const LONGEST_NAME: usize = 100;

/// The body of a sitting's first entry.
#[derive(Debug, Deserialize, Serialize)]
pub struct Started {
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
pub const PROGRAM: &str = concat!(env!("CARGO_PKG_VERSION"), " ", env!("SIMULATOR_VERSION"));

/// The id of a person, who is written down where they are new.
///
/// # Errors
/// A sentence where it is no name, or cannot be written down.
pub fn person(office: &Office, name: &str) -> Result<String, String> {
    let name = called(name)?;
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

/// A person's name as it is written down.
///
/// # Errors
/// A sentence where it is no name.
pub fn called(name: &str) -> Result<String, String> {
    // Two spaces are typed as easily as one, and make nobody somebody else.
    let name = name.split_whitespace().collect::<Vec<_>>().join(" ");
    let hidden = name.chars().any(scenarios::load::is_hidden);
    if name.is_empty() || hidden || name.chars().count() > LONGEST_NAME {
        return Err(format!(
            "a candidate's name has 1 to {LONGEST_NAME} characters that can be seen"
        ));
    }
    Ok(name)
}

/// The id of an attempt: two programs that begin the same one meet at its first entry.
#[must_use]
pub fn sitting_id(form: &str, candidate: &str, attempt: u32) -> String {
    let mut hasher = Sha256::new();
    for field in [form, candidate, &attempt.to_string()] {
        hasher.update((field.len() as u64).to_be_bytes());
        hasher.update(field);
    }
    hex(&hasher.finalize()[..8])
}

/// What a candidate has at a form.
#[derive(Clone, Debug)]
pub struct Attempt<'c> {
    /// The candidate's id.
    pub candidate: &'c str,
    /// Which attempt of theirs it is, from 1.
    pub number: u32,
    /// Units to show, where it begins now.
    pub units: UnitSystem,
}

/// A sitting, and where it stands in the journal.
pub type Open<'a> = (Sitting<'a>, Kept);

/// Begins a candidate's sitting, or takes up the one that broke off. With `again` one that is over is
/// followed by another.
///
/// # Errors
/// A sentence saying why it cannot be sat.
pub fn open<'a>(
    (library, form): (&'a Library, &'a Form),
    office: &Office,
    (name, again): (&str, bool),
    units: UnitSystem,
    now_ms: i64,
) -> Result<Open<'a>, String> {
    let candidate = person(office, name)?;
    for number in 1.. {
        let id = sitting_id(&form.id, &candidate, number);
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
        if !entries.is_empty() {
            return gone_on(library, office, &id, &entries);
        }
        let attempt = Attempt {
            candidate: &candidate,
            number,
            units,
        };
        return begin((library, form), office, &attempt, now_ms);
    }
    Err("there are too many attempts".to_owned())
}

/// A sitting that was begun, as its entries have it, to go on with.
///
/// # Errors
/// A sentence where they cannot be followed, or were written by another version of the program.
pub fn gone_on<'a>(
    library: &'a Library,
    office: &Office,
    id: &str,
    entries: &[Entry],
) -> Result<Open<'a>, String> {
    let started = Started::of(entries)?;
    if started.program != PROGRAM {
        return Err(format!(
            "this sitting was begun with another version of the program ({}): end it with that one",
            started.program
        ));
    }
    let mut kept = Kept::after(id.to_owned(), entries.len());
    kept.commitment = started.commitment;
    Ok((again(library, office, entries)?, kept))
}

/// Begins an attempt that has no entry yet: its tasks are dealt, and its clock starts.
///
/// # Errors
/// A sentence where a task cannot be dealt, or it cannot be kept.
pub fn begin<'a>(
    (library, form): (&'a Library, &'a Form),
    office: &Office,
    attempt: &Attempt<'_>,
    now_ms: i64,
) -> Result<Open<'a>, String> {
    let id = sitting_id(&form.id, attempt.candidate, attempt.number);
    let mut kept = Kept::after(id, 0);
    let mut started = Started {
        form: form.id.clone(),
        form_sha256: hex(&hash_of(form)),
        candidate: attempt.candidate.to_owned(),
        attempt: attempt.number,
        commitment: String::new(),
        units: units_name(attempt.units).to_owned(),
        program: PROGRAM.to_owned(),
        dealt_sha256: None,
    };
    let drawn = started.seed(office, form);
    kept.commitment.clone_from(&drawn.commitment);
    started.commitment = drawn.commitment;
    let seeded = (drawn.seed, attempt.units);
    let dealt = Sitting::new(library, form, seeded, now_ms).map_err(|why| why.to_string())?;
    started.dealt_sha256 = Some(hex(&dealt.fingerprint()));
    let body = serde_json::to_string(&started).map_err(|why| why.to_string())?;
    // The clock of the wall runs from the moment that is written.
    let started_ms = kept.append(office, STARTED, body, now_ms)?.wall_ms;
    Ok((dealt.from(started_ms), kept))
}

/// SHA-256 of a form's text.
#[must_use]
pub fn hash_of(form: &Form) -> [u8; 32] {
    Sha256::digest(&form.text).into()
}

impl Started {
    /// What a sitting's first entry says.
    ///
    /// # Errors
    /// There is none, or it cannot be read.
    pub fn of(entries: &[Entry]) -> Result<Self, String> {
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
        if self.units == units_name(UnitSystem::Us) {
            UnitSystem::Us
        } else {
            UnitSystem::Si
        }
    }
}

fn units_name(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Si => "si",
        UnitSystem::Us => "us",
    }
}

/// Has a sitting follow entries that came after those it knows.
///
/// # Errors
/// A sentence where one cannot be followed; the sitting is then of no use any more.
pub fn follow(sitting: &mut Sitting<'_>, entries: &[Entry]) -> Result<(), String> {
    for entry in entries {
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
    Ok(())
}

/// A sitting that was kept, from its entries.
///
/// # Errors
/// A sentence where its form is not here, or its entries cannot be followed.
pub fn again<'a>(
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
    let mut sitting = sitting.map_err(|why| why.to_string())?;
    let dealt = hex(&sitting.fingerprint());
    if started.dealt_sha256.is_some_and(|then| then != dealt) {
        return Err(format!(
            "the cases and questions of the form `{}` are not here as they were then, so this would be another car: put the old ones back, or bring them with --bundle PATH",
            started.form
        ));
    }
    follow(&mut sitting, entries.get(1..).unwrap_or_default())?;
    Ok(sitting)
}
