//! `coldtrail cases` and `coldtrail faults`: what there is to practise on, and what can be wrong.

use std::fmt::Write;

use clap::Args;
use scenarios::units::UnitSystem;
use scenarios::{Bank, Mode, Onset, Scenario, nearest};
use sim_core::instruments::{Instrument, KIT};

use crate::action::NO_FAULT;
use crate::cli::columns::{Columns, table};
use crate::cli::which_car::did_you_mean;
use crate::show;

/// What `coldtrail faults` is asked.
#[derive(Args, Clone, Debug)]
pub struct FaultsArgs {
    /// One fault, to be told all about it, or a component
    pub id: Option<String>,
    /// Only the faults of one component
    #[arg(long, value_name = "COMPONENT", conflicts_with = "id")]
    pub component: Option<String>,
}

/// The catalogue, a component of it, or the page of one fault.
///
/// # Errors
/// A sentence that says which names there are.
pub fn browse(bank: &Bank, args: &FaultsArgs, width: usize) -> Result<String, String> {
    match (&args.id, &args.component) {
        (Some(id), _) if id == NO_FAULT => Ok(nothing_broken(width)),
        (Some(id), _) if bank.components().iter().any(|one| one.id == *id) => {
            let args = FaultsArgs {
                id: None,
                component: Some(id.clone()),
            };
            browse(bank, &args, width)
        }
        (Some(id), _) => {
            let mode = bank.catalogue().get(id).ok_or_else(|| {
                let meant = did_you_mean(bank.catalogue().nearest(id));
                format!("no fault is called `{id}`{meant} `coldtrail faults` lists them all.")
            })?;
            Ok(page(bank, mode, width))
        }
        (None, Some(component)) => {
            let ids = bank.components().iter().map(|one| one.id.as_str());
            if !ids.clone().any(|id| id == component) {
                let meant = did_you_mean(nearest(component, ids.clone()));
                let all: Vec<&str> = ids.collect();
                let all = all.join(", ");
                return Err(format!(
                    "no component is called `{component}`{meant} There are {all}."
                ));
            }
            let pages: Vec<String> = bank
                .catalogue()
                .modes()
                .filter(|mode| mode.component.id == *component)
                .map(|mode| page(bank, mode, width))
                .collect();
            if pages.is_empty() {
                return Ok("The catalogue has no fault of this component.\n".to_owned());
            }
            Ok(pages.join("\n"))
        }
        (None, None) => Ok(format!(
            "{}\n`coldtrail faults ID` tells all about one of them,\n\
             `coldtrail faults --component NAME` about all of a component.\n",
            faults(bank, width)
        )),
    }
}

/// All the catalogue says of a fault.
fn page(bank: &Bank, mode: &Mode, width: usize) -> String {
    let mut rows = Vec::new();
    let mut line = |label: &str, words: &str| rows.push([label.to_owned(), words.to_owned()]);
    let component = &mode.component;
    line(
        "Component",
        &format!("{} ({})", component.name, component.id),
    );
    line("What fails", &mode.mode);
    line("What it does", &mode.effect);
    line("Onset", onset(mode.onset));
    let severity = &mode.severity;
    line("How bad", &severity.meaning);
    for (label, share) in [
        ("least", severity.least),
        ("typical", severity.typical),
        ("full", 1.0),
    ] {
        let at = severity.show(share);
        line("", &format!("{label:<9}{at:<14}severity {share}"));
    }
    line("How common", &how_common(bank, mode));
    line("Cure", &mode.cure);
    if let Some(twin) = &mode.twin {
        line(
            "Told apart",
            &format!("from `{}`: {}", twin.mode, twin.apart),
        );
    }
    let vehicles: Vec<&str> = bank
        .vehicles()
        .filter(|vehicle| mode.concerns(&vehicle.spec))
        .map(|vehicle| vehicle.id.as_str())
        .collect();
    let vehicles = match vehicles.as_slice() {
        [] => "no vehicle here has the part".to_owned(),
        some => some.join(", "),
    };
    line("Can be in", &vehicles);
    format!("{}  ({})\n{}", mode.name, mode.id, table(2, &rows, width))
}

/// What the list calls a car with nothing wrong.
const NO_FAULT_NAME: &str = "The complaint has no fault behind it";

/// The page of the verdict that is no fault.
fn nothing_broken(width: usize) -> String {
    let rows = [
        (
            "What it means",
            "Every part is within what new cars of its model differ by; the complaint comes from the \
             day, the load or a wish.",
        ),
        (
            "What such a car does",
            "It still takes time to cool a cabin that stood in the sun, blows warmer and runs at higher \
             pressures the hotter and damper the day, lets its clutch go and come, and drips water.",
        ),
        (
            "How to tell",
            "Gauges, pipes and vents fit one another and the day; no test of a part finds it out of its \
             limits. Compare with the label's charge and the maker's figures for the weather.",
        ),
        (
            "Why it is a verdict",
            "Some cars come in with nothing broken, and whoever must find a fault then swaps sound parts. \
             It has to be shown like any other: each reading rules out faults at every severity that \
             matters.",
        ),
        (
            "Cure",
            "None: explain what the car can do, and open no loop.",
        ),
        (
            "Conclude it with",
            "`conclude no-fault because` and the readings that show it",
        ),
        ("Can be in", "every vehicle"),
    ];
    let rows = rows.map(|(label, words)| [label.to_owned(), words.to_owned()]);
    format!("{NO_FAULT_NAME}  ({NO_FAULT})\n{}", table(2, &rows, width))
}

fn onset(onset: Onset) -> &'static str {
    match onset {
        Onset::Sudden => "sudden: from one moment to the next",
        Onset::WithTime => "with time: over weeks or years",
        Onset::AfterWork => "sudden: since somebody worked on the car",
        Onset::WithHeat => "with heat: comes when something is hot, goes when it has cooled",
        Onset::Intermittent => {
            "intermittent: comes and goes, as shaking, speed or ice will have it"
        }
    }
}

/// A fault's share of all the catalogue's priors, in words and as one car in so many.
fn how_common(bank: &Bank, mode: &Mode) -> String {
    let all: f64 = bank.catalogue().modes().map(|one| one.prior).sum();
    let even = all / bank.catalogue().modes().count().max(1) as f64;
    let words = match mode.prior / even {
        often if often >= 2.0 => "very common",
        often if often >= 1.2 => "common",
        often if often >= 0.6 => "now and then",
        _ => "rare",
    };
    format!(
        "{words}: about 1 faulty car in {:.0} (a guess, common practice)",
        all / mode.prior
    )
}

/// What `coldtrail cases` is asked.
#[derive(Args, Clone, Debug)]
pub struct CasesArgs {
    /// Only those of a level: 1 is where to begin
    #[arg(long, value_parser = clap::value_parser!(u8).range(1..=3))]
    pub level: Option<u8>,
    /// Only those on a vehicle, as `coldtrail vehicles` names it
    #[arg(long, value_name = "VEHICLE")]
    pub vehicle: Option<String>,
}

/// Cases by level, each with its id, vehicle and title.
///
/// # Errors
/// A sentence that says which vehicles there are.
pub fn cases(bank: &Bank, args: &CasesArgs, width: usize) -> Result<String, String> {
    if let Some(id) = &args.vehicle
        && bank.vehicle(id).is_none()
    {
        let ids: Vec<&str> = bank.vehicles().map(|one| one.id.as_str()).collect();
        let meant = did_you_mean(nearest(id, ids.iter().copied()));
        let all = ids.join(", ");
        return Err(format!(
            "no vehicle is called `{id}`{meant} There are {all}."
        ));
    }
    let wanted: Vec<&Scenario> = bank
        .cases()
        .filter(|case| args.level.is_none_or(|level| case.level == level))
        .filter(|case| args.vehicle.as_ref().is_none_or(|id| case.vehicle == *id))
        .collect();
    let columns = Columns::of(2, wanted.iter().map(|case| row(case)), width);
    let mut text = String::new();
    for level in 1..=3 {
        let of_level = wanted.iter().filter(|case| case.level == level);
        let rows: String = of_level.map(|case| columns.row(row(case)) + "\n").collect();
        if !rows.is_empty() {
            let _ = write!(text, "Level {level}\n{rows}\n");
        }
    }
    if wanted.is_empty() {
        text.push_str("There is no such case.\n\n");
    }
    text.push_str(
        "Open one with `coldtrail practice CASE`, or leave the case out to be dealt one.\n",
    );
    Ok(text)
}

/// A case as the list shows it.
fn row(case: &Scenario) -> [&str; 3] {
    [&case.id, &case.vehicle, &case.title]
}

/// Every failure mode by component: the names to suspect and to conclude.
#[must_use]
pub fn faults(bank: &Bank, width: usize) -> String {
    let none = [NO_FAULT, NO_FAULT_NAME];
    let columns = Columns::of(2, bank.catalogue().modes().map(listed).chain([none]), width);
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
            let _ = writeln!(text, "{}", columns.row(listed(mode)));
        }
    }
    let _ = writeln!(text, "Nothing broken\n{}", columns.row(none));
    text
}

/// A mode as the list shows it.
fn listed(mode: &Mode) -> [&str; 2] {
    [&mode.id, &mode.name]
}

/// What nobody guesses of the machines at the ports.
pub(super) const PORTS: &str = "\
`recover`, `evacuate` and `charge` want the service ports to themselves: they are refused while the \
gauge set is on; `gauges close` and `gauges disconnect` first.
";

/// Every instrument: how well it tells, how to use it and how not to.
#[must_use]
pub fn tools(system: UnitSystem) -> String {
    listed_tools(system, |_| true) + PORTS
}

/// The instruments of a first word, such as `clamp`, or else those with a word in their name.
#[must_use]
pub fn tools_of(word: &str, system: UnitSystem) -> Option<String> {
    let (typed, plain) = (format!("`{word} "), word.replace('-', " "));
    let by_verb = listed_tools(system, |one| one.rightly.contains(&typed));
    let found = if by_verb.is_empty() {
        listed_tools(system, |one| {
            one.name == plain || one.name.split(' ').any(|part| part == plain)
        })
    } else {
        by_verb
    };
    (!found.is_empty()).then_some(found)
}

fn listed_tools(system: UnitSystem, wanted: impl Fn(&Instrument) -> bool) -> String {
    let mut text = String::new();
    for one in KIT.iter().filter(|one| wanted(one)) {
        let _ = writeln!(text, "{}", one.name);
        for tool in one.tools {
            let spec = tool.spec();
            let share = if spec.accuracy_share > 0.0 {
                format!(" and {:.1} % of the reading", spec.accuracy_share * 100.0)
            } else {
                String::new()
            };
            let settles = if spec.lag_s >= 0.05 {
                format!("settles in {:.1} s, ", spec.lag_s)
            } else {
                String::new()
            };
            let _ = writeln!(
                text,
                "  {}: errs by at most {}{share}, steps of {}, {settles}takes {:.0} s",
                spec.name,
                show::tolerance(spec.accuracy, spec.unit, system),
                show::tolerance(spec.resolution, spec.unit, system),
                spec.time_s,
            );
        }
        if !one.limit.is_empty() {
            let _ = writeln!(text, "  tells down to: {}", one.limit);
        }
        let _ = writeln!(text, "  right    {}", one.rightly);
        let _ = writeln!(text, "  wrong    {}", one.wrongly);
        let _ = writeln!(text, "  figures  {}", one.source);
    }
    text
}
