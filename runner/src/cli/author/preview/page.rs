//! What is known of a case before anybody has taken a reading, in words.

use std::fmt::Write as _;

use scenarios::Case;
use scenarios::units::{UnitSystem, format_air_flow, format_temperature_difference};

use crate::author::compared::{Number, Quantity, SetUp};
use crate::chart::cycle::{Condition, Cycle};
use crate::chart::shown::Units;
use crate::cli::chart::Cycles;
use crate::cli::columns::table as columns;
use crate::evidence::seen::Seen;
use crate::show;

/// A title with a line below it.
pub(super) fn underlined(title: &str) -> String {
    format!("{title}\n{}", "-".repeat(title.chars().count()))
}

/// What is wrong with the car, which the learner is not told.
pub(super) fn in_the_car(case: &Case) -> String {
    let mut page = underlined("In the car, which the learner is not told") + "\n";
    for (mode, severity) in case.present() {
        let _ = writeln!(
            page,
            "{} (`{}`): {} ({}). {} What cures it: {}",
            mode.name,
            mode.id,
            mode.severity.show(severity),
            mode.severity.meaning,
            mode.effect,
            mode.cure
        );
    }
    if case.truth().is_empty() {
        page.push_str("Nothing is broken.\n");
    }
    page
}

/// Both cars at each set-up.
pub(super) fn table(case: &Case, set_ups: &[SetUp], system: UnitSystem, width: usize) -> String {
    let mut page = format!("\n{}\n", underlined("Healthy and faulty"));
    let about = format!(
        "The car of seed {} sound, and as it comes in. The values are true, before an instrument errs; \
         `*` marks what differs by more than the instrument errs.\n",
        case.seed
    );
    page.push_str(&show::wrapped(&about, width));
    for set_up in set_ups {
        let _ = writeln!(page, "\n{}", show::wrapped(set_up.name, width));
        let heads = ["", "", "healthy", "this car"].map(str::to_owned);
        let rows = set_up.numbers.iter().map(|number| row(number, system));
        let rows: Vec<[String; 4]> = [heads].into_iter().chain(rows).collect();
        page.push_str(&columns(2, &rows, width));
        let found = set_up.findings.iter().map(|one| {
            let words = |words: &str| {
                if words.is_empty() {
                    NOT_TO_BE_HAD
                } else {
                    words
                }
                .to_owned()
            };
            [
                "*".to_owned(),
                format!("`{}`", one.action),
                words(&one.healthy),
                words(&one.faulty),
            ]
        });
        let found: Vec<[String; 4]> = found.collect();
        page.push_str(&columns(2, &found, width));
    }
    page
}

/// What stands for a value that a car does not show.
const NOT_TO_BE_HAD: &str = "-";

fn row(number: &Number, system: UnitSystem) -> [String; 4] {
    let mark = if number.differs { "*" } else { "" };
    [
        mark.to_owned(),
        number.words.clone(),
        shown(number.healthy, number.of, system),
        shown(number.faulty, number.of, system),
    ]
}

fn shown(ends: Option<(f64, f64)>, of: Quantity, system: UnitSystem) -> String {
    let Some((low, high)) = ends else {
        return NOT_TO_BE_HAD.to_owned();
    };
    let one = |value: f64| match of {
        Quantity::Read(unit) => show::number(value, unit, system),
        Quantity::Difference => format_temperature_difference(value, system, 1),
        Quantity::AirFlow => format_air_flow(value, system, 0),
    };
    match of {
        Quantity::Read(unit) => show::seen(&Seen::Range(low, high), Some(unit), system),
        Quantity::Difference | Quantity::AirFlow => show::between(&one(low), &one(high)),
    }
}

/// The states at the corners of both cycles.
pub(super) fn states(cycles: &Cycles<'_>, system: UnitSystem, width: usize) -> String {
    let mut page = format!(
        "\n{}\n",
        underlined("The cycle, idling, in absolute pressures")
    );
    let mut words = cycles.conditions(system) + "\n";
    for note in cycles.notes() {
        let _ = writeln!(words, "{note}");
    }
    page.push_str(&show::wrapped(&words, width));
    let cars = [
        ("healthy", cycles.healthy()),
        ("this car", Some(cycles.car())),
    ];
    for (name, cycle) in cars {
        let Some(cycle) = cycle else {
            continue;
        };
        let _ = writeln!(page, "\n{name}");
        page.push_str(&corners(&cycle, Units::of(system), width));
    }
    page
}

fn corners(cycle: &Cycle, units: Units, width: usize) -> String {
    if !cycle.turning {
        return "  The compressor does not turn: there is no cycle.\n".to_owned();
    }
    let heads = ["after the", "pressure", "temperature", "enthalpy", ""];
    let mut rows = vec![heads.map(str::to_owned)];
    for stop in &cycle.stops {
        let kelvins = |kelvins: f64| {
            let difference = units.difference;
            format!("{:.1} {}", difference.of(kelvins), difference.name)
        };
        let condition = match stop.condition {
            Condition::Subcooled(below) => format!("{} below boiling", kelvins(below)),
            Condition::Wet(quality) => format!("{:.0} % vapour", 100.0 * quality),
            Condition::Superheated(above) => format!("{} above boiling", kelvins(above)),
        };
        let (pressure, temperature, enthalpy) = (units.pressure, units.temperature, units.enthalpy);
        rows.push([
            stop.after.clone(),
            format!("{:.0} {}", pressure.of(stop.pressure_pa), pressure.name),
            format!(
                "{:.1} {}",
                temperature.of(stop.temperature_k),
                temperature.name
            ),
            format!(
                "{:.0} {}",
                enthalpy.of(stop.enthalpy_j_per_kg),
                enthalpy.name
            ),
            condition,
        ]);
    }
    columns(2, &rows, width)
}
