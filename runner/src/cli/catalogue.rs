//! `coldtrail cases` and `coldtrail faults`: what there is to practise on, and what can be wrong.

use std::fmt::Write;

use scenarios::Bank;
use scenarios::units::UnitSystem;
use sim_core::instruments::KIT;

use crate::show;

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

/// Every instrument: how well it tells, how to use it and how not to.
#[must_use]
pub fn tools(system: UnitSystem) -> String {
    let mut text = String::new();
    for one in KIT {
        let _ = writeln!(text, "{}", one.name);
        for tool in one.tools {
            let spec = tool.spec();
            let share = if spec.accuracy_share > 0.0 {
                format!(" and {:.1} % of the reading", spec.accuracy_share * 100.0)
            } else {
                String::new()
            };
            let _ = writeln!(
                text,
                "  {}: errs by at most {}{share}, steps of {}, settles in {:.1} s, takes {:.0} s",
                spec.name,
                show::tolerance(spec.accuracy, spec.unit, system),
                show::tolerance(spec.resolution, spec.unit, system),
                spec.lag_s,
                spec.time_s,
            );
        }
        if !one.limit.is_empty() {
            let _ = writeln!(text, "  tells down to: {}", one.limit);
        }
        let _ = writeln!(text, "  right  {}", one.rightly);
        let _ = writeln!(text, "  wrong  {}", one.wrongly);
        let _ = writeln!(text, "  source {}", one.source);
    }
    text
}
