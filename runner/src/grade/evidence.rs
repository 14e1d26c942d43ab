//! What the readings relied on prove.

use crate::action::Conclusion;
use crate::bay::Note;
use crate::evidence::compare::{fit, pairs};
use crate::evidence::swing::Seen;
use crate::grade::rivals::{Rival, Rivals};

/// How a reading relied on stands to the conclusion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Support {
    /// It fits the conclusion and rules out others.
    Supports {
        /// How many other faults it rules out by itself.
        ruled_out: usize,
        /// Of how many: those that readings relied on had not ruled out before it.
        of: usize,
    },
    /// It fits the conclusion; readings before it had ruled everything else out.
    Confirms,
    /// It fits the conclusion, and everything else as well.
    TellsNothing {
        /// How many others it was set against.
        of: usize,
    },
    /// It does not fit the conclusion.
    SpeaksAgainst,
    /// A conclusion that names no failure mode cannot be compared.
    NotCompared,
}

/// A reading relied on.
#[derive(Clone, Debug, PartialEq)]
pub struct Reliance {
    /// Number of the note.
    pub number: usize,
    /// What it is worth.
    pub support: Support,
    /// What the instrument would have shown with the fault concluded.
    pub predicted: Option<Seen>,
}

/// What the readings relied on prove together.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// Each reading relied on.
    pub relied_on: Vec<Reliance>,
    /// Ids of the faults still possible after the readings relied on, most often seen first.
    pub standing: Vec<String>,
    /// How many faults, a healthy car included, were set against the conclusion.
    pub rivals: usize,
    /// Share of the marks for evidence earned.
    pub share: f64,
}

impl Evidence {
    /// Weighs the readings relied on.
    ///
    /// The share is the part of the rivals, each weighted by how often a shop
    /// sees it, that readings which fit the conclusion rule out; a reading that
    /// speaks against the conclusion takes its part away.
    #[must_use]
    pub fn weigh(rivals: &Rivals, notes: &[Note], conclusion: Option<&Conclusion>) -> Self {
        let because = conclusion.map_or(&[][..], |conclusion| &conclusion.because);
        let relied_on: Vec<Reliance> = because
            .iter()
            .filter_map(|number| reliance(rivals, notes, *number))
            .collect();
        let standing: Vec<String> = rivals
            .standing()
            .iter()
            .map(|rival| rival.hypothesis.name().to_owned())
            .collect();
        let sum = |pick: &dyn Fn(&Rival) -> bool| {
            rivals
                .others
                .iter()
                .filter(|rival| pick(rival))
                .map(|rival| rival.prior)
                .sum::<f64>()
        };
        let all = sum(&|_| true);
        let gone = sum(&|rival| rival.ruled_out);
        let against = relied_on
            .iter()
            .filter(|one| one.support == Support::SpeaksAgainst)
            .count();
        let honest = if relied_on.is_empty() || rivals.concluded.is_none() {
            0.0
        } else {
            1.0 - against as f64 / relied_on.len() as f64
        };
        let share = if all > 0.0 {
            (gone / all * honest).max(0.0)
        } else {
            0.0
        };
        Self {
            relied_on,
            standing,
            rivals: rivals.others.len(),
            share,
        }
    }
}

fn reliance(rivals: &Rivals, notes: &[Note], number: usize) -> Option<Reliance> {
    let note = notes.iter().find(|note| note.number == number)?;
    let only = std::slice::from_ref(note);
    let Some(concluded) = &rivals.concluded else {
        return Some(Reliance {
            number,
            support: Support::NotCompared,
            predicted: None,
        });
    };
    let predicted = pairs(only, &concluded.predicted)
        .next()
        .map(|(_, seen)| seen.clone());
    let fits = predicted
        .as_ref()
        .is_some_and(|seen| !fit(note, seen).rules_out());
    // A rival that earlier readings ruled out need not have been followed as far as this one.
    let left: Vec<&Rival> = rivals
        .others
        .iter()
        .filter(|rival| rival.ruled_out_by.is_none_or(|by| by >= note.action))
        .collect();
    let ruled_out = left
        .iter()
        .filter(|rival| rival.ruling_notes.contains(&number))
        .count();
    let support = match ruled_out {
        _ if !fits => Support::SpeaksAgainst,
        0 if left.is_empty() => Support::Confirms,
        0 => Support::TellsNothing { of: left.len() },
        ruled_out => Support::Supports {
            ruled_out,
            of: left.len(),
        },
    };
    Some(Reliance {
        number,
        support,
        predicted,
    })
}
