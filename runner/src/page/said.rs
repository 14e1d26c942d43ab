//! What somebody at a car was told last.

use scenarios::units::{UnitSystem, format_gauge_pressure, format_mass};

use crate::action::{Action, Work};
use crate::bay::{Bay, Outcome};
use crate::cli::script;
use crate::show;
use crate::workshop::Shown;

/// Said where a step was pressed on a page that did not know of the one before.
pub(super) const MEANWHILE: &str =
    "something else was done at this car in between; look at it, and press once more.";

/// The answer to the last thing that was asked for.
#[derive(Clone, Debug, Default)]
pub(super) struct Said {
    pub words: String,
    /// It was not done, and the words say why.
    pub is_refusal: bool,
}

impl Said {
    /// Something was done, and came to this.
    pub fn done(words: impl Into<String>) -> Self {
        Self {
            words: quoted(&words.into()),
            is_refusal: false,
        }
    }

    /// Something was not done.
    pub fn refused(why: impl Into<String>) -> Self {
        Self {
            words: format!("Not done: {}", quoted(&why.into())),
            is_refusal: true,
        }
    }
}

/// What a terminal puts between backticks, as a page has it.
pub(super) fn quoted(words: &str) -> String {
    let mut opens = true;
    let letter = |letter: char| match letter {
        '`' => {
            opens = !opens;
            if opens { '\u{2019}' } else { '\u{2018}' }
        }
        other => other,
    };
    words.chars().map(letter).collect()
}

/// What an action gave, in lines.
pub(super) fn lines_of(outcome: &Outcome, bay: &Bay, units: UnitSystem) -> String {
    let place = outcome.shown.as_ref().and_then(whereabouts);
    let rest = place.map(|_| Outcome {
        shown: None,
        ..outcome.clone()
    });
    let told = script::told(rest.as_ref().unwrap_or(outcome), bay, units);
    // At a terminal it stands back from what is typed; readings have their own place on the page.
    let lines = told.lines().map(str::trim_start);
    let lines = lines.filter(|line| !line.starts_with('['));
    let lines: Vec<&str> = lines.chain(place).collect();
    match bay.actions().last() {
        Some(action) if lines.is_empty() && outcome.notes.is_empty() => done(action, units),
        _ => lines.join("\n"),
    }
}

/// That something was done of which nothing else on the page tells.
fn done(action: &Action, units: UnitSystem) -> String {
    // Each of these has a place of its own that tells.
    if matches!(
        action,
        Action::Turn(_) | Action::Wait(_) | Action::Suspect { .. } | Action::Conclude(_)
    ) {
        return String::new();
    }
    format!("Done: {}.", plain(action, units))
}

/// An action in plain words, with its amount in the units of the person reading.
pub(super) fn plain(action: &Action, units: UnitSystem) -> String {
    let amount = match action {
        Action::Work(Work::Seal(_, size)) => format!(" {size}"),
        Action::Work(Work::Torque(_, n_m)) => format!(" {}", show::torque(*n_m, units)),
        Action::Work(Work::AddOil(m3, kind)) => format!(" {} {kind}", show::oil(*m3, units)),
        Action::Work(Work::DrainOil(m3)) => format!(" {}", show::oil(*m3, units)),
        Action::Work(Work::Press(_, over_pa)) => {
            format!(" {}", format_gauge_pressure(*over_pa, units, 0))
        }
        Action::Charge(_, kg) => format!(" {}", format_mass(*kg, units, 0)),
        _ => String::new(),
    };
    let words = action.to_string();
    let words = words.split(' ');
    let plain = words.take_while(|word| !word.starts_with(|first: char| first.is_ascii_digit()));
    let plain: Vec<String> = plain.map(|word| word.replace('-', " ")).collect();
    plain.join(" ") + &amount
}

/// Whether it stays on show on the page, where a terminal lays it out in columns.
pub(super) fn is_on_show(shown: &Shown) -> bool {
    whereabouts(shown).is_some()
}

fn whereabouts(shown: &Shown) -> Option<&'static str> {
    match shown {
        Shown::ServiceData => Some("The service page hangs on the wall now, to look at again."),
        Shown::Compared(_) => Some("It lies on the bench, beside what the counter has."),
        _ => None,
    }
}
