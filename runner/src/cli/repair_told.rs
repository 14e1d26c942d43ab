//! What a step of the repair showed, in words.

use std::fmt::Write;

use scenarios::Vehicle;
use scenarios::units::{UnitSystem, format_mass};
use sim_core::instruments::Unit;

use crate::cli::columns::table;
use crate::cli::vehicle_page;
use crate::show;
use crate::workshop::{Compared, Shown};

/// Debris below which nobody sees any in what was flushed out, kg.
const SEEN_FROM_KG: f64 = 0.02e-3;

/// Width of the service page, columns: narrow enough for any terminal.
const PAGE_WIDTH: usize = 76;

/// Width of what is laid side by side, columns.
const COMPARED_WIDTH: usize = 98;
/// Room before what a step showed, columns.
const INDENT: usize = 6;
/// Features side by side: more would leave no room for their words.
const FEATURES_ABREAST: usize = 4;

/// What a step showed.
pub(crate) fn told(shown: &Shown, vehicle: &Vehicle, system: UnitSystem) -> String {
    let mut text = String::new();
    match shown {
        Shown::ServiceData => text = vehicle_page::page(vehicle, system, PAGE_WIDTH),
        Shown::Compared(shown) => {
            text = compared(shown);
            if let Some(carry) = &shown.carry {
                let _ = writeln!(text, "      a new one comes without {carry}");
            }
        }
        Shown::OilInOldPart(m3) => {
            let _ = writeln!(
                text,
                "      it is on; out of the old one ran {}",
                show::oil(*m3, system)
            );
        }
        Shown::DoesNotFit(why) => {
            let _ = writeln!(
                text,
                "      it does not go on: {}; it is back at the counter",
                why.trim_end_matches('.')
            );
        }
        Shown::Fits => text.push_str("      it is on, its fastenings by hand\n"),
        Shown::Flushed(kg, clean) => {
            let came = if *kg < SEEN_FROM_KG {
                "oil comes out, and no flakes".to_owned()
            } else {
                let mass = format_mass(*kg, system, 1);
                format!("flakes and sludge come out, about {mass}")
            };
            let rest = if *clean {
                "; the pipe is clean"
            } else {
                "; but this part cannot be flushed clean: what is stuck in it stays"
            };
            let _ = writeln!(text, "      {came}{rest}");
        }
        Shown::ChargeStopped => text.push_str(
            "      then no more went in: the loop had the cylinder's pressure; a running compressor\n      draws the rest in as vapour, and a cylinder stood in warm water gives more\n",
        ),
        Shown::CylinderWarm(kelvin) => {
            let unit = Unit::Temperature;
            let now = show::number(*kelvin, unit, system);
            let _ = writeln!(text, "      the cylinder is at {now} now, and cools slowly");
        }
        Shown::FlameStopped => text.push_str(
            "      a colleague turns the flame off at once: the cylinder is as cold as it was\n",
        ),
        Shown::OilRecovered(m3) => {
            let _ = writeln!(
                text,
                "      the machine has separated {} of oil",
                show::oil(*m3, system)
            );
        }
        Shown::Oil(m3) if *m3 >= 0.0 => {
            let _ = writeln!(text, "      {} went in", show::oil(*m3, system));
        }
        Shown::Oil(m3) => {
            let _ = writeln!(text, "      {} ran out", show::oil(-*m3, system));
        }
    }
    text
}

/// Page, old part and the counter's below each other, a column a feature: what differs stands one above the
/// other.
fn compared(compared: &Compared) -> String {
    let names: Vec<&str> = compared.features().collect();
    let laid = compared.laid();
    let mut text = String::new();
    for features in names.chunks(FEATURES_ABREAST) {
        let row = |head: &str, cell: &dyn Fn(&str) -> String| {
            let mut cells = features.iter().map(|feature| cell(feature));
            std::array::from_fn(|column| match column {
                0 => head.to_owned(),
                _ => cells.next().unwrap_or_default(),
            })
        };
        let mut rows: Vec<[String; FEATURES_ABREAST + 1]> = vec![row("", &str::to_owned)];
        rows.extend(
            laid.iter()
                .map(|one| row(&one.head, &|feature| one.shown(feature).to_owned())),
        );
        text.push_str(&table(INDENT, &rows, COMPARED_WIDTH));
    }
    text
}

#[cfg(test)]
mod tests {
    #![allow(clippy::expect_used)]

    use scenarios::Bank;
    use sim_core::repair::JOBS;
    use textwrap::core::display_width;

    use super::*;

    /// Whatever is compared, on any vehicle, no cell is broken: a part is one line.
    #[test]
    fn every_comparison_fits_a_line_of_a_hundred_columns() {
        let bank = Bank::builtin().expect("the bank");
        let counter = bank.counter();
        let mut seen = 0;
        for vehicle in bank.vehicles() {
            for info in JOBS {
                let page = counter.page(vehicle, info.job);
                let old = counter.on_car(vehicle, info.job, &vehicle.spec, &vehicle.spec);
                let old = counter.used(info.job, old);
                let candidates = counter.candidates(vehicle, info.job, 1);
                if candidates.is_empty() {
                    continue;
                }
                let candidates: Vec<_> = candidates.into_iter().map(|one| one.features).collect();
                let parts = 2 + page.len() + candidates.len();
                let text = compared(&Compared {
                    job: info.job,
                    page,
                    old,
                    candidates,
                    carry: None,
                });
                let place = format!("{} of {}:\n{text}", info.name, vehicle.id);
                assert!(
                    text.lines()
                        .all(|line| display_width(line) <= COMPARED_WIDTH),
                    "{place}"
                );
                assert_eq!(text.lines().count(), parts, "{place}");
                seen += 1;
            }
        }
        assert!(seen > 200, "{seen}");
    }
}
