//! Words as a person types them: any case, and a hyphen left out where a name has one.

use scenarios::quantity::{Dimension, UNITS};
use sim_core::instruments::every_check;
use sim_core::repair::JOBS;

use crate::action::commands::COMMANDS;
use crate::action::words::command_of;
use crate::action::work::WORK;

/// The text with every run of words that spells a hyphenated name of an action joined to it:
/// `look clutch hub` is `look clutch-hub`. Text in small letters is expected.
pub(super) fn joined(text: &str) -> String {
    let checks: Vec<String> = every_check().into_iter().map(command_of).collect();
    let mut names: Vec<&str> = checks
        .iter()
        .flat_map(|command| command.split(' '))
        .chain(COMMANDS.iter().chain(WORK).map(|command| command.verb))
        .chain(JOBS.iter().map(|info| info.name))
        // `4 g` is a mass as well.
        .filter(|word| word.contains('-') && word.starts_with(|c: char| c.is_ascii_alphabetic()))
        .collect();
    names.sort_unstable();
    names.dedup();
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut out = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let rest = words.get(at..).unwrap_or_default();
        let longest = (2..=rest.len().min(4)).rev().find_map(|count| {
            let run = rest.get(..count)?.join("-");
            names.contains(&run.as_str()).then_some((run, count))
        });
        let (word, count) = longest.unwrap_or_else(|| (words[at].to_owned(), 1));
        out.push(word);
        at += count;
    }
    out.join(" ")
}

/// A quantity with its unit in the case it is known by: `5 MIN` is `5 min`.
pub(super) fn with_unit(text: &str, dimension: Dimension) -> String {
    let number = text.trim_end_matches(|c: char| !c.is_ascii_digit() && c != '.');
    let unit = text.get(number.len()..).unwrap_or_default().trim();
    UNITS
        .iter()
        .filter(|known| known.measures(dimension))
        .flat_map(|known| std::iter::once(known.name).chain(known.other_names.iter().copied()))
        .find(|name| !unit.is_empty() && name.to_lowercase() == unit.to_lowercase())
        .map_or_else(|| text.to_owned(), |name| format!("{number} {name}"))
}

/// The words of a fault's name at the start of what follows a verb, joined as its id would be, and
/// the words after it. A first word with a hyphen is an id by itself.
pub(super) fn fault_and_rest<'a>(
    words: &[&'a str],
    ends: impl Fn(&str) -> bool,
) -> (String, Vec<&'a str>) {
    let whole = words.first().is_some_and(|word| word.contains('-'));
    let count = if whole {
        1
    } else {
        words
            .iter()
            .position(|word| ends(word))
            .unwrap_or(words.len())
    };
    let (name, rest) = words.split_at(count);
    (name.join("-"), rest.to_vec())
}
