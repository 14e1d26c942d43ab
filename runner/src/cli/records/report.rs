//! `coldtrail records report`: a candidate's two sheets.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

use clap::Args;
use scenarios::form::{Form, NeedOf};
use scenarios::{Bank, Library};

use super::class::facts;
use super::export;
use super::rows::{Found, results};
use crate::assess::{Given, is_grave};
use crate::bay::Bay;
use crate::cache::TourCache;
use crate::cli::bar::Bar;
use crate::figures::calibration::{BINS, curve};
use crate::figures::competency::competencies;
use crate::figures::next::{Subject, next};
use crate::figures::report::candidate::{Candidate, CompetencyLine, SafetyLine, TaskLine};
use crate::figures::report::trace::{Trace, TracePoint};
use crate::figures::rows::{Confidence, Sittings, TaskKind, TaskResult};
use crate::grade::{grade, name_of, played};
use crate::invigilate::open::{PROGRAM, again};
use crate::records::Office;
use crate::records::office::now_ms;
use crate::records::store::Filter;
use crate::safety::SlipKind;

/// What a candidate's sheets are written as.
#[derive(Args, Clone, Debug)]
#[group(required = true, multiple = true)]
pub(super) struct Sheets {
    /// Write HTML that asks for nothing else
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Write a PDF, two sheets of A4
    #[arg(long, value_name = "FILE")]
    pdf: Option<PathBuf>,
}

impl Sheets {
    /// Writes what was asked for: all of it, or nothing where the PDF lacks letters.
    pub(super) fn write(&self, candidate: &Candidate) -> Result<String, String> {
        let mut files: Vec<(&PathBuf, Vec<u8>)> = Vec::new();
        if let Some(file) = &self.html {
            files.push((file, candidate.html().into_bytes()));
        }
        if let Some(file) = &self.pdf {
            let bytes = candidate.pdf().map_err(|why| why.to_string())?;
            files.push((file, bytes));
        }
        let mut text = String::new();
        for (file, bytes) in files {
            export::written(file, &bytes)?;
            let _ = writeln!(text, "{} is written.", file.display());
        }
        Ok(text)
    }
}

/// What the sheets of a finished sitting tell.
pub(super) fn candidate(
    library: &Library,
    office: &Office,
    id: &str,
    tours: &TourCache,
) -> Result<Candidate, String> {
    let failed = |why: crate::records::StoreError| why.to_string();
    let entries = office.store().entries(id).map_err(failed)?;
    let sitting = again(library, office, &entries)?;
    let form: &Form = sitting.form();
    let filter = Filter {
        sitting: Some(id.to_owned()),
        ..Filter::default()
    };
    let Found {
        rows, mut verdicts, ..
    } = results(library, office, &filter).map_err(failed)?;
    let sittings = Sittings::of(&rows).map_err(|why| why.to_string())?;
    let one = sittings
        .all()
        .first()
        .ok_or("this sitting has not been marked yet: let the candidate hand it in")?;
    let people = office.store().people().map_err(failed)?;
    let person = people.iter().find(|person| person.id == one.candidate());
    let facts = facts(library, form);
    let needed = |id: &str| {
        let mut needs = form.pass.needs.iter();
        let is_it = |of: &NeedOf| matches!(of, NeedOf::Competency(of) if of == id);
        needs.find(|need| is_it(&need.of)).map(|need| need.mark)
    };
    let bank = &library.bank;
    let mut traces = Vec::new();
    // What each task was called or asked, and what was in each car.
    let mut titles: BTreeMap<u32, String> = BTreeMap::new();
    let mut was: BTreeMap<u32, String> = BTreeMap::new();
    let mut safety = Vec::new();
    for (task, given) in (1..).zip(sitting.given()) {
        let (case, actions) = match given {
            Given::Case { case, actions, .. } => (case, actions),
            Given::Question { dealt, .. } => {
                titles.insert(task, dealt.text.clone());
                continue;
            }
        };
        let bar = Bar::new("Going through the cars again");
        let graded = grade(&library.bank, case, actions, None, tours, &bar);
        let graded = graded.map_err(|why| why.to_string())?;
        let truth = &graded.diagnosis;
        let faults = [Some(&truth.true_mode), truth.true_cause.as_ref()];
        let faults: Vec<String> = faults
            .into_iter()
            .flatten()
            .map(|id| name_of(bank, id))
            .collect();
        titles.insert(task, case.scenario.title.clone());
        was.insert(task, faults.join(BROUGHT_ABOUT));
        traces.push(Trace {
            title: case.scenario.title.clone(),
            points: graded.trace.iter().map(TracePoint::of).collect(),
        });
        let mut bay = Bay::new(&library.bank, case).map_err(|why| why.to_string())?;
        played(&mut bay, actions).map_err(|why| why.to_string())?;
        for slip in bay.slips() {
            safety.push(SafetyLine {
                task,
                at_s: slip.at_s,
                words: SlipKind::caution(slip.kind).to_owned(),
                grave: is_grave(slip.kind),
            });
        }
    }
    let stated = rows.iter().flat_map(|row| &row.confidences).copied();
    let stated: Vec<Confidence> = stated.collect();
    let subject = next(&rows, now_ms() / 1000, None).into_iter().next();
    let named = |id: &str| {
        facts
            .competencies
            .get(id)
            .map_or(id, String::as_str)
            .to_owned()
    };
    Ok(Candidate {
        name: person
            .map_or(one.candidate(), |person| &person.name)
            .to_owned(),
        form: form.title.clone(),
        sitting: id.to_owned(),
        date: super::moment(entries.first().map_or(0, |entry| entry.wall_ms)),
        verdict: verdicts.remove(id),
        mark: facts.mark(one),
        standing: None,
        tasks: rows
            .iter()
            .map(|row| TaskLine {
                task: row.task,
                title: titles.get(&row.task).unwrap_or(&row.item).clone(),
                answer: told_answer(bank, row),
                was: was.get(&row.task).filter(|_| !row.right).cloned(),
                right: row.right,
                mark: row.mark,
                wall_ms: row.wall_ms,
            })
            .collect(),
        competencies: competencies(&rows)
            .into_iter()
            .map(|one| CompetencyLine {
                name: named(&one.competency),
                mark: one.mark,
                tasks: one.tasks,
                needed: needed(&one.competency),
            })
            .collect(),
        safety,
        traces,
        calibration: curve(&stated, BINS),
        next: subject.map(|one| match one.subject {
            Subject::Competency(id) => named(&id),
            Subject::FailureMode(id) => id,
        }),
        notice: format!(
            "Marked by version {PROGRAM} of the program; the record is kept by the office with the key {}.",
            office.keys().public_key()
        ),
    })
}

/// Stands between a fault and its cause.
const BROUGHT_ABOUT: &str = ", brought about by ";

/// What was answered, with faults by their names.
fn told_answer(bank: &Bank, row: &TaskResult) -> String {
    match (row.answer.as_str(), row.kind) {
        ("", _) | (_, TaskKind::Question) => row.answer.clone(),
        (answer, TaskKind::Case) => {
            let faults: Vec<String> = answer.split(" + ").map(|id| name_of(bank, id)).collect();
            faults.join(BROUGHT_ABOUT)
        }
    }
}
