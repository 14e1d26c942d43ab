//! `coldtrail cases` and `coldtrail faults`: what there is to practise on, and what can be wrong.

use std::fmt::Write;

use scenarios::Bank;

/// Every case by id, with its title and level.
#[must_use]
pub fn cases(bank: &Bank) -> String {
    let mut text = String::new();
    for case in bank.cases() {
        let _ = writeln!(text, "{:<20} level {}  {}", case.id, case.level, case.title);
    }
    text.push_str(
        "\nOpen one with `coldtrail practice CASE`, or leave the case out to be dealt one.\n",
    );
    text
}

/// Every failure mode by component: the names to suspect and to conclude.
#[must_use]
pub fn faults(bank: &Bank) -> String {
    let mut text = String::new();
    for component in bank.components() {
        let modes: Vec<_> = bank
            .catalogue()
            .modes()
            .filter(|mode| mode.component.id == component.id)
            .collect();
        if modes.is_empty() {
            continue;
        }
        let _ = writeln!(text, "{} ({})", component.name, component.id);
        for mode in modes {
            let _ = writeln!(text, "  {:<26} {}", mode.id, mode.name);
        }
    }
    let _ = writeln!(
        text,
        "Nothing broken\n  {:<26} The complaint has no fault behind it",
        crate::action::NO_FAULT
    );
    text
}
