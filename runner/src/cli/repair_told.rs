//! What a step of the repair showed, in words.

use std::fmt::Write;

use scenarios::Vehicle;
use scenarios::units::{UnitSystem, format_mass};
use sim_core::repair::JOBS;

use crate::action::{Size, letter_of};
use crate::cli::columns::table;
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
        Shown::ServiceData => text = service_page(vehicle, system, PAGE_WIDTH),
        Shown::Compared {
            old,
            candidates,
            carry,
            ..
        } => {
            for (index, (feature, of_old)) in old.iter().enumerate() {
                let _ = writeln!(text, "      {feature}\n        old  {of_old}");
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

/// The service page as the shop looks it up.
pub(super) fn service_page(vehicle: &Vehicle, system: UnitSystem, width: usize) -> String {
    let mut rows: Vec<[String; 4]> = vec![[
        "part".to_owned(),
        "joints".to_owned(),
        "seal".to_owned(),
        "oil with a new one".to_owned(),
    ]];
    for info in JOBS {
        let Some(part) = vehicle.service.joint(info.job) else {
            continue;
        };
        let seal = Size {
            inner_m: part.seal.inner_m,
            section_m: part.seal.section_m,
        };
        rows.push([
            info.name.to_owned(),
            show::torque(part.torque_n_m, system),
            seal.to_string(),
            show::oil(part.oil_m3, system),
        ]);
    }
    let mut text = vehicle_page::page(vehicle, system, width);
    text.push_str("Service\n");
    text.push_str(&table(2, &rows, width));
    for note in &vehicle.service.notes {
        let _ = writeln!(text, "  {note}");
    }
    text.push_str(
        "  The maker's procedure, local law and licensed practice come before this page.\n",
    );
    text
}
