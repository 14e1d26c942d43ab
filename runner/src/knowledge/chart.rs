//! Charts of questions as text: a table of what is drawn, and for a cycle a drawing with letters.

use std::fmt::Write;

use scenarios::question::{Chart, Cycle};
use scenarios::units::{UnitSystem, format_gauge_pressure, format_temperature};

/// Columns and rows of a cycle's drawing, and the enthalpy and pressure at its edges.
const COLUMNS: usize = 60;
const ROWS: usize = 15;
const ENTHALPY_J_PER_KG: (f64, f64) = (180e3, 480e3);
const PRESSURE_PA: (f64, f64) = (150e3, 3500e3);
/// Points of the dome's line between two of its data.
const BETWEEN: usize = 12;

/// The chart, lines of at most 78 columns.
pub(super) fn drawn(chart: &Chart, units: UnitSystem) -> String {
    match chart {
        Chart::Saturation { refrigerant, line } => {
            let rows = line.iter().map(|(k, gauge_pa)| {
                let temperature = format_temperature(*k, units, 1);
                (temperature, format_gauge_pressure(*gauge_pa, units, 0))
            });
            let head = format!(
                "{} boils and condenses at (sea level):\n",
                refrigerant.name()
            );
            head + &beside(&rows.collect::<Vec<_>>())
        }
        Chart::HumidAir { line } => {
            let rows = line.iter().map(|(k, ratio)| {
                let water = format!("{:.1} g/kg", ratio * 1e3);
                (format_temperature(*k, units, 1), water)
            });
            let head = "Water that a kilogram of dry air can hold (sea level):\n".to_owned();
            head + &beside(&rows.collect::<Vec<_>>())
        }
        Chart::Cycle {
            refrigerant,
            cycle,
            letters,
            dome,
        } => {
            let head = format!(
                "{}: pressure up, enthalpy to the right\n",
                refrigerant.name()
            );
            head + &plot(cycle, letters, dome) + &corners(cycle, letters, units)
        }
    }
}

/// Rows in three blocks side by side.
fn beside(rows: &[(String, String)]) -> String {
    let height = rows.len().div_ceil(3);
    let mut text = String::new();
    for row in 0..height {
        let cells = [row, row + height, row + 2 * height];
        let cells = cells.iter().filter_map(|index| rows.get(*index));
        let line: String = cells
            .map(|(left, right)| format!("{left:>9} {right:>14}  "))
            .collect();
        let _ = writeln!(text, "{}", line.trim_end());
    }
    text
}

/// Where a state is in the drawing: column and row, none outside it.
fn place(pressure_pa: f64, enthalpy_j_per_kg: f64) -> Option<(usize, usize)> {
    let (left, right) = ENTHALPY_J_PER_KG;
    let across = (enthalpy_j_per_kg - left) / (right - left);
    let (low, high) = (libm::log(PRESSURE_PA.0), libm::log(PRESSURE_PA.1));
    let up = (libm::log(pressure_pa) - low) / (high - low);
    let inside = (0.0..=1.0).contains(&across) && (0.0..=1.0).contains(&up);
    inside.then(|| {
        let column = (across * (COLUMNS - 1) as f64).round() as usize;
        let row = ((1.0 - up) * (ROWS - 1) as f64).round() as usize;
        (column, row)
    })
}

fn plot(cycle: &Cycle, letters: &[usize; 4], dome: &[(f64, f64, f64)]) -> String {
    let mut page = vec![vec![' '; COLUMNS]; ROWS];
    let mut put = |place: Option<(usize, usize)>, mark: char| {
        let cell = place.and_then(|(column, row)| page.get_mut(row)?.get_mut(column));
        if let Some(cell) = cell {
            *cell = mark;
        }
    };
    for pair in dome.windows(2) {
        let [from, to] = pair else { continue };
        for step in 0..=BETWEEN {
            let share = step as f64 / BETWEEN as f64;
            let mix = |a: f64, b: f64| a + (b - a) * share;
            put(place(mix(from.0, to.0), mix(from.1, to.1)), '.');
            put(place(mix(from.0, to.0), mix(from.2, to.2)), '.');
        }
    }
    let corner = |index: usize| {
        let index = index % 4;
        (cycle.pressure_pa[index], cycle.enthalpy_j_per_kg[index])
    };
    for index in 0..4 {
        let (from, to) = (corner(index), corner(index + 1));
        for step in 0..=COLUMNS {
            let share = step as f64 / COLUMNS as f64;
            let pressure = from.0 + (to.0 - from.0) * share;
            put(place(pressure, from.1 + (to.1 - from.1) * share), '*');
        }
    }
    for (index, letter) in letters.iter().enumerate() {
        let (pressure, enthalpy) = corner(index);
        put(place(pressure, enthalpy), letter_of(*letter));
    }
    let mut text = String::new();
    for row in &page {
        let line: String = row.iter().collect();
        let _ = writeln!(text, "  |{}", line.trim_end());
    }
    let _ = writeln!(text, "  +{}", "-".repeat(COLUMNS));
    text
}

fn corners(cycle: &Cycle, letters: &[usize; 4], units: UnitSystem) -> String {
    let mut lines = Vec::new();
    for (index, letter) in letters.iter().enumerate() {
        let (pressure, enthalpy) = (cycle.pressure_pa[index], cycle.enthalpy_j_per_kg[index]);
        let temperature = format_temperature(cycle.temperature_k[index], units, 1);
        // Absolute pressure: psi of 6894.757 Pa, Btu/lb of 2326 J/kg (NIST SP 811, 2008).
        let (pressure, enthalpy) = match units {
            UnitSystem::Us => (
                format!("{:.1} psia", pressure / 6894.757),
                format!("{:.1} Btu/lb", enthalpy / 2326.0),
            ),
            UnitSystem::Si => (
                format!("{:.0} kPa abs", pressure / 1e3),
                format!("{:.1} kJ/kg", enthalpy / 1e3),
            ),
        };
        let letter = letter_of(*letter);
        lines.push(format!(
            "  {letter} {pressure:>13} {temperature:>10} {enthalpy:>13}\n"
        ));
    }
    // In the order of the letters: that of the flow would tell which is which.
    lines.sort();
    lines.concat()
}

fn letter_of(index: usize) -> char {
    char::from(b"ABCD"[index % 4])
}
