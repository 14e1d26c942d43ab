//! `coldtrail syllabus`: what rules ask for, and what of it is covered here.

use clap::Args;
use scenarios::Library;
use scenarios::syllabus::{Coverage, Marked, Rule, RuleTopic, Syllabus};
use serde::Serialize;

use crate::cli::Output;
use crate::cli::columns::table;
use crate::grade::{Mark, RepairMark, StepKind};
use crate::safety::SlipKind;
use crate::show::wrapped;

/// What `coldtrail syllabus` is asked.
#[derive(Args, Clone, Debug)]
pub struct SyllabusArgs {
    /// One rule only, by its id
    #[arg(long)]
    pub rule: Option<String>,
    /// How to print it
    #[arg(long, value_enum, default_value = "text")]
    pub format: Output,
}

/// A topic, as JSON has it.
#[derive(Serialize)]
struct Told<'a> {
    rule: &'a str,
    topic: &'a str,
    words: &'a str,
    from_memory: bool,
    covered: bool,
    #[serde(flatten)]
    coverage: Coverage,
    named_steps: &'a [String],
    named_parts: &'a [String],
    named_repair_parts: &'a [String],
}

/// The syllabus built in, checked against what there is and against what a grade looks at.
///
/// # Errors
/// The problems of a file, as text.
pub fn syllabus(library: &Library) -> Result<Syllabus, String> {
    with_marked(|marked| Syllabus::builtin(library, marked)).map_err(|error| error.to_string())
}

/// What a syllabus may name of a grade: slips, steps of a repair, parts of the marks.
pub fn with_marked<T>(then: impl FnOnce(&Marked<'_>) -> T) -> T {
    then(&Marked {
        slips: &SlipKind::ALL.map(SlipKind::name),
        steps: &StepKind::ALL.map(StepKind::name),
        parts: &Mark::PARTS,
        repair_parts: &RepairMark::PARTS,
    })
}

/// Prints the syllabus built in.
///
/// # Errors
/// A sentence where a rule is unknown or a file is wrong.
pub fn run(library: &Library, args: &SyllabusArgs, width: usize) -> Result<String, String> {
    page(&syllabus(library)?, library, args, width)
}

/// Prints a syllabus.
///
/// # Errors
/// A sentence where a rule is unknown.
pub fn page(
    syllabus: &Syllabus,
    library: &Library,
    args: &SyllabusArgs,
    width: usize,
) -> Result<String, String> {
    let wanted = |rule: &&Rule| args.rule.as_ref().is_none_or(|id| rule.id == *id);
    let rules: Vec<&Rule> = syllabus.rules.iter().filter(wanted).collect();
    if rules.is_empty() {
        let ids: Vec<_> = syllabus.rules.iter().map(|rule| rule.id.as_str()).collect();
        let id = args.rule.as_deref().unwrap_or("");
        return Err(format!(
            "no rule is called `{id}`: there are {}",
            ids.join(", ")
        ));
    }
    match args.format {
        Output::Json => json(&rules, library),
        Output::Text => Ok(text(&rules, library, args.rule.is_some(), width)),
    }
}

fn json(rules: &[&Rule], library: &Library) -> Result<String, String> {
    let told = rules.iter().flat_map(|rule| {
        rule.topics.iter().map(|topic| {
            let coverage = topic.coverage(library);
            Told {
                rule: &rule.id,
                topic: &topic.id,
                words: &topic.words,
                from_memory: rule.from_memory,
                covered: coverage.is_covered(),
                coverage,
                named_steps: &topic.steps,
                named_parts: &topic.parts,
                named_repair_parts: &topic.repair_parts,
            }
        })
    });
    serde_json::to_string_pretty(&told.collect::<Vec<_>>())
        .map(|text| text + "\n")
        .map_err(|error| error.to_string())
}

/// Rules with their topics; `marked` to say what of a grade each topic names.
fn text(rules: &[&Rule], library: &Library, marked: bool, width: usize) -> String {
    let mut page = String::new();
    for rule in rules {
        let memory = if rule.from_memory {
            ", from memory"
        } else {
            ""
        };
        let title = format!("{} ({}{memory})\n", rule.name, rule.id);
        page.push_str(&wrapped(&title, width));
        let rows = rule.topics.iter().map(|topic| {
            let coverage = topic.coverage(library);
            let mark = if coverage.is_covered() {
                "covered"
            } else {
                "NOT COVERED"
            };
            [mark.to_owned(), counts(coverage), topic.words.clone()]
        });
        page.push_str(&table(2, &rows.collect::<Vec<_>>(), width));
        page.push('\n');
        if marked {
            page.push_str(&looked_at(rule, width));
        }
    }
    let topics = || rules.iter().flat_map(|rule| &rule.topics);
    let covered = topics().filter(|topic| topic.coverage(library).is_covered());
    let (covered, all) = (covered.count(), topics().count());
    page.push_str(&format!("{covered} of {all} topics are covered.\n"));
    let note = "Topics are in our own words and were written from memory: hold them against the rule before \
                relying on them. Covered means that something here is about it, not that it is all of it.\n";
    page + &wrapped(note, width)
}

/// What a grade looks at that a rule's topics name.
fn looked_at(rule: &Rule, width: usize) -> String {
    let mut rows: Vec<[String; 2]> = Vec::new();
    let steps: Vec<&String> = rule.topics.iter().flat_map(|topic| &topic.steps).collect();
    for kind in StepKind::ALL {
        if steps.iter().any(|name| *name == kind.name()) {
            rows.push(["step of a repair".to_owned(), kind.words().to_owned()]);
        }
    }
    let mut parts = |what: &str, all: &[&str], named: fn(&RuleTopic) -> &Vec<String>| {
        let named: Vec<&String> = rule.topics.iter().flat_map(named).collect();
        for name in all {
            if named.iter().any(|one| one == name) {
                rows.push([what.to_owned(), (*name).to_owned()]);
            }
        }
    };
    parts("part of the mark", &Mark::PARTS, |topic| &topic.parts);
    parts("part of a repair's mark", &RepairMark::PARTS, |topic| {
        &topic.repair_parts
    });
    match rows.is_empty() {
        true => String::new(),
        false => format!("What a grade looks at of it:\n{}\n", table(2, &rows, width)),
    }
}

/// `3 questions, 1 case`.
fn counts(coverage: Coverage) -> String {
    let parts = [
        (coverage.questions, "question"),
        (coverage.cases, "case"),
        (coverage.faults, "fault"),
        (coverage.slips, "slip"),
        (coverage.steps, "repair step"),
        (coverage.parts, "grade line"),
    ];
    let parts = parts.iter().filter(|(count, _)| *count > 0);
    let parts: Vec<_> = parts
        .map(|(count, name)| format!("{count} {name}{}", if *count == 1 { "" } else { "s" }))
        .collect();
    parts.join(", ")
}
