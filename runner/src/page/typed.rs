//! What somebody types in their own words.

use serde::Deserialize;

use crate::action::Action;

/// How a sentence begins that sends somebody to a typed session.
const AT_A_TERMINAL: &str = "`help";

/// An action as a form sends it: its first words, and what went into the blanks of a sheet.
#[derive(Deserialize)]
pub(super) struct Typed {
    words: String,
    what: Option<String>,
    amount: Option<String>,
    unit: Option<String>,
    kind: Option<String>,
}

impl Typed {
    /// The action in one line.
    pub fn line(&self) -> String {
        let blanks = [&self.what, &self.amount, &self.unit, &self.kind];
        let filled = blanks.into_iter().flatten().map(|one| one.trim());
        let filled: Vec<&str> = filled.filter(|one| !one.is_empty()).collect();
        [&[self.words.as_str()], filled.as_slice()]
            .concat()
            .join(" ")
    }
}

/// An action as it is typed on a page: a comma may stand where the language has a point.
///
/// # Errors
/// A sentence that says what is allowed.
pub(super) fn action(words: &str) -> Result<Action, String> {
    let read = Action::parse(words);
    let read = read.or_else(|why| Action::parse(&with_points(words)).map_err(|_| why));
    read.map_err(|why| {
        let why = why.to_string();
        match why.find(AT_A_TERMINAL) {
            Some(start) => format!("{}The tray lists what can be done.", &why[..start]),
            None => why,
        }
    })
}

/// The same with a point for each comma between two figures. Before three figures and no more it may set thousands apart:
/// nobody guesses which.
pub(super) fn with_points(words: &str) -> String {
    let letters: Vec<char> = words.chars().collect();
    let is_figure = |index: usize| letters.get(index).is_some_and(char::is_ascii_digit);
    let point = |(index, letter): (usize, &char)| {
        let stands_between = index > 0 && is_figure(index - 1) && is_figure(index + 1);
        let thousands = (1..=3).all(|by| is_figure(index + by)) && !is_figure(index + 4);
        match letter {
            ',' if stands_between && !thousands => '.',
            _ => *letter,
        }
    };
    letters.iter().enumerate().map(point).collect()
}

#[cfg(test)]
mod tests {
    use super::{action, with_points};
    use crate::action::Action;

    #[test]
    fn a_comma_may_stand_for_a_point() {
        assert_eq!(action("wait 2,5 min"), Ok(Action::Wait(150.0)));
        assert_eq!(with_points("1,580 kPag"), "1,580 kPag");
        assert_eq!(with_points("1580,4 kPag"), "1580.4 kPag");
    }

    #[test]
    fn nobody_is_sent_to_another_program() {
        let why = action("nonsense").unwrap_err();
        assert!(
            why.contains("not an action") && !why.contains("help"),
            "{why}"
        );
    }
}
