//! Choosing by number: the first menu by kind of work, and any list of choices. A list fits a
//! terminal of 24 rows: long ones stand in columns.

use textwrap::core::display_width;

use crate::action::{COMMANDS, Command, KINDS, WORK};
use crate::cli::Streams;
use crate::cli::columns::Columns;
use crate::cli::prompt::{ASIDES, Stop, ask, say};

/// Rows a list may take on a terminal of 24 lines, with its question, the prompt and what was there.
const MOST_ROWS: usize = 18;

/// Lets the learner choose a kind of work, then a first word; any other words come back as typed.
pub(super) fn menu(streams: &mut Streams<'_>) -> Result<Option<String>, Stop> {
    let mut kinds: Vec<_> = KINDS
        .iter()
        .map(|kind| (kind.words.to_owned(), kind.verbs.join(" ")))
        .collect();
    let asides = ASIDES.iter().map(|(word, _)| *word);
    let asides: Vec<&str> = asides.filter(|word| *word != "menu").collect();
    kinds.push((
        "Notebook, lists, help, leave: takes no time".to_owned(),
        asides.join(" "),
    ));
    let rows: Vec<[&str; 2]> = kinds
        .iter()
        .map(|(kind, words)| [kind.as_str(), words.as_str()])
        .collect();
    let listed = in_columns(&rows, streams.width);
    let choices: Vec<_> = listed
        .into_iter()
        .zip(kinds.iter().map(|(kind, _)| kind.clone()))
        .collect();
    loop {
        let Some(answer) = choose(streams, "What kind of work?", &choices, "to go back")? else {
            return Ok(None);
        };
        let Some((_, words)) = kinds.iter().find(|(kind, _)| *kind == answer) else {
            return Ok(Some(answer));
        };
        let words: Vec<[&str; 2]> = words.split(' ').map(|word| [word, does(word)]).collect();
        let listed = in_columns(&words, streams.width);
        let choices: Vec<_> = listed
            .into_iter()
            .zip(words.iter().map(|[word, _]| (*word).to_owned()))
            .collect();
        // Going back from here is to the kinds of work.
        if let Some(word) = choose(streams, "What do you do?", &choices, "to go back")? {
            return Ok(Some(word));
        }
    }
}

/// Room for a choice's number.
const NUMBER: usize = 6;

fn in_columns(rows: &[[&str; 2]], width: usize) -> Vec<String> {
    let columns = Columns::of(0, rows.iter().copied(), width.saturating_sub(NUMBER));
    let indent = format!("\n{}", " ".repeat(NUMBER));
    rows.iter()
        .map(|row| columns.row(*row).replace('\n', &indent))
        .collect()
}

/// What a first word does.
fn does(word: &str) -> &'static str {
    let commands = COMMANDS
        .iter()
        .chain(WORK)
        .map(|Command { verb, does, .. }| (*verb, *does));
    commands
        .chain(ASIDES.iter().copied())
        .find(|(known, _)| *known == word)
        .map_or("", |(_, does)| does)
}

/// A numbered list of names with what each stands for; an answer is a number, or any words as typed.
/// None is Enter, whose meaning the prompt tells.
pub(super) fn choose(
    streams: &mut Streams<'_>,
    question: &str,
    choices: &[(String, String)],
    enter: &str,
) -> Result<Option<String>, Stop> {
    let list = numbered(choices, streams.width);
    say(streams, &format!("{question}\n{list}"))?;
    loop {
        let answer = ask(streams, &format!("number or words, Enter {enter} > "))?;
        if answer.is_empty() {
            return Ok(None);
        }
        let Ok(number) = answer.parse::<usize>() else {
            return Ok(Some(answer));
        };
        match number.checked_sub(1).and_then(|index| choices.get(index)) {
            Some((_, value)) => return Ok(Some(value.clone())),
            None => say(
                streams,
                &format!("There is no {number} here: 1 to {}.\n", choices.len()),
            )?,
        }
    }
}

/// Choices with their numbers, in as many columns as their count asks for and the page takes.
fn numbered(choices: &[(String, String)], width: usize) -> String {
    let cells: Vec<String> = choices
        .iter()
        .enumerate()
        .map(|(index, (name, _))| format!("  {:>2}  {name}", index + 1))
        .collect();
    let widest = cells.iter().map(|cell| display_width(cell)).max();
    let fit = (width / widest.unwrap_or(1).max(1)).max(1);
    let columns = choices.len().div_ceil(MOST_ROWS).clamp(1, fit);
    let height = choices.len().div_ceil(columns);
    let row = |row: usize| {
        let mut line = String::new();
        for cell in cells.iter().skip(row).step_by(height.max(1)) {
            line.push_str(cell);
            line.push_str(&" ".repeat(widest.unwrap_or(0).saturating_sub(display_width(cell))));
        }
        line.trim_end().to_owned() + "\n"
    };
    (0..height).map(row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_list_stands_in_columns_numbered_downwards() {
        let choices: Vec<_> = (0..26)
            .map(|n| (format!("choice-{n}"), String::new()))
            .collect();
        let text = numbered(&choices, 78);
        assert_eq!(text.lines().count(), 13, "{text}");
        assert_eq!(text.lines().next(), Some("   1  choice-0   14  choice-13"));
        // Where the page takes no second column, it is one.
        assert_eq!(numbered(&choices, 20).lines().count(), 26);
    }
}
