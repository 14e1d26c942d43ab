//! What a step of the repair showed, in words.

use std::fmt::Write;

use scenarios::Vehicle;
use scenarios::units::{UnitSystem, format_mass};
use sim_core::instruments::Unit;

use crate::action::letter_of;
use crate::cli::vehicle_page;
use crate::show;
use crate::workshop::Shown;

/// Debris below which nobody sees any in what was flushed out, kg.
const SEEN_FROM_KG: f64 = 0.02e-3;

/// Width of the service page, columns: narrow enough for any terminal.
const PAGE_WIDTH: usize = 76;

/// What a step showed.
pub(super) fn told(shown: &Shown, vehicle: &Vehicle, system: UnitSystem) -> String {
    let mut text = String::new();
    match shown {
        Shown::ServiceData => text = vehicle_page::page(vehicle, system, PAGE_WIDTH),
        Shown::Compared {
            page,
            candidates,
            carry,
            ..
        } => {
            for (index, (feature, asked)) in page.iter().enumerate() {
                let _ = writeln!(text, "      {feature}\n        page {asked}");
                for (letter, candidate) in candidates.iter().enumerate() {
                    let own = candidate.get(index).map_or("", |(_, value)| value.as_str());
                    let _ = writeln!(text, "        {}    {own}", letter_of(letter));
                }
            }
            if let Some(carry) = carry {
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
                "      it does not go on: {why}; it is back at the counter"
            );
        }
        Shown::Fits => text.push_str("      it is on, its fastenings by hand\n"),
        Shown::Flushed(kg, clean) => {
            let came = if *kg < SEEN_FROM_KG {
                "what comes out is clean".to_owned()
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
