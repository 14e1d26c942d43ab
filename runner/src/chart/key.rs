//! Beside a pressure-enthalpy chart: what its lines are, and the states of the cycles.

use crate::chart::cycle::{Condition, Cycle};
use crate::chart::lines;
use crate::chart::ph::Chart;
use crate::chart::svg::{Anchor, Place, Svg};

/// Width of the column, px.
const WIDTH: f64 = 348.0;
/// From one line to the next, px.
const ROW: f64 = 19.0;

/// Draws the column from its upper left corner down.
pub(super) fn draw(page: &mut Svg, chart: &Chart<'_>, left: f64, top: f64) {
    page.group("key", |page| {
        let mut y = table(
            page,
            chart,
            (left, top),
            "car",
            &format!("This car, {}", chart.taken),
            &chart.cycle,
        );
        if let Some((taken, cycle)) = &chart.healthy {
            let words = format!("The same car healthy, {taken}");
            y = table(page, chart, (left, y + 16.0), "healthy", &words, cycle);
        }
        for note in &chart.notes {
            page.text("head", (left, y), Anchor::Start, note);
            y += ROW;
        }
        legend(page, chart, left, y + 16.0);
    });
}

/// The states of a cycle; returns where it ends.
fn table(
    page: &mut Svg,
    chart: &Chart<'_>,
    (left, top): Place,
    class: &str,
    head: &str,
    cycle: &Cycle,
) -> f64 {
    let units = &chart.units;
    let mut y = top;
    page.line(class, (left, y), (left + 34.0, y));
    mark(page, class, (left + 17.0, y));
    page.text("head", (left + 44.0, y), Anchor::Start, head);
    y += ROW + 4.0;
    let columns = [left + 190.0, left + 246.0];
    page.text("small soft", (left + 22.0, y), Anchor::Start, "leaving the");
    page.text(
        "small soft",
        (columns[0], y),
        Anchor::End,
        units.pressure.name,
    );
    page.text(
        "small soft",
        (columns[1], y),
        Anchor::End,
        units.temperature.name,
    );
    y += 0.5 * ROW;
    page.line("rule", (left, y), (left + WIDTH, y));
    for (index, stop) in cycle.stops.iter().enumerate() {
        y += if index == 0 { 0.7 * ROW } else { ROW };
        let number = (index + 1).to_string();
        page.text(
            &format!("{class}-text"),
            (left + 12.0, y),
            Anchor::End,
            &number,
        );
        page.text("", (left + 22.0, y), Anchor::Start, &stop.after);
        let pressure = format!("{:.0}", units.pressure.of(stop.pressure_pa));
        page.text("", (columns[0], y), Anchor::End, &pressure);
        let temperature = format!("{:.1}", units.temperature.of(stop.temperature_k));
        page.text("", (columns[1], y), Anchor::End, &temperature);
        let difference = |kelvin: f64| units.difference.of(kelvin);
        let condition = match stop.condition {
            Condition::Subcooled(k) => {
                format!("{:.1} {} below", difference(k), units.difference.name)
            }
            Condition::Wet(quality) => format!("wet, x {quality:.2}"),
            Condition::Superheated(k) => {
                format!("{:.1} {} above", difference(k), units.difference.name)
            }
        };
        page.text("", (left + 258.0, y), Anchor::Start, &condition);
    }
    y += 0.7 * ROW;
    page.line("rule", (left, y), (left + WIDTH, y));
    y += 0.8 * ROW;
    let words = if cycle.turning {
        let power = |watts: f64| {
            let decimals = units.power_decimals;
            format!("{:.decimals$} {}", units.power.of(watts), units.power.name)
        };
        format!(
            "{:.1} {}; from the air {}, work {}",
            units.flow.of(cycle.flow_kg_s),
            units.flow.name,
            power(cycle.duty_w),
            power(cycle.power_w)
        )
    } else {
        "The compressor does not turn: there is no cycle.".to_owned()
    };
    page.text("", (left, y), Anchor::Start, &words);
    y + ROW
}

fn mark(page: &mut Svg, class: &str, at: Place) {
    if class == "healthy" {
        page.square("healthy-mark", at, 8.0);
    } else {
        page.circle("car-mark", at, 5.0);
    }
}

fn legend(page: &mut Svg, chart: &Chart<'_>, left: f64, top: f64) {
    let units = &chart.units;
    let mut y = top;
    let mut sample = |page: &mut Svg, class: &str, words: &str| {
        page.line(class, (left, y), (left + 34.0, y));
        page.text("", (left + 44.0, y), Anchor::Start, words);
        y += ROW;
    };
    sample(page, "dome", "saturation: liquid left, vapour right");
    sample(
        page,
        "isotherm",
        &format!(
            "temperature, every {} {}",
            units.temperature_step, units.difference.name
        ),
    );
    sample(
        page,
        "isentrope",
        &format!(
            "entropy, every {} {}",
            units.entropy_step, units.entropy.name
        ),
    );
    sample(page, "quality", "quality x, the share of vapour, every 0.1");
    let (critical_k, (_, critical_pa)) = lines::critical(chart.fluid.equation());
    page.circle("critical", (left + 17.0, y), 3.5);
    let words = format!(
        "critical point: {:.1} {}, {:.0} {}",
        units.temperature.of(critical_k),
        units.temperature.name,
        units.pressure.of(critical_pa),
        units.pressure.name
    );
    page.text("", (left + 44.0, y), Anchor::Start, &words);
    y += ROW + 6.0;
    let zero = format!(
        "Saturated liquid at {:.0} {} has {:.2} {} and {:.4} {}.",
        units.temperature.of(273.15),
        units.temperature.name,
        units.enthalpy.of(200e3),
        units.enthalpy.name,
        units.entropy.of(1e3),
        units.entropy.name
    );
    for line in [
        "Above, below: against boiling at that pressure.",
        "Points are the model's own states, joined by straight lines.",
        zero.as_str(),
    ] {
        page.text("small soft", (left, y), Anchor::Start, line);
        y += 15.0;
    }
}
