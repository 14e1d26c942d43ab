//! `help`: the groups of actions on a screen, one group, one word, or everything.

use scenarios::units::UnitSystem;

use crate::action::{COMMANDS, Command, KINDS, NotAnAction, WORK};
use crate::cli::catalogue;
use crate::cli::columns::table;
use crate::cli::prompt::{ASIDES, aside_words, commands};

/// The group of what takes no time.
const ASIDE_GROUP: (&str, &str) = ("session", "Notebook, lists, help, leave: takes no time");

const HOW: &str = "\
`help car` shows a group, `help clamp` one action, `help all` everything. A first word alone, such as \
`clamp`, asks what you mean; Enter is the menu.
";

/// The groups, a line each.
pub(super) fn groups(width: usize) -> String {
    let kinds = KINDS.iter().map(|kind| (kind.group, kind.words));
    let mut rows: Vec<[&str; 2]> = Vec::new();
    for (group, words) in kinds.chain([ASIDE_GROUP]) {
        let known = rows.iter().any(|[last, _]| *last == group);
        rows.push([if known { "" } else { group }, words]);
    }
    format!("Actions by group:\n{}{HOW}", table(2, &rows, width))
}

/// Everything there is.
fn all(width: usize) -> String {
    let mut text = "Actions (each takes time on the shop clock):\n".to_owned();
    text.push_str(&rows(COMMANDS.iter(), width));
    text.push_str("The repair, after `conclude` (`service-data` at any time):\n");
    text.push_str(&rows(WORK.iter(), width));
    text.push_str(catalogue::PORTS);
    text.push_str("Besides (no time passes):\n");
    text.push_str(&asides(width));
    text
}

/// `help repair`, `help clamp`, `help all`.
///
/// # Errors
/// A sentence with the words somebody probably meant.
pub(super) fn on(word: &str, width: usize) -> Result<String, String> {
    if word == "all" {
        return Ok(all(width));
    }
    if word == ASIDE_GROUP.0 {
        return Ok(asides(width));
    }
    if KINDS.iter().any(|kind| kind.group == word) {
        return Ok(group(word, width));
    }
    if let Some(command) = commands().find(|command| command.verb == word) {
        let instrument = catalogue::tools_of(word, UnitSystem::Si).is_some();
        let more = if instrument {
            format!("; `tools {word}` tells of the instrument")
        } else {
            String::new()
        };
        let row = rows(std::iter::once(command), width);
        return Ok(format!("{row}`{word}` alone asks what you mean{more}.\n"));
    }
    let aside = ASIDES.iter().find(|(known, _)| *known == word);
    aside
        .map(|(known, does)| table(2, &[[*known, *does]], width))
        .ok_or_else(|| NotAnAction::no_verb(word, &aside_words()).to_string())
}

/// The actions of a group.
fn group(name: &str, width: usize) -> String {
    let kinds = KINDS.iter().filter(|kind| kind.group == name);
    let verbs = kinds.flat_map(|kind| kind.verbs);
    let found = verbs.filter_map(|verb| commands().find(|command| command.verb == *verb));
    let text = rows(found, width);
    match name {
        "loop" => text + catalogue::PORTS,
        "repair" => format!(
            "After `conclude` (`service-data` at any time); `help finish` shows the rest:\n{text}"
        ),
        "finish" => format!("After `conclude`; `help repair` shows how parts are changed:\n{text}"),
        _ => text,
    }
}

fn asides(width: usize) -> String {
    let asides: Vec<_> = ASIDES.iter().map(|(word, does)| [*word, *does]).collect();
    table(2, &asides, width)
}

fn rows(commands: impl Iterator<Item = &'static Command>, width: usize) -> String {
    let rows: Vec<_> = commands
        .map(|command| [command.verb, command.follows, command.does])
        .collect();
    table(2, &rows, width)
}
