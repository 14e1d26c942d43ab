//! `coldtrail syllabus`: what rules ask for, and what of it is covered here.

use std::fmt::Write;

use clap::Args;
use scenarios::Library;
use scenarios::syllabus::{Coverage, Rule, Syllabus};
use serde::Serialize;

use crate::cli::Output;
use crate::cli::columns::table;
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
}

/// The syllabus built in, checked against what there is.
///
/// # Errors
/// The problems of a file, as text.
pub fn syllabus(library: &Library) -> Result<Syllabus, String> {
    let slips = SlipKind::ALL.map(SlipKind::name);
    Syllabus::builtin(library, &slips).map_err(|error| error.to_string())
}

/// Prints it.
///
/// # Errors
/// A sentence where a rule is unknown or a file is wrong.
pub fn run(library: &Library, args: &SyllabusArgs, width: usize) -> Result<String, String> {
    let syllabus = syllabus(library)?;
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
    if args.format == Output::Json {
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
                }
            })
        });
        return serde_json::to_string_pretty(&told.collect::<Vec<_>>())
            .map(|text| text + "\n")
            .map_err(|error| error.to_string());
    }
    let mut page = String::new();
    for rule in rules {
        let memory = if rule.from_memory {
            ", from memory"
        } else {
            ""
        };
        let _ = writeln!(page, "{} ({}{memory})", rule.name, rule.id);
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
    }
    let note = "Topics are in our own words and were written from memory: hold them against the rule before \
                relying on them. Covered means that something here is about it, not that it is all of it.\n";
    Ok(page + &wrapped(note, width))
}

/// `3 questions, 1 case`.
fn counts(coverage: Coverage) -> String {
    let parts = [
        (coverage.questions, "question"),
        (coverage.cases, "case"),
        (coverage.faults, "fault"),
        (coverage.slips, "slip"),
    ];
    let parts = parts.iter().filter(|(count, _)| *count > 0);
    let parts: Vec<_> = parts
        .map(|(count, name)| format!("{count} {name}{}", if *count == 1 { "" } else { "s" }))
        .collect();
    parts.join(", ")
}
