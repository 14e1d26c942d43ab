//! A session from a file: one action a line, `#` for a comment.

use std::fmt::Write;
use std::path::Path;

use scenarios::units::UnitSystem;

use crate::action::Action;
use crate::bay::{Bay, Outcome, spelt};
use crate::cli::examples::in_units;
use crate::cli::prompt::ASIDES;
use crate::cli::repair_told;
use crate::show;

/// Largest script read, bytes: a day in the bay takes a few kilobytes.
const MOST_BYTES: u64 = 256 * 1024;

/// A session played from a file.
#[derive(Debug)]
pub struct Played {
    /// What was done and what it showed.
    pub log: String,
    /// Lines that were not taken.
    pub not_taken: Vec<Line>,
}

/// A line of a script that was not taken.
#[derive(Debug)]
pub struct Line {
    /// Its number, from 1.
    pub number: usize,
    /// Why, and what is allowed.
    pub message: String,
}

/// Reads a script from disk.
///
/// # Errors
/// A sentence naming the file and what is wrong with it.
pub fn read(path: &Path) -> Result<String, String> {
    let shown = path.display();
    let size = std::fs::metadata(path)
        .map_err(|error| format!("the script {shown} cannot be read: {error}"))?
        .len();
    if size > MOST_BYTES {
        return Err(format!(
            "the script {shown} is larger than {} KiB",
            MOST_BYTES / 1024
        ));
    }
    std::fs::read_to_string(path)
        .map_err(|error| format!("the script {shown} cannot be read: {error}"))
}

/// Plays a script; lines that are not taken leave the session as it was. `hint` says what a hint says.
///
/// # Errors
/// What `hint` says when there can be none.
pub fn play(
    bay: &mut Bay,
    text: &str,
    system: UnitSystem,
    hint: &mut dyn FnMut(&Bay) -> Result<String, String>,
) -> Result<Played, String> {
    let mut played = Played {
        log: String::new(),
        not_taken: Vec::new(),
    };
    for (index, line) in text.lines().enumerate() {
        let words = line.split('#').next().unwrap_or("").trim();
        if words.is_empty() {
            continue;
        }
        let action =
            Action::parse(words).map_err(|error| aside(words).unwrap_or_else(|| error.to_string()));
        let is_hint = action == Ok(Action::Hint);
        let result = action.and_then(|action| bay.act(&action).map_err(|error| error.to_string()));
        let result = result.map_err(|message| in_units(&message, system));
        let number = index + 1;
        match result {
            Ok(outcome) => {
                let _ = writeln!(played.log, "{}  {words}", show::clock(outcome.clock_s));
                played.log.push_str(&told(&outcome, bay, system));
                if is_hint {
                    played.log.push_str(&hint(bay)?);
                }
            }
            Err(message) => {
                let _ = writeln!(
                    played.log,
                    "line {number}: `{words}` was not taken: {message}"
                );
                played.not_taken.push(Line { number, message });
            }
        }
    }
    Ok(played)
}

/// What to say of a word that only a typed session has.
fn aside(words: &str) -> Option<String> {
    let word = spelt(words);
    let known = ASIDES.iter().any(|(aside, _)| *aside == word);
    known.then(|| match word.as_str() {
        "quit" | "give-up" => format!(
            "`{word}` is for a typed session: a script that ends without `conclude` ends as `give-up` does, so leave the line out"
        ),
        _ => format!("`{word}` is for a typed session; it is no action, so leave the line out"),
    })
}

/// What an action gave, a line each.
#[must_use]
pub fn told(outcome: &Outcome, bay: &Bay, system: UnitSystem) -> String {
    let mut text = String::new();
    if let Some(shown) = &outcome.shown {
        text.push_str(&repair_told::told(shown, bay.workshop().vehicle(), system));
    }
    for note in &outcome.notes {
        let _ = writeln!(
            text,
            "      [{}] {}: {}",
            note.number,
            note.words,
            show::value(&note.reading.value, system)
        );
    }
    if let Some(opened) = &outcome.opened {
        let _ = writeln!(text, "      {}", show::opened(opened, system));
    }
    for slip in &outcome.slips {
        let _ = writeln!(text, "      CAUTION  {}", slip.kind.caution());
    }
    if let Some(advice) = outcome.advice {
        let _ = writeln!(text, "      NOTE  {}", advice.words());
    }
    text
}
